"""When water begins to get out and when it ends: a tube lets out its last drops long after the last valve has shut.

The end is dated back to the last moment at which water came at a third of the rate that it had one cup before. So a
valve that shuts ends the water at once, however slow it was, and a trickle that ebbs ends with its last part of a cup.
"""

from __future__ import annotations

import math

from dewpond.plant.kernel.marks import LAST_DROPS
from dewpond.plant.kernel.network import solve
from dewpond.plant.kernel.nodes import keep_end, put_back_end, sum_island
from dewpond.plant.kernel.signals import emit, emit_at
from dewpond.plant.primitives import (
    AIR,
    C_ENDED,
    C_ENDING,
    C_NOW,
    C_PEAK,
    C_SPELL,
    C_TAIL,
    C_WET,
    E_WATER,
    R_PLACE,
)

PAUSE = 60.0  # water that stops for less has not ended [s]
AT_LAST = 1e9  # a step in which every spring comes to rest [s]
LAST_CUP = 1e-4  # what a tube and a housing let out after the last valve has shut [m3]
PARTS_OF_CUP = 8  # rates are kept each time that so much of a cup has come
PART_OF_CUP = LAST_CUP / PARTS_OF_CUP
EBBED = 1.0 / 3.0  # of the rate one cup before; an ebb in proportion to what is left then has half a cup to come
LEAST_LEAK = 1e-10  # slower than half a litre a month is no water on the floor [m3/s]


def onto_place(p, e, flow):
    """Whether water leaves the network onto a place through an edge."""
    b = p.edge_b[e]
    return p.node_kind[b] == AIR and p.node_rkind[b] == R_PLACE and flow[e] > 0.0


def over_rim(p, x, k):
    """Whether a vessel ran over onto a place in the step."""
    return x.spill[k] > 0.0 and p.store_rkind[k] == R_PLACE


def leak_rate(p, x, flow):
    """Water that falls onto places with the flows ``flow`` of all edges [m3/s]."""
    total = 0.0
    for e in range(len(p.edge_a)):
        if onto_place(p, e, flow):
            total += flow[e]
    for k in range(len(p.store_z)):
        x.vout[k] = 0.0
    for i in range(len(x.stale)):
        sum_island(p, x, i, flow, x.vin)
        for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
            x.vout[p.isl_store[j]] += x.vin[p.isl_store[j]]
    for k in range(len(p.store_z)):
        if over_rim(p, x, k) and x.vout[k] > 0.0:
            total += x.vout[k]
    return total


def settled_leak(p, x):
    """What would fall onto places once every spring has come to rest [m3/s]; flows and pressures stay as they are."""
    total = 0.0
    for i in range(len(x.stale)):
        keep_end(p, x, i)
        if leaks(p, x, i) and x.sliding[i] == 0 and solve(p, x, i, AT_LAST, False, -1) < 0:
            total += 1.0  # no answer: then it may go on
    total += leak_rate(p, x, x.try_flow)
    for i in range(len(x.stale)):
        put_back_end(p, x, i)
    return total


def leaks(p, x, i):
    """Whether water of an island gets out, at an open end or over the rim of one of its vessels."""
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        if onto_place(p, p.isl_edge[j], x.try_flow):
            return True
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        if over_rim(p, x, p.isl_store[j]):
            return True
    return False


def watch_leaks(p, x, s, out):
    """Say when water begins and ends to get out; ``out`` [m3] came in the step of ``s`` [s]."""
    rate = leak_rate(p, x, x.flow)
    if rate == 0.0 and out == 0.0 and x.clock[C_WET] == 0.0:
        return
    if x.clock[C_WET] == 1.0:
        ebbs = rate < EBBED * x.clock[C_PEAK] and x.clock[C_TAIL] + out <= LAST_CUP
        if ebbs and x.clock[C_NOW] + s - x.clock[C_ENDING] > PAUSE and settled_leak(p, x) <= LEAST_LEAK:
            out = 0.0
            rate = 0.0
    if out > LEAST_LEAK * s or rate > LEAST_LEAK:
        first = max(0.0, 2.0 * out / s - rate)
        if x.clock[C_WET] == 0.0:
            if out <= LAST_DROPS and (rate <= LEAST_LEAK or settled_leak(p, x) <= LEAST_LEAK):
                return
            x.clock[C_WET] = 1.0
            x.clock[C_PEAK] = 0.0
            x.clock[C_SPELL] = 0.0
            x.cup[0] = first
            emit(x, E_WATER, 0, 1.0, True)
        follow_ebb(x, s, out, first, rate)
    elif x.clock[C_WET] == 1.0:
        x.clock[C_WET] = 0.0
        x.clock[C_ENDED] = x.clock[C_ENDING]
        emit_at(x, x.clock[C_ENDING], E_WATER, 0, 0.0, True)


def follow_ebb(x, s, out, first, last):
    """Date the end as if no more came after this step, in which the rate went evenly from ``first`` to ``last``."""
    above = first - EBBED * x.clock[C_PEAK]
    remember_rates(x, out, first, last)
    below = last - EBBED * x.clock[C_PEAK]
    if below < 0.0 <= above:
        share = above / (above - below)
        x.clock[C_ENDING] = x.clock[C_NOW] + s * share
        x.clock[C_TAIL] = s * (1.0 - share) * (last + 0.5 * (first - last) * (1.0 - share))
    else:
        x.clock[C_TAIL] += out
    if below >= 0.0 or x.clock[C_TAIL] > LAST_CUP:
        x.clock[C_ENDING] = x.clock[C_NOW] + s
        x.clock[C_TAIL] = 0.0


def remember_rates(x, out, first, last):
    """Keep the rates of the last cup, and the one that it began with (before a cup has come, the greatest)."""
    before = x.clock[C_SPELL]
    now = before + out
    x.clock[C_SPELL] = now
    newest = int(now / PART_OF_CUP)
    for k in range(max(int(before / PART_OF_CUP) + 1, newest - PARTS_OF_CUP), newest + 1):
        share = min(1.0, (k * PART_OF_CUP - before) / out)
        x.cup[k % (PARTS_OF_CUP + 1)] = math.sqrt(first * first + (last * last - first * first) * share)
    oldest = newest - PARTS_OF_CUP
    if oldest < 0:
        x.clock[C_PEAK] = max(x.clock[C_PEAK], first, last)
        return
    part = now / PART_OF_CUP - newest
    old = x.cup[oldest % (PARTS_OF_CUP + 1)]
    x.clock[C_PEAK] = old + (x.cup[(oldest + 1) % (PARTS_OF_CUP + 1)] - old) * part

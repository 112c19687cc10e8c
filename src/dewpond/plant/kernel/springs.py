"""The springs of an island whose pressure-ratio gate cycles: how much they hold, and how they empty and fill again."""

from __future__ import annotations

import math

from dewpond.plant.kernel.marks import DWELL
from dewpond.plant.kernel.network import solve
from dewpond.plant.kernel.nodes import gauge
from dewpond.plant.primitives import SPRING

WITH = 0.05  # springs whose pressures differ by less than that share are felt together
BRIEF = 1e-3  # so soon a spring is looked at to see how fast it begins [s]
MOST_STRIDES = 60  # of springs that fill up
STRIDE = 0.05  # the first, of the time that its way takes about
ROUGHLY = 0.2  # the same before the turn begins
LONGER = 1.3  # and each is longer than the one before


def spring_node(p, i):
    """The spring that the island's ratio gate feels; -1 when there is none."""
    g = p.isl_gate[i]
    if g < 0:
        return -1
    n = p.gate_ref[g]
    if p.node_kind[n] == SPRING:
        return n
    return -1


def spring_net(p, x, i, n):
    """Net inflow of a spring node from ``try_flow`` [m3/s]."""
    total = 0.0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        if p.edge_b[e] == n:
            total += x.try_flow[e]
        if p.edge_a[e] == n:
            total -= x.try_flow[e]
    return total


def spring_room(p, x, i, n, held):
    """Compliance of the springs that stand with ``n`` while it is held and the gate is shut, however high they hang
    [m3/Pa]: they cycle as one."""
    total = 0.0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        if p.node_kind[m] == SPRING and abs(x.pressure[m] - x.pressure[n]) <= WITH * held:
            total += p.node_value[m]
    return total


def mean_at(first, last):
    """Where between the two ends of a way a rate stands at its mean over the time that the way takes, if it changes
    evenly along it (logarithmic mean): 0 at the first, 1 at the last."""
    if abs(last - first) < 1e-3 * abs(first):
        return 0.5
    return ((last - first) / math.log(last / first) - first) / (last - first)


def stride(p, x, i, dt, flows):
    """Let the springs of an island go on for ``dt`` [s], all together, and add what passes meanwhile to ``flows`` [m3].
    Returns what all springs take in [m3], and whether there are any flows."""
    if solve(p, x, i, dt, False, -1) < 0:
        return 0.0, False
    taken = 0.0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        if p.node_kind[m] == SPRING:
            taken += dt * spring_net(p, x, i, m)
            x.spring[m] = x.pressure[m]
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        flows[p.isl_edge[j]] += dt * x.try_flow[p.isl_edge[j]]
    return taken, True


def go_on(p, x, i, n, mark, way, first, least, flows):
    """Springs of an island fill (``way`` 1) or run down (-1) in strides, from ``first`` [s] on, until the one that the
    gate feels, ``n``, has come to ``mark`` [Pa], but for ``least`` [s]. Sums of flows into ``flows`` [m3]. Returns how
    long that takes [s], below 0 where it never comes there; what all springs take [m3]; and whether there are any
    flows."""
    lasted = 0.0
    total = 0.0
    dt = first
    for _k in range(MOST_STRIDES):
        span = min(dt, least - lasted) if lasted < least else dt
        before = gauge(p, x, n)
        for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
            x.last_flow[p.isl_edge[j]] = flows[p.isl_edge[j]]
        for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
            x.last_spring[p.isl_node[j]] = x.spring[p.isl_node[j]]
        taken, fine = stride(p, x, i, span, flows)
        if not fine:
            return 0.0, 0.0, False
        end = gauge(p, x, n)
        part = 1.0
        if lasted >= least and way * (end - mark) >= 0.0 and way * (mark - before) > 0.0:
            part = (mark - before) / (end - before)
            step_back(p, x, i, part, flows)
        lasted += part * span
        total += part * taken
        if lasted >= least and way * (end - mark) >= 0.0:
            return lasted, total, True
        dt = LONGER * max(span, first)
    return -1.0, 0.0, True


def step_back(p, x, i, part, flows):
    """Only this part of the last stride."""
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        flows[e] = x.last_flow[e] + part * (flows[e] - x.last_flow[e])
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        if p.node_kind[m] == SPRING:
            x.spring[m] = x.last_spring[m] + part * (x.spring[m] - x.last_spring[m])
            x.pressure[m] = x.spring[m]


def one_turn(p, x, i, n, high, low, held, n_open, n_shut):
    """One turn of a gate that cycles, in strides from the moment it shuts: what stands before a check valve empties
    backwards through the membrane meanwhile, and fills first when the gate opens, while the springs it feels run down
    further. Mean flows into ``shut_flow`` and ``open_flow``. Returns how long it is shut and open [s]; the last is
    below 0 where there is no solution, the first is 0 where it never opens again and below 0 where it never shuts.

    ``n_open`` and ``n_shut``: with so much the springs fill and run down at the pressure ``held`` [Pa], about [m3/s].
    """
    g = p.isl_gate[i]
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        x.own_spring[m] = x.spring[m]
        if p.node_kind[m] == SPRING:
            x.spring[m] = x.open_pressure[m]
    way = max(high - low, 0.1 * high) * p.node_value[n]
    x.bit[g] = 1
    # how the springs stand as it shuts: those of others follow each at its own pace
    opened, taken, fine = go_on(p, x, i, n, high, 1.0, ROUGHLY * way / n_open, 0.0, x.open_flow)
    shut = -1.0
    given = 0.0
    if fine and opened >= 0.0:
        opened = 0.0
        clear_sums(p, x, i)
        x.bit[g] = 0
        shut, given, fine = go_on(p, x, i, n, low, -1.0, STRIDE * way / -n_shut, DWELL, x.shut_flow)
        if shut < 0.0:
            shut = 0.0
        if fine and shut > 0.0 and given < 0.0:
            x.bit[g] = 1
            opened, taken, fine = go_on(p, x, i, n, high, 1.0, STRIDE * -given / n_open, DWELL, x.open_flow)
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        x.spring[p.isl_node[j]] = x.own_spring[p.isl_node[j]]
    if not fine:
        return 0.0, -1.0
    if shut <= 0.0 or given >= 0.0:
        return min(shut, 0.0), 0.0
    if opened < 0.0 or taken <= 0.0:
        return -1.0, 0.0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        x.shut_flow[e] /= shut
        x.open_flow[e] /= opened
    return shut, opened * -given / taken  # so that nothing comes from nowhere


def clear_sums(p, x, i):
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.shut_flow[p.isl_edge[j]] = 0.0
        x.open_flow[p.isl_edge[j]] = 0.0

"""The springs of an island whose pressure-ratio gate cycles: how much they hold, and how they empty and fill again."""

from __future__ import annotations

import math

from dewpond.plant.kernel.marks import BACK, DWELL, STAGE
from dewpond.plant.kernel.network import solve
from dewpond.plant.kernel.nodes import gauge
from dewpond.plant.primitives import SPRING

WITH = 0.05  # springs whose pressures differ by less than that share are felt together
BRIEF = 1e-3  # so soon a spring is looked at to see how fast it begins [s]
MOST_STRIDES = 30  # of springs that fill up
STRIDE = 0.05  # the first, of the time that its way takes about
ROUGHLY = 2.0  # the same before the turn begins
LONGER = 2.5  # and each is longer than the one before


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


def stride(p, x, i, dt):
    """Let the springs of an island go on for ``dt`` [s] in two stages, as steps do (:func:`islands.step_island`): the
    springs stay as they were, in ``pressure`` is where they come to, in ``early_flow`` and ``try_flow`` how fast water
    runs at both ends of the straight line through the stages. Returns whether there are any flows."""
    fine = solve(p, x, i, STAGE * dt, False, -1) >= 0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.early_flow[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        if p.node_kind[m] == SPRING:
            x.last_spring[m] = x.spring[m]
            x.spring[m] += (1.0 / STAGE - 1.0) * (x.pressure[m] - x.spring[m])
    fine = fine and solve(p, x, i, STAGE * dt, False, -1) >= 0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        x.early_flow[e] -= BACK * (x.try_flow[e] - x.early_flow[e])
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        if p.node_kind[m] == SPRING:
            x.spring[m] = x.last_spring[m]
    return fine


def part_to(p, x, i, n, dt, mark):
    """The part of a stride after which the spring ``n`` stands at ``mark`` [Pa]."""
    start = x.spring[n] - p.const[0] * p.const[1] * p.node_z[n]
    way = gauge(p, x, n) - start
    bend = spring_net(p, x, i, n) * dt / p.node_value[n] - way
    begin = way - bend
    inside = max(0.0, begin * begin + 4.0 * bend * (mark - start))
    half = begin + math.sqrt(inside) if way > 0.0 else begin - math.sqrt(inside)
    return min(1.0, max(0.0, 2.0 * (mark - start) / half)) if half != 0.0 else 1.0


def take_part(p, x, i, dt, part, flows):
    """Go so large a part of a stride of ``dt`` [s]; what passes goes to ``flows`` [m3]. Returns what all springs take
    in [m3]."""
    taken = 0.0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        if p.node_kind[m] == SPRING:
            way = x.pressure[m] - x.spring[m]
            bend = spring_net(p, x, i, m) * dt / p.node_value[m] - way
            gone = part * (way + (part - 1.0) * bend)
            taken += gone * p.node_value[m]
            x.spring[m] += gone
            x.pressure[m] = x.spring[m]
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        flows[e] += part * dt * (x.early_flow[e] + 0.5 * part * (x.try_flow[e] - x.early_flow[e]))
    return taken


def go_on(p, x, i, n, mark, way, first, least, flows):
    """Springs of an island fill (``way`` 1) or run down (-1) in strides, from ``first`` [s] on, until the one that the
    gate feels, ``n``, has come to ``mark`` [Pa], but for ``least`` [s]. Sums of flows into ``flows`` [m3]. Returns how
    long that takes [s], below 0 where it never comes there; what all springs take [m3]; and whether there are any
    flows."""
    lasted = 0.0
    total = 0.0
    dt = first
    for _k in range(MOST_STRIDES):
        travels = lasted < least
        span = min(dt, least - lasted) if travels else dt
        before = x.spring[n] - p.const[0] * p.const[1] * p.node_z[n]
        if not stride(p, x, i, span):
            return 0.0, 0.0, False
        there = way * (gauge(p, x, n) - mark) >= 0.0
        part = part_to(p, x, i, n, span, mark) if there and not travels and way * (mark - before) > 0.0 else 1.0
        total += take_part(p, x, i, span, part, flows)
        if travels and span >= least - lasted:
            lasted = least
        else:
            lasted += part * span
        if lasted >= least and there:
            return lasted, total, True
        dt = LONGER * max(span, first)
    return -1.0, 0.0, True


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
        shut, given, fine = go_on(p, x, i, n, low, -1.0, STRIDE * max(way / -n_shut, DWELL), DWELL, x.shut_flow)
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

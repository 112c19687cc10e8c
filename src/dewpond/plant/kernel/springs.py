"""The springs of an island whose pressure-ratio gate cycles: how much they hold, and how they empty and fill again."""

from __future__ import annotations

import math

from dewpond.plant.kernel.network import solve
from dewpond.plant.primitives import SPRING

BRIEF = 1e-3  # so soon a spring is looked at to see how fast it begins [s]
LEAST_ROOM = 1e-9  # less water in springs is not reckoned with [m3]
NEARLY = 0.02  # springs count as full when so little of their way is left


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
        if p.node_kind[m] == SPRING and abs(x.pressure[m] - x.pressure[n]) <= 0.05 * held:
            total += p.node_value[m]
    return total


def mean_at(first, last):
    """Where between the two ends of a way a rate stands at its mean over the time that the way takes, if it changes
    evenly along it (logarithmic mean): 0 at the first, 1 at the last."""
    if abs(last - first) < 1e-3 * abs(first):
        return 0.5
    return ((last - first) / math.log(last / first) - first) / (last - first)


def others_net(p, x, i, n):
    """Net inflow of all springs of an island but ``n``, from ``try_flow`` [m3/s]."""
    total = 0.0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        if p.node_kind[m] == SPRING and m != n:
            total += spring_net(p, x, i, m)
    return total


def look_at_springs(p, x, i, n, gone, is_open):
    """Flows of an island with its ratio gate open or shut, into ``try_flow``, with its springs but ``n`` on their way
    from where they stand while it is shut (``gone`` 0) to where they stand while it is open (1); returns the net inflow
    of those springs [m3/s], and whether there are any flows."""
    g = p.isl_gate[i]
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        if p.node_kind[m] == SPRING:
            x.own_spring[m] = x.spring[m]
            x.spring[m] = x.shut_pressure[m] + gone * (x.open_pressure[m] - x.shut_pressure[m])
    x.bit[g] = 1 if is_open else 0
    fine = solve(p, x, i, BRIEF, False, -1) >= 0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        if p.node_kind[m] == SPRING:
            x.spring[m] = x.own_spring[m]
    return others_net(p, x, i, n), fine


def recharge(p, x, i, n, shut, above, holds):
    """How long it takes each time that the gate opens until the springs before the one it feels are full again [s]:
    while it is shut, for ``shut`` [s], they empty backwards through the membrane. 0: nothing to fill; below 0: no
    solution. And the net inflow meanwhile of the one it feels [m3/s]. The mean flows go into ``again_flow``; what runs
    back is put into ``shut_flow``. ``above``: by so much the one it feels stands above its mean as the gate shuts [Pa].
    ``holds``: what that one gives in a cycle [m3]; where more is drawn meanwhile, it is empty before, and that is not
    reckoned with.
    """
    room = 0.0
    more = 0.0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        x.shut_pressure[m] = x.pressure[m]
        if p.node_kind[m] == SPRING and m != n:
            way = x.open_pressure[m] - x.shut_pressure[m]
            if way > above:
                room += p.node_value[m] * way
                more += p.node_value[m] * above
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.again_flow[p.isl_edge[j]] = 0.0
    back, fine = look_at_springs(p, x, i, n, 0.5, False)
    if not fine:
        return -1.0, 0.0
    if room <= LEAST_ROOM or back >= 0.0:
        return 0.0, 0.0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.again_flow[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
    emptied = 1.0 - math.exp(back / (0.5 * room) * shut)
    lost = (room + more) * emptied
    first, fine = look_at_springs(p, x, i, n, 1.0 - emptied, True)
    last, fine_too = look_at_springs(p, x, i, n, 1.0 - NEARLY * emptied, True)
    if not fine or not fine_too:
        return -1.0, 0.0
    if first <= 0.0 or last <= 0.0:
        return 0.0, 0.0
    at = mean_at(first, last)
    mean, fine = look_at_springs(p, x, i, n, 1.0 - emptied + at * (1.0 - NEARLY) * emptied, True)
    if not fine or mean <= 0.0:
        return -1.0, 0.0
    drawn = spring_net(p, x, i, n)
    if -drawn * lost / mean > holds:
        return 0.0, 0.0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        x.shut_flow[e] += lost / (shut * -back) * (x.again_flow[e] - x.shut_flow[e])
        x.again_flow[e] = x.try_flow[e]
    return lost / mean, drawn

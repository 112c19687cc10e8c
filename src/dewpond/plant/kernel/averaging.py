"""The averaged regime (Filippov's sliding mode) of a pressure-ratio gate that cycles fast: mean flows and starts."""

from __future__ import annotations

import math

from dewpond.plant.kernel.marks import DWELL
from dewpond.plant.kernel.network import solve
from dewpond.plant.kernel.nodes import gauge
from dewpond.plant.kernel.springs import mean_at, one_turn, spring_net, spring_room

MOST_TURNS = 6  # in search of a pressure that holds itself
NEAR = 0.01  # and how near two of them come,
NEAR_ENOUGH = 0.1  # where a turn is tried out anyway


def solve_both(p, x, i, dt, implicit, n, held, held_shut):
    """Flows of an island with its ratio gate open, into ``open_flow``, and shut, into ``shut_flow``, its spring held at
    a gauge pressure in each [Pa]. Returns whether there are any, the spring's net inflow in both [m3/s], and the
    pressures at which the gate then shuts and opens [Pa]."""
    g = p.isl_gate[i]
    far = p.gate_ref2[g]
    bit = x.bit[g]
    rgz = p.const[0] * p.const[1] * p.node_z[n]
    x.pressure[n] = rgz + held
    x.bit[g] = 1
    if solve(p, x, i, dt, implicit, n) < 0:
        return False, 0.0, 0.0, 0.0, 0.0
    n_open = spring_net(p, x, i, n)
    high = p.gate_a[g] * gauge(p, x, far)
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.open_flow[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        x.open_pressure[p.isl_node[j]] = x.pressure[p.isl_node[j]]
    x.pressure[n] = rgz + held_shut
    x.bit[g] = 0
    if solve(p, x, i, dt, implicit, n) < 0:
        return False, 0.0, 0.0, 0.0, 0.0
    n_shut = spring_net(p, x, i, n)
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.shut_flow[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
    x.bit[g] = bit
    return True, n_open, n_shut, high, p.gate_b[g] * gauge(p, x, far)


def solve_sagging(p, x, i, dt, implicit, n, high):
    """As :func:`solve_both`, for a feed that sags so much under flow that the gate opens again as soon as its diaphragm
    has travelled: the spring falls meanwhile from ``high`` [Pa], and fills again ever more slowly. Returns whether
    there are any flows, the mean net inflows [m3/s], and what the spring gives in between [m3]."""
    fine, n_open, n_shut, unused, low = solve_both(p, x, i, dt, implicit, n, high, high)
    if not fine or n_open <= 0.0 or n_shut >= 0.0:
        return fine, n_open, n_shut, 1.0
    room = spring_room(p, x, i, n, high)
    drop = min(-n_shut * DWELL / room, 0.9 * high)
    fine, low_open, low_shut, unused, low = solve_both(p, x, i, dt, implicit, n, high - drop, high - drop)
    if not fine or low_open <= n_open or low_shut >= 0.0:
        return fine, low_open, low_shut, room * drop
    slower = (low_shut - n_shut) / drop  # what the outflow loses with each pascal
    at_shut = mean_at(n_shut, low_shut)
    at_open = mean_at(n_open, low_open)
    if slower * DWELL > 1e-3 * room:
        fell = -n_shut / slower * (1.0 - math.exp(-slower * DWELL / room))
        at_shut = mean_at(n_shut, n_shut + slower * fell)
        at_open = mean_at(n_open, n_open + (low_open - n_open) * fell / drop)
        drop = min(fell, drop)
    fine, n_open, n_shut, unused, low = solve_both(
        p, x, i, dt, implicit, n, high - at_open * drop, high - at_shut * drop
    )
    return fine, n_open, n_shut, room * drop


def solve_sliding(p, x, i, dt, implicit):
    """Mean flows of a gate that cycles, into ``try_flow``; returns the share of time open and the starts per second.

    The sensed spring is held between the two pressures, and one turn is tried out (:func:`one_turn`). A feed that sags
    under flow may turn the two about (see :func:`solve_sagging`). A share of 0 or 1 means that the gate does not cycle
    at these levels (flows are then of no use).
    """
    g = p.isl_gate[i]
    n = p.gate_ref[g]
    bit = x.bit[g]
    high = p.gate_a[g] * gauge(p, x, p.gate_ref2[g])  # shuts there, against the pressure under flow
    low = p.gate_b[g] * gauge(p, x, p.gate_ref2[g])  # opens there, against the pressure at rest
    n_open = 0.0
    n_shut = 0.0
    before = 0.0
    held = 0.0
    fine = True
    for k in range(MOST_TURNS):
        held = high if low > high else 0.5 * (high + low)
        # the pressure under flow follows what is held where a feed sags
        near = NEAR if low > high else NEAR_ENOUGH
        if fine and (k < 2 or low > high) and abs(held - before) > near * held:
            fine, n_open, n_shut, high, low = solve_both(p, x, i, dt, implicit, n, held, held)
            before = held
    if fine and high <= 0.0:
        x.bit[g] = bit
        return 1.0, 0.0  # a feed without pressure holds nothing shut
    given = 1.0
    if fine and low > high:
        fine, n_open, n_shut, given = solve_sagging(p, x, i, dt, implicit, n, high)
    x.bit[g] = bit
    if not fine:
        return -1.0, 0.0
    if n_shut >= -1e-10:
        return 0.0, 0.0
    if n_open <= 0.0:
        return 1.0, 0.0
    shut = -given / n_shut
    opened = given / n_open
    if low <= high:
        shut, opened = one_turn(p, x, i, n, high, low, held, n_open, n_shut)
        x.bit[g] = bit
        if opened < 0.0:
            return -1.0, 0.0
        if shut <= 0.0:
            return 0.0 if shut == 0.0 else 1.0, 0.0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        x.try_flow[e] = (opened * x.open_flow[e] + shut * x.shut_flow[e]) / (opened + shut)
    return opened / (opened + shut), 1.0 / (opened + shut)


def solve_any(p, x, i, dt, implicit):
    """Solve an island in its present regime; returns starts per second of an averaged gate, 0, or -1: no solution."""
    if x.sliding[i] == 1:
        share, starts = solve_sliding(p, x, i, dt, implicit)
        if share < 0.0:
            return -1.0
        if 0.0 < share < 1.0:
            return starts
        x.sliding[i] = 0
        x.bit[p.isl_gate[i]] = 1 if share >= 1.0 else 0
    if solve(p, x, i, dt, implicit, -1) < 0:
        return -1.0
    return 0.0

"""All islands over one step: flows at its start and end, and how far the step may go."""

from __future__ import annotations

import math

from dewpond.plant.kernel.cycling import solve_any
from dewpond.plant.kernel.marks import HOPELESS
from dewpond.plant.kernel.nodes import body_of_node, has_spring, is_open, sum_island
from dewpond.plant.kernel.signals import emit
from dewpond.plant.kernel.vessels import level_of, volume_of
from dewpond.plant.primitives import C_DOUBTFUL, E_DOUBTFUL, FLOW, G_LEVEL, T_LEVEL


def fitted_theta(z):
    """Weight of the end flow that is exact for a linear vessel of ``z`` relaxation times per step."""
    if z < 1e-4:
        return 0.5
    if z > 40.0:
        return 1.0
    return 1.0 / (1.0 - math.exp(-z)) - 1.0 / z


def stiffness(p, x, i, dt, before, after):
    """Largest number of relaxation times per step among the island's vessels, from two solves."""
    z = 0.0
    rg = p.const[0] * p.const[1]
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        s = p.isl_store[j]
        h0, area = level_of(p, s, x.volume[s])
        dv = (x.level_p[s] / rg - p.store_z[s] - h0) * area
        if abs(dv) > 1e-12:
            k = (before[s] - after[s]) / dv * dt
            if k > z:
                z = k
    return z


def how_busy(p, x, i):
    """0: every path of the island is shut; 2: only fixed flows that no level throttles now; 1: to be solved."""
    busy = 0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        if not is_open(p, x, e):
            continue
        g = p.edge_gate[e]
        throttled = g >= 0 and p.gate_kind[g] == G_LEVEL and 0.0 < x.opening[g] < 1.0
        if p.edge_law[e] != FLOW or throttled:
            return 1
        busy = 2
    return busy


def begin_step(p, x, dt):
    """Flows of all islands at the start of a step, into ``flow``; solved anew where something has switched."""
    for s in range(len(p.store_z)):
        x.rate0[s] = 0.0
    for i in range(len(x.stale)):
        if x.stale[i] == 1:
            for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
                x.try_flow[p.isl_edge[j]] = x.flow[p.isl_edge[j]]
            if solve_any(p, x, i, dt, 1.0, False) < 0.0:
                x.clock[C_DOUBTFUL] += 1.0
                emit(x, E_DOUBTFUL, 3, float(i), True)
            x.busy[i] = how_busy(p, x, i)
            for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
                x.flow[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
        sum_island(p, x, i, x.flow, x.vin)
        for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
            x.rate0[p.isl_store[j]] += x.vin[p.isl_store[j]]


def time_to(p, x, r, h, longest):
    """Time a vessel takes to a level at its present rate; ``longest`` when it goes the other way or stands there."""
    t = (volume_of(p, r, h) - x.volume[r]) / x.rate0[r]
    if t < 1e-3:
        return longest
    return t


def sensible_step(p, x, dt):
    """A step that ends at the first mark any vessel reaches at the present rates."""
    best = dt
    for g in range(len(p.gate_kind)):
        if p.gate_kind[g] == G_LEVEL:
            r = p.gate_ref[g]
            if x.rate0[r] != 0.0:
                best = min(best, time_to(p, x, r, p.gate_a[g], best))
                best = min(best, time_to(p, x, r, p.gate_b[g], best))
    for k in range(len(p.thr_kind)):
        if p.thr_kind[k] == T_LEVEL and x.rate0[p.thr_ref[k]] != 0.0:
            best = min(best, time_to(p, x, p.thr_ref[k], p.thr_off[k] if x.thr_bit[k] else p.thr_on[k], best))
    for r in range(len(p.store_z)):
        if x.rate0[r] != 0.0:
            for j in range(p.table_at[r], p.table_at[r + 1]):
                best = min(best, time_to(p, x, r, p.table_h[j], best))
    return best


def mixing_step(p, x, dt):
    """A step in which no body of water exchanges more than a quarter of itself with another one."""
    best = dt
    for e in range(len(p.edge_a)):
        if x.flow[e] == 0.0:
            continue
        a = body_of_node(p, p.edge_a[e])
        b = body_of_node(p, p.edge_b[e])
        if a >= 0 and b >= 0 and a != b:
            source = p.edge_a[e] if x.flow[e] > 0.0 else p.edge_b[e]
            left = x.volume[p.node_ref[source]]
            if left > 1e-3:
                best = min(best, max(1.0, 0.25 * left / abs(x.flow[e])))
    return best


def step_island(p, x, i, dt):
    """One island of :func:`step_islands`."""
    first = p.isl_edge_at[i]
    last = p.isl_edge_at[i + 1]
    sum_island(p, x, i, x.flow, x.net_before)
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        s = p.isl_store[j]
        x.net[s] = x.rate[s] - x.net_before[s]
    for j in range(first, last):
        x.q_start[p.isl_edge[j]] = x.flow[p.isl_edge[j]]
    if has_spring(p, i):
        # springs relax within the step: start and end flows must both hold their balance over this very dt
        for j in range(first, last):
            x.try_flow[p.isl_edge[j]] = x.flow[p.isl_edge[j]]
        if solve_any(p, x, i, dt, 1.0, False) < 0.0:
            return HOPELESS
        for j in range(first, last):
            x.q_start[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
        sum_island(p, x, i, x.q_start, x.net_before)
    theta = x.theta[i]
    for turn in range(2):
        for j in range(first, last):
            x.try_flow[p.isl_edge[j]] = x.q_start[p.isl_edge[j]]
        x.starts_rate[i] = solve_any(p, x, i, dt, theta, True)
        if x.starts_rate[i] < 0.0:
            return HOPELESS
        sum_island(p, x, i, x.try_flow, x.vout)
        better = fitted_theta(stiffness(p, x, i, dt, x.net_before, x.vout))
        if abs(better - theta) <= 0.05:
            break
        if turn == 0:
            theta = better
    x.theta[i] = theta
    for j in range(first, last):
        e = p.isl_edge[j]
        x.move[e] = (1.0 - theta) * x.q_start[e] + theta * x.try_flow[e]
        if theta > 0.6:
            x.q_start[e] = x.move[e]
    worst = 0.0
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        s = p.isl_store[j]
        mean = (1.0 - theta) * x.net_before[s] + theta * x.vout[s]
        x.rate[s] = x.net[s] + mean
        allowed = max(1e-5 * p.const[3], 0.04 * p.const[3] * dt * abs(mean))
        size = dt * abs(x.vout[s] - x.net_before[s])
        if size > allowed * worst:
            worst = size / allowed
    return worst


def step_islands(p, x, dt):
    """Solve every island over ``dt``: start flows in ``q_start``, mean flows in ``move`` (as rates), end in ``try_flow``.

    Returns the largest ratio of a vessel's change of inflow to what is allowed (above 1: the step is too long).
    """
    worst = 0.0
    for s in range(len(p.store_z)):
        x.rate[s] = x.rate0[s]
    for i in range(len(x.stale)):
        if x.busy[i] == 1:
            worst = max(worst, step_island(p, x, i, dt))
            if worst >= HOPELESS:
                return worst
        elif x.busy[i] == 2:
            for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
                e = p.isl_edge[j]
                x.try_flow[e] = x.flow[e]
                x.q_start[e] = x.flow[e]
                x.move[e] = x.flow[e]
        else:
            for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
                e = p.isl_edge[j]
                x.try_flow[e] = 0.0
                x.q_start[e] = 0.0
                x.move[e] = 0.0
    for s in range(len(p.store_z)):
        x.rate[s] = 0.0
        x.rate_first[s] = 0.0
    for i in range(len(x.stale)):
        if x.busy[i] > 0:
            sum_island(p, x, i, x.q_start, x.vin)
            sum_island(p, x, i, x.move, x.vout)
            for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
                s = p.isl_store[j]
                x.rate_first[s] += x.vin[s]
                x.rate[s] += x.vout[s]
    return worst

"""The water of a step carried out and booked: vessels, springs, counters, supply, drains, places."""

from __future__ import annotations

from dewpond.plant.kernel.leaking import watch_leaks
from dewpond.plant.kernel.marks import BRIM, LAST_DROPS
from dewpond.plant.kernel.puddles import film_goes, pool_after
from dewpond.plant.kernel.salt import upstream
from dewpond.plant.kernel.signals import ask, counts_now, emit_at
from dewpond.plant.primitives import (
    AIR,
    C_NOW,
    E_POOL_FIRST,
    E_POOL_FULL,
    FIXED,
    FLOW,
    MEMBRANE,
    R_AIR,
    R_DRAIN,
    R_PLACE,
    S_AIR,
    S_DRAIN,
    S_REMOVED,
    S_SUPPLY,
    SPOUT,
    SPRING,
    TAP,
    V_AIR,
    V_DRAIN,
    V_DRIED,
    V_PLACES,
    V_SUPPLY,
)


def move_water(p, x, s, dt):
    """Turn the step's rates into volumes moved up to ``s``; move vessels, springs, counters."""
    f = s / dt
    for e in range(len(p.edge_a)):
        x.flow[e] = x.q_start[e] + 2.0 * (x.move[e] - x.q_start[e]) * f if f < 1.0 else x.try_flow[e]
        x.move[e] = (x.q_start[e] + (x.move[e] - x.q_start[e]) * f) * s
    for body in range(len(p.body_start)):
        x.body_v0[body] = 0.0
        x.body_v1[body] = 0.0
    for k in range(len(p.store_z)):
        x.body_v0[p.store_body[k]] += x.volume[k]
        x.spill[k] = 0.0
    for e in range(len(p.edge_a)):
        m = x.move[e]
        if m == 0.0:
            continue
        x.moved[e] += m
        a = p.edge_a[e]
        b = p.edge_b[e]
        ka = p.node_kind[a]
        kb = p.node_kind[b]
        if ka == TAP or ka == SPOUT:
            x.volume[p.node_ref[a]] -= m
        elif ka == SPRING:
            x.spring[a] -= m / p.node_value[a]
        if kb == TAP or kb == SPOUT:
            x.volume[p.node_ref[b]] += m
        elif kb == SPRING:
            x.spring[b] += m / p.node_value[b]
    for k in range(len(p.store_z)):
        if x.at_rim[k] == 1 and x.volume[k] > p.store_rim[k]:
            x.spill[k] = x.volume[k] - p.store_rim[k]
            x.volume[k] = p.store_rim[k]
    for k in range(len(p.store_z)):
        x.body_v1[p.store_body[k]] += x.volume[k]
    for c in range(len(p.cnt_edge)):
        if counts_now(p, x, c):
            if p.cnt_edge[c] < 0:
                x.counter[c] += s
            elif x.move[p.cnt_edge[c]] > 0.0:
                x.counter[c] += x.move[p.cnt_edge[c]]
    for i in range(len(x.stale)):
        if x.sliding[i] == 1:
            x.starts[p.isl_gate[i]] += x.starts_rate[i] * s


def book_flow(p, x, kind, ref, m, salt):
    """Book water that leaves the network [m3] and its dissolved matter [kg]."""
    if kind == R_PLACE:
        x.total[V_PLACES] += m
        x.pool_in[ref] += m
        x.pool_salt_in[ref] += salt
    elif kind == R_DRAIN:
        x.total[V_DRAIN] += m
        x.total[S_DRAIN] += salt
    elif kind == R_AIR:
        x.total[V_AIR] += m
        x.total[S_AIR] += salt


def book_water(p, x):
    """Supply, drains, places: where the volumes of the step came from and went to."""
    for l in range(len(p.place_cap)):
        x.pool_in[l] = 0.0
        x.pool_salt_in[l] = 0.0
    for e in range(len(p.edge_a)):
        m = x.move[e]
        if m == 0.0:
            continue
        a = p.edge_a[e] if m > 0.0 else p.edge_b[e]
        b = p.edge_b[e] if m > 0.0 else p.edge_a[e]
        c = upstream(p, x, a)
        salt = c * x.passage[e] * abs(m)
        if p.node_kind[a] == FIXED:
            x.total[V_SUPPLY] += abs(m)
            x.total[S_SUPPLY] += c * abs(m)
        if p.node_kind[b] == FIXED:
            x.total[V_SUPPLY] -= abs(m)
            x.total[S_SUPPLY] -= salt
        if p.node_kind[a] == AIR:
            x.total[V_AIR] -= abs(m)  # the trickle through a blocked direction, booked so that nothing is lost
        if p.node_kind[b] == AIR:
            book_flow(p, x, p.node_rkind[b], p.node_rref[b], abs(m), salt)
        if p.edge_law[e] != MEMBRANE and p.edge_law[e] != FLOW:
            x.total[S_REMOVED] += c * abs(m) - salt
        if p.node_kind[b] == SPRING:
            x.spring_salt[b] += salt
        if p.node_kind[a] == SPRING:
            keeps = p.edge_law[e] == MEMBRANE or p.edge_law[e] == FLOW
            x.spring_salt[a] -= salt if keeps else c * abs(m)
    for s in range(len(p.store_z)):
        if x.spill[s] > 0.0:
            salt = x.spill[s] * x.body_conc[p.store_body[s]]
            book_flow(p, x, p.store_rkind[s], p.store_rref[s], x.spill[s], salt)


def move_pools(p, x, s):
    """Pools take their inflow, dry, and pass on what they cannot hold."""
    out = 0.0
    for l in range(len(p.place_cap)):
        out += x.pool_in[l]
    watch_leaks(p, x, s, out)
    for j in range(len(p.place_cap)):
        l = p.place_order[j]
        v = x.pool[l]
        m = x.pool_in[l]
        tau = film_goes(p, x, l)
        if x.place_total[l] < LAST_DROPS <= x.place_total[l] + m:
            # what a place passes on from the end of the step, when it is full, has not come evenly
            share = 1.0 if x.pool_late[l] == 1 else (LAST_DROPS - x.place_total[l]) / m
            emit_at(x, x.clock[C_NOW] + s * share, E_POOL_FIRST, l, 0.0, True)
            ask(x, p.place_owner[l])
        x.pool_late[l] = 0
        x.place_total[l] += m
        if v == 0.0 and m == 0.0:
            continue
        over = 0.0
        lost = min(v, p.place_wet[l]) * s / tau
        if x.pool_full[l] == 1 and m >= lost:
            end = v
            over = m - lost
        else:
            end = pool_after(v, m / s, tau, p.place_wet[l], s)
        if end >= x.cap[l] * (1.0 - 1e-12):
            over += max(0.0, end - x.cap[l])
            if x.pool_full[l] == 0:
                x.pool_full[l] = 1
                if p.place_next_kind[l] == R_PLACE:
                    x.pool_late[p.place_next[l]] = 1
                emit_at(x, x.clock[C_NOW] + s, E_POOL_FULL, l, 0.0, True)
            end = min(end, x.cap[l])
        elif x.pool_full[l] == 1 and end < x.cap[l] * BRIM:
            x.pool_full[l] = 0
        dried = v + m - over - end
        taken = dried * (1.0 - tau / p.place_tau[l])  # by its outlet: the two share what goes as their rates do
        x.total[V_DRIED] += dried - taken
        salt = x.pool_salt[l] + x.pool_salt_in[l]
        carried = salt * over / (over + end) if over > 0.0 else 0.0
        x.pool[l] = end
        x.pool_salt[l] = salt - carried
        if taken > 0.0:
            drained = x.pool_salt[l] * taken / (taken + end)
            x.pool_salt[l] -= drained
            x.place_taken[l] += taken
            x.total[V_DRAIN] += taken
            x.total[S_DRAIN] += drained
        if over > 0.0:
            x.place_over[l] += over
            if p.place_next_kind[l] == R_PLACE:
                x.pool_in[p.place_next[l]] += over
                x.pool_salt_in[p.place_next[l]] += carried
            else:
                x.total[V_DRAIN] += over
                x.total[S_DRAIN] += carried

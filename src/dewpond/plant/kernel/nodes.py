"""Nodes and unknowns of one island of the network: which take part, which way water may go, which hang on nothing."""

from __future__ import annotations

from dewpond.plant.kernel.vessels import level_of, opening_of
from dewpond.plant.primitives import AIR, CHECK, FIXED, FLOW, G_LEVEL, JUNCTION, REGULATOR, SPOUT, SPRING, TAP, WEIR


def fixed_pressure(p, x, n):
    """Total pressure of a node that is no unknown [Pa]."""
    kind = p.node_kind[n]
    rg = p.const[0] * p.const[1]
    if kind == FIXED:
        return p.node_value[n] * x.source[n] + rg * p.node_z[n]
    if kind == TAP:
        return x.level_p[p.node_ref[n]]
    if kind == SPOUT:
        under = x.level_p[p.node_ref[n]]
        over = rg * p.node_z[n]
        return under if under > over else over
    if kind == SPRING:
        return x.spring[n]
    if kind == AIR:
        return rg * p.node_z[n]
    return x.pressure[n]


def may_flow(p, x, e, forward):
    """Whether water can go that way: nothing is sucked in from open air, a check valve, a regulator or an overflow lets
    none back, wherever it ends, and a tube that has slipped out of its joint gets none."""
    law = p.edge_law[e]
    if not forward and (law == CHECK or law == WEIR or law == REGULATOR):
        return False
    if forward and x.cut[e] == 1:
        return False
    n = p.edge_a[e] if forward else p.edge_b[e]
    kind = p.node_kind[n]
    if kind == AIR:
        return False
    if kind == SPOUT:
        return x.level_p[p.node_ref[n]] > p.const[0] * p.const[1] * p.node_z[n]
    return True


def gauge(p, x, n):
    return x.pressure[n] - p.const[0] * p.const[1] * p.node_z[n]


def is_open(p, x, e):
    g = p.edge_gate[e]
    return g < 0 or x.opening[g] > 0.0


def lay_unknowns(p, x, i, implicit, pinned):
    """Number the unknowns of island ``i``; returns how many. Openings of its edges are brought up to date.

    Along the line first, vessels last: what hangs together then lies side by side (see :func:`width`)."""
    n_unknown = 0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        n = p.isl_node[j]
        kind = p.node_kind[n]
        if kind == JUNCTION or (kind == SPRING and n != pinned):
            x.unknown[n] = n_unknown
            n_unknown += 1
            if kind == SPRING:
                x.pressure[n] = x.spring[n]
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        s = p.isl_store[j]
        h, area = level_of(p, s, x.volume[s])
        x.level_p[s] = p.const[0] * p.const[1] * (p.store_z[s] + h)
        x.live[s] = -1
        if implicit and x.at_rim[s] == 0:
            x.live[s] = n_unknown
            n_unknown += 1
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        n = p.isl_node[j]
        kind = p.node_kind[n]
        if kind == JUNCTION or (kind == SPRING and n != pinned):
            continue
        if kind == TAP:
            x.unknown[n] = x.live[p.node_ref[n]]
            x.pressure[n] = x.level_p[p.node_ref[n]]
        elif kind == SPOUT:
            x.pressure[n] = fixed_pressure(p, x, n)
            under = x.pressure[n] > p.const[0] * p.const[1] * p.node_z[n]
            x.unknown[n] = x.live[p.node_ref[n]] if under else -1
        elif kind == SPRING:
            x.unknown[n] = -1  # held: the caller has set its pressure
        else:
            x.unknown[n] = -1
            x.pressure[n] = fixed_pressure(p, x, n)
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        g = p.edge_gate[e]
        if g >= 0:
            h = 0.0
            if p.gate_kind[g] == G_LEVEL:
                h, area = level_of(p, p.gate_ref[g], x.volume[p.gate_ref[g]])
            o, slope = opening_of(p, x, g, h)
            x.opening[g] = o
    return n_unknown


def list_open(p, x, i):
    """Put the open edges of the island into ``open_edge``, shut ones to rest; returns how many are open."""
    count = 0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        if is_open(p, x, e):
            x.open_edge[count] = e
            count += 1
        else:
            x.try_flow[e] = 0.0
    return count


def mark_anchored(p, x, i, n_unknown, n_open):
    """Set ``col`` to 1 for unknowns that hang on something (fixed pressure, spring, vessel), to -1 for the rest."""
    for u in range(n_unknown):
        x.col[u] = -1.0
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        u = x.live[p.isl_store[j]]
        if u >= 0:
            x.col[u] = 1.0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        n = p.isl_node[j]
        if p.node_kind[n] == SPRING and x.unknown[n] >= 0:
            x.col[x.unknown[n]] = 1.0
    again = True
    while again:
        again = False
        for j in range(n_open):
            e = x.open_edge[j]
            if p.edge_law[e] == FLOW:
                continue
            ua = x.unknown[p.edge_a[e]]
            ub = x.unknown[p.edge_b[e]]
            a_ok = ua < 0 or x.col[ua] > 0.0
            b_ok = ub < 0 or x.col[ub] > 0.0
            if a_ok and not b_ok:
                x.col[ub] = 1.0
                again = True
            elif b_ok and not a_ok:
                x.col[ua] = 1.0
                again = True


def body_of_node(p, n):
    if p.node_kind[n] == TAP or p.node_kind[n] == SPOUT:
        return p.store_body[p.node_ref[n]]
    return -1


def sum_island(p, x, i, flow, out):
    """Net inflow of each vessel from the edges of island ``i`` into ``out``."""
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        out[p.isl_store[j]] = 0.0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        a = p.edge_a[e]
        b = p.edge_b[e]
        if p.node_kind[a] == TAP or p.node_kind[a] == SPOUT:
            out[p.node_ref[a]] -= flow[e]
        if p.node_kind[b] == TAP or p.node_kind[b] == SPOUT:
            out[p.node_ref[b]] += flow[e]


def mark_store_stale(p, x, s):
    for i in range(len(x.stale)):
        for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
            if p.isl_store[j] == s:
                x.stale[i] = 1


def keep_end(p, x, i):
    """Keep flows and pressures of island ``i`` at the end of the step, while another question is put to it."""
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.end_flow[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        x.end_pressure[p.isl_node[j]] = x.pressure[p.isl_node[j]]


def put_back_end(p, x, i):
    """Put back what :func:`keep_end` kept."""
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.try_flow[p.isl_edge[j]] = x.end_flow[p.isl_edge[j]]
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        x.pressure[p.isl_node[j]] = x.end_pressure[p.isl_node[j]]

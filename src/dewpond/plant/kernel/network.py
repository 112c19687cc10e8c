"""One island solved by the gradient method of Todini and Pilati (1988): flows of the edges, pressures of the nodes."""

from __future__ import annotations

from dewpond.plant.kernel.matrix import (
    add_capacities,
    add_edge,
    add_flow,
    balance_row,
    clear,
    eliminate,
    width,
    wrongly_blocked,
)
from dewpond.plant.kernel.nodes import fixed_pressure, lay_unknowns, list_open, mark_anchored
from dewpond.plant.primitives import C_SOLVES, JUNCTION, SPOUT

ABSURD = 1e3  # no search that comes to such a flow finds back [m3/s]
HARDLY = 2e-11  # check valves that let so little by in turns may do so: not two millilitres a day [m3/s]
KNOWN = 1e-9  # of the island's strongest flow: so well a flow is known that the next iteration would change less
NEARLY = 1e-5  # as it does if the last one changed no more than that
AT_REST = 1e-13  # a flow known so well is known: nine thousandths of a millilitre a day [m3/s]


def new_flow(p, x, e):
    """Flow of a linearised edge at the pressures just found."""
    ua = x.unknown[p.edge_a[e]]
    ub = x.unknown[p.edge_b[e]]
    if (ua >= 0 and x.col[ua] < 0.0) or (ub >= 0 and x.col[ub] < 0.0):
        return 0.0
    pa = x.rhs[ua] if ua >= 0 else x.pressure[p.edge_a[e]]
    pb = x.rhs[ub] if ub >= 0 else x.pressure[p.edge_b[e]]
    q = x.lin_y[e] + x.lin_w[e] * (pa - pb)
    if x.lin_u[e] >= 0:
        q += x.lin_c[e] * x.rhs[x.lin_u[e]]
    return q


def take_pressures(p, x, i):
    """Take the solution over into nodes and vessels; returns the largest change of a vessel's pressure [Pa]."""
    moved = 0.0
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        s = p.isl_store[j]
        if x.live[s] >= 0:
            moved = max(moved, abs(x.rhs[x.live[s]] - x.level_p[s]))
            x.level_p[s] = x.rhs[x.live[s]]
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        node = p.isl_node[j]
        u = x.unknown[node]
        if u >= 0:
            x.pressure[node] = x.rhs[u]
        elif p.node_kind[node] == SPOUT:
            x.pressure[node] = fixed_pressure(p, x, node)
    return moved


def begin_anew(p, x, i, n_open, pinned, implicit):
    """Forget flows and pressures from which the search for a solution ran away: it begins at rest."""
    for j in range(n_open):
        x.try_flow[x.open_edge[j]] = 0.0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        n = p.isl_node[j]
        if p.node_kind[n] == JUNCTION:
            x.pressure[n] = p.const[0] * p.const[1] * p.node_z[n]
    lay_unknowns(p, x, i, implicit, pinned)


def solve(p, x, i, dt, implicit, pinned):
    """Flows of island ``i`` into ``try_flow`` and pressures of its nodes; returns iterations, or -1 when not settled.

    ``implicit``: the vessels it touches stand after ``dt`` [s] at an unknown level; otherwise they stand still. Springs
    take part, over ``dt``, but for node ``pinned``.
    """
    n = lay_unknowns(p, x, i, implicit, pinned)
    n_open = list_open(p, x, i)
    if n_open == 0:
        return 0
    mark_anchored(p, x, i, n, n_open)
    x.clock[C_SOLVES] += 1.0
    wide = width(p, x, n_open)
    fresh = True
    anew = False
    last = 0.0
    for it in range(110):
        clear(x, n, wide)
        for j in range(n_open):
            e = x.open_edge[j]
            a = p.edge_a[e]
            b = p.edge_b[e]
            y, w, c, us = add_edge(p, x, e, fresh, it < 20, 20 <= it < 40)
            x.lin_y[e] = y
            x.lin_w[e] = w
            x.lin_c[e] = c
            x.lin_u[e] = us
            add_flow(p, x, n, balance_row(p, x, a), a, b, y, w, c, us, 1.0)
            add_flow(p, x, n, balance_row(p, x, b), a, b, y, w, c, us, -1.0)
        add_capacities(p, x, i, n, wide, dt, pinned >= 0)
        eliminate(x, n, wide)
        fresh = False
        wild = False
        biggest = 0.0
        change = 0.0
        for j in range(n_open):
            e = x.open_edge[j]
            q = new_flow(p, x, e)
            if 20 < it < 60:
                q = 0.5 * (q + x.try_flow[e])
            if not abs(q) < ABSURD:
                wild = True
            change = max(change, abs(q - x.try_flow[e]))
            biggest = max(biggest, abs(q))
            x.try_flow[e] = q
        if wild:
            begin_anew(p, x, i, n_open, pinned, implicit)
            if anew:
                return -1
            fresh = True
            anew = True
            last = 0.0
            continue
        moved = take_pressures(p, x, i)
        rest = AT_REST if it <= 30 else HARDLY
        # near the solution, each iteration squares what is still wrong, but for a factor that the last two show
        near = change <= NEARLY * biggest + rest
        if it > 0 and near and change * change * change <= (KNOWN * biggest + rest) * last * last and moved < 1e-3:
            if it > 30 or not wrongly_blocked(p, x, n_open):
                return it + 1
        last = change
    return -1

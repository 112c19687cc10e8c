"""The engine's inner part: one source, run interpreted on lists for single questions, compiled by numba for many.

All jitted code stands in this one file, because numba's cache does not see edits of callees in other files. The rules
that keep both ways equal to the byte: no integer powers, no fast-math, no reordered sums, only ``math`` functions, only
element access on the fields of :class:`~dewpond.plant.primitives.Arrays` and ``State``.

A step: stores are integrated together with the network. Each island of the network (parts joined by water between
vessels) is solved by the gradient method of Todini and Pilati (1988), with flows as unknowns of the edges and pressures
as unknowns of the nodes; the vessels it touches are implicit unknowns, weighted by an exponentially fitted theta, so a
float valve or an overflow in balance needs no short steps. A shut-off that cycles fast against a float is replaced by
the mean of both modes that holds its pressure (Filippov's sliding mode), with its starts counted.
"""

from __future__ import annotations

import math

# ruff: noqa: PLR0912, PLR0913, PLR0915 - jitted code in one file, few long functions
from dewpond.plant.primitives import (
    AIR,
    C_DOUBTFUL,
    C_EVENTS,
    C_FLUTTER,
    C_ENDED,
    C_NOW,
    C_QUIET,
    C_ROW_STEP,
    C_ROWS,
    C_SOLVES,
    C_STEP,
    C_STEPS,
    C_TT_ROW,
    C_WET,
    CHECK,
    E_DOUBTFUL,
    E_FAULT,
    E_POOL_FIRST,
    E_POOL_FULL,
    E_RIM,
    E_RIM_END,
    E_SIGNAL,
    E_WATER,
    FIXED,
    FLOW,
    G_CONST,
    G_LEVEL,
    G_PRIMED,
    G_RATIO,
    G_SIGNAL,
    JUNCTION,
    L_CONST,
    L_HOLD,
    L_LATCH,
    L_OFF_DELAY,
    L_ON_DELAY,
    L_THRESHOLD,
    L_TIMETABLE,
    L_VOTE,
    MEMBRANE,
    ORIFICE,
    P_FORCE,
    P_GATE_HIGH,
    P_GATE_LOW,
    P_HOLDS,
    P_PASSAGE,
    P_SCALE_EDGE,
    P_SCALE_SOURCE,
    PUMP,
    R_AIR,
    R_DRAIN,
    R_PLACE,
    S_AIR,
    S_DRAIN,
    S_REMOVED,
    S_SUPPLY,
    SPOUT,
    SPRING,
    T_COUNTER,
    T_FLOW,
    T_LEVEL,
    T_POOL,
    T_PRESSURE,
    TAP,
    TUBE,
    V_AIR,
    V_DRAIN,
    V_DRIED,
    V_PLACES,
    V_SUPPLY,
    WEIR,
)

BLOCKED = 1e20  # resistance of a direction that water cannot take [Pa/(m3/s)]
SMALL = 1e-6  # flow at which a law is first linearised [m3/s]
NEVER = 1e30
LAST_DROPS = 1e-5  # what a tube lets out after the last valve has shut [m3]
LEAST_LEAK = 1e-10  # slower than half a litre a month is no water on the floor [m3/s]
SETTLED = 1000.0  # long enough for springs to follow [s]
TAIL = 0.02  # share of its band below its shut end over which a throttle still trickles
LEAST = 1e-4  # least opening of a throttle that counts as open
FADE = 0.002  # an outlet less deep under water than this does not draw full back-flow [m]
DWELL = 1.0  # a diaphragm needs about so long to travel [s]; our prior
SNAP = 0.01  # a level gate less open than this is pressed shut by its own lever


# --- friction and edge laws ------------------------------------------------------------------------------------------
def friction(re, rel):
    """Darcy factor of Churchill (1977) and its logarithmic slope against the Reynolds number."""
    s = math.pow(7.0 / re, 0.9)
    u = s + 0.27 * rel
    a1 = -2.457 * math.log(u)
    a2 = a1 * a1
    a4 = a2 * a2
    a8 = a4 * a4
    a = a8 * a8
    b1 = 37530.0 / re
    b2 = b1 * b1
    b4 = b2 * b2
    b8 = b4 * b4
    b = b8 * b8
    c1 = 8.0 / re
    c2 = c1 * c1
    c4 = c2 * c2
    c = c4 * c4 * c4
    t = a + b
    d = 1.0 / (t * math.sqrt(t))
    x = c + d
    f = 8.0 * math.pow(x, 1.0 / 12.0)
    da = 16.0 * a / a1 * (2.457 * 0.9 * s / u)  # d a / d ln re
    db = -16.0 * b
    slope = (-12.0 * c - 1.5 * d / t * (da + db)) / (12.0 * x)
    return f, slope


def law(p, e, q, o, scale):
    """Pressure lost in the direction a -> b [Pa] at flow ``q`` and its slope; ``o`` is the opening, ``scale`` a fault's."""
    kind = p.edge_law[e]
    m = abs(q)
    if kind == TUBE:
        bore = p.edge_p1[e]
        area = 0.7853981633974483 * bore * bore
        rho = p.const[0]
        nu = p.const[2]
        v = m / area
        re = v * bore / nu
        ratio = p.edge_p2[e] / bore
        g = 32.0 * nu * rho * ratio / (bore * area)
        h = g * m
        if re > 1000.0:
            f, n = friction(re, p.edge_p3[e])
            h = f * ratio * 0.5 * rho * v * v
            g = h * (2.0 + n) / m
        k = p.edge_p4[e] * 0.5 * rho / (area * area)
        h += k * m * m
        g += 2.0 * k * m
        h *= scale
        g *= scale
    elif kind == MEMBRANE:
        r = scale / p.edge_p1[e]
        return r * q + p.edge_p2[e], r
    elif kind == PUMP:
        # head at no flow p1, quadratic fall p2; back-flow through a running pump meets the same resistance
        # drawing air (an opening below 1), it delivers so much less
        k = p.edge_p2[e] / (o * o)
        r = k * 1e-8
        return k * q * m + r * q - p.edge_p1[e] * scale, 2.0 * k * m + r
    else:
        k = p.edge_p1[e] * scale
        r = k * 1e-9
        h = k * m * m + r * m
        g = 2.0 * k * m + r
        if kind == CHECK and q > 0.0:
            return h + p.edge_p2[e], g
    if o < 1.0:
        oo = 1.0 / (o * o)
        h *= oo
        g *= oo
    if q < 0.0:
        h = -h
    return h, g


def weir(p, e, head, scale):
    """Overflow [m3/s] at ``head`` [m] over the crest, and its slope [m2/s]: weir while shallow, full bore when deep."""
    if head <= 0.0:
        return 0.0, 0.0
    head = head / scale
    root = math.sqrt(head)
    q = p.edge_p1[e] * head * root
    full = p.edge_p2[e] * root
    if q < full:
        return q, 1.5 * p.edge_p1[e] * root / scale
    return full, 0.5 * p.edge_p2[e] / root / scale


# --- vessels ---------------------------------------------------------------------------------------------------------
def level_of(p, s, v):
    """Height of the water above the vessel's bottom [m], and the area there [m2]."""
    i = p.table_at[s]
    last = p.table_at[s + 1] - 2
    while i < last and v > p.table_v[i + 1]:
        i += 1
    area = (p.table_v[i + 1] - p.table_v[i]) / (p.table_h[i + 1] - p.table_h[i])
    return p.table_h[i] + (v - p.table_v[i]) / area, area


def volume_of(p, s, h):
    """Volume at a height above the vessel's bottom [m3]."""
    i = p.table_at[s]
    last = p.table_at[s + 1] - 2
    while i < last and h > p.table_h[i + 1]:
        i += 1
    return p.table_v[i] + (h - p.table_h[i]) * (p.table_v[i + 1] - p.table_v[i]) / (p.table_h[i + 1] - p.table_h[i])


def band_opening(p, g, h):
    """Opening of a level gate at a height, not yet clamped by faults, and its slope [1/m]."""
    span = p.gate_b[g] - p.gate_a[g]
    o = (p.gate_b[g] - h) / span
    if o >= 1.0:
        return 1.0, 0.0
    if o <= 0.0:
        return 0.0, 0.0
    return o, -1.0 / span


def opening_of(p, x, g, h):
    """Opening of any gate; ``h`` is the level for level gates. Returns opening and slope [1/m]."""
    kind = p.gate_kind[g]
    o = 0.0
    slope = 0.0
    if kind == G_CONST:
        o = p.gate_a[g]
    elif kind == G_SIGNAL:
        o = 1.0 if x.signal[p.gate_ref[g]] else 0.0
    elif kind == G_LEVEL:
        if x.bit[g] == 0:
            o, slope = band_opening(p, g, h)
            if o < SNAP and p.gate_c[g] >= 0.0:
                o = SNAP
                slope = 0.0
            elif o < LEAST:
                # a throttle in balance near its shut end must not flap: a thin tail ends it
                span = p.gate_b[g] - p.gate_a[g]
                tail = 1.0 + (p.gate_b[g] - h) / span / TAIL
                if 0.0 < tail < 1.0:
                    o = LEAST * tail
                    slope = -LEAST / (TAIL * span)
                elif tail >= 1.0:
                    o = LEAST
                    slope = 0.0
        if p.gate_ref2[g] >= 0 and x.signal[p.gate_ref2[g]] == 0:
            o = 0.0
            slope = 0.0
    elif kind == G_RATIO:
        o = float(x.bit[g])
    elif kind == G_PRIMED:
        if x.bit[g] == 1 and x.signal[p.gate_ref[g]] == 0:
            o = 1.0
    if o <= x.low[g]:
        o = x.low[g]
        slope = 0.0
    if o >= x.high[g]:
        o = x.high[g]
        slope = 0.0
    return o, slope


# --- one island of the network ---------------------------------------------------------------------------------------
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
    """Whether water can go that way: nothing is sucked in from open air."""
    n = p.edge_a[e] if forward else p.edge_b[e]
    kind = p.node_kind[n]
    if kind == AIR:
        return False
    if kind == SPOUT:
        return x.level_p[p.node_ref[n]] > p.const[0] * p.const[1] * p.node_z[n]
    if kind == JUNCTION or kind == SPRING or kind == TAP or kind == FIXED:
        if not forward and p.edge_law[e] == CHECK:
            return False
        if not forward and p.edge_law[e] == WEIR:
            return False
    return True


def lay_unknowns(p, x, i, implicit, pinned):
    """Number the unknowns of island ``i``; returns how many. Openings of its edges are brought up to date."""
    n_unknown = 0
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
            x.unknown[n] = n_unknown
            n_unknown += 1
            if kind == SPRING:
                x.pressure[n] = x.spring[n]
        elif kind == TAP:
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


def is_open(p, x, e):
    g = p.edge_gate[e]
    return g < 0 or x.opening[g] > 0.0


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
    """Set ``col`` to 1 for unknowns that hang on something (a fixed pressure, a spring, a vessel), to -1 for the rest."""
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


def eliminate(x, n):
    """Gauss with row pivoting on the dense ``matrix`` (n x n, row-wise) and ``rhs``; the answer stands in ``rhs``."""
    for k in range(n):
        best = k
        size = abs(x.matrix[k * n + k])
        for r in range(k + 1, n):
            if abs(x.matrix[r * n + k]) > size:
                size = abs(x.matrix[r * n + k])
                best = r
        if size == 0.0:
            x.matrix[k * n + k] = 1.0
            x.rhs[k] = 0.0
            continue
        if best != k:
            for c in range(k, n):
                t = x.matrix[k * n + c]
                x.matrix[k * n + c] = x.matrix[best * n + c]
                x.matrix[best * n + c] = t
            t = x.rhs[k]
            x.rhs[k] = x.rhs[best]
            x.rhs[best] = t
        inv = 1.0 / x.matrix[k * n + k]
        for r in range(k + 1, n):
            if x.matrix[r * n + k] != 0.0:
                f = x.matrix[r * n + k] * inv
                for c in range(k + 1, n):
                    x.matrix[r * n + c] -= f * x.matrix[k * n + c]
                x.rhs[r] -= f * x.rhs[k]
    for k in range(n - 1, -1, -1):
        t = x.rhs[k]
        for c in range(k + 1, n):
            t -= x.matrix[k * n + c] * x.rhs[c]
        x.rhs[k] = t / x.matrix[k * n + k]


def drives_forward(p, x, e):
    """Whether the pressures (and a pump's own head) push water from a to b."""
    lift = 0.0
    if p.edge_law[e] == CHECK or p.edge_law[e] == MEMBRANE:
        lift = p.edge_p2[e]
    elif p.edge_law[e] == PUMP:
        lift = -p.edge_p1[e] * x.scale[e]
    return x.pressure[p.edge_a[e]] > x.pressure[p.edge_b[e]] + lift


def wrongly_blocked(p, x, n_open):
    """Whether an edge that was taken as blocked is pushed the way it may flow, at the pressures just found."""
    for j in range(n_open):
        e = x.open_edge[j]
        if x.lin_w[e] == 1.0 / BLOCKED and may_flow(p, x, e, drives_forward(p, x, e)):
            a = x.pressure[p.edge_a[e]]
            b = x.pressure[p.edge_b[e]]
            if abs(a - b) > 1e-3:
                return True
    return False


def add_edge(p, x, e, first, early):
    """Linearise edge ``e`` and add it to the matrix; returns (y, w, c, u): Q = y + w (Pa - Pb) + c P[u]."""
    g = p.edge_gate[e]
    o = 1.0
    slope = 0.0
    u = -1
    level_pressure = 0.0
    if g >= 0:
        o = x.opening[g]
        if p.gate_kind[g] == G_LEVEL:
            s = p.gate_ref[g]
            u = x.live[s]
            level_pressure = x.level_p[s]
            h = level_pressure / (p.const[0] * p.const[1]) - p.store_z[s]
            o, slope = opening_of(p, x, g, h)
            slope /= p.const[0] * p.const[1]
    c = 0.0
    if p.edge_law[e] == FLOW:
        y = p.edge_p1[e] * o * x.scale[e]
        w = 0.0
        if u >= 0 and slope != 0.0:
            c = p.edge_p1[e] * x.scale[e] * slope
            y -= c * level_pressure
        return y, w, c, u
    if o < 1e-9:
        o = 1e-9  # the vessel may fall below the band within the step
        slope = 0.0
    if p.edge_law[e] == WEIR:
        # in terms of pressure, not of flow: the vessel may end the step below the crest
        rg = p.const[0] * p.const[1]
        drop = x.pressure[p.edge_a[e]] - x.pressure[p.edge_b[e]]
        q, w = weir(p, e, drop / rg, x.scale[e])
        w *= o / rg
        return q * o - w * drop, w, 0.0, -1
    q = x.try_flow[e]
    forward = q > 0.0
    if abs(q) < 1e-13:
        forward = drives_forward(p, x, e)
    if not may_flow(p, x, e, forward):
        return 0.0, 1.0 / BLOCKED, 0.0, -1
    if not forward and p.node_kind[p.edge_b[e]] == SPOUT:
        # an outlet that is hardly under water draws air with it
        n = p.edge_b[e]
        under = x.level_p[p.node_ref[n]] / (p.const[0] * p.const[1]) - p.node_z[n]
        if under < FADE:
            o *= max(under / FADE, LEAST)
    if (first and abs(q) < SMALL) or (early and abs(q) < 1e-11):
        q = SMALL if forward else -SMALL
        h, grad = law(p, e, q, o, x.scale[e])
        if p.edge_law[e] == ORIFICE or p.edge_law[e] == TUBE:
            return 0.0, q / h, 0.0, -1
        w = 1.0 / grad
        return q - h * w, w, 0.0, -1
    if abs(q) < 1e-13 and (p.edge_law[e] == CHECK or p.edge_law[e] == PUMP):
        q = 1e-13 if forward else -1e-13
    h, grad = law(p, e, q, o, x.scale[e])
    w = 1.0 / grad
    y = q - h * w
    if u >= 0 and slope != 0.0 and o > 0.0:
        lost = h + p.edge_p1[e] * x.scale[e] if p.edge_law[e] == PUMP else h
        c = w * 2.0 * lost / o * slope
        y -= c * level_pressure
    else:
        u = -1
    return y, w, c, u


def balance_row(p, x, node):
    """The unknown whose balance the water at a node enters: a vessel's even where its outlet hangs in the air."""
    kind = p.node_kind[node]
    if kind == TAP or kind == SPOUT:
        return x.live[p.node_ref[node]]
    return x.unknown[node]


def add_flow(p, x, n, row, a, b, y, w, c, us, sign):
    """Add the linearised flow a -> b to one balance; ``sign`` is 1 where it leaves."""
    if row < 0:
        return
    x.rhs[row] -= sign * y
    ua = x.unknown[a]
    ub = x.unknown[b]
    if ua >= 0:
        x.matrix[row * n + ua] += sign * w
    else:
        x.rhs[row] -= sign * w * x.pressure[a]
    if ub >= 0:
        x.matrix[row * n + ub] -= sign * w
    else:
        x.rhs[row] += sign * w * x.pressure[b]
    if us >= 0:
        x.matrix[row * n + us] += sign * c


def solve(p, x, i, dt, theta, implicit, pinned):
    """Flows of island ``i`` into ``try_flow`` and pressures of its nodes; returns iterations, or -1 when not settled.

    ``implicit``: the vessels it touches end the step of ``dt`` at an unknown level (weight ``theta`` of the end flow,
    the rest from ``net_before``); otherwise they stand still. Springs take part, over ``dt``, but for node ``pinned``.
    """
    n = lay_unknowns(p, x, i, implicit, pinned)
    n_open = list_open(p, x, i)
    if n_open == 0:
        return 0
    mark_anchored(p, x, i, n, n_open)
    x.clock[C_SOLVES] += 1.0
    for it in range(80):
        for k in range(n * n):
            x.matrix[k] = 0.0
        for u in range(n):
            x.rhs[u] = 0.0
        for j in range(n_open):
            e = x.open_edge[j]
            a = p.edge_a[e]
            b = p.edge_b[e]
            y, w, c, us = add_edge(p, x, e, it == 0, it < 20)
            x.lin_y[e] = y
            x.lin_w[e] = w
            x.lin_c[e] = c
            x.lin_u[e] = us
            add_flow(p, x, n, balance_row(p, x, a), a, b, y, w, c, us, 1.0)
            add_flow(p, x, n, balance_row(p, x, b), a, b, y, w, c, us, -1.0)
        add_capacities(p, x, i, n, dt, theta, pinned >= 0)
        eliminate(x, n)
        biggest = 0.0
        change = 0.0
        for j in range(n_open):
            e = x.open_edge[j]
            q = new_flow(p, x, e)
            if it > 20:
                q = 0.5 * (q + x.try_flow[e])
            change = max(change, abs(q - x.try_flow[e]))
            biggest = max(biggest, abs(q))
            x.try_flow[e] = q
        moved = take_pressures(p, x, i)
        if it > 0 and change <= 1e-10 * biggest + 1e-15 and moved < 1e-3:
            if it > 30 or not wrongly_blocked(p, x, n_open):
                return it + 1
    return -1


def add_capacities(p, x, i, n, dt, theta, held):
    """What springs and vessels take up over the step; an unknown that hangs on nothing keeps its pressure.

    While one spring is ``held`` at its mean, the others are taken as settled.
    """
    rg = p.const[0] * p.const[1]
    relax = max(dt, SETTLED) if held else dt
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        node = p.isl_node[j]
        u = x.unknown[node]
        if u < 0:
            continue
        if p.node_kind[node] == SPRING:
            cap = p.node_value[node] / relax
            x.matrix[u * n + u] += cap
            x.rhs[u] += cap * x.spring[node]
        elif x.col[u] < 0.0:
            for k in range(n):
                x.matrix[u * n + k] = 0.0
            x.matrix[u * n + u] = 1.0
            x.rhs[u] = x.pressure[node]
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        s = p.isl_store[j]
        u = x.live[s]
        if u >= 0:
            h = x.level_p[s] / rg - p.store_z[s]
            v = volume_of(p, s, h)
            h2, area = level_of(p, s, v)
            cap = area / (rg * theta * dt)
            x.matrix[u * n + u] += cap
            x.rhs[u] += cap * x.level_p[s] + (x.volume[s] - v) / (theta * dt)
            x.rhs[u] += ((1.0 - theta) * x.net_before[s] + x.net[s]) / theta


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


# --- signals, thresholds, faults -------------------------------------------------------------------------------------
def emit(x, code, ref, value, vital):
    """Write an event, unless the run is still being set up; a full log is a doubtful mark.

    What merely repeats (pumps, rims, notes) is not written any more once the log is two thirds full.
    """
    if x.clock[C_QUIET] > 0.0:
        return
    k = int(x.clock[C_EVENTS])
    if not vital and 3 * k > 2 * len(x.event_time):
        return
    if k < len(x.event_time):
        x.event_time[k] = x.clock[C_NOW]
        x.event_code[k] = code
        x.event_ref[k] = ref
        x.event_value[k] = value
    else:
        x.clock[C_DOUBTFUL] += 1.0
    x.clock[C_EVENTS] = k + 1.0


def ask(x, owner):
    if owner >= 0 and x.clock[C_QUIET] == 0.0:
        x.asked[owner] = 1


def threshold_value(p, x, k):
    kind = p.thr_kind[k]
    ref = p.thr_ref[k]
    if kind == T_LEVEL:
        h, area = level_of(p, ref, x.volume[ref])
        return h
    if kind == T_POOL:
        return x.pool[ref]
    if kind == T_COUNTER:
        return x.counter[ref]
    if kind == T_PRESSURE:
        return x.pressure[ref] - p.const[0] * p.const[1] * p.node_z[ref]
    if kind == T_FLOW:
        return x.flow[ref]
    if x.pool[ref] > 1e-9:
        return x.pool_salt[ref] / x.pool[ref]
    return 0.0


def run_thresholds(p, x):
    changed = False
    for k in range(len(p.thr_kind)):
        v = threshold_value(p, x, k)
        tol = 1e-9 if p.thr_kind[k] == T_LEVEL else 1e-12
        if x.thr_bit[k] == 0:
            if v >= p.thr_on[k] - tol:
                x.thr_bit[k] = 1
                changed = True
        elif v <= p.thr_off[k] + tol:
            x.thr_bit[k] = 0
            changed = True
    return changed


def run_gate_bits(p, x):
    """Float bits, primed siphons; pressure-ratio bits are moved by the step itself."""
    changed = False
    for g in range(len(p.gate_kind)):
        kind = p.gate_kind[g]
        if kind == G_LEVEL and p.gate_c[g] >= 0.0:
            s = p.gate_ref[g]
            h, area = level_of(p, s, x.volume[s])
            o, slope = band_opening(p, g, h)
            if x.bit[g] == 0:
                if o <= SNAP + 1e-9:
                    x.bit[g] = 1
                    changed = True
            else:
                away = p.gate_b[g] - h
                if p.gate_b[g] < p.gate_a[g]:
                    away = -away
                if away >= p.gate_c[g] - 1e-9:
                    x.bit[g] = 0
                    changed = True
        elif kind == G_PRIMED and x.bit[g] == 0 and x.signal[p.gate_ref[g]] == 1:
            x.bit[g] = 1
            changed = True
    return changed


def run_logic(p, x):
    """Evaluate every signal until nothing changes; returns whether anything did."""
    t = x.clock[C_NOW]
    any_change = False
    for turn in range(40):
        changed = False
        for i in range(len(p.sig_op)):
            op = p.sig_op[i]
            at = p.sig_in_at[i]
            end = p.sig_in_at[i + 1]
            old = x.signal[i]
            v = old
            first = 0
            if end > at:
                k = p.sig_in[at]
                first = x.signal[k] if k >= 0 else 1 - x.signal[-1 - k]
            if op == L_THRESHOLD:
                v = x.thr_bit[int(p.sig_arg[i])]
            elif op == L_TIMETABLE:
                v = 1 if x.due[i] > 0.0 else 0
            elif op == L_VOTE:
                count = 0
                for j in range(at, end):
                    k = p.sig_in[j]
                    count += x.signal[k] if k >= 0 else 1 - x.signal[-1 - k]
                v = 1 if count >= p.sig_arg[i] else 0
            elif op == L_ON_DELAY:
                if first == 0:
                    x.due[i] = -1.0
                    v = 0
                else:
                    if x.due[i] < 0.0:
                        x.due[i] = t + p.sig_arg[i]
                    v = 1 if t >= x.due[i] - 1e-7 else 0
            elif op == L_OFF_DELAY:
                if first == 1:
                    x.due[i] = -1.0
                    v = 1
                elif old == 1:
                    if x.due[i] < 0.0:
                        x.due[i] = t + p.sig_arg[i]
                    v = 0 if t >= x.due[i] - 1e-7 else 1
                else:
                    v = 0
            elif op == L_LATCH:
                k = p.sig_in[at + 1]
                reset = x.signal[k] if k >= 0 else 1 - x.signal[-1 - k]
                k = p.sig_in[at + 2]
                forget = x.signal[k] if k >= 0 else 1 - x.signal[-1 - k]
                if forget == 1:
                    v = 0
                elif first == 1:
                    v = 1
                elif reset == 1:
                    v = 0
            elif op == L_HOLD:
                k = p.sig_in[at + 1]
                freeze = x.signal[k] if k >= 0 else 1 - x.signal[-1 - k]
                if freeze == 0:
                    v = first
            elif op == L_CONST:
                v = int(p.sig_arg[i])
            if x.force[i] >= 0:
                v = x.force[i]
            if v != old:
                x.signal[i] = v
                changed = True
                ask(x, p.sig_owner[i])
                if x.clock[C_QUIET] == 0.0:
                    x.rises[i] += v
                if p.sig_log[i] > 0:
                    emit(x, E_SIGNAL, i, float(v), p.sig_log[i] == 2)
        if not changed:
            return any_change
        any_change = True
    x.clock[C_DOUBTFUL] += 1.0
    emit(x, E_DOUBTFUL, 1, 0.0, True)
    return any_change


def put_back_now(p, x, c):
    return p.cnt_reset[c] >= 0 and x.signal[p.cnt_reset[c]] == 1


def put_back_counters(p, x):
    for c in range(len(p.cnt_edge)):
        if put_back_now(p, x, c):
            x.counter[c] = 0.0


def apply_faults(p, x):
    """Lay the patches of all faults that stand now over the sound plant."""
    for g in range(len(p.gate_kind)):
        x.low[g] = 0.0
        x.high[g] = 1.0
    for i in range(len(p.sig_op)):
        x.force[i] = -1
    for e in range(len(p.edge_a)):
        x.scale[e] = 1.0
        x.passage[e] = p.edge_pass[e]
    for n in range(len(p.node_kind)):
        x.source[n] = 1.0
    for l in range(len(p.place_cap)):
        x.cap[l] = p.place_cap[l]
    for f in range(len(p.fault_time)):
        if x.fault_on[f] != 1:
            continue
        for j in range(p.patch_at[f], p.patch_at[f + 1]):
            ref = p.patch_ref[j]
            kind = p.patch_kind[j]
            v = p.patch_value[j]
            if kind == P_GATE_LOW:
                x.low[ref] = max(x.low[ref], v)
            elif kind == P_GATE_HIGH:
                x.high[ref] = min(x.high[ref], v)
            elif kind == P_FORCE:
                x.force[ref] = int(v)
            elif kind == P_SCALE_EDGE:
                x.scale[ref] *= v
            elif kind == P_SCALE_SOURCE:
                x.source[ref] *= v
            elif kind == P_PASSAGE:
                x.passage[ref] = v
            elif kind == P_HOLDS:
                x.cap[ref] = min(NEVER, x.cap[ref] * v)
    for l in range(len(p.place_cap)):
        if x.cap[l] <= x.pool[l]:
            x.pool_full[l] = 1
    for i in range(len(x.stale)):
        x.stale[i] = 1
        x.sliding[i] = 0


def run_faults(p, x):
    """Start and end faults that are due; returns whether any did. A fault's state: 0 waits, 1 stands, 2 is over."""
    t = x.clock[C_NOW]
    changed = False
    for f in range(len(p.fault_time)):
        if x.fault_on[f] == 0:
            if x.fault_due[f] < 0.0 and x.signal[p.fault_signal[f]] == 1 and x.clock[C_QUIET] == 0.0:
                x.fault_due[f] = t + p.fault_delay[f]
            if x.fault_due[f] >= 0.0 and t >= x.fault_due[f] - 1e-7:
                x.fault_on[f] = 1
                x.fault_due[f] = t + p.fault_end[f]
                emit(x, E_FAULT, f, 1.0, True)
                changed = True
        elif x.fault_on[f] == 1 and t >= x.fault_due[f] - 1e-7:
            x.fault_on[f] = 2
            emit(x, E_FAULT, f, 0.0, True)
            changed = True
    if changed:
        apply_faults(p, x)
    return changed


def settle(p, x, stirred):
    """Bring bits, signals and faults to rest at the present levels; then note which islands must be solved anew.

    ``stirred``: the clock has reached something (a timer, a row of the timetable), so the logic must be looked at.
    """
    for turn in range(60):
        changed = run_faults(p, x)
        changed = run_thresholds(p, x) or changed
        changed = run_gate_bits(p, x) or changed
        if changed or stirred:
            changed = run_logic(p, x) or changed
            put_back_counters(p, x)
        if not changed:
            break
        if turn == 59:
            x.clock[C_DOUBTFUL] += 1.0
            emit(x, E_DOUBTFUL, 2, 0.0, True)
    for i in range(len(x.stale)):
        for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
            g = p.edge_gate[p.isl_edge[j]]
            if g < 0:
                continue
            h = 0.0
            if p.gate_kind[g] == G_LEVEL:
                h, area = level_of(p, p.gate_ref[g], x.volume[p.gate_ref[g]])
            o, slope = opening_of(p, x, g, h)
            w = x.was_open[g]
            if (o == 0.0) != (w == 0.0) or (o == 1.0) != (w == 1.0) or (p.gate_kind[g] != G_LEVEL and o != w):
                x.stale[i] = 1
                ask(x, p.gate_owner[g])
            x.was_open[g] = o
    for s in range(len(p.store_z)):
        if x.at_rim[s] == 1 and x.volume[s] < p.store_rim[s] - 1e-6:
            x.at_rim[s] = 0
            emit(x, E_RIM_END, s, 0.0, False)
            mark_store_stale(p, x, s)


def mark_store_stale(p, x, s):
    for i in range(len(x.stale)):
        for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
            if p.isl_store[j] == s:
                x.stale[i] = 1


# --- one step --------------------------------------------------------------------------------------------------------
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


def has_spring(p, i):
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        if p.node_kind[p.isl_node[j]] == SPRING:
            return True
    return False


def spring_room(p, x, i, held):
    """Compliance of the springs that stand at the held pressure when the gate is shut [m3/Pa]: they cycle as one."""
    total = 0.0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        n = p.isl_node[j]
        if p.node_kind[n] == SPRING and abs(gauge(p, x, n) - held) <= 0.05 * held:
            total += p.node_value[n]
    return total


def gauge(p, x, n):
    return x.pressure[n] - p.const[0] * p.const[1] * p.node_z[n]


def solve_sliding(p, x, i, dt, theta, implicit):
    """Mean flows of a gate that cycles, into ``try_flow``; returns the share of time open and the starts per second.

    The sensed spring is held between the two pressures; behind it both modes see the same water, so only the feed side
    is mixed. A share of 0 or 1 means that the gate does not cycle at these levels (flows are then of no use).
    """
    g = p.isl_gate[i]
    n = p.gate_ref[g]
    far = p.gate_ref2[g]
    rgz = p.const[0] * p.const[1] * p.node_z[n]
    bit = x.bit[g]
    high = p.gate_a[g] * gauge(p, x, far)  # shuts there, against the pressure under flow
    low = p.gate_b[g] * gauge(p, x, far)  # opens there, against the pressure at rest
    n_open = 0.0
    n_shut = 0.0
    for k in range(2):
        x.pressure[n] = rgz + 0.5 * (high + low)
        x.bit[g] = 1
        if solve(p, x, i, dt, theta, implicit, n) < 0:
            return -1.0, 0.0
        n_open = spring_net(p, x, i, n)
        high = p.gate_a[g] * gauge(p, x, far)
        for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
            x.open_flow[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
        x.bit[g] = 0
        if solve(p, x, i, dt, theta, implicit, n) < 0:
            return -1.0, 0.0
        n_shut = spring_net(p, x, i, n)
        low = p.gate_b[g] * gauge(p, x, far)
    x.bit[g] = bit
    if n_shut >= -1e-10:
        return 0.0, 0.0
    if n_open <= 0.0:
        return 1.0, 0.0
    share = -n_shut / (n_open - n_shut)
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        x.try_flow[e] = share * x.open_flow[e] + (1.0 - share) * x.try_flow[e]
    # a feed that sags under flow leaves no room between the two pressures; the diaphragm's own travel is left then
    bite = spring_room(p, x, i, x.pressure[n] - rgz) * max(high - low, 0.1 * high)
    return share, share * n_open / bite


def solve_any(p, x, i, dt, theta, implicit):
    """Solve an island in its present regime; returns starts per second of an averaged gate, 0, or -1 for no solution."""
    if x.sliding[i] == 1:
        share, starts = solve_sliding(p, x, i, dt, theta, implicit)
        if share < 0.0:
            return -1.0
        if 0.0 < share < 1.0:
            return starts
        x.sliding[i] = 0
        x.bit[p.isl_gate[i]] = 1 if share >= 1.0 else 0
    if solve(p, x, i, dt, theta, implicit, -1) < 0:
        return -1.0
    return 0.0


def try_slide(p, x, i, dt, theta):
    """After the ratio gate has moved: does it cycle faster than is worth following?"""
    g = p.isl_gate[i]
    if g < 0 or x.high[g] < 1.0 or x.low[g] > 0.0 or spring_node(p, i) < 0:
        return
    share, starts = solve_sliding(p, x, i, dt, theta, False)
    if 0.0 < share < 1.0 and starts * p.const[4] > 1.0:
        x.sliding[i] = 1
        x.bit[g] = 1


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


def time_to(p, x, r, h, longest):
    """Time a vessel takes to a level at its present rate; ``longest`` when it goes the other way or stands there."""
    t = (volume_of(p, r, h) - x.volume[r]) / x.rate0[r]
    if t < 1e-3:
        return longest
    return t


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


HOPELESS = 1e4  # an island found no solution: take a much shorter step


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


# --- when something happens within a step ----------------------------------------------------------------------------
def first_root(a, b, c, dt):
    """Smallest s in (0, dt] with a s^2 + b s + c = 0; NEVER when there is none."""
    if a == 0.0:
        if b == 0.0:
            return NEVER
        s = -c / b
        return s if 0.0 < s <= dt else NEVER
    d = b * b - 4.0 * a * c
    if d < 0.0:
        return NEVER
    q = -0.5 * (b + math.sqrt(d)) if b >= 0.0 else -0.5 * (b - math.sqrt(d))
    best = NEVER
    s = q / a
    if 0.0 < s <= dt:
        best = s
    if q != 0.0:
        s = c / q
        if 0.0 < s <= dt and s < best:
            best = s
    return best


def store_reaches(p, x, s, target, dt, up):
    """When a vessel's volume reaches ``target`` within the step, going up or down."""
    gap = x.volume[s] - target
    if up and gap >= 0.0:
        return 0.0
    if not up and gap <= 0.0:
        return 0.0
    return first_root((x.rate[s] - x.rate_first[s]) / dt, x.rate_first[s], gap, dt)


def pool_reaches(p, x, l, target, up):
    """When the water lying in a place reaches ``target``: constant inflow, drying in proportion to what lies there."""
    v = x.pool[l]
    if up and v >= target * (1.0 - 1e-12):
        return 0.0
    if not up and v <= target:
        return 0.0
    tau = p.place_tau[l]
    end = x.pool_rate[l] * tau
    ratio = (target - end) / (v - end) if v != end else -1.0
    if ratio <= 0.0 or ratio >= 1.0:
        return NEVER
    return -tau * math.log(ratio)


def pool_rates(p, x):
    """Flow onto each place over the step [m3/s], with what fuller places pass on."""
    for l in range(len(p.place_cap)):
        x.pool_rate[l] = 0.0
    for e in range(len(p.edge_a)):
        b = p.edge_b[e]
        if p.node_kind[b] == AIR and p.node_rkind[b] == R_PLACE and x.move[e] != 0.0:
            x.pool_rate[p.node_rref[b]] += x.move[e]
    for s in range(len(p.store_z)):
        if x.at_rim[s] == 1 and x.rate[s] > 0.0 and p.store_rkind[s] == R_PLACE:
            x.pool_rate[p.store_rref[s]] += x.rate[s]
    for j in range(len(p.place_cap)):
        l = p.place_order[j]
        if x.pool_full[l] == 1 and p.place_next_kind[l] == R_PLACE:
            x.pool_rate[p.place_next[l]] += max(0.0, x.pool_rate[l] - x.cap[l] / p.place_tau[l])


def first_event(p, x, dt):
    """Time of the first crossing within the step of ``dt``."""
    best = dt
    for k in range(len(p.thr_kind)):
        kind = p.thr_kind[k]
        ref = p.thr_ref[k]
        up = x.thr_bit[k] == 0
        target = p.thr_on[k] if up else p.thr_off[k]
        s = NEVER
        if kind == T_LEVEL:
            if x.rate[ref] != 0.0 or x.rate_first[ref] != 0.0:
                s = store_reaches(p, x, ref, volume_of(p, ref, target), dt, up)
        elif kind == T_POOL:
            s = pool_reaches(p, x, ref, target, up)
        elif kind == T_COUNTER and up and not put_back_now(p, x, ref):
            e = p.cnt_edge[ref]
            if x.move[e] > 0.0:
                s = first_root((x.move[e] - x.q_start[e]) / dt, x.q_start[e], x.counter[ref] - target, dt)
        if s < best:
            best = s
    for g in range(len(p.gate_kind)):
        if p.gate_kind[g] == G_LEVEL and p.gate_c[g] >= 0.0:
            r = p.gate_ref[g]
            if x.rate[r] == 0.0 and x.rate_first[r] == 0.0:
                continue
            span = p.gate_b[g] - p.gate_a[g]
            rising = span > 0.0
            if x.bit[g] == 0:
                h = p.gate_b[g] - SNAP * span
                s = store_reaches(p, x, r, volume_of(p, r, h), dt, rising)
            else:
                h = p.gate_b[g] - (p.gate_c[g] if rising else -p.gate_c[g])
                s = store_reaches(p, x, r, volume_of(p, r, h), dt, not rising)
            if s < best:
                best = s
    for r in range(len(p.store_z)):
        if x.at_rim[r] == 0 and (x.rate[r] > 0.0 or x.rate_first[r] > 0.0):
            s = store_reaches(p, x, r, p.store_rim[r], dt, True)
            if s < best:
                best = s
    for l in range(len(p.place_cap)):
        if x.pool_full[l] == 0:
            s = pool_reaches(p, x, l, x.cap[l], True)
            if s < best:
                best = s
    return max(best, 0.0)


def dwell_left(p, x, g):
    """Time until a ratio gate may move again: a diaphragm does not flutter faster than it can travel."""
    return max(0.0, x.dwell[g] - (x.clock[C_NOW] - x.turned[g]))


def ratio_event(p, x, i, dt):
    """When the island's ratio gate moves within the step: a time below ``dt``, or NEVER.

    A spring relaxes exponentially; its time constant follows from the rate at the start (one short solve) and the mean
    rate of the implicit step.
    """
    g = p.isl_gate[i]
    if g < 0 or x.sliding[i] == 1:
        return NEVER
    n = p.gate_ref[g]
    far = gauge(p, x, p.gate_ref2[g])
    rgz = p.const[0] * p.const[1] * p.node_z[n]
    left = dwell_left(p, x, g)
    if left > dt + 1e-9:
        return NEVER
    is_open_now = x.bit[g] == 1
    limit = (p.gate_a[g] if is_open_now else p.gate_b[g]) * far
    end = x.pressure[n] - rgz
    if is_open_now and (end < limit or far <= 0.0):
        return NEVER
    if not is_open_now and end > limit:
        return NEVER
    start = x.spring[n] - rgz if p.node_kind[n] == SPRING else end
    if (is_open_now and start >= limit) or (not is_open_now and start <= limit):
        return left
    mean_rate = (end - start) / dt
    short = 1e-3
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.open_flow[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
    solve(p, x, i, short, 1.0, False, -1)
    first_rate = (x.pressure[n] - rgz - start) / short
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.try_flow[p.isl_edge[j]] = x.open_flow[p.isl_edge[j]]
    z = first_rate / mean_rate - 1.0 if mean_rate != 0.0 else 0.0
    if z < 1e-3:
        return max(left, dt * (limit - start) / (end - start))
    tau = dt / z
    rest = start + first_rate * tau
    ratio = (rest - limit) / (rest - start)
    if ratio <= 0.0:
        return dt
    return max(left, -tau * math.log(ratio))


# --- dissolved matter ------------------------------------------------------------------------------------------------
def body_of_node(p, n):
    if p.node_kind[n] == TAP or p.node_kind[n] == SPOUT:
        return p.store_body[p.node_ref[n]]
    return -1


def carry_salt(p, x, i):
    """Concentrations of the nodes of island ``i`` for the volumes in ``move``, upstream first, until nothing changes."""
    first = p.isl_node_at[i]
    last = p.isl_node_at[i + 1]
    for sweep in range(last - first + 1):
        changed = False
        for j in range(first, last):
            n = p.isl_node[j]
            kind = p.node_kind[n]
            if kind != JUNCTION and kind != SPRING:
                continue
            salt = 0.0
            water = 0.0
            for k in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
                e = p.isl_edge[k]
                m = x.move[e]
                if m == 0.0:
                    continue
                a = p.edge_a[e] if m > 0.0 else p.edge_b[e]
                b = p.edge_b[e] if m > 0.0 else p.edge_a[e]
                if b == n:
                    salt += upstream(p, x, a) * x.passage[e] * abs(m)
                    if kind == SPRING:
                        water += abs(m)
                elif a == n and kind == JUNCTION:
                    keeps = p.edge_law[e] == MEMBRANE or p.edge_law[e] == FLOW
                    water += abs(m) * x.passage[e] if keeps else abs(m)
            if kind == SPRING:
                salt += x.spring_salt[n]
                water += HOLD_UP + p.node_value[n] * x.spring[n]
            if water > 0.0:
                c = salt / water
                if c != x.conc[n]:
                    x.conc[n] = c
                    changed = True
        if not changed:
            return


def upstream(p, x, n):
    """Concentration of the water that leaves a node."""
    body = body_of_node(p, n)
    if body >= 0:
        return x.body_conc[body]
    if p.node_kind[n] == FIXED:
        return p.node_conc[n]
    return x.conc[n]


def move_salt(p, x):
    """Carry dissolved matter with the volumes of the step; what leaves one body enters the other, so nothing is lost."""
    nb = len(p.body_start)
    for body in range(nb):
        x.body_conc[body] = x.salt[body] / x.body_v0[body] if x.body_v0[body] > 1e-9 else 0.0
    for turn in range(60):
        for i in range(len(x.stale)):
            for k in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
                if x.move[p.isl_edge[k]] != 0.0:
                    carry_salt(p, x, i)
                    break
        sum_bodies(p, x)
        again = False
        for body in range(nb):
            c = leaving_concentration(x, body)
            if x.body_out[body] > 0.0 and abs(c - x.body_conc[body]) > 1e-12 * c:
                again = True
            x.body_next[body] = c
        if not again or turn == 59:
            break
        for body in range(nb):
            x.body_conc[body] = x.body_next[body]
    for body in range(nb):
        x.salt[body] += x.body_in[body] - x.body_conc[body] * x.body_out[body]


def leaving_concentration(x, body):
    """Mean concentration of what leaves a mixed body, exact for constant rates within the step."""
    v0 = x.body_v0[body]
    v1 = x.body_v1[body]
    out = x.body_out[body]
    if v0 < 1e-9 or v1 < 1e-9:
        return (x.salt[body] + x.body_in[body]) / (max(v1, 0.0) + out + 1e-12)
    grown = v1 - v0
    pull = 1.0 / v0
    if abs(grown) > 1e-9 * v0:
        pull = math.log(v1 / v0) / grown
    k = grown + out  # water in less what evaporates
    fade = math.exp(-k * pull)
    gain = pull
    if abs(k * pull) > 1e-9:
        gain = (1.0 - fade) / k
    end = (x.salt[body] / v0 * fade + x.body_in[body] * gain) * v1
    if out < 1e-9 * v0:
        return x.salt[body] / v0
    return max(0.0, (x.salt[body] + x.body_in[body] - end) / out)


def sum_bodies(p, x):
    """Dissolved matter into each body, and the volume that carries it out, over the step."""
    for body in range(len(p.body_start)):
        x.body_in[body] = 0.0
        x.body_out[body] = 0.0
    for e in range(len(p.edge_a)):
        m = x.move[e]
        if m == 0.0:
            continue
        a = p.edge_a[e] if m > 0.0 else p.edge_b[e]
        b = p.edge_b[e] if m > 0.0 else p.edge_a[e]
        ba = body_of_node(p, a)
        bb = body_of_node(p, b)
        if ba == bb and ba >= 0:
            continue
        if bb >= 0:
            x.body_in[bb] += upstream(p, x, a) * x.passage[e] * abs(m)
        if ba >= 0:
            keeps = p.edge_law[e] == MEMBRANE or p.edge_law[e] == FLOW
            x.body_out[ba] += abs(m) * x.passage[e] if keeps else abs(m)
    for s in range(len(p.store_z)):
        x.body_out[p.store_body[s]] += x.spill[s]


HOLD_UP = 5e-5  # water at a spring when it stands without pressure, so that its mixing never divides by nothing [m3]


# --- carry a step out ------------------------------------------------------------------------------------------------
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
        if x.move[p.cnt_edge[c]] > 0.0 and not put_back_now(p, x, c):
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


def still_leaking(p, x):
    """Whether water goes on falling onto places at the end of the step; a tube's last drops do not count."""
    for e in range(len(p.edge_a)):
        b = p.edge_b[e]
        if p.node_kind[b] == AIR and p.node_rkind[b] == R_PLACE and x.try_flow[e] > LEAST_LEAK:
            return True
    for k in range(len(p.store_z)):
        if x.spill[k] > 0.0 and x.rate[k] > LEAST_LEAK:
            return True
    return False


def move_pools(p, x, s):
    """Pools take their inflow, dry, and pass on what they cannot hold; says when water begins and ends to get out."""
    out = 0.0
    for l in range(len(p.place_cap)):
        out += x.pool_in[l]
    if out > LEAST_LEAK * s and (out > LAST_DROPS or still_leaking(p, x)):
        if x.clock[C_WET] == 0.0:
            x.clock[C_WET] = 1.0
            emit(x, E_WATER, 0, 1.0, False)
    elif x.clock[C_WET] == 1.0:
        x.clock[C_WET] = 0.0
        x.clock[C_ENDED] = x.clock[C_NOW]
        emit(x, E_WATER, 0, 0.0, False)
    for j in range(len(p.place_cap)):
        l = p.place_order[j]
        v = x.pool[l]
        m = x.pool_in[l]
        tau = p.place_tau[l]
        if m > 0.0 and x.place_total[l] == 0.0:
            emit(x, E_POOL_FIRST, l, 0.0, True)
            ask(x, p.place_owner[l])
        x.place_total[l] += m
        if v == 0.0 and m == 0.0:
            continue
        over = 0.0
        if x.pool_full[l] == 1 and v >= x.cap[l] * 0.999999 and m >= v * s / tau:
            end = v
            over = m - v * s / tau
        else:
            fade = math.exp(-s / tau)
            end = v * fade + (m / s) * tau * (1.0 - fade)
        if end >= x.cap[l] * (1.0 - 1e-12):
            over += max(0.0, end - x.cap[l])
            if x.pool_full[l] == 0:
                x.pool_full[l] = 1
                emit(x, E_POOL_FULL, l, 0.0, True)
            end = min(end, x.cap[l])
        elif x.pool_full[l] == 1 and end < x.cap[l] * 0.999999:
            x.pool_full[l] = 0
        dried = v + m - over - end
        x.total[V_DRIED] += dried
        salt = x.pool_salt[l] + x.pool_salt_in[l]
        carried = salt * over / (over + end) if over > 0.0 else 0.0
        x.pool[l] = end
        x.pool_salt[l] = salt - carried
        if over > 0.0:
            x.place_over[l] += over
            if p.place_next_kind[l] == R_PLACE:
                x.pool_in[p.place_next[l]] += over
                x.pool_salt_in[p.place_next[l]] += carried
            else:
                x.total[V_DRAIN] += over
                x.total[S_DRAIN] += carried


def after_step(p, x, whole):
    """Regimes that end of themselves: rims, siphons that lost their water, check valves that were asked."""
    for i in range(len(x.stale)):
        x.stale[i] = 1 if not whole and (x.theta[i] > 0.6 or p.isl_gate[i] >= 0) else 0
    for s in range(len(p.store_z)):
        if x.at_rim[s] == 0 and x.volume[s] >= p.store_rim[s] - 1e-9:
            x.at_rim[s] = 1
            x.volume[s] = min(x.volume[s], p.store_rim[s])
            emit(x, E_RIM, s, 0.0, False)
            ask(x, p.store_owner[s])
            mark_store_stale(p, x, s)
    for e in range(len(p.edge_a)):
        g = p.edge_gate[e]
        if p.edge_law[e] == CHECK and x.pressure[p.edge_b[e]] > x.pressure[p.edge_a[e]] + 100.0:
            ask(x, p.edge_owner[e])
        if g >= 0 and p.gate_kind[g] == G_PRIMED and x.bit[g] == 1 and x.signal[p.gate_ref[g]] == 0:
            if abs(x.try_flow[e]) < 1e-10:
                x.bit[g] = 0
    for body in range(len(p.body_start)):
        if x.body_v1[body] > 1e-6:
            c = x.salt[body] / x.body_v1[body]
            x.low_conc[body] = min(x.low_conc[body], c)
            x.high_conc[body] = max(x.high_conc[body], c)


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


def step(p, x, limit):
    """Advance to ``limit`` at most, or to the first thing that happens."""
    dt = min(limit - x.clock[C_NOW], x.clock[C_STEP])
    begin_step(p, x, dt)
    dt = max(sensible_step(p, x, dt), min(dt, p.const[6]))
    dt = mixing_step(p, x, dt)
    for i in range(len(x.stale)):
        if p.isl_gate[i] >= 0 and x.sliding[i] == 0:
            left = dwell_left(p, x, p.isl_gate[i])
            if 1e-9 < left < dt:
                dt = left
    tries = 0
    while True:
        worst = step_islands(p, x, dt)
        if worst > 1.0 and dt > p.const[6] and tries < 60:
            dt *= max(0.1, min(0.7, 0.8 / math.sqrt(worst)))
            tries += 1
            continue
        if worst >= HOPELESS:
            x.clock[C_DOUBTFUL] += 1.0
            emit(x, E_DOUBTFUL, 3, 0.0, True)
        turned = -1
        early = NEVER
        for i in range(len(x.stale)):
            s = ratio_event(p, x, i, dt)
            if s < early:
                early = s
                turned = i
        if turned < 0:
            break
        if early >= 0.98 * dt or dt <= 2.0 * p.const[6]:
            break
        dt = max(early, p.const[6])
        tries += 1
        if tries > 80:
            break
    pool_rates(p, x)
    s = first_event(p, x, dt)
    whole = s >= dt
    if not whole:
        turned = -1
        s = max(s, min(dt, 1e-9))
    move_water(p, x, s, dt)
    move_salt(p, x)
    book_water(p, x)
    move_pools(p, x, s)
    x.clock[C_NOW] = limit if whole and dt == limit - x.clock[C_NOW] else x.clock[C_NOW] + s
    after_step(p, x, whole)
    if turned >= 0:
        turn_ratio_gate(p, x, turned)
    grow = min(20.0, 0.8 / math.sqrt(worst)) if worst > 1.6e-3 else 20.0
    x.clock[C_STEP] = min(p.const[5], max(max(grow, 1.0) * dt, 0.5))
    x.clock[C_STEPS] += 1.0


def turn_ratio_gate(p, x, i):
    g = p.isl_gate[i]
    x.bit[g] = 1 - x.bit[g]
    if x.clock[C_NOW] - x.turned[g] > x.dwell[g] + 1e-6:
        x.dwell[g] = DWELL
        x.flutter[g] = 0.0
    else:
        # it turns as fast as it can: follow it in ever longer strides, half the time open, and say so
        x.flutter[g] += 1.0
        if x.flutter[g] > 10.0:
            x.dwell[g] = min(2.0 * x.dwell[g], 1800.0)
        if x.flutter[g] == 12.0:
            x.clock[C_FLUTTER] += 1.0
    x.turned[g] = x.clock[C_NOW]
    if x.bit[g] == 1:
        x.starts[g] += 1.0
    ask(x, p.gate_owner[g])
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.try_flow[p.isl_edge[j]] = x.flow[p.isl_edge[j]]
    try_slide(p, x, i, SETTLED, 1.0)
    x.stale[i] = 1


# --- the run ---------------------------------------------------------------------------------------------------------
def start(p, x):
    """Lay the state of the first moment; nothing is logged yet."""
    x.clock[C_QUIET] = 1.0
    for s in range(len(p.store_z)):
        x.volume[s] = p.store_start[s]
        h, area = level_of(p, s, x.volume[s])
        x.level_p[s] = p.const[0] * p.const[1] * (p.store_z[s] + h)
    for n in range(len(p.node_kind)):
        x.pressure[n] = p.const[0] * p.const[1] * p.node_z[n]
        x.conc[n] = 0.0
        if p.node_kind[n] == SPRING:
            x.spring[n] = x.pressure[n]
    for body in range(len(p.body_start)):
        x.salt[body] = 0.0
        x.low_conc[body] = p.body_start[body]
        x.high_conc[body] = p.body_start[body]
    for s in range(len(p.store_z)):
        x.salt[p.store_body[s]] += p.body_start[p.store_body[s]] * x.volume[s]
    for i in range(len(p.sig_op)):
        x.signal[i] = p.sig_start[i]
        x.due[i] = float(p.sig_start[i]) if p.sig_op[i] == L_TIMETABLE else -1.0
    for f in range(len(p.fault_time)):
        x.fault_due[f] = p.fault_time[f]
    for g in range(len(p.gate_kind)):
        x.bit[g] = 1 if p.gate_kind[g] == G_RATIO else 0
        x.was_open[g] = -1.0
        x.turned[g] = -DWELL
        x.dwell[g] = DWELL
    for k in range(len(p.thr_kind)):
        x.thr_bit[k] = 1 if threshold_value(p, x, k) >= p.thr_off[k] else 0
    for i in range(len(x.theta)):
        x.theta[i] = 0.5
        x.stale[i] = 1
    apply_faults(p, x)
    run_timetable(p, x)
    settle(p, x, True)
    x.clock[C_QUIET] = 0.0
    x.clock[C_STEP] = 1.0
    for i in range(len(p.sig_op)):
        x.rises[i] = 0


def run_timetable(p, x):
    changed = False
    row = int(x.clock[C_TT_ROW])
    while row < len(p.tt_time) and p.tt_time[row] <= x.clock[C_NOW] + 1e-7:
        i = p.tt_sig[row]
        x.due[i] = float(p.tt_value[row])
        row += 1
        changed = True
    x.clock[C_TT_ROW] = row
    return changed


def next_time(p, x, end):
    """The next moment that is known beforehand."""
    t = x.clock[C_NOW]
    best = end
    row = int(x.clock[C_TT_ROW])
    if row < len(p.tt_time) and p.tt_time[row] < best:
        best = p.tt_time[row]
    for i in range(len(p.sig_op)):
        if (p.sig_op[i] == L_ON_DELAY or p.sig_op[i] == L_OFF_DELAY) and t + 1e-7 < x.due[i] < best:
            best = x.due[i]
    for f in range(len(p.fault_time)):
        if x.fault_on[f] < 2 and t + 1e-7 < x.fault_due[f] < best:
            best = x.fault_due[f]
    return best


def record(p, x, force):
    """Keep a row of levels and pools for the charts; thin the rows when there is no room left."""
    k = int(x.clock[C_ROWS])
    room = len(x.row_time)
    if room == 0:
        return
    t = x.clock[C_NOW]
    if not force and k > 0 and t < x.row_time[k - 1] + x.clock[C_ROW_STEP]:
        return
    ns = len(p.store_z)
    width = ns + len(p.place_cap)
    if k >= room:
        k = room // 2
        for j in range(k):
            x.row_time[j] = x.row_time[2 * j]
            for c in range(width):
                x.row_value[j * width + c] = x.row_value[2 * j * width + c]
        x.clock[C_ROW_STEP] *= 2.0
    x.row_time[k] = t
    for s in range(ns):
        h, area = level_of(p, s, x.volume[s])
        x.row_value[k * width + s] = h
    for l in range(len(p.place_cap)):
        x.row_value[k * width + ns + l] = x.pool[l]
    x.clock[C_ROWS] = k + 1.0


def run(p, x, end, most_steps):
    """Run to ``end`` [s]; the state holds the outcome. Returns the number of steps."""
    start(p, x)
    record(p, x, True)
    steps = 0
    while x.clock[C_NOW] < end - 1e-9:
        limit = next_time(p, x, end)
        step(p, x, limit)
        run_timetable(p, x)
        settle(p, x, x.clock[C_NOW] >= limit - 1e-7)
        record(p, x, False)
        steps += 1
        if steps >= most_steps:
            x.clock[C_DOUBTFUL] += 1.0
            emit(x, E_DOUBTFUL, 4, 0.0, True)
            break
    record(p, x, True)
    return steps

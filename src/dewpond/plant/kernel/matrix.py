"""The equations of one island, linearised, and their elimination."""

from __future__ import annotations

from dewpond.plant.kernel.laws import held_behind, law, weir
from dewpond.plant.kernel.marks import LEAST, SETTLED, STAGE
from dewpond.plant.kernel.nodes import may_flow
from dewpond.plant.kernel.vessels import level_of, opening_of, volume_of
from dewpond.plant.primitives import (
    CHECK,
    FLOW,
    G_LEVEL,
    MEMBRANE,
    ORIFICE,
    PUMP,
    REGULATOR,
    SPOUT,
    SPRING,
    TAP,
    TUBE,
    WEIR,
)

BLOCKED = 1e20  # resistance of a direction that water cannot take [Pa/(m3/s)]
SMALL = 1e-6  # flow at which a law is first linearised [m3/s]
FAINT = 1e-8  # unless more than that has run before
CRACKED = 0.01  # so near to its cracking pressure a check valve counts as open, or a regulator to lock-up [Pa]
TRACE = 1e-4  # what the pressure before a regulator counts beside that behind it, while an iteration looks for both
FADE = 0.002  # an outlet less deep under water than this does not draw full back-flow [m]


def push(p, x, e):
    """How strongly the pressures (and a pump's own head) push water from a to b [Pa]; below 0 the other way."""
    lift = 0.0
    if p.edge_law[e] == CHECK or p.edge_law[e] == MEMBRANE:
        lift = p.edge_p2[e]
    elif p.edge_law[e] == PUMP:
        lift = -p.edge_p1[e] * x.scale[e]
    elif p.edge_law[e] == REGULATOR:
        held, fall = held_behind(p, e, 0.0)
        lift = max(0.0, x.pressure[p.edge_a[e]] - held)
    return x.pressure[p.edge_a[e]] - x.pressure[p.edge_b[e]] - lift


def wrongly_blocked(p, x, n_open):
    """Whether an edge that was taken as blocked is pushed the way it may flow, at the pressures just found."""
    for j in range(n_open):
        e = x.open_edge[j]
        if x.lin_w[e] == 1.0 / BLOCKED:
            pushed = push(p, x, e)
            if abs(pushed) > 1e-3 and may_flow(p, x, e, pushed > 0.0):
                return True
    return False


def add_edge(p, x, e, first, early, chord):
    """Linearise edge ``e`` and add it to the matrix; returns (y, w, c, u): Q = y + w (Pa - Pb) + c P[u].

    ``first``, ``early``: in the first iteration, and in the first ones; ``chord``: overflows from their crests."""
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
        if chord and drop > 0.0:
            w = q * rg / drop  # where it runs full, tangents lead below the crest and back
        w *= o / rg
        return q * o - w * drop, w, 0.0, -1
    q = x.try_flow[e]
    forward = q > 0.0
    if abs(q) < 1e-13:
        # a check valve at its cracking pressure counts as open, lest several in a row open and shut by turns
        forward = push(p, x, e) > (-CRACKED if p.edge_law[e] == CHECK or p.edge_law[e] == REGULATOR else 0.0)
    if not may_flow(p, x, e, forward):
        return 0.0, 1.0 / BLOCKED, 0.0, -1
    if p.edge_law[e] == REGULATOR:
        q = max(q, 0.0)
        h, grad = law(p, e, q, o, x.scale[e])
        held, fall = held_behind(p, e, q)
        if x.pressure[p.edge_a[e]] - h > held:
            return throttled(p, x, e, q, held, fall)
    n = p.edge_a[e] if forward else p.edge_b[e]
    if p.node_kind[n] == SPOUT:
        # an outlet that is hardly under water draws air with it
        under = x.level_p[p.node_ref[n]] / (p.const[0] * p.const[1]) - p.node_z[n]
        if under < FADE:
            o *= max(under / FADE, LEAST)
    if (first and abs(q) < FAINT) or (early and abs(q) < 1e-11):
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


def throttled(p, x, e, q, held, fall):
    """A regulator that throttles, linearised: its flow hangs on the pressure behind it alone. A trace of the pressure
    before it keeps the equations regular, and is gone where they are fulfilled."""
    b = p.edge_b[e]
    w = TRACE / fall
    y = q + held / fall - w * (x.pressure[p.edge_a[e]] - x.pressure[b])
    if x.unknown[b] >= 0:
        return y, w, -1.0 / fall, x.unknown[b]
    return y - x.pressure[b] / fall, w, 0.0, -1


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


def width(p, x, n_open):
    """How far from the diagonal an entry of the matrix can stand, as its open edges and its level gates have it."""
    widest = 0
    for j in range(n_open):
        e = x.open_edge[j]
        g = p.edge_gate[e]
        gate = x.live[p.gate_ref[g]] if g >= 0 and p.gate_kind[g] == G_LEVEL else -1
        for k in range(2):
            row = balance_row(p, x, p.edge_a[e] if k == 0 else p.edge_b[e])
            if row < 0:
                continue
            ua = x.unknown[p.edge_a[e]]
            ub = x.unknown[p.edge_b[e]]
            if ua >= 0:
                widest = max(widest, abs(row - ua))
            if ub >= 0:
                widest = max(widest, abs(row - ub))
            if gate >= 0:
                widest = max(widest, abs(row - gate))
    return widest


def clear(x, n, wide):
    """Zeros where the equations and their elimination will look: the rows' exchange doubles the upper part."""
    for u in range(n):
        x.rhs[u] = 0.0
        for k in range(u * n + max(0, u - wide), u * n + min(n, u + 2 * wide + 1)):
            x.matrix[k] = 0.0


def add_capacities(p, x, i, n, wide, dt, held):
    """What springs and vessels take up over the step; an unknown that hangs on nothing keeps its pressure.

    While one spring is ``held`` at its mean, the others are taken as settled.
    """
    rg = p.const[0] * p.const[1]
    relax = max(dt / STAGE, SETTLED) if held else dt
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
            for k in range(max(0, u - wide), min(n, u + wide + 1)):
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
            cap = area / (rg * dt)
            x.matrix[u * n + u] += cap
            x.rhs[u] += cap * x.level_p[s] + (x.volume[s] - v) / dt + x.net[s]


def eliminate(x, n, wide):
    """Gauss with row pivoting on ``matrix`` (n x n, row-wise; nothing further than ``wide`` from the diagonal) and
    ``rhs``; the answer stands in ``rhs``."""
    for k in range(n):
        below = min(n, k + wide + 1)
        right = min(n, k + 2 * wide + 1)
        best = k
        size = abs(x.matrix[k * n + k])
        for r in range(k + 1, below):
            if abs(x.matrix[r * n + k]) > size:
                size = abs(x.matrix[r * n + k])
                best = r
        if size == 0.0:
            x.matrix[k * n + k] = 1.0
            x.rhs[k] = 0.0
            continue
        if best != k:
            for c in range(k, right):
                t = x.matrix[k * n + c]
                x.matrix[k * n + c] = x.matrix[best * n + c]
                x.matrix[best * n + c] = t
            t = x.rhs[k]
            x.rhs[k] = x.rhs[best]
            x.rhs[best] = t
        inv = 1.0 / x.matrix[k * n + k]
        for r in range(k + 1, below):
            if x.matrix[r * n + k] != 0.0:
                f = x.matrix[r * n + k] * inv
                for c in range(k + 1, right):
                    x.matrix[r * n + c] -= f * x.matrix[k * n + c]
                x.rhs[r] -= f * x.rhs[k]
    for k in range(n - 1, -1, -1):
        t = x.rhs[k]
        for c in range(k + 1, min(n, k + 2 * wide + 1)):
            t -= x.matrix[k * n + c] * x.rhs[c]
        x.rhs[k] = t / x.matrix[k * n + k]

"""Dissolved matter carried with the water of a step; what leaves one body enters the other, so nothing is lost."""

from __future__ import annotations

import math

from dewpond.plant.kernel.nodes import body_of_node
from dewpond.plant.primitives import FIXED, FLOW, JUNCTION, MEMBRANE, SPRING, T_CONC

HOLD_UP = 5e-5  # water at a spring when it stands without pressure, so that its mixing never divides by nothing [m3]
FRESH, USUAL = 60.0, 600.0  # so often the water in a line is looked at that has just begun to run, or runs on [s]
FINELY = 1e-4  # nearer to its mark than this share of itself, how strong a vessel's water is, is not followed [1]


def upstream(p, x, n):
    """Concentration of the water that leaves a node."""
    body = body_of_node(p, n)
    if body >= 0:
        return x.body_conc[body]
    if p.node_kind[n] == FIXED:
        return p.node_conc[n]
    return x.conc[n]


def strength_at(p, x, n):
    """Dissolved matter of the water of a vessel, or of the last water that has come to a spot in a line [kg/m3]."""
    body = body_of_node(p, n)
    if body < 0:
        return upstream(p, x, n)
    water = 0.0
    for s in range(len(p.store_z)):
        if p.store_body[s] == body:
            water += x.volume[s]
    return x.salt[body] / water if water > 1e-9 else 0.0


def strength_step(p, x, dt):
    """A step in which no water whose strength is compared with a mark can have gone far past that mark.

    A vessel's: so short that all that comes and goes could bring it to the mark at most, were it the strongest or the
    purest that is known. In a line the strength is known only once the water has moved: it is looked at now and then.
    """
    best = dt
    for k in range(len(p.thr_kind)):
        if p.thr_kind[k] == T_CONC:
            n = p.thr_ref[k]
            body = body_of_node(p, n)
            if body < 0:
                best = min(best, line_step(p, x, n, best))
                continue
            water = 0.0
            for s in range(len(p.store_z)):
                if p.store_body[s] == body:
                    water += x.volume[s]
            if water < 1e-6:
                continue
            c = x.salt[body] / water
            mark = p.thr_off[k] if x.thr_bit[k] == 1 else p.thr_on[k]
            gap = max(abs(mark - c), FINELY * c)
            most = max(c, mark)
            rate = 0.0
            for e in range(len(p.edge_a)):
                a = body_of_node(p, p.edge_a[e])
                b = body_of_node(p, p.edge_b[e])
                if a != b and (a == body or b == body):
                    other = p.edge_b[e] if a == body else p.edge_a[e]
                    rate += abs(x.flow[e]) * max(most, abs(upstream(p, x, other) - c))
            if gap * water < rate * best:
                best = gap * water / rate
    return best


def line_step(p, x, n, dt):
    """How long the water at a spot in a line may run until it is looked at again [s]; ``dt`` where it stands."""
    for i in range(len(x.stale)):
        for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
            e = p.isl_edge[j]
            if (p.edge_a[e] == n or p.edge_b[e] == n) and x.flow[e] != 0.0:
                return min(dt, FRESH if x.stale[i] == 1 else USUAL)
    return dt


def carry_salt(p, x, i):
    """Concentrations of the nodes of island ``i`` for the volumes in ``move``, swept until nothing changes."""
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


def move_salt(p, x):
    """Carry dissolved matter with the volumes of the step; what leaves one body enters the other: nothing is lost."""
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

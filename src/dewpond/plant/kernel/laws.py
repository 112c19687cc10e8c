"""Pressure lost over every kind of edge, and its slope."""

from __future__ import annotations

import math

from dewpond.plant.primitives import CHECK, MEMBRANE, PUMP, TUBE

LOCKING = 0.05e-3 / 60.0  # flow below which a regulator presses its seat tight, as physics.pressure has it [m3/s]


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
    """Pressure lost in the direction a -> b [Pa] at flow ``q``, and its slope; ``o``: opening, ``scale``: a fault's."""
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


def held_behind(p, e, q):
    """Total pressure [Pa] that a regulator holds behind it at a flow of 0 or more, and by how much that falls with the
    flow [Pa/(m3/s)]: droop, and near rest the rise until its seat is tight. Its open valve follows :func:`law`."""
    b = p.edge_b[e]
    held = p.edge_p2[e] + p.const[0] * p.const[1] * p.node_z[b] - p.edge_p3[e] * q
    if q >= LOCKING:
        return held, p.edge_p3[e]
    return held + p.edge_p4[e] * (1.0 - q / LOCKING), p.edge_p3[e] + p.edge_p4[e] / LOCKING

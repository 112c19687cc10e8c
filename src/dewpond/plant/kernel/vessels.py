"""Level tables, and how far open a gate stands at a level."""

from __future__ import annotations

from dewpond.plant.kernel.marks import LEAST, SNAP
from dewpond.plant.primitives import G_CONST, G_LEVEL, G_PRIMED, G_RATIO, G_SIGNAL

TAIL = 0.02  # share of its band below its shut end over which a throttle still trickles


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
    """Opening of any gate under the faults that stand, and its slope [1/m]; ``h``: the level, for level gates."""
    o, slope = sound_opening(p, x, g, h)
    if o <= x.low[g]:
        o = x.low[g]
        slope = 0.0
    if o >= x.high[g]:
        o = x.high[g]
        slope = 0.0
    return o, slope


def sound_opening(p, x, g, h):
    """What the opening would be if nothing held the gate."""
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
    return o, slope

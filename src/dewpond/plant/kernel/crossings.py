"""When something happens within a step."""

from __future__ import annotations

import math

from dewpond.plant.kernel.marks import BLINK, BRIM, NEVER, SNAP
from dewpond.plant.kernel.puddles import evenly, fading, film_goes, pool_after
from dewpond.plant.kernel.signals import counts_now, felt
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.primitives import (
    AIR,
    C_LAST,
    G_LEVEL,
    R_PLACE,
    SPRING,
    T_COUNTER,
    T_FLOW,
    T_LEVEL,
    T_POOL,
    T_POOL_SALT,
    T_PRESSURE,
)

SPILT = 1e-6  # how strong less water is, no probe is asked [m3]
CLOSELY = 0.02  # by such a share may a puddle grow or dry in a step while the strength of what comes is not known
LOOSELY = 0.05  # and where it is
ALIKE = 0.05  # flows that differ by so little bring the same water
LOOKED_AT = 3600.0  # a full puddle that the same water will not bring past the mark is looked at so often [s]
MINUTE = 60.0
TRICKLE = 1e-12  # [m3/s]


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


def spring_reaches(p, x, n, target, dt):
    """When the gauge pressure of a spring comes to ``target`` [Pa] within the step, along its own way."""
    first = 0.0
    mean = 0.0
    for e in range(len(p.edge_a)):
        if p.edge_b[e] == n:
            first += x.q_start[e]
            mean += x.move[e]
        if p.edge_a[e] == n:
            first -= x.q_start[e]
            mean -= x.move[e]
    return first_root((mean - first) / dt, first, p.node_value[n] * (felt(p, x, n) - target), dt)


def flow_reaches(x, e, target, dt, up):
    """When the flow through an edge reaches ``target`` within the step, in which it goes along a straight line."""
    gap = target - x.q_start[e]
    if (up and gap <= 0.0) or (not up and gap >= 0.0):
        return 0.0
    change = 2.0 * (x.move[e] - x.q_start[e])
    return gap / change * dt if gap * change > 0.0 else NEVER


def runs_unevenly(p, x, e):
    """Whether an edge stands in an island whose flows change so within the step that a part of it has others."""
    for i in range(len(p.isl_gate)):
        for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
            if p.isl_edge[j] == e:
                return x.evenly[i] != 1
    return False


def pool_reaches(p, x, l, target, up):
    """When the water lying in a place reaches ``target`` under constant inflow; a full one rises no more."""
    if up and x.pool_full[l] == 1:
        return NEVER
    v = x.pool[l]
    if up and v >= target * (1.0 - 1e-12):
        return 0.0
    if not up and v <= target:
        return 0.0
    wet = p.place_wet[l]
    tau = film_goes(p, x, l)
    rate = x.pool_rate[l]
    if v < wet < target or target < wet < v:
        first = fading(v, wet, rate, tau) if v < wet else evenly(v, wet, rate - wet / tau)
        if first >= NEVER:
            return NEVER
        rest = fading(wet, target, rate, tau) if v > wet else evenly(wet, target, rate - wet / tau)
        return first + rest if rest < NEVER else NEVER
    if v >= wet and target >= wet:
        return evenly(v, target, rate - wet / tau)
    return fading(v, target, rate, tau)


def salt_reaches(p, x, l, target, up, dt):
    """When the water lying in a place becomes so strong (or so weak again), within a step in which it is followed.

    How strong the water is that comes is known only once it has moved: it is taken as in the step before. Where that
    brought another flow, the step is kept so short that next to nothing comes; else so that what lies there grows or
    dries by a twentieth, or, where that water never brings it past the mark, that an hour goes by.
    """
    v = x.pool[l]
    rate = x.pool_rate[l]
    if v < SPILT * BRIM:  # a full place that holds just so much is asked
        return max(BLINK, pool_reaches(p, x, l, SPILT, True))
    if rate == 0.0 and x.pool_salt[l] == 0.0:
        return NEVER
    last = x.clock[C_LAST]
    before = x.pool_in[l] / last if last > 0.0 else 0.0
    tau = film_goes(p, x, l)
    taken = (1.0 / tau - 1.0 / p.place_tau[l]) * min(v, p.place_wet[l])  # by an outlet, with the salt in it
    salt_rate = x.pool_salt_in[l] / last if last > 0.0 else 0.0
    known = abs(before - rate) <= ALIKE * rate
    share = (LOOSELY if known else CLOSELY) * p.const[3]
    longest = share * tau
    if x.pool_full[l] == 1:
        over = max(0.0, rate - min(v, p.place_wet[l]) / tau)
        # with the same water coming on, it ends as strong as that: on this side of the mark, or beyond
        settled = known and (x.pool_salt[l] < target * v) == (salt_rate < target * (over + taken))
        salt_rate -= over * x.pool_salt[l] / v
        longest = min(
            longest, LOOKED_AT if settled else max(MINUTE if not known else BLINK, share * v / max(over, TRICKLE))
        )
    elif rate > 0.0:
        # where as much dries as comes, only the salt gathers, and that is reckoned with
        grows = abs(rate - min(v, p.place_wet[l]) / tau) if known else rate
        longest = min(longest, max(BLINK, share * v / max(grows, TRICKLE)))
    salt_rate -= taken * x.pool_salt[l] / v
    longest = min(dt, longest)
    sign = 1.0 if up else -1.0
    if sign * missing_salt(p, x, l, target, salt_rate, longest) > 0.0:
        return longest
    low = 0.0
    high = longest
    for turn in range(40):
        mid = 0.5 * (low + high)
        if sign * missing_salt(p, x, l, target, salt_rate, mid) > 0.0:
            low = mid
        else:
            high = mid
    return high


def missing_salt(p, x, l, target, salt_rate, s):
    """What lacks to the strength ``target`` [kg/m3] after ``s`` [s] in the water that lies in a place [kg]."""
    v = x.pool[l]
    if x.pool_full[l] == 0:
        v = pool_after(v, x.pool_rate[l], film_goes(p, x, l), p.place_wet[l], s)
    return target * v - x.pool_salt[l] - salt_rate * s


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
            x.pool_rate[p.place_next[l]] += max(
                0.0, x.pool_rate[l] - min(x.cap[l], p.place_wet[l]) / film_goes(p, x, l)
            )


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
        elif kind == T_POOL_SALT:
            s = salt_reaches(p, x, ref, target, up, dt)
        elif kind == T_PRESSURE and p.node_kind[ref] == SPRING:
            s = spring_reaches(p, x, ref, target, dt)
        elif kind == T_COUNTER and up and counts_now(p, x, ref):
            e = p.cnt_edge[ref]
            if e < 0:
                s = max(0.0, target - x.counter[ref])
            elif x.move[e] > 0.0:
                s = first_root((x.move[e] - x.q_start[e]) / dt, x.q_start[e], x.counter[ref] - target, dt)
        elif kind == T_FLOW:
            s = flow_reaches(x, ref, target, dt, up)
            if s < BLINK and runs_unevenly(p, x, ref):
                s = min(dt, BLINK)  # what rushes into a spring has another flow in every shorter step, down to none
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
        elif x.pool[l] > x.cap[l] and BLINK < best:
            best = BLINK  # a fault has left it less room than it takes: the rest goes on now
    return max(best, 0.0)

"""Water lying in a place: it dries from the floor that it wets.

Until the whole floor is wet, a puddle one film deep grows and shrinks with its volume, so it dries in proportion to
what lies there; above ``wet``, the volume of the film over the whole floor, it only gets deeper and dries evenly.
"""

from __future__ import annotations

import math

from dewpond.plant.kernel.marks import NEVER

NEARLY_NOTHING = 1e-3  # below this a series of four terms is exact to the last digits


def gone(y):
    """1 - exp(-y), also where y is so small that the difference would be lost."""
    if y > NEARLY_NOTHING:
        return 1.0 - math.exp(-y)
    return y * (1.0 - y / 2.0 * (1.0 - y / 3.0 * (1.0 - y / 4.0)))


def log_of_rest(y):
    """-log(1 - y), the same way; below 1."""
    if y > NEARLY_NOTHING or y < -NEARLY_NOTHING:
        return -math.log(1.0 - y)
    return y * (1.0 + y * (1.0 / 2.0 + y * (1.0 / 3.0 + y * (1.0 / 4.0 + y / 5.0))))


def film_goes(p, x, l):
    """The time in which a film on a place's floor goes [s]: it dries, and an outlet takes it while that is open."""
    s = p.place_out[l]
    if s >= 0 and x.signal[s] == 1:
        return p.place_out_tau[l]
    return p.place_tau[l]


def fading(v, target, rate, tau):
    """Time from ``v`` to ``target`` [m3] under an inflow and drying in proportion; NEVER when it does not get there."""
    rest = rate * tau
    if v == rest:
        return NEVER
    share = (target - v) / (rest - v)
    if share >= 1.0 or share <= 0.0:
        return NEVER
    return tau * log_of_rest(share)


def evenly(v, target, net):
    """The same where the balance of inflow and drying is constant [m3/s]."""
    gap = target - v
    if gap * net <= 0.0:
        return NEVER
    return gap / net


def pool_after(v, rate, tau, wet, s):
    """What lies in a place after ``s`` [s] of inflow [m3/s], if nothing runs on [m3]."""
    if v < wet:
        full = fading(v, wet, rate, tau)
        if full >= s:
            return v + (rate * tau - v) * gone(s / tau)
        return wet + (rate - wet / tau) * (s - full)
    net = rate - wet / tau
    bare = evenly(v, wet, net)
    if bare >= s:
        return v + net * s
    return wet + (rate * tau - wet) * gone((s - bare) / tau)

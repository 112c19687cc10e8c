"""The floor of one run laid into a plant's arrays: when water touches each probe, and what each place holds."""

from __future__ import annotations

from collections.abc import Sequence

from dewpond.plant import primitives as prim
from dewpond.plant.plant import NEVER, Lying, Plant
from dewpond.plant.primitives import Arrays

LEAST = 1e-6  # a probe that lies where the water falls is touched by the first drops [m3]
SAME = 1e-9  # litres that differ by less are the same [1]


def on_floor(plant: Plant, lying: Lying) -> Arrays:
    """The plant's arrays on a floor. What was measured stays as it is, and a place that leads nowhere keeps all.

    A probe that is reached only after its place has passed on its first water is reached when so much has come into the
    next one: a place of the plant passes on all that it cannot hold, and on the floor the water stands in both.
    """
    a = plant.arrays
    number = {place.name: k for k, place in enumerate(plant.places)}
    cap, ref, on, off = list(a.place_cap), list(a.thr_ref), list(a.thr_on), list(a.thr_off)
    for name, litres in lying.holds:
        k = number[name]
        if cap[k] < NEVER and not plant.places[k].measured:
            cap[k] = min(max(litres, LEAST), NEVER)
    wets = {(part, place): litres for part, place, litres in lying.wets}
    for touch in plant.touches:
        if not touch.measured and (touch.part, touch.place) in wets:
            k, share = touch.threshold, off[touch.threshold] / on[touch.threshold]
            litres = min(max(wets[touch.part, touch.place], LEAST), NEVER)
            ref[k], on[k] = _lies(a, cap, ref[k], litres)
            off[k] = share * on[k]
    return a._replace(place_cap=cap, thr_ref=ref, thr_on=on, thr_off=off)


def _lies(a: Arrays, cap: Sequence[float], place: int, litres: float) -> tuple[int, float]:
    """The place, and what must lie in it, when so much has come into another one [m3]."""
    while litres > cap[place] * (1.0 + SAME) and a.place_next_kind[place] == prim.R_PLACE:
        litres, place = litres - cap[place], a.place_next[place]
    return place, litres

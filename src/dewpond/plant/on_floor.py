"""The floor of one run laid into a plant's arrays: when water touches each probe, what each place holds, and where to
it goes from there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.build import top_down
from dewpond.plant.plant import NEVER, Lying, Plant
from dewpond.plant.primitives import Arrays

LEAST = 1e-6  # a probe that lies where the water falls is touched by the first drops [m3]
SAME = 1e-9  # litres that differ by less are the same [1]


class Onward(NamedTuple):
    """Where water goes that a place cannot hold. By place: a receiver of ``primitives``, its number, its name; empty:
    nowhere. order: every place before the one it leads to."""

    kinds: tuple[int, ...]
    numbers: tuple[int, ...]
    names: tuple[str, ...]
    order: tuple[int, ...]


def onward(plant: Plant, lying: Lying | None) -> Onward:
    """Where water goes on a floor. As without one where the plan does not tell, and where it would go in a circle: on
    one floor water from two leaks may go opposite ways."""
    leads = lying.leads if lying else ()
    return plant.once(("leads", leads), lambda: _onward(plant, leads))


def _onward(plant: Plant, leads: Sequence[tuple[str, str]]) -> Onward:
    a = plant.arrays
    kinds, numbers, names = list(a.place_next_kind), list(a.place_next), [place.onward for place in plant.places]
    by_name = {place.name: k for k, place in enumerate(plant.places)}
    for name, to in leads:
        k, into = by_name[name], by_name[to]
        if _stays(plant, k) or _comes_to(kinds, numbers, into, k):
            continue
        kinds[k], numbers[k] = (prim.R_DRAIN, 0) if plant.places[into].is_drain else (prim.R_PLACE, into)
        names[k] = to
    return Onward(tuple(kinds), tuple(numbers), tuple(names), tuple(top_down(kinds, numbers)))


def _stays(plant: Plant, place: int) -> bool:
    """Whether a place is on every floor what it is without one: it was measured, or is a tray whose outlet takes all,
    of which a plan knows nothing."""
    own = plant.places[place]
    return own.measured or (plant.arrays.place_next_kind[place] == prim.R_DRAIN and not own.is_floor)


def _comes_to(kinds: Sequence[int], numbers: Sequence[int], place: int, end: int) -> bool:
    """Whether water from a place comes to another one in the end."""
    seen = set()
    while place != end and place not in seen and kinds[place] == prim.R_PLACE:
        seen.add(place)
        place = numbers[place]
    return place == end


def on_floor(plant: Plant, lying: Lying) -> Arrays:
    """The plant's arrays on a floor. What was measured stays as it is, and a place that leads nowhere keeps all.

    A probe that is reached only after its place has passed on its first water is reached when so much has come into the
    next one: a place of the plant passes on all that it cannot hold, and on the floor the water stands in both.
    """
    a, goes = plant.arrays, onward(plant, lying)
    number = {place.name: k for k, place in enumerate(plant.places)}
    cap, ref, on, off = list(a.place_cap), list(a.thr_ref), list(a.thr_on), list(a.thr_off)
    for name, litres in lying.holds:
        k = number[name]
        if goes.kinds[k] != prim.R_NONE and not _stays(plant, k):
            cap[k] = min(max(litres, LEAST), NEVER)
    wets = {(part, place): litres for part, place, litres in lying.wets}
    for touch in plant.touches:
        if not touch.measured and (touch.part, touch.place) in wets:
            k, share = touch.threshold, off[touch.threshold] / on[touch.threshold]
            litres = min(max(wets[touch.part, touch.place], LEAST), NEVER)
            ref[k], on[k] = _lies(goes, cap, ref[k], litres)
            off[k] = share * on[k]
    return a._replace(
        place_cap=cap, place_next_kind=list(goes.kinds), place_next=list(goes.numbers), place_order=list(goes.order),
        thr_ref=ref, thr_on=on, thr_off=off,
    )  # fmt: skip


def past_drains(plant: Plant, lying: Lying | None) -> frozenset[int]:
    """Numbers of places with a drain past which this floor leads their water: one that backs up keeps none there."""
    kinds = onward(plant, lying).kinds
    return frozenset(
        k
        for k, (own, here) in enumerate(zip(plant.arrays.place_next_kind, kinds, strict=True))
        if own == prim.R_DRAIN and here == prim.R_PLACE
    )


def _lies(goes: Onward, cap: Sequence[float], place: int, litres: float) -> tuple[int, float]:
    """The place, and what must lie in it, when so much has come into another one [m3]."""
    while litres > cap[place] * (1.0 + SAME) and goes.kinds[place] == prim.R_PLACE:
        litres, place = litres - cap[place], goes.numbers[place]
    return place, max(litres, LEAST)

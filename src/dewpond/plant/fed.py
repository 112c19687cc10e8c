"""From where the water of each place came in a run: parts that it ran out of, and places it went on from."""

from __future__ import annotations

from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.on_floor import onward
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace

DROPS = 1e-6  # what is less has come from rounding [m3]


class Fed(NamedTuple):
    """A place that got water. ``sources``: name of the part or place it came from, and how much [m3], most first;
    ``reached``: when water first touched a probe there [s], None: never."""

    place: str
    sources: tuple[tuple[str, float], ...]
    reached: float | None


def fed(plant: Plant, trace: Trace) -> tuple[Fed, ...]:
    """Every place that got more than a drop, those that lead on before those that they lead to."""
    a, goes = plant.arrays, onward(plant, trace.scenario.lying)
    found: list[dict[str, float]] = [{} for _ in plant.places]

    def came(place: int, source: str, volume: float) -> None:
        if volume > DROPS:
            found[place][source] = found[place].get(source, 0.0) + volume

    for edge, end in enumerate(a.edge_b):
        if a.node_kind[end] == prim.AIR and a.node_rkind[end] == prim.R_PLACE:
            came(a.node_rref[end], plant.parts[a.edge_owner[edge]], trace.moved[edge])
    for store, volume in enumerate(_over_rims(plant, trace)):
        if a.store_rkind[store] == prim.R_PLACE:
            came(a.store_rref[store], plant.stores[store], volume)
    for place, volume in enumerate(trace.place_over):
        if goes.kinds[place] == prim.R_PLACE:
            came(goes.numbers[place], plant.places[place].name, volume)
    reached = _reached(plant, trace)
    return tuple(
        Fed(plant.places[k].name, tuple(sorted(found[k].items(), key=lambda one: -one[1])), reached.get(k))
        for k in goes.order
        if found[k]
    )


def _over_rims(plant: Plant, trace: Trace) -> list[float]:
    """What ran over the rim of each store [m3]: what was there and came in by its edges, and is not there any more."""
    a = plant.arrays
    held = [start - end for start, end in zip(a.store_start, trace.volume, strict=True)]
    for edge, volume in enumerate(trace.moved):
        for node, came in ((a.edge_b[edge], volume), (a.edge_a[edge], -volume)):
            if a.node_kind[node] in (prim.TAP, prim.SPOUT):
                held[a.node_ref[node]] += came
    return held


def _reached(plant: Plant, trace: Trace) -> dict[int, float]:
    """When water first touched a probe in each place, by number [s]."""
    number = {place.name: k for k, place in enumerate(plant.places)}
    found: dict[int, float] = {}
    for touch in plant.touches:
        for reader in (touch.signal, *plant.readers.get(touch.signal, ())):
            for event in trace.alike.get((prim.E_SIGNAL, reader), ()):
                place = number[touch.place]
                if event.value > 0.0 and event.time < found.get(place, float("inf")):
                    found[place] = event.time
    return found

"""What a tank is given beside its top-off by parts that take as much out of it: told from the plant's edges alone."""

from __future__ import annotations

from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.study.year.feeding import carries_off, draws, held_back
from dewpond.study.year.model import Exchange


def exchanges(plant: Plant, days: Trace) -> tuple[Exchange, ...]:
    """Each part that carries water off a tank and brings other water in, with the vessel that this comes from."""
    a = plant.arrays
    names = {a.store_body[tank]: plant.stores[tank] for tank in plant.tanks}
    out = {(a.edge_owner[edge], body) for edge, body in carries_off(plant) if body in names}
    moved: dict[tuple[int, int, int], float] = {}
    dead: dict[int, float] = {}
    for edge, store, ends in draws(plant):
        for body in {a.store_body[end] for end in ends} & names.keys() - {a.store_body[store]}:
            key = a.edge_owner[edge], store, body
            if key[::2] in out:
                moved[key] = moved.get(key, 0.0) + max(days.moved[edge], 0.0)
                below = float(volume_of(a, store, held_back(plant, edge, store)))
                dead[store] = max(dead.get(store, 0.0), below)
    return tuple(
        Exchange(
            plant.parts[owner], plant.stores[store], names[body], volume / _drawn_for(plant, days, plant.parts[owner]),
            a.body_start[a.store_body[store]], max(a.store_start[store] - dead[store], 0.0),
        )
        for (owner, store, body), volume in sorted(moved.items())
    )  # fmt: skip


def _drawn_for(plant: Plant, days: Trace, part: str) -> float:
    """How long there was something to draw in ordinary days [s]: until a part tells that it draws air."""
    for event in days.events:
        say = plant.says.get(event.ref) if event.code == prim.E_SIGNAL else None
        if say is not None and (say.part, say.kind) == (part, "harm") and (event.value > 0.0) == say.when:
            return event.time or days.end
    return days.end

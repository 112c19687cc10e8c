"""What a tank is given beside its top-off by parts that take as much out of it: told from the plant's edges alone."""

from __future__ import annotations

from collections.abc import Collection

from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.plant import DAY, Plant
from dewpond.plant.trace import Event, Trace
from dewpond.study.year.feeding import carries_off, draws, held_back, reach
from dewpond.study.year.model import Exchange

SURELY = 0.9  # of the time after which a part draws air, in which it has drawn none; our prior


def exchanges(plant: Plant, days: Trace) -> tuple[Exchange, ...]:
    """Each part that carries water off a tank and brings other water in, with the vessel that this comes from.

    ``days``: ordinary ones in which there is some, as ``lasting`` says.
    """
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
    filled = {
        a.node_ref[end]
        for _, edge in plant.membranes
        for end in reach(plant, a.edge_b[edge])
        if a.node_kind[end] in (prim.TAP, prim.SPOUT)
    }
    return tuple(
        Exchange(
            plant.parts[owner], plant.stores[store], names[body], volume / days.end,
            a.body_start[a.store_body[store]], max(a.store_start[store] - dead[store], 0.0), store in filled,
        )
        for (owner, store, body), volume in sorted(moved.items())
    )  # fmt: skip


def lasting(plant: Plant, days: Trace) -> float:
    """For how much of ordinary days no such part has used its new water up [s]: whole days, if it is more than one.

    What goes on afterwards is no ordinary day: the top-off makes up for all that is taken out, and may be stopped for
    it.
    """
    parts = {one.part for one in exchanges(plant, days)}
    dry = (
        event.time
        for event in days.events
        if event.code == prim.E_SIGNAL and event.time > 0.0 and _draws_air(plant, event, parts)
    )
    end = min(dry, default=min(days.listed_until, days.end))
    if end >= days.end:
        return days.end
    sure = SURELY * end  # it is told of air only when the next portion is due
    return sure - sure % DAY if sure >= DAY else 0.5 * end


def _draws_air(plant: Plant, event: Event, parts: Collection[str]) -> bool:
    say = plant.says.get(event.ref)
    return say is not None and say.part in parts and say.kind == "harm" and (event.value > 0.0) == say.when

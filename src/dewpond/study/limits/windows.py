"""How long a line from the supply may be open in a day: the vessels that it fills share its flow, so their times add.

Each of them may have a float that sticks: then all of the flow goes into that one, so that each bounds the time by its
own room.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from dewpond.plant.plant import Plant
from dewpond.study.filling import Fill
from dewpond.study.full import full_level
from dewpond.study.limits.basin import rim, volume
from dewpond.study.limits.feeds import Feed, cushioned
from dewpond.study.limits.model import WINDOW, Bound, Limit
from dewpond.study.limits.vessels import overflow_of
from dewpond.study.lines import Line


@dataclass(frozen=True)
class Share:
    """What one vessel has of the day's window: what it wants [m3], the flow of the line while it fills [m3/s], and the
    room above its float that is left once tanks under pressure have given theirs [m3]; endless with an overflow."""

    vessel: str
    wanted: float
    flow: float
    room: float
    gives: float


def timed(plant: Plant, feed: Feed, every: Sequence[Line]) -> Line | None:
    """The line whose clock begins and ends what a row starts, so that its window is the longest run; None elsewhere."""
    mine = {store for _, store in feed.fills}
    own = {gate for gate, part in plant.gates.items() if part == feed.part}
    if feed.low is not None:
        return None
    gated = (line for line in every if line.clock is not None and plant.hanging((line.clock,)) & own)
    return next((line for line in gated if mine <= set(line.edges)), None)


def shares(plant: Plant, line: Line, fills: Sequence[Fill], wanted: dict[int, float]) -> Iterator[Share]:
    """What each vessel of a line has of its window; ``wanted``: vessel -> what it wants in a day [m3]."""
    names = {plant.stores[store]: store for store in line.edges}
    mine = [fill for fill in fills if fill.vessel in names and math.isfinite(fill.time)]
    for fill in mine:
        store = names[fill.vessel]
        if wanted[store] <= 0.0:
            continue
        at_once = {other.vessel: other.flow for other in mine if (other.once, other.beside) == (fill.once, fill.beside)}
        gives = cushioned(plant, line.edges[store], store)
        room = math.inf
        if overflow_of(plant, store) is None:
            above = volume(plant, store, rim(plant, store)) - volume(plant, store, full_level(plant, store))
            room = max(above - gives, 0.0)
        yield Share(fill.vessel, wanted[store], sum(at_once.values()), room, gives)


def window_limit(parts: Sequence[Share], has: float | None) -> Limit | None:
    """How long a line may be open in a day, by a clock or by hand; ``has``: for how long the file opens it [s]."""
    if not parts:
        return None
    time = sum(part.wanted / part.flow for part in parts)
    told = {"wanted": sum(part.wanted for part in parts), "flow": min(part.flow for part in parts)}
    low = Bound("wanted in a day", time, told, shares={p.vessel: p.wanted for p in parts} if len(parts) > 1 else {})
    high = tuple(
        Bound("room above the float", p.room / p.flow, {"space": p.room, "flow": p.flow, "gives": p.gives}, by=p.vessel)
        for p in parts if p.room < math.inf
    )  # fmt: skip
    return Limit(WINDOW, (low,), high, has, told)

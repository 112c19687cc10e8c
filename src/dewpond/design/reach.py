"""How long tubes are and how long they must be at least, by the heights and sizes of the places that they run through;
what there is to buy."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from dewpond.design.checks_matrix import boxes_of
from dewpond.design.lying import places_of
from dewpond.design.model import Design
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind, PartView
from dewpond.parts.cables import CABLE
from dewpond.parts.plumbing import ends_of

# Keys of a part made of tube: its length, and the size that it is sold under.
TUBES: Final = (("length", "size"), ("tube length", "tube"))
BORE, THROUGH, SIZE = "bore", "through", "size"
LEAD: Final = "lead"  # key of a sensor: the length of its cable
DRY: Final = "dry below"  # key of what draws from a vessel
RESERVE: Final = 0.1  # bought in addition to what the file says; our prior, 0.05 to 0.25 [1]


@dataclass(frozen=True)
class Tube:
    """A tube as the file has it.

    length [m]; size: what to ask for in a shop, empty for a bore of no usual size [m]; told: the file says its length.
    rise: all that it goes up and down from place to place, or from the water it draws to its end [m]. crossing: the
    shorter sides of the rooms that it runs right through [m].
    """

    part: str
    key: str
    length: float
    told: bool
    size: str
    rise: float
    crossing: float
    crossed: tuple[str, ...]

    @property
    def too_short(self) -> bool:
        """However it is laid."""
        return self.length < self.rise

    @property
    def tight(self) -> bool:
        """It fits only if it cuts the corners of the rooms that it runs through."""
        return not self.too_short and self.length < self.rise + self.crossing


@dataclass(frozen=True)
class SensorLead:
    """The lead of a sensor to its box: length [m]; up: from the sensor to the floor of the room above it in which the
    box hangs, 0 in one that is no higher; None where the file does not say where [m]."""

    part: str
    box: str
    length: float
    up: float | None

    @property
    def too_short(self) -> bool:
        """Even if it ran straight."""
        return self.up is not None and self.length < self.up


@dataclass(frozen=True)
class Shopping:
    """What the file adds up to: metres of each size of tube [m], tube ends, metres of each lead, and how many leads
    have no length."""

    tubes: Mapping[str, float]
    ends: int
    leads: Mapping[str, float] = field(default_factory=dict)
    without: tuple[str, ...] = ()


def tubes(design: Design, found: Scouted, kinds: Mapping[str, Kind]) -> tuple[Tube, ...]:
    """All of them, in the order of the file."""
    return tuple(_tubes(design, found, kinds))


def _tubes(design: Design, found: Scouted, kinds: Mapping[str, Kind]) -> Iterator[Tube]:
    for part in design.parts:
        keys = {param.key for param in kinds[part.kind].params}
        for length, size in TUBES:
            if length not in keys or size not in keys or part.get(length) is None:
                continue
            crossed = _crossed(part, design)
            crossing = sum(min(design.part(room)[SIZE]) for room in crossed)
            sold = "" if part.get(BORE) is not None else str(part[size])
            rise = _rise(part, found)
            yield Tube(part.name, length, part[length], length in part.given, sold, rise, crossing, crossed)


def _rise(part: PartView, found: Scouted) -> float:
    """Up and down between the floors of its places, or from the lowest water that a pump draws to where it ends [m]."""
    places = part.get(THROUGH)
    if isinstance(places, tuple | list):
        floors = [found.heights[place] for place in places]
        return sum(abs(after - before) for before, after in pairwise(floors))
    ends = [z for (name, _), z in found.ends.items() if name == part.name]
    low = [
        found.vessels[mark.vessel].bottom + mark.height
        for mark in found.marks
        if mark.part == part.name and mark.key == DRY
    ]
    return abs(ends[0] - low[0]) if ends and low else 0.0


def _crossed(part: PartView, design: Design) -> tuple[str, ...]:
    """Rooms between the first and the last of its places that it must run right through: none in which a place before
    or after lies, and none of which the size is not known."""
    places = part.get(THROUGH)
    if not isinstance(places, tuple | list):
        return ()
    inside = {place: str(design.part(place).get("in") or "") for place in places}
    return tuple(
        room
        for before, room, after in zip(places, places[1:], places[2:], strict=False)
        if room not in (inside[before], inside[after])
        and before not in (room, inside[room])
        and after not in (room, inside[room])
        and isinstance(design.part(room).get(SIZE), tuple)
    )


def sensor_leads(design: Design, found: Scouted, kinds: Mapping[str, Kind]) -> tuple[SensorLead, ...]:
    """Those of which the file says how long they are."""
    every = list[SensorLead]()
    for part in design.parts:
        lead, spot = part.get(LEAD), spot_of(part.name, design, found)
        for box in boxes_of(part, kinds[part.kind]) if lead is not None and spot is not None else ():
            floor = found.heights.get(str(design.part(box).get("in")))
            every.append(SensorLead(part.name, box, lead, None if floor is None else max(floor - (spot or 0.0), 0.0)))
    return tuple(every)


def spot_of(name: str, design: Design, found: Scouted) -> float | None:
    """Height above the datum at which a sensor sits: the floor of its place, or its lowest mark [m]."""
    marks = [found.vessels[mark.vessel].bottom + mark.height for mark in found.marks if mark.part == name]
    if marks:
        return min(marks)
    heights = {found.heights.get(place) for place in places_of(design.part(name))}
    return heights.pop() if len(heights) == 1 else None  # of one that lies on several floors, its end is not known


def shopping(design: Design, every: tuple[Tube, ...], kinds: Mapping[str, Kind]) -> Shopping:
    """Totals of the whole file."""
    metres, ends = dict[str, float](), 0
    for tube in every:
        metres[tube.size] = metres.get(tube.size, 0.0) + tube.length
    cables, without = dict[str, float](), list[str]()
    for part in design.parts:
        ends += ends_of(part)
        keys = {param.key for param in kinds[part.kind].params}
        cable = part.get(CABLE.key)
        if cable:
            cables[cable["gauge"]] = cables.get(cable["gauge"], 0.0) + cable["length"]
        if LEAD in keys and part.get(LEAD) is None:
            without.append(part.name)
        elif LEAD in keys:
            cables[""] = cables.get("", 0.0) + part[LEAD]
    return Shopping(metres, ends, cables, tuple(without))

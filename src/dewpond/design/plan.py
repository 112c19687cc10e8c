"""The plan of a floor as the file has it: outlines, openings, what stands where, and what was read of it. SI.

A spot is so far to the right and so far up [m], seen from above, from one corner that serves all rooms of a storey.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

Spot = tuple[float, float]
Area = tuple[Spot, ...]
"""Corners in their order; two are opposite corners of a rectangle."""
PROBE_OF: Final = "probe of "  # before the name of a device, among the spots: its own probe


def corners(area: Area) -> Area:
    """All corners of an area, those of a rectangle too."""
    if len(area) != 2:
        return area
    (left, low), (right, high) = area
    return ((left, low), (right, low), (right, high), (left, high))


@dataclass(frozen=True)
class Opening:
    """Where water may leave a room: a door or a stair, along a line in its outline.

    sill [m]: above the floor of the room; leads_to: a place, "" for one of which the file tells nothing
    """

    between: tuple[Spot, Spot]
    sill: float
    leads_to: str
    line: int


@dataclass(frozen=True)
class Furniture:
    """What stands on the floor and lets water pass beneath it; on a plinth only when that stands ``gap`` [m] high."""

    area: Area
    plinth: bool
    gap: float
    what: str
    line: int


@dataclass(frozen=True)
class Patch:
    """A part of the floor of another surface ("": of the same), or higher by so much [m]."""

    area: Area
    surface: str
    raised: float
    line: int


@dataclass(frozen=True)
class Joint:
    """A gap through which water leaves for the place below: ``takes`` at most [m3/s], None: nobody knows."""

    area: Area
    takes: float | None
    leads_to: str
    line: int


@dataclass(frozen=True)
class Hollow:
    """What a heavy part presses into the floor: ``depth`` beneath it, nothing ``reaches`` away from it [m]."""

    under: str
    depth: float
    reaches: float
    line: int


@dataclass(frozen=True)
class Read:
    """One reading: ``by`` what, and its keys as the file has them [SI]; a key that was left out is not in there."""

    by: str
    values: Mapping[str, Any]
    line: int

    def __getitem__(self, key: str) -> Any:
        return self.values[key]

    def get(self, key: str) -> Any:
        return self.values.get(key)


@dataclass(frozen=True)
class FloorPlan:
    """The floor of one room.

    flatness  one of floors.FLATNESS: what is taken of the floor before anything is read
    spots     part, or "probe of ..." one, -> where it stands: a spot, the area of what covers one, or the way of a tube
    lines     line of each of ``spots``
    """

    place: str
    outline: Area
    flatness: str
    walls: tuple[Area, ...]
    openings: tuple[Opening, ...]
    furniture: tuple[Furniture, ...]
    patches: tuple[Patch, ...]
    joints: tuple[Joint, ...]
    hollows: tuple[Hollow, ...]
    spots: Mapping[str, Area]
    readings: tuple[Read, ...]
    line: int
    lines: Mapping[str, int]

    @property
    def leads(self) -> tuple[str, ...]:
        """Places behind its openings, then below its joints; "" for one of which the file tells nothing."""
        return (*(one.leads_to for one in self.openings), *(one.leads_to for one in self.joints))

"""Water that a drain in the floor of a room takes, and what no drain takes."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from dewpond.design.model import Design
from dewpond.parts import KINDS
from dewpond.plant.consequence import Consequence
from dewpond.plant.moments import NOT_A_FLOOD

WHOLE: Final = 0.999  # a place has received all that another one passed on to it, but for rounding [1]


def rooms(design: Design) -> tuple[str, ...]:
    """The places whose floor people walk on: not trays, which lie in another place, and not drains."""
    return tuple(p.name for p in design.parts if KINDS[p.kind].role == "place" and not p.get("in"))


def taken(told: Consequence, floors: Collection[str]) -> dict[str, tuple[str, float]]:
    """Room -> the drain in its floor, and what that took [m3]. ``floors``: names of the rooms, or of all places."""
    return {
        place: (drain, volume)
        for place, (drain, volume) in told.onward.items()
        if place in floors and volume > NOT_A_FLOOD and told.by_place.get(drain, 0.0) < WHOLE * volume
    }


def undrained(told: Consequence, floors: Collection[str]) -> float:
    """What came onto floors and was taken by no drain: it lay there, dried, or left by doors or downwards [m3]."""
    return max(told.on_floors - sum(volume for _, volume in taken(told, floors).values()), 0.0)

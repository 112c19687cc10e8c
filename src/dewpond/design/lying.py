"""Where a sensor lies: one that is long may lie in several places."""

from __future__ import annotations

from typing import Final

from dewpond.parts.base import PartView

ALONG: Final = "through"  # key of what lies in several places, in their order


def places_of(sensor: PartView) -> tuple[str, ...]:
    """The place or vessel that a sensor says it is in, or the places through which it lies; none where it says none."""
    along = sensor.get(ALONG)
    if isinstance(along, tuple):
        return tuple(str(place) for place in along)
    return (str(sensor["in"]),) if sensor.get("in") else ()

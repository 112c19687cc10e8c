"""Water that has only just begun to get out: as a tube under pressure is let off, it may stand still for a moment
before what flows behind it has come up. That moment is no end of it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from dewpond.plant import primitives as prim
from dewpond.plant.trace import Event

BEGINS: Final = 10.0  # so long after its first drop water has only just begun [s]; our prior
MOMENT: Final = 3.0  # and stands still for no more than a moment if for no longer [s]; our prior


def steadied(events: Iterable[Event]) -> tuple[Event, ...]:
    """Events in order, without those with which water that has just begun stands still for a moment and goes on."""
    kept: list[Event] = []
    began, stands = float("-inf"), -1  # when the water last began [s]; where its end stands, if it has only just begun
    for event in events:
        if event.code == prim.E_WATER and event.value > 0.0:
            if stands >= 0 and event.time - kept[stands].time <= MOMENT:
                del kept[stands]
                stands = -1
                continue
            began, stands = event.time, -1
        elif event.code == prim.E_WATER:
            stands = len(kept) if event.time - began <= BEGINS else -1
        kept.append(event)
    return tuple(kept)

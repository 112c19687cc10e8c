"""Findings about what was read round a floor drain: nothing tells whether water runs past it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from dewpond.design import messages_floors as m
from dewpond.design.checks_places import UPRIGHT
from dewpond.design.drawn import IN_WALL, Drawn
from dewpond.design.geometry import depth, ring
from dewpond.design.plan import Area, Read, Spot

AT_IT: Final = 0.15  # what was read no farther from a drain tells no side of it [m]; our prior
BEYOND: Final = 0.4  # less floor than that past a drain is not asked about [m]; our prior
ROUND: Final = 2.0 * math.pi
ONE_SIDE: Final = math.radians(200.0)  # without a reading all round that: the others lie on one side; our prior
STEP: Final = math.radians(15.0)  # between the ways that are tried on the far side


def check_drains(drawn: Drawn) -> None:
    """Each drain that has a spot, where some height or slope was read of the floor at all."""
    spots = [spot for read in drawn.plan.readings for spot in _told(read)]
    if not any("height" in read.values or _slopes(read) for read in drawn.plan.readings):
        return
    for name, area in drawn.plan.spots.items():
        view = drawn.house.views.get(name)
        if view is None or drawn.house.role(name) != "drain" or view.get("type") == UPRIGHT:
            continue
        beyond = _beyond(_middle(area), spots, drawn)
        if beyond:
            drawn.tell("D354", drawn.line("readings"), "readings", drain=name, beyond=beyond)


def _slopes(read: Read) -> bool:
    return read.get("rises") is not None or read.get("angle") is not None


def _told(read: Read) -> Iterator[Spot]:
    """Spots of which a reading says how the floor lies, or that water came there."""
    yield from (read[key] for key in ("at", "from", "to") if read.get(key) is not None)
    yield from read.get("outline") or ()


def _middle(area: Area) -> Spot:
    corners = ring(area) if len(area) > 1 else area
    return sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners)


def _beyond(drain: Spot, spots: list[Spot], drawn: Drawn) -> str:
    """On which side of a drain there is floor, and nothing was read; "" where there is none."""
    ways = sorted(math.atan2(y - drain[1], x - drain[0]) for x, y in spots if math.dist((x, y), drain) > AT_IT)
    if not ways:
        return ""
    gap, first = max((after - before, before) for before, after in pairwise([*ways, ways[0] + ROUND]))
    if gap < ONE_SIDE:
        return ""
    # The far side is what lies within a quarter turn of the middle of the gap; the nearest way to it that has floor.
    middle = first + 0.5 * gap
    steps = round(0.5 * (gap - math.pi) / STEP)
    tried = sorted((k * STEP for k in range(-steps, steps + 1)), key=abs)
    for way in (middle + turn for turn in tried):
        if _is_floor((drain[0] + BEYOND * math.cos(way), drain[1] + BEYOND * math.sin(way)), drawn):
            across, up = math.cos(way), math.sin(way)
            if abs(across) > abs(up):
                return m.TO_THE_RIGHT if across > 0.0 else m.TO_THE_LEFT
            return m.ABOVE if up > 0.0 else m.BELOW
    return ""


def _is_floor(spot: Spot, drawn: Drawn) -> bool:
    return depth(spot, drawn.plan.outline) > 0.0 and not any(depth(spot, wall) > IN_WALL for wall in drawn.plan.walls)

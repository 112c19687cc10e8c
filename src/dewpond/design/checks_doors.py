"""Findings about one door as the plans of both its rooms have it: where they draw it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from dewpond.design import messages_floors as m
from dewpond.design.drawn import Drawn
from dewpond.design.geometry import TOUCH, Side, middle
from dewpond.design.plan import Opening

WALL: Final = 0.6  # the thickest between two rooms, with its linings; our prior [m]
STEP: Final = 0.5  # floors that differ by no more join through a door [m]; our prior
POSTS: Final = 0.1  # by which the ends of one door differ in two plans: linings, and two measurements; our prior [m]


class Beside(NamedTuple):
    """Two drawings of a door: how far their ends differ, and over how much of the wall both have it, below nought: how
    far they are apart, all [m]."""

    differ: float
    both: float


def beside(one: Side, other: Side) -> Beside:
    """Along the wall, where one lies opposite of the other; elsewhere from middle to middle."""
    (x, y), (u, v) = one
    wide = math.dist(*one)
    along = ((u - x) / wide, (v - y) / wide)
    ends = sorted((a - x) * along[0] + (b - y) * along[1] for a, b in other)
    if max(abs((b - y) * along[0] - (a - x) * along[1]) for a, b in other) > WALL:
        far = math.dist(middle(one), middle(other))
        return Beside(far, -far)
    return Beside(max(abs(ends[0]), abs(ends[1] - wide)), min(wide, ends[1]) - max(0.0, ends[0]))


class Twin(NamedTuple):
    """The same door in the plan of the room behind; ``later``: of the two, that plan comes later in the file."""

    back: Opening
    later: bool
    beside: Beside


def twins(drawn: Drawn, every: Sequence[Drawn]) -> list[Twin | None]:
    """Of each opening of a plan the one of the room behind that is the same door: of those that lead from one room to
    the other and back the two that differ least, then of the others, to the last; None: none is left, or that room has
    no plan."""
    found: list[Twin | None] = [None] * len(drawn.plan.openings)
    for order, other in enumerate(every):
        if other.sound and other is not drawn:
            later = order > every.index(drawn)
            for number, back, differ in _pairs(drawn, other, later):
                found[number] = Twin(other.plan.openings[back], later, differ)
    return found


def _pairs(drawn: Drawn, other: Drawn, later: bool) -> Iterator[tuple[int, int, Beside]]:
    """(number of an opening, number of its twin in the other plan, how they differ)."""
    here, there = _leading(drawn, other.plan.place), _leading(other, drawn.plan.place)
    sides = [(k, n, drawn.plan.openings[k].between, other.plan.openings[n].between) for k in here for n in there]
    # Seen along the one that comes first in the file, so that both plans find the same twins.
    every = [(k, n, beside(one, back) if later else beside(back, one)) for k, n, one, back in sides]
    for k, n, differ in sorted(every, key=lambda pair: pair[2].differ):
        if k in here and n in there:
            here.remove(k)
            there.remove(n)
            yield k, n, differ


def _leading(drawn: Drawn, place: str) -> list[int]:
    openings = enumerate(drawn.plan.openings)
    return [
        k for k, one in openings if one.leads_to == place and len(one.between) == 2 and math.dist(*one.between) > TOUCH
    ]


def check_door(opening: Opening, twin: Twin | None, drawn: Drawn) -> None:
    """Two drawings that differ. Told once, of the later one."""
    heights = drawn.house.found.heights
    own, there = heights.get(drawn.plan.place), heights.get(opening.leads_to)
    if twin is None or twin.later or own is None or there is None or abs(own - there) > STEP:
        return
    differ, both = twin.beside
    if differ <= POSTS + TOUCH:
        return
    wide = math.dist(*twin.back.between)
    taken = m.TAKEN_AS_ONE.format(wide=drawn.length(round(wide, 2))) if both >= 0.0 else m.TAKEN_AS_TWO
    words = {"place": opening.leads_to, "its_line": str(twin.back.line), "differ": drawn.length(round(differ, 2))}
    drawn.tell("D352", opening.line, "openings", taken=taken, **words)

"""Outcomes on several floors that fit a plan, made up by hand."""

from __future__ import annotations

from dataclasses import replace

from dewpond.plant.consequence import Consequence
from dewpond.plant.plant import Lying
from dewpond.study.by_floor import ByFloor, Group
from dewpond.study.outcome import Outcome


def floored(outcome: Outcome, *told: Consequence, count: int = 0) -> Outcome:
    """The outcome with what it is on as many floors, each with a story of its own; ``count`` of all floors, also those
    that were not run."""
    groups = tuple(Group((number,), (one,)) for number, one in enumerate(told))
    ran = tuple(range(len(told)))
    return replace(outcome, floors=ByFloor(count or len(told), ran, 0, Lying(), (), (), groups, 1.0))

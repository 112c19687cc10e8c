"""Runs of each fault that leaves a float open, for the ways of filling; and the answers on which their litres hang."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from dewpond.design.model import Unknown
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.plant import Plant
from dewpond.study import filling
from dewpond.study.drills import LENGTHS
from dewpond.study.outcome import ASPECTS, FLOORS
from dewpond.study.ways import gating
from dewpond.study.ways.model import Flood, Hangs

Begin = Callable[[Plant], Plant]
Open = Callable[[str], gating.Windows | None]


@dataclass(frozen=True)
class Other:
    """Another answer to an "unknown"; ``lowered``: the plant with it."""

    unknown: Unknown
    value: object
    lowered: Callable[[], Plant]

    @cached_property
    def plant(self) -> Plant:
        """The plant with it, at an hour at which its fills run."""
        return filling.look(self.lowered(), None).at


class Tried(NamedTuple):
    """What a stuck float does in one way of filling, and on which answers that hangs."""

    flood: Flood | None
    hangs: tuple[Hangs, ...] = ()


def as_it_stands(plant: Plant) -> Plant:
    """A run begins with the vessels as they are."""
    return plant


def at_the_low_mark(plant: Plant, edges: Sequence[tuple[int, int]], left: float) -> Plant:
    """The plant with its reservoirs filled to where a fill from mark to mark begins: a share ``left`` of them."""
    start = list(plant.arrays.store_start)
    for edge, store in edges:
        full = float(volume_of(plant.arrays, store, plant.arrays.gate_a[plant.arrays.edge_gate[edge]]))
        start[store] = min(start[store], left * full)
    return replace(plant, arrays=plant.arrays._replace(store_start=start))


def worst(
    plant: Plant,
    stuck: Sequence[str],
    who: Sequence[str],
    open_: Open,
    others: Sequence[Other] = (),
    begin: Begin = as_it_stands,
) -> Tried:
    """The run with the most water on floors, of every fault in ``stuck`` and everywhere people may be.

    That run is made again with each other answer of a part that was asked in it; where the litres change, all are, for
    the worst of them then.
    """
    told = _most(plant, stuck, who, open_, begin)
    if told is None:
        return Tried(None)
    hangs = [
        _with(other, told, stuck, who, open_, begin) for other in others if other.unknown.part in told.asked
    ]  # fmt: skip
    return Tried(_flood(told), tuple(one for one in hangs if one is not None))


def _with(
    other: Other, told: Consequence, stuck: Sequence[str], who: Sequence[str], open_: Open, begin: Begin
) -> Hangs | None:
    (same,) = _runs(other.plant, told.faults, (told.who,), open_, begin)
    if not _apart(told, same):
        return None
    then, unknown = _most(other.plant, stuck, who, open_, begin), other.unknown
    if then is None or not _apart(told, then):
        return None
    return Hangs(
        unknown.part, unknown.key, unknown.taken, other.value, unknown.find_out, then.on_floors, then.still_running
    )


def _apart(one: Consequence, other: Consequence) -> bool:
    return ASPECTS[FLOORS](one, other, (one, one))


def _most(plant: Plant, stuck: Sequence[str], who: Sequence[str], open_: Open, begin: Begin) -> Consequence | None:
    return max(_runs(plant, stuck, who, open_, begin), key=lambda told: told.on_floors, default=None)


def _runs(plant: Plant, stuck: Sequence[str], who: Sequence[str], open_: Open, begin: Begin) -> Iterator[Consequence]:
    for label in stuck:
        for one in who:
            gated, trace = gating.run(begin(plant), one, LENGTHS[one], open_(one), (label,))
            told = judge(gated, trace)
            yield replace(told, faults=(label,))  # that the feed is shut is no fault


def _flood(told: Consequence) -> Flood:
    (fault,) = told.faults
    return Flood(fault, told.who, told.on_floors, told.first_noticed, told.still_running, told.horizon)

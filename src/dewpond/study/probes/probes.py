"""Where probes should stand: every leak on every floor that fits, and what probes, ropes and trays feel of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np

from dewpond.design.lying import places_of
from dewpond.design.model import Design
from dewpond.floor.placement import Placed
from dewpond.floor.sites import HOLDS_WATER, REACHED_BY, Cell
from dewpond.floor.storey import probes_in
from dewpond.parts.base import Kind
from dewpond.study import floors
from dewpond.study.floors import Looked
from dewpond.study.outcome import Progress
from dewpond.study.probes import columns, more
from dewpond.study.probes.choosing import Choosing
from dewpond.study.probes.model import (
    MOST_SPOTS,
    NO_LEAK,
    NO_PLAN,
    NO_SPOT,
    NOW,
    POINT,
    TOO_MANY,
    Asked,
    Cases,
    Probes,
    ProbesError,
    Spotted,
)
from dewpond.study.probes.pouring import tests

ROPES: Final = 500  # spots on which a rope may begin
HEIGHTS: Final = 60  # spots of which one more height is thought of
FLOORS, PLACING = "leaks on floors that fit", "probes, ropes and trays"
OTHERS: Final = 4  # steps of the placing besides one for each number of probes


def probes(
    design: Design, kinds: Mapping[str, Kind], asked: Asked | None = None, looking: floors.Asked | None = None,
    progress: Progress | None = None,
) -> Probes:  # fmt: skip
    """Where probes should stand in a design. Raises ProbesError where that cannot be told."""
    asked, looking = asked or Asked(), looking or floors.Asked()
    if not design.plans:
        raise ProbesError(NO_PLAN)
    looked = tuple(map(_own_leaks, floors.look(
        design, kinds, looking, step=None if progress is None else lambda d, t: progress(d, t, FLOORS)
    )))  # fmt: skip
    if not any(one.wetted for one in looked):
        raise ProbesError(NO_LEAK)
    apart, cases = laid(design, kinds, looked, asked)
    if not any(one.sort == POINT for one in cases.columns):
        raise ProbesError(NO_SPOT)
    return _Answer(design, kinds, looked, cases, asked, apart, progress).made()


def _own_leaks(one: Looked) -> Looked:
    """A storey without the water that comes on from another one: it comes late, and a probe up there feels it first."""
    return replace(
        one, sites=tuple(site for site in one.sites if not site.comes),
        wetted=tuple(leak for leak in one.wetted if not leak.site.comes),
    )  # fmt: skip


def laid(design: Design, kinds: Mapping[str, Kind], looked: Sequence[Looked], asked: Asked) -> tuple[float, Cases]:
    """Everything that may be laid, and how far apart the spots lie that are tried [m]."""
    storeys = [one.storey for one in looked]
    free = [
        columns.free_cells(design, kinds, one.storey, asked.barred)
        if one.wetted
        else np.zeros(one.storey.frame.shape, dtype=bool)
        for one in looked
    ]
    apart, spots = columns.lattice(storeys, free, MOST_SPOTS)
    _, begins = columns.lattice(storeys, free, ROPES)
    found: list[Spotted] = []
    litres: list[tuple[int, Any]] = []
    makers: tuple[Callable[[Looked, int], columns.Columns], ...] = (
        columns.now,
        lambda one, k: columns.points(one, k, spots[k]),
        lambda one, k: columns.ropes(one, k, begins[k], free[k], asked.rope),
        lambda one, k: columns.trays(one, k, asked.tray),
    )
    for make in makers:
        for number, one in enumerate(looked):
            if one.wetted or make is columns.now:
                new, felt = make(one, number)
                found += new
                litres += [(number, each) for each in felt]
    return apart, _cases(looked, found, litres)


def _cases(looked: Sequence[Looked], found: Sequence[Spotted], litres: Sequence[tuple[int, Any]]) -> Cases:
    """Every leak on every floor in a row; what lies on another storey never feels it."""
    sites, starts = list[tuple[int, int, int]](), list[int]()
    for number, one in enumerate(looked):
        starts.append(len(sites))
        for leak in range(len(one.wetted)):
            sites += [(number, leak, member) for member in range(len(one.fitted.floors))]
    drained = np.concatenate([columns.drained(one, leak) for one in looked for leak in one.wetted] or [np.empty(0)])
    half = np.concatenate([_half(one) for one in looked for _ in one.wetted] or [np.empty(0, dtype=bool)])
    table = np.full((len(sites), len(found)), np.inf)
    for column, (number, felt) in enumerate(litres):
        table[starts[number] : starts[number] + felt.size, column] = felt.ravel()
    return Cases(tuple(found), table, drained, half, tuple(sites))


def _half(looked: Looked) -> Any:
    """Every second floor, shape (members,): True and False; one that is told several times is told in one half."""
    count = len(looked.fitted.floors)
    numbers = looked.poured.chosen if looked.poured else tuple(range(count))
    return np.unique(numbers, return_inverse=True)[1] % 2 == 1


class _Answer:
    def __init__(
        self, design: Design, kinds: Mapping[str, Kind], looked: tuple[Looked, ...], cases: Cases, asked: Asked,
        apart: float, progress: Progress | None,
    ) -> None:  # fmt: skip
        self.design, self.kinds, self.looked, self.cases = design, kinds, looked, cases
        self.asked, self.apart, self.progress = asked, apart, progress
        self.there = [k for k, one in enumerate(cases.columns) if one.sort == NOW]
        self.stay = [k for k in self.there if cases.columns[k].name in asked.stay]
        self.choosing = Choosing(cases, self.stay, asked.cap)
        self.done, self.total = 0, 0

    def _heard(self) -> None:
        self.done += 1
        if self.progress is not None:
            self.progress(self.done, self.total, PLACING)

    def made(self) -> Probes:
        given_up = len(self.there) - len(self.stay)
        number = self.asked.number or max(1, given_up)
        free = self.choosing.spots((POINT, NOW))
        if not free:
            raise ProbesError(NO_SPOT)
        if number > free:
            raise ProbesError(TOO_MANY)
        most = min(max(number + 1, given_up), free)
        self.total = most + OTHERS
        steps = tuple(self.choosing.steps(most, self._heard))
        chosen = steps[number - 1].average.spots
        options = tuple(self.choosing.options(number, self._heard))
        poured = tuple(tests(self.looked, self.cases, self.there or chosen))
        self._heard()
        new = tuple(tests(self.looked, self.cases, [k for k in chosen if k not in self.there])) if self.there else ()
        readings = more.readings(
            self.looked, self.cases, chosen, self.stay, (*poured, *new), self._heights(), self.asked
        )  # fmt: skip
        self._heard()
        return Probes(
            asked=self.asked,
            number=number,
            looked=self.looked,
            cases=self.cases,
            now=tuple(self.cases.columns[k].name for k in self.there),
            spotless=self._spotless(),
            unplanned=self._unplanned(),
            present=self.choosing.worth(self.there) if self.there else None,
            lost=tuple(self.choosing.lost()),
            steps=steps,
            same=steps[given_up - 1] if given_up else None,
            options=options,
            watched=self._watched(number, steps[number - 1].average),
            pours=tuple(one.test for one in poured),
            more=readings,
            stray=self.choosing.stray(steps[number - 1].average),
            apart=self.apart,
        )

    def _watched(self, number: int, best: Placed) -> Placed | None:
        """Spots that leave less to the floor drains than those best on average; None: there are none such."""
        lost = self.cases.lost_to_drain(best.spots).mean()
        if not lost:
            return None
        found = self.choosing.drains_watched(number)
        return found if self.cases.lost_to_drain(found.spots).mean() < lost else None

    def _heights(self) -> list[list[Cell]]:
        """Spots of each storey whose height may be read."""
        storeys = [one.storey for one in self.looked]
        readable = []
        for one in self.looked:
            free = columns.free_cells(self.design, self.kinds, one.storey)
            readable.append(columns.readable_cells(one.storey, free) & bool(one.wetted))
        return columns.lattice(storeys, readable, HEIGHTS)[1]

    def _spotless(self) -> tuple[str, ...]:
        names = dict.fromkeys(name for name, _ in probes_in(self.design, self.kinds, REACHED_BY))
        return tuple(name for name in names if not any(name in plan.spots for plan in self.design.plans))

    def _unplanned(self) -> tuple[str, ...]:
        """Places in which something may leak, and of which there is no plan."""
        known = {name for one in self.looked for name in one.storey.places}
        wet = (p for part in self.design.parts if self.kinds[part.kind].role in HOLDS_WATER for p in places_of(part))
        floors_ = {part.name for part in self.design.parts if self.kinds[part.kind].role == "place"}
        return tuple(dict.fromkeys(place for place in wet if place in floors_ and place not in known))

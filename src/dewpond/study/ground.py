"""What runs ask of the plans of floors: for water from a leak, when it touches each probe and what each place holds."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Protocol

from dewpond.design.model import Design
from dewpond.floor.wetting import CAP, WettingTable
from dewpond.parts import KINDS
from dewpond.study.by_floor import Source
from dewpond.study.floors import Asked, Looked, look

# Up to here floors are followed for a run, which may put hundreds of litres on one [m3]; our prior. Below it, what is
# never reached stays dry because the water leaves.
FOLLOWED: Final = 1.0
RATES: Final = 1.1  # leaks whose rates differ by less count as one; our prior [1]


@dataclass(frozen=True)
class Figures:
    """Water from one leak in one place. litres: by part that has a probe there, shape (members,) [m3]; holds: shape
    (members,) [m3], None where the plan does not show where the water of the place goes; onto: name of the place or
    drain it goes on to, shape (members,), empty: the file names none."""

    litres: Mapping[str, Any]
    holds: Any
    onto: Any


class Ground(Protocol):
    """Floors that fit the plans, numbered through; one number is one floor for every place and probe.

    places: those with a plan; drains: those on one; count: of the floors; cap: water up to which they were followed
    [m3].
    """

    places: frozenset[str]
    drains: frozenset[str]
    count: int
    cap: float

    def want(self, sites: Iterable[Source]) -> None:
        """Tell that figures of these leaks will be asked for."""

    def figures(self, site: Source, place: str, rate: float | None = None) -> Figures | None:
        """Of a leak of a rate [m3/s], in its place or one that its water goes on to; None: the plans say nothing of it.
        ``rate`` left out: as floors are asked for."""

    def without(self, drains: frozenset[str]) -> Ground:
        """The same while some drains take nothing."""


class Tables:
    """Floors from tables, one for each storey, all with as many floors."""

    def __init__(
        self, tables: Sequence[WettingTable], cap: float = CAP, shows: Callable[[str], bool] | None = None
    ) -> None:
        """``shows``: whether the plan shows where the water of a place goes on to; left out: it does everywhere."""
        self.tables, self.drains = tables, frozenset[str]()
        self.places = frozenset(place for one in tables for place in one.places)
        self.cap = cap
        self.shows = shows or (lambda _: True)
        self.count = tables[0].litres.shape[1]

    def want(self, sites: Iterable[Source]) -> None:
        """All are there."""

    def figures(self, site: Source, place: str, rate: float | None = None) -> Figures | None:
        del rate  # they are of one
        for one in self.tables:
            if site in one.sites and place in one.places:
                s, k = one.sites.index(site), one.places.index(place)
                litres = {p.part: one.litres[s, :, n] for n, p in enumerate(one.probes) if p.place == place}
                return Figures(litres, one.holds[s, :, k] if self.shows(place) else None, one.onto[s, :, k])
        return None

    def without(self, drains: frozenset[str]) -> Ground:
        """The same: tables know of no drains."""
        del drains
        return self


class Plans:
    """The floors of a design that has plans: each leak is spilled when it is first asked for."""

    def __init__(
        self, design: Design, asked: Asked | None = None, every: bool = False, blocked: frozenset[str] = frozenset()
    ) -> None:
        """``every``: spill all leaks at once, since many will be asked for; ``blocked``: drains that take nothing."""
        self.design, self.asked, self.every, self.blocked = design, asked or Asked(cap=FOLLOWED), every, blocked
        self.drains = (
            frozenset(name for plan in design.plans for name in plan.spots if _is_drain(design, name)) - blocked
        )
        self.others: dict[frozenset[str], Plans] = {}
        self.cap = self.asked.cap
        self.places = frozenset(plan.place for plan in design.plans) | frozenset(_trays(design))
        self.count = self.asked.members
        self.wanted: set[Source] = set()
        self.looked: tuple[Looked, ...] = ()
        self.tables: dict[int | None, Tables] = {}

    def want(self, sites: Iterable[Source]) -> None:
        more = set(sites) - self.wanted
        if more and not (self.every and self.looked):
            self.wanted |= more
            wanted = None if self.every else self._is_wanted
            try:
                self.looked = look(self.design, KINDS, self.asked, wanted, blocked=self.blocked)
            except LookupError:  # none of these is on a plan
                return
            self.tables.clear()

    def _is_wanted(self, site: Any) -> bool:
        return (site.part, site.place) in self.wanted

    def figures(self, site: Source, place: str, rate: float | None = None) -> Figures | None:
        self.want([site])
        return self._tables(rate).figures(site, place) if self.looked else None

    def _tables(self, rate: float | None) -> Tables:
        """For leaks of about that rate; it matters only where something takes no more than so much."""
        counts = rate is not None and rate > 0.0 and any(one.lies for own in self.looked for one in own.wetted)
        step = round(math.log(rate, RATES)) if rate and counts else None
        if step not in self.tables:
            at = None if step is None else RATES**step
            self.tables[step] = Tables([one.table_at(at) for one in self.looked], self.cap, _shown(self.looked))
        return self.tables[step]

    def without(self, drains: frozenset[str]) -> Ground:
        """The same floors while some drains take nothing; each leak is then spilled when it is asked for."""
        if drains not in self.others:
            self.others[drains] = Plans(self.design, self.asked, blocked=drains)
        return self.others[drains]


def _is_drain(design: Design, name: str) -> bool:
    return any(part.name == name and KINDS[part.kind].role == "drain" for part in design.parts)


def _trays(design: Design) -> Iterable[str]:
    """Trays that are drawn on a plan."""
    named = {name: plan.place for plan in design.plans for name in plan.spots}
    lies_in = {p.name: str(p.get("in") or "") for p in design.parts if KINDS[p.kind].role == "place"}
    for name, outer in lies_in.items():
        place = outer
        for _ in lies_in:
            if place != named.get(name) and place in named:  # in another tray of that plan
                place = lies_in[place]
        if place and place == named.get(name):
            yield name


def _shown(looked: Sequence[Looked]) -> Callable[[str], bool]:
    """Whether a plan shows where the water of a place goes on to: over a rim, through a door, a joint, a drain."""
    found = set()
    for one in looked:
        storey = one.storey
        found |= {tray.name for tray in storey.trays}
        if storey.ways_out or len(storey.plans) > 1:
            found |= {plan.place for plan in storey.plans}
    return found.__contains__

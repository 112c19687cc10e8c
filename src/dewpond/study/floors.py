"""The floors of a design, looked at: every storey with its floors, its leak sites, its probes, and what wets what."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from dewpond.design.model import Design
from dewpond.design.plan import FloorPlan
from dewpond.floor.cells import Grid
from dewpond.floor.evidence import evidence_of
from dewpond.floor.fitted import MEMBERS, Fitted, fitted
from dewpond.floor.sites import Cell, Probe, Site, probes_of, sites_of
from dewpond.floor.storey import USUAL_CELL, Storey, frame_of, joined, storey
from dewpond.floor.weighing import Outline, Ran, Reached, Weights, first_wet, weighed
from dewpond.floor.wetting import CAP, RATE, Wetted, WettingTable, table, wetted
from dewpond.parts.base import Kind

BYTES: Final = 60  # of memory for a cell of a floor, as measured on six million of them
TO_MAKE, TO_SPILL = 2.7e-6, 0.6e-6  # for a cell of a floor, and for each leak on it, as measured on busy cores [s]
TENTH = 1e-4  # of a millimetre [m]
MOST_CELLS: Final = 18_000_000  # of all floors of one storey: a minute, and 10 s for each leak
POOL: Final = 200  # floors among which pours choose; our prior


@dataclass(frozen=True)
class Asked:
    """How floors are looked at: cell [m], None: as fine as is usual and can be afforded; number of floors; seed; litres
    up to which they are followed [m3]; flow of the leak [m3/s]."""

    cell: float | None = None
    members: int = MEMBERS
    seed: int = 0
    cap: float = CAP
    rate: float = RATE


@dataclass(frozen=True)
class Poured:
    """What pours and marbles made of the floors that fit heights and slopes: ``pool``, all that were drawn, how much
    each is believed, and ``chosen``, the numbers of those that stand for them; one that is believed much stands several
    times."""

    pool: Fitted
    weights: Weights
    chosen: tuple[int, ...]
    silent: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Looked:
    """A storey: its floors, each as likely as the others, and every leak on them. ``poured``: what chose them among
    others; None: nothing was poured or rolled."""

    fitted: Fitted
    sites: tuple[Site, ...]
    probes: tuple[Probe, ...]
    wetted: tuple[Wetted, ...]
    poured: Poured | None

    @property
    def storey(self) -> Storey:
        """Its rooms on their grid."""
        return self.fitted.storey

    @property
    def table(self) -> WettingTable:
        """What runs ask, of leaks as they were asked for."""
        return self.table_at(None)

    def table_at(self, rate: float | None) -> WettingTable:
        """What runs ask, of leaks of one rate [m3/s]; None: as they were asked for."""
        return table(self.fitted, self.wetted, self.probes, rate)


@dataclass(frozen=True)
class TooFine:
    """A storey whose cells would be too many: how many on each floor, on how many floors, and the finest cell that can
    be afforded [m]."""

    rooms: str
    cells: int
    floors: int
    finest: float

    @property
    def memory(self) -> float:
        """What they would take [byte]."""
        return float(self.cells * self.floors * BYTES)

    @property
    def making(self) -> float:
        """Time in which the floors would be made [s]."""
        return self.cells * self.floors * TO_MAKE

    @property
    def spilling(self) -> float:
        """Time for each leak [s]."""
        return self.cells * self.floors * TO_SPILL


def too_fine(design: Design, asked: Asked) -> TooFine | None:
    """The first storey that cannot be looked at with such cells; None: all can."""
    if asked.cell is None:
        return None
    for plans in joined(design):
        count = _count(plans, asked.cell)
        if count * asked.members > MOST_CELLS:
            rooms = ", ".join(plan.place for plan in plans)
            return TooFine(rooms, count, asked.members, _finest(plans, asked, asked.cell))
    return None


def _count(plans: tuple[FloorPlan, ...], cell: float) -> int:
    frame = frame_of(plans, cell)
    return frame.rows * frame.columns


def _finest(plans: tuple[FloorPlan, ...], asked: Asked, cell: float) -> float:
    """The finest cell, not below one [m], of which no more than can be afforded cover the storey; to a tenth of a
    millimetre."""
    if _count(plans, cell) * asked.members <= MOST_CELLS:
        return cell
    tenths = math.ceil(cell / TENTH * math.sqrt(_count(plans, cell) * asked.members / MOST_CELLS) - 1e-9)
    while _count(plans, tenths * TENTH) * asked.members > MOST_CELLS:
        tenths += 1
    return tenths * TENTH


def look(
    design: Design, kinds: Mapping[str, Kind], asked: Asked,
    wanted: Callable[[Site], bool] | None = None, step: Callable[[int, int], None] | None = None,
    blocked: Collection[str] = (),
) -> tuple[Looked, ...]:  # fmt: skip
    """Every storey of the design that has a plan, in the order of the file.

    ``wanted``: which leaks are spilled, all if left out; then storeys without one of them are left out, too.
    ``step``: called with what is done and what there is to do; ``blocked``: drains that take nothing.
    Raises LookupError where no leak is wanted.
    """
    found = []
    storeys = [storey(design, kinds, plans, _cell(plans, asked), blocked) for plans in joined(design)]
    sites = [tuple(site for site in sites_of(design, kinds, one) if not wanted or wanted(site)) for one in storeys]
    if wanted:
        storeys = [one for one, those in zip(storeys, sites, strict=True) if those]
        sites = [those for those in sites if those]
        if not sites:
            raise LookupError("no leak is wanted")
    total = sum(
        _drawn(one, asked) + asked.members * len({site.cells for site in those})
        for one, those in zip(storeys, sites, strict=True)
    )
    done = 0

    def one_more() -> None:
        nonlocal done
        done += 1
        if step:
            step(done, total)

    for one, those in zip(storeys, sites, strict=True):
        floors, poured = _floors(one, asked, one_more)
        spilled: dict[tuple[Cell, ...], Wetted] = {}  # parts that leak at the same cells wet the same
        for site in those:
            if site.cells not in spilled:
                spilled[site.cells] = wetted(floors, site, asked.cap, asked.rate, one_more)
        made = tuple(replace(spilled[site.cells], site=site) for site in those)
        found.append(Looked(floors, those, probes_of(design, kinds, one), made, poured))
    return tuple(found)


def _floors(one: Storey, asked: Asked, step: Callable[[], None]) -> tuple[Fitted, Poured | None]:
    """So many floors that fit all that was read of a storey; where something was poured, drawn from a pool of more."""
    evidence = evidence_of(one)
    count = _drawn(one, asked)
    pool = fitted(one, count, asked.seed, step)
    if not evidence:
        return pool, None
    grids = [floor.grid for floor in pool.floors]
    weights = weighed(grids, evidence)
    chosen = stand_for(weights.each, asked.members)
    factors = {word: tuple(each[k] for k in chosen) for word, each in pool.factors.items()}
    told = replace(pool, floors=tuple(pool.floors[k] for k in chosen), factors=factors)
    return told, Poured(pool, weights, chosen, tuple(_silent(grids, evidence)))


def _silent(grids: Sequence[Grid], evidence: Iterable[Reached | Outline | Ran]) -> Iterator[tuple[str, float]]:
    for one in evidence:
        if isinstance(one, Reached) and not one.arrived:
            came = one.arrives(first_wet(grids, one.leak, one.volume)) <= one.volume
            yield one.what, float(came.mean())


def _drawn(one: Storey, asked: Asked) -> int:
    """How many floors are drawn at first: more where pours choose among them, as far as memory goes."""
    if not evidence_of(one):
        return asked.members
    return max(asked.members, min(POOL, MOST_CELLS // (one.frame.rows * one.frame.columns)))


def stand_for(weights: Any, count: int) -> tuple[int, ...]:
    """So many numbers that stand for many of unlike weight: each as often as it weighs, to within one; ``weights``
    shape (members,), above 0 in all."""
    marks = np.cumsum(weights) / np.sum(weights)
    evenly = (np.arange(count) + 0.5) / count
    return tuple(int(k) for k in np.searchsorted(marks, evenly))


def _cell(plans: tuple[FloorPlan, ...], asked: Asked) -> float:
    """What was asked for, or the usual cell; of a hall so large that this would be too many, a larger one."""
    return asked.cell if asked.cell is not None else _finest(plans, asked, USUAL_CELL)

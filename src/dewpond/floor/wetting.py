"""What water from a leak reaches on every floor that fits the readings: first-wet litres of cells, probes, ways out.

Litres are those spilled at the leak, slowly. A leak that may be anywhere along a tube is at another place of it on each
floor, so that what nobody knows of the leak and of the floor is drawn together.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np

from dewpond.floor.cells import Work, work_space
from dewpond.floor.fitted import Fitted, Floor
from dewpond.floor.leaving import Outlet, spilled
from dewpond.floor.sites import Cell, Probe, Site
from dewpond.floor.spill import spill_on

CAP: Final = 60e-3
"""Litres beyond which no floor is followed [m3]. Source: our prior."""
RATE: Final = 0.2e-3 / 60.0
"""Flow of a leak of which nothing is said [m3/s]. Source: a membrane's product, our prior."""
LATE: Final = 0.5e-3 / 60.0  # above it a film that flows comes later than is reckoned here [m3/s]
FAST: Final = 1e-3 / 60.0  # above it the outline does not hold [m3/s]
MOSTLY: Final = 0.5
"""Share of what comes from which on a joint is taken to take all of it in a run [1]. Source: our own, for want of a run
that parts water in two."""
THREADS: Final = 2


@dataclass(frozen=True)
class Wetted:
    """A leak on all floors.

    at      cell of the leak on each floor
    first   shape (members, rows, columns): spilled when a cell gets wet [m3]; inf: not below the cap
    out     shape (members, ways out): spilled when each way out is reached [m3]
    lies    of members of which a way out takes only so much, by number: the same two of what lies there, which does not
            hang on the rate
    """

    site: Site
    at: tuple[Cell, ...]
    first: Any
    out: Any
    cap: float
    rate: float
    lies: Mapping[int, tuple[Any, Any]] = field(default_factory=dict)

    def reached(self, cells: Sequence[Cell]) -> Any:
        """Spilled when the first of some cells gets wet, on each floor: shape (members,) [m3]; inf: never."""
        rows, columns = zip(*cells, strict=True)
        return self.first[:, list(rows), list(columns)].min(axis=1).astype(float)


def wetted(
    found: Fitted, site: Site, cap: float = CAP, rate: float = RATE, step: Callable[[], None] | None = None,
    compiled: bool = True,
) -> Wetted:  # fmt: skip
    """Spill up to ``cap`` [m3] at a site, ``rate`` [m3/s] at a time, on each floor. ``step`` is called after each."""
    at = tuple(site.cells[member % len(site.cells)] for member in range(len(found.floors)))
    first = np.empty((len(at), *found.storey.frame.shape), dtype=np.float32)
    out = np.empty((len(at), len(found.storey.ways_out)))
    lies: dict[int, tuple[Any, Any]] = {}
    spaces: list[Work] = []

    def one(member: int) -> None:
        floor = found.floors[member]
        cells = floor.grid.cells()
        work = spaces.pop() if spaces else work_space(cells)
        made = spill_on(floor.grid, cells, work, at[member], cap, compiled).first
        spaces.append(work)
        out[member] = [made.ravel()[list(way.cells)].min() for way in found.storey.ways_out]
        outlets = _outlets(floor, out[member])
        if outlets:
            lies[member] = made.astype(first.dtype), out[member].astype(first.dtype)
            made, out[member] = spilled(made, outlets, rate), spilled(out[member], outlets, rate)
            made[made > cap] = math.inf
        first[member] = made
        out[member] = out[member].astype(first.dtype)  # no closer than the cells: what lies in a way out is reached so
        if step:
            step()

    if compiled:
        with ThreadPoolExecutor(THREADS) as pool:
            list(pool.map(one, range(len(at))))
    else:
        for member in range(len(at)):
            one(member)
    return Wetted(site, at, first, out, cap, rate, lies)


def _outlets(floor: Floor, out: Any) -> list[Outlet]:
    """Ways out that take only so much, in litres lying when each gets wet."""
    return [
        Outlet(float(wet), takes)
        for wet, takes in zip(out, floor.takes, strict=True)
        if 0.0 < takes < math.inf and math.isfinite(wet)
    ]


@dataclass(frozen=True)
class Spread:
    """What a figure is on the floors: on 5, 50 and 95 % of them it is less (inf: never reached), and the share of the
    floors on which it is never reached [1]."""

    low: float
    middle: float
    high: float
    never: float


def spread_of(values: Any) -> Spread:
    """Of values by member, shape (members,); inf where never."""
    values = np.asarray(values, dtype=float)
    low, half, high = (float(one) for one in spreads(values))
    return Spread(low, half, high, float(np.isinf(values).mean()))


_SHARES: Final = (0.05, 0.5, 0.95)


def share_wet(first: Any, volume: float) -> Any:
    """Share of the floors on which a cell is wet after a volume [m3], shape (rows, columns) [1]."""
    return np.mean(first <= volume, axis=0)


def spreads(first: Any) -> Any:
    """Of values by member, shape (members, ...), what ``spread_of`` has as low, middle and high: shape (3, ...); inf:
    never."""
    count = len(first)
    middle = (np.arange(count) + 0.5) / count
    at = np.minimum(np.searchsorted(middle, np.array(_SHARES) - 1e-12), count - 1)
    return np.sort(first, axis=0)[at].astype(float)


@dataclass(frozen=True)
class WettingTable:
    """What a run asks of the floors.

    sites, probes  (part, place) and Probe, in the order of the first and the last axis
    litres         shape (sites, members, probes): what lies in the probe's own place when it gets wet, of water that
                   comes from the site alone [m3]; inf: never
    holds          shape (sites, members, places): what a place takes before what comes goes on [m3]; inf: it does
                   not. What takes less than MOSTLY of it only makes that later
    onto           shape (sites, members, places): name of the place or drain that it goes on to then; empty where it
                   does not, or the file tells nothing of what lies there. Water comes to one place after the other, so
                   that on one floor no circle is among them
    """

    sites: tuple[tuple[str, str], ...]
    probes: tuple[Probe, ...]
    places: tuple[str, ...]
    litres: Any
    holds: Any
    onto: Any


def table(
    found: Fitted, made: Sequence[Wetted], probes: Sequence[Probe], rate: float | None = None
) -> WettingTable:  # fmt: skip
    """The table of some leaks on one storey, all of one ``rate`` [m3/s]; None: each of its own."""
    storey, count = found.storey, len(found.floors)
    litres = np.full((len(made), count, len(probes)), math.inf)
    holds = np.full((len(made), count, len(storey.places)), math.inf)
    onto = np.full(holds.shape, "", dtype=object)
    goes = np.array([*(way.leads_to for way in storey.ways_out), *storey.places], dtype=object)
    masks = [storey.of == number for number in range(len(storey.places))]
    for s, one in enumerate(made):
        leak = one.rate if rate is None else rate
        begins, reached, out = _at_rate(found, one, masks, probes, leak)
        for p, probe in enumerate(probes):
            litres[s, :, p] = _over(reached[:, p], begins[:, storey.places.index(probe.place)])
        takes = np.array([floor.takes for floor in found.floors]).reshape(out.shape)
        out = np.where(takes >= MOSTLY * leak, out, math.inf)
        for k in range(len(storey.places)):
            ends = np.column_stack([out, np.where(begins > begins[:, [k]], begins, math.inf)])
            holds[s, :, k] = _over(ends.min(axis=1), begins[:, k])
            onto[s, :, k] = np.where(np.isfinite(holds[s, :, k]), goes[ends.argmin(axis=1)], "")
    names = tuple((one.site.part, one.site.place) for one in made)
    return WettingTable(names, tuple(probes), storey.places, litres, holds, onto)


def _at_rate(found: Fitted, one: Wetted, masks: Sequence[Any], probes: Sequence[Probe], rate: float) -> Any:
    """Spilled at a rate [m3/s] when each place, each probe and each way out gets wet: shapes (members, ...) [m3]."""
    begins = np.stack([one.first[:, mask].min(axis=1, initial=math.inf) for mask in masks], axis=1).astype(float)
    reached = np.array([one.reached(probe.cells) for probe in probes]).reshape(len(probes), len(begins)).T.copy()
    out = one.out.copy()
    for member, (first, leaves) in one.lies.items():
        outlets = _outlets(found.floors[member], leaves)
        rows = (
            (begins, [first[mask].min(initial=math.inf) for mask in masks]),
            (reached, [min(first[cell] for cell in probe.cells) for probe in probes]),
            (out, leaves),
        )
        for values, lying in rows:
            then = spilled(lying, outlets, rate).astype(np.float32)
            values[member] = np.where(then > one.cap, math.inf, then)
    return begins, reached, out


def _over(values: Any, begins: Any) -> Any:
    """How much more than at the beginning; inf where one of them does not come."""
    found = np.full(values.shape, math.inf)
    there = np.isfinite(values) & np.isfinite(begins)
    found[there] = np.maximum(values[there] - begins[there], 0.0)
    return found

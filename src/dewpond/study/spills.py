"""What a leak comes to on the floors of a storey, in figures: what it reaches, when, and how far it spreads."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from dewpond.floor.sites import Probe, Site
from dewpond.floor.storey import DRAIN
from dewpond.floor.wetting import Spread, Wetted, spread_of
from dewpond.physics.film import capillary_length, run_time
from dewpond.physics.water import ZERO_CELSIUS, density, surface_tension, viscosity
from dewpond.study.floors import Looked
from dewpond.study.moved import Moved, moved

VOLUMES: Final = (1e-3, 2e-3, 5e-3, 10e-3, 20e-3)  # at which a puddle is told, unless others are asked for [m3]
FLATTEST: Final = 1e-3  # what falls less takes no run of its own: it is reckoned as so steep [1]; our prior
ROOM: Final = 20.0 + ZERO_CELSIUS  # temperature of spilled water [K]; our prior
PROBE, PLACE, WAY_OUT = "probe", "place", "way out"


@dataclass(frozen=True)
class Reached:
    """Something that water from a leak may reach.

    name, sort  what, and one of PROBE, PLACE, WAY_OUT; ``way``: number among the ways out of the storey, else -1
    place       where it is
    litres      spilled until then, by member, shape (members,) [m3]; inf: never
    spread      the same in short
    before      for each volume asked for, the share of the floors on which it is reached by then [1]
    after       time since the leak began, at its flow [s]
    run         of a probe: how much of that a run takes to it [s]; None: no floor has it reached
    """

    name: str
    sort: str
    place: str
    litres: Any
    spread: Spread
    before: tuple[float, ...]
    after: Spread
    way: int = -1
    run: Spread | None = None


@dataclass(frozen=True)
class Spill:
    """A leak on all floors of its storey.

    sites    parts that may leak at the same cells
    reaches  probes, other places and ways out, what comes soonest first
    seen     spilled until the first probe of all is wet [m3]
    held     the same until a probe feels it or a drain takes it; ``loose``: that on average, no more than the cap [m3]
    first    probes and ways out, each with the share of the floors on which none of the others comes before it; None:
             none of them comes at all
    wet      area that is wet after each volume asked for [m2]
    """

    sites: tuple[Site, ...]
    made: Wetted
    reaches: tuple[Reached, ...]
    seen: Spread
    held: Spread
    loose: float
    first: tuple[tuple[Reached | None, float], ...]
    wet: tuple[Spread, ...]

    @property
    def place(self) -> str:
        """Where it leaks."""
        return self.sites[0].place

    @property
    def probes(self) -> tuple[Reached, ...]:
        """What it reaches of them."""
        return tuple(one for one in self.reaches if one.sort == PROBE)


@dataclass(frozen=True)
class Spilled:
    """A storey with all leaks that were asked for; ``volumes``: at which puddles are told [m3]; ``moved``: what pours
    changed of the worst one, at the middle volume; None: nothing was poured or rolled, or nothing leaks."""

    looked: Looked
    volumes: tuple[float, ...]
    spills: tuple[Spill, ...]
    moved: Moved | None = None

    @property
    def drained(self) -> bool:
        """Whether a drain lies on the storey."""
        return any(way.by == DRAIN for way in self.looked.storey.ways_out)

    @property
    def worst(self) -> Spill:
        """See ``worst_of``."""
        return worst_of(self.spills)


def worst_of(spills: Sequence[Spill]) -> Spill:
    """The leak whose water no probe feels and no drain takes for longest; of some alike the one that wets most."""
    return max(spills, key=lambda one: (one.loose, one.wet[-1].middle))


def spilled(looked: Looked, volumes: Sequence[float] = VOLUMES) -> Spilled:
    """The figures of every leak on a storey."""
    groups: dict[Any, list[int]] = {}
    for number, site in enumerate(looked.sites):
        groups.setdefault(site.cells, []).append(number)
    spills = [
        _Spill(looked, looked.wetted[numbers[0]], volumes).told(tuple(looked.sites[n] for n in numbers))
        for numbers in groups.values()
    ]
    changed = moved(looked, worst_of(spills).made, volumes[len(volumes) // 2]) if spills else None
    return Spilled(looked, tuple(volumes), tuple(spills), changed)


class _Spill:
    def __init__(self, looked: Looked, made: Wetted, volumes: Sequence[float]) -> None:
        self.looked, self.made, self.volumes = looked, made, volumes
        self.floors = len(looked.fitted.floors)

    def told(self, sites: tuple[Site, ...]) -> Spill:
        found = [*self._probes(), *self._places(), *self._ways_out()]
        found.sort(key=lambda one: self._mean(one.litres))
        seen = self._soonest([one for one in found if one.sort == PROBE])
        held = self._soonest([one for one in found if one.sort == PROBE or self._is_drain(one)])
        area = self.looked.storey.frame.size**2
        wet = [spread_of(area * (self.made.first <= v).sum(axis=(1, 2))) for v in self.volumes]
        return Spill(
            sites, self.made, tuple(found), spread_of(seen), spread_of(held),
            self._mean(held), self._first(found), tuple(wet),
        )  # fmt: skip

    def _soonest(self, those: Sequence[Reached]) -> Any:
        litres = [np.full(self.floors, math.inf), *(one.litres for one in those)]
        return np.min(litres, axis=0)

    def _is_drain(self, one: Reached) -> bool:
        return one.sort == WAY_OUT and self.looked.storey.ways_out[one.way].by == DRAIN

    def _mean(self, litres: Any) -> float:
        """On average, as if what is never reached were reached at the cap [m3]."""
        return float(np.mean(np.minimum(litres, self.made.cap)))

    def _before(self, litres: Any) -> tuple[float, ...]:
        return tuple(float(np.mean(litres <= volume)) for volume in self.volumes)

    def _reached(
        self, name: str, sort: str, place: str, litres: Any, way: int = -1, runs: Any = None
    ) -> Reached:  # fmt: skip
        after = litres / self.made.rate + (0.0 if runs is None else runs)
        return Reached(
            name, sort, place, litres, spread_of(litres), self._before(litres),
            spread_of(after), way, None if runs is None else self._of_those(runs),
        )  # fmt: skip

    def _probes(self) -> Iterator[Reached]:
        for probe in self.looked.probes:
            litres = self.made.reached(probe.cells)
            runs = np.where(np.isfinite(litres), self._runs(probe), math.inf)
            yield self._reached(probe.name, PROBE, probe.place, litres, runs=runs)

    def _of_those(self, runs: Any) -> Spread | None:
        there = np.isfinite(runs)
        return spread_of(runs[there]) if there.any() else None

    def _runs(self, probe: Probe) -> Any:
        """How long a run takes to a probe on each member, straight, with the drop between [s]."""
        size = self.looked.storey.frame.size
        cells = np.array(probe.cells)
        heavy, viscous = density(ROOM), viscosity(ROOM)
        capillary = capillary_length(surface_tension(ROOM), heavy)
        found = np.zeros(self.floors)
        for member, floor in enumerate(self.looked.fitted.floors):
            start = self.made.at[member]
            away = size * np.hypot(*(cells - np.array(start)).T)
            nearest = int(away.argmin())
            far = float(away[nearest])
            if far > 0.0:
                drop = float(floor.grid.height[start] - floor.grid.height[tuple(cells[nearest])])
                steep = max(drop / far, FLATTEST)
                found[member] = run_time(self.made.rate, steep, far, capillary, heavy, viscous)
        return found

    def _places(self) -> Iterator[Reached]:
        storey = self.looked.storey
        for number, name in enumerate(storey.places):
            if name != self.made.site.place:
                litres = self.made.first[:, storey.of == number].min(axis=1, initial=math.inf).astype(float)
                yield self._reached(name, PLACE, name, litres)

    def _ways_out(self) -> Iterator[Reached]:
        """Where nothing leaves on a member, as its joints are tight, it is never reached as a way out."""
        for number, way in enumerate(self.looked.storey.ways_out):
            takes = np.array([floor.takes[number] for floor in self.looked.fitted.floors])
            litres = np.where(takes > 0.0, self.made.out[:, number], math.inf)
            yield self._reached(way.by, WAY_OUT, way.place, litres, number)

    def _first(self, found: Sequence[Reached]) -> tuple[tuple[Reached | None, float], ...]:
        """Of several at once the one that is told first; none of them at the end."""
        those = [one for one in found if one.sort != PLACE]
        counts: dict[int, int] = {}
        for member in range(self.floors):
            litres = [float(one.litres[member]) for one in those]
            soonest = int(np.argmin(litres)) if litres else -1
            if soonest >= 0 and math.isinf(litres[soonest]):
                soonest = -1
            counts[soonest] = counts.get(soonest, 0) + 1
        ranked = sorted(counts.items(), key=lambda item: (item[0] < 0, -item[1], item[0]))
        return tuple((those[number] if number >= 0 else None, many / self.floors) for number, many in ranked)

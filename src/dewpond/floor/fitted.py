"""The floors of a storey that fit what was read of it: an ensemble of grids on which water can be spilled."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from dewpond.design.plan import FloorPlan, Read
from dewpond.floor import members
from dewpond.floor.cells import Grid
from dewpond.floor.cup import Measured, ellipse, thickness
from dewpond.floor.evidence import named
from dewpond.floor.members import Range
from dewpond.floor.relief import Odd, Reading, height_at, rise_between
from dewpond.floor.roughness import Judged, Rough, judged, middle_of, rough
from dewpond.floor.shapes import plane_through
from dewpond.floor.standards import STANDARDS
from dewpond.floor.storey import DRAIN, Ground, Storey, WayOut

MEMBERS: Final = 20  # floors of an ensemble unless more are asked for
BATTEN: Final = 0.5e-3
"""Error of a batten with a spirit level over a metre [1]. Source: from memory."""
SLIPS: Final = 0.2  # share of a room's readings that may be slips; our prior [1]
CUP_ERROR: Final = 0.05
"""Error of what was poured from a cup, and of each way across its ragged puddle [1]. Source: our prior."""


@dataclass(frozen=True)
class Floor:
    """One member: its grid, and what each way out of the storey takes on it [m3/s], in their order."""

    grid: Grid
    takes: tuple[float, ...]


@dataclass(frozen=True)
class Fitted:
    """A storey and its floors. read: how many readings of height and slope they fit; odd: those that contradict;
    factors: by flatness, how many times as rough as that each floor is that was drawn [1]; judged: rooms that are
    rougher or smoother than their word."""

    storey: Storey
    floors: tuple[Floor, ...]
    read: int
    odd: tuple[Odd, ...]
    factors: Mapping[str, tuple[float, ...]]
    seed: int
    judged: tuple[Judged, ...] = ()


def fitted(storey: Storey, count: int = MEMBERS, seed: int = 0, step: Callable[[], None] | None = None) -> Fitted:
    """So many floors that all fit the readings of a storey; the same seed gives the same ones.

    ``step`` is called after each of them.
    """
    own = {plan.place: tuple(readings_of(plan, storey)) for plan in storey.plans}
    readings = [one for those in own.values() for one in those]
    reliefs = {
        word: rough(storey.frame.shape, storey.frame.size, STANDARDS[word], readings, count, seed)
        for word in dict.fromkeys(plan.flatness for plan in storey.plans)
    }
    measured = _measured(storey)
    floors = []
    for member in range(count):
        floors.append(_floor(storey, _relief(storey, reliefs, member), measured, seed, member))
        if step:
            step()
    odd = {one.what: one for relief in reliefs.values() for one in relief.odd}
    factors = {word: relief.factors for word, relief in reliefs.items()}
    told = tuple(_judged(storey, own, odd))
    return Fitted(storey, tuple(floors), len(readings), tuple(odd.values()), factors, seed, told)


def _judged(storey: Storey, own: Mapping[str, Sequence[Reading]], odd: Collection[str]) -> Iterator[Judged]:
    """Rooms whose own readings speak against their word. A few that are odd are slips; many are the floor."""
    drained = {way.place for way in storey.ways_out if way.by == DRAIN}
    middle = middle_of(*storey.frame.shape, storey.frame.size)
    for plan in storey.plans:
        every = own[plan.place]
        sound = [one for one in every if one.what not in odd]
        readings = sound if len(every) - len(sound) <= SLIPS * len(every) else every
        told = judged(plan.place, plan.flatness, readings, middle, plan.place in drained)
        if told is not None:
            yield told


def _relief(storey: Storey, reliefs: dict[str, Rough], member: int) -> Any:
    """Heights of a member, each room by its own standard, shape (rows, columns) [m]."""
    words = [plan.flatness for plan in storey.plans]
    found = reliefs[words[0]].heights[member].astype(float)
    for number, word in enumerate(words[1:], 1):
        mine = storey.of == number
        found[mine] = reliefs[word].heights[member][mine]
    return found


def _floor(storey: Storey, relief: Any, measured: dict[int, Measured], seed: int, member: int) -> Floor:
    height = relief + storey.base
    for tray in storey.trays:
        cells = tray.inner | tray.ring
        plane = np.zeros(storey.frame.shape)
        plane[cells] = plane_through(height, cells)
        height[cells] = plane[cells] + np.where(tray.ring, tray.rim, 0.0)[cells]
    height[storey.of < 0] = math.inf
    films, soaks = [], []
    for number, ground in enumerate(storey.grounds):
        film, soak = _ranges(ground, measured.get(number))
        films.append(members.film(film, seed, member))
        soaks.append(members.soak(soak, seed, member))
    takes = tuple(_takes(way, member) for way in storey.ways_out)
    ends = np.zeros(storey.frame.shape, dtype=bool)
    for way, most in zip(storey.ways_out, takes, strict=True):
        if math.isinf(most):
            ends.ravel()[list(way.cells)] = True
    # Single precision is enough for what is drawn from a range, and hundreds of floors are kept.
    film, soak = (np.array(one, dtype=np.float32)[storey.ground] for one in (films, soaks))
    grid = Grid(storey.frame.size, height, film, soak, ends)
    return Floor(grid, takes)


def _takes(way: WayOut, member: int) -> float:
    return members.joints(member) if way.takes is None else way.takes


def cup_of(read: Read) -> tuple[Measured, Measured]:
    """Of a poured cup its volume [m3] and the area of its puddle [m2]."""
    long, across, poured = (Measured(one, CUP_ERROR * one) for one in (*read["puddle"], read["poured"]))
    return poured, ellipse(long, across)


def _measured(storey: Storey) -> dict[int, Measured]:
    """What a floor takes by poured cups, film and soak together, by number of the ground; of several the mean."""
    found: dict[int, list[Measured]] = {}
    for plan in storey.plans:
        for read in plan.readings:
            if read.by == "cup":
                number = int(storey.ground[storey.frame.cell(read["at"])])
                found.setdefault(number, []).append(thickness(*cup_of(read)))
    return {number: _mean(cups) for number, cups in found.items()}


def _mean(cups: list[Measured]) -> Measured:
    return Measured(float(np.mean([one.value for one in cups])), math.hypot(*(one.error for one in cups)) / len(cups))


def _ranges(ground: Ground, cup: Measured | None) -> tuple[Range, Range]:
    """Film and soak of a surface: by what it is made of, or by a cup, to within two standard deviations. Of what soaks,
    the cup tells what it soaks up."""
    film, soak = Range(*ground.film), Range(*ground.soak)
    if cup is None:
        return film, soak
    taken = [max(cup.value + off * cup.error, 0.0) for off in (-2.0, 0.0, 2.0)]
    if soak.usual > 0.0:
        return film, Range(*(max(one - film.usual, 0.0) for one in taken))
    return Range(*taken), soak


def readings_of(plan: FloorPlan, storey: Storey) -> Iterator[Reading]:
    """Heights and slopes that were read of a room, as sums of heights; what the plan itself makes higher is taken off
    them."""
    for number, read in enumerate(plan.readings, 1):
        made = _reading(read, plan.place, storey)
        if made is not None:
            yield made._replace(what=named(number, read, plan.place))


def _reading(read: Read, place: str, storey: Storey) -> Reading | None:
    frame, base = storey.frame, storey.base

    def there(key: str) -> tuple[float, float]:
        return read[key][0] - frame.origin[0], read[key][1] - frame.origin[1]

    if "height" in read.values:
        value = read["height"] - float(base[frame.cell(read["at"])])
        return height_at(*there("at"), value, read["within"], "", place)
    if read.by not in ("batten", "phone"):
        return None
    (x1, y1), (x2, y2) = read["from"], read["to"]
    far = math.hypot(x2 - x1, y2 - y1)
    planned = float(base[frame.cell(read["to"])] - base[frame.cell(read["from"])])
    if read.by == "batten":
        rises, error = read["rises"], read.get("within") or BATTEN * far
    else:
        rises, error = math.tan(read["angle"]) * far, read["within"] * far
    return rise_between(there("from"), there("to"), rises - planned, error, "")

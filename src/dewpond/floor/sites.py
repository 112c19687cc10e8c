"""Where water may come onto a floor, and where it is felt: leak sites and probes of a storey, as cells.

A tube may leak anywhere along its way, a vessel run over on any of its sides, a part with a spot leaks there. What has
no spot is taken to leak where the part next to it in the line does, and it is said so.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final

import numpy as np

from dewpond.design.lying import places_of
from dewpond.design.model import Design
from dewpond.design.plan import PROBE_OF, Area, Spot, corners
from dewpond.floor.storey import Storey, probes_in
from dewpond.parts.base import Kind, PartView

EVERY: Final = 0.5
"""Places along a tube at which it is taken to leak lie no farther apart [m]. Source: our prior."""
HEAD: Final = 0.015
"""Half the width of a probe's head [m]. Source: common practice, no source."""
DRIPS: Final = 60  # spots at which water from above is taken to drip, one on each floor; our prior
ANYWHERE: Final = "anywhere on that floor"
HOLDS_WATER: Final = ("line", "vessel", "device")
REACHED_BY: Final = "reached by"  # the key of all that is reached by a puddle
Cell = tuple[int, int]


@dataclass(frozen=True)
class Site:
    """A part that may leak in a place: the cells at which it may; ``like``: the part whose spot was taken for it, or
    words for where else; empty where it has its own. ``comes``: ``part`` is a place of another storey, whose water
    comes on here."""

    part: str
    place: str
    cells: tuple[Cell, ...]
    like: str
    comes: bool = False

    @property
    def label(self) -> str:
        """ "riser in study"; of water that comes on "study as it comes to kitchen"."""
        return f"{self.part} {'as it comes to' if self.comes else 'in'} {self.place}"


@dataclass(frozen=True)
class Probe:
    """What feels water: name as among the spots, the part it belongs to, the place, and its cells."""

    name: str
    part: str
    place: str
    cells: tuple[Cell, ...]


def probes_of(design: Design, kinds: Mapping[str, Kind], storey: Storey) -> tuple[Probe, ...]:
    """All probes that have a spot on the storey, one for each place in which one lies."""
    found = []
    for name, part in probes_in(design, kinds, REACHED_BY):
        for plan in storey.plans:
            way = plan.spots.get(name)
            if way is None:
                continue
            felt = _felt(storey, way)
            if len(way) == 1:
                felt = settled(storey, felt, _listens_in(name, part))
            found += [Probe(name, part.name, place, cells) for place, cells in _by_place(storey, felt).items()]
    return tuple(found)


def _listens_in(name: str, part: PartView) -> tuple[str, ...]:
    """Places in which a probe says that it lies: of one that belongs to a device its own."""
    probe = part.get("probe")
    return (str(probe["in"]),) if name.startswith(PROBE_OF) and isinstance(probe, Mapping) else places_of(part)


def _felt(storey: Storey, way: Area) -> list[Cell]:
    if len(way) > 1:
        return storey.frame.along(way)
    near = storey.frame.near(way[0], HEAD)
    cells = [(int(row), int(column)) for row, column in np.argwhere(near & (storey.of >= 0))]
    return cells or [storey.frame.cell(way[0])]


def _by_place(storey: Storey, cells: list[Cell]) -> dict[str, tuple[Cell, ...]]:
    found: dict[str, list[Cell]] = {}
    for cell in cells:
        place = storey.place_at(cell)
        if place:
            found.setdefault(place, []).append(cell)
    return {place: tuple(dict.fromkeys(those)) for place, those in found.items()}


def settled(storey: Storey, cells: Iterable[Cell], wanted: Collection[str]) -> list[Cell]:
    """The same cells, but for those on the rim of a tray, and those in none of the places in which the part says that
    it is (``wanted``): they go to the nearest cell of one of these; a plan is no more exact than a hand's breadth."""
    ring = np.any([tray.ring for tray in storey.trays], axis=0) if storey.trays else np.zeros_like(storey.stands)
    numbers = [number for number, place in enumerate(storey.places) if place in wanted]
    among = np.argwhere(np.isin(storey.of, numbers) & ~ring)
    found = []
    for cell in cells:
        if len(among) and (ring[cell] or int(storey.of[cell]) not in numbers):
            row, column = among[int(((among - np.array(cell)) ** 2).sum(axis=1).argmin())]
            found.append((int(row), int(column)))
        else:
            found.append(cell)
    return found


def sites_of(design: Design, kinds: Mapping[str, Kind], storey: Storey) -> tuple[Site, ...]:
    """All parts that hold water in a place of the storey, each with the cells at which it may leak there. A place that
    walls or trays cover wholly has none."""
    if not (storey.of >= 0).any():
        return ()
    return tuple(_Sites(design, kinds, storey).all())


class _Sites:
    def __init__(self, design: Design, kinds: Mapping[str, Kind], storey: Storey) -> None:
        self.design, self.kinds, self.storey = design, kinds, storey
        self.parts = {part.name: part for part in design.parts}
        self.spots = {name: (plan.place, way) for plan in storey.plans for name, way in plan.spots.items()}
        self.own: dict[tuple[str, str], tuple[Cell, ...]] = {}

    def all(self) -> Iterator[Site]:
        wanted = [(part, place) for part in self.design.parts for place in self._wet_places(part)]
        for part, place in wanted:
            cells = self._at(part, place)
            if cells:
                self.own[part.name, place] = cells
        for part, place in wanted:
            own = self.own.get((part.name, place))
            if own:
                yield Site(part.name, place, own, "")
            else:
                cells, like = self._borrowed(part, place)
                if cells:
                    yield Site(part.name, place, cells, like)
        for above, place in self._comes():
            own = self._arrives(above, place)
            cells = own or self._anywhere(above, place)
            if cells:
                yield Site(above, place, cells, "" if own else ANYWHERE, comes=True)

    def _comes(self) -> Iterator[tuple[str, str]]:
        """Places of other storeys and rooms of this one to which their water goes, by their keys or by their plans."""
        here = self.storey.places[: len(self.storey.plans)]
        ways = {(part.name, str(part.get("leads to") or "")): None for part in self.design.parts}
        for plan in self.design.plans:
            ways |= dict.fromkeys(
                (plan.place, to) for to in plan.leads if to and self._height(to) <= self._height(plan.place)
            )
        return ((above, place) for above, place in ways if place in here and above not in self.storey.places)

    def _height(self, place: str) -> float:
        """Its floor above that of the lowest room [m]."""
        return float(self.parts[place].get("floor height") or 0.0)

    def _arrives(self, above: str, place: str) -> tuple[Cell, ...]:
        """The cells inside the opening by which water comes from a place of another storey; none: the plan has none."""
        plan = next(plan for plan in self.storey.plans if plan.place == place)
        for opening in plan.openings:
            if opening.leads_to == above:
                (ax, ay), (bx, by) = opening.between
                return (self._floor_near((0.5 * (ax + bx), 0.5 * (ay + by))),)
        return ()

    def _anywhere(self, above: str, place: str) -> tuple[Cell, ...]:
        """Cells drawn all over a floor, always the same ones for the same two places."""
        here = np.argwhere(self.storey.of == self.storey.places.index(place))
        if not len(here):
            return ()
        drawn = np.random.default_rng(list(f"{above}/{place}".encode())).choice(len(here), DRIPS)
        return tuple((int(row), int(column)) for row, column in here[drawn])

    def _wet_places(self, part: PartView) -> list[str]:
        """Places of the storey into which the part's own water may come."""
        role = self.kinds[part.kind].role
        if (
            role == "drain"
            and part.name in self.spots
            and all(way.leads_to != part.name for way in self.storey.ways_out)
        ):
            return [place for place in (part.get("in"),) if place in self.storey.places]  # blocked, it wells up
        if role not in HOLDS_WATER:
            return []
        places = places_of(part) or self._inherited(part)
        return [place for place in places if place in self.storey.places]

    def _inherited(self, part: PartView) -> tuple[str, ...]:
        """Where a part is that says so by naming another one: a float in its reservoir, a shut-off on its membrane."""
        for key in ("on", "fills", "after", "from", "drains to"):
            other = self.parts.get(str(part.get(key) or ""))
            if other is not None and other is not part:
                return places_of(other)
        return ()

    def _at(self, part: PartView, place: str) -> tuple[Cell, ...]:
        """The cells of its own spots that lie in that place."""
        cells: list[Cell] = []
        for plan in self.storey.plans:
            way = plan.spots.get(part.name)
            if way is not None:
                leaks = self._leaks(part, way)
                cells += settled(self.storey, leaks, self._wet_places(part) if len(way) == 1 else self.storey.places)
        return _by_place(self.storey, cells).get(place, ())

    def _leaks(self, part: PartView, way: Area) -> list[Cell]:
        if len(way) == 1:
            return [self._floor_near(way[0])]
        if self.kinds[part.kind].role == "vessel":
            shape = corners(way)
            sides = zip(shape, (*shape[1:], shape[0]), strict=True)
            return [self._floor_near((0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1]))) for a, b in sides]
        return [self._floor_near(spot) for spot in _every(way, EVERY)]

    def _floor_near(self, spot: Spot) -> Cell:
        """The cell of a spot, or the nearest one that water can enter."""
        frame, of = self.storey.frame, self.storey.of
        cell = frame.cell(spot)
        if of[cell] >= 0:
            return cell
        open_ = np.argwhere(of >= 0)
        row, column = open_[int(((open_ - np.array(cell)) ** 2).sum(axis=1).argmin())]
        return int(row), int(column)

    def _borrowed(self, part: PartView, place: str) -> tuple[tuple[Cell, ...], str]:
        """The cells of the nearest part in its line that has some there; else of all others; else the middle."""
        for other in self._neighbours(part):
            cells = self.own.get((other, place))
            if cells:
                return cells, other
        every = [cell for (_, where), cells in self.own.items() if where == place for cell in cells]
        if every:
            return tuple(dict.fromkeys(every)), "all other parts there"
        here = np.argwhere(self.storey.of == self.storey.places.index(place))
        if not len(here):
            return (), ""
        middle = here[int(((here - here.mean(axis=0)) ** 2).sum(axis=1).argmin())]
        return ((int(middle[0]), int(middle[1])),), "the middle of the floor"

    def _neighbours(self, part: PartView) -> Iterator[str]:
        """Parts of the same line, the nearest first: those before and behind it by turns."""
        seen, ring = {part.name}, [part.name]
        follow: dict[str, list[str]] = {}
        for one in self.design.parts:
            for key in ("after", "on", "fills", "from", "to", "drains to"):
                other = one.get(key)
                if isinstance(other, str) and other in self.parts:
                    follow.setdefault(one.name, []).append(other)
                    follow.setdefault(other, []).append(one.name)
        while ring:
            ring = [name for near in ring for name in follow.get(near, []) if name not in seen]
            ring = list(dict.fromkeys(ring))
            seen |= set(ring)
            yield from ring


def _every(way: Area, apart: float) -> Iterator[Spot]:
    """Spots along a way, its corners and between them, no farther apart [m]."""
    yield way[0]
    for (x1, y1), (x2, y2) in pairwise(way):
        steps = max(1, math.ceil(math.hypot(x2 - x1, y2 - y1) / apart))
        for k in range(1, steps + 1):
            yield (x1 + (x2 - x1) * k / steps, y1 + (y2 - y1) * k / steps)


def candidates(storey: Storey, apart: float, places: Any = None) -> list[Cell]:
    """Cells on which a probe may stand, on a lattice with so much between them [m]; ``places``: names, None: all."""
    step = max(1, round(apart / storey.frame.size))
    allowed = storey.stands
    if places is not None:
        allowed = allowed & np.isin(storey.of, [storey.places.index(name) for name in places])
    rows, columns = np.nonzero(allowed)
    keep = (rows % step == step // 2) & (columns % step == step // 2)
    return [(int(row), int(column)) for row, column in zip(rows[keep], columns[keep], strict=True)]

"""Spots on a floor in words, and what probes there are worth in litres and shares."""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np

from dewpond.design.model import Design
from dewpond.design.plan import Spot, corners
from dewpond.floor.placement import Placed
from dewpond.floor.sites import Cell
from dewpond.floor.storey import Storey
from dewpond.report.views.shown import Shown, joined
from dewpond.study.probes.model import NOW, ROPE, TRAY, Probes, Spotted

NEAR: Final = 0.6  # what lies farther away helps nobody to find a spot [m]
METRE: Final = 1.0  # from here on a length is told in three digits, to the centimetre


class Words:
    """For one answer."""

    def __init__(self, found: Probes, design: Design, shown: Shown) -> None:
        self.found, self.design, self.shown = found, design, shown

    # -- where ---------------------------------------------------------------------------------------------------------
    def at(self, storey: int, cell: Cell) -> str:
        """Right x up, as the file has it."""
        return " x ".join(self.length(value) for value in self.found.spot(storey, cell))

    def length(self, value: float) -> str:
        """A length to be laid off with a tape [m]."""
        return self.shown.amount(value, "length", 2 if abs(value) < METRE else 3)

    def what(self, one: Spotted) -> str:
        """Name or sort, and right x up of it."""
        ends = [self.at(one.storey, cell) for cell in one.cells]
        if one.sort == ROPE:
            return f"rope from {ends[0]} to {ends[1]}"
        if one.sort == TRAY:
            return f"tray from {ends[0]} to {ends[1]}, with a probe in it"
        return f"{one.name} as it stands" if one.sort == NOW else ends[0]

    def where(self, one: Spotted) -> str:
        """In words that can be found with a tape: place, walls, what stands over it, what is near."""
        middle = one.cells[0]
        if one.sort in (ROPE, TRAY):
            (low, left), (high, right) = one.cells
            middle = ((low + high) // 2, (left + right) // 2)
            return f"its middle {self.found_by(one.storey, middle)}"
        return self.found_by(one.storey, middle)

    def found_by(self, storey: int, cell: Cell) -> str:
        """The same of one cell."""
        house, spot = self.found.looked[storey].storey, self.found.spot(storey, cell)
        words = [f"in {house.place_at(cell)}", self._walls(house, cell)]
        over = [one.what for plan in house.plans for one in plan.furniture if one.what and _inside(spot, one.area)]
        words += [f"under {one}" for one in over[:1]]
        near = self._near(house, spot)
        return ", ".join(word for word in (*words, f"near {near}" if near else "") if word)

    def _walls(self, house: Storey, cell: Cell) -> str:
        """How far the nearer wall on the left or right and the nearer one below or above lie, as the plan is seen."""
        room = _room_of(house, cell)
        row, column = cell
        left, right = _free(room[row, :column][::-1]), _free(room[row, column + 1 :])
        below, above = _free(room[:row, column][::-1]), _free(room[row + 1 :, column])
        half = 0.5 * house.frame.size
        told = []
        for (one, word), (other, back) in (((left, "left"), (right, "right")), ((below, "lower"), (above, "upper"))):
            far, name = (one, word) if one <= other else (other, back)
            told.append(f"{self.length(far * house.frame.size + half)} from the {name} wall")
        return joined(told)

    def _near(self, house: Storey, spot: Spot) -> str:
        """The nearest part that has a spot, but for what feels water and for places."""
        names = {part.name for part in self.design.parts} - set(self.found.now) - set(house.places)
        far = {
            name: min(math.dist(spot, one) for one in _ends(way))
            for plan in house.plans for name, way in plan.spots.items() if name in names
        }  # fmt: skip
        name = min(far, key=lambda one: far[one], default="")
        return name if name and far[name] <= NEAR else ""

    # -- worth ---------------------------------------------------------------------------------------------------------
    def average(self, placed: Placed) -> str:
        """Litres; a cap makes a mean look better than it is, and it is said so."""
        told = self.shown.litres(placed.expected)
        return f"{told} or more" if placed.never > 0.0 else told

    def worst(self, placed: Placed) -> str:
        """Litres of the worst case."""
        told = self.shown.litres(placed.worst)
        return f"{told} or more" if placed.worst >= self.found.asked.cap else told

    def share(self, share: float) -> str:
        """A share of the cases, such as that in which nothing is felt."""
        if share <= 0.0:
            return "none"
        return "under 1 %" if share < 0.005 else f"{share * 100.0:.0f} %"

    def drained(self, placed: Placed) -> float:
        """In which share of the cases a floor drain takes the water and none of those placed ever feels it [1]."""
        return float(self.found.cases.lost_to_drain(placed.spots).mean())

    def cap(self) -> str:
        """How much is counted where nothing is felt."""
        return self.shown.litres(self.found.asked.cap)

    def first(self, placed: Placed, column: int) -> float:
        """In which share of the cases a thing is the first of those placed that feels water [1]."""
        felt = self.found.cases.litres[:, list(placed.spots)]
        own = self.found.cases.litres[:, column]
        ahead = np.isfinite(own) & (own <= felt.min(axis=1)) & (own < self.found.asked.cap)
        return float(ahead.mean())

    def leaks(self, one: Spotted, column: int) -> str:
        """The leaks of which a thing feels something on at least half of the floors."""
        own = self.found.cases.litres[:, column]
        found = []
        looked = self.found.looked[one.storey]
        for number, site in enumerate(looked.sites):
            rows = [
                k
                for k, (storey, leak, _) in enumerate(self.found.cases.sites)
                if (storey, leak) == (one.storey, number)
            ]
            felt = (own[rows] < self.found.asked.cap).mean()
            if felt >= 0.5:
                found.append(site.part)
        return joined(tuple(dict.fromkeys(found)))


def _ends(way: tuple[Spot, ...]) -> tuple[Spot, ...]:
    """Points of a way or of the edge of an area, a hand's width apart at most."""
    if len(way) == 1:
        return way
    found = []
    for (x1, y1), (x2, y2) in zip(corners(way)[:-1], corners(way)[1:], strict=True):
        steps = max(1, math.ceil(math.hypot(x2 - x1, y2 - y1) / 0.1))
        found += [(x1 + (x2 - x1) * k / steps, y1 + (y2 - y1) * k / steps) for k in range(steps + 1)]
    return tuple(found)


def _inside(spot: Spot, area: tuple[Spot, ...]) -> bool:
    shape, (x, y), within = corners(area), spot, False
    for (x1, y1), (x2, y2) in zip(shape, (*shape[1:], shape[0]), strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            within = not within
    return within


def _room_of(house: Storey, cell: Cell) -> Any:
    """Cells of the room that a cell lies in, with the trays in it: shape (rows, columns)."""
    rooms = len(house.plans)
    number = int(house.of[cell])
    if number >= rooms:
        tray = house.trays[number - rooms]
        number = next(
            k for k, plan in enumerate(house.plans) if tray.name in plan.spots
        )  # fmt: skip
    plan = house.plans[number]
    mine = [number, *(rooms + k for k, tray in enumerate(house.trays) if tray.name in plan.spots)]
    return np.isin(house.of, mine)


def _free(cells: Any) -> int:
    """Cells until the first that is none of the room."""
    barred = np.flatnonzero(~np.asarray(cells, dtype=bool))
    return int(barred[0]) if len(barred) else len(np.asarray(cells))

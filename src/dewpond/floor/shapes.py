"""Areas and ways on a grid: which cells lie in a shape, along a line, or near a spot."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from dewpond.design.plan import Area, Spot, corners


@dataclass(frozen=True)
class Frame:
    """A grid over a storey: ``origin`` is the low corner of its first cell (right, up), ``size`` a cell's side [m]."""

    origin: Spot
    size: float
    rows: int
    columns: int

    @property
    def shape(self) -> tuple[int, int]:
        """Rows (upwards) and columns (to the right)."""
        return self.rows, self.columns

    def middles(self) -> tuple[Any, Any]:
        """Right and up of the middle of each cell, both of shape (rows, columns) [m]."""
        x = self.origin[0] + (np.arange(self.columns) + 0.5) * self.size
        y = self.origin[1] + (np.arange(self.rows) + 0.5) * self.size
        return np.broadcast_to(x[None, :], self.shape), np.broadcast_to(y[:, None], self.shape)

    def cell(self, spot: Spot) -> tuple[int, int]:
        """Row and column of the cell that a spot lies in; of one beyond the edge the nearest."""
        column = math.floor((spot[0] - self.origin[0]) / self.size)
        row = math.floor((spot[1] - self.origin[1]) / self.size)
        return min(max(row, 0), self.rows - 1), min(max(column, 0), self.columns - 1)

    def spot(self, row: int, column: int) -> Spot:
        """The middle of a cell (right, up) [m]."""
        return self.origin[0] + (column + 0.5) * self.size, self.origin[1] + (row + 0.5) * self.size

    def inside(self, area: Area) -> Any:
        """Cells whose middle lies in an area, shape (rows, columns): True and False. An area that is narrower than a
        cell holds the one in which its middle lies."""
        shape = corners(area)
        x, y = self.middles()
        found = np.zeros(self.shape, dtype=bool)
        for (x1, y1), (x2, y2) in zip(shape, (*shape[1:], shape[0]), strict=True):
            if y1 == y2:
                continue
            crosses = (y1 > y) != (y2 > y)
            found ^= crosses & (x < x1 + (y - y1) * (x2 - x1) / (y2 - y1))
        if not found.any():
            middle = (sum(c[0] for c in shape) / len(shape), sum(c[1] for c in shape) / len(shape))
            found[self.cell(middle)] = True
        return found

    def along(self, way: Area) -> list[tuple[int, int]]:
        """Cells under a way of straight stretches, in its order; of a single spot its cell."""
        found = [self.cell(way[0])]
        for (x1, y1), (x2, y2) in pairwise(way):
            steps = max(1, math.ceil(2.0 * math.hypot(x2 - x1, y2 - y1) / self.size))
            for k in range(1, steps + 1):
                cell = self.cell((x1 + (x2 - x1) * k / steps, y1 + (y2 - y1) * k / steps))
                if cell != found[-1]:
                    found.append(cell)
        return found

    def near(self, spot: Spot, reach: float) -> Any:
        """Cells whose middle is no farther from a spot [m]; at least the one that it lies in."""
        x, y = self.middles()
        found = (x - spot[0]) ** 2 + (y - spot[1]) ** 2 <= reach * reach
        found[self.cell(spot)] = True
        return found


def edge_of(cells: Any) -> Any:
    """The cells of a set that have a neighbour outside it, straight or across a corner."""
    padded = np.pad(cells, 1, constant_values=False)
    within = cells.copy()
    for down in (0, 1, 2):
        for along in (0, 1, 2):
            within &= padded[down : down + cells.shape[0], along : along + cells.shape[1]]
    return cells & ~within


def around(cells: Any) -> Any:
    """The cells outside a set that touch it, straight or across a corner."""
    padded = np.pad(cells, 1, constant_values=False)
    near = np.zeros_like(cells)
    for down in (0, 1, 2):
        for along in (0, 1, 2):
            near |= padded[down : down + cells.shape[0], along : along + cells.shape[1]]
    return near & ~cells


def plane_through(height: Any, cells: Any) -> Any:
    """The plane that fits heights over some cells best, at those cells: of shape (cells,) [m]."""
    rows, columns = np.nonzero(cells)
    sides = np.column_stack([rows - rows.mean(), columns - columns.mean(), np.ones(len(rows))])
    fitted, *_ = np.linalg.lstsq(sides, height[cells], rcond=None)
    return sides @ fitted

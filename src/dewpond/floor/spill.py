"""One spill on one floor: what was spilled when each cell got wet, and how the water stands in the end."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from dewpond.floor.cells import Cells, Grid, Work, work_space
from dewpond.floor.compile import spread
from dewpond.floor.kernel.spreading import DRY


@dataclass(frozen=True)
class Spill:
    """A spill of ``volume`` [m3] on a floor, inf for as much as it takes to wet all that can get wet.

    first: shape (rows, columns): spilled when the cell got wet [m3]; inf where it stays dry
    order: cells in the order in which they got wet, as numbers of the flat floor
    """

    grid: Grid
    volume: float
    first: Any
    order: Any

    @property
    def wet(self) -> Any:
        """Shape (rows, columns): the cells that are wet."""
        return np.isfinite(self.first)

    @cached_property
    def depth(self) -> Any:
        """How deep water stands, shape (rows, columns) [m]; 0 where it is dry.

        A cell's water stands as high as the highest level at which water came to a later one; the pools at the end of
        the way rise with what was spilled since the last cell got wet. Those that hold less than their film are last.
        """
        grid, order = self.grid, self.order
        enters = (grid.height + grid.film).ravel()[order]
        level = np.maximum.accumulate(enters[::-1])[::-1]
        depth = np.zeros(grid.shape).ravel()
        depth[order] = level - grid.height.ravel()[order]
        if np.isfinite(self.volume) and len(order):
            self._rise(depth)
        return depth.reshape(grid.shape)

    def _rise(self, depth: Any) -> None:
        """Spread what is missing from, or too much in, the depths: the last pool's cells share it."""
        grid, order = self.grid, self.order
        missing = self.volume / grid.area - float((depth[order] + grid.soak.ravel()[order]).sum())
        if missing < 0.0:
            depth[order[-1]] += missing
            return
        level = depth[order] + grid.height.ravel()[order]
        last = order[level <= level[-1]]
        depth[last] += missing / len(last)


def spill(grid: Grid, leak: tuple[int, int], volume: float = np.inf, compiled: bool = True) -> Spill:
    """Spill a volume [m3] slowly at a cell (row, column)."""
    cells = grid.cells()
    return spill_on(grid, cells, work_space(cells), leak, volume, compiled)


def spill_on(
    grid: Grid, cells: Cells, work: Work, leak: tuple[int, int], volume: float, compiled: bool = True
) -> Spill:
    """The same with a work space that is at hand."""
    rows, columns = grid.shape
    count = spread(cells, work, grid.number(*leak), min(volume / grid.area, DRY), compiled)
    first = work.first.reshape(rows + 2, columns + 2)[1:-1, 1:-1] * grid.area
    first[work.first.reshape(rows + 2, columns + 2)[1:-1, 1:-1] >= DRY] = np.inf
    row, column = np.divmod(work.order[:count], columns + 2)
    return Spill(grid, volume, first, (row - 1) * columns + column - 1)

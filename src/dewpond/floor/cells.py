"""A floor as a grid of square cells, and the work space of a spill on it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from dewpond.floor.kernel.spreading import DRY

STEPS = ((1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1))  # to the eight neighbours, in a circle
KEPT = 8  # times that a cell may stand in the heap: once for each neighbour that sees it


class Cells(NamedTuple):
    """What the kernel knows of a floor; rows lie end to end.

    height, film, soak [m]; ends [1]: water that comes to the cell goes no further; step: from a cell to each of its
    neighbours; columns: cells in a row. The outermost cells are solid: their height is DRY.
    """

    height: Any
    film: Any
    soak: Any
    ends: Any
    step: Any
    columns: int


class Work(NamedTuple):
    """Work space, used again by every spill on floors of the same size.

    first: what was spilled when a cell got wet [m, over one cell]; best: the level at which it comes [m]; strayed: how
    far the water has strayed on its way there [1]; far: squared distance from the leak [1]; order, touched: cells that
    are wet, and that were seen; level, spans: of each pool [m], cells; key, cell: the heap; count: wet, seen.
    """

    first: Any
    best: Any
    strayed: Any
    far: Any
    order: Any
    touched: Any
    level: Any
    spans: Any
    key: Any
    cell: Any
    count: Any


@dataclass(frozen=True)
class Grid:
    """A floor: cells of ``size`` [m] in ``rows`` and ``columns``, without the solid border that the kernel needs.

    height, film, soak: shape (rows, columns) [m]; height is inf where no water enters
    ends: shape (rows, columns): water that comes there goes no further
    """

    size: float
    height: Any
    film: Any
    soak: Any
    ends: Any

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        rows, columns = self.height.shape
        return rows, columns

    @property
    def area(self) -> float:
        """Of a cell [m2]."""
        return self.size * self.size

    def number(self, row: int, column: int) -> int:
        """Of a cell, as the kernel counts with its border."""
        return (row + 1) * (self.shape[1] + 2) + column + 1

    def cells(self) -> Cells:
        """As the kernel takes it."""
        columns = self.shape[1] + 2

        def bordered(values: Any, outside: float, kind: Any) -> Any:
            filled = np.broadcast_to(np.asarray(values, dtype=kind), self.shape)
            return np.pad(filled, 1, constant_values=outside).ravel()

        height = bordered(self.height, DRY, np.float64)
        step = np.array([across + along * columns for across, along in STEPS], dtype=np.int64)
        return Cells(
            np.minimum(height, DRY), bordered(self.film, 0.0, np.float64), bordered(self.soak, 0.0, np.float64),
            bordered(self.ends, 0, np.int64), step, columns,
        )  # fmt: skip


def level_floor(size: float, rows: int, columns: int, film: float, soak: float = 0.0) -> Grid:
    """A level floor of one surface, walled in. ``film``, ``soak`` [m]."""
    shape = (rows, columns)
    return Grid(size, np.zeros(shape), np.full(shape, film), np.full(shape, soak), np.zeros(shape, dtype=bool))


def work_space(cells: Cells) -> Work:
    """For spills on floors of so many cells."""
    n = len(cells.height)
    return Work(
        first=np.full(n, DRY), best=np.full(n, DRY), strayed=np.zeros(n), far=np.empty(n, dtype=np.int64),
        order=np.empty(n, dtype=np.int64), touched=np.empty(n, dtype=np.int64), level=np.empty(n), spans=np.empty(n),
        key=np.empty(KEPT * n), cell=np.empty(KEPT * n, dtype=np.int64), count=np.zeros(2, dtype=np.int64),
    )  # fmt: skip

"""Spills on a floor of 75,000 cells and of a million, beside a heap in plain Python and two general fillers of sinks.

Aims: one leak to 60 litres under 15 ms, the whole floor under 25 ms, a million cells under 0.5 s; 600 runs of 60 litres
under 4 s on two cores; placement for 30 leaks on 20 floors and 2,000 spots under 30 s for up to four probes. The work
is asserted: cells wetted, litres spilled. All in one run, since machines are noisy.
"""

from __future__ import annotations

import heapq
import time
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
from _table import best_of, milliseconds, show
from pyflwdir.dem import fill_depressions
from skimage.morphology import reconstruction

from dewpond.floor.cells import Grid, work_space
from dewpond.floor.compile import spread
from dewpond.floor.placement import least_expected, least_worst
from dewpond.floor.relief import USUAL, ensemble

FILM, CAP = 2.7e-3, 60e-3
GOES = 5
LEAKS, FLOORS, SPOTS = 30, 20, 2000


def floors(rows: int, columns: int, members: int) -> list[Grid]:
    made = ensemble((rows, columns), 0.02, USUAL, (), members, 7).heights
    full, none = np.full((rows, columns), FILM), np.zeros((rows, columns))
    return [Grid(0.02, one, full, none, none.astype(bool)) for one in made]


def plain_heap(height: Any, leak: tuple[int, int]) -> int:
    """Invasion with the heap of the standard library: the rod that is always at hand."""
    rows, columns = height.shape
    first = {leak}
    heap, count = [(height[leak], leak)], 0
    values = height.tolist()
    while heap:
        _, (row, column) = heapq.heappop(heap)
        count += 1
        for r in (row - 1, row, row + 1):
            for c in (column - 1, column, column + 1):
                if 0 <= r < rows and 0 <= c < columns and (r, c) not in first:
                    first.add((r, c))
                    heapq.heappush(heap, (values[r][c], (r, c)))
    return count


def filled(height: Any) -> Any:
    marks = np.full(height.shape, height.max())
    marks[0, :], marks[-1, :], marks[:, 0], marks[:, -1] = height[0, :], height[-1, :], height[:, 0], height[:, -1]
    return reconstruction(marks, height, method="erosion")


def main() -> None:
    rows = []
    made = floors(250, 300, FLOORS)
    grid = made[0]
    cells = grid.cells()
    work = work_space(cells)
    leak = grid.number(60, 80)
    assert spread(cells, work, leak, 1e30) == 75_000
    rows.append(("75,000 cells, whole floor", milliseconds(best_of(GOES, lambda: spread(cells, work, leak, 1e30)))))
    capped = CAP / grid.area
    wet = spread(cells, work, leak, capped)
    assert wet > 5_000
    rows.append((f"to 60 L: {wet} cells", milliseconds(best_of(GOES, lambda: spread(cells, work, leak, capped)))))
    start = time.perf_counter()
    assert plain_heap(grid.height, (60, 80)) == 75_000
    rows.append(("the same floor, heap in plain Python", milliseconds(time.perf_counter() - start)))
    rows.append(("the same floor, sinks filled by scikit-image", milliseconds(best_of(2, lambda: filled(grid.height)))))
    fill_depressions(grid.height)  # compiles itself
    rows.append(("the same by pyflwdir", milliseconds(best_of(2, lambda: fill_depressions(grid.height)))))

    points = [(int(17 + 7 * k) % 250, int(23 + 31 * k) % 300) for k in range(LEAKS)]
    spots = np.random.default_rng(3).choice(250 * 300, SPOTS, replace=False)

    def member(one: Grid) -> Any:
        mine = one.cells()
        space = work_space(mine)
        found = np.empty((LEAKS, SPOTS))
        for k, (row, column) in enumerate(points):
            spread(mine, space, one.number(row, column), capped)
            found[k] = space.first.reshape(252, 302)[1:-1, 1:-1].ravel()[spots]
        return found

    start = time.perf_counter()
    with ThreadPoolExecutor(2) as two:
        tables = list(two.map(member, made))
    seconds = time.perf_counter() - start
    litres = np.concatenate(tables) * grid.area * 1e3
    assert litres.shape == (LEAKS * FLOORS, SPOTS)
    rows.append((f"{LEAKS * FLOORS} runs to 60 L, two threads", f"{seconds:.2f} s"))
    for number in (1, 2, 3, 4):
        start = time.perf_counter()
        mean = least_expected(litres, number, 60.0)
        middle = time.perf_counter()
        worst = least_worst(litres, number, 60.0)
        end = time.perf_counter()
        told = f"{middle - start:.2f} s, {mean.expected:.1f} L; worst case {end - middle:.2f} s, {worst.worst:.1f} L"
        rows.append((f"{number} probes: on average", told))
    (large,) = floors(1000, 1000, 1)
    many = large.cells()
    space = work_space(many)
    middle_cell = large.number(500, 500)
    assert spread(many, space, middle_cell, 1e30) == 1_000_000
    rows.append(("1,000,000 cells", milliseconds(best_of(2, lambda: spread(many, space, middle_cell, 1e30)))))
    held = sum(values.nbytes for values in (*many[:-1], *space)) / 1e6
    rows.append(("memory a cell, most of it heap that is never touched", f"{held:.0f} bytes"))
    show("bench_floor: spills on floors", rows)


if __name__ == "__main__":
    main()

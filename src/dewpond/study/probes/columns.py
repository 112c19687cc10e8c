"""What may be laid on a floor to feel water, and how much has been spilled when it does: points, ropes, trays."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

import numpy as np

from dewpond.design.model import Design
from dewpond.design.plan import Area, corners
from dewpond.floor.members import Range, film
from dewpond.floor.sites import HEAD, Cell, candidates
from dewpond.floor.storey import DRAIN, Storey
from dewpond.floor.wetting import Wetted
from dewpond.parts.base import Kind
from dewpond.physics.film import ORDINARY_FLOOR
from dewpond.study.floors import Looked
from dewpond.study.probes.model import APART, MOST_SPOTS, NOW, POINT, ROPE, TRAY, Spotted

WIDER: Final = 1.25  # times as far apart as before, where there are too many
CLEAR: Final = 0.05  # a vessel whose bottom stands higher leaves room for a probe [m]; our prior
SHIFT: Final = 2  # cells by which a tray is moved to find where it fits [1]
WAYS: Final = ((0, 1), (1, 0), (1, 1), (-1, 1))  # of a rope: to the right, up, and both slants
Columns = tuple[list[Spotted], list[Any]]
"""What is laid, and for each the litres by leak and member: shape (leaks, members) [m3]; inf: never."""


def free_cells(design: Design, kinds: Mapping[str, Kind], storey: Storey, barred: Sequence[Area] = ()) -> Any:
    """Cells on which something can be laid: no walls, rims, plinths, openings, drains, nothing that a vessel stands on,
    and none of the ``barred`` areas. Shape (rows, columns): True and False."""
    free = storey.stands.copy()
    for area in barred:
        free &= ~storey.frame.inside(area)
    for part in design.parts:
        if kinds[part.kind].role != "vessel" or _height(part.get("bottom")) > CLEAR:
            continue
        for plan in storey.plans:
            way = plan.spots.get(part.name, ())
            if len(way) > 1:
                free &= ~storey.frame.inside(corners(way))
    return free


def readable_cells(storey: Storey, free: Any) -> Any:
    """Those of some free cells whose height can be read: not in a tray, and nothing stands over them."""
    found = free & (storey.of < len(storey.plans))
    for plan in storey.plans:
        for one in plan.furniture:
            found &= ~storey.frame.inside(one.area)
    return found


def _height(bottom: Any) -> float:
    return float(getattr(bottom, "value", 0.0) or 0.0)


def lattice(storeys: Sequence[Storey], free: Sequence[Any], most: int = MOST_SPOTS) -> tuple[float, list[list[Cell]]]:
    """Spots to be tried on all storeys, no more than ``most``, and how far apart they lie [m]."""
    apart = APART
    while True:
        found = [[c for c in candidates(one, apart) if ok[c]] for one, ok in zip(storeys, free, strict=True)]
        if sum(map(len, found)) <= most:
            return apart, found
        apart *= WIDER


def now(looked: Looked, number: int) -> Columns:
    """The probes of the file, each with all places in which it lies."""
    cells: dict[str, list[Cell]] = {}
    for probe in looked.probes:
        cells.setdefault(probe.name, []).extend(probe.cells)
    laid = [Spotted(NOW, number, tuple(those), name) for name, those in cells.items()]
    return laid, [np.array([leak.reached(one.cells) for leak in looked.wetted]) for one in laid]


def drained(looked: Looked, leak: Wetted) -> Any:
    """Spilled when a floor drain takes all that comes after, on each floor, shape (members,) [m3]; inf: none does."""
    drains = [n for n, way in enumerate(looked.storey.ways_out) if way.by == DRAIN]
    return leak.out[:, drains].min(axis=1, initial=np.inf)


def points(looked: Looked, number: int, cells: Sequence[Cell]) -> Columns:
    """A probe on each of some cells."""
    if not cells:
        return [], []
    storey = looked.storey
    reach = int(HEAD / storey.frame.size)
    rows, columns = np.array(cells).T
    felt = np.full((len(looked.wetted), len(looked.fitted.floors), len(cells)), math.inf)
    for down in range(-reach, reach + 1):
        for along in range(-reach, reach + 1):
            if math.hypot(down, along) * storey.frame.size <= HEAD:
                r = np.clip(rows + down, 0, storey.frame.rows - 1)
                c = np.clip(columns + along, 0, storey.frame.columns - 1)
                felt = np.minimum(felt, np.array([leak.first[:, r, c] for leak in looked.wetted]))
    return [Spotted(POINT, number, (cell,)) for cell in cells], list(np.moveaxis(felt, 2, 0))


def ropes(looked: Looked, number: int, cells: Sequence[Cell], free: Any, length: float) -> Columns:
    """A straight rope that begins on each of some cells, in four directions, where the floor leaves room for it."""
    laid: list[Spotted] = []
    litres: list[Any] = []
    size = looked.storey.frame.size
    for down, along in WAYS:
        far = max(1, round(length / (size * math.hypot(down, along))))
        room = ~_lowest_along(~free, down, along, far, True)
        starts = [cell for cell in cells if room[cell]]
        if not starts:
            continue
        rows, columns = np.array(starts).T
        felt = np.empty((len(looked.wetted), len(looked.fitted.floors), len(starts)))
        for k, leak in enumerate(looked.wetted):
            for member, first in enumerate(leak.first):
                felt[k, member] = _lowest_along(first, down, along, far, math.inf)[rows, columns]
        laid += [Spotted(ROPE, number, (cell, (cell[0] + down * far, cell[1] + along * far))) for cell in starts]
        litres += list(np.moveaxis(felt, 2, 0))
    return laid, litres


def _lowest_along(values: Any, down: int, along: int, far: int, outside: Any) -> Any:
    """The least of each cell and the next ``far`` ones in a direction; of True and False whether one of them is True.
    Windows are doubled until they are long enough."""
    lowest = np.logical_or if values.dtype == bool else np.minimum
    found, covered = values, 1
    while covered < far + 1:
        step = min(covered, far + 1 - covered)
        found = lowest(found, _moved(found, down * step, along * step, outside))
        covered += step
    return found


def _moved(values: Any, down: int, along: int, outside: Any) -> Any:
    """What stands so many cells further; ``outside`` beyond the edge."""
    rows, columns = values.shape
    found = np.full_like(values, outside)
    if abs(down) < rows and abs(along) < columns:
        to = (slice(max(-down, 0), rows - max(down, 0)), slice(max(-along, 0), columns - max(along, 0)))
        of = (slice(max(down, 0), rows + min(down, 0)), slice(max(along, 0), columns + min(along, 0)))
        found[to] = values[of]
    return found


def trays(looked: Looked, number: int, size: tuple[float, float]) -> Columns:
    """A tray with a probe in it, along or across, wherever on the floor it catches a leak; of all places in which it
    catches the same leaks, the one in the middle of them.

    A level tray is wet everywhere once it holds its area times the film: by then a probe anywhere in it has acted, as a
    rule far sooner. Of a leak beside it the tray feels nothing.
    """
    frame, seed = looked.storey.frame, looked.fitted.seed
    wet = np.array(
        [size[0] * size[1] * film(Range(*ORDINARY_FLOOR), seed, m) for m in range(len(looked.fitted.floors))]
    )
    leaks = np.array([leak.at for leak in looked.wetted])  # (leaks, members, 2)
    best: dict[bytes, tuple[float, tuple[Cell, Cell], Any]] = {}
    for wide, deep in dict.fromkeys((size, size[::-1])):
        long = np.array([round(deep / frame.size), round(wide / frame.size)])
        for low in _rooms(looked.storey, np.unique(leaks.reshape(-1, 2), axis=0), long):
            caught = ((leaks > low) & (leaks < low + long)).all(axis=2)
            off = float(np.abs(leaks[caught].mean(axis=0) - low - 0.5 * long).sum())
            key = caught.tobytes()
            if key not in best or off < best[key][0]:
                high = low + long
                best[key] = (off, ((int(low[0]), int(low[1])), (int(high[0]), int(high[1]))), caught)
    laid = [Spotted(TRAY, number, where) for _, where, _ in best.values()]
    return laid, [np.where(caught, wet[None, :], math.inf) for _, _, caught in best.values()]


def _rooms(storey: Storey, leaks: Any, long: Any) -> Iterator[Any]:
    """Low corners of the rectangles, ``long`` cells upwards and to the right, that hold one of some leaks and across
    which nothing stands up."""
    bars = ~storey.stands | (storey.of >= len(storey.plans))  # no tray in a tray
    summed = np.pad(bars.astype(int).cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))
    rows, columns = (np.arange(-n + 1, 0, SHIFT) for n in long)
    shifts = np.array([(row, column) for row in rows for column in columns]).reshape(-1, 2)
    lows = np.unique((leaks[:, None, :] + shifts[None, :, :]).reshape(-1, 2), axis=0)
    lows = lows[(lows >= 0).all(axis=1) & (lows + long < np.array(storey.frame.shape)).all(axis=1)]
    (bottom, left), (top, right) = lows.T, (lows + long + 1).T
    barred = summed[top, right] - summed[bottom, right] - summed[top, left] + summed[bottom, left]
    yield from lows[barred == 0]

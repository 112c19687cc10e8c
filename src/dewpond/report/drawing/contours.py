"""Edges of what is wet, as closed lines: traced between the cells of a grid, smoothed, and thinned out.

Each line passes midway between wet and dry cells (marching squares on yes and no), is smoothed without shrinking
(Taubin 1995, ACM SIGGRAPH, a step inwards and a slightly longer one outwards), and then moved so that it encloses what
its cells do. Cells that touch by a corner alone belong together: water runs on over corners.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np

SMOOTHINGS: Final = 3
INWARDS: Final = 0.5  # share of the way to the middle of its neighbours that a point is moved [1]
OUTWARDS: Final = -0.53  # and back; the pair keeps all that is longer than about ten cells
FITTINGS: Final = 4  # times that a line is moved to enclose the right area

Corner = tuple[int, int]


def loops(wet: Any, tolerance: float, least: float) -> list[Any]:
    """Closed lines about the wet cells of a grid, shape (rows, columns) of yes and no.

    Each has shape (points, 2), right and up in cells from the low corner of the first one; an outer edge runs
    anticlockwise, the edge of a hole clockwise. ``tolerance``: how far a line may be off [cells]; ``least``: lines that
    enclose less are left out [cells].
    """
    found = []
    for line in _traced(np.asarray(wet, dtype=bool)):
        cells = area(line)
        if abs(cells) < least:
            continue
        middles = 0.5 * (line + np.roll(line, -1, axis=0))
        thin = simplified(_smoothed(middles), tolerance)
        if len(thin) > 2:
            found.append(_fitted(thin, cells))
    return found


def area(line: Any) -> float:
    """What a closed line encloses; less than nothing if it runs clockwise."""
    x, y = line[:, 0], line[:, 1]
    return 0.5 * float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))


def _traced(wet: Any) -> list[Any]:
    """Corners of cells along each edge, wet cells on the left: lists of shape (points, 2)."""
    padded = np.pad(wet, 1)
    inner = padded[1:-1, 1:-1]
    # from a corner of the cell, in a direction: below, on the right, above, on the left of it
    sides = (
        (padded[:-2, 1:-1], (0, 0), (1, 0)), (padded[1:-1, 2:], (1, 0), (0, 1)),
        (padded[2:, 1:-1], (1, 1), (-1, 0)), (padded[1:-1, :-2], (0, 1), (0, -1)),
    )  # fmt: skip
    leaving: dict[Corner, list[Corner]] = {}
    for other, (right, up), way in sides:
        rows, columns = np.nonzero(inner & ~other)
        for row, column in zip(rows.tolist(), columns.tolist(), strict=True):
            leaving.setdefault((column + right, row + up), []).append(way)
    left = {(corner, way): None for corner, ways in sorted(leaving.items()) for way in ways}
    found = []
    while left:
        (at, way), line = next(iter(left)), list[Corner]()
        while (at, way) in left:
            del left[at, way]
            line.append(at)
            at = (at[0] + way[0], at[1] + way[1])
            right_turn = (way[1], -way[0])
            way = right_turn if right_turn in leaving[at] else leaving[at][0]  # where two wet cells touch by a corner
        found.append(np.array(line, dtype=float))
    return found


def _smoothed(line: Any) -> Any:
    for _ in range(SMOOTHINGS):
        for share in (INWARDS, OUTWARDS):
            line = line + share * (0.5 * (np.roll(line, 1, axis=0) + np.roll(line, -1, axis=0)) - line)
    return line


def _fitted(line: Any, cells: float) -> Any:
    """Moved outwards all along until it encloses so many cells."""
    for _ in range(FITTINGS):
        along = np.roll(line, -1, axis=0) - np.roll(line, 1, axis=0)
        long = np.hypot(along[:, 0], along[:, 1])
        outwards = np.column_stack([along[:, 1], -along[:, 0]]) / np.where(long > 0.0, long, 1.0)[:, None]
        step = np.diff(line, axis=0, append=line[:1])
        line = line + outwards * (cells - area(line)) / max(float(np.hypot(step[:, 0], step[:, 1]).sum()), 1.0)
    return line


def simplified(line: Any, tolerance: float) -> Any:
    """As few of the points of a closed line as keep it within so much of where it was (Douglas and Peucker 1973)."""
    far = int(((line - line[0]) ** 2).sum(axis=1).argmax())
    keep = np.zeros(len(line) + 1, dtype=bool)
    keep[[0, far]] = True
    round_ = np.vstack([line, line[:1]])
    open_ = [(0, far), (far, len(line))]
    while open_:
        low, high = open_.pop()
        if high - low < 2:
            continue
        off = _off(round_[low + 1 : high], round_[low], round_[high])
        worst = int(off.argmax())
        if off[worst] > tolerance:
            keep[low + 1 + worst] = True
            open_ += [(low, low + 1 + worst), (low + 1 + worst, high)]
    return line[keep[:-1]]


def _off(points: Any, one: Any, two: Any) -> Any:
    """Distance of points from a straight piece."""
    way = two - one
    long = float(way @ way)
    share = np.clip((points - one) @ way / long, 0.0, 1.0) if long > 0.0 else np.zeros(len(points))
    gap = points - one - share[:, None] * way
    return np.hypot(gap[:, 0], gap[:, 1])

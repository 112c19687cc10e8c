"""A floor as lines of text, for terminals: walls, doors as gaps, signs for the shares, letters for the rest."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any, Final

import numpy as np

from dewpond.report.drawing.floor_plan import SAID, extent, places, sampled
from dewpond.report.views.blocks import FloorMap, FloorShape

MOST_LINES: Final = 30
TALL: Final = 2.0  # a sign of a terminal is so many times as high as it is wide
SHARES: Final = ((0.05, ".", "5 %"), (0.25, ":", "25 %"), (0.5, "o", "half"), (0.95, "@", "95 %"))
LEAK: Final = "L"
LETTERS: Final = "ABCDEFGHIJKMNPQRSTUVWXYZ"  # for marks; without the letter of a leak, and what looks like a sign
DIGITS: Final = "123456789"  # for doors
MORE: Final = "?"  # for what comes after them
# above, below, left, right of it stands a wall too -> its sign
CORNERS: Final = {
    (1, 1, 0, 0): "│", (1, 0, 0, 0): "│", (0, 1, 0, 0): "│", (0, 0, 1, 1): "─", (0, 0, 1, 0): "─", (0, 0, 0, 1): "─",
    (0, 1, 0, 1): "┌", (0, 1, 1, 0): "┐", (1, 0, 0, 1): "└", (1, 0, 1, 0): "┘", (1, 1, 0, 1): "├", (1, 1, 1, 0): "┤",
    (0, 1, 1, 1): "┬", (1, 0, 1, 1): "┴", (1, 1, 1, 1): "┼", (0, 0, 0, 0): "▪",
}  # fmt: skip

Cell = tuple[int, int]


def sketch(drawn: FloorMap, width: int, ascii_only: bool = False) -> list[str]:
    """Lines of at most so many signs: the floor with the middle one of its volumes, its scale, what each sign is."""
    low, high = extent(drawn)
    wide, tall = high[0] - low[0], high[1] - low[1]
    side = max(wide / (width - 2), tall / TALL / (MOST_LINES - 2))  # of the floor below one sign, across [m]
    columns, rows = math.ceil(wide / side - 1e-9) + 1, math.ceil(tall / TALL / side - 1e-9) + 1
    paper = [[" "] * columns for _ in range(rows)]

    def cell(spot: Sequence[float]) -> Cell:
        row, column = (high[1] - spot[1]) / (TALL * side) + 0.5, (spot[0] - low[0]) / side + 0.5
        return min(max(int(row), 0), rows - 1), min(max(int(column), 0), columns - 1)

    middle = len(drawn.shares) // 2
    if drawn.shares:
        _wet(drawn, drawn.shares[middle][1], paper, cell)
    _walls(drawn.plan, paper, cell, side, ascii_only)
    told = [*_doors(drawn.plan, paper, cell), *_marked(drawn, paper, cell)]
    long, text = drawn.ruler
    lines = ["".join(row).rstrip() for row in paper]
    while lines and not lines[-1]:
        lines.pop()
    lines.append(f"|{'-' * max(round(long / side) - 1, 1)}| {text}")
    if drawn.shares:
        label = drawn.shares[middle][0]
        lines.append(f"After {label}, wet somewhere below the sign on at least so many of the floors:")
        lines.append("   ".join(f"{sign} {said}" for _, sign, said in SHARES))
    return lines + told


def _wet(drawn: FloorMap, share: Any, paper: list[list[str]], cell: Any) -> None:
    """The largest share below each sign: a run of water is narrower than a sign, and must not be lost."""
    frame, values = drawn.frame, np.nan_to_num(share)
    most: dict[Cell, float] = {}
    for row, column in np.argwhere(values >= SHARES[0][0] - 1e-9).tolist():
        spot = frame.origin[0] + (column + 0.5) * frame.size, frame.origin[1] + (row + 0.5) * frame.size
        at = cell(spot)
        most[at] = max(most.get(at, 0.0), float(values[row, column]))
    for (row, column), value in most.items():
        paper[row][column] = [sign for least, sign, _ in SHARES if value >= least - 1e-9][-1]


def _walls(plan: Sequence[FloorShape], paper: list[list[str]], cell: Any, side: float, ascii_only: bool) -> None:
    """Outlines of rooms and of walls, with gaps for the doors. Walls that lie beside each other stay apart."""
    joined: dict[Cell, set[Cell]] = {}
    for shape in plan:
        if shape.kind in ("outline", "wall"):
            way = _below([*shape.corners, shape.corners[0]], cell, side)
            for one, other in pairwise(way):
                joined.setdefault(one, set()).add(other)
                joined.setdefault(other, set()).add(one)
    for shape in plan:
        if shape.kind == "opening":
            for row, column in _below(list(shape.corners), cell, side):
                joined.pop((row, column), None)
                paper[row][column] = " "
    for (row, column), others in joined.items():
        near = ((row - 1, column), (row + 1, column), (row, column - 1), (row, column + 1))
        up, down, left, right = (int(at in others and at in joined) for at in near)
        paper[row][column] = "#" if ascii_only else CORNERS[up, down, left, right]


def _below(line: list[tuple[float, float]], cell: Any, side: float) -> list[Cell]:
    """The signs under a line in their order, each beside or below the one before it."""
    ends, found = np.array(line), list[Cell]()
    for spot in [*sampled(ends, 0.25 * side), ends[-1]]:
        at = cell(spot)
        if found and at[0] != found[-1][0] and at[1] != found[-1][1]:
            found.append((at[0], found[-1][1]))
        if not found or at != found[-1]:
            found.append(at)
    return found


def _doors(plan: Sequence[FloorShape], paper: list[list[str]], cell: Any) -> Iterator[str]:
    """A digit in the middle of each gap that has a name."""
    named = [shape for shape in plan if shape.kind == "opening" and shape.label]
    for number, shape in enumerate(named):
        row, column = cell([0.5 * (shape.corners[0][k] + shape.corners[-1][k]) for k in (0, 1)])
        sign = DIGITS[number] if number < len(DIGITS) else MORE
        paper[row][column] = sign
        yield f"{sign} {shape.label}"


def _marked(drawn: FloorMap, paper: list[list[str]], cell: Any) -> Iterator[str]:
    """A letter for each mark, those of leaks last, so that they stand on top; and what each letter is."""
    letters = iter(LETTERS)
    signs = [LEAK if mark.kind == "leak" else next(letters, MORE) for mark in drawn.marks]
    for mark, sign in sorted(zip(drawn.marks, signs, strict=True), key=lambda one: one[1] == LEAK):
        for spot in places(mark, drawn.frame.size):
            row, column = cell(spot)
            paper[row][column] = sign
    leaks = ", ".join(dict.fromkeys(mark.name for mark in drawn.marks if mark.kind == "leak"))
    if leaks:
        yield f"{LEAK} {leaks} ({SAID['leak']})"
    for mark, sign in zip(drawn.marks, signs, strict=True):
        if mark.kind != "leak":
            yield f"{sign} {mark.name} ({SAID[mark.kind]})"

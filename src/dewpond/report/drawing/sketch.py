"""A floor as lines of text, for terminals: walls, doors as gaps, signs for the shares, letters for the rest."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
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
LAYERS: Final = {"leak": 1, "drain": 2, "joint": 2}  # what lies over what: doors over all of it
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
    told = [*_put([*_signs(drawn, cell)], paper)]
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


@dataclass(frozen=True)
class _Sign:
    """A sign for something on the paper: what it is, its cells, and what it lies over: 0 probes, 1 leaks, 2 ways down,
    3 doors."""

    sign: str
    name: str
    said: str
    cells: tuple[Cell, ...]
    layer: int


def _signs(drawn: FloorMap, cell: Any) -> Iterator[_Sign]:
    """A digit in the middle of each gap that has a name, and a letter for each mark."""
    named = [shape for shape in drawn.plan if shape.kind == "opening" and shape.label]
    for number, shape in enumerate(named):
        at = cell([0.5 * (shape.corners[0][k] + shape.corners[-1][k]) for k in (0, 1)])
        yield _Sign(DIGITS[number] if number < len(DIGITS) else MORE, shape.label, "", (at,), 3)
    letters = iter(LETTERS)
    for mark in drawn.marks:
        sign = LEAK if mark.kind == "leak" else next(letters, MORE)
        layer = LAYERS.get(mark.kind, 0)
        yield _Sign(sign, mark.name, SAID[mark.kind], tuple(map(cell, places(mark, drawn.frame.size))), layer)


def _put(signs: Sequence[_Sign], paper: list[list[str]]) -> Iterator[str]:
    """Puts them on the paper, the highest layer last, and tells what each is; and which cannot be seen."""
    for one in sorted(signs, key=lambda one: one.layer):
        for row, column in one.cells:
            paper[row][column] = one.sign
    yield from (f"{one.sign} {one.name}" for one in signs if not one.said)
    leaks = ", ".join(dict.fromkeys(one.name for one in signs if one.sign == LEAK))
    if leaks:
        yield f"{LEAK} {leaks} ({SAID['leak']})"
    yield from (f"{one.sign} {one.name} ({one.said})" for one in signs if one.said and one.sign != LEAK)
    for one in signs:
        over = [paper[row][column] for row, column in one.cells]
        if one.sign not in over:
            yield f"{one.sign} of {one.name} lies below {' and '.join(dict.fromkeys(over))}"

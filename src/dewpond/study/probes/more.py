"""Which one more reading would tell most about where the probes should stand: a height, or a pour beside a probe."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any, Final

import numpy as np

from dewpond.floor.sites import Cell
from dewpond.floor.telling import most_telling
from dewpond.floor.weighing import STRAYS
from dewpond.study.floors import Looked
from dewpond.study.probes.model import HEIGHT, POUR, Asked, Cases, More
from dewpond.study.probes.pouring import AMOUNTS, Poured

HEIGHT_ERROR: Final = math.sqrt(2.0) * 1e-3  # of a height above another one, each read to 1 mm [m]
THINNED: Final = 400  # spots among which the choice is made anew after a reading
TOLD: Final = 3  # readings that are told
LEAST: Final = (0.05e-3, 0.01)  # less saved than this [m3], or than this share of what is left, is nothing; our prior


def readings(
    looked: Sequence[Looked], cases: Cases, chosen: Sequence[int], stay: Sequence[int], poured: Sequence[Poured],
    heights: Sequence[Sequence[Cell]], asked: Asked,
) -> tuple[More, ...]:  # fmt: skip
    """Those that save most, the best first; none where none would save anything to speak of."""
    leaks = sum(len(one.wetted) for one in looked)
    found: list[More] = []
    for number, one in enumerate(looked):
        here = [k for k in chosen if cases.columns[k].storey == number]
        placed = [k for k in here if k not in stay]
        if not placed or not one.wetted:
            continue
        share = len(one.wetted) / leaks
        found += _of(one, number, cases, placed, [k for k in here if k in stay], poured, heights[number], asked, share)
    return tuple(sorted(found, key=lambda more: -more.saved)[:TOLD])


def _of(
    looked: Looked, number: int, cases: Cases, placed: Sequence[int], stay: Sequence[int], poured: Sequence[Poured],
    heights: Sequence[Cell], asked: Asked, share: float,
) -> Iterator[More]:  # fmt: skip
    """Of one storey; ``share`` of all leaks are its own."""
    own = [k for k, one in enumerate(cases.columns) if one.storey == number and one.sort in ("point", "now")]
    thin = own[:: max(1, math.ceil(len(own) / THINNED))]
    spots = list(dict.fromkeys([*stay, *placed, *thin]))
    rows = [k for k, (where, _, _) in enumerate(cases.sites) if where == number]
    first, times = _distinct(looked)
    litres = cases.counted[np.ix_(rows, spots)].reshape(len(looked.wetted), len(looked.fitted.floors), len(spots))
    tests = [one for one in poured if one.test.storey == number and np.isfinite(one.acts).any()]
    predicted = [
        *_over_a_datum(looked, heights),
        *(np.log(np.clip(one.acts, AMOUNTS[0], AMOUNTS[-1])) for one in tests),
    ]
    errors = [HEIGHT_ERROR] * len(heights) + [math.log(STRAYS)] * len(tests)
    if not predicted:
        return
    told = most_telling(
        litres[:, first], len(placed), asked.cap, np.array(predicted)[:, first], errors, times, range(len(stay))
    )[-1]  # fmt: skip
    for k, saved in enumerate(told.saved):
        if saved < max(LEAST[0], LEAST[1] * told.before):
            continue
        test = tests[k - len(heights)].test if k >= len(heights) else None
        cell, leak = (test.cell, test.leak) if test else (heights[k], "")
        column = test.column if test else -1
        yield More(
            POUR if test else HEIGHT, number, cell, leak, column, share * float(saved), share * float(told.least[k]),
            share * float(told.most[k]),
        )  # fmt: skip


def _distinct(looked: Looked) -> tuple[Any, Any]:
    """Numbers of the floors that differ, each once, and how often each is told: one that is told twice would give
    itself away."""
    if looked.poured is None:
        return np.arange(len(looked.fitted.floors)), None
    _, first, times = np.unique(looked.poured.chosen, return_index=True, return_counts=True)
    return first, times


def _over_a_datum(looked: Looked, cells: Sequence[Cell]) -> list[Any]:
    """Heights of spots above the first of them, by member, shape (members,) each [m]: of the first itself nought."""
    if not cells:
        return []
    rows, columns = np.array(cells).T
    heights = np.array([floor.grid.height[rows, columns] for floor in looked.fitted.floors])
    return list((heights - heights[:, [_first(looked, cells)]]).T)


def _first(looked: Looked, cells: Sequence[Cell]) -> int:
    """The spot that lies nearest to the first height that was read; else the first spot."""
    for plan in looked.storey.plans:
        for read in plan.readings:
            if "height" in read.values:
                row, column = looked.storey.frame.cell(read["at"])
                return int(np.argmin([math.hypot(r - row, c - column) for r, c in cells]))
    return 0

"""Which one more reading would tell most about where the probes should stand: a height, or a pour beside a probe.

Fifty and more are tried on few floors, and the best of so many looks good by chance. So only those are told that save
more at least than chance gives the best of them, see ``floor.telling``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any, Final

import numpy as np

from dewpond.floor.sites import Cell
from dewpond.floor.telling import by_chance, most_telling
from dewpond.floor.weighing import STRAYS
from dewpond.study.floors import Looked
from dewpond.study.probes.model import HEIGHT, POUR, Asked, Cases, More, Telling
from dewpond.study.probes.pouring import AMOUNTS, Poured

HEIGHT_ERROR: Final = math.sqrt(2.0) * 1e-3  # of a height above another one, each read to 1 mm [m]
THINNED: Final = 400  # spots among which the choice is made anew after a reading
TOLD: Final = 3  # readings that are told
LEAST: Final = (0.05e-3, 0.01)  # less saved than this [m3], or than this share of what is left, is nothing; our prior


def readings(
    looked: Sequence[Looked], cases: Cases, chosen: Sequence[int], stay: Sequence[int], poured: Sequence[Poured],
    heights: Sequence[Sequence[Cell]], asked: Asked,
) -> Telling:  # fmt: skip
    """Those that save most, the best first; none where none would save anything to speak of."""
    leaks = sum(len(one.wetted) for one in looked)
    found: list[tuple[More, float]] = []
    for number, one in enumerate(looked):
        here = [k for k in chosen if cases.columns[k].storey == number]
        placed = [k for k in here if k not in stay]
        if not placed or not one.wetted:
            continue
        share = len(one.wetted) / leaks
        found += _of(one, number, cases, placed, [k for k in here if k in stay], poured, heights[number], asked, share)
    found.sort(key=lambda one: -one[0].saved)
    told = tuple(more for more, chance in found if more.least > chance)[:TOLD]
    unclear, chance = next(iter(found), (None, 0.0)) if not told else (None, 0.0)
    return Telling(told, unclear, chance)


def _of(
    looked: Looked, number: int, cases: Cases, placed: Sequence[int], stay: Sequence[int], poured: Sequence[Poured],
    heights: Sequence[Cell], asked: Asked, share: float,
) -> Iterator[tuple[More, float]]:  # fmt: skip
    """Of one storey, with what chance gives the best of them at least; ``share`` of all leaks are its own."""
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
    case = (litres[:, first], asked.cap, np.array(predicted)[:, first], errors, times)
    told = most_telling(case[0], len(placed), *case[1:], range(len(stay)))[-1]
    worth = told.saved >= max(LEAST[0], LEAST[1] * told.before)
    if not worth.any():
        return
    chance = max(by_chance(case[0], told, *case[1:], len(stay), looked.fitted.seed), 0.0)
    for k in map(int, np.flatnonzero(worth)):
        test = tests[k - len(heights)].test if k >= len(heights) else None
        cell, leak = (test.cell, test.leak) if test else (heights[k], "")
        column = test.column if test else -1
        saved, least, most = (share * float(litres[k]) for litres in (told.saved, told.least, told.most))
        yield More(POUR if test else HEIGHT, number, cell, leak, column, saved, least, most), share * chance


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

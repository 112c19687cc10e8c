"""Tests of probes by pouring: where to pour for which probe, and when it should act on the floors that fit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from dewpond.floor.sites import Cell, Site
from dewpond.floor.wetting import Wetted, spread_of, wetted
from dewpond.study.floors import Looked
from dewpond.study.probes.columns import drained
from dewpond.study.probes.model import Cases, Pour

AMOUNTS: Final = (0.25e-3, 0.5e-3, 1e-3, 2e-3, 3e-3, 5e-3)  # that somebody pours and mops up [m3]; our prior
TESTS: Final = 8  # that are told
SPARE: Final = 1.25  # times what the slowest floor takes is held ready; our prior


@dataclass(frozen=True)
class Poured:
    """A test, and what is poured on each floor when the probe acts: shape (members,) [m3]; inf: not below the most."""

    test: Pour
    acts: Any


def tests(looked: Sequence[Looked], cases: Cases, columns: Sequence[int]) -> Iterator[Poured]:
    """One for each of some probes, at the leak that it feels first and surest."""
    for column in list(columns)[:TESTS]:
        spotted = cases.columns[column]
        one = looked[spotted.storey]
        felt = _felt(cases, column, spotted.storey, len(one.wetted), len(one.fitted.floors))
        if not np.isfinite(felt).any():
            continue
        leak = one.wetted[min(range(len(felt)), key=lambda k: _early(felt[k]))]
        cell, acts, gone = _where(one, leak, spotted.cells)
        lost = float((np.isfinite(gone) & np.isinf(acts)).mean())
        spread = spread_of(acts)
        poured = next((much for much in AMOUNTS if much >= SPARE * spread.high), 0.0)
        site = leak.site
        test = Pour(spotted.name, column, spotted.storey, site.part, site.place, cell, spread, lost, poured)
        yield Poured(test, acts)


def _felt(cases: Cases, column: int, storey: int, leaks: int, members: int) -> Any:
    """Litres by leak and member of the probe's own storey, shape (leaks, members) [m3]."""
    rows = [k for k, (where, _, _) in enumerate(cases.sites) if where == storey]
    return cases.litres[rows, column].reshape(leaks, members)


def _early(felt: Any) -> tuple[float, float]:
    """How often never, then the middle."""
    spread = spread_of(felt)
    return round(spread.never, 9), spread.middle


def _where(looked: Looked, leak: Wetted, cells: Sequence[Cell]) -> tuple[Cell, Any, Any]:
    """The spot of a leak at which pouring tells most surely, and what is poured when a probe on some cells acts and
    when a floor drain takes the rest, by member. A leak that may be anywhere along a tube is played at one spot, the
    same on every floor."""
    tried: list[tuple[float, float, int, Cell, Any, Any]] = []
    for cell in dict.fromkeys(leak.at):
        site = Site(leak.site.part, leak.site.place, (cell,), leak.site.like)
        poured = wetted(looked.fitted, site, AMOUNTS[-1])
        acts = poured.reached(cells)
        tried.append((*_early(acts), len(tried), cell, acts, drained(looked, poured)))
    *_, cell, acts, gone = min(tried, key=lambda one: one[:3])
    return cell, acts, gone

"""What pours and marbles changed of where a leak goes, and whether that is more than chance.

Before them every floor of the pool was as likely as another; the floors that are told were drawn from it by how much
they are believed. Few floors are told, so shares move without any reason, too. How far, is tried: what is believed is
dealt out again among the floors of the pool at random, and as many are drawn (a permutation test). The whole moved more
than by chance where the squares of its cells' changes add up to more than in nineteen of twenty such draws.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from dewpond.floor.wetting import Wetted, share_wet, wetted
from dewpond.study.floors import Looked, Poured, stand_for

FAR: Final = 0.25 - 1e-9  # of the floors; what moves less is not told; our prior [1]
DRAWS: Final = 200
ALIKE: Final = 1e-12  # weights that differ by less are the same [1]
SURE: Final = 0.95  # share of the draws that move less


@dataclass(frozen=True)
class ProbeMoved:
    """A probe that the leak now reaches on more floors, or on fewer: shares of the floors on which it does by then."""

    name: str
    before: float
    after: float


@dataclass(frozen=True)
class Moved:
    """Of one leak after ``volume`` [m3].

    changed      share of the floors on which a cell is wet, less the same before; shape (rows, columns) [1]
    more, fewer  area of the cells whose share rose, or fell, by FAR or more [m2]
    chance       area that so moves, either way, in half of the draws by chance [m2]
    tells        whether all together moved more than by chance
    pool         number of floors before
    probes       those that moved by FAR or more, and farther than by chance
    """

    volume: float
    changed: Any
    more: float
    fewer: float
    chance: float
    tells: bool
    pool: int
    probes: tuple[ProbeMoved, ...]


def moved(looked: Looked, made: Wetted, volume: float) -> Moved | None:
    """What became of a leak; None: nothing was poured or rolled on its storey."""
    if looked.poured is None:
        return None
    pool = looked.poured.pool
    wide = wetted(pool, made.site, volume, made.rate)
    wet = wide.first <= volume
    before = wet.mean(axis=0)
    changed = share_wet(made.first, volume) - before
    dealt = _dealt(looked.poured)
    area = looked.storey.frame.size**2
    any_wet = wet.any(axis=0)
    drawn = dealt @ wet[:, any_wet].astype(np.float32) - before[any_wet].astype(np.float32)
    chance = float(np.median(area * (np.abs(drawn) >= FAR).sum(axis=1)))
    believed = looked.poured.weights.each
    unlike = float(np.ptp(believed)) > ALIKE  # else the tests say nothing, whatever chance does
    tells = unlike and bool((changed**2).sum() > np.quantile((drawn**2).sum(axis=1), SURE))
    more, fewer = (float(area * (sign * changed >= FAR).sum()) for sign in (1.0, -1.0))
    probes = tuple(_probes(looked, made, wide, dealt))
    return Moved(volume, changed, more, fewer, chance, tells, len(pool.floors), probes)


def _dealt(poured: Poured) -> Any:
    """How often each floor of the pool is told in each draw, as a share, shape (DRAWS, pool)."""
    rng = np.random.default_rng([poured.pool.seed, DRAWS])
    count, pool = len(poured.chosen), len(poured.pool.floors)
    draws = [stand_for(rng.permutation(poured.weights.each), count) for _ in range(DRAWS)]
    return np.array([np.bincount(one, minlength=pool) for one in draws], dtype=np.float32) / count


def _probes(looked: Looked, made: Wetted, wide: Wetted, dealt: Any) -> Iterator[ProbeMoved]:
    for probe in looked.probes:
        there = wide.reached(probe.cells) <= wide.cap
        before, after = float(there.mean()), float(np.mean(made.reached(probe.cells) <= wide.cap))
        chance = float(np.quantile(np.abs(dealt @ there.astype(np.float32) - before), SURE))
        if abs(after - before) >= FAR and abs(after - before) > chance:
            yield ProbeMoved(probe.name, before, after)

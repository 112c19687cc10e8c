"""How much rougher, or less rough, than its word a floor is: nobody knows before it is read, and readings tell.

Every member has waves and tilt that are so many times as high as those of its standard, one of five factors over the
spread that the standard has. Which factor how many members have is settled by how likely the readings are under each:
floors that are worse than their word are then told as such, and not too surely.

Readings may lie farther apart than even the roughest of the five lets expect, or closer together than the smoothest
does: then the word is the wrong one, and what is told is too sure, or not sure enough. Of floors drawn as their word
has them, factors and all, 12 heights each, a word was called too smooth on 1 in 200; of those at its upper end on 1 in
20; of floors twice as rough as finished ones on a third, of those three times as rough on six in seven.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from dewpond.floor.members import place
from dewpond.floor.relief import Odd, Prior, Reading, ensemble, fit, scaled, strain
from dewpond.floor.standards import STANDARDS, Standard, beside

BEFORE: Final = (0.1, 0.2, 0.4, 0.2, 0.1)
"""Shares of the five factors before anything is read, from the lowest to the highest [1]. Source: our prior."""

UNLIKELY: Final = 0.05  # of floors at the end of a word's spread, no more give such readings; our prior [1]
FEWEST: Final = 3  # differences that tell a word from a slip; our prior
FALL: Final = 0.02  # slope of a floor that is laid to a drain; common practice, no source [1]


@dataclass(frozen=True)
class Rough:
    """Heights of all members, shape (members, rows, columns) [m]; the factor of each [1]; readings that contradict the
    others at the likeliest factor."""

    heights: Any
    factors: tuple[float, ...]
    odd: tuple[Odd, ...]


def steps(standard: Standard) -> tuple[float, ...]:
    """The five factors of a standard [1]: both ends of its spread, as written, and halfway to each."""
    low, high = standard.source.low or 1.0, standard.source.high or 1.0
    return (low, math.sqrt(low), 1.0, math.sqrt(high), high)


def middle_of(rows: int, columns: int, size: float) -> tuple[float, float]:
    """The middle of a grid with cells of such a size [m], about which floors tilt (right, up) [m]."""
    return 0.5 * columns * size, 0.5 * rows * size


def believed(standard: Standard, readings: Sequence[Reading], middle: tuple[float, float]) -> Any:
    """How much each factor is believed once readings are there, shape (factors,); ``middle`` of the floor [m]."""
    if not readings:
        return np.array(BEFORE)
    logs = np.array([fit(scaled(standard.prior, factor), readings, middle) for factor in steps(standard)])
    found = np.array(BEFORE) * np.exp(logs - logs.max())
    return found / found.sum()


def rough(
    shape: tuple[int, int], size: float, standard: Standard, readings: Sequence[Reading], members: int, seed: int
) -> Rough:
    """An ensemble whose members have the factors that the readings allow. The first of many members are those of few;
    see ``relief.ensemble``."""
    shares = believed(standard, readings, middle_of(*shape, size))
    ends = np.cumsum(shares)
    chosen = [min(int(np.searchsorted(ends, place(seed, member, 2))), len(shares) - 1) for member in range(members)]
    heights = np.empty((members, *shape), dtype=np.float32)  # hundreds are kept; to less than a nanometre
    odd = tuple[Odd, ...]()
    for number in sorted(set(chosen)):
        own = [member for member in range(members) if chosen[member] == number]
        made = ensemble(shape, size, scaled(standard.prior, steps(standard)[number]), readings, own, seed)
        heights[own] = made.heights
        if number == int(np.argmax(shares)):
            odd = made.odd
    return Rough(heights, tuple(steps(standard)[number] for number in chosen), odd)


@dataclass(frozen=True)
class Judged:
    """A room whose readings do not agree with its word, at either end of the spread: whether the floor is ``rougher``
    than that, else it is smoother; the nearest word that ``fits``, "" where none does."""

    place: str
    word: str
    rougher: bool
    fits: str


def judged(
    place: str, word: str, readings: Sequence[Reading], middle: tuple[float, float], falls: bool
) -> Judged | None:  # fmt: skip
    """What readings of a room say of its word; None: nothing against it. ``falls``: it has a drain to which it may
    slope, so that only its waves are judged."""
    for rougher in (True, False):
        if _unlikely(word, rougher, readings, middle, falls):
            fits = (one for one in beside(word, rougher) if not _unlikely(one, rougher, readings, middle, falls))
            return Judged(place, word, rougher, next(fits, ""))
    return None


def _unlikely(
    word: str, rougher: bool, readings: Sequence[Reading], middle: tuple[float, float], falls: bool
) -> bool:  # fmt: skip
    """Whether hardly any floor at that end of a word's spread gives readings so far apart, or so close together."""
    from scipy.special import gammainc, gammaincc

    end = scaled(STANDARDS[word].prior, steps(STANDARDS[word])[-1 if rougher else 0])
    prior = Prior(end.waves, max(end.tilt, FALL)) if falls and rougher else end
    squares, free = strain(prior, readings, middle) if readings else (0.0, 0)
    beyond = gammaincc if rougher else gammainc
    return free >= FEWEST and float(beyond(0.5 * free, 0.5 * squares)) < UNLIKELY

"""How much rougher, or less rough, than its word a floor is: nobody knows before it is read, and readings tell.

Every member has waves and tilt that are so many times as high as those of its standard, one of five factors over the
spread that the standard has. Which factor how many members have is settled by how likely the readings are under each:
floors that are worse than their word are then told as such, and not too surely.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from dewpond.floor.members import place
from dewpond.floor.relief import Odd, Reading, ensemble, fit, scaled
from dewpond.floor.standards import Standard

BEFORE: Final = (0.1, 0.2, 0.4, 0.2, 0.1)
"""Shares of the five factors before anything is read, from the lowest to the highest [1]. Source: our prior."""


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
    middle = (0.5 * shape[1] * size, 0.5 * shape[0] * size)
    shares = believed(standard, readings, middle)
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

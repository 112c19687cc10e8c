"""How rough a floor is against its word: by readings of floors that were drawn rougher or flatter, and by coverage."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from dewpond.floor.relief import ensemble, height_at, scaled
from dewpond.floor.roughness import BEFORE, believed, rough, steps
from dewpond.floor.standards import STANDARDS

FINISHED = STANDARDS["finished"]
ROOM, CELL, MM = (40, 50), 0.1, 1e-3
MIDDLE = (2.5, 2.0)


def drawn(factor: float, seed: int) -> Any:
    return ensemble(ROOM, CELL, scaled(FINISHED.prior, factor), (), 1, 500 + seed).heights[0]


def read(floor: Any, seed: int, number: int = 16) -> list[Any]:
    rng = np.random.default_rng(seed)
    found = []
    for cell in rng.choice(floor.size, number, replace=False):
        row, column = divmod(int(cell), floor.shape[1])
        value = float(floor[row, column] + MM * rng.standard_normal())
        found.append(height_at((column + 0.5) * CELL, (row + 0.5) * CELL, value, MM, f"{row} {column}"))
    return found


def told(factor: float) -> list[float]:
    """Factor that readings of twelve floors tell on average, floor by floor."""
    return [
        float(believed(FINISHED, read(drawn(factor, seed), seed), MIDDLE) @ np.array(steps(FINISHED)))
        for seed in range(12)
    ]


def test_nothing_read_leaves_what_was_taken_before() -> None:
    assert steps(FINISHED) == pytest.approx((0.5, 0.7071, 1.0, 1.2247, 1.5), abs=1e-4)
    assert believed(FINISHED, [], MIDDLE) == pytest.approx(BEFORE)
    assert sum(BEFORE) == pytest.approx(1.0)


def test_readings_tell_rough_floors_from_flat_ones() -> None:
    flat, right, coarse = told(0.5), told(1.0), told(1.5)
    assert np.mean(flat) < 0.85 < np.mean(right) < 1.15 < np.mean(coarse)
    assert sum(a < b for a, b in zip(flat, coarse, strict=True)) == 12


def test_members_have_the_factors_in_their_shares_and_few_are_the_first_of_many() -> None:
    made = rough(ROOM, CELL, FINISHED, (), 100, 3)
    for factor, share in zip(steps(FINISHED), BEFORE, strict=True):
        assert made.factors.count(factor) == pytest.approx(100 * share, abs=2)
    few = rough(ROOM, CELL, FINISHED, (), 10, 3)
    assert few.factors == made.factors[:10]
    assert few.heights.tobytes() == made.heights[:10].tobytes()


@pytest.mark.slow
def test_coverage_of_floors_half_as_rough_again_is_better_than_without() -> None:
    """Share of cells inside the 90 % range of forty members, over eight floors, heights over the mean of each floor."""
    shares: dict[bool, list[float]] = {True: [], False: []}
    for seed in range(8):
        true = drawn(1.5, 40 + seed)
        readings = read(true, seed)
        for told_so, held in shares.items():
            made = (
                rough(ROOM, CELL, FINISHED, readings, 40, seed).heights
                if told_so
                else ensemble(ROOM, CELL, FINISHED.prior, readings, 40, seed).heights
            )
            over = made - made.mean(axis=(1, 2), keepdims=True)
            low, high = np.quantile(over, (0.05, 0.95), axis=0)
            level = true - true.mean()
            held.append(((level >= low) & (level <= high)).mean())
    assert np.mean(shares[True]) > np.mean(shares[False]) + 0.02
    assert np.mean(shares[True]) > 0.82

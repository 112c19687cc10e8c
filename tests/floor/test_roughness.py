"""How rough a floor is against its word: by readings of floors that were drawn rougher or flatter, and by coverage."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from dewpond.floor.relief import Prior, Wave, ensemble, height_at, rise_between, scaled, strain
from dewpond.floor.roughness import BEFORE, Judged, believed, judged, rough, steps
from dewpond.floor.standards import OLD, STANDARDS, beside

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


# -- a word that is the wrong one --------------------------------------------------------------------------------------
def test_strain_of_two_heights_and_of_a_slope_is_that_of_their_difference() -> None:
    """By hand: waves of 3 mm over 1 m, points 1 m apart: 2 x 9 (1 - exp(-1/2)) mm2 and the errors; the level line, 2 m
    below, is free."""
    prior, waves = Prior((Wave(3 * MM, 1.0),), 0.0), 18.0 * (1.0 - np.exp(-0.5))
    heights = [height_at(1.0, 1.0, 2.0, MM, "", "line"), height_at(2.0, 1.0, 2.006, MM, "", "line")]
    assert strain(prior, heights, MIDDLE) == (pytest.approx(36.0 / (waves + 2.0), rel=1e-6), 1)
    slope = [rise_between((1.0, 1.0), (2.0, 1.0), 6 * MM, MM, "")]
    assert strain(prior, slope, MIDDLE) == (pytest.approx(36.0 / (waves + 1.0)), 1)
    assert strain(prior, heights[:1], MIDDLE) == (pytest.approx(0.0, abs=1e-9), 0)


def test_strain_of_drawn_floors_is_the_number_of_readings_less_one_on_average() -> None:
    """A sum of squares of as many normal figures: 15 on average, with a spread of 5.5."""
    found = [strain(FINISHED.prior, read(drawn(1.0, seed), seed), MIDDLE) for seed in range(60)]
    assert {free for _, free in found} == {15}
    assert np.mean([squares for squares, _ in found]) == pytest.approx(15.0, abs=3.0 * 5.5 / np.sqrt(60.0))


def called(factor: float, number: int = 60, falls: bool = False) -> list[Judged | None]:
    return [judged("study", "finished", read(drawn(factor, seed), seed), MIDDLE, falls) for seed in range(number)]


@pytest.mark.slow
def test_floors_are_called_rougher_than_their_word_only_beyond_its_spread() -> None:
    """Of floors as finished ones none, at the end of their spread one in twenty, three times as rough nearly all."""
    rougher = [sum(one is not None and one.rougher for one in called(factor)) for factor in (1.0, 1.5, 3.0)]
    assert rougher[0] == 0
    assert rougher[1] <= 8
    assert rougher[2] >= 45
    assert {one.fits for one in called(3.0) if one} <= {OLD, ""}
    far = called(8.0)
    assert all(one is not None and one.rougher for one in far)
    assert sum(one is not None and one.fits == "" for one in far) >= 45


def test_floors_are_called_smoother_than_their_word_only_below_its_spread() -> None:
    assert not [one for one in called(1.0) if one and not one.rougher]
    old = [judged("study", OLD, read(drawn(0.4, seed), seed), MIDDLE, False) for seed in range(60)]
    assert sum(one is not None and not one.rougher and one.fits == "finished" for one in old) >= 30


def test_fall_to_a_drain_is_no_roughness_and_few_readings_call_nothing_rough() -> None:
    slope = [height_at(x, y, 0.02 * x, MM, f"{x} {y}") for x in (0.5, 2.0, 3.5) for y in (0.5, 2.5)]
    assert judged("bath", "finished", slope, MIDDLE, False) == Judged("bath", "finished", True, OLD)
    assert judged("bath", "finished", slope, MIDDLE, True) is None
    steep = [height_at(x, 1.0, value, MM, f"{x}") for x, value in ((1.0, 0.0), (1.5, 0.05), (2.0, 0.0))]
    assert judged("bath", "finished", steep, MIDDLE, True) is None
    assert judged("bath", "finished", (), MIDDLE, False) is None


def test_words_stand_beside_those_of_their_sort() -> None:
    assert beside("finished", True) == (OLD,)
    assert beside("raised demand", True) == ("finished", OLD)
    assert beside("very flat slab", True) == ("flat slab", "conventional slab", OLD)
    assert beside("finished", False) == ("raised demand",)
    assert beside(OLD, True) == ()
    assert beside(OLD, False)[0] == "finished"

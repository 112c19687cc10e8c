"""Floors that agree with readings: against closed forms, the field worked out cell by cell, and for coverage."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from dewpond.floor.relief import (
    DATUM,
    USUAL,
    Prior,
    Reading,
    Wave,
    alike,
    ensemble,
    height_at,
    rise_between,
    scaled,
)

MM = 1e-3
ROOM = (50, 60)  # of 10 cm: 5 m x 6 m
CELL = 0.1


def middle(row: int, column: int) -> tuple[float, float]:
    return (column + 0.5) * CELL, (row + 0.5) * CELL


def levelled(floor: Any) -> Any:
    """Heights over the mean of the floor, or of each of several: how high the whole lies, nobody reads."""
    return floor - floor.mean(axis=(-2, -1), keepdims=True)


def heights(floor: Any, number: int, error: float, seed: int) -> list[Reading]:
    """So many heights read of a floor, at cells of their own."""
    rng = np.random.default_rng(seed)
    cells = rng.choice(floor.size, number, replace=False)
    found = []
    for cell in cells:
        row, column = divmod(int(cell), floor.shape[1])
        x, y = middle(row, column)
        found.append(
            height_at(x, y, float(floor[row, column] + error * rng.standard_normal()), error, f"{row} {column}")
        )
    return found


@pytest.mark.parametrize(("chord", "sag"), [(0.1, 0.08), (1.0, 0.77), (4.0, 3.4)])
def test_sag_under_a_batten_is_that_of_the_standard_floor(chord: float, sag: float) -> None:
    """Closed form, and the figures that the reference gives for this floor [mm]: 1.5 C(0) + 0.5 C(L) - 2 C(L/2)."""
    points = np.array([[0.0, 0.0], [0.5 * chord, 0.0], [chord, 0.0]])
    weights = np.array([-0.5, 1.0, -0.5])
    found = math.sqrt(weights @ alike(USUAL, points, points) @ weights)
    assert found / MM == pytest.approx(sag, rel=0.03)


def test_floors_drawn_have_the_sag_of_their_waves() -> None:
    made = ensemble(ROOM, CELL, USUAL, (), 60, 1).heights
    for cells in (10, 40):
        sag = made[:, :, cells // 2 : -cells // 2] - 0.5 * (made[:, :, :-cells] + made[:, :, cells:])
        points = np.array([[0.0, 0.0], [0.5 * cells * CELL, 0.0], [cells * CELL, 0.0]])
        weights = np.array([-0.5, 1.0, -0.5])
        assert sag.std() == pytest.approx(math.sqrt(weights @ alike(USUAL, points, points) @ weights), rel=0.1)


def test_same_seed_gives_the_same_bytes_and_few_are_the_first_of_many() -> None:
    readings = [height_at(1.0, 1.0, 0.0, 1 * MM, "a"), height_at(4.0, 3.0, 6 * MM, 1 * MM, "b")]
    one, two = (ensemble(ROOM, CELL, USUAL, readings, n, 5).heights for n in (3, 6))
    assert one.tobytes() == two[:3].tobytes()
    assert one.tobytes() == ensemble(ROOM, CELL, USUAL, readings, 3, 5).heights.tobytes()
    assert one.tobytes() != ensemble(ROOM, CELL, USUAL, readings, 3, 6).heights.tobytes()


def test_floors_agree_with_readings_to_their_error() -> None:
    readings = [
        height_at(*middle(5, 5), 0.0, 1e-6, "a"),
        height_at(*middle(40, 50), 12 * MM, 1e-6, "b"),
        rise_between(middle(20, 10), middle(20, 20), -4 * MM, 1e-6, "batten"),
    ]
    made = ensemble(ROOM, CELL, USUAL, readings, 8, 2).heights
    assert np.allclose(made[:, 40, 50] - made[:, 5, 5], 12 * MM, atol=2e-5)
    assert np.allclose(made[:, 20, 20] - made[:, 20, 10], -4 * MM, atol=2e-5)
    assert made[:, 30, 30].std() > 1 * MM  # and are free elsewhere


def test_mean_and_spread_are_those_of_the_field_worked_out_cell_by_cell() -> None:
    """Second method: the conditional normal distribution of all cells of a small floor, by dense algebra."""
    prior = Prior((Wave(3 * MM, 0.6), Wave(0.5 * MM, 0.2)), 1e-3)
    shape = (12, 15)
    points = np.array([middle(r, c) for r in range(shape[0]) for c in range(shape[1])])
    readings = [
        height_at(*middle(2, 3), 0.0, 0.5 * MM, "a"),
        height_at(*middle(9, 12), 5 * MM, 0.5 * MM, "b"),
        height_at(*middle(3, 11), -2 * MM, 0.5 * MM, "c"),
        rise_between(middle(6, 4), middle(6, 8), 3 * MM, 0.3 * MM, "d"),
    ]
    look = np.zeros((4, len(points)))
    for row, one in enumerate(readings):
        for (x, y), weight in zip(one.points, one.weights, strict=True):
            look[row, int(y / CELL) * shape[1] + int(x / CELL)] = weight
    points = points - points.mean(axis=0)
    full = alike(prior, points, points)
    line = DATUM * look.sum(axis=1)  # nobody knows how high the line is above which heights were read
    between = look @ full @ look.T + np.outer(line, line) + np.diag([one.error**2 for one in readings])
    gain = full @ look.T @ np.linalg.inv(between)
    mean = gain @ np.array([one.value for one in readings])
    spread = np.sqrt(np.maximum(np.diag(full - gain @ look @ full), 0.0))
    made = ensemble(shape, CELL, prior, readings, 600, 3).heights.reshape(600, -1)
    assert np.abs(made.mean(axis=0) - mean).max() < 0.25 * spread.max()
    assert made.std(axis=0) == pytest.approx(spread, rel=0.2)


@pytest.mark.slow
@pytest.mark.parametrize(("taken", "low", "high"), [(1.0, 0.84, 0.96), (0.5, 0.0, 0.84), (2.0, 0.93, 1.0)])
def test_coverage_of_floors_read_at_twenty_points(taken: float, low: float, high: float) -> None:
    """Share of cells inside the 90 % range of forty members, over eight floors: about 0.9 where the waves are as taken;
    less where the floor is worse than taken, more where it is better."""
    inside = []
    for seed in range(8):
        true = ensemble(ROOM, CELL, USUAL, (), 1, 100 + seed).heights[0]
        made = ensemble(ROOM, CELL, scaled(USUAL, taken), heights(true, 20, 1 * MM, seed), 40, seed).heights
        below, above = np.quantile(levelled(made), (0.05, 0.95), axis=0)
        inside.append(((levelled(true) >= below) & (levelled(true) <= above)).mean())
    assert low < float(np.mean(inside)) < high


@pytest.mark.slow
def test_error_of_the_mean_map_is_that_published_for_twenty_heights() -> None:
    """1.0 mm for twenty heights of 1 mm each, on one floor of the reference; here spread evenly, over eight floors."""
    at = [(row, column) for row in (6, 18, 31, 43) for column in (6, 18, 30, 42, 54)]
    errors = []
    for seed in range(8):
        true = ensemble(ROOM, CELL, USUAL, (), 1, 100 + seed).heights[0]
        noise = 1 * MM * np.random.default_rng(seed).standard_normal(len(at))
        read = [
            height_at(*middle(*one), float(true[one] + off), 1 * MM, "") for one, off in zip(at, noise, strict=True)
        ]
        made = ensemble(ROOM, CELL, USUAL, read, 40, seed).heights
        errors.append(float(np.sqrt(((levelled(made.mean(axis=0)) - levelled(true)) ** 2).mean())))
    assert float(np.mean(errors)) / MM == pytest.approx(1.0, abs=0.4)


def test_reading_that_contradicts_the_others_is_named() -> None:
    true = ensemble(ROOM, CELL, USUAL, (), 1, 9).heights[0]
    readings = heights(true, 20, 1 * MM, 4)
    assert ensemble(ROOM, CELL, USUAL, readings, 1, 0).odd == ()
    wrong = readings[7]._replace(value=readings[7].value + 30 * MM, what="seventh")
    (odd,) = ensemble(ROOM, CELL, USUAL, [*readings[:7], wrong, *readings[8:]], 1, 0).odd
    assert odd.what == "seventh"
    assert odd.value - odd.expected == pytest.approx(30 * MM, abs=3.0 * odd.error)

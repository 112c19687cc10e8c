"""Floors weighed by what water did: against closed forms, and for coverage on floors drawn from the same waves."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.stats import norm, vonmises

from dewpond.floor.cells import Grid, level_floor
from dewpond.floor.relief import AT_ODDS, USUAL, Reading, ensemble, height_at
from dewpond.floor.weighing import (
    EDGE,
    LEAST,
    LOST,
    STRAYS,
    SWERVES,
    UNSURE_SLOPE,
    WORST,
    Outline,
    Ran,
    Reached,
    Weights,
    first_wet,
    weigh,
    weighed,
)

LITRE, MM, FILM = 1e-3, 1e-3, 2.7e-3
CELL = 0.05
ROOM = (60, 80)  # 3 m x 4 m
SPOT = np.array([[True, False], [False, False]])


def firsts(*litres: float) -> Any:
    """Members of two cells by two, all of which get wet at so many litres."""
    return np.array([np.full((2, 2), one * LITRE) for one in litres])


def floor_of(height: Any) -> Grid:
    full = np.full(height.shape, FILM)
    return Grid(CELL, height, full, np.zeros(height.shape), np.zeros(height.shape, dtype=bool))


# -- each kind of evidence, by hand ------------------------------------------------------------------------------------
def test_water_that_arrived_is_off_by_the_logarithm_of_its_litres() -> None:
    one = Reached((0, 0), SPOT, 1.0 * LITRE, "probe")
    found = one.likely(firsts(1.0, STRAYS, 1.0 / STRAYS**2, math.inf))
    assert found == pytest.approx([0.0, -0.5, -2.0, -math.inf])


def test_water_that_did_not_arrive_bounds_the_litres_from_below() -> None:
    one = Reached((0, 0), SPOT, 1.0 * LITRE, "probe", arrived=False)
    found = one.likely(firsts(1.0, STRAYS, 1.0 / STRAYS, math.inf))
    assert np.exp(found) == pytest.approx([0.5, norm.cdf(1.0), norm.cdf(-1.0), 1.0])


def test_spot_is_wet_with_the_first_of_its_cells() -> None:
    first = np.array([[[9.0, 2.0], [1.0, 5.0]]]) * LITRE
    both = np.array([[True, True], [False, False]])
    assert Reached((0, 0), both, 2.0 * LITRE, "rope").likely(first) == pytest.approx([0.0])


def test_outline_counts_as_one_seen_by_itself_however_fine_the_grid() -> None:
    """By hand: half of what is drawn wet stays dry for ever, and as much is wet outside; the rest is sure."""
    wet = np.array([[True, True], [False, False]])
    first = np.array([[[1e-9, math.inf], [1e-9, math.inf]], [[1e-9, 1e-9], [math.inf, math.inf]]])
    found = Outline((0, 0), wet, 1.0 * LITRE, "drawn").likely(first)
    assert found == pytest.approx([WORST, 0.0], abs=1e-9)
    finer = Outline((0, 0), np.kron(wet, np.ones((3, 3))) > 0, 1.0 * LITRE, "drawn")
    assert finer.likely(np.kron(first, np.ones((1, 3, 3)))) == pytest.approx(found)


def test_cell_at_the_edge_of_an_outline_is_hardly_blamed() -> None:
    wet = np.array([[True, False], [False, False]])
    first = np.full((2, 2, 2), math.inf)
    first[:, 0, 0] = 1.0 * LITRE * EDGE, 1.0 * LITRE / EDGE
    found = Outline((0, 0), wet, 1.0 * LITRE, "drawn").likely(first)
    assert np.exp(found) == pytest.approx([norm.cdf(-1.0), norm.cdf(1.0)])


@pytest.mark.parametrize("turned", [0.0, 0.3, -1.0, 2.5, math.pi])
def test_marble_runs_down_the_slope_as_von_mises_says(turned: float) -> None:
    """scipy's density, over that at its peak of a slope that is beyond doubt; y grows with the rows."""
    slope, error = 4e-3, 0.4
    y, x = np.mgrid[0:20, 0:20] * CELL
    way = math.radians(35.0)
    grid = floor_of(-slope * (x * math.cos(way) + y * math.sin(way)))
    seen = Ran((0.5, 0.5), (2.0 * math.cos(way + turned), 2.0 * math.sin(way + turned)), error, "marble")
    spread = error**2 + SWERVES**2
    sure = 1.0 / (spread + (UNSURE_SLOPE / slope) ** 2)
    expected = vonmises.logpdf(turned, sure) - vonmises.logpdf(0.0, 1.0 / spread)
    assert seen.likely([grid])[0] == pytest.approx(expected, rel=1e-6)


def test_marble_that_ran_uphill_on_every_floor_is_named() -> None:
    grids = [floor_of(np.tile(-0.02 * CELL * (1.0 + 0.2 * k) * np.arange(20), (20, 1))) for k in range(5)]
    up, across, down = (Ran((0.5, 0.5), way, 0.3, "marble") for way in ((-1.0, 0.1), (0.0, 1.0), (1.0, 0.1)))
    assert weighed(grids, [up]).odd == ("marble",)
    assert weighed(grids, [across]).odd == weighed(grids, [down]).odd == ()
    assert weighed([level_floor(CELL, 20, 20, FILM), *grids], [up]).odd == ()


def test_level_floor_lets_a_marble_run_anywhere() -> None:
    grid = level_floor(CELL, 20, 20, FILM)
    ways = [Ran((0.5, 0.5), (math.cos(t), math.sin(t)), 0.4, "marble").likely([grid])[0] for t in (0.0, 1.0, 3.0)]
    assert ways == pytest.approx([ways[0]] * 3)
    assert ways[0] == pytest.approx(-math.log(2.0 * math.pi) - vonmises.logpdf(0.0, 1.0 / (0.4**2 + SWERVES**2)))


def test_walls_do_not_count_as_slope() -> None:
    height = np.tile(-2e-3 * CELL * np.arange(20), (20, 1))
    height[:, 12:] = np.inf
    found = Ran((0.55, 0.5), (1.0, 0.0), 0.4, "marble").likely([floor_of(height)])
    assert found == pytest.approx(
        Ran((0.55, 0.5), (1.0, 0.0), 0.4, "m").likely(
            [floor_of(np.where(np.isinf(height), -2e-3 * CELL * np.arange(20), height))]
        )
    )


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: Reached((0, 0), np.zeros((2, 2), dtype=bool), 1e-3, "probe"), "probe: no cell"),
        (lambda: Reached((0, 0), SPOT, 0.0, "probe"), "above 0"),
        (lambda: Reached((0, 0), SPOT, math.nan, "probe"), "above 0"),
        (lambda: Outline((0, 0), SPOT, 1e-3, "drawn", factor=1.0), "above 1"),
        (lambda: Ran((0.0, 0.0), (0.0, 0.0), 0.3, "marble"), "marble: a way"),
        (lambda: Ran((9.0, 9.0), (1.0, 0.0), 0.3, "m").likely([level_floor(CELL, 9, 9, FILM)]), "too little floor"),
        (lambda: Outline((0, 0), SPOT, 1e-3, "drawn").likely(np.ones((3, 4, 4))), "does not fit"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(make: Any, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        make()


# -- weights -----------------------------------------------------------------------------------------------------------
def test_weights_are_likelihoods_multiplied_by_hand() -> None:
    likely = np.log([[1.0, 0.5, 0.5, 0.25], [0.5, 0.5, 1.0, 1.0]])
    found = weigh(likely, ["a", "b"], [WORST] * 2)
    assert found.each == pytest.approx(np.array([2.0, 1.0, 2.0, 1.0]) / 6.0)
    assert found.effective == found.as_read == pytest.approx(36.0 / 10.0)
    assert (found.power, found.agree, found.thin, found.odd) == (1.0, 4, False, ())


def test_nothing_seen_leaves_all_members_alike() -> None:
    found = weigh(np.zeros((0, 7)), [], [])
    assert found.each == pytest.approx(np.full(7, 1.0 / 7.0))
    assert (found.effective, found.agree, found.thin) == (pytest.approx(7.0), 7, False)


def test_weights_that_rest_on_one_member_say_so_and_are_softened() -> None:
    likely = np.full((1, 20), -5.9)
    likely[0, 3] = 0.0
    found = weigh(likely, ["probe"], [WORST])
    assert found.thin
    assert found.as_read == pytest.approx(1.11, abs=0.01)
    assert found.effective == pytest.approx(LEAST)
    assert 0.0 < found.power < 1.0
    assert found.each.argmax() == 3
    assert found.odd == ()


def test_two_members_are_never_more_than_two() -> None:
    found = weigh(np.array([[0.0, -6.0]]), ["probe"], [WORST])
    assert found.thin
    assert found.effective <= 2.0


def test_evidence_that_no_member_fits_is_named_and_left_out() -> None:
    likely = np.array([[0.0, -1.0, -2.0, -math.inf], [-8.0, -50.0, -math.inf, -9.0], [-math.inf] * 4])
    found = weigh(likely, ["mark", "hall", "cellar"], [WORST] * 3)
    assert found.odd == ("hall", "cellar")
    assert np.array_equal(found.each, weigh(likely[:1], ["mark"], [WORST]).each)
    assert found.agree == 3
    assert weigh(likely, ["mark", "hall", "cellar"], [WORST, LOST, LOST]).odd == ("cellar",)


def test_two_tests_of_which_no_member_fits_both_leave_none_that_agrees() -> None:
    likely = np.array([[0.0] * 4 + [-90.0] * 4, [-90.0] * 4 + [0.0] * 4])
    found = weigh(likely, ["a", "b"], [WORST] * 2)
    assert (found.agree, found.odd) == (0, ())
    assert found.each == pytest.approx(np.full(8, 0.125))


def test_nothing_speaks_against_a_member_beyond_what_counts_as_contradiction() -> None:
    near, far = (weigh(np.array([[0.0, 0.0, 0.0, worst]]), ["a"], [WORST]).each for worst in (WORST, -1e9))
    assert near == pytest.approx(far)
    assert near[3] / near[0] == pytest.approx(math.exp(-0.5 * AT_ODDS**2))


# -- on floors whose truth is known ------------------------------------------------------------------------------------
def read_floor(seed: int, members: int) -> tuple[Grid, list[Grid], tuple[int, int]]:
    """A true floor, members that agree with twelve heights read of it, and where it leaks."""
    rng = np.random.default_rng(seed)
    true = ensemble(ROOM, CELL, USUAL, (), 1, 5000 + seed).heights[0]
    readings = list[Reading]()
    for _ in range(12):
        row, column = int(rng.integers(ROOM[0])), int(rng.integers(ROOM[1]))
        value = float(true[row, column] + MM * rng.standard_normal())
        readings.append(height_at((column + 0.5) * CELL, (row + 0.5) * CELL, value, MM, ""))
    made = ensemble(ROOM, CELL, USUAL, readings, members, seed).heights
    return floor_of(true), [floor_of(one) for one in made], (int(rng.integers(12, 48)), int(rng.integers(16, 64)))


def near_rms(true: Grid, grids: list[Grid], near: Any) -> Any:
    """How far each member's shape is from the true one where water goes [m], its own mean height apart."""
    off = np.array([(one.height - true.height)[near] for one in grids])
    return off.std(axis=1)


def test_outline_of_a_member_gives_that_member_the_most_weight() -> None:
    _, grids, leak = read_floor(1, 12)
    for k in (0, 5, 11):
        drawn = np.isfinite(first_wet(grids[k : k + 1], leak, 1.5 * LITRE)[0])
        assert weighed(grids, [Outline(leak, drawn, 1.5 * LITRE, "drawn")]).each.argmax() == k


def test_tests_at_several_leaks_are_those_of_each_added() -> None:
    true, grids, leak = read_floor(2, 15)
    other = (leak[0] - 8, leak[1] + 10)
    drawn = np.isfinite(first_wet([true], leak, 1.0 * LITRE)[0])
    spot = np.zeros(ROOM, dtype=bool)
    spot[leak[0] + 3 : leak[0] + 5, leak[1]] = True
    seen = [
        Outline(leak, drawn, 1.0 * LITRE, "drawn"),
        Reached(other, spot, 4.0 * LITRE, "probe", arrived=False),
        Ran((2.0, 1.5), (1.0, 0.2), 0.5, "marble"),
    ]
    likely = [
        seen[0].likely(first_wet(grids, leak, 9.0 * LITRE)),
        seen[1].likely(first_wet(grids, other, 40.0 * LITRE)),
        seen[2].likely(grids),
    ]
    assert weighed(grids, seen).each == pytest.approx(
        weigh(np.array(likely), [""] * 3, [one.lost for one in seen]).each, rel=1e-3
    )


def both(number: int, members: int, poured: float) -> tuple[list[tuple[Any, Any, Any]], list[Weights], Any]:
    """On so many floors, after an outline was drawn: shares foretold before and after, and what gets wet by 5 L;
    weights; and how far members are from the truth before and after."""
    shares, weights, far = [], [], []
    for seed in range(number):
        true, grids, leak = read_floor(seed, members)
        drawn = np.isfinite(first_wet([true], leak, poured)[0])
        found = weighed(grids, [Outline(leak, drawn, poured, "drawn")])
        wet = np.isfinite(first_wet(grids, leak, 5.0 * LITRE))
        truth = np.isfinite(first_wet([true], leak, 5.0 * LITRE)[0])
        shares.append((wet.mean(axis=0), np.tensordot(found.each, wet, 1), truth))
        off = near_rms(true, grids, truth)
        weights.append(found)
        far.append((off.mean(), found.each @ off))
    return shares, weights, np.array(far)


def surprise(shares: list[tuple[Any, Any, Any]], which: int, members: int) -> Any:
    """Logarithmic score of each floor over its wet area, with one member more that is as likely wet as dry."""
    found = []
    for one in shares:
        share, truth = (one[which] * members + 0.5) / (members + 1), one[2]
        found.append(-(np.log(share)[truth].sum() + np.log1p(-share)[~truth].sum()) / truth.sum())
    return np.array(found)


@pytest.mark.slow
def test_outline_foretells_a_larger_spill_better_than_heights_alone() -> None:
    """Twenty members, twenty-five floors: better on average and on most, members nearer to the truth weigh more."""
    shares, weights, far = both(25, 20, 1.5 * LITRE)
    before, after = (surprise(shares, which, 20) for which in (0, 1))
    assert after.mean() < 0.92 * before.mean()
    assert (after < before).mean() > 0.7
    covered = np.array([[one[which][one[2]].mean() for which in (0, 1)] for one in shares])
    assert covered[:, 1].mean() > covered[:, 0].mean() + 0.05
    assert far[:, 1].mean() < 0.95 * far[:, 0].mean()
    assert (far[:, 1] < far[:, 0]).mean() > 0.7
    assert all(1.0 <= one.as_read <= 20.0 and one.effective >= LEAST - 1e-6 for one in weights)
    assert np.mean([one.effective for one in weights]) < 15.0  # it does tell


@pytest.mark.slow
@pytest.mark.parametrize("poured", [1.5, 3.0])
def test_shares_foretold_after_an_outline_are_those_that_come_true(poured: float) -> None:
    """Calibration with a hundred members, on floors other than those on which factor and divisor were chosen: off by
    0.085 at most in two sets of thirty floors."""
    shares, _, _ = both(30, 100, poured * LITRE)
    told = np.concatenate([one[1].ravel() for one in shares])
    came = np.concatenate([one[2].ravel() for one in shares])
    for low, high in ((0.1, 0.3), (0.3, 0.7), (0.7, 0.9)):
        those = (told > low) & (told < high)
        assert those.sum() > 500
        assert came[those].mean() == pytest.approx(told[those].mean(), abs=0.1), (low, high)


@pytest.mark.slow
def test_one_arrival_foretells_a_larger_spill_better_than_heights_alone() -> None:
    """Twenty members, forty floors, a spot of 15 cm that the true floor wets below 3 L, read to a factor of 1.2;
    hardly ever do all members contradict what the floor itself did."""
    shares, odd = [], 0
    for seed in range(40):
        true, grids, leak = read_floor(seed, 20)
        rng = np.random.default_rng(seed)
        first = first_wet([true], leak, 5.0 * LITRE)[0]
        wet = np.argwhere((first > 0.3 * LITRE) & (first < 3.0 * LITRE))
        row, column = wet[rng.integers(len(wet))]
        spot = np.zeros(ROOM, dtype=bool)
        spot[max(row - 1, 0) : row + 2, max(column - 1, 0) : column + 2] = True
        litres = float(first[spot].min()) * 1.2 ** rng.standard_normal() + 0.01 * LITRE
        found = weighed(grids, [Reached(leak, spot, litres, "probe")])
        odd += len(found.odd)
        members = np.isfinite(first_wet(grids, leak, 5.0 * LITRE))
        shares.append((members.mean(axis=0), np.tensordot(found.each, members, 1), np.isfinite(first)))
    before, after = (surprise(shares, which, 20) for which in (0, 1))
    assert after.mean() < 0.96 * before.mean()
    assert (after < before).mean() > 0.6
    assert odd <= 2


@pytest.mark.slow
def test_outline_turned_round_contradicts_many_floors_and_the_right_one_hardly_any() -> None:
    """A slip that a keeper makes: the sketch held upside down. About half of them are found, and no right one is."""
    found = []
    for seed in range(40):
        true, grids, leak = read_floor(seed, 20)
        drawn = np.isfinite(first_wet([true], leak, 1.5 * LITRE)[0])
        turned = np.zeros(ROOM, dtype=bool)
        rows, columns = np.nonzero(drawn)
        there = (2 * leak[0] - rows, 2 * leak[1] - columns)
        inside = (there[0] >= 0) & (there[0] < ROOM[0]) & (there[1] >= 0) & (there[1] < ROOM[1])
        turned[there[0][inside], there[1][inside]] = True
        if inside.mean() > 0.7:
            found.append([weighed(grids, [Outline(leak, one, 1.5 * LITRE, "pour")]).odd for one in (drawn, turned)])
    assert len(found) > 12
    assert all(right == () for right, _ in found)
    assert sum(turned == ("pour",) for _, turned in found) >= 0.3 * len(found)

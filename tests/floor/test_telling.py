"""What one more reading is worth: by hand, by going through every case, and what must hold of any reading."""

from __future__ import annotations

import time
from typing import Any

import numpy as np
import pytest
from scipy.stats import norm

from dewpond.floor.placement import least_expected
from dewpond.floor.telling import DRAWS, NODES, WIDE, by_chance, most_telling

CAP = 60.0


def two_kinds() -> Any:
    """One leak on four floors, two of either kind; each kind has a spot that gets wet at 1 L, the other at 9."""
    return np.array([[[1.0, 9.0], [1.0, 9.0], [9.0, 1.0], [9.0, 1.0]]])


def rooms(seed: int, sites: int, members: int, spots: int) -> tuple[Any, Any]:
    """Litres and one height by member: the height decides on which side of the room water stands, or partly so."""
    rng = np.random.default_rng(seed)
    side = rng.uniform(-1.0, 1.0, members)
    leak, stand = rng.uniform(-0.3, 0.3, (sites, 1, 1)), rng.uniform(-1.0, 1.0, spots)
    litres = 20.0 * np.abs(side[None, :, None] + leak - stand) * rng.uniform(0.6, 1.6, (sites, members, spots))
    litres[rng.uniform(size=litres.shape) < 0.05] = np.inf
    return litres, side


def by_every_case(litres: Any, spots: tuple[int, ...], said: Any, error: float, each: Any, out: bool) -> float:
    """Litres after a reading, worked out case by case: one probe of ``spots`` may move, or none."""
    errors = norm.ppf((np.arange(NODES) + 0.5) / NODES)
    table = np.minimum(litres, CAP)
    stands = [(*spots[:k], new, *spots[k + 1 :]) for k in range(len(spots)) for new in range(table.shape[2])]
    worth = [sum(site[:, list(one)].min(axis=1) for site in table) / len(table) for one in stands]
    totals = []
    for wide in WIDE if out else (1.0,):
        total = 0.0
        for true in range(len(each)):
            for off in errors:
                fit = each * norm.pdf(said[true] + error * off, said, wide * error)
                if out:
                    fit[true] = 0.0
                best = min(worth, key=lambda litres_each, fit=fit: float(fit @ litres_each))
                total += each[true] * best[true] / NODES
        totals.append(total)
    return min(totals)


@pytest.mark.parametrize("error", [0.3, 1.0, 3.0])
def test_two_kinds_of_floor_are_worked_out_by_hand(error: float) -> None:
    """5 L before; after, 9 L instead of 1 where the reading errs across the middle, or, with the true floor left out of
    those believed (one of its kind against two), across error^2 ln 2 / 2 on its own side; believed less, further off.
    """
    told = most_telling(two_kinds(), 1, CAP, [[1.0, 1.0, -1.0, -1.0]], [error])[0]
    step = 8.0 / (2 * NODES)
    assert told.before == 5.0
    assert told.most[0] == pytest.approx(4.0 - 8.0 * norm.cdf(-1.0 / error), abs=step)
    alone = 4.0 - 8.0 * norm.cdf(error * np.log(2.0) / 2.0 - 1.0 / error)
    assert told.least[0] == pytest.approx(max(alone, 0.0), abs=step)
    assert told.saved[0] == pytest.approx(0.5 * (told.least[0] + told.most[0]))


@pytest.mark.parametrize("seed", range(4))
def test_every_case_gone_through_gives_the_same_litres(seed: int) -> None:
    litres, side = rooms(seed, 2, 5, 6)
    rng = np.random.default_rng(seed)
    each = rng.uniform(0.5, 2.0, 5)
    each = each / each.sum()
    predicted = np.array([side, rng.standard_normal(5)])
    for told in most_telling(litres, 3, CAP, predicted, [0.4, 0.8], 7.0 * each):
        for k, error in ((0, 0.4), (1, 0.8)):
            for out, value in ((False, told.most[k]), (True, told.least[k])):
                after = by_every_case(litres, told.spots, predicted[k], error, each, out)
                assert value == pytest.approx(max(told.before - after, 0.0), abs=1e-9)


def test_reading_that_every_member_foretells_alike_is_worth_nothing() -> None:
    litres, _ = rooms(1, 3, 12, 30)
    for told in most_telling(litres, 2, CAP, np.zeros((1, 12)), [1.0]):
        assert (told.saved[0], told.least[0], told.most[0]) == (0.0, 0.0, 0.0)


def test_reading_far_below_its_error_is_worth_nothing() -> None:
    litres, side = rooms(1, 3, 12, 30)
    assert most_telling(litres, 1, CAP, [side], [1e4])[0].saved[0] == pytest.approx(0.0, abs=1e-9)


def test_perfect_reading_is_worth_what_knowing_the_floor_is() -> None:
    """Floors in kinds of two: their value of perfect information is the mean of the best of each."""
    litres, side = rooms(2, 3, 8, 25)
    twice, both = np.repeat(litres, 2, axis=1), np.repeat(side, 2)
    told = most_telling(twice, 1, CAP, [both], [1e-6])[0]
    each = np.minimum(twice, CAP).mean(axis=0)
    known = each.mean(axis=0).min() - each.min(axis=1).mean()
    assert known > 0.5
    assert told.least[0] == pytest.approx(known)
    assert told.most[0] == pytest.approx(known)


@pytest.mark.parametrize("seed", range(5))
def test_more_precise_reading_is_worth_as_much_or_more(seed: int) -> None:
    """Within what the nodes leave open, a twentieth of a litre."""
    litres, side = rooms(seed, 3, 40, 30)
    errors = [0.02, 0.1, 0.2, 0.4, 0.8, 1.6, 6.0]
    told = most_telling(litres, 1, CAP, [side] * len(errors), errors)[0]
    assert (np.diff(told.most) <= 0.05).all()
    assert (np.diff(told.saved) <= 0.15).all()
    assert told.saved[0] > told.saved[-1] + 0.5
    assert (told.least <= told.saved).all()
    assert (told.saved <= told.most).all()


def test_reading_that_has_to_do_with_water_is_told_before_one_by_lot() -> None:
    litres, side = rooms(3, 3, 40, 30)
    by_lot = np.random.default_rng(0).permuted(np.tile(side, (10, 1)), axis=1)
    told = most_telling(litres, 1, CAP, [side, *by_lot], [0.1] * 11)[0]
    assert told.saved.argmax() == 0
    assert told.least[0] > 1.0
    assert told.least[1:].max() < 0.2 * told.least[0]


@pytest.mark.parametrize("weighed", [False, True])
def test_what_chance_gives_is_the_second_best_of_readings_that_were_dealt_out(weighed: bool) -> None:
    """By the other way: each deal of what members say is worked out as a reading of its own."""
    litres, side = rooms(7, 2, 7, 15)
    rng = np.random.default_rng(3)
    said, errors = np.array([side, *rng.standard_normal((11, 7))]), [0.2] * 12
    each = rng.uniform(0.5, 2.0, 7) if weighed else None
    told = most_telling(litres, 2, CAP, said, errors, each)[-1]
    found = by_chance(litres, told, CAP, said, errors, each, seed=5)
    deals = np.random.default_rng([5, 7])
    best = []
    for _ in range(DRAWS):
        dealt = said[:, np.argsort(deals.permutation(7))]
        best.append(most_telling(litres, 2, CAP, dealt, errors, each)[-1].least.max())
    assert max(found, 0.0) == pytest.approx(sorted(best)[-2], abs=1e-6)
    assert sorted(best)[-2] > 0.0


@pytest.mark.slow
def test_readings_that_tell_nothing_look_better_than_chance_once_in_twenty_houses() -> None:
    """Twenty readings by lot in each of sixty: of a twentieth, 3 are to be expected, and 8 or more come in 1 of 100."""
    above = 0
    for seed in range(60):
        litres, _ = rooms(100 + seed, 2, 12, 15)
        said = np.random.default_rng(seed).standard_normal((20, 12))
        told = most_telling(litres, 1, CAP, said, np.full(20, 0.3))[0]
        above += bool(told.least.max() > max(by_chance(litres, told, CAP, said, np.full(20, 0.3), seed=seed), 0.0))
    assert above < 8


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.slow
def test_reading_that_has_to_do_with_water_is_worth_more_than_chance(seed: int) -> None:
    litres, side = rooms(seed, 3, 20, 30)
    said = np.array([side, *np.random.default_rng(0).standard_normal((30, 20))])
    told = most_telling(litres, 1, CAP, said, [0.1] * 31)[0]
    chance = by_chance(litres, told, CAP, said, [0.1] * 31)
    assert told.least[0] > chance
    assert told.least[1:].max() <= max(chance, 0.0)


def test_of_three_floors_nothing_can_be_told_from_chance() -> None:
    litres, side = rooms(0, 2, 3, 10)
    told = most_telling(litres, 1, CAP, [side], [0.1])[0]
    assert by_chance(litres, told, CAP, [side], [0.1]) == np.inf


def test_probes_that_are_kept_do_not_move() -> None:
    """By hand: the kept probe sees each kind as well as any spot, so nothing is left to be learned."""
    litres = np.concatenate([two_kinds(), np.ones((1, 4, 1))], axis=2)
    told = most_telling(litres, 1, CAP, [[1.0, 1.0, -1.0, -1.0]], [0.1], kept=(2,))[0]
    assert told.spots[0] == 2
    assert (told.before, told.saved[0]) == (1.0, 0.0)
    worse = np.concatenate([two_kinds(), np.full((1, 4, 1), 50.0)], axis=2)
    assert most_telling(worse, 1, CAP, [[1.0, 1.0, -1.0, -1.0]], [0.1], kept=(2,))[0].most[0] == pytest.approx(4.0)


def test_floor_that_is_not_believed_counts_for_nothing() -> None:
    litres, side = rooms(4, 2, 6, 10)
    few = most_telling(litres[:, :5], 1, CAP, [side[:5]], [0.3])[0]
    zero = most_telling(litres, 1, CAP, [side], [0.3], members=[1.0] * 5 + [0.0])[0]
    assert zero.before == pytest.approx(few.before)
    assert (zero.least[0], zero.most[0]) == pytest.approx((few.least[0], few.most[0]))
    alone = most_telling(litres, 1, CAP, [side], [0.3], members=[0.0, 1.0] + [0.0] * 4)[0]
    assert (alone.least[0], alone.most[0]) == (0.0, 0.0)


def test_spots_before_are_those_of_the_placement() -> None:
    litres, side = rooms(5, 3, 15, 20)
    told = most_telling(litres, 2, CAP, [side], [0.3])
    for number, one in enumerate(told, start=1):
        placed = least_expected(litres.reshape(-1, 20), number, CAP)
        assert one.spots == placed.spots
        assert one.before == pytest.approx(placed.expected)


def test_what_cannot_be_asked_is_refused() -> None:
    litres, side = rooms(0, 2, 4, 3)
    with pytest.raises(ValueError, match="above 0"):
        most_telling(litres, 1, CAP, [side], [0.0])
    with pytest.raises(ValueError, match="finite"):
        most_telling(litres, 1, CAP, [[np.inf, 0.0, 0.0, 0.0]], [1.0])
    with pytest.raises(ValueError, match="4 spots"):
        most_telling(litres, 4, CAP, [side], [1.0])


@pytest.mark.slow
def test_two_hundred_candidates_take_seconds() -> None:
    """30 leaks, 20 floors, 2000 spots, one probe: a few seconds, here with room for a busy machine."""
    rng = np.random.default_rng(0)
    litres, _ = rooms(6, 30, 20, 2000)
    began = time.perf_counter()
    told = most_telling(litres, 1, CAP, rng.standard_normal((200, 20)), np.full(200, 0.5))[0]
    assert time.perf_counter() - began < 20.0
    assert told.saved.shape == (200,)

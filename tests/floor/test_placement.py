"""Where probes should stand: against every choice there is, on tables small enough to try them all."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from dewpond.floor.placement import least_expected, least_worst, worth

CAP = 60.0


def table_of(seed: int, scenarios: int, spots: int) -> Any:
    """Litres at which spots on a line get wet by leaks on it: the farther the more, and some of them never."""
    rng = np.random.default_rng(seed)
    leaks, stands = rng.uniform(0.0, 1.0, scenarios), rng.uniform(0.0, 1.0, spots)
    litres = 40.0 * np.abs(leaks[:, None] - stands[None, :]) * rng.uniform(0.5, 2.0, (scenarios, spots))
    litres[rng.uniform(size=litres.shape) < 0.1] = np.inf
    return litres


def every(litres: Any, number: int, kept: tuple[int, ...] = ()) -> tuple[float, float]:
    """Least mean and least worst of all choices."""
    left = [spot for spot in range(litres.shape[1]) if spot not in kept]
    seen = [np.minimum(litres, CAP)[:, [*kept, *one]].min(axis=1) for one in combinations(left, number)]
    return min(float(one.mean()) for one in seen), min(float(one.max()) for one in seen)


@pytest.mark.parametrize("seed", range(12))
def test_worst_case_is_that_of_trying_every_choice(seed: int) -> None:
    litres = table_of(seed, 25, 14)
    for number in (1, 2, 3):
        found = least_worst(litres, number, CAP)
        assert found.exact
        assert len(found.spots) == number
        assert found.worst == pytest.approx(every(litres, number)[1], abs=1e-12)


@pytest.mark.parametrize("seed", range(6))
def test_of_those_as_good_in_the_worst_case_a_good_one_on_average_is_told(seed: int) -> None:
    """Against every choice that is as good in the worst case; exchanges of two may stop within a tenth of the best."""
    litres = table_of(seed, 25, 14)
    table = np.minimum(litres, CAP)
    for number in (1, 2):
        found = least_worst(litres, number, CAP)
        seen = [table[:, list(one)].min(axis=1) for one in combinations(range(14), number)]
        best = min(float(one.mean()) for one in seen if one.max() <= found.worst)
        assert best - 1e-9 <= found.expected <= best * (1.0 if number == 1 else 1.1) + 1e-9


@pytest.mark.parametrize("seed", range(12))
def test_average_is_that_of_every_choice_or_hardly_more(seed: int) -> None:
    """Exact for one and two, where every spot is a first one; exchanges of three may stop within 2 % of the best."""
    litres = table_of(seed, 25, 14)
    for number in (1, 2, 3):
        found = least_expected(litres, number, CAP)
        best = every(litres, number)[0]
        assert best - 1e-9 <= found.expected <= best * (1.0 if number < 3 else 1.02) + 1e-9


def exact_program(litres: np.ndarray, number: int, cap: float) -> float:
    """The least average of so many spots, as an integer program that HiGHS solves: each scenario goes to one spot that
    is taken, or to none, which costs the cap."""
    cases, spots = litres.shape
    cost = np.concatenate([np.zeros(spots), np.column_stack([np.minimum(litres, cap), np.full(cases, cap)]).ravel()])
    rows = []
    for case in range(cases):  # goes somewhere
        row = np.zeros(len(cost))
        row[spots + case * (spots + 1) : spots + (case + 1) * (spots + 1)] = 1.0
        rows.append(row)
    taken = np.zeros((cases * spots, len(cost)))
    for case in range(cases):
        for spot in range(spots):
            taken[case * spots + spot, spots + case * (spots + 1) + spot] = 1.0
            taken[case * spots + spot, spot] = -1.0
    count = np.concatenate([np.ones(spots), np.zeros(len(cost) - spots)])[None, :]
    found = milp(
        cost / cases, integrality=np.concatenate([np.ones(spots), np.zeros(len(cost) - spots)]), bounds=Bounds(0, 1),
        constraints=[LinearConstraint(np.array(rows), 1.0, 1.0), LinearConstraint(taken, -np.inf, 0.0),
                     LinearConstraint(count, number, number)],
    )  # fmt: skip
    return float(found.fun)


@pytest.mark.slow
@pytest.mark.parametrize(("seed", "number"), [(1, 2), (2, 3), (3, 3), (4, 4)])
def test_average_is_that_of_an_exact_program_or_hardly_more(seed: int, number: int) -> None:
    """Second method: a median problem of forty leaks and twenty spots, solved to the end by HiGHS."""
    rng = np.random.default_rng(seed)
    litres = rng.lognormal(1.5, 1.2, (40, 20))
    exact = exact_program(litres, number, 30.0)
    found = least_expected(litres, number, 30.0).expected
    assert exact - 1e-9 <= found <= 1.01 * exact


@pytest.mark.parametrize("seed", range(6))
def test_probes_that_are_kept_count_and_stay(seed: int) -> None:
    litres = table_of(seed, 20, 10)
    for number in (1, 2):
        one, two = least_expected(litres, number, CAP, kept=(3,)), least_worst(litres, number, CAP, kept=(3,))
        assert one.spots[0] == two.spots[0] == 3
        mean, worst = every(litres, number, kept=(3,))
        assert one.expected == pytest.approx(mean, rel=0.02)
        assert two.worst == pytest.approx(worst, abs=1e-12)


def test_three_leaks_that_only_a_spot_each_sees_are_worked_out_by_hand() -> None:
    litres = np.full((3, 4), np.inf)
    litres[0, 0], litres[1, 1], litres[2, 2] = 1.0, 2.0, 3.0
    litres[:, 3] = 10.0
    assert least_worst(litres, 1, CAP).spots == (3,)
    assert least_worst(litres, 3, CAP).worst == 3.0
    assert worth(litres, (0, 1), CAP).expected == pytest.approx((1.0 + 2.0 + 60.0) / 3.0)
    assert worth(litres, (0, 1), CAP).never == pytest.approx(1.0 / 3.0)
    assert worth(litres, (0, 1), CAP, weights=(1.0, 1.0, 0.0)).never == 0.0
    assert worth(litres, (), CAP).worst == CAP


def test_more_spots_than_there_are_is_refused() -> None:
    with pytest.raises(ValueError, match="5 spots"):
        least_expected(np.ones((3, 4)), 5, CAP)


@pytest.mark.slow
@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 3))
def test_one_probe_more_is_never_worse(seed: int, number: int) -> None:
    litres = table_of(seed, 12, 8)
    for choose in (least_expected, least_worst):
        fewer, more = choose(litres, number, CAP), choose(litres, number + 1, CAP)
        if choose is least_worst:
            assert more.worst <= fewer.worst + 1e-12
        else:
            assert more.expected <= fewer.expected * 1.02 + 1e-9


@pytest.mark.parametrize("seed", range(4))
def test_of_two_no_pair_is_better_where_spots_are_many(seed: int) -> None:
    """More spots than exchanges are begun from: every pair tried one by one, with and without one that is kept."""
    litres = table_of(seed, 40, 90)
    for kept in ((), (7,)):
        found = least_expected(litres, 2, CAP, kept=kept)
        assert found.exact
        assert found.expected == pytest.approx(every(litres, 2, kept)[0], rel=1e-12)


def test_search_that_is_given_up_is_no_exact_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    litres = table_of(3, 60, 40)
    sure = least_worst(litres, 3, CAP)
    assert sure.exact
    monkeypatch.setattr("dewpond.floor.placement.MOST_LOOKED_AT", 1)
    given_up = least_worst(litres, 3, CAP)
    assert not given_up.exact
    assert given_up.worst >= sure.worst

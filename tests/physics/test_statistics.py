"""Charts, reservoirs and caps against Markov chains, brute sums and tables; published run lengths are cases."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from dewpond.physics import statistics


@pytest.mark.parametrize(("k", "h", "shift"), [(0.5, 4.0, 0.0), (0.5, 5.07, 1.0), (0.25, 8.59, 0.5)])
def test_cusum_agrees_with_a_markov_chain_brook_and_evans(k: float, h: float, shift: float) -> None:
    """The older method: the sum cut into cells, the chain solved, and the cells made to vanish."""

    def chain(cells: int) -> float:
        width = 2.0 * h / (2 * cells - 1)
        i, j = np.arange(cells)[:, np.newaxis], np.arange(1, cells)[np.newaxis, :]
        moves = np.empty((cells, cells))
        moves[:, 0] = norm.cdf(0.5 * width - i[:, 0] * width + k - shift)
        upper, lower = ((j - i + side) * width + k - shift for side in (0.5, -0.5))
        moves[:, 1:] = norm.cdf(upper) - norm.cdf(lower)
        return float(np.linalg.solve(np.eye(cells) - moves, np.ones(cells))[0])

    coarse, fine = chain(100), chain(200)
    assert statistics.cusum_arl(k, h, shift) == pytest.approx(fine + (fine - coarse) / 3.0, rel=1e-4)


@pytest.mark.parametrize(("weight", "limit", "shift"), [(0.1, 2.814, 0.0), (0.25, 3.0, 0.5), (0.5, 3.071, 1.0)])
def test_ewma_agrees_with_a_markov_chain_lucas_and_saccucci(weight: float, limit: float, shift: float) -> None:
    edge = limit * math.sqrt(weight / (2.0 - weight))

    def chain(cells: int) -> float:
        width = 2.0 * edge / cells
        middle = -edge + (np.arange(cells) + 0.5) * width
        upper, lower = (
            (middle[np.newaxis, :] + side * width - (1.0 - weight) * middle[:, np.newaxis]) / weight - shift
            for side in (0.5, -0.5)
        )
        moves = norm.cdf(upper) - norm.cdf(lower)
        return float(np.linalg.solve(np.eye(cells) - moves, np.ones(cells))[cells // 2])

    coarse, fine = chain(101), chain(303)
    assert statistics.ewma_arl(weight, limit, shift) == pytest.approx(fine + (fine - coarse) / 8.0, rel=2e-4)


def test_cusum_alarms_at_the_pace_of_drawn_days_monte_carlo() -> None:
    draws = np.random.default_rng(20261).normal(1.0, 1.0, (4000, 120))
    level, lengths = np.zeros(4000), np.zeros(4000)
    for day in range(draws.shape[1]):
        running = lengths == 0
        level = np.maximum(0.0, level + draws[:, day] - 0.5)
        lengths[running & (level > 4.0)] = day + 1
    assert (lengths > 0).all()
    three_sigma = 3.0 * lengths.std() / math.sqrt(len(lengths))
    assert statistics.cusum_arl(0.5, 4.0, 1.0) == pytest.approx(lengths.mean(), abs=three_sigma)


# Variation of one day, chart, then days until a leak of 5, 10, 20, 30, 50, 100 % of evaporation is found.
# The project's reference on the tank, 7.2, solved there by an own integral equation.
LEAKS = [
    (0.10, 0.5, 5.07, (39, 10.5, 4.1, 2.6, 1.7, 1.0)),
    (0.15, 0.5, 5.07, (88, 22, 6.8, 4.1, 2.3, 1.1)),
    (0.15, 0.25, 8.59, (59, 21, 8.7, 5.5, 3.3, 2.0)),
    (0.20, 0.5, 5.07, (148, 39, 10.5, 5.8, 3.1, 1.7)),
]


@pytest.mark.parametrize(("variation", "k", "h", "days"), LEAKS)
def test_leak_is_found_in_the_tabled_days_dossier(
    variation: float, k: float, h: float, days: tuple[float, ...]
) -> None:
    shares = (0.05, 0.1, 0.2, 0.3, 0.5, 1.0)
    found = [statistics.cusum_arl(k, h, share / variation) for share in shares]
    assert found == pytest.approx(days, rel=0.025, abs=0.06)


@settings(max_examples=20)
@given(st.floats(0.1, 1.0), st.floats(2.0, 6.0), st.floats(0.0, 2.0), st.floats(0.05, 1.0))
def test_larger_shift_is_never_found_later(k: float, h: float, shift: float, more: float) -> None:
    assert statistics.cusum_arl(k, h, shift + more) < statistics.cusum_arl(k, h, shift)


@given(st.integers(1, 40), st.floats(0.0, 0.9))
def test_spread_of_a_sum_is_that_of_all_its_covariances_brute_force(days: int, likeness: float) -> None:
    i = np.arange(days)
    wanted = 0.6 * math.sqrt((likeness ** np.abs(i[:, np.newaxis] - i)).sum())
    assert statistics.spread_of_sum(days, 0.6, likeness) == pytest.approx(wanted, rel=1e-9)


# Days away, spread from weather alone, with the uncertain mean, and litres for 5, 1 and 0.1 % risk. Reference, 6.
HOLIDAYS = [
    (7, 2.48, 2.81, (32.6, 34.5, 36.7)),
    (14, 3.70, 4.55, (63.5, 66.6, 70.1)),
    (21, 4.61, 6.09, (94.0, 98.2, 102.8)),
]


@pytest.mark.parametrize(("days", "weather", "honest", "litres"), HOLIDAYS)
def test_holiday_needs_the_tabled_litres_dossier(
    days: int, weather: float, honest: float, litres: tuple[float, ...]
) -> None:
    assert statistics.spread_of_sum(days, 0.6, 0.5) == pytest.approx(weather, abs=0.006)
    spread = statistics.spread_of_sum(days, 0.6, 0.5, 30)
    assert spread == pytest.approx(honest, abs=0.006)
    found = [statistics.store_for_risk(4.0 * days, spread, risk) for risk in (0.05, 0.01, 0.001)]
    assert found == pytest.approx(litres, abs=0.06)


@given(st.floats(1e-6, 0.999), st.floats(0.1, 10.0))
def test_store_for_a_risk_runs_out_with_that_risk(risk: float, spread: float) -> None:
    store = statistics.store_for_risk(50.0, spread, risk)
    assert statistics.run_out_probability(store, 50.0, spread) == pytest.approx(risk, rel=1e-6)


def test_days_taken_as_independent_more_than_halve_the_run_out_chance_dossier() -> None:
    independent, alike = (
        statistics.run_out_probability(60.0, 56.0, statistics.spread_of_sum(14, 0.6, likeness, 30))
        for likeness in (0.0, 0.5)
    )
    assert independent == pytest.approx(0.07, abs=0.003)
    assert alike == pytest.approx(0.19, abs=0.003)


@given(st.integers(2, 200), st.integers(1, 60), st.floats(1e-4, 0.5))
def test_cap_trips_with_the_chance_it_was_made_for(history: int, away: int, chance: float) -> None:
    cap = statistics.cap_without_nuisance(4.0, 0.6, history, away, chance)
    assert statistics.nuisance_probability(cap, 4.0, 0.6, history, away) == pytest.approx(chance, rel=1e-6)


def test_binding_cap_of_the_worked_tank_is_5_4_litres_dossier() -> None:
    bounds = (
        statistics.cap_without_nuisance(4.0, 0.6, 30, 14, 0.01),
        statistics.cap_by_salinity(2.8, 300.0, 35.0, 2.0, 7.0),
        statistics.cap_by_freeboard(2.8, 22.8, 7.0),
    )
    assert bounds == pytest.approx((6.15, 5.40, 6.06), abs=0.006)
    assert statistics.nuisance_probability(min(bounds), 4.0, 0.6, 30, 14) == pytest.approx(0.186, abs=0.002)


def test_impossible_questions_are_refused() -> None:
    with pytest.raises(ValueError, match="weight"):
        statistics.ewma_arl(0.001, 3.0, 0.0)
    with pytest.raises(ValueError, match="likeness of days"):
        statistics.spread_of_sum(14, 0.6, 1.0)
    with pytest.raises(ValueError, match="allowed drop"):
        statistics.cap_by_salinity(2.8, 300.0, 35.0, 35.0, 7.0)
    with pytest.raises(ValueError, match="days of history"):
        statistics.cap_without_nuisance(4.0, 0.6, 1, 14, 0.01)

"""Factors of several tanks, against the same posterior by other means."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from dewpond.physics.series import together
from dewpond.physics.shared import COMMON, apart, factors_of, of_sum

Found = list[tuple[tuple[float, ...], float, float]]
FOUND = st.tuples(
    st.tuples(*[st.floats(0.05, 1.0)] * 3), st.floats(0.4, 2.5), st.floats(0.05, 0.4)
)  # weights, factor, spread


def prior(count: int, spread: float) -> np.ndarray:
    return spread**2 * ((1.0 - COMMON) * np.eye(count) + COMMON * np.ones((count, count)))


def test_two_rulers_at_two_tanks_by_the_normal_equations_of_numpy() -> None:
    """x = S H^T (H S H^T + R)^-1 y, which is exact where each measures one tank."""
    held, noise, seen = prior(2, 0.25), np.diag([0.17**2, 0.19**2]), np.log([1.13, 0.54])
    gain = held @ np.linalg.inv(held + noise)
    factors, covariance = factors_of(2, [((3.0, 0.0), 1.13, 0.17), ((0.0, 2.0), 0.54, 0.19)])
    assert factors == pytest.approx(np.exp(gain @ seen))
    assert np.array(covariance) == pytest.approx(held - gain @ held)


@pytest.mark.slow
@given(st.lists(FOUND, min_size=1, max_size=4))
def test_any_measurements_of_sums_are_the_likeliest_by_scipy(found: Found) -> None:
    inverse = np.linalg.inv(prior(3, 0.25))

    def unlikely(logs: np.ndarray) -> float:
        off = [
            math.log(float(np.dot(weights, np.exp(logs))) / sum(weights) / factor) / spread
            for weights, factor, spread in found
        ]
        return float(0.5 * logs @ inverse @ logs + 0.5 * np.dot(off, off))

    best = minimize(unlikely, np.zeros(3), method="BFGS", tol=1e-10)
    factors, _ = factors_of(3, found)
    assert unlikely(np.log(factors)) <= best.fun + 1e-6
    assert np.log(factors) == pytest.approx(best.x, abs=2e-3)


@given(st.lists(st.tuples(st.floats(0.3, 3.0), st.floats(0.03, 0.4)), max_size=4), st.floats(0.05, 0.4))
def test_one_tank_is_as_before(found: list[tuple[float, float]], spread: float) -> None:
    factors, covariance = factors_of(1, [((1.0,), *one) for one in found], spread)
    assert (factors[0], math.sqrt(covariance[0][0])) == pytest.approx(together(found, spread), rel=1e-6)


@given(st.lists(FOUND, min_size=1, max_size=4))
def test_a_measurement_never_leaves_a_sum_less_sure(found: Found) -> None:
    amounts = (1.0, 2.0, 0.5)
    _, before = of_sum(amounts, [1.0] * 3, factors_of(3, [])[1])
    factors, covariance = factors_of(3, found)
    for one in range(3):
        assert covariance[one][one] <= 0.25**2 + 1e-12
    assert of_sum(amounts, [1.0] * 3, covariance)[1] <= before + 1e-12
    low, high = min(factors), max(factors)
    assert low - 1e-9 <= of_sum(amounts, factors, covariance)[0] <= high + 1e-9


def test_what_two_tanks_may_differ_by_is_the_scatter_of_numpy_s_draws() -> None:
    draws = np.random.default_rng(5).multivariate_normal([0.0, 0.0], prior(2, 0.25), 200_000)
    assert float(np.std(draws[:, 0] - draws[:, 1])) == pytest.approx(apart((1.0, 0.0), (0.0, 1.0), 0.25), rel=0.01)

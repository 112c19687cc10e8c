"""Regulator, booster and cushion of air against closed forms worked out another way."""

import itertools
import math

import pytest
from scipy.integrate import quad

from dewpond.physics import pressure
from dewpond.physics.surge import bubble_uptake

BAR = 1e5
PER_MINUTE = 1e-3 / 60.0
AIR = 101325.0


def test_regulator_falls_by_its_droop_and_rises_to_lock_up_at_rest() -> None:
    """Two straight lines that meet at the locking flow."""
    droop = 0.12 * BAR / PER_MINUTE
    at = [pressure.regulated_pressure(q * PER_MINUTE, 3.0 * BAR, 0.3 * BAR, droop) for q in (0.0, 0.025, 0.05, 2.0)]
    assert at == pytest.approx([3.3 * BAR, 3.147 * BAR, 2.994 * BAR, 2.76 * BAR], rel=1e-12)


def test_regulated_pressure_falls_all_the_way() -> None:
    flows = [1e-4 * k * PER_MINUTE for k in range(0, 40000, 37)]
    held = [pressure.regulated_pressure(q, 2.0 * BAR, 0.2 * BAR, 1e9) for q in flows]
    assert all(a > b for a, b in itertools.pairwise(held))


@pytest.mark.parametrize("share", [0.0, 0.3, 0.9])
def test_pump_adds_at_its_rated_flow_what_it_says(share: float) -> None:
    rest = pressure.head_at_rest(2.5 * BAR, share * 1.8, 1.8)
    assert rest * (1.0 - share * share) == pytest.approx(2.5 * BAR, rel=1e-12)


def test_pump_that_adds_nothing_or_gives_all_at_its_rating_is_refused() -> None:
    for adds, flow, most in ((0.0, 1.0, 2.0), (1.0, 2.0, 2.0), (1.0, 3.0, 2.0), (1.0, 1.0, 0.0)):
        with pytest.raises(ValueError, match=r"pressure|flow"):
            pressure.head_at_rest(adds, flow, most)


@pytest.mark.parametrize(("shell", "before", "after"), [(12e-3, 0.5, 2.5), (40e-3, 1.4, 2.0), (8e-3, 0.0, 3.0)])
def test_cushion_holds_what_boyle_says_by_its_work_and_back(shell: float, before: float, after: float) -> None:
    """Second method: the isothermal work of the air, p V ln(p2/p1), is what the water has pushed, by quadrature."""
    held = pressure.cushion_volume(shell, before * BAR, after * BAR)
    first, last = before * BAR + AIR, after * BAR + AIR
    work = quad(lambda v: pressure.cushion_pressure(shell, before * BAR, v) + AIR, 0.0, held)[0]
    assert work == pytest.approx(first * shell * math.log(last / first), rel=1e-9)
    assert pressure.cushion_pressure(shell, before * BAR, held) == pytest.approx(after * BAR, rel=1e-12)


def test_cushion_without_precharge_is_the_bubble_of_the_surge() -> None:
    assert pressure.cushion_volume(1e-4, 0.0, 2.7e5) == pytest.approx(bubble_uptake(1e-4, 2.7e5), rel=1e-12)


def test_cushion_is_empty_up_to_its_precharge() -> None:
    assert [pressure.cushion_volume(0.01, 1e5, p) for p in (-1e4, 0.0, 1e5)] == [0.0, 0.0, 0.0]

"""Pressure waves, compliance and bubbles against a second derivation and known figures."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.physics import surge


@given(st.floats(2e-3, 20e-3), st.floats(0.2e-3, 5e-3), st.floats(1e8, 2e11))
def test_wave_speed_follows_from_compliance_newton_laplace(bore: float, wall: float, modulus: float) -> None:
    """Without cross-contraction both are one law: a = [rho (1/K + dV/dp/V)]^-0.5."""
    stretch = surge.tube_compliance(bore, bore + 2.0 * wall, 1.0, modulus, 0.0) / surge.tube_volume(bore, 1.0)
    wanted = 1.0 / math.sqrt(998.2 * (1.0 / surge.WATER_BULK_MODULUS + stretch))
    assert surge.wave_speed(bore, wall, modulus, 0.0, 998.2) == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize(("bore", "modulus", "wanted"), [(6.0e-3, 0.3e9, 205.0), (4.0e-3, 0.6e9, 324.0)])
def test_wave_speed_in_polyethylene_spans_205_to_324_dossier(bore: float, modulus: float, wanted: float) -> None:
    """The ends of the range in the project's reference on hydraulics: soft 8 x 6 and stiff 6 x 4 tube."""
    assert surge.wave_speed(bore, 1e-3, modulus, 0.45, 998.2) == pytest.approx(wanted, abs=1.0)


def test_wave_speed_in_house_copper_is_1330_handbook() -> None:
    assert surge.wave_speed(13e-3, 1e-3, 120e9, 0.34, 998.2) == pytest.approx(1330.0, rel=0.02)


def test_wave_speed_in_a_stiff_tube_is_that_of_sound_in_water() -> None:
    assert surge.wave_speed(4e-3, 1e-3, 1e15, 0.3, 998.2) == pytest.approx(1481.0, rel=0.002)


@pytest.mark.parametrize(("velocity", "low", "high"), [(0.23, 0.5, 0.7), (1.14, 2.6, 3.6), (4.3, 10.0, 14.0)])
def test_surge_in_quarter_inch_tube_spans_the_tabled_bars_dossier(velocity: float, low: float, high: float) -> None:
    soft, stiff = (
        surge.joukowsky_surge(998.2, surge.wave_speed(4.318e-3, 1.016e-3, modulus, 0.45, 998.2), velocity) / 1e5
        for modulus in (0.3e9, 0.6e9)
    )
    assert soft == pytest.approx(low, rel=0.06)
    assert stiff == pytest.approx(high, rel=0.06)


@given(st.floats(0.5, 50.0), st.floats(100.0, 1500.0), st.floats(0.01, 5.0))
def test_closing_in_one_wave_round_trip_gives_half_the_full_surge_momentum(
    length: float, wave: float, velocity: float
) -> None:
    slow = surge.slow_closing_surge(998.2, length, velocity, 2.0 * length / wave)
    assert slow == pytest.approx(0.5 * surge.joukowsky_surge(998.2, wave, velocity), rel=1e-9)


@given(st.floats(0.0, 1e-3), st.floats(0.0, 1e6))
def test_bubble_keeps_pressure_times_volume_boyle(bubble: float, rise: float) -> None:
    left = bubble - surge.bubble_uptake(bubble, rise)
    assert left * (101325.0 + rise) == pytest.approx(bubble * 101325.0, rel=1e-9)


def test_bad_tubes_are_refused() -> None:
    with pytest.raises(ValueError, match="Poisson ratio"):
        surge.wave_speed(4e-3, 1e-3, 0.4e9, 0.6, 998.2)
    with pytest.raises(ValueError, match="wall"):
        surge.tube_compliance(6e-3, 6e-3, 1.0, 0.4e9, 0.45)
    with pytest.raises(ValueError, match="closing time"):
        surge.slow_closing_surge(998.2, 1.0, 1.0, 0.0)

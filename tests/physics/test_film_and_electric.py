"""Puddles on floors, cables and coils against published tables and a second derivation."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.physics import electric, film, water

LENGTH = film.capillary_length(0.0728, 998.2)

# Contact angle in degrees, mm of film, m2 per litre. The project's reference on floors, section 1.
FLOORS = [(13.6, 0.65, 1.55), (20.0, 0.95, 1.06), (60.0, 2.7, 0.37), (90.0, 3.9, 0.26), (97.0, 4.1, 0.24)]


@pytest.mark.parametrize(("degrees", "thickness", "area"), FLOORS)
def test_puddles_stand_as_thick_as_tabled_dossier(degrees: float, thickness: float, area: float) -> None:
    found = film.film_thickness(math.radians(degrees), LENGTH)
    assert found * 1e3 == pytest.approx(thickness, rel=0.015)
    assert film.wetted_area(1e-3, found) == pytest.approx(area, rel=0.025)


@given(st.floats(0.05, math.pi))
def test_puddle_balances_tension_and_weight_de_gennes(angle: float) -> None:
    thickness = film.film_thickness(angle, LENGTH)
    assert 998.2 * water.G * thickness**2 / 2.0 == pytest.approx(0.0728 * (1.0 - math.cos(angle)), rel=1e-9)


@given(st.floats(0.0, 2.0 * LENGTH))
def test_contact_angle_balances_tension_and_weight_de_gennes(thickness: float) -> None:
    angle = film.contact_angle(thickness, LENGTH)
    assert 998.2 * water.G * thickness**2 / 2.0 == pytest.approx(0.0728 * (1.0 - math.cos(angle)), abs=1e-12)
    with pytest.raises(ValueError, match="thickness of the puddle"):
        film.contact_angle(2.001 * LENGTH, LENGTH)


def test_ordinary_floor_is_60_degrees_of_contact() -> None:
    low, usual, high = film.ORDINARY_FLOOR
    assert usual == pytest.approx(film.film_thickness(math.pi / 3.0, LENGTH), rel=0.02)
    assert low < usual < high


def test_soaking_floor_wets_less_area_balance() -> None:
    area = film.wetted_area(2e-3, 2.7e-3, soak=5e-3)
    assert area * (2.7e-3 + 5e-3) == pytest.approx(2e-3)
    assert area < film.wetted_area(2e-3, 2.7e-3)


def test_film_dries_in_proportion_balance() -> None:
    flux = 3.0 / 86400.0
    assert film.drying_time(2.7e-3, flux, 998.2) * flux == pytest.approx(998.2 * 2.7e-3)
    with pytest.raises(ValueError, match="evaporation"):
        film.drying_time(2.7e-3, 0.0, 998.2)
    with pytest.raises(ValueError, match="contact angle"):
        film.film_thickness(60.0, LENGTH)


@given(st.integers(0, 34))
def test_six_gauges_up_double_the_resistance_twice_wire_table(gauge: int) -> None:
    """Rule of every wire table: six numbers halve the diameter."""
    assert electric.wire_resistance(gauge + 6) / electric.wire_resistance(gauge) == pytest.approx(4.0, rel=0.03)


@pytest.mark.parametrize(("gauge", "millimetres"), [(0, 8.252), (10, 2.588), (36, 0.127)])
def test_wire_diameters_are_those_of_the_table_astm_b258(gauge: int, millimetres: float) -> None:
    assert electric.wire_diameter(gauge) * 1e3 == pytest.approx(millimetres, rel=1e-3)


def test_unknown_gauge_is_refused() -> None:
    with pytest.raises(ValueError, match="wire gauge 41"):
        electric.wire_diameter(41)


# Newton on a 3 mm seat at 4 and 5.5 bar. The project's reference on hydraulics, section 4.
@pytest.mark.parametrize(("pressure", "force"), [(4e5, 2.83), (5.5e5, 3.89)])
def test_seat_is_pressed_as_hard_as_worked_dossier(pressure: float, force: float) -> None:
    assert electric.lifting_force(pressure, 3e-3) == pytest.approx(force, abs=0.006)


@given(st.floats(0.1, 100.0), st.floats(1e3, 2e6))
def test_largest_seat_takes_the_whole_force(force: float, pressure: float) -> None:
    assert electric.lifting_force(pressure, electric.largest_seat(force, pressure)) == pytest.approx(force)


def test_coil_at_20_celsius_has_its_own_resistance() -> None:
    assert electric.hot_coil_ratio(293.15) == 1.0
    with pytest.raises(ValueError, match="coil temperature"):
        electric.hot_coil_ratio(20.0)


@pytest.mark.parametrize(
    ("litres_a_minute", "seconds"),
    [(0.05, (936, 320, 127)), (0.2, (372, 127, 50)), (0.5, (202, 69, 27))],
)
def test_time_of_a_run_is_that_of_the_reference(litres_a_minute: float, seconds: tuple[float, ...]) -> None:
    """Five metres at 1, 5 and 20 mm/m: a table made with other code."""
    for slope, expected in zip((1e-3, 5e-3, 20e-3), seconds, strict=True):
        found = film.run_time(litres_a_minute * 1e-3 / 60.0, slope, 5.0, 2.727e-3, 998.2, 998.2e-6)
        assert found == pytest.approx(expected, rel=0.02)

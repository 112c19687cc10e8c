"""Pure water against independent laws; the IAPWS rows themselves are in test_published_hydraulics."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.physics import water

TEMPERATURES = st.floats(273.15, 313.15)


@pytest.mark.parametrize("celsius", [0.0, 4.0, 10.0, 17.0, 25.0, 33.0, 40.0])
def test_density_agrees_with_teos10_gsw(celsius: float) -> None:
    import gsw

    wanted = gsw.rho_t_exact(0.0, celsius, 0.0)
    assert water.density(273.15 + celsius) == pytest.approx(wanted, rel=1e-5)


def test_densest_water_lies_at_4_celsius_textbook() -> None:
    densest = max(range(100), key=lambda tenth: water.density(273.15 + tenth / 10.0))
    assert densest == pytest.approx(40, abs=1)


@pytest.mark.parametrize(
    ("celsius", "wanted"), [(5.0, 74.94e-3), (10.0, 74.22e-3), (20.0, 72.74e-3), (25.0, 71.97e-3), (30.0, 71.19e-3)]
)
def test_surface_tension_agrees_with_iapws_r1_76_table_from_memory(celsius: float, wanted: float) -> None:
    assert water.surface_tension(273.15 + celsius) == pytest.approx(wanted, abs=0.03e-3)


@given(TEMPERATURES, st.floats(0.01, 5.0))
def test_warmer_water_is_never_thicker_nor_tighter(temperature: float, step: float) -> None:
    warmer = min(temperature + step, 313.15)
    assert water.viscosity(warmer) <= water.viscosity(temperature)
    assert water.surface_tension(warmer) <= water.surface_tension(temperature)


@pytest.mark.parametrize("law", [water.density, water.viscosity, water.surface_tension])
@pytest.mark.parametrize("temperature", [273.0, 313.2, 25.0, float("nan")])
def test_temperature_outside_the_fit_is_refused(law: Callable[[float], float], temperature: float) -> None:
    with pytest.raises(ValueError, match=r"lies outside 273\.15 to 313\.15 K"):
        law(temperature)


@given(TEMPERATURES)
def test_kelvin_and_1968_scale_differ_by_a_hundredth_at_most_saunders(temperature: float) -> None:
    assert 0.0 <= water.celsius_1968(temperature) - (temperature - 273.15) < 0.01

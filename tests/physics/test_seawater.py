"""Density, hydrometer and conductivity against TEOS-10 and PSS-78 as gsw has them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.physics import seawater

SALTS = st.floats(0.0, 42.0)
WARMTH = st.floats(273.15, 313.15)
CONDUCTING = st.floats(2.1, 41.9)


@given(SALTS, WARMTH)
def test_density_lies_within_10_grams_of_teos10_gsw(salt: float, temperature: float) -> None:
    import gsw

    wanted = gsw.rho_t_exact(salt, temperature - 273.15, 0.0)
    assert seawater.density(salt, temperature) == pytest.approx(wanted, abs=0.01)


@given(CONDUCTING, WARMTH)
def test_conductivity_is_that_of_pss78_gsw(salt: float, temperature: float) -> None:
    import gsw

    wanted = gsw.C_from_SP(seawater.practical_salinity(salt), temperature - 273.15, 0.0) / 10.0
    assert seawater.conductivity_of_salinity(salt, temperature) == pytest.approx(wanted, rel=1e-8)


@given(CONDUCTING, WARMTH)
def test_salinity_of_conductivity_turns_it_round(salt: float, temperature: float) -> None:
    conductivity = seawater.conductivity_of_salinity(salt, temperature)
    assert seawater.salinity_of_conductivity(conductivity, temperature) == pytest.approx(salt, rel=1e-9)


@given(st.floats(0.1, 41.9), WARMTH, st.floats(275.15, 300.15), st.floats(277.15, 300.15))
def test_salinity_of_hydrometer_turns_its_reading_round(
    salt: float, temperature: float, glass: float, reference: float
) -> None:
    reading = seawater.hydrometer_reading(salt, temperature, glass, reference)
    found = seawater.salinity_of_hydrometer(reading, temperature, glass, reference)
    assert found == pytest.approx(salt, abs=1e-9)


@given(st.floats(0.0, 41.0), st.floats(1e-3, 1.0), WARMTH)
def test_saltier_water_is_denser(salt: float, more: float, temperature: float) -> None:
    assert seawater.density(salt + more, temperature) > seawater.density(salt, temperature)


# Practical salinity and specific gravity 20/20 by TEOS-10. The project's reference on the tank, 3.2.
@pytest.mark.parametrize(("practical", "wanted"), [(5.0, 1.0038), (15.0, 1.0114), (33.0, 1.0251), (40.0, 1.0304)])
def test_specific_gravity_20_20_is_that_of_the_table_teos10(practical: float, wanted: float) -> None:
    salt = seawater.absolute_salinity(practical)
    assert seawater.hydrometer_reading(salt, 293.15, 293.15, 293.15) == pytest.approx(wanted, abs=6e-5)


def test_a_meter_without_compensation_errs_by_three_quarters_a_degree_dossier() -> None:
    at_25 = seawater.conductivity_of_salinity(35.165, 298.15)
    at_26 = seawater.conductivity_of_salinity(35.165, 299.15)
    wrong = seawater.salinity_of_conductivity(at_26, 298.15) - 35.165
    assert at_26 / at_25 - 1.0 == pytest.approx(0.02, abs=0.002)
    assert wrong == pytest.approx(0.75, abs=0.05)


def test_scales_of_salinity_meet_at_standard_sea_water_teos10() -> None:
    assert seawater.absolute_salinity(35.0) == pytest.approx(35.16504, rel=1e-12)
    assert seawater.practical_salinity(seawater.absolute_salinity(12.3)) == pytest.approx(12.3, rel=1e-12)


def test_what_is_no_sea_water_is_refused() -> None:
    with pytest.raises(ValueError, match="salinity 50"):
        seawater.density(50.0, 298.15)
    with pytest.raises(ValueError, match="density 990"):
        seawater.salinity_of_density(990.0, 298.15)
    with pytest.raises(ValueError, match=r"salinity 0\.2"):
        seawater.salinity_of_conductivity(0.05, 298.15)
    with pytest.raises(ValueError, match="salinity 1 g/kg"):
        seawater.conductivity_of_salinity(1.0, 298.15)

"""Air and evaporation against psychrolib, TEOS-10 and published rows."""

import math
from collections.abc import Callable
from types import ModuleType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.physics import evaporation, seawater

SALT = seawater.absolute_salinity(35.0)
DAY = 86400.0
WATERS = st.floats(288.15, 303.15)
AIRS = st.floats(283.15, 308.15)
HUMIDITIES = st.floats(0.0, 1.0)
FLUXES = [
    evaporation.shah_flux,
    evaporation.analogy_flux,
    lambda *room: evaporation.carrier_flux(*room, 0.1),
    lambda *room: evaporation.penman_flux(*room, 0.1),
]


@pytest.mark.parametrize("celsius", [0.5, 5.0, 20.0, 25.0, 28.0, 40.0, 60.0])
def test_saturation_pressure_agrees_with_psychrolib(psychrolib: ModuleType, celsius: float) -> None:
    wanted = psychrolib.GetSatVapPres(celsius)
    assert evaporation.saturation_pressure(273.15 + celsius) == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("celsius", [10.0, 20.0, 28.0])
@pytest.mark.parametrize("humidity", [0.05, 0.4, 0.65, 1.0])
def test_moist_air_agrees_with_psychrolib(psychrolib: ModuleType, celsius: float, humidity: float) -> None:
    vapour = humidity * evaporation.saturation_pressure(273.15 + celsius)
    ratio = psychrolib.GetHumRatioFromRelHum(celsius, humidity, 101325.0)
    assert evaporation.humidity_ratio(vapour) == pytest.approx(ratio, rel=1e-9)
    dry = 1.0 / psychrolib.GetMoistAirVolume(celsius, ratio, 101325.0)
    assert evaporation.dry_air_density(273.15 + celsius, vapour) == pytest.approx(dry, rel=1e-5)
    moist = psychrolib.GetMoistAirDensity(celsius, ratio, 101325.0)
    assert evaporation.moist_air_density(273.15 + celsius, vapour) == pytest.approx(moist, rel=1e-5)


def test_40_celsius_at_14_percent_carries_6_5_grams_ashrae_example_1() -> None:
    vapour = 0.14 * evaporation.saturation_pressure(313.15)
    assert evaporation.humidity_ratio(vapour) == pytest.approx(0.0065, abs=1e-4)


@pytest.mark.parametrize("practical", [0.0, 10.0, 20.0, 30.0, 35.0, 40.0])
@pytest.mark.parametrize("celsius", [20.0, 25.0, 30.0])
def test_water_activity_agrees_with_teos10_gsw(practical: float, celsius: float) -> None:
    import gsw

    salt = seawater.absolute_salinity(practical)
    with_salt, without = (gsw.chem_potential_water_t_exact(s, celsius, 0.0) for s in (salt, 0.0))
    wanted = math.exp((with_salt - without) * 18.01528 / (8.314462618 * (273.15 + celsius)))
    assert evaporation.water_activity(salt) == pytest.approx(wanted, abs=3e-4)


@pytest.mark.parametrize(("celsius", "wanted"), [(0.0, 2500.9), (25.0, 2441.7), (50.0, 2381.9)])
def test_latent_heat_agrees_with_steam_tables_from_memory(celsius: float, wanted: float) -> None:
    assert evaporation.latent_heat(273.15 + celsius) == pytest.approx(wanted * 1e3, rel=1e-3)


# Water, air, humidity; then L/m2/day of: Carrier x 0.5, Penman 1956, Shah, analogy, Carrier x 0.74, Penman 1948,
# Carrier x 1; air speed 0.1 m/s, salinity 35. Computed independently for the project's reference on the tank, 1.3.
ROOMS = [
    (24, 20, 35, 3.61, 3.04, 4.49, 4.32, 5.35, 5.78, 7.22),
    (24, 20, 65, 2.41, 2.03, 2.80, 2.77, 3.57, 3.86, 4.82),
    (25, 22, 40, 3.51, 2.96, 4.18, 4.02, 5.20, 5.62, 7.03),
    (25, 22, 50, 3.06, 2.57, 3.54, 3.44, 4.53, 4.90, 6.12),
    (25, 22, 60, 2.61, 2.19, 2.92, 2.88, 3.86, 4.17, 5.22),
    (25, 23, 65, 2.20, 1.85, 2.26, 2.25, 3.25, 3.52, 4.40),
    (26, 23, 50, 3.25, 2.73, 3.78, 3.67, 4.81, 5.19, 6.50),
    (26, 20, 35, 4.25, 3.57, 5.71, 5.48, 6.30, 6.80, 8.51),
    (27, 20, 35, 4.60, 3.86, 6.38, 6.10, 6.81, 7.35, 9.21),
]


@pytest.mark.parametrize("row", ROOMS)
def test_seven_estimates_are_those_of_the_table_dossier(row: tuple[float, ...]) -> None:
    room = 273.15 + row[0], 273.15 + row[1], row[2] / 100.0, SALT
    found = [
        evaporation.carrier_flux(*room, 0.1, 0.5),
        evaporation.penman_flux(*room, 0.1),
        evaporation.shah_flux(*room),
        evaporation.carrier_flux(*room, 0.1, 0.74),
        evaporation.penman_flux(*room, 0.1, 1.0),
        evaporation.carrier_flux(*room, 0.1),
    ]
    wanted = [*row[3:6], *row[7:]]
    assert [flux * DAY for flux in found] == pytest.approx(wanted, rel=0.003)
    # The analogy's air and diffusion constants are rounder than the table's.
    assert evaporation.analogy_flux(*room) * DAY == pytest.approx(row[6], rel=0.02)


@given(st.floats(295.15, 301.15), st.floats(2.0, 8.0), st.floats(0.3, 0.6))
def test_shah_lies_within_8_percent_of_the_analogy_lloyd_and_moran(warm: float, cooler: float, humidity: float) -> None:
    room = warm, warm - cooler, humidity, SALT
    assert evaporation.shah_flux(*room) == pytest.approx(evaporation.analogy_flux(*room), rel=0.08)


def test_true_air_density_would_spoil_shahs_law_dossier() -> None:
    """The trap: with the density of moist air nothing evaporates into air two degrees warmer than the water."""
    water, air, humidity = 299.15, 301.15, 0.6
    at_water, in_room = evaporation.vapour_pressures(water, air, humidity, 0.0)
    assert evaporation.moist_air_density(air, in_room) < evaporation.moist_air_density(water, at_water)
    assert evaporation.shah_flux(water, air, humidity, 0.0) * DAY > 1.0


@given(WATERS, AIRS, HUMIDITIES, st.floats(0.0, 0.5))
def test_moister_air_never_takes_more(water: float, air: float, humidity: float, more: float) -> None:
    for law in FLUXES:
        dry, moist = (law(water, air, x, SALT) for x in (humidity, min(1.0, humidity + more)))
        assert moist <= dry * (1.0 + 1e-9)


@given(WATERS, st.floats(0.0, 5.0), AIRS, HUMIDITIES)
def test_warmer_water_never_gives_less(water: float, warmer: float, air: float, humidity: float) -> None:
    for law in FLUXES:
        cool, warm = (law(x, air, humidity, SALT) for x in (water, water + warmer))
        assert warm >= cool * (1.0 - 1e-9)


@given(WATERS, AIRS, HUMIDITIES)
def test_salt_never_gives_more(water: float, air: float, humidity: float) -> None:
    for law in FLUXES:
        assert law(water, air, humidity, SALT) <= law(water, air, humidity, 0.0)


@pytest.mark.parametrize("law", FLUXES)
def test_moist_hot_room_evaporates_nothing(law: Callable[..., float]) -> None:
    assert law(293.15, 303.15, 0.9, SALT) == 0.0


@pytest.mark.parametrize(("celsius", "wanted"), [(23, 0.70), (24, 0.84), (26, 1.17), (27, 1.35), (28, 1.54)])
def test_water_temperature_changes_shah_as_tabled_dossier(celsius: int, wanted: float) -> None:
    found, at_25 = (evaporation.shah_flux(273.15 + t, 295.15, 0.5, SALT) for t in (celsius, 25))
    assert found / at_25 == pytest.approx(wanted, abs=0.012)


@pytest.mark.parametrize(("humidity", "wanted"), [(0.3, 1.37), (0.4, 1.18), (0.6, 0.83), (0.7, 0.66)])
def test_humidity_changes_shah_as_tabled_dossier(humidity: float, wanted: float) -> None:
    found, at_half = (evaporation.shah_flux(298.15, 295.15, x, SALT) for x in (humidity, 0.5))
    assert found / at_half == pytest.approx(wanted, abs=0.012)


@pytest.mark.parametrize(("speed", "wanted"), [(0.5, 1.32), (1.0, 1.73), (2.0, 2.5)])
def test_fan_changes_carrier_as_tabled_dossier(speed: float, wanted: float) -> None:
    found, still = (evaporation.carrier_flux(298.15, 295.15, 0.5, SALT, v) for v in (speed, 0.1))
    assert found / still == pytest.approx(wanted, rel=0.02)


def test_factors_carry_spread_class_and_source() -> None:
    for factor in evaporation.FACTORS.values():
        assert 0.0 < factor.low <= factor.value <= factor.high
        assert factor.kind in {"published", "derived", "our prior"}
        assert factor.source


def test_factors_are_those_of_the_defaults_table_dossier() -> None:
    """Movement after Smith, Lof and Jones 1998; covers are common practice. Reference on the tank, 1.4 and 8."""
    spreads = {name: factor[:3] for name, factor in evaporation.FACTORS.items()}
    assert spreads["glass-calm"] == (1.0, 1.0, 1.0)
    assert spreads["circulated"] == (1.4, 1.0, 1.7)
    assert spreads["strongly moved"][0] == 1.7
    assert spreads["glass lid with gaps"] == (0.25, 0.1, 0.4)
    assert spreads["mesh screen"][0] == 0.9
    assert spreads["closed cabinet"][0] == 0.5


def test_air_outside_the_range_is_refused() -> None:
    with pytest.raises(ValueError, match="relative humidity 50"):
        evaporation.shah_flux(298.15, 295.15, 50.0, 0.0)
    with pytest.raises(ValueError, match="temperature 25 K"):
        evaporation.shah_flux(25.0, 295.15, 0.5, 0.0)
    with pytest.raises(ValueError, match="salinity 80"):
        evaporation.water_activity(80.0)
    with pytest.raises(ValueError, match="air speed"):
        evaporation.carrier_flux(298.15, 295.15, 0.5, 0.0, 5.0)

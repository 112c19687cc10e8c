"""Membrane, restrictor, shut-off and resin against second laws, balances and worked tables."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.physics import membrane, resin

PSI, GALLON_A_DAY, L_PER_H, L_PER_MIN = 6894.757, 3.785411784e-3 / 86400.0, 1e-3 / 3600.0, 1e-3 / 60.0
RATED = membrane.permeability(75.0 * GALLON_A_DAY, 50.0 * PSI, 0.0, 0.25, 0.15, 0.98, 298.15)
TEMPERATURES = st.floats(273.15, 313.15)
FEED = st.floats(0.5e5, 8e5)
CONCENTRATION = st.floats(0.0, 2.0)
WASTE = st.floats(1e-7, 1e-4)


def made(temperature: float, feed: float, product: float, waste: float, concentration: float) -> float:
    return membrane.product_flow(RATED, feed, product, waste, concentration, 0.98, temperature)


# 75 gal/day at 50 psi, 250 mg/L, 15 % recovery; water of 300 mg/L, 1.5 m lift, restrictor 0.8 L/min at 3.45 bar.
# degrees Celsius: (L/h, waste over product) at 2.5, 3.45 and 5.5 bar. The project's reference on hydraulics, 3.1.
WINTER = {
    25.0: [(7.7, 5.3), (11.1, 4.3), (18.6, 3.3)],
    15.0: [(5.4, 7.5), (7.9, 6.1), (13.1, 4.6)],
    10.0: [(4.5, 9.0), (6.5, 7.3), (10.9, 5.6)],
    5.0: [(3.7, 10.9), (5.4, 8.9), (9.0, 6.7)],
}


@pytest.mark.parametrize("celsius", WINTER)
def test_product_and_waste_are_those_of_the_winter_table_dossier(celsius: float) -> None:
    restrictor = membrane.restrictor_constant(0.8 * L_PER_MIN, 3.45e5)
    for feed, (litres, ratio) in zip((2.5e5, 3.45e5, 5.5e5), WINTER[celsius], strict=True):
        waste = membrane.restrictor_flow(restrictor, feed)
        product = made(273.15 + celsius, feed, 0.147e5, waste, 0.3)
        assert product / L_PER_H == pytest.approx(litres, abs=0.06)
        assert waste / product == pytest.approx(ratio, abs=0.06)


def test_rated_element_gives_its_rating_at_its_rating_point() -> None:
    rated = 75.0 * GALLON_A_DAY
    assert made(298.15, 50.0 * PSI, 0.0, rated * 0.85 / 0.15, 0.25) == pytest.approx(rated, rel=1e-9)


@given(TEMPERATURES, st.floats(0.0, 10.0), FEED, st.floats(0.0, 6e5), WASTE, CONCENTRATION)
def test_colder_water_never_gives_more_product(
    temperature: float, colder: float, feed: float, back: float, waste: float, concentration: float
) -> None:
    """Where salt takes less than half of the pressure: near the end of what drives it, colder water, whose osmotic
    pressure is a little lower, gives more than nothing."""
    warm = made(temperature, feed, back, waste, concentration)
    cold = made(max(273.15, temperature - colder), feed, back, waste, concentration)
    fresh = made(temperature, feed, back, waste, 0.0)
    assert cold <= warm * (1.0 + 1e-12) or warm < 0.5 * fresh or warm <= 0.0


@given(TEMPERATURES, FEED, st.floats(0.0, 6e5), st.floats(0.0, 3e5), WASTE, CONCENTRATION)
def test_back_pressure_never_gives_more_product(
    temperature: float, feed: float, back: float, more: float, waste: float, concentration: float
) -> None:
    free = made(temperature, feed, back, waste, concentration)
    throttled = made(temperature, feed, back + more, waste, concentration)
    assert throttled <= free + 1e-12 * abs(free)


@given(TEMPERATURES, FEED, WASTE, CONCENTRATION, st.floats(1.0, 10.0))
def test_more_waste_never_gives_less_product(
    temperature: float, feed: float, waste: float, concentration: float, more: float
) -> None:
    little = made(temperature, feed, 0.0, waste, concentration)
    assert made(temperature, feed, 0.0, waste * more, concentration) >= little - 1e-12 * abs(little)


@given(TEMPERATURES, st.floats(2e5, 8e5), st.floats(0.0, 1e5), st.floats(3e-6, 1e-4), st.floats(0.0, 1.0))
def test_jugs_find_the_permeability_that_filled_them(
    temperature: float, feed: float, back: float, waste: float, concentration: float
) -> None:
    product = made(temperature, feed, back, waste, concentration)
    found = membrane.permeability_by_jugs(product, waste, feed, back, concentration, 0.98, temperature)
    assert found == pytest.approx(RATED, rel=1e-9)


def test_jugs_against_too_little_pressure_are_refused() -> None:
    with pytest.raises(ValueError, match="net driving pressure"):
        membrane.permeability_by_jugs(3e-6, 1e-5, 1e5, 1.1e5, 0.3, 0.98, 288.15)
    with pytest.raises(ValueError, match="waste flow"):
        made(288.15, 4e5, 0.0, 0.0, 0.3)


@given(TEMPERATURES)
def test_temperature_factor_lies_within_12_percent_of_3_percent_a_degree_d4516(temperature: float) -> None:
    """The fallback of ASTM D4516 (from memory), 1.03^(t - 25), in tap water from 8 degrees up."""
    celsius = max(8.0, temperature - 273.15)
    assert membrane.temperature_factor(celsius + 273.15) == pytest.approx(1.03 ** (celsius - 25.0), rel=0.13)


def test_temperature_factor_is_1_at_25_and_continuous_there() -> None:
    below, at, above = (membrane.temperature_factor(298.15 + step) for step in (-1e-6, 0.0, 1e-6))
    assert at == pytest.approx(1.0, rel=1e-9)
    assert below == pytest.approx(above, rel=1e-6)


@pytest.mark.parametrize("grams", [0.3, 1.0, 2.0])
def test_osmotic_pressure_agrees_with_van_t_hoff(grams: float) -> None:
    moles = grams * 1e3 / 58.44 / 1e3 * 1e3
    wanted = 2.0 * 0.932 * 8.314462 * 298.15 * moles
    assert membrane.osmotic_pressure(grams, 298.15) == pytest.approx(wanted, rel=0.015)


@pytest.mark.parametrize("grams", [0.3, 1.0, 2.0])
def test_osmotic_pressure_agrees_with_a_makers_manual(grams: float) -> None:
    ions = 2.0 * grams / 58.44  # mol/kg of both ions
    assert membrane.osmotic_pressure(grams, 298.15) == pytest.approx(1.12 * 298.15 * ions * PSI, rel=0.02)


@given(st.floats(1e-4, 0.95))
def test_average_feed_concentration_is_the_mean_along_the_element_scipy(recovery: float) -> None:
    from scipy.integrate import quad

    mean = quad(lambda drawn: 1.0 / (1.0 - drawn), 0.0, recovery)[0] / recovery
    assert membrane.average_feed_concentration(0.3, recovery) == pytest.approx(0.3 * mean, rel=1e-7)
    assert membrane.average_feed_concentration(0.3, 0.0) == 0.3


@given(st.floats(0.0, 0.95), st.floats(0.0, 1.0), st.floats(0.0, 0.1))
def test_waste_carries_what_the_product_leaves_balance(recovery: float, feed: float, product: float) -> None:
    waste = membrane.waste_concentration(feed, product, recovery)
    assert recovery * product + (1.0 - recovery) * waste == pytest.approx(feed, rel=1e-12, abs=1e-15)


@given(st.floats(0.5, 0.999), st.floats(0.0, 3.0), st.floats(0.0, 1.0))
def test_rejection_rises_with_flux(rated: float, part: float, more: float) -> None:
    slow, fast = membrane.rejection_at_flux(rated, part), membrane.rejection_at_flux(rated, part + more)
    assert 0.0 <= slow <= fast < 1.0
    assert membrane.rejection_at_flux(rated, 1.0) == pytest.approx(rated, rel=1e-12)


@given(st.floats(1e-6, 3.0))
def test_salt_passed_is_the_same_at_every_flux_solution_diffusion(part: float) -> None:
    """Salt crosses by diffusion, B (Cf - Cp): flux times strength over that difference is one number."""
    passing = 1.0 - membrane.rejection_at_flux(0.98, part)
    assert part * passing / (1.0 - passing) == pytest.approx(0.02 / 0.98, rel=1e-6)


@pytest.mark.parametrize(("litres", "wanted"), [(0.1, 94.0), (0.25, 41.0), (1.0, 14.8), (5.0, 7.8), (10.0, 6.9)])
def test_short_runs_are_worse_by_the_tabled_slug_dossier(litres: float, wanted: float) -> None:
    found = membrane.batch_concentration(litres * 1e-3, 1.0, 30e-6, 0.300, 0.006)
    assert found * 1e3 == pytest.approx(wanted, abs=0.5)


def test_batch_smaller_than_its_slugs_has_the_strength_of_the_feed() -> None:
    assert membrane.batch_concentration(1e-3, 100.0, 30e-6, 0.3, 0.006) == pytest.approx(0.3)


@given(st.floats(-1e6, 1e6))
def test_restrictor_flows_with_the_root_of_the_pressure_orifice(pressure: float) -> None:
    flow = membrane.restrictor_flow(2e-8, pressure)
    assert flow * abs(flow) == pytest.approx(4e-16 * pressure, rel=1e-9, abs=1e-30)


def test_shut_off_point_agrees_with_the_membrane_law_without_salt() -> None:
    pressure, share = membrane.shut_off_point(4e5, 2.0 / 3.0)
    full, throttled = (made(288.15, 4e5, back, 1e-5, 0.0) for back in (0.0, pressure))
    assert throttled / full == pytest.approx(share, rel=1e-9)


def test_ionic_load_is_the_ratio_of_equivalent_masses_chemistry() -> None:
    half_caco3 = 100.0869 / 2.0
    assert resin.ionic_load(1.0, 0.0) == pytest.approx(half_caco3 / 58.443, rel=1e-3)
    assert resin.ionic_load(0.0, 1.0) == pytest.approx(half_caco3 / 44.0095, rel=1e-3)
    assert pytest.approx(half_caco3 * 1e-3, rel=1e-3) == resin.CACO3_PER_EQUIVALENT


def test_unseen_carbon_dioxide_more_than_halves_the_litres_dossier() -> None:
    clean, gassy = (resin.resin_lasts(resin.NEW_RESIN, 0.65e-3, resin.ionic_load(0.010, g)) for g in (0.0, 0.010))
    assert gassy < 0.5 * clean


def test_default_capacities_are_ten_and_nine_thousand_grains_trade() -> None:
    grain_per_cubic_foot = 64.79891e-6 / 0.3048**3
    for capacity, grains in ((resin.NEW_RESIN, 1e4), (resin.REGENERATED_RESIN, 9e3)):
        assert capacity * resin.CACO3_PER_EQUIVALENT == pytest.approx(grains * grain_per_cubic_foot, rel=2e-3)


def test_defaults_with_a_spread_hold_their_usual_value_inside() -> None:
    for low, usual, high in (membrane.SHUT_OFF_RATIO, membrane.STANDSTILL_VOLUME):
        assert 0.0 < low < usual < high < 1.0
    assert math.isclose(membrane.SHUT_OFF_RATIO[1], 2.0 / 3.0)

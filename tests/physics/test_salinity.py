"""Salt balances against scipy's ODE solver, each other, and worked cases."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from dewpond.physics import salinity

DAY = 86400.0
RATES = st.one_of(st.just(0.0), st.floats(1e-9, 1e-3))


@pytest.mark.slow
@given(st.floats(0.0, 40.0), st.floats(1.0, 1000.0), RATES, st.floats(0.0, 40.0), RATES, RATES, st.floats(0.0, 1e5))
def test_constant_rates_follow_the_ode_scipy(
    start: float, mass: float, inflow: float, salt_in: float, outflow: float, evaporation: float, time: float
) -> None:
    from scipy.integrate import solve_ivp

    assume(mass + (inflow - outflow - evaporation) * time > 0.05 * mass)

    def rates(_: float, y: list[float]) -> list[float]:
        return [inflow * salt_in - outflow * y[0] / y[1], inflow - outflow - evaporation]

    run = solve_ivp(rates, (0.0, time), [start * mass, mass], rtol=1e-10, atol=1e-9, method="DOP853")
    found, left = salinity.constant_rates(start, mass, inflow, salt_in, outflow, evaporation, time)
    assert left == pytest.approx(run.y[1][-1], rel=1e-9)
    assert found == pytest.approx(run.y[0][-1] / run.y[1][-1], rel=1e-6, abs=1e-7)


@given(st.floats(0.0, 40.0), st.floats(1.0, 1000.0), RATES, st.floats(0.0, 40.0), RATES, RATES, st.floats(0.0, 1e4))
def test_constant_rates_in_two_steps_are_one_step(
    start: float, mass: float, inflow: float, salt_in: float, outflow: float, evaporation: float, time: float
) -> None:
    assume(mass + (inflow - outflow - evaporation) * time > 0.05 * mass)
    rates = inflow, salt_in, outflow, evaporation
    half = salinity.constant_rates(start, mass, *rates, 0.5 * time)
    assert salinity.constant_rates(*half, *rates, 0.5 * time) == pytest.approx(
        salinity.constant_rates(start, mass, *rates, time), rel=1e-9, abs=1e-12
    )


def test_constant_rates_hold_the_short_laws_as_special_cases() -> None:
    flow, time = 1e-4, 2.0 * DAY
    diluted, mass = salinity.constant_rates(35.0, 300.0, flow, 0.0, 0.0, 0.0, time)
    assert (diluted, mass) == pytest.approx((salinity.after_fresh_water(35.0, 300.0, flow * time), 300.0 + flow * time))
    dried, _ = salinity.constant_rates(35.0, 300.0, 0.0, 0.0, 0.0, flow, time)
    assert dried == pytest.approx(salinity.after_fresh_water(35.0, 300.0, -flow * time))
    leaking, _ = salinity.constant_rates(35.0, 300.0, flow, 0.0, flow, 0.0, time)
    assert leaking == pytest.approx(salinity.loss_replaced_by_fresh(35.0, 300.0, flow * time))


def test_ten_percent_pump_mismatch_ends_at_31_5_dossier() -> None:
    """Water change out 5.0 and in 4.5 L a day, 4 L evaporate, top-off holds the level: unseen for a week."""
    salt_water, out, evaporation = 4.5 / DAY, 5.0 / DAY, 4.0 / DAY
    inflow = out + evaporation
    mixture = 35.0 * salt_water / inflow
    after_90, mass = salinity.constant_rates(35.0, 300.0, inflow, mixture, out, evaporation, 90.0 * DAY)
    for_ever, _ = salinity.constant_rates(35.0, 300.0, inflow, mixture, out, evaporation, 3000.0 * DAY)
    assert mass == pytest.approx(300.0)
    assert after_90 == pytest.approx(32.28, abs=0.01)
    assert for_ever == pytest.approx(31.5, abs=0.001)


@pytest.mark.parametrize(("target", "litres"), [(34.0, 9.1), (32.0, 28.9), (30.0, 51.3), (28.0, 77.0), (25.0, 123.0)])
def test_fresh_water_to_reach_a_salinity_is_that_of_the_list_dossier(target: float, litres: float) -> None:
    mass = 0.300 * 1023.34
    assert salinity.fresh_water_to_reach(35.0, target, mass) / 0.99705 == pytest.approx(litres, rel=0.005)


@pytest.mark.parametrize(("salt", "days"), [(36.0, 2.1), (37.0, 4.1), (38.0, 5.9)])
def test_no_top_off_raises_salinity_in_the_days_of_the_list_dossier(salt: float, days: float) -> None:
    """The list counts in litres, which is 2.7 % too soon; in kilograms 38 comes after 6.1 days, not 5.9."""
    assert -salinity.fresh_water_to_reach(35.0, salt, 300.0) / 4.0 == pytest.approx(days, abs=0.055)
    by_mass = -salinity.fresh_water_to_reach(35.0, salt, 300.0 * 1.02334) / (4.0 * 0.99705)
    assert by_mass == pytest.approx(days, rel=0.035)


@given(st.floats(1.0, 40.0), st.floats(10.0, 1000.0), st.floats(0.5, 40.0))
def test_water_to_reach_a_salinity_reaches_it(start: float, mass: float, target: float) -> None:
    fresh = salinity.fresh_water_to_reach(start, target, mass)
    assert salinity.after_fresh_water(start, mass, fresh) == pytest.approx(target, rel=1e-9)


@given(st.floats(1.0, 1000.0), st.floats(0.0, 300.0), st.floats(0.0, 1000.0))
def test_overflow_washout_loses_what_it_loses_balance(mass: float, free: float, fresh: float) -> None:
    """Salt left and salt over the rim, by the mean strength of an exponential fall, are the salt of the start."""
    salt, spilled = salinity.overflow_washout(35.0, mass, free, fresh)
    assert spilled == pytest.approx(max(0.0, fresh - free))
    at_brim = 35.0 * mass / (mass + min(free, fresh))
    full = mass + min(free, fresh)
    lost = at_brim * full * -math.expm1(-spilled / full)
    assert salt * full + lost == pytest.approx(35.0 * mass, rel=1e-9)


def test_tank_without_water_is_refused() -> None:
    with pytest.raises(ValueError, match="mass left"):
        salinity.after_fresh_water(35.0, 10.0, -10.0)
    with pytest.raises(ValueError, match="mass left"):
        salinity.constant_rates(35.0, 10.0, 0.0, 0.0, 1.0, 0.0, 20.0)
    with pytest.raises(ValueError, match="target salinity"):
        salinity.fresh_water_to_reach(35.0, 0.0, 10.0)

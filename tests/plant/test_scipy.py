"""Levels and salinity in time, against closed forms and scipy's solve_ivp on right-hand sides written with physics.

The engine steps over a quarter of an hour where it can; scipy takes steps of its own at a relative tolerance of 1e-9.
Litres agree within 0.1 % unless a test says 0.5 or 1 %.
"""

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from dewpond.physics import openings, pipes, salinity, vessels
from dewpond.plant import primitives as prim
from tests.plant.nets import DAY, DRAWN, LITRE, NU, PER_MINUTE, RHO, Bench, G, const

HOUR = 3600.0
MU = NU * RHO
Rate = Callable[[float], float]


def level_by_scipy(rate: Rate, start: float, times: list[float], longest: float = 60.0) -> list[float]:
    """Level at each time for dh/dt = rate(h)."""
    found = solve_ivp(lambda _, y: [rate(float(y[0]))], (0.0, times[-1]), [start], t_eval=times, method="LSODA",
                      rtol=1e-9, atol=1e-12, max_step=longest)  # fmt: skip
    assert found.success
    return [float(v) for v in found.y[0]]


# --- the arrangements -------------------------------------------------------------------------------------------------
def float_filling() -> Bench:
    """Mains, ten metres of tube, a float valve that throttles over 15 mm, a reservoir of 0.12 m2."""
    bench = Bench()
    store = bench.store(0.12, 0.5, 0.05, z=0.4)
    joint = bench.junction(0.7)
    bench.tube(bench.mains(3.5e5), joint, 0.004318, 10.0, 4.0)
    bench.orifice(joint, bench.spout(store, 0.95), 1.2e-6, bench.float_gate(store, 0.270, 0.285, 0.02))
    return bench


def draining_hole() -> Bench:
    bench = Bench()
    store = bench.store(0.1, 1.0, 0.4)
    bench.orifice(bench.tap(store), bench.open_end(0.0, bench.place()), HOLE)
    return bench


def siphon() -> Bench:
    """A tube over a crest 0.3 m above the water, its end 0.35 m under the vessel's bottom."""
    bench = Bench()
    store = bench.store(0.12, 0.5, 0.3, z=1.0)
    crest = bench.junction(1.6)
    bench.tube(bench.tap(store), crest, 0.004, 1.0, 0.5)
    bench.tube(crest, bench.open_end(0.65, bench.place()), 0.004, 1.5, 1.0)
    return bench


def standpipe() -> Bench:
    """Two litres a minute into a vessel whose standpipe of 20 mm has its lip at 0.25 m."""
    bench = Bench()
    store = bench.store(0.06, 0.5, 0.2)
    bench.flow(bench.mains(3e5), bench.tap(store), 2.0 * PER_MINUTE)
    lip, full = weir_coefficients(0.020)
    bench.weir(store, bench.open_end(0.25, bench.place()), lip, full)
    return bench


def joined_vessels() -> Bench:
    """Two vessels on one shelf, joined below by five metres of tube."""
    bench = Bench()
    high, low = bench.store(0.2, 1.0, 0.6, conc=30.0), bench.store(0.1, 1.0, 0.1)
    bench.tube(bench.tap(high), bench.tap(low), 0.006, 5.0, 1.5)
    return bench


def washout() -> Bench:
    """A tank of 280 L with 20 L to its rim, into which half a litre of fresh water runs every minute."""
    bench = Bench()
    store = bench.store(0.6, 0.5, 0.28 / 0.6, conc=35.0, rkind=prim.R_PLACE, rref=bench.place())
    bench.flow(bench.mains(3e5), bench.tap(store), 0.5 * PER_MINUTE)
    return bench


def circulation() -> Bench:
    """A sump and a display, circulated at 10 L/min; fresh water into the sump, salt water lost from the display."""
    bench = Bench()
    sump, display = bench.store(0.3, 0.6, 0.25, conc=36.0), bench.store(0.5, 1.0, 0.6, conc=33.0)
    bench.flow(bench.tap(sump), bench.tap(display), 10.0 * PER_MINUTE)
    bench.flow(bench.tap(display), bench.tap(sump), 9.8 * PER_MINUTE)
    bench.flow(bench.mains(3e5), bench.tap(sump), 0.2 * PER_MINUTE)
    bench.flow(bench.tap(display), bench.drain_end(), 0.2 * PER_MINUTE)
    return bench


def topping_off() -> Bench:
    """A return chamber of 0.06 m2, 4 L/day of evaporation, a pump of 60 L/h that fills 10 mm at a time."""
    bench = Bench()
    chamber = bench.store(0.06, 0.5, 0.200, conc=35.0)
    bench.flow(bench.tap(chamber), bench.air(), 4.0 * LITRE / DAY, passage=0.0)
    full = bench.level_above(chamber, 0.200, 0.190)
    bench.flow(bench.mains(3e5), bench.tap(chamber), 60.0 * LITRE / HOUR, bench.order_gate(-1 - full))
    bench.log(full)
    return bench


HOLE = 0.7 * math.pi * 1e-6


def weir_coefficients(bore: float) -> tuple[float, float]:
    """Standpipe (EPA SWMM's rule, as physics.openings has it) as the two numbers of a weir edge."""
    root = math.sqrt(2.0 * G)
    return 0.414 * root * math.pi * bore, 0.6 * 0.25 * math.pi * bore * bore * root


# --- against closed forms and scipy -----------------------------------------------------------------------------------
def test_filling_through_a_float_gives_the_litres_of_scipy() -> None:
    def rate(h: float) -> float:
        opening = min(1.0, (0.285 - h) / 0.015)

        def excess(q: float) -> float:
            hole = RHO / 2.0 * (q / (1.2e-6 * opening)) ** 2
            return 3.5e5 - RHO * G * 0.95 - hole - pipes.tube_pressure_drop(q, 0.004318, 10.0, 4.0, RHO, MU, DRAWN)

        return brentq(excess, 0.0, 1e-4, xtol=1e-16, rtol=1e-12) / 0.12

    full = 0.285 - 0.01 * 0.015  # less open than a hundredth, its own lever presses it shut
    times = [HOUR * t for t in (0.05, 0.1, 0.2, 0.25, 0.3, 0.35, 0.4)]
    bench = float_filling()
    for time, level in zip(times, level_by_scipy(rate, 0.05, times), strict=True):
        seen = bench.level(bench.run(time), 0)
        assert seen - 0.05 == pytest.approx(min(level, full) - 0.05, rel=1e-3), f"{time} s"
    assert bench.level(bench.run(DAY), 0) == pytest.approx(full, abs=1e-6)


def test_vessel_drains_through_a_hole_as_the_closed_form_says() -> None:
    """Falling head: sqrt(h0) - sqrt(h) = Cd a sqrt(2g) t / (2A)."""
    bench = draining_hole()
    for level in (0.35, 0.2, 0.1, 0.02):
        time = openings.falling_head_time(0.1, HOLE / 0.7, 0.7, 0.4, level)
        assert 0.04 - float(bench.run(time).volume[0]) == pytest.approx(0.1 * (0.4 - level), rel=1e-3)


def test_vessel_drains_through_a_hole_as_scipy_says() -> None:
    bench = draining_hole()
    times = [600.0 * k for k in range(1, 14)]
    levels = level_by_scipy(lambda h: -HOLE * math.sqrt(2.0 * G * max(h, 0.0)) / 0.1, 0.4, times)
    for time, level in zip(times, levels, strict=True):
        assert 0.4 - bench.level(bench.run(time), 0) == pytest.approx(0.4 - level, rel=1e-3)


def test_siphon_over_a_crest_empties_the_vessel_as_scipy_says() -> None:
    times = [HOUR * t for t in (0.1, 0.25, 0.5, 0.75)]
    levels = level_by_scipy(lambda h: -pipes.siphon_flow(h + 0.35, 0.004, 2.5, 1.5, RHO, MU) / 0.12, 0.3, times)
    bench = siphon()
    for time, level in zip(times, levels, strict=True):
        state = bench.run(time)
        assert 0.3 - bench.level(state, 0) == pytest.approx(0.3 - level, rel=1e-3)
        assert float(state.pool[0]) == pytest.approx(0.12 * (0.3 - level), rel=1e-3)


def test_standpipe_rises_to_the_head_that_carries_the_inflow() -> None:
    """Equilibrium by inverting the standpipe's law; on the way there by scipy."""
    head = brentq(lambda h: openings.standpipe_flow(0.020, h) - 2.0 * PER_MINUTE, 1e-6, 0.1, xtol=1e-12)
    bench = standpipe()
    state = bench.run(2.0 * HOUR)
    assert bench.level(state, 0) == pytest.approx(0.25 + head, abs=1e-6)
    assert float(state.flow[1]) == pytest.approx(2.0 * PER_MINUTE, rel=1e-4)

    def rate(h: float) -> float:
        over = openings.standpipe_flow(0.020, h - 0.25) if h > 0.25 else 0.0
        return (2.0 * PER_MINUTE - over) / 0.06

    times = [60.0, 85.0, 95.0, 110.0, 130.0, 200.0, 1000.0]
    for time, level in zip(times, level_by_scipy(rate, 0.2, times, longest=1.0), strict=True):
        seen = bench.run(time)
        over = 2.0 * PER_MINUTE * time - 0.06 * (level - 0.2)
        # the lip is crossed while the rate turns within seconds: a tenth of a per cent of what came in
        assert float(seen.pool[0]) == pytest.approx(over, abs=1e-3 * 2.0 * PER_MINUTE * time), f"{time} s"


def test_joined_vessels_level_out_as_scipy_says() -> None:
    def rates(_: float, y: np.ndarray) -> list[float]:
        q = pipes.tube_flow(RHO * G * (y[0] - y[1]), 0.006, 5.0, 1.5, RHO, MU)
        return [-q / 0.2, q / 0.1]

    times = [200.0, 1000.0, 2500.0, 5000.0, 9000.0, 2.0 * HOUR + 9000.0]
    found = solve_ivp(rates, (0.0, times[-1]), [0.6, 0.1], t_eval=times, rtol=1e-9, atol=1e-12, method="LSODA")
    bench = joined_vessels()
    for time, high in zip(times, found.y[0], strict=True):
        state = bench.run(time)
        moved = 0.2 * (0.6 - float(high))
        assert float(state.moved[0]) == pytest.approx(moved, rel=1e-3)
        # all of the salt that left the one is in the other, at the strength it had there
        assert float(state.salt[1]) == pytest.approx(30.0 * moved, rel=1e-3)
    assert bench.level(state, 0) == pytest.approx(1.3 / 3.0, abs=1e-5)


def test_siphoned_salt_lies_on_the_floor_with_its_water() -> None:
    bench = siphon()
    bench.net.bodies[0] = 35.0
    state = bench.run(HOUR)
    assert float(state.pool_salt[0]) == pytest.approx(35.0 * float(state.place_total[0]), rel=1e-12)


def test_fresh_water_washes_a_tank_out_over_its_rim_as_the_closed_form_says() -> None:
    bench = washout()
    for minutes in (20.0, 40.0, 200.0, 1000.0, 5000.0):
        state = bench.run(60.0 * minutes)
        fresh = 0.5 * PER_MINUTE * 60.0 * minutes
        wanted, spilled = salinity.overflow_washout(35.0, 280.0, 20.0, fresh / LITRE)
        assert float(state.place_total[0]) / LITRE == pytest.approx(spilled, rel=1e-6, abs=1e-9)
        assert float(state.salt[0] / state.volume[0]) == pytest.approx(wanted, rel=1e-3), f"{minutes} min"


def test_salt_water_lost_and_replaced_by_fresh_follows_the_closed_form() -> None:
    bench = Bench()
    store = bench.store(0.6, 0.6, 0.5, conc=35.0)
    bench.flow(bench.mains(3e5), bench.tap(store), 12.0 * LITRE / DAY)
    bench.flow(bench.tap(store), bench.drain_end(), 12.0 * LITRE / DAY)
    for days in (1.0, 14.0, 60.0):
        state = bench.run(days * DAY)
        wanted = salinity.loss_replaced_by_fresh(35.0, 300.0, 12.0 * days)
        assert float(state.salt[0] / state.volume[0]) == pytest.approx(wanted, rel=1e-3)


@pytest.mark.parametrize(
    ("inflow", "strength", "outflow", "evaporation"),
    [(0.0, 0.0, 0.0, 4.0), (6.0, 0.0, 0.0, 4.0), (0.0, 0.0, 9.0, 4.0), (30.0, 20.0, 10.0, 3.0), (2.0, 60.0, 40.0, 5.0)],
)
def test_steady_rates_change_salinity_as_the_exact_solution(
    inflow: float, strength: float, outflow: float, evaporation: float
) -> None:
    """Flows in litres a day for five days; the closed form takes litres for kilograms, which changes nothing here."""
    per_day = LITRE / DAY
    bench = Bench()
    store = bench.store(0.6, 2.0, 0.5, conc=35.0)
    bench.flow(bench.mains(3e5, conc=strength), bench.tap(store), inflow * per_day)
    bench.flow(bench.tap(store), bench.drain_end(), outflow * per_day)
    bench.flow(bench.tap(store), bench.air(), evaporation * per_day, passage=0.0)
    state = bench.run(5.0 * DAY)
    wanted, left = salinity.constant_rates(
        35.0, 300.0, inflow / DAY, strength, outflow / DAY, evaporation / DAY, 5.0 * DAY
    )
    assert float(state.volume[0]) / LITRE == pytest.approx(left, rel=1e-9)
    assert float(state.salt[0] / state.volume[0]) == pytest.approx(wanted, rel=1e-3)


def test_two_circulated_tanks_mix_as_scipy_says_within_2_percent() -> None:
    """Kept apart on purpose: a sump and its display are one body of water in a design, so nothing there circulates."""

    def rates(_: float, y: np.ndarray) -> list[float]:
        c, d = y[0] / 0.075, y[1] / 0.3
        out, back, lost = 10.0 * PER_MINUTE, 9.8 * PER_MINUTE, 0.2 * PER_MINUTE
        return [back * d - out * c, out * c - (back + lost) * d]

    times = [300.0, 1800.0, HOUR, 6.0 * HOUR, DAY]
    found = solve_ivp(rates, (0.0, DAY), [2.7, 9.9], t_eval=times, rtol=1e-9, atol=1e-12, method="LSODA")
    bench = circulation()
    for k, time in enumerate(times):
        state = bench.run(time)
        for body in (0, 1):
            assert float(state.salt[body]) == pytest.approx(float(found.y[body][k]), rel=2e-2), f"{time} s"


def test_concentration_never_leaves_the_range_of_what_is_mixed() -> None:
    """A nearly empty vessel through which much runs in a step: 0.25 L, 1 L/min in at 30 kg/m3, 1 L/min out."""
    bench = Bench()
    store = bench.store(0.1, 0.5, 0.0025, conc=5.0)
    bench.flow(bench.mains(3e5, conc=30.0), bench.tap(store), PER_MINUTE)
    bench.flow(bench.tap(store), bench.drain_end(), PER_MINUTE)
    state = bench.run(DAY)
    assert 5.0 - 1e-6 <= float(state.low_conc[0]) <= float(state.high_conc[0]) <= 30.0 + 1e-6
    assert float(state.salt[0] / state.volume[0]) == pytest.approx(30.0, rel=1e-6)


def test_top_off_runs_and_pauses_as_the_closed_form_says() -> None:
    run, pause = vessels.fill_cycle(0.06, 0.010, 60.0 * LITRE / HOUR, 4.0 * LITRE / DAY)
    bench = topping_off()
    state = bench.run(14.0 * DAY)
    changes = bench.changes(state, 0)
    offs = [t for t, v in changes if v == 0]
    ons = [t for t, v in changes if v == 1]
    assert offs[0] == pytest.approx(pause, rel=1e-6)  # full at the start: first the long pause
    assert np.diff(offs) == pytest.approx(run + pause, rel=1e-6)
    assert np.subtract(ons, offs[: len(ons)]) == pytest.approx(run, rel=1e-6)
    assert len(offs) == math.floor((14.0 * DAY - pause) / (run + pause)) + 1
    # evaporation and top-off move the strength within the band only
    assert float(state.high_conc[0]) == pytest.approx(35.0 * 0.200 / 0.190, rel=1e-6)
    assert float(state.low_conc[0]) == pytest.approx(35.0, rel=1e-6)


def test_lying_cylinder_drains_as_its_table_in_scipy() -> None:
    """A vessel whose area changes with the level: the same ten-point table in both."""
    heights = list(np.linspace(0.0, 0.5, 11))
    volumes = [vessels.horizontal_cylinder_volume(0.25, 0.6, h) for h in heights]
    bench = Bench()
    store = bench.store_of_table(heights, volumes, 0.5, 0.48, 0.0, bench.body())
    bench.orifice(bench.tap(store), bench.open_end(0.0, bench.place()), HOLE)

    def rate(_: float, y: np.ndarray) -> list[float]:
        return [-HOLE * math.sqrt(2.0 * G * max(float(np.interp(y[0], volumes, heights)), 0.0))]

    times = [900.0 * k for k in range(1, 12)]
    found = solve_ivp(rate, (0.0, times[-1]), [float(np.interp(0.48, heights, volumes))], t_eval=times, rtol=1e-8,
                      atol=1e-12, max_step=20.0)  # fmt: skip
    begun = float(np.interp(0.48, heights, volumes))
    for time, volume in zip(times, found.y[0], strict=True):
        assert begun - float(bench.run(time).volume[0]) == pytest.approx(begun - float(volume), rel=1e-3)


def test_tray_then_room_then_drain_share_a_leak_as_the_closed_form_says() -> None:
    """A tray of 2 L over a room that keeps 3 L, both drying, under a steady leak of 0.1 L/min."""
    leak, tray, room, slow, quick = 0.1 * PER_MINUTE, 2.0 * LITRE, 3.0 * LITRE, 6.0 * HOUR, 3.0 * HOUR
    bench = Bench()
    bench.place(tray, prim.R_PLACE, 1, slow)
    bench.place(room, prim.R_DRAIN, 0, quick)
    store = bench.store(10.0, 1.0, 0.5)
    bench.flow(bench.tap(store), bench.open_end(0.0, 0), leak)
    full_tray = -slow * math.log(1.0 - tray / (leak * slow))
    onward = leak - tray / slow
    full_room = full_tray - quick * math.log(1.0 - room / (onward * quick))
    for time in (600.0, full_tray - 1.0, full_tray + 60.0, 2000.0, full_room - 1.0, full_room + 60.0, 3.0 * HOUR):
        state = bench.run(time)
        lying = min(tray, leak * slow * (1.0 - math.exp(-time / slow)))
        below = min(room, onward * quick * (1.0 - math.exp(-max(0.0, time - full_tray) / quick)))
        out = max(0.0, time - full_room) * (onward - room / quick)
        assert float(state.pool[0]) == pytest.approx(lying, rel=1e-6), f"{time} s"
        assert float(state.pool[1]) == pytest.approx(below, rel=1e-6, abs=1e-9), f"{time} s"
        assert float(state.total[prim.V_DRAIN]) == pytest.approx(out, rel=1e-6, abs=1e-9), f"{time} s"


def test_puddle_deeper_than_its_film_dries_from_the_whole_floor_and_no_faster() -> None:
    """A leak of 0.1 L/min for four hours into a room whose film takes 3 L; the second method is scipy's ODE solver."""
    leak, wet, tau, ends = 0.1 * PER_MINUTE, 3.0 * LITRE, 20.0 * HOUR, 4.0 * HOUR
    bench = Bench()
    bench.place(drying=tau, wet=wet)
    store = bench.store(10.0, 1.0, 0.5)
    shut = bench.order_gate(bench.timed((ends, 0), start=1))
    bench.flow(bench.tap(store), bench.open_end(0.0, 0), leak, shut)

    def rate(t: float, y: np.ndarray) -> list[float]:
        return [(leak if t < ends else 0.0) - min(y[0], wet) / tau]

    times = [0.25 * HOUR, 1.0 * HOUR, 4.0 * HOUR, 60.0 * HOUR, 160.0 * HOUR, 240.0 * HOUR]
    found = solve_ivp(rate, (0.0, times[-1]), [0.0], t_eval=times, rtol=1e-9, atol=1e-13, max_step=300.0)
    assert max(found.y[0]) > 5.0 * wet
    for time, lying in zip(times, found.y[0], strict=True):
        assert float(bench.run(time).pool[0]) == pytest.approx(float(lying), rel=1e-4), f"{time} s"


# --- tolerance --------------------------------------------------------------------------------------------------------
ARRANGEMENTS: dict[str, tuple[Callable[[], Bench], float]] = {
    "float filling": (float_filling, 0.3 * HOUR),
    "draining hole": (draining_hole, 2.0 * HOUR),
    "siphon": (siphon, 0.5 * HOUR),
    "standpipe": (standpipe, 0.1 * HOUR),
    "joined vessels": (joined_vessels, 1.0 * HOUR),
    "washout": (washout, 12.0 * HOUR),
    "circulation": (circulation, 6.0 * HOUR),
    "topping off": (topping_off, 3.0 * DAY),
}


@pytest.mark.parametrize("name", ARRANGEMENTS)
def test_half_the_tolerance_changes_litres_by_less_than_a_thousandth(name: str) -> None:
    build, horizon = ARRANGEMENTS[name]
    usual, finer = build().run(horizon), build().run(horizon, tolerance=0.5)
    for field in ("volume", "pool", "moved", "salt", "place_total"):
        one, other = list(map(float, getattr(usual, field))), list(map(float, getattr(finer, field)))
        assert one == pytest.approx(other, rel=1e-3, abs=1e-9), field


def test_half_the_tolerance_takes_more_steps() -> None:
    """Else the test before would compare a run with itself."""
    steps = [
        sum(
            float(build().run(horizon, tolerance=tolerance).clock[prim.C_STEPS])
            for build, horizon in ARRANGEMENTS.values()
        )
        for tolerance in (1.0, 0.5)
    ]
    assert steps[1] > steps[0]


def test_constants_of_these_tests_are_those_of_water_at_20_degrees() -> None:
    from dewpond.physics import water

    assert const()[0] == pytest.approx(water.density(293.15), rel=1e-4)
    assert const()[2] == pytest.approx(water.viscosity(293.15) / water.density(293.15), rel=1e-3)

"""Marks on what runs in a line: its flow, the litres of it, what it carries. Times are closed forms."""

import math

import pytest

from dewpond.plant import primitives as prim
from tests.plant.nets import DAY, LITRE, PER_MINUTE, Bench, G

HOUR = 3600.0


def watched(bench: Bench, signal: int, horizon: float, compiled: bool) -> list[tuple[float, int]]:
    """(time, value) of every change of a signal up to the horizon."""
    bench.log(signal)
    return bench.changes(bench.run(horizon, compiled=compiled), signal)


def emptying(bench: Bench) -> tuple[int, float, float]:
    """A tank of 0.1 m2 that runs out of a hole of 2 mm2 in its bottom, from 0.5 m: the edge, and Q(t) = q0 - slope t.

    Torricelli: dh/dt = -(a/A) sqrt(2 g h), so Q = a sqrt(2 g h) falls along a straight line with the slope g a2/A.
    """
    hole, area, level = 2e-6, 0.1, 0.5
    store = bench.store(area, 1.0, level)
    edge = bench.orifice(bench.tap(store), bench.drain_end(), hole)
    return edge, hole * math.sqrt(2.0 * G * level), G * hole * hole / area


@pytest.mark.parametrize("compiled", [False, True])
def test_flow_that_falls_passes_its_mark_when_torricelli_says(compiled: bool) -> None:
    bench = Bench()
    edge, first, slope = emptying(bench)
    seen = bench.net.threshold(prim.T_FLOW, edge, 0.9 * first, 0.5 * first)
    changes = watched(bench, seen, 4.0 * HOUR, compiled)
    assert [v for _, v in changes] == [1, 0]
    assert [t for t, _ in changes] == [pytest.approx(0.0, abs=1e-6), pytest.approx(0.5 * first / slope, rel=2e-3)]


@pytest.mark.parametrize("compiled", [False, True])
def test_flow_that_an_order_starts_and_stops_is_seen_at_that_moment(compiled: bool) -> None:
    bench = Bench()
    store = bench.store(1.0, 100.0, 0.1)
    order = bench.timed((DAY, 1), (3.0 * DAY, 0))
    edge = bench.flow(bench.mains(3e5), bench.tap(store), PER_MINUTE, bench.order_gate(order))
    seen = bench.net.threshold(prim.T_FLOW, edge, 0.5 * PER_MINUTE, 0.4 * PER_MINUTE)
    changes = watched(bench, seen, 5.0 * DAY, compiled)
    assert changes == [(pytest.approx(DAY, abs=1e-6), 1), (pytest.approx(3.0 * DAY, abs=1e-6), 0)]


@pytest.mark.parametrize("compiled", [False, True])
def test_flow_that_rushes_into_a_spring_keeps_no_run_standing(compiled: bool) -> None:
    """Behind a valve that opens lies a spring with a pressure switch on it, and nothing further. What it takes, C p, is
    little: over a blink that is less than the mark of the flow, up to where the switch turns more than it."""
    bench = Bench()
    order, spot = bench.timed((HOUR, 1)), bench.spring(0.0, 1e-13)
    first = bench.orifice(bench.mains(2.67e5), spot, 2e-6, bench.order_gate(order))
    flows = bench.net.threshold(prim.T_FLOW, first, 1.67e-6, 1.17e-6)
    switch = bench.net.threshold(prim.T_PRESSURE, spot, 0.7e5, 0.3e5)
    bench.log(flows, switch)
    state = bench.run(DAY, compiled=compiled)
    assert state.clock[prim.C_NOW] == pytest.approx(DAY)
    assert state.clock[prim.C_STEPS] < 200
    assert [(pytest.approx(HOUR, abs=0.1), 1)] == bench.changes(state, switch)
    assert len(bench.changes(state, flows)) <= 2, "once up, once down, or too short to be seen"


def test_flow_below_its_mark_and_one_that_runs_back_are_not_seen() -> None:
    bench = Bench()
    store, low = bench.store(1.0, 100.0, 1.0), bench.store(1.0, 100.0, 0.1)
    slow = bench.flow(bench.mains(3e5), bench.tap(store), 0.9 * PER_MINUTE)
    back = bench.orifice(bench.tap(low), bench.tap(store), 1e-6)
    marks = [bench.net.threshold(prim.T_FLOW, edge, PER_MINUTE, 0.5 * PER_MINUTE) for edge in (slow, back)]
    for mark in marks:
        assert watched(bench, mark, HOUR, False) == []


@pytest.mark.parametrize("compiled", [False, True])
@pytest.mark.parametrize("mark", [34.0, 30.0, 20.0])
def test_tank_that_is_washed_out_passes_a_strength_when_the_closed_form_says(mark: float, compiled: bool) -> None:
    """Fresh water in, as much over the rim: c = c0 exp(-q t / V)."""
    bench = Bench()
    store = bench.store(0.1, 1.0, 1.0, conc=35.0)  # 100 L, full to the rim
    bench.flow(bench.mains(3e5), bench.tap(store), PER_MINUTE)
    seen = bench.net.threshold(prim.T_CONC, bench.tap(store), 50.0, mark)
    changes = watched(bench, seen, HOUR * 3.0, compiled)
    ((when, value),) = changes
    assert value == 0
    assert when == pytest.approx(100.0 * LITRE / PER_MINUTE * math.log(35.0 / mark), rel=1e-3, abs=2.0)


def test_tank_that_dries_passes_a_strength_when_the_closed_form_says() -> None:
    """Only water leaves: c = c0 V / (V - e t)."""
    bench = Bench()
    store = bench.store(1.0, 1.0, 0.1, conc=35.0)
    bench.flow(bench.tap(store), bench.air(), 4.0 * LITRE / DAY, passage=0.0)
    seen = bench.net.threshold(prim.T_CONC, bench.tap(store), 36.0, 35.5)
    ((when, value),) = watched(bench, seen, 4.0 * DAY, True)
    assert value == 1
    assert when == pytest.approx(100.0 / 4.0 * (1.0 - 35.0 / 36.0) * DAY, rel=2e-3)


def test_line_shows_what_has_come_last_within_a_minute_of_running() -> None:
    """Tap water from an hour on, and again what stood there when it stops; at rest nothing has come yet."""
    bench = Bench()
    store, spot = bench.store(1.0, 100.0, 0.1), bench.junction()
    order = bench.timed((HOUR, 1), (2.0 * HOUR, 0))
    bench.orifice(bench.mains(3e5, conc=0.25), spot, 1e-6, bench.order_gate(order))
    bench.orifice(spot, bench.tap(store), 1e-6)
    seen = bench.net.threshold(prim.T_CONC, spot, 0.2, 0.1)
    ((when, value),) = watched(bench, seen, DAY, True)
    assert value == 1
    assert HOUR < when <= HOUR + 60.0 + 1e-6


def test_line_that_turns_stronger_while_it_runs_is_seen_within_ten_minutes() -> None:
    """A fault lets all through from an hour on; and a source that grows stronger evenly is followed as closely."""
    bench = Bench()
    feed, spot = bench.store(1.0, 100.0, 1.0, conc=0.0), bench.junction()
    bench.flow(bench.mains(3e5, conc=1.0), bench.tap(feed), PER_MINUTE)
    bench.flow(bench.tap(feed), spot, PER_MINUTE)
    bench.orifice(spot, bench.drain_end(), 1e-5)
    seen = bench.net.threshold(prim.T_CONC, spot, 0.1, 0.05)
    ((when, value),) = watched(bench, seen, DAY, True)
    exact = -1000.0 * 60.0 * math.log(0.9)  # c = 1 - exp(-q t / V), a thousand minutes for all of it
    assert value == 1
    assert exact - 60.0 <= when <= exact + 600.0

"""The logic alphabet, word by word: votes, delays, latches, holds, counters, timetable, forced signals.

Each is a truth table or a timeline made by hand, run through the engine's own clock. No water is needed for most.
"""

import itertools
import math

import pytest

from dewpond.plant import primitives as prim
from tests.plant.nets import DAY, LITRE, PER_MINUTE, Bench, Fault

Changes = list[tuple[float, int]]


def watched(bench: Bench, signal: int, horizon: float, *, compiled: bool = False) -> Changes:
    """(time, value) of every change of a signal up to the horizon."""
    bench.log(signal)
    return bench.changes(bench.run(horizon, compiled=compiled), signal)


def square(bench: Bench, period: float, count: int) -> int:
    """A signal that is false for a period, then true for a period, and so on."""
    return bench.timed(*((period * (k + 1), 1 - k % 2) for k in range(count)))


def value_at(changes: Changes, time: float, start: int = 0) -> int:
    before = [v for t, v in changes if t <= time]
    return before[-1] if before else start


@pytest.mark.parametrize(("need", "inputs"), [(n, k) for k in (1, 2, 3, 4) for n in range(1, k + 1)])
def test_vote_is_true_when_enough_are_for_every_row_of_its_table(need: int, inputs: int) -> None:
    bench = Bench()
    each = [square(bench, 10.0 * 2**k, 2**inputs) for k in range(inputs)]
    vote = bench.net.signal(prim.L_VOTE, float(need), each)
    changes = watched(bench, vote, 10.0 * 2**inputs + 5.0)
    for row in range(2**inputs):
        wanted = int(bin(row).count("1") >= need)
        assert value_at(changes, 10.0 * row + 5.0) == wanted, f"row {row:b}"


def test_not_is_the_other_way_round_for_both_rows() -> None:
    bench = Bench()
    order = square(bench, 10.0, 2)
    refused = bench.net.signal(prim.L_VOTE, 1.0, [-1 - order])
    bench.log(refused)
    assert watched(bench, refused, 40.0) == [(10.0, 0), (20.0, 1)]  # it was true from the start


def test_vote_of_nothing_is_false_and_never_changes() -> None:
    bench = Bench()
    nothing = bench.net.signal(prim.L_VOTE, 1.0, [])
    assert watched(bench, nothing, 100.0) == []


def test_constant_stands_from_the_start() -> None:
    bench = Bench()
    true, false = bench.net.signal(prim.L_CONST, 1.0, start=1), bench.net.signal(prim.L_CONST, 0.0)
    bench.log(true, false)
    state = bench.run(50.0)
    assert [int(v) for v in state.signal] == [1, 0]
    assert bench.changes(state, true) == bench.changes(state, false) == []


def test_on_delay_comes_late_and_goes_at_once() -> None:
    bench = Bench()
    order = bench.timed((10.0, 1), (14.0, 0), (20.0, 1), (30.0, 0))
    late = bench.net.signal(prim.L_ON_DELAY, 5.0, [order])
    assert watched(bench, late, 60.0) == [(25.0, 1), (30.0, 0)]  # the first call was too short


def test_on_delay_starts_anew_after_every_gap() -> None:
    bench = Bench()
    order = bench.timed((10.0, 1), (14.0, 0), (14.5, 1), (19.0, 0), (20.0, 1))
    late = bench.net.signal(prim.L_ON_DELAY, 5.0, [order])
    assert watched(bench, late, 60.0) == [(25.0, 1)]  # twice it was called for less than five seconds


def test_off_delay_comes_at_once_and_goes_late() -> None:
    bench = Bench()
    order = bench.timed((10.0, 1), (14.0, 0), (16.0, 1), (20.0, 0))
    longer = bench.net.signal(prim.L_OFF_DELAY, 5.0, [order])
    assert watched(bench, longer, 60.0) == [(10.0, 1), (25.0, 0)]  # the gap of two seconds is bridged


def test_delay_of_nothing_changes_nothing() -> None:
    bench = Bench()
    order = bench.timed((10.0, 1), (14.0, 0))
    same = bench.net.signal(prim.L_ON_DELAY, 0.0, [order])
    assert watched(bench, same, 60.0) == [(10.0, 1), (14.0, 0)]


def test_delays_in_a_row_add_up() -> None:
    bench = Bench()
    order = bench.timed((10.0, 1))
    for seconds in (3.0, 4.0, 60.0):
        order = bench.net.signal(prim.L_ON_DELAY, seconds, [order])
    assert watched(bench, order, 200.0) == [(77.0, 1)]


@pytest.mark.parametrize("row", list(itertools.product((0, 1), repeat=4)))
def test_latch_obeys_forget_then_set_then_reset_in_every_row(row: tuple[int, int, int, int]) -> None:
    """Set wins over reset: a trip is not lost while its cause stands. Forgetting wins over both."""
    before, set_, reset, forget = row
    bench = Bench()
    first = bench.timed((1.0, before), (2.0, 0))
    sets = bench.timed((10.0, set_))
    either = bench.net.signal(prim.L_VOTE, 1.0, [first, sets])
    latch = bench.net.signal(prim.L_LATCH, 0.0, [either, bench.timed((10.0, reset)), bench.timed((10.0, forget))])
    bench.log(latch)
    state = bench.run(20.0)
    wanted = 0 if forget else 1 if set_ else 0 if reset else before
    assert int(state.signal[latch]) == wanted
    assert value_at(bench.changes(state, latch), 5.0) == before


def test_latch_keeps_what_it_was_told_once() -> None:
    bench = Bench()
    never = bench.net.signal(prim.L_CONST, 0.0)
    latch = bench.net.signal(prim.L_LATCH, 0.0, [bench.timed((10.0, 1), (10.5, 0)), never, never])
    assert watched(bench, latch, 14.0 * DAY) == [(10.0, 1)]


def test_hold_follows_until_it_is_frozen_and_again_after() -> None:
    bench = Bench()
    order = bench.timed((10.0, 1), (25.0, 0), (35.0, 1))
    frozen = bench.timed((20.0, 1), (30.0, 0), (40.0, 1))
    hold = bench.net.signal(prim.L_HOLD, 0.0, [order, frozen])
    # true at 10; frozen true over the fall at 25, which it learns of at 30; true at 35, frozen so
    assert watched(bench, hold, 60.0) == [(10.0, 1), (30.0, 0), (35.0, 1)]


def test_timetable_follows_its_rows_to_the_second() -> None:
    bench = Bench()
    order = bench.timed((0.25, 1), (3600.0, 0), (3600.5, 1), (DAY + 1.0, 0), start=0)
    assert watched(bench, order, 2.0 * DAY) == [(0.25, 1), (3600.0, 0), (3600.5, 1), (DAY + 1.0, 0)]


def test_timetable_signal_may_begin_true() -> None:
    bench = Bench()
    power = bench.timed((50.0, 0), (80.0, 1), start=1)
    assert watched(bench, power, 100.0) == [(50.0, 0), (80.0, 1)]


@pytest.mark.parametrize("value", [0, 1])
def test_forced_signal_stays_forced_while_the_fault_lasts(value: int) -> None:
    bench = Bench()
    order = bench.timed((10.0, 1), (20.0, 0), (30.0, 1), (40.0, 0), (50.0, 1))
    broken = bench.net.signal(prim.L_VOTE, 1.0, [order])
    after = bench.net.signal(prim.L_VOTE, 1.0, [-1 - broken])  # what hangs on it sees the forced value
    bench.faults.append(Fault([(prim.P_FORCE, broken, value)], time=15.0, lasts=30.0))
    bench.log(broken, after)
    state = bench.run(60.0)
    forced = [(10.0, 1), (50.0, 1)] if value else [(10.0, 1), (15.0, 0), (50.0, 1)]
    wanted = [(10.0, 1), (45.0, 0), (50.0, 1)] if value else forced
    assert bench.changes(state, broken) == wanted
    assert bench.changes(state, after) == [(t, 1 - v) for t, v in wanted]


def test_fault_after_a_trigger_waits_for_it_and_then_its_delay() -> None:
    bench = Bench()
    trigger = bench.timed((100.0, 1))
    broken = bench.net.signal(prim.L_CONST, 0.0)
    bench.faults.append(Fault([(prim.P_FORCE, broken, 1)], time=-1.0, signal=trigger, delay=40.0, lasts=10.0))
    assert watched(bench, broken, 300.0) == [(140.0, 1), (150.0, 0)]


def test_later_of_two_faults_on_one_signal_gives_way_when_it_ends() -> None:
    bench = Bench()
    broken = bench.net.signal(prim.L_CONST, 0.0)
    bench.faults.append(Fault([(prim.P_FORCE, broken, 1)], time=10.0))
    bench.faults.append(Fault([(prim.P_FORCE, broken, 0)], time=20.0, lasts=10.0))
    assert watched(bench, broken, 60.0) == [(10.0, 1), (20.0, 0), (30.0, 1)]


def filling(bench: Bench, *, most: float, resets: Changes, put_back: int = 0) -> tuple[int, int]:
    """One litre a minute into a big vessel, counted; returns the edge and the signal "it has been so much"."""
    store = bench.store(1.0, 100.0, 0.1)
    full = bench.net.signal(prim.L_VOTE, 1.0, [])
    edge = bench.flow(bench.mains(3e5), bench.tap(store), PER_MINUTE, bench.order_gate(-1 - full))
    always = bench.net.signal(prim.L_CONST, 1.0, start=1)
    bench.net.counters.append((edge, bench.timed(*resets, start=put_back), always))
    seen = bench.net.threshold(prim.T_COUNTER, 0, most, 0.5 * most)
    bench.net.signals[full].inputs = [seen]
    return edge, seen


def test_counter_stops_at_its_most_and_starts_again_at_midnight() -> None:
    bench = Bench()
    midnights = [(k * DAY + dt, v) for k in (1, 2, 3) for dt, v in ((0.0, 1), (1.0, 0))]
    edge, seen = filling(bench, most=9.0 * LITRE, resets=midnights)
    bench.log(seen)
    state = bench.run(3.5 * DAY)
    changes = bench.changes(state, seen)
    assert [v for _, v in changes] == [1, 0, 1, 0, 1, 0, 1]
    # nine minutes of filling a day, and the second of each midnight counts for nothing
    wanted = [540.0, DAY, DAY + 541.0, 2 * DAY, 2 * DAY + 541.0, 3 * DAY, 3 * DAY + 541.0]
    assert [t for t, _ in changes] == pytest.approx(wanted, abs=1.01)
    assert float(state.moved[edge]) == pytest.approx(36.0 * LITRE, abs=3.1 * PER_MINUTE)


def test_counter_counts_nothing_while_it_is_put_back() -> None:
    bench = Bench()
    edge, seen = filling(bench, most=5.0 * LITRE, resets=[(600.0, 0)], put_back=1)
    bench.log(seen)
    state = bench.run(1200.0)
    assert bench.changes(state, seen) == [(pytest.approx(900.0, abs=1e-3), 1)]
    assert float(state.moved[edge]) == pytest.approx(15.0 * LITRE, rel=1e-9)


@pytest.mark.parametrize("compiled", [False, True])
def test_ring_of_logic_that_never_rests_is_marked_and_does_not_hang(compiled: bool) -> None:
    bench = Bench()
    ring = bench.net.signal(prim.L_VOTE, 1.0, [])
    bench.net.signals[ring].inputs = [-1 - ring]
    state = bench.run(10.0, compiled=compiled)
    assert state.clock[prim.C_DOUBTFUL] > 0
    assert state.clock[prim.C_NOW] == 10.0


def test_level_threshold_has_two_marks_and_a_memory() -> None:
    """Up at 1 L/min from 100 mm in 1 m2, then down: true at 150 mm going up, false at 120 mm going down."""
    bench = Bench()
    store = bench.store(0.01, 1.0, 0.100)
    bench.flow(bench.mains(3e5), bench.tap(store), PER_MINUTE, bench.order_gate(bench.timed((40.0, 0), start=1)))
    drain = bench.order_gate(bench.timed((40.0, 1)))
    bench.flow(bench.tap(store), bench.drain_end(), PER_MINUTE, drain)
    high = bench.level_above(store, 0.150, 0.120)
    rise = 0.01 / PER_MINUTE  # seconds a metre
    changes = watched(bench, high, 90.0)
    assert changes == [(pytest.approx(0.050 * rise, abs=1e-6), 1), (pytest.approx(80.0 - 0.020 * rise, abs=1e-6), 0)]


def test_pool_threshold_sees_water_come_and_dry_away() -> None:
    """One litre falls on a floor that dries with a time constant of an hour: closed form of the fade."""
    bench = Bench()
    place = bench.place(drying=3600.0)
    store = bench.store(1.0, 1.0, 0.5)
    gate = bench.order_gate(bench.timed((60.0, 0), start=1))
    bench.flow(bench.tap(store), bench.open_end(0.0, place), PER_MINUTE, gate)
    wet = bench.net.threshold(prim.T_POOL, place, 0.5 * LITRE, 0.1 * LITRE)
    changes = watched(bench, wet, 4.0 * 3600.0)
    tau, rate = 3600.0, PER_MINUTE
    up = -tau * math.log(1.0 - 0.5 * LITRE / (rate * tau))
    lying = rate * tau * (1.0 - math.exp(-60.0 / tau))
    down = 60.0 + tau * math.log(lying / (0.1 * LITRE))
    assert changes == [(pytest.approx(up, rel=1e-6), 1), (pytest.approx(down, rel=1e-6), 0)]

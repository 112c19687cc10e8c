"""Places that hold no more: what comes goes on, the water rises no further, and a mark above it is not waited for.

The second method throughout is a vessel with straight walls, worked out by hand: litres over litres a minute.
"""

import math

import pytest

from dewpond.plant import primitives as prim
from dewpond.plant.compile import run_once
from dewpond.plant.primitives import State
from tests.plant.nets import DAY, LITRE, NEVER, PER_MINUTE, Bench, Fault, balance, frozen

FLOW = 3.3 * PER_MINUTE
LASTS = 14.0 * DAY
DRIES = 1e9  # next to never [s]
FEW = 200  # steps: one for each thing that happens, and some to spare


def brimming(
    holds: float, *marks: float, into: int = prim.R_DRAIN, flow: float = FLOW, fails: Fault | None = None,
    conc: float = 0.0, dries: float = DRIES, wet: float = NEVER,
) -> tuple[Bench, list[int]]:  # fmt: skip
    """Mains that run onto a place all the time, and the signals of marks in it, each dry again at half of it."""
    bench = Bench()
    rests = bench.place()
    place = bench.place(holds, into, rests, dries, wet)
    bench.flow(bench.mains(3e5, conc=conc), bench.open_end(0.0, place), flow)
    signals = [bench.net.threshold(prim.T_POOL, place, mark, 0.5 * mark) for mark in marks]
    bench.log(*signals)
    if fails:
        bench.faults.append(fails)
    return bench, signals


def ran(bench: Bench, lasts: float = LASTS, most: int = FEW) -> State:
    """The run, by both ways the same, to its end in so few steps; no water is lost or made."""
    arrays = bench.arrays()
    plain, state = (run_once(arrays, 1, lasts, most_steps=most, compiled=way) for way in (False, True))
    assert frozen(plain) == frozen(state)
    assert state.clock[prim.C_NOW] == lasts
    assert state.clock[prim.C_DOUBTFUL] == 0.0
    lost = balance(arrays, state)
    assert abs(lost.water) < 1e-9 * lost.water_handled
    return state


@pytest.mark.parametrize("into", [prim.R_DRAIN, prim.R_PLACE])
def test_a_mark_just_above_what_a_place_holds_does_not_break_the_run_up(into: int) -> None:
    """0.469 L run off before half a litre lies there: each step once went no further than it would take to the mark
    if nothing ran off, (0.5 - 0.469) L / 3.3 L/min = 0.56 s, two million of them in a fortnight."""
    bench, (half,) = brimming(0.469 * LITRE, 0.5 * LITRE, into=into)
    state = ran(bench)
    assert bench.changes(state, half) == []
    assert state.pool[1] == pytest.approx(0.469 * LITRE, rel=1e-9)


@pytest.mark.parametrize("holds", [1e-6, 1e-4, 0.469e-3, 10e-3, 1.0, 12.0])
@pytest.mark.parametrize("beyond", [-1e-3, -1e-7, -1e-9, -1e-11, -9e-13, 0.0, 3e-11, 1e-9, 1e-7, 1e-5, 1e-3, 0.1])
def test_a_mark_at_or_beside_what_a_place_holds_is_passed_once_or_never(holds: float, beyond: float) -> None:
    mark = holds * (1.0 + beyond)
    for flow in (FLOW, 0.01 * PER_MINUTE):
        bench, (signal,) = brimming(holds, mark, flow=flow)
        state = ran(bench)
        changes = bench.changes(state, signal)
        if mark / flow > LASTS or mark > holds + 1e-12:  # what cannot be told apart is the same
            assert changes == []
        else:
            assert [value for _, value in changes] == [1]
            assert changes[0][0] == pytest.approx(-DRIES * math.log(1.0 - mark / (flow * DRIES)), rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("into", [prim.R_DRAIN, prim.R_PLACE])
def test_a_full_place_whose_way_out_stops_rises_again_and_passes_its_marks_on_time(into: int) -> None:
    """2 L run off; after an hour the way out stops, for ten minutes: marks between and beyond are passed on time, and
    when it is clear again all but 2 L are gone in a blink, not with the end of a step of a day."""
    lasts = 600.0
    backs_up = Fault([(prim.P_HOLDS, 1, 1e9)], 3600.0, lasts)
    bench, signals = brimming(2.0 * LITRE, *(litres * LITRE for litres in (2.1, 10.0, 34.9, 35.1)), into=into,
                              fails=backs_up)  # fmt: skip
    state = ran(bench)
    for signal, litres in zip(signals, (2.1, 10.0, 34.9), strict=False):
        (up, _), *down = bench.changes(state, signal)
        assert up == pytest.approx(3600.0 + (litres - 2.0) * LITRE / FLOW, abs=1e-3)
        assert [at for at, _ in down] == ([] if litres < 4.0 else pytest.approx([3600.0 + lasts], abs=0.06))
    assert bench.changes(state, signals[3]) == []


def test_a_full_place_whose_way_out_is_half_stopped_is_full_again_on_time() -> None:
    """Its place then holds 4 L instead of 2: full once more after another 2 L, and until then nothing goes on."""
    bench, _ = brimming(2.0 * LITRE, into=prim.R_PLACE, fails=Fault([(prim.P_HOLDS, 1, 2.0)], 3600.0))
    next_one = bench.net.threshold(prim.T_POOL, 0, 200.0 * LITRE, 100.0 * LITRE)
    bench.log(next_one)
    state = ran(bench)
    count = int(state.clock[prim.C_EVENTS])
    full = [state.event_time[k] for k in range(count) if state.event_code[k] == prim.E_POOL_FULL]
    assert full == pytest.approx([2.0 * LITRE / FLOW, 3600.0 + 2.0 * LITRE / FLOW], abs=1e-3)
    ((at, _),) = bench.changes(state, next_one)
    assert at == pytest.approx((200.0 + 4.0) * LITRE / FLOW, rel=1e-5)


def test_a_place_that_dries_below_its_brim_and_fills_again_passes_its_marks_each_time() -> None:
    """Three minutes of water an hour, while a tenth of what lies there dries in between: full once an hour."""
    bench = Bench()
    place = bench.place(1.0 * LITRE, prim.R_DRAIN, drying=36000.0, wet=2.0 * LITRE)
    turns = [(3600.0 * hour + 180.0 * end, 1 - end) for hour in range(24) for end in (0, 1)]
    bench.flow(bench.mains(3e5), bench.open_end(0.0, place), FLOW, bench.order_gate(bench.timed(*turns)))
    marks = [bench.net.threshold(prim.T_POOL, place, on * LITRE, off * LITRE)
             for on, off in ((1.0, 0.95), (1.0, 0.5), (1.001, 0.95))]  # fmt: skip
    bench.log(*marks)
    state = ran(bench, DAY, 40 * FEW)
    each, once, never = (bench.changes(state, mark) for mark in marks)
    assert len(each) == 2 * 24
    for (up, _), (down, _) in zip(each[::2], each[1::2], strict=True):
        assert up % 3600.0 < 60.0
        assert (down - 180.0) % 3600.0 == pytest.approx(-36000.0 * math.log(0.95), rel=1e-4)
    assert [value for _, value in once] == [1]
    assert never == []


@pytest.mark.parametrize("holds", [0.0, 1e-6, 1.1e-6, 1e-4, 0.469e-3])
@pytest.mark.parametrize("conc", [0.0, 0.006, 0.0299, 0.0301, 0.06])
@pytest.mark.parametrize("wet", [1e-6, 8e-3])
def test_a_small_full_place_is_asked_seldom_how_strong_its_water_is(holds: float, conc: float, wet: float) -> None:
    """What lies there is soon as strong as what comes, thickened by what dries: no more than the puddle itself, not the
    film of the whole room, which makes 0.0299 kg/m3 pass the mark of 0.03 in the largest of these puddles only."""
    flow, dries = 0.1 * PER_MINUTE, 60000.0
    bench, _ = brimming(holds, flow=flow, conc=conc, dries=dries, wet=wet)
    strong = bench.net.threshold(prim.T_POOL_SALT, 1, 0.03, 0.027)
    bench.log(strong)
    state = ran(bench, most=3000)
    settled = conc * flow / (flow - min(holds, wet) / dries)
    assert [value for _, value in bench.changes(state, strong)] == ([1] if holds and settled > 0.03 else [])
    if holds:
        assert state.pool_salt[1] / state.pool[1] == pytest.approx(settled, rel=1e-4)


def test_a_tray_that_cracks_while_strong_water_lies_in_it_is_asked_no_more() -> None:
    bench, _ = brimming(2.0 * LITRE, into=prim.R_PLACE, conc=0.05, fails=Fault([(prim.P_HOLDS, 1, 0.0)], 3600.0))
    strong, below = (bench.net.threshold(prim.T_POOL_SALT, place, 0.03, 0.027) for place in (1, 0))
    bench.log(strong, below)
    state = ran(bench, most=3000)
    assert [value for _, value in bench.changes(state, strong)] == [1, 0]
    assert bench.changes(state, strong)[1][0] == pytest.approx(3600.0, abs=0.06)
    assert [value for _, value in bench.changes(state, below)] == [1]

"""Fills of a house whose feed a timer gates, and of one with a pressure tank: each against the same house without."""

from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import Plant, Scenario
from dewpond.study import clocks, filling
from dewpond.study.flows import flows
from dewpond.study.remarks import filling as remarks

STOP = "  stop tap:     {kind: hand valve,         after: supply,    in: utility room}\n"
POWER = "power:\n  fill timer: {kind: time switch, power: utility circuit, on from: 06:30, for: 30 min}\n\nmatrix:\n"
RESIN = "  resin:        {kind: deionising resin,   after: check"


def house(plugged_into: str = "utility circuit", driven: str = "") -> str:
    """The first example with a valve in its feed, and a timer that is off at the hour at which runs begin."""
    text = Path("examples/first_float.yaml").read_text("utf-8")
    valve = "  feed valve:   {kind: solenoid valve, after: stop tap, in: utility room, without power: shut, "
    text = text.replace(STOP, f"{STOP}{valve}power: {plugged_into}{driven}}}\n")
    text = text.replace("after: stop tap,  in", "after: feed valve, in").replace("matrix:\n", POWER)
    assert "after: feed valve" in text
    assert "fill timer" in text
    return text


def with_tank(text: str, stands: str) -> str:
    keys = f"after: check, in: utility room, volume: 80 L, precharge: 0.5 bar, {stands}"
    tank = f"  pressure tank: {{kind: bladder tank, {keys}}}\n"
    assert text.count(RESIN) == 1
    return text.replace(RESIN, tank + RESIN.replace("after: check", "after: pressure tank"))


def lowered(text: str) -> Plant:
    return lower(read_text(text, "house.yaml"), "winter")


def test_a_timer_that_is_off_at_the_hour_of_the_run_takes_nothing_from_a_fill() -> None:
    plain, gated = lowered(house()), lowered(house("fill timer"))
    assert gated.clocks
    (one,), (other,) = filling.fills(plain), filling.fills(gated)
    assert other.flow == pytest.approx(one.flow, rel=1e-6)
    assert other.time == pytest.approx(one.time, rel=1e-6)
    table = flows(gated)
    assert table.clocks == ("fill timer",)
    assert table.product == pytest.approx(flows(plain).product, rel=1e-6)
    assert not [remark for remark in remarks(gated, table) if remark.code == "S207"]


def test_the_flow_within_the_time_of_a_timer_is_that_of_a_run_at_that_hour() -> None:
    """Second way: the engine itself, from half past six on, with the timer's own timetable."""
    plant = lowered(house("fill timer"))
    (fill,) = filling.fills(plant)
    start = list(plant.arrays.store_start)
    start[plant.stores.index("reservoir")] = 1e-3
    lying = replace(plant, arrays=plant.arrays._replace(store_start=start))
    trace = engine.run(lying, Scenario("travelling", 1500.0, (), 6.5 * 3600.0))
    (edge,) = dict(filling.filled_edges(plant))
    assert trace.flow[edge] == pytest.approx(fill.flow, rel=0.01)


def test_a_clock_gates_a_feed_only_where_nothing_comes_without_it() -> None:
    gated = lowered(house("fill timer"))
    (edge,) = dict(filling.filled_edges(gated))
    (clock,) = filling.gates_by_clock(gated, edge)
    assert clocks.owner(gated, clock) == "fill timer"
    assert gated.clocks[clock].lasts == 1800.0
    idle = lowered(house())
    assert idle.clocks
    assert filling.gates_by_clock(idle, edge) == ()


def test_a_row_that_shuts_the_feed_within_a_window_is_no_reason_to_call_it_dry() -> None:
    """Hours of rest: held as come they shut the feed, so the fill is looked at as the clock stands by itself."""
    text = house(driven=", driven by: small box").replace(
        "sensors:\n", "sensors:\n  rest: {kind: time window, by the clock of: small box, on from: 22:00, for: 8 h}\n"
    )
    row = "  - {id: quiet, cause: rest due, effect: {feed valve: shut}, until: cause ends}\n"
    plant = lowered(text.replace("matrix:\n", "matrix:\n" + row))
    (fill,), (plain,) = filling.fills(plant), filling.fills(lowered(house()))
    assert plant.clocks
    assert fill.flow == pytest.approx(plain.flow, rel=1e-6)


@pytest.mark.parametrize("stands", ["stands at: 0 bar", "stands at: 1 bar", "stands at: 3 bar"])
def test_a_fill_behind_a_pressure_tank_has_the_flow_of_the_unit(stands: str) -> None:
    """The same house without the tank: what it gives at first is not what fills a bin."""
    text = house()
    (plain,), (behind,) = filling.fills(lowered(house())), filling.fills(lowered(with_tank(text, stands)))
    assert behind.flow == pytest.approx(plain.flow, rel=0.03)
    table = flows(lowered(with_tank(text, stands)))
    assert behind.flow == pytest.approx(table.product, rel=0.03)


def test_a_tank_behind_a_feed_that_its_timer_shuts_fills_nothing_for_good() -> None:
    """Its own litres come but once; with the timer held off, nothing comes from the supply."""
    plant = lowered(with_tank(house("fill timer"), "stands at: 3 bar"))
    (edge,) = dict(filling.filled_edges(plant))
    assert [clocks.owner(plant, one) for one in filling.gates_by_clock(plant, edge)] == ["fill timer"]
    ((fill,), (plain,)) = filling.fills(plant), filling.fills(lowered(house()))
    assert fill.flow == pytest.approx(plain.flow, rel=0.03)


def test_hours_of_rest_and_a_timer_together_leave_the_fill_as_it_is_without_both() -> None:
    """One clock has to have come, and the other not."""
    text = house("fill timer", ", driven by: small box").replace(
        "sensors:\n", "sensors:\n  rest: {kind: time window, by the clock of: small box, on from: 22:00, for: 8 h}\n"
    )
    row = "  - {id: quiet, cause: rest due, effect: {feed valve: shut}, until: cause ends}\n"
    plant = lowered(text.replace("matrix:\n", "matrix:\n" + row))
    looked = filling.look(plant)
    assert looked.clocks == ("fill timer",)
    (edge,) = looked.filled
    (plain,) = filling.fills(lowered(house()))
    assert filling.fill_of(plant, looked, edge).flow == pytest.approx(plain.flow, rel=1e-6)
    assert [clocks.owner(plant, one) for one in filling.gates_by_clock(plant, edge)] == ["fill timer"]

"""Ways of filling: the feed that is shut and opened by the clock, and what each way comes to. Second methods: plain
arithmetic of flow times time, and runs of the engine without this code."""

import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.parts import KINDS
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.consequence import judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Onset, Plant, Scenario
from dewpond.study import filling
from dewpond.study.flows import flows
from dewpond.study.ways import gating
from dewpond.study.ways.house import _lasts, house_of, looked_at
from dewpond.study.ways.model import (
    AT_HOME,
    BUTTON,
    CARRYING,
    FROM_MARK,
    NO_NEED,
    NO_WATER,
    NOT_AWAY,
    NOT_JOINED,
    NOTHING_USABLE,
    PERMANENT,
    WAYS,
    WINDOW,
    ComparisonError,
    Way,
)  # fmt: skip
from dewpond.study.ways.ways import CAN, Filled, House, Stock, _Fills, _Unit, ways
from dewpond.study.year.year import year
from tests.study.test_filling import house

STUCK = "float: stuck open"
HOUSE = House(
    need=5e-3 / DAY, high=8e-3 / DAY, usable=25e-3, stocks=(Stock("reservoir", 25e-3, 4.3 * DAY),),
    filled=(Filled("reservoir", 25e-3, 1.0),), trips=3.0,
)  # fmt: skip


@pytest.fixture(scope="module")
def plant() -> Plant:
    return lower(read("examples/first_float.yaml"), "winter")


@pytest.fixture(scope="module")
def rows(plant: Plant) -> dict[str, Way]:
    return {way.name: way for way in ways(filling.look(plant), HOUSE)}


def drawn(plant: Plant, moved: tuple[float, ...]) -> float:
    return sum(moved[edge] for edge in gating.feeds(plant))


@given(st.lists(st.tuples(st.floats(0, 5e5), st.floats(2, 1e5)), max_size=6), st.floats(1e3, 4e5))
@pytest.mark.slow
def test_what_is_not_open_is_shut_and_nothing_is_both(spans: list[tuple[float, float]], horizon: float) -> None:
    open_ = sorted((begin, begin + length) for begin, length in spans)
    shut = list(gating._between(open_, horizon))
    for moment in (horizon * k / 997.0 for k in range(997)):
        is_open = any(begin <= moment < end for begin, end in open_)
        is_shut = any(begin <= moment < end for begin, end in shut)
        near = any(abs(moment - edge) <= gating.LEAST for pair in (*open_, *shut) for edge in pair)
        assert is_open != is_shut or near


def test_no_water_is_drawn_while_the_feed_is_shut(plant: Plant) -> None:
    _, trace = gating.run(plant, "travelling", 3.0 * DAY, [], (STUCK,))
    assert abs(drawn(plant, trace.moved)) < 1e-9
    _, free = gating.run(plant, "travelling", 3.0 * DAY, None, (STUCK,))
    assert drawn(plant, free.moved) > 0.5


def test_a_feed_that_is_never_shut_is_the_plain_run_of_the_engine(plant: Plant) -> None:
    _, trace = gating.run(plant, "out", DAY, None, (STUCK,))
    plain = engine.run(plant, Scenario("out", DAY, (Onset(STUCK, 0.0),), STARTS["out"]), compiled=None)
    assert trace.moved == plain.moved
    _, open_all_day = gating.run(plant, "out", DAY, [(0.0, DAY)], (STUCK,))
    assert open_all_day.moved == plain.moved


@pytest.mark.parametrize("hours", [1.0, 3.0, 8.0])
def test_past_a_stuck_float_goes_the_flow_times_the_time_that_the_feed_is_open(plant: Plant, hours: float) -> None:
    looked = filling.look(plant)
    ((edge, store),) = looked.filled.items()
    flow = filling.fill_of(plant, looked, edge).flow
    _, trace = gating.run(plant, "travelling", 2.0 * DAY, [(0.0, hours * 3600.0)], (STUCK,))
    assert trace.moved[edge] == pytest.approx(flow * hours * 3600.0, rel=0.03)
    assert store == plant.stores.index("reservoir")


def test_the_same_litres_come_again_with_every_window(plant: Plant) -> None:
    once, thrice = (
        gating.run(plant, "travelling", 3.0 * DAY, windows, (STUCK,))[1]
        for windows in ([(0.0, 3600.0)], gating.regularly(3600.0, DAY, 2.5 * DAY))
    )
    assert drawn(plant, thrice.moved) == pytest.approx(3.0 * drawn(plant, once.moved), rel=0.02)


def test_the_feed_is_open_while_somebody_is_home_and_awake_by_the_day_of_the_file(plant: Plant) -> None:
    day = dict(plant.residents[0].day)
    windows = gating.while_home(plant, "at home", 7.0 * DAY)
    total = sum(end - begin for begin, end in windows)
    assert total == pytest.approx(7.0 * (DAY - day["out"] - day["asleep"]), rel=1e-9)
    assert gating.while_home(plant, "travelling", DAY) == []
    assert gating.while_home(plant, "out", DAY)[0][0] > 0.0


def test_every_way_is_told_once_in_its_order(rows: dict[str, Way]) -> None:
    assert tuple(rows) == WAYS


def test_what_each_way_lets_past_a_stuck_float_is_flow_times_time(plant: Plant, rows: dict[str, Way]) -> None:
    looked = filling.look(plant)
    (edge,) = looked.filled
    flow = filling.fill_of(plant, looked, edge).flow
    assert rows[CARRYING].past == 0.0
    for name in (BUTTON, WINDOW, AT_HOME):
        assert rows[name].past == pytest.approx(flow * rows[name].opens)
    assert rows[FROM_MARK].past == pytest.approx(flow * rows[FROM_MARK].opens - 0.5 * HOUSE.usable)
    for name in (NOT_AWAY, PERMANENT):
        assert math.isinf(rows[name].past)
        assert rows[name].a_day == pytest.approx(flow * DAY)


def test_a_timed_fill_brings_what_is_needed_in_winter_with_a_quarter_more(rows: dict[str, Way]) -> None:
    for name in (BUTTON, WINDOW):
        brought, needed = rows[name].past, HOUSE.high * rows[name].every
        assert 1.25 * needed <= brought <= 1.25 * needed + 300.0 * rows[name].past / rows[name].opens
        assert not rows[name].short


def test_nobody_carries_or_presses_less_often_than_the_reservoir_bears(rows: dict[str, Way]) -> None:
    for name in (CARRYING, BUTTON):
        assert rows[name].every * HOUSE.high <= 0.8 * HOUSE.usable
        assert (rows[name].every + DAY) * HOUSE.high > 0.8 * HOUSE.usable
    assert rows[CARRYING].effort.usual == pytest.approx(7.0 * DAY * HOUSE.need / CAN * 600.0)


def test_floods_are_those_of_the_engine_with_the_house_as_it_stands(plant: Plant, rows: dict[str, Way]) -> None:
    trace = engine.run(
        plant, Scenario("travelling", 14.0 * DAY, (Onset(STUCK, 0.0),), STARTS["travelling"]), compiled=None
    )
    flood = rows[PERMANENT].flood
    assert flood is not None
    assert (flood.who, flood.fault, flood.running) == ("travelling", STUCK, True)
    assert flood.on_floors == judge(plant, trace).on_floors
    assert flood.on_floors > 1.0


BUTTON_AND_VALVE = {
    "  filters:      {kind: pre-filters,        after: stop tap,  ": (
        "  feed valve: {kind: solenoid valve, after: stop tap, in: utility room, without power: shut, "
        "driven by: small box}\n  filters: {kind: pre-filters, after: feed valve, "
    ),
    "sensors:\n": (
        "sensors:\n  fill button: {kind: fill button, runs for: RUNS, pressed by: keeper, pressed every: 3 days, "
        "while it is held down: its time ends all the same, wired to: small box, contact: closes when pressed, "
        "read as pressed when: closed}\n"
    ),
    "matrix:\n": "matrix:\n  - {cause: fill button pressed, effect: {feed valve: open}}\n",
}


def test_one_press_puts_on_the_floor_what_the_same_button_in_the_file_puts_there(rows: dict[str, Way]) -> None:
    """Second method: the drill of the first example with that button and its valve built in."""
    text = Path("examples/first_float.yaml").read_text("utf-8")
    for here, then in BUTTON_AND_VALVE.items():
        assert text.count(here) == 1
        text = text.replace(here, then.replace("RUNS", f"{rows[BUTTON].opens / 60.0:g} min"))
    built = lower(read_text(text, "button.yaml"), "winter")
    trace = engine.run(built, Scenario("at home", DAY, (Onset(STUCK, 0.0),), STARTS["at home"]), compiled=None)
    flood = rows[BUTTON].flood
    assert flood is not None
    assert flood.on_floors > 1e-3
    assert flood.on_floors == pytest.approx(judge(built, trace).on_floors, rel=0.05)


@pytest.mark.slow
def test_all_that_the_unit_makes_runs_past_one_float_where_two_hang_on_it() -> None:
    """Second method: the product of a fill, of the table of flows."""
    design = read("examples/bin_and_branch.yaml")
    plant = lower(design, "winter")
    house_, made = looked_at(design, KINDS, year(design, KINDS, today=740000), "winter")
    found, product = {way.name: way for way in made}, flows(plant).product
    assert len(list(filling.filled_edges(plant))) > 1
    assert found[PERMANENT].a_day == pytest.approx(product * DAY, rel=0.02)
    assert found[WINDOW].opens >= 1.25 * house_.high * DAY / product
    assert found[WINDOW].opens <= 1.25 * house_.high * DAY / product + 900.0


def test_two_units_each_fill_for_their_own_share(plant: Plant) -> None:
    """By hand: 1 L of 4 at 0.1 L a minute take 10 min, 3 L at 0.1 L a minute take 30."""
    one, other = _Unit(1e-4 / 60.0, 0.25, ()), _Unit(1e-4 / 60.0, 0.75, ())
    fills = _Fills((), (one, other), (), (), filling.Looked(plant, {}, (), {}))
    assert fills.time(4e-3) == pytest.approx(1800.0)
    assert fills.flow == pytest.approx(1e-4 / 60.0)
    assert fills.short(4e-3, 1799.0)
    assert not fills.short(4e-3, 1801.0)


@pytest.mark.slow
def test_of_several_reservoirs_the_one_that_is_empty_first_is_told_by_its_own_litres() -> None:
    design = read("examples/two_tanks.yaml")
    whole = year(design, KINDS, today=740000)
    fresh = whole.reservoirs[0]
    small = replace(fresh, vessel="second", usable=1e-3, behind=())
    month = replace(whole.winter, lasts={fresh.vessel: (9.0, 7.0), "second": (2.0, 1.5)})
    found = house_of(design, replace(whole, reservoirs=(fresh, small)), month, {fresh.vessel, "second"})
    assert [(one.vessel, one.lasts) for one in found.stocks] == [(fresh.vessel, 9.0 * DAY), ("second", 2.0 * DAY)]
    assert found.first.vessel == "second"
    assert found.high == pytest.approx(max(month.need.high / DAY, fresh.whole / (9.0 * DAY) + 1e-3 / (2.0 * DAY)))
    assert sum(one.share for one in found.filled) == pytest.approx(1.0)


@pytest.mark.slow
def test_an_answer_that_decides_the_litres_is_named_with_the_litres_of_the_other() -> None:
    """Second method: the file with that answer written in."""
    seen = ", seen to work with purified water: 2026-10-04"
    text = Path("examples/timer_only.yaml").read_text("utf-8").replace(",\n                 seen", ", seen")
    assert text.count(seen) == 2
    found = {}
    for name, own in (("unknown", text.replace(seen, "", 1)), ("seen", text)):
        design = read_text(own, "timer.yaml")
        _, made = looked_at(design, KINDS, year(design, KINDS, today=740000), "winter")
        found[name] = {way.name: way for way in made}
    told = found["unknown"][PERMANENT]
    assert told.flood is not None
    (hangs,) = told.hangs
    assert (hangs.part, hangs.taken, hangs.other) == ("leak valve", "never", "seen")
    assert hangs.key.endswith("seen to work with purified water")
    known = found["seen"][PERMANENT].flood
    assert known is not None
    assert hangs.on_floors == pytest.approx(known.on_floors, abs=1e-4)
    assert told.flood.on_floors > known.on_floors + 1e-3
    assert not found["seen"][PERMANENT].hangs


def test_the_less_the_feed_is_open_the_less_comes_onto_floors(rows: dict[str, Way]) -> None:
    litres = {name: way.flood.on_floors if way.flood else 0.0 for name, way in rows.items()}
    assert litres[CARRYING] == 0.0
    assert litres[FROM_MARK] < litres[NOT_AWAY] < litres[PERMANENT]
    assert litres[AT_HOME] < litres[NOT_AWAY]
    assert litres[WINDOW] < litres[PERMANENT]


def test_from_mark_to_mark_the_unit_starts_once_a_fill_and_a_throttling_float_starts_it_often(
    plant: Plant,
    rows: dict[str, Way],
) -> None:
    fills_a_week = 7.0 * DAY * HOUSE.need / (0.5 * HOUSE.usable)
    assert rows[FROM_MARK].starts == pytest.approx(fills_a_week)
    _, filling_up = gating.run(plant, "travelling", DAY, [(0.0, 3600.0)], (STUCK,))
    assert (
        sum(filling_up.starts) <= 1.0
    )  # second method: at full flow the shut-off of this house never moves within a fill
    assert rows[PERMANENT].starts > 5.0 * rows[FROM_MARK].starts
    weak, strong = rows[FROM_MARK].strength, rows[PERMANENT].strength
    assert weak is not None
    assert strong is not None
    assert weak < strong


def test_a_house_without_a_float_on_the_supply_is_refused_in_words(plant: Plant) -> None:
    gates = [prim.G_CONST if kind == prim.G_LEVEL else kind for kind in plant.arrays.gate_kind]
    with pytest.raises(ValueError, match="no vessel is filled through a float"):
        ways(filling.look(replace(plant, arrays=plant.arrays._replace(gate_kind=gates))), HOUSE)


BINNED = (
    "  bin float:    {kind: float valve, after: tube, fills: bin, starts to shut at: 500 mm, quite shut at: 515 mm}\n"
)
BIN = (
    "  bin:          {kind: storage bin, in: utility room, footprint: 40 cm x 40 cm, rim: 600 mm, starts at: 500 mm}\n"
    "  lift pump:    {kind: transfer pump, from: bin, to: reservoir, flow: 200 L/h, outlet: 40 cm above floor, "
    "driven by: small box}\n"
)
REFILL = "  - {cause: stock low, effect: {lift pump: running}, until: cause ends}\n"
STOCK = (
    "  stock:        {kind: level switch, in: reservoir, calls at: 100 mm, is satisfied at: 240 mm, "
    "wired to: small box, contact: closes when low, read as low when: closed}\n"
)


def binned() -> Design:
    """The first example with a bin between its float and its reservoir, and a pump from one to the other."""
    text = Path("examples/first_float.yaml").read_text("utf-8")
    line = next(one for one in text.splitlines(keepends=True) if one.startswith("  float:"))
    text = text.replace(line, BINNED + BIN).replace("overflow: none}", "starts at: 240 mm, overflow: none}")
    text = text.replace("sensors:\n", "sensors:\n" + STOCK).replace("matrix:\n", "matrix:\n" + REFILL)
    return read_text(text, "binned.yaml")


def test_what_a_bin_and_the_reservoir_that_is_filled_from_it_hold_counts_together() -> None:
    """By hand: 80 L in the bin and 21.6 L in the reservoir, less what stays below what draws from them."""
    design = binned()
    whole = year(design, KINDS, today=740000)
    found = house_of(design, whole, whole.winter, {"bin"})
    assert 0.9 * 101.6e-3 < found.usable <= 101.6e-3
    ((name, usable, share),) = found.filled
    assert (name, share) == ("bin", 1.0)
    assert found.usable - usable == pytest.approx(whole.reservoirs[0].usable)
    assert found.usable == pytest.approx(whole.reservoirs[0].whole)
    assert found.lasts == whole.winter.lasts["reservoir"][0] * DAY
    assert found.high * found.lasts >= 0.99 * found.usable


@pytest.mark.slow
def test_a_house_in_which_the_float_fills_what_no_tank_draws_from_is_refused_in_words() -> None:
    design = binned()
    whole = year(design, KINDS, today=740000)
    with pytest.raises(ComparisonError, match=NOT_JOINED):
        house_of(design, replace(whole, reservoirs=()), whole.winter, {"bin"})
    none = replace(whole, reservoirs=(replace(whole.reservoirs[0], usable=0.0, behind=(("bin", 0.0),)),))
    with pytest.raises(ComparisonError, match=NOTHING_USABLE):
        house_of(design, none, whole.winter, {"bin"})
    dry = replace(whole.winter, need=whole.winter.need._replace(low=0.0, middle=0.0, high=0.0))
    with pytest.raises(ComparisonError, match=NO_NEED):
        house_of(design, whole, dry, {"bin"})


def test_a_house_without_water_in_its_feed_is_refused_in_words(plant: Plant) -> None:
    a = plant.arrays
    dead = [
        0.01 if kind == prim.FIXED and value > 0.0 else value
        for kind, value in zip(a.node_kind, a.node_value, strict=True)
    ]
    with pytest.raises(ComparisonError, match=NO_WATER):
        ways(filling.look(replace(plant, arrays=a._replace(node_value=dead))), HOUSE)


@pytest.mark.slow
def test_the_hours_that_the_file_gives_its_feed_gate_no_way() -> None:
    """Second way: the same house with its valve on a circuit that is always on."""
    circuits = ("utility circuit", "fill timer")
    always, timed = (lower(read_text(house(circuit), "house.yaml"), "winter") for circuit in circuits)
    for one, other in zip(ways(filling.look(always), HOUSE), ways(filling.look(timed), HOUSE), strict=True):
        assert other.past == pytest.approx(one.past, rel=1e-6)
        assert other.opens == one.opens
        assert other.starts == pytest.approx(one.starts, rel=0.2)
        assert (other.flood is None) == (one.flood is None)
        if one.flood is not None and other.flood is not None:
            assert other.flood.on_floors == pytest.approx(one.flood.on_floors, rel=0.02)


def test_every_way_makes_what_is_needed_so_that_resin_lasts_by_strength_alone(rows: dict[str, Way]) -> None:
    """By hand: 5 L a day are 35 L a week, whatever a run of 14 days happened to fill up."""
    for way in rows.values():
        assert way.product == pytest.approx(35e-3)
    strengths = [way.strength for way in rows.values() if way.strength is not None]
    assert len(strengths) == len(WAYS)
    by_starts = sorted(rows.values(), key=lambda way: way.starts)
    assert [way.strength for way in by_starts] == sorted(strengths)
    resin = [_lasts(way, 0.05, 0.0) for way in by_starts]
    assert resin == sorted((one for one in resin if one is not None), reverse=True)


def test_a_daily_window_starts_the_unit_at_least_once_a_day(rows: dict[str, Way]) -> None:
    assert rows[WINDOW].starts >= 7.0

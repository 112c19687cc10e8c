"""The booster as a part, and houses that run with it: steady flow by a closed form, its switches, days with faults."""

import math
import re

import pytest
from scipy.optimize import brentq

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.parts.booster_pump import KIND, SUCTION, THROUGH, head, most
from dewpond.physics import water
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Onset, Plant, Scenario
from dewpond.plant.trace import Trace
from dewpond.study.flows import flows
from tests.parts.recording import lowered, sampled
from tests.plant.nets import PER_MINUTE

BAR = 1e5
HOUR = 3600.0
HOUSE = """
format: 1
title: A unit on a weak supply (invented)
shown in: metric
supply: {pressure: %s, temperature: {winter: 10 C, summer: 18 C}, dissolved solids: 240 ppm}
places:
  cellar: {kind: room, size: 3 m x 2 m, floor: glazed tile}
water:
  stop tap:  {kind: hand valve, after: supply, in: cellar}
  booster:   {kind: booster pump, after: stop tap, in: cellar, adds: 3 bar at 1 L/min, gives at most: 2 L/min,
              high switch: {after: check, stops at: 2.8 bar, starts at: %s}, power: cellar circuit}
  membrane:  {kind: membrane, after: booster, in: cellar, rated: 75 gal/day at 50 psi and 25 C}
  shut-off:  {kind: automatic shut-off, on: membrane, closes at: 67 %%}
  check:     {kind: check valve, after: membrane, in: cellar}
  riser:     {kind: tubing, after: check, length: 5 m, through: [cellar]}
  float:     {kind: float valve, after: riser, fills: reservoir, starts to shut at: 250 mm, quite shut at: 265 mm}
  reservoir: {kind: reservoir, in: cellar, footprint: 40 cm x 40 cm, rim: 300 mm, overflow: none, starts at: %s mm}
"""
POWER_CUT = "cellar circuit: power cut"


def text(supply: str = "1.6 bar", again: str = "1 bar", starts: int = 100) -> str:
    return HOUSE % (supply, again, starts)


def plant(**words: object) -> Plant:
    return lower(read_text(text(**words), "house.yaml"), "winter")  # type: ignore[arg-type]


def gauge(plant_: Plant, trace: Trace, part: str) -> float:
    """Behind a part [Pa]."""
    node = next(link.outlet for link in plant_.links if link.part == part)
    return trace.pressure[node] - plant_.arrays.const[0] * water.G * plant_.arrays.node_z[node]


def behind(plant_: Plant, trace: Trace) -> float:
    """Behind the booster [Pa]: its first link ends at its suction."""
    node = next(link.outlet for link in plant_.links if plant_.arrays.edge_law[link.edge] == prim.PUMP)
    return trace.pressure[node] - plant_.arrays.const[0] * water.G * plant_.arrays.node_z[node]


def run(plant_: Plant, horizon: float, *labels: str) -> Trace:
    onsets = tuple(Onset(label, 0.0) for label in labels)
    return engine.run(plant_, Scenario("travelling", horizon, onsets), compiled=True)


def told(plant_: Plant, trace: Trace, words: str) -> list[float]:
    """When what is said of a signal begins with these words [s]."""
    return [
        e.time
        for e in trace.events
        if e.code == prim.E_SIGNAL and e.ref in plant_.says
        and (plant_.says[e.ref].true if e.value else plant_.says[e.ref].false).startswith(words)
    ]  # fmt: skip


def product(plant_: Plant, trace: Trace) -> float:
    return next(trace.flow[edge] for _, edge in plant_.membranes)


# --- what it asks for -------------------------------------------------------------------------------------------------
def test_its_curve_goes_through_its_rating_and_its_open_flow() -> None:
    """H0 = 3 / (1 - 1/4) = 4 bar."""
    told_ = {"adds": {"pressure": 3 * BAR, "flow": PER_MINUTE}, "gives at most": 2 * PER_MINUTE}
    asked = lowered(KIND, told_)
    pump, beside = asked.only("pump"), asked.only("check")
    assert (pump["head"], pump["flow"]) == (pytest.approx(4 * BAR), 2 * PER_MINUTE)
    assert (beside["a"], beside["b"]) == (pump["a"], pump["b"])
    left_out = sampled(KIND, "it", {}, {"adds": told_["adds"]})
    assert (most(left_out), head(left_out)) == (2 * PER_MINUTE, pytest.approx(4 * BAR))


def test_its_switches_start_and_stop_it_truth_table() -> None:
    house = {"check 1": sampled(lowered(KIND).part_view and KIND, "check 1", {})}
    high = {"after": "check 1", "stops at": 2.8 * BAR, "starts at": 1.4 * BAR}
    asked = lowered(KIND, {"high switch": high, "waits before it starts": 0.0}, house)
    gate = asked.by_number("gate", asked.only("pump")["gate"])
    low_on, high_on = (asked.given_back("pressure", on=on) for on in (0.7 * BAR, 2.8 * BAR))
    for supplied in (False, True):
        for full in (False, True):
            facts = {low_on: supplied, high_on: full}
            assert asked.now(gate["signal"], facts) == (supplied and not full)


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"gives at most": PER_MINUTE}, "booster-curve"),
        ({"low switch": {"stops at": 0.7 * BAR, "starts at": 0.7 * BAR}}, "booster-switch"),
        ({"high switch": {"after": "check", "stops at": 2 * BAR, "starts at": 2.5 * BAR}}, "booster-switch"),
    ],
)
def test_what_cannot_be_is_refused(given: dict[str, object], code: str) -> None:
    assert KIND.check is not None
    adds = {"pressure": 3 * BAR, "flow": PER_MINUTE}
    assert [one.code for one in KIND.check(sampled(KIND, "it", {}, {"adds": adds, **given}))] == [code]


# --- a fill -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("supply", [1.0, 1.6, 3.0])
def test_a_fill_runs_where_the_curve_meets_the_line_closed_form(supply: float) -> None:
    """Supply, tap, strainer and pump against inlet, restrictor and membrane, by one root of the whole line."""
    house = plant(supply=f"{supply} bar")
    trace = run(house, HOUR)
    a, rho = house.arrays, house.arrays.const[0]
    (edge,) = [edge for _, edge in house.membranes]
    permeability, osmotic = a.edge_p1[edge], a.edge_p2[edge]
    feed, made = a.edge_a[edge], a.edge_b[edge]
    tap = next(a.edge_p1[e.edge] for e in house.links if e.part == "stop tap")
    inlet = next(a.edge_p1[e.edge] for e in house.links if e.part == "membrane" and e.outlet == feed)
    waste = next(a.edge_p1[e.edge] for e in house.links if e.part == "membrane" and e.inlet == feed and e.edge != edge)
    waste /= 0.99  # with its tube behind it
    back = trace.pressure[made] - rho * water.G * a.node_z[made]

    def excess(q: float) -> float:
        inside = (supply + 4.0 * (1.0 - (q / (2 * PER_MINUTE)) ** 2)) * BAR - (tap + SUCTION + inlet) * q * q
        inside -= rho * water.G * (a.node_z[feed] - 0.5)
        return permeability * (inside - back - osmotic) + math.sqrt(max(inside, 0.0) / waste) - q

    flow = brentq(excess, 1e-7, 2 * PER_MINUTE)
    pumped = next(trace.flow[e.edge] for e in house.links if a.edge_law[e.edge] == prim.PUMP)
    assert trace.doubtful == 0
    assert pumped == pytest.approx(flow, rel=2e-3)


def test_flows_show_what_it_adds_and_without_power_the_house_pressure_goes_through() -> None:
    house = plant()
    rows = [row for row in flows(house).rows if row.part == "booster"]
    assert 2.5 * BAR < max(row.outlet - row.inlet for row in rows) < 4.0 * BAR
    powered, dead = (product(house, run(house, HOUR, *cut)) for cut in ((), ("booster: does not run",)))
    assert powered > 3.0 * dead > 0.0
    trace = run(house, HOUR, "booster: does not run")
    through = next(e for e in house.links if e.part == "booster" and house.arrays.edge_law[e.edge] == prim.CHECK)
    flow = trace.flow[through.edge]
    taken = 5e3 + THROUGH * flow * flow
    a = house.arrays
    assert trace.pressure[through.inlet] - trace.pressure[through.outlet] == pytest.approx(taken, rel=1e-3)
    assert a.edge_b[through.edge] == through.outlet


# --- its switches -----------------------------------------------------------------------------------------------------
def test_it_stops_when_the_float_has_shut_and_the_product_line_is_full() -> None:
    house = plant(starts=262)
    trace = run(house, 12 * HOUR)
    stops = told(house, trace, "booster stops")
    assert len(stops) == 1
    assert gauge(house, trace, "check") == pytest.approx(2.8 * BAR, rel=0.15)
    assert trace.doubtful == 0
    nothing = [trace.flow[e.edge] for e in house.links if e.part in ("stop tap", "booster")]
    assert max(map(abs, nothing)) < 1e-9  # the shut-off holds what the pump left


def test_one_that_runs_on_raises_the_line_to_what_it_can_give() -> None:
    """4 bar and the supply's 1.6 at no flow: the shut-off shuts, and before it stands all of it."""
    house = plant(starts=290)
    trace = run(house, 12 * HOUR, "booster: runs on")
    assert told(house, trace, "booster stops") == []
    assert behind(house, trace) == pytest.approx(5.6 * BAR, rel=0.01)
    assert gauge(house, trace, "check") > 2.9 * BAR  # 67 % of what stands before the membrane under flow


def test_losing_the_supply_stops_it_and_a_stuck_switch_lets_it_run_dry() -> None:
    house = plant()
    trace = run(house, 6 * HOUR, "supply: pressure lost")
    assert told(house, trace, "booster starts")
    dry = told(
        house, run(house, 6 * HOUR, "booster: runs without a supply", "supply: pressure lost"), "booster runs dry"
    )
    sound = told(house, trace, "booster runs dry")
    assert dry
    assert sound == []


def test_it_stops_in_a_power_cut_and_starts_after_it() -> None:
    text_ = text() + "power:\n  cellar circuit: {kind: power circuit}\n"
    house = lower(read_text(text_, "house.yaml"), "winter")
    cut = next(fault.label for fault in house.faults if fault.part == "cellar circuit")
    trace = engine.run(house, Scenario("travelling", DAY, (Onset(cut, HOUR),)), compiled=True)
    stops, starts = told(house, trace, "booster stops"), told(house, trace, "booster starts")
    assert any(abs(time - HOUR) < 1.0 for time in stops)
    assert all(time < HOUR or time > HOUR + 60.0 for time in starts)


@pytest.mark.slow
@pytest.mark.parametrize("again", ["1 bar", "2 bar"])
@pytest.mark.parametrize(
    "label", ["float: seeps", "check: joint weeps", "check: lets water back", "shut-off: waste water runs on"]
)
def test_a_day_of_starts_and_stops_is_followed_to_its_end(again: str, label: str) -> None:
    house = plant(starts=290, again=again)
    labels = [fault.label for fault in house.faults if fault.label.startswith(label)]
    trace = run(house, DAY, labels[0])
    assert trace.end == DAY
    assert trace.doubtful == 0
    assert trace.steps < 90_000


@pytest.mark.slow
def test_every_single_fault_is_followed_to_its_end_without_a_doubt() -> None:
    house = plant(starts=200)
    for fault in house.faults:
        trace = run(house, 0.5 * DAY, fault.label)
        assert trace.end == 0.5 * DAY, fault.label
        assert trace.doubtful == 0, fault.label


# --- the checks -------------------------------------------------------------------------------------------------------
def test_its_switch_behind_the_membrane_makes_no_ring_of_the_line() -> None:
    assert "D101" not in {one.code for one in check(read_text(text(), "house.yaml"))}


def test_what_it_adds_counts_for_what_parts_must_bear() -> None:
    """1.4 times 4 bar by night and 4 bar of its own are 9.6 bar; without it 5.6."""
    weak = check(read_text(text(supply="4 bar"), "house.yaml"))
    (found,) = [one for one in weak if one.code == "D271"]
    assert "membrane" in found.what
    assert "stop tap" not in found.what
    assert "9.6 bar" in found.what
    alone = re.sub(r"  booster:.*?circuit}\n", "", text(supply="4 bar"), flags=re.DOTALL)
    alone = alone.replace("after: booster", "after: stop tap")
    assert not {"D185", "D271"} & {one.code for one in check(read_text(alone, "house.yaml"))}

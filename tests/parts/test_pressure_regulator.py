"""The regulator as a part: what it asks for, and a house that runs with it, against the algebra of its two regions."""

import re

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.pressure_regulator import DROOP, KIND, droop
from dewpond.physics import pressure, water
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.lower import lower
from dewpond.plant.plant import Onset, Plant, Scenario
from dewpond.plant.trace import Trace
from dewpond.study.flows import flows
from tests.parts.recording import lowered, sampled
from tests.plant.nets import PER_MINUTE

BAR = 1e5
HOUR = 3600.0
HOUSE = """
format: 1
title: A house with too much pressure (invented)
shown in: metric
supply: {pressure: %s, temperature: {winter: 10 C, summer: 18 C}, dissolved solids: 240 ppm}
places:
  cellar: {kind: room, size: 3 m x 2 m, floor: glazed tile}
water:
  stop tap:  {kind: hand valve, after: supply, in: cellar}
%s
  filters:   {kind: pre-filters, after: %s, in: cellar}
  membrane:  {kind: membrane, after: filters, in: cellar, rated: 75 gal/day at 50 psi and 25 C}
  shut-off:  {kind: automatic shut-off, on: membrane, closes at: 67 %%}
  check:     {kind: check valve, after: membrane, in: cellar}
  riser:     {kind: tubing, after: check, length: 5 m, through: [cellar]}
  float:     {kind: float valve, after: riser, fills: reservoir, starts to shut at: 250 mm, quite shut at: 265 mm}
  reservoir: {kind: reservoir, in: cellar, footprint: 40 cm x 40 cm, rim: 300 mm, overflow: none, starts at: %s mm}
"""
LINE = "  regulator: {kind: pressure regulator, after: stop tap, in: cellar, set to: %s}"


def text(supply: str = "6.4 bar", line: str = LINE % "3 bar", starts: int = 100) -> str:
    return HOUSE % (supply, line, "regulator" if line else "stop tap", starts)


def plant(**words: object) -> Plant:
    return lower(read_text(text(**words), "house.yaml"), "winter")  # type: ignore[arg-type]


def gauge(plant_: Plant, trace: Trace, part: str) -> float:
    """Behind a part [Pa]."""
    node = next(link.outlet for link in plant_.links if link.part == part)
    return trace.pressure[node] - plant_.arrays.const[0] * water.G * plant_.arrays.node_z[node]


def without_a_unit() -> Plant:
    """The float hangs on the house line: nothing opens again by itself."""
    lines = [line for line in text(starts=290).splitlines() if not re.match(r"  (membrane|shut-off|check):", line)]
    return lower(read_text("\n".join(lines).replace("after: check", "after: filters"), "house.yaml"), "winter")


def run(plant_: Plant, horizon: float, *labels: str) -> Trace:
    return engine.run(plant_, Scenario("travelling", horizon, tuple(Onset(label, 0.0) for label in labels)))


def test_it_is_one_regulator_with_two_shut_ways_past_it() -> None:
    asked = lowered(KIND, {"set to": 2.5 * BAR, "falls under flow": {"pressure": 0.5 * BAR, "flow": 5 * PER_MINUTE}})
    way = asked.only("regulator")
    assert (way["held"], way["droop"]) == (2.5 * BAR, pytest.approx(0.1 * BAR / PER_MINUTE))
    past = asked.every("orifice")
    assert [(one["a"], one["b"]) for one in past] == 2 * [(way["a"], way["b"])]
    assert [asked.by_number("gate", one["gate"])["kind"] for one in past] == ["leak", "leak"]
    assert asked.patches("creeps") == [("low", past[0]["gate"], 1.0)]
    assert asked.patches("stands open") == [("low", past[1]["gate"], 1.0)]


def test_its_droop_left_out_is_that_of_its_note() -> None:
    assert droop(sampled(KIND, "it", {})) == DROOP
    assert droop(sampled(KIND, "it", {})) * 2 * PER_MINUTE == pytest.approx(0.3 * BAR)


def test_one_that_falls_to_nothing_under_flow_is_refused() -> None:
    told = {"set to": 2e5, "falls under flow": {"pressure": 2e5, "flow": 1e-4}}
    assert KIND.check is not None
    assert [one.code for one in KIND.check(sampled(KIND, "it", {}, told))] == ["regulator-falls"]


@pytest.mark.parametrize("supply", [1.5, 2.6, 3.4, 6.4])
def test_a_fill_stands_at_the_lower_of_what_it_holds_and_what_comes_two_region_algebra(supply: float) -> None:
    house = plant(supply=f"{supply} bar")
    trace = run(house, HOUR)
    assert trace.doubtful == 0
    flow = next(trace.flow[link.edge] for link in house.links if link.part == "regulator")
    held = pressure.regulated_pressure(flow, 3.0 * BAR, 0.3 * BAR, DROOP)
    wide = gauge(house, trace, "stop tap") - BAR * (flow / (15.0 * PER_MINUTE)) ** 2
    assert flow == pytest.approx(PER_MINUTE, rel=0.7)
    assert gauge(house, trace, "regulator") == pytest.approx(min(held, wide), rel=1e-4)
    assert (held < wide) == (supply > 3.2)


def test_flows_of_a_fill_show_the_pressure_before_and_behind_it() -> None:
    rows = {row.part: row for row in flows(plant()).rows}
    assert rows["regulator"].inlet > 6.2 * BAR
    assert 2.7 * BAR < rows["regulator"].outlet < 3.0 * BAR
    alone = {row.part: row for row in flows(plant(supply="2.83 bar", line="")).rows}
    assert rows["membrane"].flow == pytest.approx(alone["membrane"].flow, rel=0.02)


@pytest.mark.parametrize(("label", "stands"), [("", 3.3), ("regulator: creeps", 6.4), ("regulator: stands open", 6.4)])
def test_at_rest_it_locks_up_and_one_that_creeps_lets_the_full_pressure_stand(label: str, stands: float) -> None:
    """The reservoir is full, and nothing runs through the night."""
    house = without_a_unit()
    trace = run(house, 12.0 * HOUR, *([label] if label else []))
    assert gauge(house, trace, "regulator") == pytest.approx(stands * BAR, rel=0.01)


def test_creeping_makes_the_shut_off_open_again_and_waste_run_all_night() -> None:
    """By hand: it shuts as the product stands at 67 % of the 2.9 bar under flow, 1.9 bar, and opens again as soon as
    that is less than three quarters of 67 % of what stands before it: from 3.9 bar on, and 6.4 bar come."""
    house = plant(starts=290)
    drained = {label: run(house, 12 * HOUR, *label).total[prim.V_DRAIN] for label in ((), ("regulator: creeps",))}
    assert drained[()] < 0.2e-3
    assert drained["regulator: creeps",] > 5e-3


def test_creeping_changes_a_fill_little_and_standing_open_makes_it_that_of_the_supply() -> None:
    house = plant()
    product = {
        label: next(run(house, HOUR, *([label] if label else [])).flow[edge] for _, edge in house.membranes)
        for label in ("", "regulator: creeps", "regulator: stands open", "regulator: stuck")
    }
    assert product["regulator: creeps"] == pytest.approx(product[""], rel=0.03)
    assert product["regulator: stands open"] > 2.0 * product[""]
    assert product["regulator: stuck"] < 0.3 * product[""]


# --- the checks -------------------------------------------------------------------------------------------------------
def codes(text_: str) -> list[str]:
    return [one.code for one in check(read_text(text_, "house.yaml"))]


def test_house_above_5_5_bar_is_told_to_fit_one_unless_the_pressure_behind_one_is_lower() -> None:
    assert "D270" in codes(text(line=""))
    assert "D270" not in codes(text(supply="5.5 bar", line=""))
    assert "D270" not in codes(text())
    assert "D270" in codes(text(line=LINE % "5.4 bar"))  # with its rise at rest, 5.7 bar stand behind it
    assert "D270" not in codes(text(line=LINE % "5.1 bar"))


def test_part_beside_the_regulator_is_named() -> None:
    beside = "  bare:      {kind: pre-filters, after: stop tap, in: cellar}\n"
    before = text().replace(
        "  filters:", f"  split:     {{kind: tee, after: stop tap, in: cellar}}\n{beside}  filters:"
    )
    before = before.replace("after: stop tap, in: cellar, set", "after: split, in: cellar, set")
    told = check(
        read_text(
            before.replace("after: stop tap, in: cellar}\n  filters", "after: split, in: cellar}\n  filters"),
            "house.yaml",
        )
    )
    (found,) = [one for one in told if one.code == "D270"]
    assert "no regulator stands before bare" in found.what


def test_what_parts_must_bear_is_reckoned_behind_it() -> None:
    """At night 1.4 times the supply's 6.4 bar would overload the usual class of 8.27 bar."""
    (found,) = [one for one in check(read_text(text(line=""), "house.yaml")) if one.code == "D185"]
    assert "filters" in found.what
    (found,) = [one for one in check(read_text(text(), "house.yaml")) if one.code == "D185"]
    assert "stop tap" in found.what
    assert "regulator" in found.what
    assert "filters" not in found.what


@pytest.mark.parametrize("wrong", ["0.5 bar", "7 bar", "3"])
def test_a_setting_that_none_has_is_refused(wrong: str) -> None:
    with pytest.raises(DesignError):
        read_text(text(line=LINE % wrong), "house.yaml")


def test_jugs_filled_behind_it_are_read_at_what_it_leaves() -> None:
    """What stands past it until it fails takes no part: the reading is the same with any hole there."""
    jugs = "measured: {product: 120 mL/min, waste: 500 mL/min, water: 14 C}"
    told = text().replace("rated: 75 gal/day at 50 psi and 25 C", jugs)
    design = read_text(told, "house.yaml")
    house = lower(design, "winter")
    assert house.doubts == ()
    trace = run(house, HOUR)
    product = next(trace.flow[edge] for _, edge in house.membranes)
    colder = 0.75 < product / (120e-6 / 60.0) < 1.0
    assert colder

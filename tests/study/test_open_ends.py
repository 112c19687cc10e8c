"""Open ends: siphons against the published truth table and against runs, air gaps against the published rules."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import Scenario
from dewpond.study.flows import flows
from dewpond.study.remarks import siphons
from dewpond.study.sizing import sizing
from dewpond.study.sizing.open_ends import ABOVE, BACK, DOWN, FILLED, HELD, NO, PUMPED, RUNS_OFF, YES, End, ends


@pytest.fixture(scope="module")
def published(repository: Path) -> Mapping[str, Any]:
    """Cases of the published file by their number."""
    raw = json.loads((repository / "tests" / "published" / "hydraulics.json").read_text("utf-8"))
    return {one["id"]: one for one in (raw["cases"] if isinstance(raw, dict) else raw)}


def pumped(outlet: float, sump: float, reservoir: float = 0.5, vent: str = "absent") -> Design:
    """A reservoir whose water usually stands 30 cm over its bottom, and a sump whose water stands 20 cm over its own;
    heights of both bottoms and of the end of the pump's tube above the floor [m]."""
    return read_text(
        f"""format: 1
title: A pump (invented)
supply: {{pressure: 4 bar, in: shed}}
places:
  shed: {{kind: room, size: 3 m x 2 m, floor: glazed tile}}
water:
  ball: {{kind: float valve, after: supply, fills: can, starts to shut at: 280 mm, quite shut at: 300 mm}}
  can: {{kind: reservoir, in: shed, footprint: 40 cm x 40 cm, rim: 400 mm, bottom: {reservoir} m above floor}}
  pump: {{kind: top-off pump, from: can, to: sump, flow: 60 L/h, outlet: {outlet} m above floor, driven by: box,
         lifts at most: 3 m, vent hole above the water: {vent}}}
  sump: {{kind: sump, in: shed, bottom: {sump} m above floor, footprint: 60 cm x 40 cm, rim: 400 mm,
         running level: 200 mm, rises when the return pump stops: 50 mm, return chamber: 20 cm x 40 cm,
         return pump needs: 100 mm}}
  reef: {{kind: display tank, drains to: sump, surface: 90 cm x 50 cm, volume: 200 L, salinity: 35 ppt}}
sensors:
  mark: {{kind: level switch, type: float, in: sump, calls at: 195 mm, is satisfied at: 200 mm, wired to: box,
         contact: closes when low, read as low when: closed}}
controllers:
  box: {{power: circuit, after a restart: {{trips: kept, counts: kept}}, when it hangs: keeps last order}}
power:
  circuit: {{}}
matrix:
  - {{cause: mark low, effect: {{pump: running}}, at most: 5 min a run}}
""",
        "pump.yaml",
    )


def end_of(design: Design, part: str) -> End:
    """The one open end of a part, in winter."""
    (found,) = [end for end in ends(lower(design), design) if end.part == part]
    return found


def test_siphon_runs_as_in_the_truth_table_of_h104(published: Mapping[str, Any]) -> None:
    """The four rows: 20 cm below the source in air; so, and under water; 5 cm above; 20 cm below with a vent above."""
    cases, flows_ = (
        published["H104"][side][key]["value"] for side, key in (("inputs", "cases"), ("expected", "flows"))
    )
    stands = 0.8  # of the source [m above the floor]
    for row, runs in zip(cases, flows_, strict=True):
        outlet = stands + row["outlet_minus_source_level_m"]
        sump = outlet - 0.15 if row["outlet_submerged"] else 0.1  # its water stands 20 cm over its bottom
        vent = "present" if row["vent_above_source"] else "absent"
        end = end_of(pumped(outlet, sump, vent=vent), "pump")
        assert end.sort == PUMPED
        assert end.under_water == row["outlet_submerged"]
        assert end.passive is not None
        assert end.passive.source_level == pytest.approx(stands)
        assert end.passive.open == (not row["vent_above_source"])
        assert (end.passive.flows == YES) is runs


def test_end_just_above_the_usual_water_runs_on_once_the_source_is_fuller() -> None:
    """The reservoir's rim is 10 cm over its mark: an end 5 cm over that runs when the float sticks open."""
    end = end_of(pumped(0.85, 0.1), "pump")
    assert end.passive is not None
    assert end.passive.flows == ABOVE
    assert end.passive.mark == pytest.approx(0.85)
    higher = end_of(pumped(0.95, 0.1), "pump").passive
    assert higher is not None
    assert higher.flows == NO


def test_end_under_the_water_of_a_higher_sump_runs_back() -> None:
    end = end_of(pumped(1.1, 1.0), "pump")
    assert end.under_water
    assert end.passive is not None
    assert end.passive.flows == BACK


@pytest.mark.parametrize(("outlet", "sump"), [(0.6, 0.1), (0.83, 0.1), (0.6, 0.5), (0.95, 0.1)])
def test_table_says_of_a_siphon_what_a_run_shows(outlet: float, sump: float) -> None:
    """Second way: an ordinary day in the engine, in which the pump has run and stopped."""
    design = pumped(outlet, sump)
    plant = lower(design)
    trace = engine.run(plant, Scenario("travelling", 2 * 86400.0), compiled=None)
    passive = end_of(design, "pump").passive
    assert passive is not None
    assert (passive.flows == YES) is bool(siphons(plant, trace))


def test_siphon_is_remarked_with_its_vessels() -> None:
    design = pumped(0.6, 0.1)
    plant = lower(design)
    found = {one.code: one for one in sizing.remarks(sizing.size(design, plant, flows(plant)))}
    assert found["S233"].parts == ("pump", "can", "sump")
    assert found["S233"].numbers["above"] == pytest.approx(0.2)


# -- ends that a supply feeds ------------------------------------------------------------------------------------------
def filled(size: str, second: str = "", outlet: str = "above the water", bits: str = "") -> Design:
    return read_text(
        f"""format: 1
title: A fill (invented)
supply: {{pressure: 4 bar, in: shed}}
places:
  shed: {{kind: room, size: 3 m x 2 m, floor: glazed tile}}
water:
{bits}
  tube: {{kind: tubing, after: {"check" if bits else "supply"}, {size}, length: 3 m, through: [shed]}}
  ball: {{kind: float valve, after: {"fork" if second else "tube"}, fills: can, starts to shut at: 280 mm,
         quite shut at: 300 mm, outlet: {outlet}}}
{second}
  can: {{kind: reservoir, in: shed, footprint: 40 cm x 40 cm, rim: 400 mm, bottom: 50 cm above floor}}
""",
        "fill.yaml",
    )


SECOND = (
    "  fork: {kind: tee, after: tube, in: shed}\n"
    "  other: {kind: float valve, after: fork, fills: can, starts to shut at: 280 mm, quite shut at: 300 mm}"
)
CHECK = "  check: {kind: check valve, after: supply, in: shed}"


def test_air_gap_is_that_of_h106_and_h105(published: Mapping[str, Any]) -> None:
    """A bore of 20 mm: 40 mm in Europe, 80 mm for two of them; 1/4 in: 20 mm, and an inch in the United States."""
    wide = "bore: 20 mm"
    assert end_of(filled(wide), "ball").europe * 1e3 == pytest.approx(published["H106"]["expected"]["gap"]["value"])
    assert end_of(filled(wide, SECOND), "ball").europe * 1e3 == pytest.approx(80.0)
    thin = end_of(filled("size: 1/4 in"), "ball")
    assert thin.europe * 1e3 == pytest.approx(published["H107"]["expected"]["gap"]["value"])
    assert thin.us * 1e3 == pytest.approx(published["H105"]["expected"]["gap"]["value"])


def test_end_in_air_draws_nothing_back_and_one_under_water_does() -> None:
    above, below = (
        end_of(filled("size: 1/4 in"), "ball"),
        end_of(filled("size: 1/4 in", outlet="3 cm above bottom"), "ball"),
    )
    assert (above.sort, above.back, above.under_water) == (FILLED, NO, False)
    assert (below.back, below.under_water) == (YES, True)
    assert below.level == pytest.approx(0.8)
    held = end_of(filled("size: 1/4 in", outlet="3 cm above bottom", bits=CHECK), "ball")
    assert (held.back, held.holder) == (HELD, "check")


def test_end_under_water_that_a_lower_vessel_shares_a_line_with_runs_down_to_that() -> None:
    second = SECOND.replace("fills: can", "fills: low").replace("280 mm", "80 mm").replace("300 mm", "100 mm")
    low = "\n  low: {kind: reservoir, in: shed, footprint: 30 cm x 30 cm, rim: 150 mm}"
    design = filled("size: 1/4 in", second + low, "3 cm above bottom", CHECK)
    end = end_of(design, "ball")
    assert (end.back, end.holder) == (DOWN, "low")


def test_waste_end_of_an_example_is_an_end_without_a_vessel(repository: Path) -> None:
    design = read(repository / "examples" / "first_float.yaml")
    found = {end.part: end for end in ends(lower(design), design)}
    assert set(found) == {"membrane", "float", "top-off pump"}  # no overflow, and nothing that only a fault opens
    assert (found["membrane"].sort, found["membrane"].into, found["membrane"].level) == (RUNS_OFF, "standpipe", None)


def test_squeezed_tube_of_a_dosing_pump_is_no_open_way(repository: Path) -> None:
    design = read(repository / "examples" / "two_tanks.yaml")
    passive = end_of(design, "small doser").passive
    assert passive is not None
    assert (passive.open, passive.flows) == (False, NO)


def test_gaps_that_the_file_gives_are_shown_with_the_rule_of_a_wall() -> None:
    """A waste line 30 mm over its drain, beside a wall: an inch and a half in the United States. An end 50 mm over the
    rim of a vessel."""
    text = filled("size: 1/4 in").text
    unit = (
        "  unit: {kind: membrane, after: supply, in: shed, rated: 75 gal/day at 50 psi and 25 C}\n"
        "  line: {kind: waste line, waste of: unit, in: shed, to: gully, length: 2 m, air gap: 30 mm, "
        "beside it: a wall}\n"
        "  end: {kind: air gap, after: ball, in: shed, into: can, gap: 50 mm}\n"
    )
    text = text.replace("places:\n", "places:\n  gully: {kind: waste drain, in: shed}\n").replace(
        "  can:", f"{unit}  can:"
    )
    design = read_text(text.replace("after: supply, size", "after: unit, size"), "gaps.yaml")
    line, free = end_of(design, "line"), end_of(design, "end")
    assert (line.sort, line.into, line.gap, line.level) == (RUNS_OFF, "gully", pytest.approx(0.03), None)
    assert line.us == pytest.approx(38.1e-3)
    assert line.europe == pytest.approx(20e-3)
    assert (free.sort, free.into, free.gap) == (FILLED, "can", pytest.approx(0.05))

"""The vessel that the top-off runs through: when too much goes through it, and how it fails. Hand calculations."""

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.dosing_vessel import KIND
from dewpond.plant.plant import DAY, Plant
from dewpond.proof.questions.starving import dries
from tests.plant.houses import HOUR, Ill, Told, plant_of, run

LITRE = 1e-3
HOUSE = """
format: 1
title: A stirrer (invented)
places:
  study:      {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
supply: {{pressure: 4 bar, temperature: {{winter: 8 C, summer: 18 C}}}}
water:
  stop tap:   {{kind: hand valve, after: supply, in: study}}
  float:      {{kind: float valve, after: stop tap, fills: reservoir, starts to shut at: 250 mm, quite shut at: 265 mm}}
  reservoir:  {{kind: reservoir, in: study, footprint: 40 cm x 40 cm, rim: 300 mm, bottom: 2 cm above floor,
               starts at: 265 mm}}
  {pump}
  {first}stirrer:  {{kind: dosing vessel, on: pump, in: study, holds: lime water{keys}}}
  sump:       {{kind: sump, in: study, bottom: 10 cm above floor, footprint: 90 cm x 40 cm, rim: 400 mm,
               running level: 240 mm, rises when the return pump stops: 60 mm, return chamber: 15 cm x 40 cm,
               return pump needs: 120 mm}}
  reef:       {{kind: display tank, drains to: sump, surface: 120 cm x 60 cm, volume: 410 L, salinity: 35 ppt,
               power: tank circuit}}
sensors:
  low mark:   {{kind: level switch, type: float, in: sump, calls at: 232 mm, is satisfied at: 240 mm, wired to: box,
               contact: closes when low, read as low when: closed}}
controllers:
  box:        {{power: box circuit, after a restart: {{trips: kept, counts: kept}}, when it hangs: outputs stopped}}
matrix:
  - {{cause: low mark low, effect: {{pump: running}}, until: cause ends}}
people:
  keeper:     {{day: {{at home awake: 8 h, asleep: 8 h, out: 8 h}}, reaches the stop tap in: 10 min}}
"""
LIFTS = "pump: {kind: top-off pump, from: reservoir, to: sump, flow: 12 L/h, outlet: 45 cm above floor, driven by: box}"
DOSES = "pump: {kind: dosing pump, from: reservoir, to: sump, flow: 12 L/h, outlet: 45 cm above floor, driven by: box}"
PUMPS = (LIFTS, DOSES)
GIVEN = ", harmful above: 6 L/day, harmful in one run: 1 L"
RUN_ON = Ill("pump: runs on", HOUR)
BY_DAY, BY_RUN = "lime water in a day than it bears", "lime water in one run of its pump than it bears"


def text(keys: str = GIVEN, pump: str = DOSES, first: str = "") -> str:
    return HOUSE.format(keys=keys, pump=pump, first=first)


def house(keys: str = GIVEN, pump: str = DOSES, first: str = "") -> Plant:
    return plant_of(text(keys, pump, first))


def ran(plant: Plant, *ills: Ill, days: float = 1.0) -> Told:
    return run(plant, "travelling", days * DAY, ills, compiled=True)


# --- so much ---------------------------------------------------------------------------------------------------------


def test_a_pump_that_runs_on_passes_both_limits_at_its_own_pace() -> None:
    """12 L/h from nine o'clock on: a litre in five minutes, six in half an hour, less what was topped off before."""
    told = ran(house(), RUN_ON)
    (run_at,), (day_at, *_) = told.at(BY_RUN), told.at(BY_DAY)
    assert run_at - HOUR == pytest.approx(300.0, abs=1.0)
    assert day_at - HOUR == pytest.approx(1800.0, abs=1.0)
    assert told.consequence.overdosed == pytest.approx(run_at)
    assert told.consequence.overdosed_by == "stirrer"


@pytest.mark.parametrize("pump", PUMPS)
def test_what_an_ordinary_day_takes_along_is_no_overdose(pump: str) -> None:
    told = ran(house(pump=pump), days=3.0)
    assert told.consequence.overdosed is None
    assert not told.at("than it bears")


def test_each_midnight_the_day_begins_anew() -> None:
    """It runs on for two days: 288 L a day through it, and each day passes six litres half an hour after midnight."""
    told = ran(house(), RUN_ON, days=2.0)
    assert told.at(BY_DAY)[1] - 16.0 * HOUR == pytest.approx(1800.0, abs=3.0)


@pytest.mark.parametrize(("rest", "adds_up"), [(5.0, True), (15.0, False)])
def test_runs_add_up_unless_ten_minutes_lie_between_them(rest: float, adds_up: bool) -> None:
    """Two runs of four minutes, 0.8 L each, within the first hour, in which no level calls for the pump."""
    bursts = [Ill("pump: runs on", 600.0, 240.0), Ill("pump: runs on", 840.0 + 60.0 * rest, 240.0)]
    told = run(house(), "travelling", HOUR, bursts, compiled=True)
    assert bool(told.at(BY_RUN)) is adds_up


def test_litres_left_out_are_a_share_of_all_the_water_that_circulates() -> None:
    """Three hundredths of tank and sump a day, and half of that in a run, whichever of both it is."""
    plant = house("")
    a = plant.arrays
    body = a.store_body[plant.stores.index("reef")]
    system = sum(v for v, own in zip(a.store_start, a.store_body, strict=True) if own == body)
    assert system > 450.0 * LITRE
    told = ran(plant, RUN_ON)
    assert told.at(BY_RUN)[0] - HOUR == pytest.approx(0.015 * system / (12.0 * LITRE / HOUR), rel=1e-3)
    assert told.at(BY_DAY)[0] - HOUR == pytest.approx(0.03 * system / (12.0 * LITRE / HOUR), rel=1e-3)


def test_it_counts_what_siphons_through_a_pump_as_well() -> None:
    """A centrifugal pump that stands still is an open pipe: the reservoir stands above the end of its tube."""
    low = LIFTS.replace("45 cm above floor", "15 cm above floor")
    told = ran(house(", harmful above: 6 L/day, harmful in one run: 2 L", low), days=1.0)
    assert told.at("than it bears")


@pytest.mark.parametrize("first", ["", "a "])
def test_whether_it_stands_before_or_after_its_pump_in_the_order_of_ids_changes_nothing(first: str) -> None:
    told = ran(plant_of(text(first=first)), RUN_ON)
    assert told.consequence.overdosed == pytest.approx(HOUR + 300.0, abs=1.0)


# --- faults ----------------------------------------------------------------------------------------------------------


def test_too_strong_a_third_of_the_litres_is_too_much() -> None:
    strong = Ill("stirrer: too strong after a refill", 0.0)
    told = ran(house(), RUN_ON, strong)
    assert told.at(BY_RUN)[0] - HOUR == pytest.approx(100.0, abs=1.0)
    assert told.at(BY_DAY)[0] - HOUR == pytest.approx(600.0, abs=1.0)


@pytest.mark.parametrize("pump", PUMPS)
def test_clogged_it_lets_nothing_through_and_the_tank_dries(pump: str) -> None:
    told = ran(house(pump=pump), Ill("stirrer: clogged", 0.0), days=4.0)
    assert told.consequence.return_pump_dry is not None
    assert told.consequence.overdosed is None
    reservoir = float(told.trace.volume[told.plant.stores.index("reservoir")])
    assert reservoir == pytest.approx(0.4 * 0.4 * 0.265, rel=2e-3)
    assert ran(house(pump=pump), days=4.0).consequence.return_pump_dry is None


@pytest.mark.parametrize("pump", PUMPS)
def test_a_lid_that_leaks_wets_the_floor_only_while_the_pump_runs(pump: str) -> None:
    told = ran(house(pump=pump), Ill("stirrer: lid leaks", 0.0), days=2.0)
    assert 0.0 < told.consequence.on_floors < 30.0 * LITRE
    first = told.consequence.first_water
    assert first is not None
    assert first == pytest.approx(told.at("pump starts")[0], abs=2.0)


# --- the file --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "keys",
    [", harmful above: 6 L", ", harmful above: much", ", harmful share a day: 2", ", on the: left", ", height: 3 L"],
)
def test_bad_input_is_told(keys: str) -> None:
    with pytest.raises(DesignError) as told:
        read_text(text(keys), "h.yaml")
    assert all(finding.where and finding.what and finding.remedy for finding in told.value.findings)


@pytest.mark.parametrize("on", ["float", "reef", "box", "nothing"])
def test_it_stands_in_the_tube_of_a_pump_and_of_nothing_else(on: str) -> None:
    with pytest.raises(DesignError) as told:
        read_text(text().replace("on: pump", f"on: {on}"), "h.yaml")
    assert {finding.key for finding in told.value.findings if finding.level == "error"} == {"on"}


def test_a_run_that_may_bring_more_than_a_day_is_objected_to() -> None:
    keys = ", harmful above: 2 L/day, harmful in one run: 3 L"
    assert "dosing-run" in {finding.code for finding in check(read_text(text(keys), "h.yaml"))}
    assert "dosing-run" not in {finding.code for finding in check(read_text(text(), "h.yaml"))}


def test_its_limit_is_no_vessel_that_runs_dry_for_the_proof() -> None:
    assert {dry.word for dry in dries(house())} == {"reservoir empty", "return pump dry"}
    assert all(fault.what.endswith(".") for fault in KIND.faults)

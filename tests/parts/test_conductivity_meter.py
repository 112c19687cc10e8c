"""The conductivity meter: what it finds behind a membrane, a resin and in a tank, what its contact does, how it fails.

Strengths are closed forms: what a membrane of a known rejection lets through, a tank that is diluted or dries.
"""

import math
from typing import Any

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.conductivity_meter import KIND, mark
from dewpond.physics.seawater import density
from dewpond.plant.consequence import salinity_of
from dewpond.plant.plant import DAY, Plant
from dewpond.study.matrix.build import build
from tests.parts.recording import sampled
from tests.plant.houses import HOUR, Ill, Told, plant_of, run

HOUSE = """
format: 1
title: Meters of what is dissolved (invented)
supply: {{pressure: 4 bar, temperature: {{winter: 8 C, summer: 18 C}}, dissolved solids: 300 ppm}}
places:
  laundry:    {{kind: room, size: 3 m x 2 m, floor: glazed tile}}
  drain:      {{kind: waste drain, in: laundry}}
  study:      {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
water:
  stop tap:   {{kind: hand valve, after: supply, in: laundry}}
  feed valve: {{kind: solenoid valve, after: stop tap, in: laundry, without power: open, driven by: box}}
  membrane:   {{kind: membrane, after: feed valve, in: laundry, rated: 75 gal/day at 50 psi and 25 C, waste to: drain}}
  shut-off:   {{kind: automatic shut-off, on: membrane, closes at: 0.67}}
  check:      {{kind: check valve, after: membrane, in: laundry}}
  resin:      {{kind: deionising resin, after: check, in: laundry}}
  float:      {{kind: float valve, after: resin, fills: reservoir, starts to shut at: 250 mm, quite shut at: 265 mm}}
  reservoir:  {{kind: reservoir, in: study, footprint: 40 cm x 40 cm, rim: 300 mm, bottom: 2 cm above floor,
               starts at: 100 mm}}
  pump:       {{kind: top-off pump, from: reservoir, to: sump, flow: 60 L/h, outlet: 45 cm above floor, driven by: box}}
  sump:       {{kind: sump, in: study, bottom: 10 cm above floor, footprint: 90 cm x 40 cm, rim: 400 mm,
               running level: 240 mm, rises when the return pump stops: 60 mm, return chamber: 15 cm x 40 cm,
               return pump needs: 120 mm}}
  reef:       {{kind: display tank, drains to: sump, surface: 120 cm x 60 cm, volume: 410 L, salinity: 35 ppt,
               power: tank circuit}}
sensors:
  low mark:   {{kind: level switch, type: float, in: sump, calls at: 232 mm, is satisfied at: 240 mm, wired to: box,
               contact: closes when low, read as low when: closed}}
  meter:      {{kind: conductivity meter, {keys}, wired to: box}}
controllers:
  box:        {{power: box circuit, after a restart: {{trips: kept, counts: kept}}, when it hangs: outputs stopped}}
matrix:
  - {{cause: low mark low, effect: {{pump: running}}, at most: 4 min a run, until: cause ends}}
  - {{cause: meter {state}, effect: {{{effect}}}, until: re-armed by hand}}
people:
  keeper:     {{day: {{at home awake: 8 h, asleep: 8 h, out: 8 h}}, reaches the stop tap in: 10 min}}
"""
CLOSES = "contact: closes when {0}, read as {0} when: closed"
OPENS = "contact: opens when {0}, read as {0} when: open"
MUCH = "meter reports that too much is dissolved"
LITTLE = "meter reports that too little is dissolved"
WASTED = "feed valve shuts"


def text(reads: str, limit: str, state: str = "high", contact: str = CLOSES, effect: str = "feed valve: shut") -> str:
    keys = f"reads: {reads}, {limit}, {contact.format(state)}"
    return HOUSE.format(keys=keys, state=state, effect=effect)


def house(*words: str, **more: str) -> Plant:
    return plant_of(text(*words, **more))


def ran(plant: Plant, *ills: Ill, days: float = 1.0) -> Told:
    return run(plant, "travelling", days * DAY, ills, compiled=True)


def product(plant: Plant) -> float:
    """What the product holds while a fill goes on: what has come into an empty reservoir over a day [kg/m3]."""
    told = ran(plant, Ill("resin: exhausted", 0.0))
    (steady,) = (one.steady for one in told.consequence.products)
    return steady


# --- in a line -------------------------------------------------------------------------------------------------------


def test_behind_the_membrane_it_finds_what_that_lets_through() -> None:
    """At 98 % rejection and 300 ppm about 7 ppm: a limit below is passed within minutes, one above never."""
    holds = product(house("check", "limit: 50 ppm")) * 1e3
    assert 5.0 < holds < 10.0
    told = ran(house("check", f"limit: {0.9 * holds:.3f} ppm"))
    assert told.at(MUCH)[0] < 900.0
    assert told.at(WASTED)
    assert not ran(house("check", f"limit: {1.1 * holds:.3f} ppm")).at(MUCH)


def test_behind_the_resin_it_is_silent_until_that_is_spent_and_tells_within_minutes() -> None:
    """The resin is spent after an hour of a fill; ten minutes until the water is looked at, and its delay."""
    plant = house("resin", "limit: 2 ppm, told after: 60 s")
    assert not ran(plant).at(MUCH)
    told = ran(plant, Ill("resin: exhausted", HOUR))
    assert HOUR + 60.0 <= told.at(MUCH)[0] <= HOUR + 660.0
    assert told.at(WASTED)


def test_behind_the_membrane_it_tells_a_torn_one() -> None:
    plant = house("check", "conductivity limit: 40 uS/cm")  # 20 ppm
    assert not ran(plant).at(MUCH)
    assert ran(plant, Ill("membrane: torn", 0.0)).at(MUCH)


def test_a_microsiemens_is_half_a_milligram_a_litre() -> None:
    given: dict[str, Any] = {"conductivity limit": 20e-4, "read as high when": "closed"}
    assert mark(sampled(KIND, "it", {}, given))[0] == pytest.approx(10e-3)


# --- in a vessel -----------------------------------------------------------------------------------------------------


def test_in_a_tank_it_tells_of_salt_that_the_top_off_no_longer_replaces() -> None:
    """The pump is dead: S = S0 V / (V - e t), by what has evaporated until then; 36 ppt at a thirty-sixth of it."""
    told = ran(house("sump", "salinity limit: 36 ppt"), Ill("pump: does not run", 0.0), days=10.0)
    (when,) = told.at(MUCH)
    system = told.plant.arrays
    held = sum(system.store_start[i] for i, body in enumerate(system.store_body) if system.body_start[body] > 30.0)
    first = system.body_start[system.store_body[told.plant.stores.index("reef")]]
    limit = 36e-3 * density(36.0, 298.15)
    air = sum(flow for flow, end in zip(system.edge_p1, system.edge_b, strict=True) if system.node_rkind[end] == 3)
    assert when - 30.0 == pytest.approx(held * (1.0 - first / limit) / air, rel=0.01)


@pytest.mark.parametrize("vessel", ["sump", "reef"])
def test_in_a_tank_it_tells_of_too_much_fresh_water(vessel: str) -> None:
    """The pump runs on at 60 L/h into about 500 L: 34 ppt after some 15 L; its box stops it, which the pump does not
    heed, so that the row is only told."""
    plant = house(vessel, "salinity limit: 34 ppt", "low")
    told = ran(plant, Ill("pump: runs on", HOUR))
    (when,) = told.at(LITTLE)
    a = plant.arrays
    body = a.store_body[plant.stores.index("reef")]
    held = sum(v for v, own in zip(a.store_start, a.store_body, strict=True) if own == body)
    limit = 34e-3 * density(34.0, 298.15)
    assert salinity_of(limit, 298.15) == pytest.approx(34.0, abs=1e-6)
    need = held * (a.body_start[body] / limit - 1.0)  # fresh water until then [m3]
    assert when - HOUR - 30.0 == pytest.approx(need / (60e-3 / HOUR), rel=0.06)  # and what evaporates meanwhile


def test_one_in_a_tank_says_nothing_while_nothing_fails() -> None:
    assert not ran(house("sump", "salinity limit: 36 ppt"), days=10.0).at(MUCH)
    assert not ran(house("sump", "salinity limit: 34 ppt", "low"), days=10.0).at(LITTLE)


# --- contact and faults ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("contact", "says"), [(CLOSES, False), (OPENS, True)])
def test_a_broken_wire_reads_as_an_open_contact(contact: str, says: bool) -> None:
    plant = house("resin", "limit: 2 ppm", contact=contact)
    assert bool(ran(plant, Ill("meter: wire broken", HOUR)).at(MUCH)) is says
    spent = Ill("resin: exhausted", 0.0)
    assert bool(ran(plant, spent, Ill("meter: wires touch", 0.0)).at(MUCH)) is not says


def test_a_fouled_cell_finds_nothing_for_ever() -> None:
    told = ran(house("resin", "limit: 2 ppm"), Ill("resin: exhausted", 0.0), Ill("meter: reads low for ever", 0.0))
    assert not told.at(MUCH)
    assert not told.at(WASTED)


def test_a_cell_that_reads_high_shuts_the_feed_for_nothing() -> None:
    told = ran(house("resin", "limit: 2 ppm"), Ill("meter: reads high for ever", HOUR))
    assert told.at(MUCH) == [pytest.approx(HOUR + 30.0)]
    assert told.at(WASTED)


@pytest.mark.parametrize(("fault", "says"), [("reads low for ever", True), ("reads high for ever", False)])
def test_the_same_faults_of_one_that_tells_of_too_little(fault: str, says: bool) -> None:
    told = ran(house("sump", "salinity limit: 34 ppt", "low"), Ill(f"meter: {fault}", HOUR), Ill("pump: runs on", HOUR))
    early = [when for when in told.at(LITTLE) if when < HOUR + 60.0]
    assert bool(early) is says
    assert bool(told.at(LITTLE)) is says


# --- the file --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reads", "limit", "code"),
    [
        ("resin", "told after: 10 s", "conductivity-limit"),
        ("resin", "limit: 2 ppm, salinity limit: 35 ppt", "conductivity-limit"),
        ("resin", "limit: 2 ppm, read as low when: open", "conductivity-state"),
        ("resin", "limit: 2", ""),
        ("resin", "salinity limit: 2 ppm", ""),
        ("nothing there", "limit: 2 ppm", ""),
        ("float", "limit: 2 ppm", "D247"),
        ("box", "limit: 2 ppm", "D062"),
    ],
)
def test_bad_input_is_told(reads: str, limit: str, code: str) -> None:
    try:
        found = check(read_text(text(reads, limit), "h.yaml"))
    except DesignError as told:
        found = tuple(told.findings)
    errors = [finding for finding in found if finding.level == "error"]
    assert errors
    assert all(finding.where and finding.what and finding.remedy for finding in errors)
    assert code in {finding.code for finding in errors} | {""}


def test_what_it_looks_at_still_has_to_lead_on() -> None:
    """A meter behind a resin is nothing that has its water from it."""
    whole = text("resin", "limit: 2 ppm")
    open_ended = whole.replace("after: resin, fills", "after: stop tap, fills").replace(
        "feed valve: {kind: solenoid valve, after: stop tap", "feed valve: {kind: solenoid valve, after: supply"
    )
    codes = {finding.code for finding in check(read_text(open_ended, "h.yaml"))}
    assert "D100" in codes
    assert "D100" not in {finding.code for finding in check(read_text(whole, "h.yaml"))}


def test_the_matrix_knows_its_contact() -> None:
    (sensor,) = (one for one in build(read_text(text("resin", "limit: 2 ppm"), "h.yaml")).sensors.values()
                 if one.part == "meter")  # fmt: skip
    assert (sensor.sort, sensor.state, sensor.otherwise) == ("contact", "high", "normal")
    assert (sensor.contact, sensor.read_when) == ("closes when high", "closed")
    assert math.isfinite(mark(sampled(KIND, "it", {}, {"limit": 2e-3, "read as high when": "open"}))[0])

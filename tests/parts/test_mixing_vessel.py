"""A vessel filled by hand: what it asks for, and whole runs of a small house against litres worked out by hand."""

import math

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.parts.base import Level
from dewpond.parts.mixing_vessel import KIND
from dewpond.plant import engine
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Plant, Scenario
from dewpond.plant.trace import Trace
from tests.parts.recording import Recording, lowered, sampled

MINUTE, HOUR = 60.0, 3600.0
BOX = {"in": "laundry", "footprint": (0.5, 0.4), "rim": 0.6, "bottom": Level(0.0, "floor")}

# Two openings of 12 L/min at 1 bar in a row under 4 bar at 50 cm, less 10 cm of head up to the rim.
HOUSE = """
format: 1
title: A vessel filled by hand (invented)
shown in: metric
supply: {{pressure: 4 bar, temperature: {{winter: 8 C, summer: 18 C}}, dissolved solids: 0 ppm}}
places:
  laundry:   {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
  tray:      {{kind: tray, in: laundry, size: 80 cm x 60 cm, rim: 40 mm}}
water:
{valve}
  tub:       {{kind: mixing vessel, after: {after}, in: {place}, footprint: 50 cm x 40 cm, rim: 60 cm,
              bottom: 0 cm above floor{more}}}
people:
  keeper:    {{day: {{at home awake: 8 h, asleep: 8 h, out: 8 h}}, notices water after: 30 min,
              notices water in a tray after: 2 h, sees puddles from: 0.5 L, reaches the stop tap in: 10 min}}
"""
STOP_TAP = "  stop tap:  {kind: hand valve, after: supply, in: laundry}"
RATE = 12.0 * math.sqrt((4e5 - 999.8 * 9.80665 * 0.1) / 2.0 / 1e5)  # [L/min]
FULL = 120.0  # [L]
FORGOTTEN = "tub: fill left running"


def text(more: str = "", place: str = "laundry", valve: str = STOP_TAP, after: str = "stop tap") -> str:
    return HOUSE.format(more=more, place=place, valve=valve, after=after)


def house(**given: str) -> Plant:
    return lower(read_text(text(**given), "house.yaml"))


def run(plant: Plant, hours: float, *labels: str, who: str = "travelling") -> Trace:
    onsets = tuple(Onset(label, 0.0) for label in labels)
    return engine.run(plant, Scenario(who, hours * HOUR, onsets, STARTS[who]), compiled=True)


def told(plant: Plant, trace: Trace) -> Consequence:
    return judge(plant, trace)


def fallen(plant: Plant, trace: Trace, place: str = "laundry") -> float:
    return trace.place_total[[p.name for p in plant.places].index(place)] * 1e3


# --- what it asks for ------------------------------------------------------------------------------------------------


def made(**given: object) -> Recording:
    return lowered(KIND, {**BOX, **{key.replace("_", " "): value for key, value in given.items()}})


def test_it_stands_empty_unless_told_and_holds_no_salt_unless_told() -> None:
    spec = made().vessel("it")
    assert (spec.start, spec.dissolved, spec.tank) == (0.0, 0.0, False)
    assert spec.volume_at(0.6) == pytest.approx(0.12)
    assert made(stands_usually=Level(0.1, "rim")).vessel("it").start == pytest.approx(0.5)


def test_salt_water_in_it_holds_its_salt() -> None:
    """35 g/kg at 21 C: 1024.5 kg/m3 (sea water tables), 35.86 kg/m3."""
    assert made(holds="salt water").vessel("it").dissolved == pytest.approx(35.86, rel=5e-4)
    assert made(holds="salt water", salinity=0.0).vessel("it").dissolved == 0.0


def test_its_tap_stands_shut_is_left_open_and_is_shut_by_whoever_acts() -> None:
    asked = made()
    tap = asked.only("orifice")
    end = asked.by_number("node", tap["b"])
    assert end.values == {"kind": "spout", "vessel": "it", "z": pytest.approx(0.6)}
    assert tap["k"] * (12e-3 / 60.0) ** 2 == pytest.approx(1e5)
    ((what, left, value),) = asked.patches("fill left running")
    assert (what, value) == ("force", 1.0)
    gate = asked.by_number("gate", tap["gate"])
    ended = asked.always(True)
    assert asked.hands == [], "nobody runs to it"
    asked.asides[0](ended)
    assert asked.now(gate["signal"], {ended: False}) is False
    assert asked.now(gate["signal"], {left: True, ended: False}) is True
    assert asked.now(gate["signal"], {left: True, ended: True}) is False


def test_its_joint_leaks_at_its_rim_before_its_tap() -> None:
    asked = made(tube_ends=2)
    assert {(one["z"], one["sites"], one["node"]) for one in asked.leaks("joint weeps")} == {
        (0.6, 2.0, asked.only("orifice")["a"])
    }


@pytest.mark.parametrize(
    ("given", "codes"),
    [
        ({"stands usually": Level(0.6)}, []),
        ({"stands usually": Level(0.61)}, ["mixing-level"]),
        ({"salinity": 33.0}, ["mixing-salinity"]),
        ({"salinity": 33.0, "holds": "salt water"}, []),
        ({"bottom": Level(0.1, "bottom")}, ["bottom-from-itself"]),
    ],
)
def test_what_does_not_fit_is_told(given: dict[str, object], codes: list[str]) -> None:
    assert KIND.check is not None
    assert [one.code for one in KIND.check(sampled(KIND, "it", {}, {**BOX, **given}))] == codes


def test_checks_do_not_ask_who_fills_and_empties_it() -> None:
    found = check(read_text(text(), "house.yaml"))
    found = tuple(one for one in found if one.code != "D181")  # its tap hangs straight on the supply
    assert not [one for one in found if one.where == "water: tub"]


# --- whole runs, litres by hand --------------------------------------------------------------------------------------


def test_forgotten_fill_runs_over_the_rim_for_as_long_as_nobody_comes() -> None:
    """16.95 L/min: full after 7.1 min, 897 L over the rim after an hour."""
    plant = house()
    assert pytest.approx(16.95, abs=0.01) == RATE
    assert fallen(plant, run(plant, 7.0 / 60.0, FORGOTTEN)) == 0.0
    trace = run(plant, 1.0, FORGOTTEN)
    assert fallen(plant, trace) == pytest.approx(60.0 * RATE - FULL, rel=1e-3)
    said = told(plant, trace)
    assert said.still_running
    assert said.rim_first["tub"] == pytest.approx(FULL / RATE * MINUTE, rel=1e-3)
    assert fallen(plant, run(plant, 1.0)) == 0.0


def test_it_takes_the_less_the_fuller_it_stands() -> None:
    plant = house(more=", stands usually: 45 cm")
    assert fallen(plant, run(plant, 1.0, FORGOTTEN)) == pytest.approx(60.0 * RATE - 30.0, rel=1e-3)


def test_keeper_at_home_sees_it_and_shuts_it() -> None:
    """0.5 L on the floor, 30 min until it is seen, 10 min until it is shut."""
    plant = house()
    trace = run(plant, 12.0, FORGOTTEN, who="at home")
    assert fallen(plant, trace) == pytest.approx(0.5 + 40.0 * RATE, rel=2e-3)
    said = told(plant, trace)
    assert not said.still_running
    assert said.stopped_by is not None
    assert "keeper shuts stop tap by hand" in said.stopped_by
    assert "the tap of tub is shut by hand" in [m.text for m in said.moments]


@pytest.mark.parametrize("valve", [STOP_TAP, "  # no valve before it"])
def test_its_own_tap_ends_it_where_no_other_valve_does(valve: str) -> None:
    """A stop tap that does not shut fully, or none at all: the tap of the vessel is at hand."""
    sound = valve == STOP_TAP
    plant = house(valve=valve, after="stop tap" if sound else "supply")
    ills = (FORGOTTEN, "stop tap: does not shut fully") if sound else (FORGOTTEN,)
    said = told(plant, run(plant, 24.0, *ills, who="at home"))
    assert not said.still_running
    assert said.stopped is not None
    assert said.stopped < 1.0 * HOUR
    acts = [m.text for m in said.moments if m.kind == "act"]
    assert acts == [f"keeper {'shuts stop tap by hand and ' if sound else ''}unplugs the top-off pumps"]


def test_tray_under_it_holds_the_first_litres_and_hides_them() -> None:
    """0.48 m2 x (40 mm + film): about 20 L before the floor gets wet; the floor's water is what is seen first."""
    plant = house(place="tray")
    trace = run(plant, 1.0, FORGOTTEN)
    over = 60.0 * RATE - FULL
    assert fallen(plant, trace, "tray") == pytest.approx(over, rel=1e-3)
    assert fallen(plant, trace) == pytest.approx(over - 480.0 * (0.04 + 0.0027), rel=2e-3)


def test_salt_in_it_is_diluted_and_goes_over_the_rim_with_the_water() -> None:
    """60 L of salt water, filled up to 120 L; what goes over is mixed: exp(-V/120 L) of the salt is left."""
    plant = house(more=", stands usually: 30 cm, holds: salt water")
    trace = run(plant, 0.5, FORGOTTEN)
    over = fallen(plant, trace)
    assert over == pytest.approx(30.0 * RATE - 60.0, rel=1e-3)
    before = plant.arrays.body_start[0] * 0.06
    assert trace.salt[0] / before == pytest.approx(math.exp(-over / FULL), rel=5e-3)


def test_tap_that_drips_fills_it_in_months_and_nobody_is_there_to_see() -> None:
    """4e-5 x 12 L/min x sqrt(3.99) = 1.38 L a day, 3 % less by the laminar end that the plant gives every opening;
    110 L stand in it, so the rim is reached in 7 days."""
    plant = house(more=", stands usually: 55 cm")
    daily = 4e-5 * 12.0 * math.sqrt(3.99) * 1440.0
    trace = run(plant, 20.0 * 24.0, "tub: tap drips")
    assert fallen(plant, trace) == pytest.approx(20.0 * 0.97 * daily - 10.0, rel=0.01)


def test_crack_lets_out_what_stands_in_it() -> None:
    plant = house(more=", stands usually: 30 cm")
    assert fallen(plant, run(plant, 48.0, "tub: cracks")) == pytest.approx(60.0, abs=0.1)
    empty = house()
    assert fallen(empty, run(empty, 48.0, "tub: cracks")) == pytest.approx(0.0, abs=1e-6)


def test_endless_fill_washes_the_salt_out_as_the_tank_reference_reckons() -> None:
    """300 L at 35, room for 40 L, 100 L run in: S0 V/(V+F) exp(-(v - F)/(V+F)) = 25.89, and 60 L on the floor."""
    big = text(", stands usually: 60 cm, holds: salt water").replace("50 cm x 40 cm", "100 cm x 50 cm")
    plant = lower(read_text(big.replace("rim: 60 cm", "rim: 68 cm"), "house.yaml"))
    rate = 12.0 * math.sqrt((4e5 - 999.8 * 9.80665 * 0.18) / 2.0 / 1e5)
    trace = run(plant, 100.0 / rate / 60.0, FORGOTTEN)
    assert fallen(plant, trace) == pytest.approx(60.0, abs=0.1)
    assert 35.0 * trace.salt[0] / (plant.arrays.body_start[0] * 0.34) == pytest.approx(25.89, abs=0.01)

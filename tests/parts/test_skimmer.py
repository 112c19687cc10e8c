"""A skimmer: what it asks for, and whole runs of a tank with a sump against litres and salinities by hand."""

import math

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.parts.base import Level, PartView
from dewpond.parts.reservoir import KIND as VESSEL
from dewpond.parts.skimmer import KIND
from dewpond.plant import engine
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Plant, Scenario
from dewpond.plant.trace import Trace
from tests.parts.recording import Recording, lowered, sampled

HOUR, DAY = 3600.0, 86400.0
OVER = "skimmer: overflows"

# The sump holds 0.36 m2 x 26 cm up to its baffle, but for 2 cm in the return chamber of 0.06 m2: 92.4 L; the tank holds
# 207.6 L: together 300 L, as in the tank reference. Nothing evaporates.
HOUSE = """
format: 1
title: A skimmer in a sump (invented)
shown in: metric
supply: {{pressure: 3 bar, temperature: {{winter: 8 C, summer: 18 C}}, dissolved solids: 0 ppm}}
places:
  study:     {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
  gully:     {{kind: waste drain, in: study}}
water:
  stop tap:  {{kind: hand valve, after: supply, in: study}}
{feed}
  sump:      {{kind: sump, in: study, bottom: 10 cm above floor, footprint: 90 cm x 40 cm, rim: 400 mm,
              running level: 240 mm, rises when the return pump stops: 60 mm, return chamber: 15 cm x 40 cm,
              return pump needs: 120 mm}}
  reef:      {{kind: display tank, drains to: sump, surface: 100 cm x 50 cm, volume: 207.6 L, salinity: 35 ppt,
              evaporation: 0 L/day, power: tank circuit}}
  skimmer:   {{kind: skimmer, in: sump{more}}}
power:
  tank circuit: {{}}
people:
  keeper:    {{day: {{at home awake: 8 h, asleep: 8 h, out: 8 h}}, notices water after: 30 min,
              sees puddles from: 0.5 L, reaches the stop tap in: 10 min}}
"""
FLOAT = "  float: {kind: float valve, after: stop tap, fills: sump, starts to shut at: 235 mm, quite shut at: 241 mm}"
LITRES = 300.0


def text(more: str = "", feed: str = FLOAT) -> str:
    return HOUSE.format(more=more, feed=feed)


def house(more: str = "", feed: str = FLOAT) -> Plant:
    return lower(read_text(text(more, feed), "house.yaml"))


def run(plant: Plant, time: float, *labels: str, who: str = "travelling") -> Trace:
    onsets = tuple(Onset(label, 0.0) for label in labels)
    return engine.run(plant, Scenario(who, time, onsets, STARTS[who]), compiled=True)


def told(plant: Plant, trace: Trace) -> Consequence:
    return judge(plant, trace)


def salinity(plant: Plant, trace: Trace) -> float:
    (tank,) = told(plant, trace).tanks
    assert tank.end is not None
    return tank.end


def fallen(plant: Plant, trace: Trace) -> float:
    return trace.place_total[[p.name for p in plant.places].index("study")] * 1e3


# --- what it asks for ------------------------------------------------------------------------------------------------


def skimmer(**given: object) -> Recording:
    others: dict[str, PartView] = {}
    box = {"in": "study", "rim": 0.4, "footprint": (0.9, 0.4), "bottom": Level(0.1, "floor"), "starts at": Level(0.24)}
    others["sump"] = sampled(VESSEL, "sump", others, box)
    keys = {key.replace("_", " "): value for key, value in given.items()}
    return lowered(KIND, {"in": "sump", **keys}, others)


def streams(asked: Recording) -> dict[str, float]:
    """Flows [L/day] by where they go."""
    ends = ((asked.by_number("node", one["b"]), one["flow"]) for one in asked.every("fixed flow"))
    return {str(end.values.get("place", end["kind"])): flow * 1e3 * DAY for end, flow in ends}


def test_it_wastes_a_quarter_of_a_litre_a_day_and_foams_over_at_twenty_an_hour() -> None:
    assert streams(skimmer()) == {"drain end": pytest.approx(0.25), "study": pytest.approx(480.0)}
    led = streams(skimmer(skimmate=0.4e-3 / DAY, skimmate_to="gully", overflows_at=5e-3 / HOUR))
    assert led == {"gully": pytest.approx(0.4), "study": pytest.approx(120.0)}
    assert list(streams(skimmer(skimmate=0.0))) == ["study"]


def test_what_it_takes_carries_its_salt_with_it() -> None:
    assert [one["passage"] for one in skimmer().every("fixed flow")] == [1.0, 1.0]


def test_it_works_while_it_has_power_and_water_and_foams_over_until_a_hand_switches_it_off() -> None:
    asked = skimmer(power="tank circuit", inlet=Level(0.08))
    cup, over = (asked.by_number("gate", one["gate"]) for one in asked.every("fixed flow"))
    assert [(gate["vessel"], gate["shut"]) for gate in (cup, over)] == [("sump", 0.08)] * 2
    live = asked.given_back("circuit", name="tank circuit")
    ((what, foams, value),) = asked.patches("overflows")
    assert (what, value) == ("force", 1.0)
    ended = asked.always(True)
    asked.asides[0](ended)
    assert asked.now(cup["also"], {live: True}) is True
    assert asked.now(cup["also"], {live: False}) is False
    assert asked.now(over["also"], {live: True, ended: False}) is False
    assert asked.now(over["also"], {live: True, foams: True, ended: False}) is True
    assert asked.now(over["also"], {live: False, foams: True, ended: False}) is False
    assert asked.now(over["also"], {live: True, foams: True, ended: True}) is False


def test_checks_object_to_nothing_of_it() -> None:
    assert not [one for one in check(read_text(text(), "house.yaml")) if one.where == "water: skimmer"]
    found = check(read_text(text(", inlet: 50 cm"), "house.yaml"))
    assert "D114" in {one.code for one in found if one.where == "water: skimmer"}


# --- whole runs ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("daily", "after_a_month"), [(0.25, 34.14), (0.4, 33.63)])
def test_salt_it_wastes_is_missed_after_a_month(daily: float, after_a_month: float) -> None:
    """Rows of the tank reference, S0 exp(-L t / V) in 300 L that are held full with fresh water. Here the litres are
    held, not the kilograms: of the salt just that share is left, of the salinity 2.6 % of the change more at most."""
    plant = house(f", skimmate: {daily} L/day")
    assert sum(plant.arrays.store_start) * 1e3 == pytest.approx(LITRES, rel=1e-6)
    trace = run(plant, 30.0 * DAY)
    left = trace.salt[0] / (plant.arrays.body_start[0] * LITRES * 1e-3)
    assert left == pytest.approx(math.exp(-daily * 30.0 / LITRES), rel=5e-5)
    lies_over = salinity(plant, trace) - after_a_month
    assert 0.0 <= lies_over <= 0.026 * (35.0 - after_a_month)
    assert fallen(plant, trace) == 0.0


def test_it_foams_over_until_the_sump_is_below_its_inlet() -> None:
    """19 cm x 0.06 m2 of the return chamber, 11.4 L; and what comes down when the return pump draws air: up 60 mm,
    20 mm in the chamber and 40 mm in the whole sump, 1.2 L + 14.4 L. Together 27 L."""
    plant = house(", skimmate: 0 L/day", feed="")
    trace = run(plant, 2.0 * HOUR, OVER)
    assert fallen(plant, trace) == pytest.approx(27.0, rel=0.02)
    assert fallen(plant, run(plant, 10.0 * DAY, OVER)) == pytest.approx(27.0, rel=0.02)
    said = told(plant, trace)
    assert said.return_pump_dry is not None
    assert fallen(plant, run(plant, 0.25 * HOUR, OVER)) == pytest.approx(5.0, rel=1e-3)


def test_top_off_keeps_it_foaming_over_and_the_salt_goes_with_it() -> None:
    """20 L/h for a day: 480 L on the floor, and exp(-480 / 300) of the salt is left."""
    plant = house(", skimmate: 0 L/day")
    trace = run(plant, DAY, OVER)
    assert fallen(plant, trace) == pytest.approx(480.0, rel=1e-3)
    assert trace.salt[0] / (plant.arrays.body_start[0] * 0.3) == pytest.approx(math.exp(-1.6), rel=0.01)
    assert told(plant, trace).still_running


def test_keeper_at_home_sees_it_and_switches_it_off() -> None:
    """0.5 L until there is something to see, 40 min until it is off, at 20 L/h."""
    plant = house(", skimmate: 0 L/day")
    trace = run(plant, 12.0 * HOUR, OVER, who="at home")
    assert fallen(plant, trace) == pytest.approx(0.5 + 20.0 * 40.0 / 60.0, rel=2e-3)
    said = told(plant, trace)
    assert not said.still_running
    assert "skimmer is switched off by hand" in [m.text for m in said.moments]


def test_without_power_it_does_not_foam() -> None:
    plant = house(", skimmate: 0 L/day, power: tank circuit")
    cut = next(f.label for f in plant.faults if f.part == "tank circuit" and "9 h" in f.label)
    trace = run(plant, 10.0 * HOUR, OVER, cut)
    assert fallen(plant, trace) == pytest.approx(20.0, rel=0.01)

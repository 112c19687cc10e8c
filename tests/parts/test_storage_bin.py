"""A storage bin: what it asks for, and whole runs of small houses against litres worked out by hand."""

import math

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.parts.base import Level
from dewpond.parts.storage_bin import KIND
from dewpond.physics.water import G
from dewpond.plant import engine
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Plant, Scenario
from dewpond.plant.trace import Trace
from dewpond.study.flows import flows
from tests.parts.recording import Recording, lowered, sampled

HOUR = 3600.0
BOX = {"in": "cellar", "footprint": (0.5, 0.4), "rim": 0.6, "bottom": Level(0.5, "floor")}
AREA = 0.2  # of the bin in the houses below [m2]
FITTING = math.pi / 4.0 * 0.013**2

PLACES = """
format: 1
title: A bin in a cold room (invented)
shown in: metric
supply: {pressure: 4 bar, temperature: {winter: 8 C, summer: 18 C}, dissolved solids: 240 ppm}
places:
  cellar:    {kind: room, size: 4 m x 3 m, floor: sealed concrete}
  gully:     {kind: waste drain, in: cellar}
  study:     {kind: room, size: 4 m x 3 m, floor: glazed tile, floor height: 2.6 m}
controllers:
  box:       {power: house power, after a restart: {trips: kept, counts: kept}, when it hangs: keeps last order}
people:
  keeper:    {day: {at home awake: 8 h, asleep: 8 h, out: 8 h}, notices water after: 30 min,
              sees puddles from: 0.5 L, reaches the stop tap in: 10 min}
water:
  stop tap:  {kind: hand valve, after: supply, in: cellar}
  feed valve: {kind: solenoid valve, after: stop tap, in: cellar, without power: shut, driven by: box}
"""
BIN = """
  bin:       {kind: storage bin, in: cellar, footprint: 50 cm x 40 cm, rim: 60 cm, bottom: 50 cm above floor,
              starts at: %s%s}
"""
# The bin's water stands 40 cm over its bottom, 90 cm over the floor; a line leads down to a low tank.
DOWNHILL = """
  branch:    {kind: tubing, after: bin, size: 1/4 in, length: 5 m, through: [cellar], tube ends: 2}
  low float: {kind: float valve, after: branch, fills: low tank, starts to shut at: 280 mm, quite shut at: 300 mm}
  low tank:  {kind: reservoir, in: cellar, footprint: %s, rim: 40 cm, overflow: none, starts at: 10 cm}
"""
# A reservoir one floor up, whose water stands 20 cm over its bottom and drowns the outlet of its float valve.
UPHILL = """
  high float: {kind: float valve, after: %s, fills: high tank, starts to shut at: 280 mm, quite shut at: 300 mm,
              outlet: %s}
  high tank: {kind: reservoir, in: study, footprint: 40 cm x 40 cm, rim: 40 cm, overflow: none, starts at: 20 cm}
"""


def house(*parts: str) -> Plant:
    return lower(read_text(PLACES + "".join(parts), "house.yaml"))


def run(plant: Plant, hours: float, *labels: str, at: float = 0.0, who: str = "travelling") -> Trace:
    latent = {f.label for f in plant.faults if f.timing == "latent"}
    onsets = tuple(Onset(label, 0.0 if label in latent else at) for label in labels)
    return engine.run(plant, Scenario(who, hours * HOUR, onsets, STARTS[who]), compiled=True)


def told(plant: Plant, trace: Trace) -> Consequence:
    return judge(plant, trace)


def gained(plant: Plant, trace: Trace, vessel: str) -> float:
    """Litres that a vessel has gained over the run."""
    number = plant.stores.index(vessel)
    return (trace.volume[number] - plant.arrays.store_start[number]) * 1e3


def fallen(plant: Plant, trace: Trace, place: str) -> float:
    return trace.place_total[[p.name for p in plant.places].index(place)] * 1e3


def run_out(head: float, hole: float, time: float) -> float:
    """Torricelli: litres out of a hole [m2] with a coefficient of 0.7 under a falling head [m]."""
    left = max(math.sqrt(head) - 0.7 * hole / AREA * math.sqrt(2.0 * G) * time / 2.0, 0.0) ** 2
    return (head - left) * AREA * 1e3


# --- what it asks for ------------------------------------------------------------------------------------------------


def made(**given: object) -> Recording:
    return lowered(KIND, {**BOX, **{key.replace("_", " "): value for key, value in given.items()}})


def test_it_is_a_box_that_loses_nothing_to_the_air() -> None:
    asked = made()
    spec = asked.vessel("it")
    assert spec.volume_at(0.6) == pytest.approx(0.12)
    assert (spec.bottom, spec.place, spec.dissolved, spec.start) == (0.5, "cellar", 0.0, pytest.approx(0.55))
    assert asked.every("fixed flow") == []
    assert "evaporation" not in {param.key for param in KIND.params}


def test_its_line_leaves_at_the_height_of_its_fitting_and_may_lead_back_into_it() -> None:
    asked = made(bulkhead_fitting=Level(0.08))
    (forth, inwards), back = asked.every("orifice"), asked.only("check")
    out = asked.by_number("node", forth["b"])
    assert out.values == {"kind": "port", "port": "out", "z": pytest.approx(0.58)}
    gate = asked.by_number("gate", forth["gate"])
    assert (gate["vessel"], gate["shut"], gate["opened"]) == ("it", pytest.approx(0.08), pytest.approx(0.085))
    assert (back["a"], back["cracking"]) == (forth["b"], 0.0)
    assert back["b"] == inwards["a"]
    end = asked.by_number("node", inwards["b"])
    assert end.values == {"kind": "spout", "vessel": "it", "z": pytest.approx(0.58)}
    area = math.pi / 4.0 * 0.013**2
    assert forth["k"] == pytest.approx(1.5 * 1000.0 / (2.0 * area * area))  # 1.5 velocity heads


def test_its_fitting_leaks_where_it_sits() -> None:
    asked = made(bulkhead_fitting=Level(0.08), fitting_bore=0.02)
    for fault, across in (("fitting weeps", 0.2e-3), ("fitting blows off", 0.02)):
        (leak,) = asked.leaks(fault)
        assert (leak["z"], leak["place"]) == (pytest.approx(0.58), "cellar")
        assert leak["area"] == pytest.approx(math.pi / 4.0 * across**2)


def test_drain_tap_runs_on_its_place_or_where_it_is_led_until_a_hand_shuts_it() -> None:
    for to, place in ((None, "cellar"), ("gully", "gully")):
        asked = made(drain_tap={"at": Level(0.02), "bore": 0.01, "to": to})
        ((what, left, value),) = asked.patches("drain tap left open")
        assert (what, value) == ("force", 1.0)
        end = next(one for one in asked.every("node") if one["kind"] == "open end")
        assert (end["place"], end["z"]) == (place, pytest.approx(0.52))
        gate = asked.by_number("gate", next(one for one in asked.every("orifice") if one["b"] == end.number)["gate"])
        ended = asked.always(True)
        asked.asides[0](ended)
        assert asked.hands == []
        assert asked.now(gate["signal"], {left: True, ended: False}) is True
        assert asked.now(gate["signal"], {left: True, ended: True}) is False
        assert asked.now(gate["signal"], {left: False, ended: False}) is False
    assert "drain tap left open" not in {name for name, _ in made().tied()}


@pytest.mark.parametrize(
    ("given", "codes"),
    [
        ({"bulkhead fitting": Level(0.6)}, ["bin-fitting"]),
        ({"bulkhead fitting": Level(0.1, "rim")}, []),
        ({"drain tap": {"at": Level(0.7), "bore": 0.01, "to": None}}, ["bin-drain-tap"]),
        ({"overflow": {"at": Level(0.7), "bore": 0.02, "to": None, "shape": "upright pipe"}}, ["overflow-above-rim"]),
        ({"bottom": Level(0.1, "bottom")}, ["bottom-from-itself"]),
    ],
)
def test_what_lies_outside_it_is_refused(given: dict[str, object], codes: list[str]) -> None:
    assert KIND.check is not None
    assert [one.code for one in KIND.check(sampled(KIND, "it", {}, {**BOX, **given}))] == codes


def test_checks_know_that_a_line_draws_from_it() -> None:
    def codes(*parts: str) -> set[str]:
        found = check(read_text(PLACES + "".join(parts), "house.yaml"))
        return {f"{one.code} {one.where}" for one in found}

    alone = codes(BIN % ("40 cm", ""))
    assert {"D102 water: bin", "D103 water: bin"} <= alone
    branched = codes(BIN % ("40 cm", ""), DOWNHILL % "50 cm x 40 cm")
    assert "D103 water: bin" not in branched
    assert "D102 water: bin" in branched
    filled = BIN % ("40 cm", ", overflow: {at: 55 cm, bore: 20 mm, to: gully}, drain tap: {to: gully}")
    filled += (
        "  bin float: {kind: float valve, after: feed valve, fills: bin, starts to shut at: 480 mm, quite shut at: "
    )
    told = codes(filled + "500 mm}\n", DOWNHILL % "50 cm x 40 cm")
    assert not {one for one in told if one.endswith((": bin", ": bin float"))}, (
        "an overflow and a fitting are two things"
    )
    assert "D133 water: bin float" in codes(filled + "560 mm}\n", DOWNHILL % "50 cm x 40 cm")


def test_flows_tell_what_runs_through_it() -> None:
    """After 15 min 88 cm of water stand over 40 cm, 4.69 kPa. At 4.8 mL/s, laminar in 5 m of 4.318 mm (Hagen-Poiseuille
    at 8 C, 1.386 mPa s) 3.90 kPa are lost, in the seat of 3 mm 0.47 kPa, and velocity heads of 54 Pa at the ends."""
    plant = house(BIN % ("40 cm", ""), DOWNHILL % "50 cm x 40 cm")
    rows = {row.part: row for row in flows(plant, compiled=True).rows}
    assert rows["bin"].flow == pytest.approx(4.8e-6, rel=0.02)
    assert rows["low float"].flow == pytest.approx(rows["bin"].flow, rel=1e-4)
    assert flows(house(BIN % ("40 cm", "")), compiled=True).fills == ()


# --- whole runs, litres by hand --------------------------------------------------------------------------------------


def test_it_feeds_a_lower_tank_through_a_line_until_that_is_full() -> None:
    """From 10 cm to 30 cm the tank of 0.2 m2 takes 40 L, and the bin falls by as much."""
    plant = house(BIN % ("40 cm", ""), DOWNHILL % "50 cm x 40 cm")
    trace = run(plant, 200.0)
    assert gained(plant, trace, "low tank") == pytest.approx(40.0, abs=0.4)
    assert gained(plant, trace, "bin") == pytest.approx(-gained(plant, trace, "low tank"), abs=1e-3)


def test_it_gives_no_more_than_stands_above_its_fitting() -> None:
    """5 cm over its bottom: (40 - 5) cm x 0.2 m2 = 70 L, though the tank of 0.8 m2 would take 160 L."""
    plant = house(BIN % ("40 cm", ""), DOWNHILL % "100 cm x 80 cm")
    trace = run(plant, 300.0)
    assert gained(plant, trace, "bin") == pytest.approx(-70.0, abs=0.5)
    assert told(plant, trace).reservoir_empty is not None


def test_high_tank_runs_back_into_it_through_the_branch_line() -> None:
    """From 20 cm down to the drowned outlet 5 cm over the bottom: 15 cm x 0.16 m2 = 24 L. With the outlet above the
    water, nothing."""
    for outlet, litres in (("5 cm above bottom", 24.0), ("0 mm below rim", 0.0)):
        plant = house(BIN % ("10 cm", ""), UPHILL % ("bin", outlet))
        trace = run(plant, 200.0)
        assert gained(plant, trace, "bin") == pytest.approx(litres, abs=0.2)
        assert gained(plant, trace, "high tank") == pytest.approx(-litres, abs=0.2)
        assert fallen(plant, trace, "cellar") == pytest.approx(0.0, abs=1e-6)


def test_it_may_be_dry_and_still_be_run_back_into() -> None:
    plant = house(BIN % ("2 cm", ""), UPHILL % ("bin", "5 cm above bottom"))
    assert gained(plant, run(plant, 200.0), "bin") == pytest.approx(24.0, abs=0.2)


def test_high_tank_runs_back_into_it_through_the_line_that_fills_both() -> None:
    """Two float valves after one valve that is shut: the high tank runs into the bin until the bin's float is shut, at
    25 cm, 15 cm higher: 30 L it would take, 24 L are there; from 20 cm on it takes but 10 L."""
    both = """
  bin float: {kind: float valve, after: feed valve, fills: bin, starts to shut at: 230 mm, quite shut at: 250 mm}
"""
    for start, litres in (("10 cm", 24.0), ("20 cm", 10.0)):
        plant = house(both, BIN % (start, ""), UPHILL % ("feed valve", "5 cm above bottom"))
        trace = run(plant, 300.0)
        assert gained(plant, trace, "bin") == pytest.approx(litres, abs=0.4)
        assert gained(plant, trace, "high tank") == pytest.approx(-litres, abs=0.4)


def test_what_runs_back_goes_over_the_rim_of_a_full_bin() -> None:
    """3 cm below its rim it takes 6 L of the 24 L; the rest falls on the cellar's floor."""
    plant = house(BIN % ("57 cm", ""), UPHILL % ("bin", "5 cm above bottom"))
    trace = run(plant, 200.0)
    assert fallen(plant, trace, "cellar") == pytest.approx(18.0, abs=0.2)
    with_overflow = house(BIN % ("50 cm", ", overflow: {at: 55 cm, bore: 20 mm, to: gully}"),
                          UPHILL % ("bin", "5 cm above bottom"))  # fmt: skip
    trace = run(with_overflow, 200.0)
    assert fallen(with_overflow, trace, "cellar") == pytest.approx(0.0, abs=1e-6)
    assert gained(with_overflow, trace, "bin") == pytest.approx(10.0, abs=0.5)
    blocked = run(with_overflow, 200.0, "bin: overflow blocked")
    assert fallen(with_overflow, blocked, "cellar") == pytest.approx(4.0, abs=0.2)


def test_blown_off_fitting_empties_it_by_the_law_of_torricelli() -> None:
    plant = house(BIN % ("40 cm", ""))
    for minutes in (2.0, 5.0, 30.0):
        trace = run(plant, minutes / 60.0, "bin: fitting blows off")
        expected = run_out(0.35, FITTING, minutes * 60.0)
        assert fallen(plant, trace, "cellar") == pytest.approx(expected, rel=0.005, abs=0.02)
        assert gained(plant, trace, "bin") == pytest.approx(-fallen(plant, trace, "cellar"), abs=1e-6)


def test_weeping_fitting_gives_a_fifth_of_a_litre_an_hour() -> None:
    """0.7 x 0.0314 mm2 x sqrt(2 g 0.35 m) = 0.0576 mL/s, 4.96 L in the first day."""
    plant = house(BIN % ("40 cm", ""))
    trace = run(plant, 24.0, "bin: fitting weeps")
    assert fallen(plant, trace, "cellar") == pytest.approx(4.96, rel=0.05)


def test_drain_tap_left_open_runs_until_somebody_at_home_has_seen_it() -> None:
    """0.5 L on the floor is there in seconds; 30 min until it is seen, 10 min until it is shut."""
    plant = house(BIN % ("40 cm", ", drain tap: {at: 2 cm, bore: 4 mm}"))
    hole = math.pi / 4.0 * 0.004**2
    begun = 0.5e-3 / (0.7 * hole * math.sqrt(2.0 * G * 0.38))
    trace = run(plant, 12.0, "bin: drain tap left open", who="at home")
    assert fallen(plant, trace, "cellar") == pytest.approx(run_out(0.38, hole, begun + 40.0 * 60.0), rel=0.01)
    said = told(plant, trace)
    assert said.still_running is False
    assert "the drain tap of bin is shut by hand" in [m.text for m in said.moments]
    away = run(plant, 100.0, "bin: drain tap left open")
    assert fallen(plant, away, "cellar") == pytest.approx(76.0, abs=0.2)


def test_drain_tap_over_a_gully_wets_nothing_and_nobody_sees_it() -> None:
    plant = house(BIN % ("40 cm", ", drain tap: {at: 2 cm, bore: 4 mm, to: gully}"))
    trace = run(plant, 100.0, "bin: drain tap left open", who="at home")
    assert fallen(plant, trace, "cellar") == pytest.approx(0.0, abs=1e-6)
    assert gained(plant, trace, "bin") == pytest.approx(-76.0, abs=0.2)
    assert told(plant, trace).reservoir_empty is not None


def test_sound_it_stays_as_it_is() -> None:
    plant = house(BIN % ("40 cm", ", drain tap: {at: 2 cm, bore: 4 mm}"))
    assert gained(plant, run(plant, 500.0), "bin") == pytest.approx(0.0, abs=1e-3)

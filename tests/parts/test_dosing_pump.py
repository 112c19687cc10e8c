"""A dosing pump: what it asks for, and whole runs of a small house against litres worked out by hand."""

import math

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.parts.base import Level, PartView
from dewpond.parts.dosing_pump import KIND
from dewpond.parts.reservoir import KIND as VESSEL
from dewpond.physics.water import G
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Plant, Scenario
from dewpond.plant.trace import Trace
from tests.parts.recording import Recording, lowered, sampled

LITRES_AN_HOUR = 1e-3 / 3600.0
HOUR = 3600.0

# A reservoir of 0.16 m2 whose inlet lies 12 cm above the floor and whose water stands 60 cm above it; a tank of 0.24 m2
# that is 2 mm short when the story begins, so that the pump runs once: 0.48 L in 24 min.
HOUSE = """
format: 1
title: A reservoir above the tank that a dosing pump fills (invented)
shown in: metric
places:
  study:      {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
  shelf:      {{kind: tray, in: study, size: 80 cm x 45 cm, rim: 40 mm}}
water:
  reservoir:  {{kind: reservoir, in: shelf, footprint: 40 cm x 40 cm, rim: 60 cm, bottom: 10 cm above floor,
               overflow: none, starts at: 50 cm}}
  doser:      {{kind: dosing pump, from: reservoir, to: tank, flow: 1.2 L/h, outlet: {outlet} above floor,
               driven by: box, tube ends: 4{more}}}
  tank:       {{kind: display tank, in: study, bottom: 0 cm above floor, surface: 60 cm x 40 cm, volume: 47.52 L,
               salinity: 0 ppt, free above water: 102 mm, evaporation: 0 L/day}}
sensors:
  low mark:   {{kind: level switch, type: optical, in: tank, calls at: 199 mm, is satisfied at: 200 mm, wired to: box,
               contact: closes when low, read as low when: closed}}
controllers:
  box:        {{power: house power, after a restart: {{trips: kept, counts: kept}}, when it hangs: keeps last order}}
power:
  house power: {{}}
matrix:
  - {{cause: low mark low, effect: {{doser: running}}, at most: 2 h a run}}
"""


def house(outlet: str = "45 cm", more: str = "") -> Plant:
    return lower(read_text(HOUSE.format(outlet=outlet, more=more), "house.yaml"))


def run(plant: Plant, hours: float, *labels: str, at: float = 0.0, later: tuple[Onset, ...] = ()) -> Trace:
    latent = {f.label for f in plant.faults if f.timing == "latent"}
    onsets = (*(Onset(label, 0.0 if label in latent else at) for label in labels), *later)
    return engine.run(plant, Scenario("travelling", hours * HOUR, onsets, STARTS["travelling"]), compiled=True)


def litres(plant: Plant, trace: Trace, vessel: str) -> float:
    """What a vessel has gained over the run."""
    number = plant.stores.index(vessel)
    return (trace.volume[number] - plant.arrays.store_start[number]) * 1e3


def fallen(plant: Plant, trace: Trace, place: str) -> float:
    return trace.place_total[[p.name for p in plant.places].index(place)] * 1e3


def left_after(head: float, area: float, hole: float, time: float) -> float:
    """Torricelli: the head left over a hole [m2] with a coefficient of 0.7 in a vessel of upright walls."""
    return (math.sqrt(head) - 0.7 * hole / area * math.sqrt(2.0 * G) * time / 2.0) ** 2


# --- what it asks for ------------------------------------------------------------------------------------------------


def others() -> dict[str, PartView]:
    made: dict[str, PartView] = {}
    box = {"in": "tray", "rim": 0.32, "footprint": (0.4, 0.3), "bottom": Level(0.05, "tray"), "starts at": Level(0.27)}
    made["reservoir"] = sampled(VESSEL, "reservoir", made, box)
    made["tank"] = sampled(VESSEL, "tank", made, {**box, "in": "study", "bottom": Level(0.75, "floor")})
    made["box"] = PartView("box", "box", "", {"power": "study circuit"}, frozenset())
    return made


def pump(**given: object) -> Recording:
    keys = {key.replace("_", " "): value for key, value in given.items()}
    usual = {
        "from": "reservoir",
        "to": "tank",
        "flow": 1.2 * LITRES_AN_HOUR,
        "outlet": Level(1.18, "floor"),
        "driven by": "box",
    }
    return lowered(KIND, {**usual, **keys}, others())


def test_it_gives_its_flow_however_high_its_outlet_stands() -> None:
    for outlet in (0.2, 1.18, 2.4):
        asked = pump(outlet=Level(outlet, "floor"))
        assert asked.only("fixed flow")["flow"] == pytest.approx(1.2 * LITRES_AN_HOUR)
        end = asked.by_number("node", asked.only("tube")["b"])
        assert end.values == {"kind": "spout", "vessel": "tank", "z": pytest.approx(outlet)}


def test_it_runs_on_order_power_and_plug_and_while_its_inlet_is_under_water() -> None:
    asked = pump()
    ((resting, acting, circuit, follow),) = asked.actuators
    assert (resting, acting, circuit) == ("stopped", "running", "study circuit")
    follow(order := asked.always(True), asked.always(True))
    gate = asked.by_number("gate", asked.only("fixed flow")["gate"])
    assert (gate["vessel"], gate["shut"]) == ("reservoir", 0.02)
    power, plug = asked.given_back("circuit", name="study circuit"), asked.given_back("plugged")
    assert asked.now(gate["also"], {power: True}) is True
    assert asked.now(gate["also"], {power: False}) is False
    assert asked.now(gate["also"], {power: True, plug: False}) is False
    assert asked.now(gate["also"], {power: True, order: False}) is False


def test_its_roller_shuts_the_way_through_it_until_it_is_worn() -> None:
    asked = pump()
    ((what, gap, opening),) = asked.patches("rollers worn")
    assert (what, opening, asked.by_number("gate", gap)["kind"]) == ("low", 1.0, "leak")
    way = next(one for one in asked.every("orifice") if one["gate"] == gap)
    assert way["b"] == asked.only("fixed flow")["b"]
    assert way["k"] == pytest.approx(1000.0 / 2.0 / (0.7 * math.pi / 4.0 * 0.3e-3**2) ** 2)


def test_half_of_its_joints_are_before_it_and_one_that_blows_off_there_lets_it_draw_air() -> None:
    asked = pump(tube_ends=6)
    assert {(one["where"], one["sites"]) for one in asked.leaks("joint weeps")} == {
        ("before the pump", 3.0),
        ("behind the pump", 3.0),
    }
    assert ("high", asked.only("fixed flow")["gate"], 0.0) in asked.patches("joint blows off", "before the pump")
    assert {one["where"] for one in asked.leaks("joint blows off")} == {"behind the pump"}


def test_it_stands_as_low_as_its_inlet_unless_told() -> None:
    assert [one["z"] for one in pump().every("leak")] == pytest.approx([0.07] * 4)
    assert [one["z"] for one in pump(height=1.2).every("leak")] == pytest.approx([1.2] * 4)
    assert {one["place"] for one in pump(**{"in": "study"}).every("leak")} == {"study"}


def test_pump_that_fills_what_it_draws_from_is_refused() -> None:
    text = HOUSE.format(outlet="45 cm", more="").replace("to: tank", "to: reservoir")
    found = check(read_text(text, "house.yaml"))
    assert [(one.level, one.where) for one in found if one.code == "D142"] == [("error", "water: doser")]


def test_checks_know_that_it_is_no_open_pipe() -> None:
    """A drowned outlet, and one below the water it draws, are no siphon; one that never draws water is told."""
    for outlet in ("5 cm", "45 cm"):
        found = check(read_text(HOUSE.format(outlet=outlet, more=""), "house.yaml"))
        assert not {one.code for one in found} & {"D138", "D141", "D143", "D144"}
    found = check(read_text(HOUSE.format(outlet="45 cm", more=", dry below: 52 cm"), "house.yaml"))
    assert "D143" in {one.code for one in found}


# --- whole runs, litres by hand --------------------------------------------------------------------------------------


def test_it_gives_what_was_asked_and_does_not_siphon_afterwards() -> None:
    """2 mm of 0.24 m2 are 0.48 L; the reservoir stands 15 cm above the outlet, and yet nothing follows for a week."""
    plant = house()
    for hours in (1.0, 168.0):
        trace = run(plant, hours)
        assert litres(plant, trace, "tank") == pytest.approx(0.48, abs=0.002)
        assert litres(plant, trace, "reservoir") == pytest.approx(-0.48, abs=0.002)


def test_running_on_it_pumps_its_flow_for_ever() -> None:
    plant = house()
    assert litres(plant, run(plant, 20.0, "doser: runs on"), "tank") == pytest.approx(1.2 * 20.0, rel=1e-6)
    assert litres(plant, run(plant, 20.0, "doser: does not run"), "tank") == pytest.approx(0.0, abs=1e-6)


def test_it_gives_the_same_uphill_as_downhill() -> None:
    plant = house("2.4 m")
    assert litres(plant, run(plant, 20.0, "doser: runs on"), "tank") == pytest.approx(24.0, rel=1e-6)


def test_it_draws_air_below_its_inlet() -> None:
    """From 50 cm down to 2 cm there are 0.48 m x 0.16 m2 = 76.8 L; in the last millimetre it draws ever less."""
    plant = house("2.4 m")
    moved = litres(plant, run(plant, 100.0, "doser: runs on"), "reservoir")
    assert moved == pytest.approx(-76.8, abs=0.2)


def test_worn_rollers_let_the_reservoir_run_into_the_tank_by_the_law_of_torricelli() -> None:
    """15 cm of head over a gap of 0.3 mm, once the pump has run for 24 min; two days later 10.1 cm are left."""
    plant = house()
    trace = run(plant, 48.4, "doser: rollers worn")
    head = 0.15 - 0.48e-3 / 0.16
    left = left_after(head, 0.16, math.pi / 4.0 * 0.3e-3**2, 48.0 * HOUR)
    assert litres(plant, trace, "tank") == pytest.approx(0.48 + (head - left) * 160.0, rel=0.02)


def test_worn_rollers_let_a_drowned_outlet_draw_the_tank_back() -> None:
    """The tank's water 80 cm above that of the reservoir, its outlet drowned: it runs the other way, once the pump has
    run for 24 min and then gives up (else it would pump all of it up again)."""
    text = HOUSE.format(outlet="105 cm", more="").replace("bottom: 0 cm", "bottom: 1 m")
    plant = lower(read_text(text.replace("starts at: 50", "starts at: 30"), "house.yaml"))
    stops = (Onset("doser: does not run", 0.41 * HOUR),)
    area = 1.0 / (1.0 / 0.16 + 1.0 / 0.24)  # of the difference, between two vessels that lead into each other
    head = 1.2 - 0.4 + 0.48e-3 / 0.16
    left = left_after(head, area, math.pi / 4.0 * 0.3e-3**2, 24.0 * HOUR)
    gained = litres(plant, run(plant, 24.41, "doser: rollers worn", later=stops), "reservoir")
    assert gained == pytest.approx(-0.48 + (head - left) * area * 1e3, rel=0.03)
    assert litres(plant, run(plant, 24.41, later=stops), "reservoir") == pytest.approx(-0.48, abs=0.002)


def test_split_tube_lets_all_that_is_pumped_fall_where_the_pump_stands() -> None:
    """It runs on for 20 h and its tube splits after 5 h: 6 L into the tank, 18 L onto the shelf."""
    plant = house()
    trace = run(plant, 20.0, "doser: runs on", "doser: tube split", at=5.0 * HOUR)
    assert litres(plant, trace, "tank") == pytest.approx(6.0, abs=0.01)
    assert fallen(plant, trace, "shelf") == pytest.approx(18.0, abs=0.01)


def test_split_tube_of_a_stopped_pump_lets_nothing_out_unless_its_rollers_are_worn() -> None:
    """Split at the height of its inlet, 12 cm above the floor, with 48 cm of water above it."""
    plant = house()
    assert fallen(plant, run(plant, 24.0, "doser: tube split", at=2.0 * HOUR), "shelf") == pytest.approx(0.0, abs=1e-6)
    trace = run(plant, 26.0, "doser: tube split", "doser: rollers worn", at=2.0 * HOUR)
    hole, shelf = math.pi / 4.0 * 0.3e-3**2, 0.7 * math.sqrt(2.0 * G)
    fell = fallen(plant, trace, "shelf")
    assert 0.9 < fell / (24.0 * HOUR * hole * shelf * math.sqrt(0.46) * 1e3) < 1.02


def test_joint_that_blows_off_before_the_pump_empties_the_reservoir_to_its_inlet() -> None:
    plant = house()
    trace = run(plant, 24.0, "doser: joint blows off, before the pump", at=HOUR)
    assert fallen(plant, trace, "shelf") == pytest.approx(76.8 - 0.48, abs=0.3)
    high = house(more=", height: 50 cm")
    trace = run(high, 24.0, "doser: joint blows off, before the pump", at=HOUR)
    assert fallen(high, trace, "shelf") == pytest.approx(0.1 * 160.0 - 0.48, abs=0.1)


def test_joint_that_blows_off_behind_the_pump_gives_what_is_pumped() -> None:
    plant = house()
    trace = run(plant, 20.0, "doser: runs on", "doser: joint blows off, behind the pump", at=5.0 * HOUR)
    assert fallen(plant, trace, "shelf") == pytest.approx(18.0, abs=0.01)

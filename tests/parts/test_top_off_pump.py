import math

import pytest

from dewpond.parts.base import Level, PartView
from dewpond.parts.reservoir import KIND as VESSEL
from dewpond.parts.top_off_pump import KIND
from dewpond.physics.pipes import tube_pressure_drop
from tests.parts.recording import Recording, lowered, sampled

LITRES_AN_HOUR = 1e-3 / 3600.0


def house() -> dict[str, PartView]:
    others: dict[str, PartView] = {}
    box = {"in": "tray", "rim": 0.32, "footprint": (0.4, 0.3), "bottom": Level(0.05, "tray"), "starts at": Level(0.27)}
    others["reservoir"] = sampled(VESSEL, "reservoir", others, box)
    others["sump"] = sampled(VESSEL, "sump", others, {**box, "in": "study", "bottom": Level(0.1, "floor")})
    others["box"] = PartView("box", "box", "", {"power": "study circuit"}, frozenset())
    return others


def pump(**given: object) -> Recording:
    keys = {key.replace("_", " "): value for key, value in given.items()}
    usual = {
        "from": "reservoir",
        "to": "sump",
        "flow": 60 * LITRES_AN_HOUR,
        "outlet": Level(0.45, "floor"),
        "driven by": "box",
    }
    return lowered(KIND, {**usual, **keys}, house())


@pytest.mark.parametrize("flow", [1.0, 10.0, 60.0])
@pytest.mark.parametrize("tube", ["1/4 in", "8x6"])
def test_curve_and_tube_give_the_jug_s_flow_at_the_lift_of_the_design(flow: float, tube: str) -> None:
    asked = pump(flow=flow * LITRES_AN_HOUR, tube=tube)
    curve, line = asked.only("pump"), asked.only("tube")
    q = flow * LITRES_AN_HOUR
    given = curve["head"] * (1.0 - (q / curve["flow"]) ** 2)
    lost = tube_pressure_drop(q, line["bore"], line["length"], line["k"], 1000.0, 1e-3)
    assert given == pytest.approx(1000.0 * 9.80665 * (0.45 - 0.05 - 0.27) + lost, rel=1e-6)


def test_greatest_head_is_the_height_to_which_it_lifts() -> None:
    assert pump(lifts_at_most=2.0).only("pump")["head"] == pytest.approx(2.0 * 9806.65)


def test_pump_told_to_lift_more_than_it_can_gives_nothing_there() -> None:
    asked = pump(outlet=Level(2.0, "floor"))
    assert asked.only("pump")["head"] < 1000.0 * 9.80665 * (2.0 - 0.32)
    assert math.isfinite(asked.only("pump")["flow"])


def test_it_runs_on_order_and_power_and_while_its_inlet_is_under_water() -> None:
    asked = pump()
    ((resting, acting, circuit, follow),) = asked.actuators
    assert (resting, acting, circuit) == ("stopped", "running", "study circuit")
    order = asked.always(True)
    follow(order, asked.always(True))
    gate = asked.by_number("gate", asked.only("pump")["gate"])
    assert (gate["vessel"], gate["shut"]) == ("reservoir", 0.02)
    assert gate["shut"] < gate["opened"] < 0.03
    power = asked.given_back("circuit", name="study circuit")
    assert asked.now(gate["also"], {power: True}) is True
    assert asked.now(gate["also"], {power: False}) is False
    assert asked.now(gate["also"], {power: True, order: False}) is False


def test_own_circuit_comes_before_that_of_its_driver() -> None:
    assert pump(power="kitchen circuit").actuators[0][2] == "kitchen circuit"


def test_running_on_needs_power_all_the_same() -> None:
    asked = pump()
    ((what, order, value),) = asked.patches("runs on")
    assert (what, value) == ("force", 1.0)
    assert asked.patches("does not run") == [("force", order, 0.0)]
    running = asked.by_number("gate", asked.only("pump")["gate"])["also"]
    power, let = asked.given_back("circuit"), asked.always(True)
    asked.actuators[0][3](asked.always(False), let)
    assert asked.now(running, {order: True, power: True, let: True}) is True
    assert asked.now(running, {order: True, power: True, let: False}) is False  # a relay in its lead
    assert asked.now(running, {order: True, power: False, let: True}) is False
    assert asked.now(running, {order: True, power: True, let: True, asked.given_back("plugged"): False}) is False


def test_reservoir_counts_as_empty_while_the_pump_can_draw_next_to_nothing() -> None:
    """The flow dwindles with the level, so the mark must lie above the level that is never quite reached."""
    asked = pump(dry_below=Level(0.06, "bottom"))
    asked.actuators[0][3](order := asked.always(True), asked.always(True))
    level = asked.given_back("level")
    assert 0.06 < asked.by_number("signal", level)["off"] < asked.by_number("signal", level)["on"]
    tally = asked.only("tally")
    assert tally["word"] == "reservoir empty"
    for left in (True, False):
        for power in (True, False):  # whether it runs or not
            seen = {level: left, asked.given_back("circuit"): power, order: True}
            assert asked.now(tally["signal"], seen) is not left


def passive(asked: Recording) -> list[str]:
    """Gates of the ways around the pump, from the reservoir to the tube."""
    ways = asked.every("orifice")
    at, gates = asked.only("pump")["a"], []
    while at != asked.only("pump")["b"]:
        way = next(one for one in ways if one["a"] == at)
        gates.append(asked.by_number("gate", way["gate"])["kind"])
        at = way["b"]
    return gates


def test_stopped_pump_is_an_open_pipe_once_it_has_run() -> None:
    asked = pump()
    assert passive(asked) == ["level", "primed"]
    primed = next(one for one in asked.every("gate") if one["kind"] == "primed")
    assert primed["running"] == asked.by_number("gate", asked.only("pump")["gate"])["also"]
    assert "vent hole clogged" not in {name for name, _ in asked.tied()}


def test_stopped_pump_lets_no_more_through_than_a_running_one_would() -> None:
    """Affinity laws: H = H0 (n/n0)^2 - k Q^2, so at rest H = -k Q^2 with the k of the curve."""
    asked = pump()
    curve = asked.only("pump")
    still = next(one for one in asked.every("orifice") if one["b"] == curve["b"])
    assert still["k"] == pytest.approx(curve["head"] / curve["flow"] ** 2, rel=1e-12)


def test_vent_hole_shuts_that_way_until_it_clogs() -> None:
    asked = pump(vent_hole_above_the_water="present")
    assert passive(asked) == ["level", "primed", "leak"]
    shut = next(one for one in asked.every("gate") if one["kind"] == "leak")
    assert asked.patches("vent hole clogged") == [("low", shut.number, 1.0)]


def test_tube_ends_at_its_outlet_in_the_sump() -> None:
    asked = pump(outlet=Level(0.2, "bottom"))
    end = asked.by_number("node", asked.only("tube")["b"])
    assert end.values == {"kind": "spout", "vessel": "sump", "z": pytest.approx(0.3)}


def test_its_joints_leak_where_its_reservoir_stands() -> None:
    assert {one["place"] for one in pump().every("leak")} == {"tray"}
    assert {one["place"] for one in pump(**{"in": "study"}).every("leak")} == {"study"}

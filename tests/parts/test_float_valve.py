import math

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.parts.base import Level, PartView
from dewpond.parts.float_valve import KIND
from dewpond.parts.reservoir import KIND as VESSEL
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Scenario
from dewpond.plant.trace import Trace
from tests.parts.recording import Recording, lowered, sampled

MARKS = {"starts to shut at": Level(0.27, "bottom"), "quite shut at": Level(0.285, "bottom")}


def house() -> dict[str, PartView]:
    others: dict[str, PartView] = {}
    given = {"in": "tray", "rim": 0.32, "footprint": (0.4, 0.3), "bottom": Level(0.05, "tray")}
    others["reservoir"] = sampled(VESSEL, "reservoir", others, given)
    return others


def valve(**given: object) -> Recording:
    keys = {key.replace("_", " "): value for key, value in given.items()}
    return lowered(KIND, {"fills": "reservoir", **MARKS, **keys}, house())


def test_opening_follows_the_pencil_marks() -> None:
    asked = valve(sticks_by=0.003)
    gate = asked.by_number("gate", asked.only("orifice")["gate"])
    assert gate.values == {
        "kind": "level", "vessel": "reservoir", "opened": 0.27, "shut": 0.285, "hysteresis": 0.003, "also": None,
    }  # fmt: skip


def test_marks_below_the_rim_are_the_same_levels() -> None:
    asked = valve(starts_to_shut_at=Level(0.05, "rim"), quite_shut_at=Level(0.035, "rim"))
    gate = asked.by_number("gate", asked.only("orifice")["gate"])
    assert (gate["opened"], gate["shut"]) == (pytest.approx(0.27), pytest.approx(0.285))


def test_outlet_hangs_at_the_rim_unless_it_is_under_water() -> None:
    assert valve().only("orifice")["b"] == valve().every("node")[1].number
    assert valve().every("node")[1]["z"] == pytest.approx(0.05 + 0.32)
    assert valve(outlet=Level(0.1, "bottom")).every("node")[1]["z"] == pytest.approx(0.05 + 0.1)


def test_seeping_is_about_a_litre_a_day_at_the_pressure_it_must_hold() -> None:
    """2.7 bar stand before it once the shut-off has closed (two thirds of 4 bar)."""
    asked = valve()
    ((what, gate, opening),) = asked.patches("seeps")
    assert (what, gate) == ("low", asked.only("orifice")["gate"])
    flow = opening * math.sqrt(2.7e5 / asked.only("orifice")["k"])
    assert flow * 86400e3 == pytest.approx(1.0, rel=0.05)


def test_stuck_open_and_stuck_shut_are_the_ends_of_its_travel() -> None:
    asked = valve()
    gate = asked.only("orifice")["gate"]
    assert asked.patches("stuck open") == [("low", gate, 1.0)]
    assert asked.patches("stuck shut") == [("high", gate, 0.0)]
    assert 1e-4 < asked.patches("does not shut tight")[0][2] < 0.1


def test_its_joint_wets_the_place_of_its_vessel_unless_it_says_where_it_is() -> None:
    assert {leak["place"] for leak in valve().every("leak")} == {"tray"}
    assert {leak["place"] for leak in valve(**{"in": "study"}).every("leak")} == {"study"}


@pytest.mark.parametrize(
    ("starts", "shut", "codes"),
    [
        (Level(0.27), Level(0.285), []),
        (Level(0.285), Level(0.27), ["float-marks"]),
        (Level(0.27), Level(0.27), ["float-marks"]),
        (Level(0.05, "rim"), Level(0.035, "rim"), []),
        (Level(0.035, "rim"), Level(0.05, "rim"), ["float-marks"]),
        (Level(0.05, "rim"), Level(0.285, "bottom"), []),
    ],
)
def test_marks_in_the_wrong_order_are_refused(starts: Level, shut: Level, codes: list[str]) -> None:
    assert KIND.check is not None
    view = sampled(KIND, "float", {}, {"after": "a", "fills": "b", "starts to shut at": starts, "quite shut at": shut})
    assert [one.code for one in KIND.check(view)] == codes


# --- two in one line -------------------------------------------------------------------------------------------------

SERIES = """
format: 1
title: Two floats in one line (invented)
shown in: metric
supply:
  {{pressure: 3 bar, temperature: {{winter: 8 C, summer: 18 C}}, dissolved solids: 0 ppm, in: study, height: 60 cm}}
places:
  study:     {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
water:
{floats}
  reservoir: {{kind: reservoir, in: study, bottom: 30 cm above floor, footprint: 40 cm x 25 cm, rim: 300 mm,
              starts at: 50 mm}}
"""
USUAL = (
    "  usual: {{kind: float valve, after: {after}, fills: reservoir, starts to shut at: 20 cm, quite shut at: 215 mm}}"
)
HIGHER = USUAL.replace("usual", "higher").replace("20 cm", "24 cm").replace("215", "255")
ALONE = USUAL.format(after="supply")
ORDERS = {
    "the higher one first": (HIGHER.format(after="supply"), USUAL.format(after="higher")),
    "the higher one last": (ALONE, HIGHER.format(after="usual")),
}
AREA = 0.4 * 0.25


def filled(floats: str, time: float, *labels: str) -> Trace:
    """A run with everybody away; faults stand from its beginning."""
    plant = lower(read_text(SERIES.format(floats=floats), "house.yaml"))
    onsets = tuple(Onset(label, 0.0) for label in labels)
    return engine.run(plant, Scenario("travelling", time, onsets, STARTS["travelling"]), compiled=True)


def stands(trace: Trace) -> float:
    """Level in the reservoir at the end [m]."""
    return trace.volume[0] / AREA


def test_alone_it_fills_by_the_law_of_a_hole() -> None:
    """Closed form: Q = Cd A sqrt(2 p / rho); 3 mm, Cd 0.7, 3 bar, inlet and outlet both 60 cm above the floor."""
    flow = 0.7 * math.pi / 4.0 * 3e-3**2 * math.sqrt(2.0 * 3e5 / 1000.0)
    assert stands(filled(ALONE, 60.0)) - 0.05 == pytest.approx(flow * 60.0 / AREA, rel=1e-3)


@pytest.mark.parametrize("order", ORDERS)
def test_losses_of_two_in_one_line_add(order: str) -> None:
    """Closed form: p = (k + k) Q^2, so that both together let through 1 / sqrt(2) of what one does."""
    alone, both = (stands(filled(floats, 60.0)) - 0.05 for floats in (ALONE, "\n".join(ORDERS[order])))
    assert both == pytest.approx(alone / math.sqrt(2.0), rel=1e-3)


@pytest.mark.parametrize("order", ORDERS)
def test_either_of_two_in_one_line_shuts_it_at_its_own_mark(order: str) -> None:
    """To a hundredth of the 15 mm between its marks, where it snaps shut."""
    floats, day = "\n".join(ORDERS[order]), 86400.0
    assert stands(filled(floats, day)) == pytest.approx(0.215, abs=2e-4)
    assert stands(filled(floats, day, "usual: stuck open")) == pytest.approx(0.255, abs=2e-4)
    assert stands(filled(floats, day, "higher: stuck open")) == pytest.approx(0.215, abs=2e-4)
    assert stands(filled(floats, day, "higher: stuck shut")) == pytest.approx(0.05, abs=1e-6)
    assert stands(filled(floats, day, "usual: stuck shut")) == pytest.approx(0.05, abs=1e-6)
    assert sum(filled(floats, day, "usual: stuck open").place_total) == 0.0


@pytest.mark.parametrize("order", ORDERS)
def test_only_both_stuck_open_flood(order: str) -> None:
    """25 cm x 0.1 m2 fill it up to the rim, 25 L; from there on all goes over."""
    floats = "\n".join(ORDERS[order])
    trace = filled(floats, 7200.0, "usual: stuck open", "higher: stuck open")
    flow = 0.7 * math.pi / 4.0 * 3e-3**2 * math.sqrt(3e5 / 1000.0)
    assert sum(trace.place_total) == pytest.approx(flow * 7200.0 - 0.025, rel=1e-3)


@pytest.mark.parametrize("order", ORDERS)
def test_checks_object_to_nothing_of_two_in_one_line(order: str) -> None:
    found = check(read_text(SERIES.format(floats="\n".join(ORDERS[order])), "house.yaml"))
    own = [one for one in found if one.where in ("water: usual", "water: higher")]
    assert {one.code for one in own} <= {"D181"}  # they hang straight on the supply, with no valve before them


def test_the_first_of_two_leads_on_and_the_last_ends_over_the_vessel() -> None:
    first = lowered(KIND, {"fills": "reservoir", **MARKS}, house(), joins=("out",))
    assert [node["kind"] for node in first.every("node")] == ["outlet", "port"]
    assert [node["kind"] for node in valve().every("node")][:2] == ["outlet", "spout"]

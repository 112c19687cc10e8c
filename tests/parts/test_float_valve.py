import math

import pytest

from dewpond.parts.base import Level, PartView
from dewpond.parts.float_valve import KIND
from dewpond.parts.reservoir import KIND as VESSEL
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

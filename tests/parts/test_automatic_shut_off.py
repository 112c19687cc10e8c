import pytest

from dewpond.design.reader import read_text
from dewpond.parts.automatic_shut_off import KIND
from dewpond.parts.base import PartView
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Scenario
from tests.parts.recording import Recording, lowered

MEMBRANE = PartView("m", "membrane", "membrane", {"after": "filters"}, frozenset())
HOUSE = {name: PartView(name, name, "", {}, frozenset()) for name in ("filters", "check")} | {"membrane": MEMBRANE}


def shut_off(followers: dict[str, str], **given: float) -> Recording:
    keys = {key.replace("_", " "): value for key, value in given.items()}
    return lowered(KIND, {"on": "membrane", **keys}, HOUSE, followers=followers)


def node(asked: Recording, number: int) -> str:
    return str(asked.by_number("node", number)["part"])


def test_takes_over_the_feed_and_feels_the_product_behind_the_check_valve() -> None:
    asked = shut_off({"membrane": "check"})
    gate = asked.only("gate")
    assert asked.only("fill slot").values == {"part": "membrane", "slot": "feed", "gate": gate.number}
    assert (node(asked, gate["sensed"]), node(asked, gate["against"])) == ("check", "filters")
    assert asked.only("spring")["node"] == gate["sensed"]


def test_feels_the_membrane_itself_when_nothing_follows_it() -> None:
    asked = shut_off({})
    assert node(asked, asked.only("gate")["sensed"]) == "membrane"


def test_left_out_it_is_taken_as_when_answered_unknown() -> None:
    gate = shut_off({}).only("gate")
    assert (gate["shuts"], gate["opens"]) == (pytest.approx(0.5), pytest.approx(0.5 * 0.75))
    first = {one.key: one.unknown[0] for one in KIND.params if one.unknown}
    same = shut_off({}, closes_at=first["closes at"], opens_again_at=first["opens again at"]).only("gate")
    assert (gate["shuts"], gate["opens"]) == (same["shuts"], same["opens"])


@pytest.mark.parametrize("closes", next(one.unknown for one in KIND.params if one.key == "closes at"))
@pytest.mark.parametrize("opens", next(one.unknown for one in KIND.params if one.key == "opens again at"))
def test_whatever_is_tried_it_opens_below_where_it_shuts(closes: float, opens: float) -> None:
    gate = shut_off({}, closes_at=closes, opens_again_at=opens).only("gate")
    assert gate["opens"] < gate["shuts"] == closes


def test_its_faults_hold_the_gate_open_or_shut() -> None:
    asked = shut_off({})
    gate = asked.only("gate").number
    assert asked.patches("waste water runs on") == [("low", gate, 1.0)]
    assert asked.patches("stuck shut") == [("high", gate, 0.0)]


UNIT = """
format: 1
title: A unit with two ways out (invented)
shown in: metric
supply: {pressure: 4 bar, temperature: {winter: 8 C, summer: 18 C}, dissolved solids: 200 ppm}
places:
  laundry:   {kind: room, size: 4 m x 3 m, floor: glazed tile}
  gully:     {kind: waste drain, in: laundry}
water:
  membrane:  {kind: membrane, after: supply, in: laundry, rated: 75 gal/day at 50 psi and 25 C, waste to: gully}
  shut-off:  {kind: automatic shut-off, on: membrane, closes at: 67 %}
FIRST
  check:     {kind: check valve, after: membrane, in: laundry}
  float:     {kind: float valve, after: check, fills: box, starts to shut at: 250 mm, quite shut at: 265 mm}
  box:       {kind: reservoir, in: laundry, footprint: 40 cm x 40 cm, rim: 300 mm, starts at: 265 mm}
"""
TUB = "  tub:       {kind: mixing vessel, after: membrane, in: laundry, footprint: 50 cm x 40 cm, rim: 60 cm}"


@pytest.mark.parametrize("first", ["", TUB])
def test_it_feels_a_part_that_leads_on_and_not_the_end_of_a_branch(first: str) -> None:
    """With both floats shut the unit stands still; felt at a dead end, it would send a cubic metre a day to waste."""
    plant = lower(read_text(UNIT.replace("FIRST", first), "house.yaml"))
    trace = engine.run(plant, Scenario("travelling", DAY, (), STARTS["travelling"]), compiled=True)
    assert trace.total[prim.V_SUPPLY] < 1e-3


def test_feels_no_joint_behind_a_valve_that_may_be_shut() -> None:
    """Behind a shut valve there is no pressure: the waste would run for ever."""
    asked = shut_off({"membrane": "filters"})
    assert node(asked, asked.only("gate")["sensed"]) == "membrane"

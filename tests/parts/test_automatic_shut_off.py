import pytest

from dewpond.parts.automatic_shut_off import KIND
from dewpond.parts.base import PartView
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

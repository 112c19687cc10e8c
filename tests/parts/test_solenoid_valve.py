import pytest

from dewpond.parts.base import PartView
from dewpond.parts.solenoid_valve import KIND
from tests.parts.recording import Recording, lowered

BOX = PartView("box", "box", "", {"power": "laundry circuit"}, frozenset())
FEED = PartView("feed", "feed", "", {}, frozenset())


def valve(**given: object) -> Recording:
    keys = {key.replace("_", " "): value for key, value in given.items()}
    return lowered(KIND, {"after": "feed", "driven by": "box", **keys}, {"feed": FEED, "box": BOX})


def is_open(
    asked: Recording, acting: bool, power: bool, before: bool = False, failed: bool = False, box: bool = True
) -> bool:
    """Whether the gate is open: ``acting`` is the order that needs power, ``before`` how it stood, ``box`` whether its
    controller has power and works."""
    gate = asked.by_number("gate", asked.every("orifice")[0]["gate"])
    order = next(one.number for one in asked.every("signal") if one["kind"] == "later")
    facts = {order: acting, asked.given_back("circuit"): power}
    facts |= {one.number: box for one in asked.every("signal") if one["kind"] == "listens"}
    if failed:
        ((_, live, _),) = asked.patches("coil burnt out")
        facts[live] = False
    for one in asked.every("signal"):
        if one["kind"] == "hold" and not asked.now(-1 - one["of"][1], facts):
            facts[one.number] = before
    return asked.now(gate["signal"], facts)


@pytest.mark.parametrize(
    ("rests", "acting", "power", "expected"),
    [
        ("shut", True, True, True), ("shut", False, True, False), ("shut", True, False, False),
        ("open", True, True, False), ("open", False, True, True), ("open", True, False, True),
        ("stays as it is", True, True, True), ("stays as it is", False, True, False),
    ],
)  # fmt: skip
def test_order_and_power_decide_by_how_it_rests(rests: str, acting: bool, power: bool, expected: bool) -> None:
    """Truth table by hand: only the order that is not its rest needs power."""
    asked = valve(without_power=rests)
    assert asked.actuators[0][:2] == (("open", "shut") if rests == "open" else ("shut", "open"))
    assert is_open(asked, acting, power) is expected


@pytest.mark.parametrize("before", [True, False])
@pytest.mark.parametrize("acting", [True, False])
def test_one_that_stays_keeps_its_place_without_power(before: bool, acting: bool) -> None:
    assert is_open(valve(without_power="stays as it is"), acting, power=False, before=before) is before
    dead = is_open(valve(without_power="stays as it is"), acting, power=True, before=before, box=False)
    assert dead is before  # no pulse comes from a dead box, though the socket beside it has power


@pytest.mark.parametrize(("rests", "expected"), [("shut", False), ("open", True)])
def test_burnt_coil_leaves_it_at_rest_whatever_is_ordered(rests: str, expected: bool) -> None:
    asked = valve(without_power=rests)
    assert is_open(asked, acting=True, power=True, failed=True) is expected


def test_direct_acting_valve_has_its_kv_and_nothing_else() -> None:
    """Kv 0.15 m3/h: 1 L/min takes 0.16 bar (IEC 60534)."""
    asked = valve(without_power="shut")
    assert asked.every("check") == []
    assert asked.only("orifice")["k"] * (1e-3 / 60.0) ** 2 == pytest.approx(0.16e5, rel=0.01)


def test_servo_kind_keeps_its_least_difference_besides() -> None:
    asked = valve(without_power="shut", needs_at_least=0.3e5)
    way, servo = asked.only("orifice"), asked.only("check")
    assert (servo["a"], servo["cracking"]) == (way["b"], 0.3e5)


def test_faults_hold_its_gate() -> None:
    asked = valve(without_power="shut")
    gate = asked.only("orifice")["gate"]
    assert asked.patches("does not close") == [("low", gate, 1.0)]
    assert asked.patches("stuck shut") == [("high", gate, 0.0)]
    ((what, number, opening),) = asked.patches("seat leaks")
    assert (what, number) == ("low", gate)
    litres_an_hour = opening * (4e5 / asked.only("orifice")["k"]) ** 0.5 * 3.6e6
    assert 1.0 < litres_an_hour < 10.0  # the rate is for more than 1 L/h


def test_its_story_tells_of_shutting_as_the_stop() -> None:
    asked = valve(without_power="shut")
    said = asked.only("say")
    assert (said["true"], said["false"], said["kind"]) == ("it shuts", "it opens", "stop")
    order = next(one.number for one in asked.every("signal") if one["kind"] == "later")
    power = asked.given_back("circuit")
    assert asked.now(said["signal"], {order: False, power: True}) is True
    assert asked.now(said["signal"], {order: True, power: True}) is False

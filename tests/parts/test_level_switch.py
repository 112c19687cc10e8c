from collections.abc import Callable
from typing import Any

import pytest

from dewpond.parts.base import Level
from dewpond.parts.level_switch import KIND

BASE = {"in": "sump", "wired to": "box", "calls at": Level(0.232), "is satisfied at": Level(0.240)}


def given(contact: str, state: str, read: str, **more: Any) -> dict[str, Any]:
    marks = {} if state == "low" else {"calls at": Level(0.240), "is satisfied at": Level(0.232)}
    return {**BASE, **marks, "contact": contact, f"read as {state} when": read, **more}


# What the contact does, whether water stands above the mark -> closed? Written out by hand.
CLOSED = {
    ("closes when low", False): True,
    ("closes when low", True): False,
    ("opens when low", False): False,
    ("opens when low", True): True,
    ("closes when high", False): False,
    ("closes when high", True): True,
    ("opens when high", False): True,
    ("opens when high", True): False,
}


@pytest.mark.parametrize(("contact", "above"), list(CLOSED))
@pytest.mark.parametrize("state", ["low", "high"])
@pytest.mark.parametrize("read", ["closed", "open"])
def test_reading_by_hand_made_table_of_contacts(
    lowered: Callable[..., Any], contact: str, state: str, read: str, above: bool
) -> None:
    bench = lowered(KIND, "mark", given(contact, state, read))
    expected = CLOSED[contact, above] == (read == "closed")
    assert bench.now(bench.conditions[state], level=above) is expected
    assert bench.now(bench.conditions["normal"], level=above) is not expected
    assert set(bench.conditions) == {state, "normal"}


@pytest.mark.parametrize(
    ("contact", "state", "read", "broken"),
    [
        ("closes when low", "low", "closed", False),  # never calls again: the dangerous, silent one
        ("opens when low", "low", "open", True),  # calls for ever
        ("closes when high", "high", "closed", False),
        ("opens when high", "high", "open", True),  # stops the pump: loud
    ],
)
def test_broken_wire_reads_as_an_open_contact(
    lowered: Callable[..., Any], contact: str, state: str, read: str, broken: bool
) -> None:
    bench = lowered(KIND, "mark", given(contact, state, read))
    bench.fail("wire broken")
    assert [bench.now(bench.conditions[state], level=above) for above in (False, True)] == [broken, broken]
    bench.fail("wires touch")
    assert [bench.now(bench.conditions[state], level=above) for above in (False, True)] == [not broken, not broken]


@pytest.mark.parametrize(("kind", "low", "high"), [
    ("float", "float stuck low", "float stuck high"),
    ("optical", "window fouled, shows low", "window fouled, shows high"),
])  # fmt: skip
def test_stuck_switch_shows_one_level_whatever_the_water_does(
    lowered: Callable[..., Any], kind: str, low: str, high: str
) -> None:
    bench = lowered(KIND, "mark", given("closes when low", "low", "closed", type=kind))
    bench.fail(low)
    assert [bench.now(bench.conditions["low"], level=above) for above in (False, True)] == [True, True]
    bench.fail(high)
    assert [bench.now(bench.conditions["low"], level=above) for above in (False, True)] == [False, False]


def test_float_and_eye_have_each_their_own_faults(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "mark", given("closes when low", "low", "closed", type="optical"))
    assert "float stuck low" not in bench.faults
    assert {"wire broken", "wires touch", "window fouled, shows low", "window fouled, shows high"} == set(bench.faults)
    declared = {fault.name for fault in KIND.faults}
    assert set(bench.faults) < declared


def test_two_marks_are_the_band(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "mark", given("closes when low", "low", "closed"))
    assert bench.node("level") == ("level", "sump", 0.240, 0.232)


@pytest.mark.parametrize(("state", "on", "off"), [("low", 0.203, 0.2), ("high", 0.2, 0.197)])
def test_one_mark_speaks_at_the_mark_and_falls_silent_3_mm_off(
    lowered: Callable[..., Any], state: str, on: float, off: float
) -> None:
    keys = {
        "in": "sump",
        "wired to": "box",
        "at": Level(0.2),
        "contact": "closes when low",
        f"read as {state} when": "open",
    }
    bench = lowered(KIND, "mark", keys)
    assert bench.node("level") == ("level", "sump", pytest.approx(on), pytest.approx(off))


@pytest.mark.parametrize(("change", "codes"), [
    ({}, set()),
    ({"calls at": None, "is satisfied at": None}, {"level-switch-mark"}),
    ({"at": Level(0.2)}, {"level-switch-mark"}),
    ({"at": Level(0.2), "calls at": None}, {"level-switch-satisfied"}),
    ({"read as high when": "open"}, {"level-switch-state"}),
    ({"read as low when": None}, {"level-switch-state"}),
])  # fmt: skip
def test_exactly_one_mark_and_one_state(view: Callable[..., Any], change: dict[str, Any], codes: Any) -> None:
    part = view(KIND, "mark", {**given("closes when low", "low", "closed"), **change})
    found = KIND.check(part)
    assert {finding.code for finding in found} == codes
    assert all(finding.key in part.values for finding in found)
    assert all(finding.where == "mark" and finding.level == "error" for finding in found)


def test_low_water_is_a_note_and_high_water_a_notice(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "low mark", given("closes when low", "low", "closed"))
    assert bench.said[-1][1:] == ("low mark reports low water in sump", "low mark no longer reports low water", "note")
    lowered_high = given("closes when high", "high", "closed")
    bench.faults.clear()
    assert lowered(KIND, "high mark", lowered_high).said[-1][3] == "notice"

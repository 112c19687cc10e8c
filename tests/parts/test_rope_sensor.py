"""A rope through several places: what reaches it, what it reports, and that all that asks for probes finds it there."""

import math
from collections.abc import Callable
from typing import Any

import pytest

from dewpond.design.checks import check
from dewpond.design.model import Design
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.leak_probe import KIND as PROBE
from dewpond.parts.rope_sensor import KIND
from dewpond.plant.plant import Plant
from dewpond.proof.questions.layers import layers
from dewpond.proof.questions.sensing import sleeps
from dewpond.study.matrix.build import build
from tests.parts.recording import Recording, lowered
from tests.plant.houses import HOUR, Ill, Told, design, plant_of, run

BASE = {
    "through": ("tray", "study"), "at": "round the stand", "wired to": "box", "contact": "closes when wet",
    "read as wet when": "closed", "seen to work with purified water": "2026-11-02",
}  # fmt: skip
ROPE = ("  rope: {kind: rope sensor, through: %s, at: along the wall, wired to: box, contact: %s,\n"
        "         read as wet when: %s, %sseen to work with purified water: %s}\ncontrollers:")  # fmt: skip
STOP = "{cause: rope wet, lasting: 5 s, effect: {feed valve: shut}, until: re-armed by hand when dry}"
IN_STUDY, IN_LAUNDRY = Ill("tube: joint blows off, in study", HOUR), Ill("tube: joint blows off, in laundry", HOUR)


def text(
    *rows: str, through: str = "[laundry, study]", contact: str = "closes", read: str = "closed", keys: str = "",
    seen: str = "2026-11-02", ppm: str = "240 ppm",
) -> str:  # fmt: skip
    words = design(*(rows or (STOP,))).replace("240 ppm", ppm)
    assert words.count("controllers:") == 1
    return words.replace("controllers:", ROPE % (through, f"{contact} when wet", read, keys, seen))


def told_of(words: str, *ills: Ill, hours: float = 4.0) -> Told:
    return run(plant_of(words), "travelling", hours * HOUR, ills, compiled=True)


def reached(recording: Recording) -> dict[str, int]:
    """Place -> the signal "there is enough water there"."""
    return {one["place"]: one.number for one in recording.every("signal") if one["kind"] == "pool"}


def wet(recording: Recording) -> int:
    (found,) = (one["signal"] for one in recording.every("condition") if one["word"] == "wet")
    return int(found)


# --- alone -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("contact", ["closes when wet", "opens when wet"])
@pytest.mark.parametrize("read", ["closed", "open"])
def test_wet_in_either_place_it_reads_wet_exactly_when_contact_and_input_agree(contact: str, read: str) -> None:
    asked = lowered(KIND, {**BASE, "contact": contact, "read as wet when": read})
    agree = (contact, read) in {("closes when wet", "closed"), ("opens when wet", "open")}
    at = reached(asked)
    for tray in (False, True):
        for study in (False, True):
            says = asked.now(wet(asked), {at["tray"]: tray, at["study"]: study})
            assert says is ((tray or study) if agree else not (tray or study))


def test_litres_are_those_of_each_place_in_order_and_it_dries_at_half() -> None:
    asked = lowered(KIND, {**BASE, "reached by": (0.2e-3, 0.5e-3)})
    pools = {one["place"]: (one["on"], one["off"]) for one in asked.every("signal") if one["kind"] == "pool"}
    assert pools == {"tray": (0.2e-3, 0.1e-3), "study": (0.5e-3, 0.25e-3)}


def test_without_litres_it_needs_a_puddle_as_round_as_far_as_it_lies_and_far_less_than_a_probe() -> None:
    """pi d^2 e on the recording's floor of 4 m2 with a film of 2.7 mm: 0.34 L for 0.2 m, 8.5 L for a probe's metre,
    which a third of the floor's film bounds to 3.6 L."""
    asked = lowered(KIND, BASE)
    rope = [one["on"] for one in asked.every("signal") if one["kind"] == "pool"]
    probe = [one["on"] for one in lowered(PROBE, {"in": "study"}).every("signal") if one["kind"] == "pool"]
    assert rope == [pytest.approx(math.pi * 0.04 * 2.7e-3)] * 2
    assert max(rope) < 0.1 * min(probe)


def broken(fault: str, where: str) -> Callable[[dict[str, bool]], bool]:
    """What it reads under a fault, given where water lies; the fault's patches are facts."""
    asked = lowered(KIND, BASE)
    held = {number: bool(value) for _, number, value in asked.patches(fault, where)}
    at = reached(asked)
    return lambda lies: asked.now(wet(asked), {**{at[place]: so for place, so in lies.items()}, **held})


@pytest.mark.parametrize(("fault", "where", "blind"), [
    ("broken", "in tray", {"tray", "study"}),
    ("broken", "in study", {"study"}),
    ("lifted aside", "in tray", {"tray"}),
    ("lifted aside", "in study", {"study"}),
    ("puddle does not reach it", "in study", {"study"}),
])  # fmt: skip
def test_a_break_blinds_it_from_there_on_and_what_is_lifted_only_there(fault: str, where: str, blind: set[str]) -> None:
    reads = broken(fault, where)
    for place in ("tray", "study"):
        other = "study" if place == "tray" else "tray"
        assert reads({place: True, other: False}) is (place not in blind)


def test_salt_reads_wet_on_dry_floors_and_a_cut_wire_as_an_open_contact() -> None:
    assert broken("bridged by salt", "")({"tray": False, "study": False}) is True
    assert broken("wire cut", "")({"tray": True, "study": True}) is False


# --- in a house -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("leak", [IN_STUDY, IN_LAUNDRY])
def test_water_in_either_place_shuts_the_valve(leak: Ill) -> None:
    told = told_of(text(), leak)
    assert told.at("feed valve shuts")
    assert told.at(f"the water in {'study' if leak is IN_STUDY else 'laundry'} reaches rope")
    assert not told.consequence.still_running


def test_it_shuts_sooner_than_a_probe_in_the_same_room() -> None:
    row = STOP.replace("rope", "probe")
    rope, probe = (told_of(text(one), IN_STUDY).consequence.on_floors for one in (STOP, row))
    assert rope < 0.5 * probe


def test_broken_before_the_second_place_it_still_guards_the_first() -> None:
    fault = Ill("rope: broken, in study", 0.0)
    assert not told_of(text(), IN_LAUNDRY, fault).consequence.still_running
    blind = told_of(text(), IN_STUDY, fault)
    assert blind.consequence.still_running
    assert blind.at("rope, the rope in study, lies wet and says nothing")
    assert "rope" in blind.consequence.failed


def test_bridged_by_salt_it_shuts_the_valve_on_dry_floors() -> None:
    told = told_of(text(), Ill("rope: bridged by salt", HOUR))
    assert told.at("feed valve shuts") == [pytest.approx(HOUR + 5.0, abs=0.1)]


@pytest.mark.parametrize(("seen", "ppm", "shuts"), [
    ("unknown", "10 ppm", False), ("unknown", "240 ppm", True), ("2026-11-02", "10 ppm", True),
])  # fmt: skip
def test_it_may_be_blind_to_purified_water(seen: str, ppm: str, shuts: bool) -> None:
    assert bool(told_of(text(seen=seen, ppm=ppm), IN_STUDY).at("feed valve shuts")) is shuts


# --- found by all that asks for probes --------------------------------------------------------------------------------
def read(*args: Any, **keys: Any) -> Design:
    return read_text(text(*args, **keys), "house.yaml")


def without_probes(design_text: str) -> str:
    """The same without its two probes."""
    lines = design_text.split("\n")
    starts = [n for n, line in enumerate(lines) if line.startswith(("  probe:", "  second probe:"))]
    return "\n".join(line for n, line in enumerate(lines) if not any(n in (k, k + 1) for k in starts))


def test_places_it_lies_in_are_no_places_without_a_probe() -> None:
    """D165 names the places that water gets into and no probe looks at."""
    both, one = (
        [f.what for f in check(read_text(without_probes(text(through=through)), "house.yaml")) if f.code == "D165"]
        for through in ("[laundry, study]", "[laundry]")
    )
    assert both == []
    assert len(one) == 1
    assert "study" in one[0]


def test_a_vote_that_one_puddle_on_it_can_win_is_no_vote_that_none_can() -> None:
    """D228: of two probes in rooms from which no water goes on, no puddle wets both; a rope in both rooms helps."""
    vote = '{cause: "2 of: rope wet, probe wet, second probe wet", effect: {feed valve: shut}}'
    probes = '{cause: "2 of: probe wet, second probe wet", effect: {feed valve: shut}}'
    assert "D228" in [f.code for f in check(read(STOP, probes))]
    assert "D228" not in [f.code for f in check(read(STOP, vote))]


def test_a_contact_that_reads_the_wrong_way_round_is_told() -> None:
    assert "D104" in [f.code for f in check(read(read="open"))]


def test_the_matrix_lists_it_with_its_places() -> None:
    sensor = build(read()).sensors["rope"]
    assert (sensor.sort, sensor.state, sensor.where, sensor.spot) == (
        "contact",
        "wet",
        "laundry and study",
        "along the wall",
    )


def test_the_proof_takes_it_for_a_layer_by_water_and_asks_for_each_place() -> None:
    plant: Plant = plant_of(text())
    (layer,) = (one for one in layers(plant) if one.part == "feed valve")
    assert layer.by_water
    assert len(sleeps(plant, layer)) == 3  # both places wet, then one at a time


# --- in a file --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("through", "keys", "found"), [
    ("[laundry, study]", "reached by: [0.2 L, 0.4 L], ", []),
    ("study", "reached by: [0.2 L], ", []),
    ("[laundry, study]", "reached by: [0.2 L], ", [("rope-litres", "reached by")]),
    ("[laundry, study]", "reached by: 0.2 L, ", [("D050", "reached by")]),
    ("[laundry, laundry]", "", [("D065", "through")]),
    ("[laundry, sump]", "", [("D062", "through")]),
    ("[]", "", [("D051", "through")]),
    ("[laundry, study]", "reached by: [0.2 L, 4 m], ", [("D066", "reached by")]),
])  # fmt: skip
def test_what_cannot_be_is_refused_at_its_key(through: str, keys: str, found: list[tuple[str, str]]) -> None:
    try:
        told = [f for f in check(read(through=through, keys=keys)) if f.level == "error"]
    except DesignError as error:
        told = list(error.findings)
    assert [(f.code, f.key) for f in told] == found

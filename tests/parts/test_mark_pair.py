"""A mark pair: it calls from the low mark to the high one, and what a stuck eye or a cut wire makes of that."""

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.base import PartView
from dewpond.parts.mark_pair import KIND
from dewpond.plant.kernel.vessels import level_of
from dewpond.proof.questions.dosing import doses, ordinary
from dewpond.study.matrix.build import build
from tests.parts.recording import Recording, lowered
from tests.plant.houses import HOUR, Ill, Told, design, plant_of, run

LITRE = 1e-3
FLOW = 60 * LITRE / HOUR  # of the pump
DOSE = 0.15 * 0.40 * 0.015  # from mark to mark in the return chamber [m3]
CALLS, RESTS = "it calls", "it does not call"
PAIR = ("  pair: {kind: mark pair, in: sump, calls at: 225 mm, is satisfied at: 240 mm, wired to: box,\n"
        "         contact: %s when low, read as low when: %s%s}\ncontrollers:")  # fmt: skip
CALL = "{cause: pair low, effect: {pump: running}%s}"
FILL = "{cause: second probe wet, effect: {feed valve: shut}}"  # so that the feed is open
LIMIT = ", at most: 2 min a run, when a run is too long: {effect: stopped, until: re-armed by hand}"


def text(both: str = CALLS, *, limit: str = "", keys: str = "", contact: str = "closes", read: str = "closed") -> str:
    words = design(CALL % limit, FILL)
    assert words.count("controllers:") == 1
    return words.replace("controllers:", PAIR % (contact, read, f", when both speak: {both}{keys}"))


def told_of(words: str, *ills: Ill, hours: float = 48.0) -> Told:
    return run(plant_of(words), "travelling", hours * HOUR, ills, compiled=True)


def runs(told: Told) -> list[float]:
    """How long each run of the pump lasted that ended [s]."""
    starts, stops = told.at("pump starts"), told.at("pump stops")
    return [off - on for on, off in zip(starts, stops, strict=False)]


def in_sump(told: Told) -> float:
    """The level in the sump at the end [m]."""
    a, n = told.plant.arrays, told.plant.stores.index("sump")
    return float(level_of(a, n, told.trace.volume[n])[0])


# --- alone -----------------------------------------------------------------------------------------------------------
def asked_of(both: str = CALLS, **keys: str) -> Recording:
    return lowered(KIND, {"when both speak": both, **{key.replace("_", " "): word for key, word in keys.items()}})


@pytest.mark.parametrize(("both", "low", "high", "sets"), [
    (CALLS, False, False, True), (CALLS, False, True, True), (CALLS, True, False, False), (CALLS, True, True, False),
    (RESTS, False, False, True), (RESTS, False, True, False), (RESTS, True, False, False), (RESTS, True, True, False),
])  # fmt: skip
def test_what_begins_a_call_by_a_table_made_by_hand(both: str, low: bool, high: bool, sets: bool) -> None:
    """(low eye in water, high eye in water); what ends it is the high eye in water."""
    asked = asked_of(both)
    latch = next(one for one in asked.every("signal") if one["kind"] == "latch")
    begins, ends, _ = latch["of"]
    eyes = sorted((one for one in asked.every("signal") if one["kind"] == "level"), key=lambda one: one["on"])
    facts = {eyes[0].number: low, eyes[1].number: high}
    assert asked.now(begins, facts) is sets
    assert asked.now(ends, facts) is high


def test_its_latch_lives_on_the_power_of_its_box() -> None:
    box = PartView("box", "box", "controller", {"power": "box circuit"}, frozenset())
    sump = asked_of().others
    asked = lowered(KIND, {"wired to": "box"}, {**sump, "box": box})
    latch = next(one for one in asked.every("signal") if one["kind"] == "latch")
    assert latch["of"][2] == -1 - asked.given_back("circuit", name="box circuit")


@pytest.mark.parametrize(("contact", "read", "says"), [
    ("closes when low", "closed", True), ("closes when low", "open", False),
    ("opens when low", "open", True), ("opens when low", "closed", False),
])  # fmt: skip
def test_contact_and_input_are_two_facts(contact: str, read: str, says: bool) -> None:
    asked = asked_of(contact=contact, read_as_low_when=read)
    latch = next(one.number for one in asked.every("signal") if one["kind"] == "latch")
    word = {one["word"]: one["signal"] for one in asked.every("condition")}
    assert asked.now(word["low"], {latch: True}) is says
    assert asked.now(word["normal"], {latch: True}) is not says


def test_every_eye_has_its_faults_and_a_cut_wire_shows_what_the_keeper_says() -> None:
    for shows, value in (("air", 0.0), ("water", 1.0)):
        asked = asked_of(a_cut_wire_shows=shows)
        for where in ("at the low mark", "at the high mark"):
            ((what, _, held),) = asked.patches("eye's wire broken", where)
            assert (what, held) == ("force", value)
    names = {name for name, where in asked_of(type="optical").tied() if where}
    assert names == {"window fouled, shows air", "window fouled, shows water", "eye's wire broken"}


# --- in a house: closed form ------------------------------------------------------------------------------------------
def test_it_fills_from_mark_to_mark_in_one_run() -> None:
    """15 mm of a chamber of 15 cm by 40 cm are 0.9 L, at 60 L/h 54 s; a second way, a switch of those two marks."""
    told, one_switch = told_of(text()), text().replace("calls at: 232 mm", "calls at: 225 mm")
    assert len(runs(told)) > 5
    assert runs(told) == [pytest.approx(DOSE / FLOW, rel=0.02)] * len(runs(told))
    assert runs(told) == pytest.approx(runs(told_of(one_switch.replace("pair low", "low mark low"))), rel=1e-3)
    assert in_sump(told) < 0.2405


def test_with_the_contact_turned_round_it_fills_just_so() -> None:
    assert runs(told_of(text(contact="opens", read="open"))) == pytest.approx(runs(told_of(text())), rel=1e-6)


FLOATS = {True: "float hangs high", False: "float hangs low"}


def stuck(water: bool, mark: str) -> Ill:
    return Ill(f"pair: {FLOATS[water]}, at the {mark} mark", 0.0)


@pytest.mark.parametrize("both", [CALLS, RESTS])
def test_low_eye_stuck_in_water_never_calls(both: str) -> None:
    told = told_of(text(both), stuck(True, "low"))
    assert told.at("pump starts") == []
    assert told.at("the return pump of reef draws air")


@pytest.mark.parametrize("both", [CALLS, RESTS])
def test_high_eye_stuck_in_air_fills_on_until_the_limit(both: str) -> None:
    """Without a limit the sump runs over; with one the run ends after two minutes, above its mark."""
    assert told_of(text(both), stuck(False, "high")).at("sump is full to the rim")
    held = told_of(text(both, limit=LIMIT), stuck(False, "high"))
    assert runs(held) == [pytest.approx(120.0, abs=0.1)]
    assert not held.at("sump is full to the rim")


def test_low_eye_stuck_in_air_hangs_on_which_eye_wins() -> None:
    """It calls for ever where the low eye wins; where the high one does, it runs in the 3 mm in which that turns."""
    assert told_of(text(CALLS), stuck(False, "low")).at("sump is full to the rim")
    short = told_of(text(RESTS), stuck(False, "low"))
    assert not short.at("sump is full to the rim")
    assert len(runs(short)) > 2 * len(runs(told_of(text(RESTS))))
    assert max(runs(short)[1:]) == pytest.approx(0.003 * 0.06 / FLOW, rel=0.05)


def test_high_eye_stuck_in_water_hangs_on_it_too() -> None:
    """Short runs at the low mark where the low eye wins, no call at all where the high one does."""
    short = told_of(text(CALLS), stuck(True, "high"))
    assert max(runs(short)) == pytest.approx(0.003 * 0.06 / FLOW, rel=0.05)
    assert in_sump(short) < 0.2285
    assert told_of(text(RESTS), stuck(True, "high")).at("pump starts") == []


@pytest.mark.parametrize(("shows", "mark", "like"), [
    ("air", "high", stuck(False, "high")), ("water", "low", stuck(True, "low")), ("air", "low", stuck(False, "low")),
])  # fmt: skip
def test_a_cut_wire_of_an_eye_does_what_that_eye_stuck_does(shows: str, mark: str, like: Ill) -> None:
    words = text(keys=f", a cut wire shows: {shows}")
    cut = told_of(words, Ill(f"pair: eye's wire broken, at the {mark} mark", 0.0))
    assert runs(cut) == pytest.approx(runs(told_of(words, like)), abs=0.01)


@pytest.mark.parametrize(("contact", "read", "fault", "calls"), [
    ("closes", "closed", "wire broken", False), ("opens", "open", "wire broken", True),
    ("closes", "closed", "wires touch", True), ("opens", "open", "wires touch", False),
])  # fmt: skip
def test_its_wire_reads_as_the_contact_has_it(contact: str, read: str, fault: str, calls: bool) -> None:
    told = told_of(text(contact=contact, read=read, limit=LIMIT), Ill(f"pair: {fault}", 0.0))
    assert bool(told.at("pump starts")) is calls


def test_a_cut_in_the_middle_of_a_run_ends_the_call_for_good() -> None:
    """The latch has forgotten: no run until the water is down at the low mark again."""
    sound = told_of(text())
    begin = sound.at("pump starts")[0]
    cut = told_of(text(), Ill("box circuit: cut for an hour", begin + 20.0, HOUR))
    assert runs(cut)[0] == pytest.approx(20.0, abs=1.0)
    assert cut.at("pump starts")[1] > begin + 20.0 + HOUR + 60.0
    assert runs(cut)[1] == pytest.approx(runs(sound)[0], rel=0.02)


# --- for the proof and the sheet --------------------------------------------------------------------------------------
def test_the_proof_takes_its_two_marks_for_the_band_in_which_the_pump_keeps_the_sump() -> None:
    plant = plant_of(text())
    (dose,) = doses(plant)
    assert ordinary(plant, dose) == [(pytest.approx(0.225), pytest.approx(0.240))]


def test_the_matrix_lists_it_as_a_contact_that_reports_low() -> None:
    sensor = build(read_text(text(), "house.yaml")).sensors["pair"]
    assert (sensor.sort, sensor.state, sensor.contact, sensor.read_when) == (
        "contact",
        "low",
        "closes when low",
        "closed",
    )


# --- in a file --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("old", "new", "code", "key"), [
    ("calls at: 225 mm", "calls at: 240 mm", "mark-pair-marks", "calls at"),
    ("calls at: 225 mm", "calls at: 250 mm", "mark-pair-marks", "calls at"),
    ("calls at: 225 mm, ", "", "D040", "calls at"),
    (", is satisfied at: 240 mm", "", "D040", "is satisfied at"),
    ("in: sump, calls at: 225", "in: study, calls at: 225", "D062", "in"),
    ("when both speak: it calls", "when both speak: perhaps", "D054", "when both speak"),
    ("is satisfied at: 240 mm, wired to: box,\n         contact", "is satisfied at: 900 mm, wired to: box,\n contact",
     "D114", "is satisfied at"),
])  # fmt: skip
def test_what_cannot_be_is_refused_at_its_key(old: str, new: str, code: str, key: str) -> None:
    words = text()
    where = words.index("  pair:")
    assert old in words[where:]
    words = words[:where] + words[where:].replace(old, new, 1)
    try:
        told = [f for f in check(read_text(words, "house.yaml")) if f.level == "error"]
    except DesignError as error:
        told = list(error.findings)
    assert [(f.code, f.key) for f in told] == [(code, key)]


def test_a_contact_that_reads_the_wrong_way_round_is_told() -> None:
    assert "D104" in [f.code for f in check(read_text(text(read="open"), "house.yaml"))]

"""A level sensor: its marks by a reading, what a drift moves them by, and readings that stand still."""

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.base import Level
from dewpond.parts.level_sensor import KIND
from dewpond.plant.kernel.vessels import level_of
from dewpond.proof.questions.dosing import doses, ordinary
from dewpond.report.views.sheet import sense_words
from dewpond.report.views.vectors import sensor_words
from dewpond.study.matrix.build import build
from tests.parts.recording import Recording, lowered
from tests.plant.houses import HOUR, Ill, Told, design, plant_of, run

DRIFT = 0.015
LINE = ("  level: {kind: level sensor, type: %s, in: sump, calls at: %s, is satisfied at: %s, wired to: box%s}\n"
        "controllers:")  # fmt: skip
CALL = "{cause: level low, effect: {pump: running}%s}"
FILL = "{cause: second probe wet, effect: {feed valve: shut}}"  # so that the feed is open
LIMIT = ", at most: 2 min a run, when a run is too long: {effect: stopped, until: re-armed by hand}"


def text(
    sort: str = "ultrasonic", *, limit: str = "", keys: str = "", marks: tuple[str, str] = ("225 mm", "240 mm"),
    row: str = CALL,
) -> str:  # fmt: skip
    words = design(row % limit if "%s" in row else row, FILL)
    assert words.count("controllers:") == 1
    return words.replace("controllers:", LINE % (sort, *marks, keys))


def told_of(words: str, *ills: Ill, hours: float = 60.0) -> Told:
    return run(plant_of(words), "travelling", hours * HOUR, ills, compiled=True)


def sump_of(told: Told) -> float:
    """The level in the sump at the end [m]."""
    a, n = told.plant.arrays, told.plant.stores.index("sump")
    return float(level_of(a, n, told.trace.volume[n])[0])


def later(told: Told, words: str) -> list[float]:
    """Times of what is told after the first moment, in which all finds its place."""
    return [time for time in told.at(words) if time > 0.0]


# --- alone -----------------------------------------------------------------------------------------------------------
def asked_of(sort: str, calls: float, satisfied: float, **keys: object) -> Recording:
    given = {"type": sort, "calls at": Level(calls), "is satisfied at": Level(satisfied), **keys}
    return lowered(KIND, {key.replace("_", " "): value for key, value in given.items()})


def bands(asked: Recording) -> list[tuple[float, float]]:
    return [(one["off"], one["on"]) for one in asked.every("signal") if one["kind"] == "level"]


@pytest.mark.parametrize(("calls", "satisfied", "state"), [(0.225, 0.240, "low"), (0.300, 0.290, "high")])
def test_it_tells_of_low_or_of_high_water_by_which_of_its_marks_lies_above(
    calls: float, satisfied: float, state: str
) -> None:
    asked = asked_of("ultrasonic", calls, satisfied)
    words = {one["word"]: one["signal"] for one in asked.every("condition")}
    assert set(words) == {state, "normal"}
    (above,) = (one.number for one in asked.every("signal")
                if one["kind"] == "level" and one["on"] == max(calls, satisfied))  # fmt: skip
    others = {one.number: False for one in asked.every("signal") if one["kind"] == "level" and one.number != above}
    for water in (True, False):
        says = asked.now(words[state], {above: water, **others})
        assert says is (water if state == "high" else not water)
        assert asked.now(words["normal"], {above: water, **others}) is not says


def test_a_drift_moves_both_marks_by_as_much_and_never_below_the_bottom() -> None:
    assert sorted(bands(asked_of("ultrasonic", 0.225, 0.240))) == [
        pytest.approx(pair) for pair in ((0.210, 0.225), (0.225, 0.240), (0.240, 0.255))
    ]
    low = bands(asked_of("pressure", 0.010, 0.012, drifts_by=0.05))
    assert min(off for off, _ in low) > 0.0
    assert all(off < on for off, on in low)


@pytest.mark.parametrize(("sort", "own"), [
    ("ultrasonic", {"false echo, reads full", "echo lost, reads empty"}),
    ("pressure", {"tube leaks, reads empty", "tube blocked, keeps its reading"}),
])  # fmt: skip
def test_each_sort_has_its_own_faults(sort: str, own: set[str]) -> None:
    names = {name for name, _ in asked_of(sort, 0.225, 0.240).tied()}
    assert names == own | {"drifts high", "drifts low", "wire broken"}


# --- in a house: closed form ------------------------------------------------------------------------------------------
def test_it_calls_and_is_satisfied_where_a_switch_with_these_marks_does() -> None:
    """A second way to the same: a level switch of the same two marks."""
    switch = text().replace("calls at: 232 mm", "calls at: 225 mm").replace("level low", "low mark low")
    mine, other = told_of(text()), told_of(switch)
    assert len(mine.at("pump starts")) > 5
    for words in ("pump starts", "pump stops"):
        assert mine.at(words) == pytest.approx(other.at(words), abs=0.1)


@pytest.mark.parametrize(("fault", "shift"), [("drifts high", -DRIFT), ("drifts low", DRIFT)])
def test_a_drift_keeps_the_sump_lower_or_higher_by_what_it_is_off(fault: str, shift: float) -> None:
    """A switch whose marks stand so many millimetres lower or higher does the same."""
    calls, full = (f"{1e3 * (mark + shift):.0f} mm" for mark in (0.225, 0.240))
    switch = text().replace("calls at: 232 mm, is satisfied at: 240 mm", f"calls at: {calls}, is satisfied at: {full}")
    drifted = told_of(text(), Ill(f"level: {fault}", 0.0))
    other = told_of(switch.replace("level low", "low mark low"))
    assert len(later(drifted, "pump starts")) > 5
    for words in ("pump starts", "pump stops"):
        assert later(drifted, words) == pytest.approx(later(other, words), abs=1.0)


def test_a_false_echo_never_calls_and_a_lost_one_fills_until_the_limit() -> None:
    full = told_of(text(limit=LIMIT), Ill("level: false echo, reads full", 0.0))
    assert full.at("pump starts") == []
    assert full.at("the return pump of reef draws air")
    empty = told_of(text(limit=LIMIT), Ill("level: echo lost, reads empty", 0.0))
    assert [b - a for a, b in zip(empty.at("pump starts"), empty.at("pump stops"), strict=True)] == [
        pytest.approx(120.0, abs=0.1)
    ]
    assert told_of(text(), Ill("level: echo lost, reads empty", 0.0)).at("sump is full to the rim")


def test_a_leaking_tube_reads_empty() -> None:
    told = told_of(text("pressure"), Ill("level: tube leaks, reads empty", 0.0))
    assert told.at("pump starts") == [0.0]
    assert told.at("sump is full to the rim")


def test_a_blocked_tube_keeps_the_reading_it_had() -> None:
    """Blocked while it calls, it calls on and the sump runs over; blocked while it does not, it never calls."""
    sound = told_of(text("pressure"))
    during = sound.at("pump starts")[0] + 20.0
    calls_on = told_of(text("pressure"), Ill("level: tube blocked, keeps its reading", during))
    assert calls_on.at("pump stops") == [] or calls_on.at("pump stops")[0] > during + HOUR / 2
    assert calls_on.at("sump is full to the rim")
    rests = told_of(text("pressure"), Ill("level: tube blocked, keeps its reading", 0.0))
    assert rests.at("pump starts") == []


@pytest.mark.parametrize(("reads", "calls"), [("empty", True), ("full", False)])
def test_a_broken_wire_reads_as_its_box_was_set(reads: str, calls: bool) -> None:
    words = text(limit=LIMIT, keys=f", without its wire: {reads}")
    assert bool(told_of(words, Ill("level: wire broken", 0.0)).at("pump starts")) is calls


def test_as_a_high_mark_it_stops_the_pump_and_a_lost_echo_does_not() -> None:
    """The pump runs for ever by its stuck switch; the mark is 320 mm."""
    words = text(marks=("320 mm", "310 mm"), row="{cause: low mark low, effect: {pump: running}}").replace(
        "combination:", "  - {cause: level high, effect: {pump: stopped}, until: cause ends}\ncombination:"
    )
    calls = Ill("low mark: float stuck low", 0.0)
    held = told_of(words, calls)
    assert held.at("sump is full to the rim") == []
    assert sump_of(held) == pytest.approx(0.315, abs=0.006)
    assert told_of(words, calls, Ill("level: echo lost, reads empty", 0.0)).at("sump is full to the rim")


# --- for the proof and the sheet --------------------------------------------------------------------------------------
def test_marks_that_only_a_drift_brings_in_are_none_of_the_band_of_an_ordinary_day() -> None:
    plant = plant_of(text())
    (dose,) = doses(plant)
    assert ordinary(plant, dose) == [(pytest.approx(0.225), pytest.approx(0.240))]


def test_the_matrix_lists_it_as_a_reading_whose_marks_stand_in_its_box() -> None:
    sensor = build(read_text(text(), "house.yaml")).sensors["level"]
    assert (sensor.sort, sensor.state, sensor.contact, sensor.wired_to, sensor.where) == (
        "reading",
        "low",
        "",
        "box",
        "sump",
    )
    assert sense_words(sensor) == "level: pulses or a figure, which box makes “low” of"
    assert sensor_words(sensor, on=True) == "level low"


# --- in a file --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("old", "new", "code", "key"), [
    ("is satisfied at: 240 mm", "is satisfied at: 225 mm", "level-sensor-marks", "is satisfied at"),
    ("is satisfied at: 240 mm", "is satisfied at: 60 mm below rim", "level-sensor-marks", "is satisfied at"),
    ("type: ultrasonic, ", "", "D040", "type"),
    ("type: ultrasonic", "type: radar", "D054", "type"),
    ("calls at: 225 mm", "calls at: 225 L", "D066", "calls at"),
    ("wired to: box}", "wired to: box, drifts by: 2 m}", "D053", "drifts by"),
    ("is satisfied at: 240 mm", "is satisfied at: 900 mm", "D114", "is satisfied at"),
])  # fmt: skip
def test_what_cannot_be_is_refused_at_its_key(old: str, new: str, code: str, key: str) -> None:
    words = text()
    where = words.index("  level:")
    assert old in words[where:]
    words = words[:where] + words[where:].replace(old, new, 1)
    try:
        told = [f for f in check(read_text(words, "house.yaml")) if f.level == "error"]
    except DesignError as error:
        told = list(error.findings)
    assert [(f.code, f.key) for f in told] == [(code, key)]

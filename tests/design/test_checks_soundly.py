"""Findings over the whole design that lie just beside a sound case: the case beside it gets none."""

from collections.abc import Mapping
from pathlib import Path

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError, Finding
from dewpond.parts.base import Kind


def told(repository: Path, code: str, *changes: tuple[str, str], example: str = "two_tanks") -> list[Finding]:
    """Findings of that code for an example with texts exchanged."""
    text = (repository / "examples" / f"{example}.yaml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    try:
        findings = check(read_text(text, "house.yaml"))
    except DesignError as error:
        findings = error.findings
    return [one for one in findings if one.code == code]


KITCHEN = "kitchen:      {kind: room, size: 4.2 m x 3.5 m, floor: glazed tile"


@pytest.mark.parametrize(("height", "places"), [("3.1 m", ["study", "shaft"]), ("2.92 m", ["shaft"]), ("2 cm", [])])
def test_water_runs_over_a_sill_and_down_but_not_up(repository: Path, height: str, places: list[str]) -> None:
    found = told(repository, "D145", (KITCHEN, f"{KITCHEN}, floor height: {height}"))
    assert [one.where.split()[-1] for one in found] == places[::-1]  # in the order of the file


def test_tray_leads_onto_its_room_at_whatever_height(repository: Path) -> None:
    assert told(repository, "D145", ("floor height: 2.9 m", "floor height: 9 m")) == []


@pytest.mark.parametrize(
    ("start", "codes"),
    [("320 mm", []), ("321 mm", ["D114"]), ("32 cm below rim", []), ("33 cm below rim", ["D115"]),
     ("36 cm above tray", []), ("38 cm above tray", ["D114"]), ("4 cm above tray", ["D115"])],
)  # fmt: skip
def test_start_of_a_vessel_lies_between_its_bottom_and_its_rim(repository: Path, start: str, codes: list[str]) -> None:
    change = ("5 cm above tray, overflow: none", f"5 cm above tray, overflow: none, starts at: {start}")
    found = [one for code in ("D114", "D115") for one in told(repository, code, change)]
    assert [(one.code, one.key) for one in found] == [(code, "starts at") for code in codes]


def test_level_above_the_floor_is_held_against_the_rim_as_well(repository: Path) -> None:
    level = "running level: {} above floor"
    assert told(repository, "D114", ("running level: 240 mm", level.format("34 cm"))) == []
    (found,) = told(repository, "D114", ("running level: 240 mm", level.format("55 cm")))
    assert found.key == "running level"


@pytest.mark.parametrize(("where", "codes"), [("floor drain", []), ("laundry", ["D149"]), ("cabinet tray", ["D149"])])
def test_waste_belongs_into_a_drain(repository: Path, where: str, codes: list[str]) -> None:
    found = told(repository, "D149", ("waste to: floor drain", f"waste to: {where}"))
    assert [one.code for one in found] == codes


@pytest.mark.parametrize(("to", "codes"), [("", []), (", to: floor drain", []), (", to: study", ["D150"])])
def test_overflow_onto_a_floor_is_remarked_on(repository: Path, to: str, codes: list[str]) -> None:
    found = told(repository, "D150", ("overflow: none", f"overflow: {{at: 30 cm, bore: 20 mm{to}}}"))
    assert [one.code for one in found] == codes


def test_height_above_the_tray_needs_a_tray(repository: Path) -> None:
    assert told(repository, "D151") == []  # its reservoir stands 5 cm above the tray
    in_the_tray = ("bottom: 10 cm above floor", "bottom: 10 cm above tray")
    (found,) = told(repository, "D151", in_the_tray)
    assert (found.where, found.key) == ("water: big sump", "bottom")
    moved = ("sump,               in: study", "sump,               in: cabinet tray")
    assert told(repository, "D151", moved, in_the_tray) == []


# -- orders ------------------------------------------------------------------------------------------------------------
RUN = "cause: low mark low,      effect: {top-off pump: running}"
STOP = "cause: high mark high,    effect: {top-off pump: stopped}"


def orders(run: str, stop: str) -> tuple[tuple[str, str], tuple[str, str]]:
    return (
        (RUN, f"cause: {run}, effect: {{top-off pump: running}}"),
        (STOP, f"cause: {stop}, effect: {{top-off pump: stopped}}"),
    )


@pytest.mark.parametrize(
    ("run", "stop", "never"),
    [
        ("low mark low", "low mark low", True),
        ("low mark low", "low mark not normal", True),
        ("low mark low", "reservoir low low or low mark low", True),
        ("low mark low and reservoir low not low", "low mark low", True),
        ('"2 of: low mark low, tray probe dry, study probe dry"', '"1 of: low mark low, tray probe dry"', True),
        ("low mark low, lasting: 5 s", "low mark low, lasting: 5 s", True),
        # A run that the stop ends later, or only sometimes, is a run.
        ("low mark low", "low mark low, lasting: 5 min", False),
        ("low mark low", "low mark low and reservoir low low", False),
        ("low mark low or reservoir low low", "reservoir low low", False),
        ('"2 of: low mark low, tray probe dry, study probe dry"', '"2 of: low mark low, tray probe dry"', False),
        ("low mark low", "low mark normal", False),
        ("low mark low", "reservoir low low", False),
    ],
)
def test_run_that_its_own_cause_stops_never_comes(repository: Path, run: str, stop: str, never: bool) -> None:
    found = told(repository, "D146", *orders(run, stop))
    assert [(one.line, "matrix: row 3 (line 71)" in one.what) for one in found] == [(70, True)] * never


@pytest.mark.parametrize(
    ("cause", "sensor"),
    [
        ("low mark low", ""),
        ("low mark not normal", ""),
        ("low mark not low", "low mark"),
        ("low mark normal", "low mark"),
        ("high mark high", "high mark"),
        ("high mark not normal", "high mark"),
        ("low mark low or high mark high", "high mark"),
        ("low mark normal and tray probe dry", "low mark"),
        ("low mark normal and reservoir low normal", "low mark"),
        # A second sensor keeps it from running while the sump is full.
        ("high mark not high", ""),
        ("high mark normal and low mark not low", ""),
        ("low mark low and high mark not high", ""),
        # So does one in the tank, which stands over the sump; the reservoir is not what the pump fills.
        ("low mark normal and reef mark low", ""),
        ("reservoir low normal", ""),
    ],
)
def test_pump_that_runs_while_its_vessel_is_full_is_told(repository: Path, cause: str, sensor: str) -> None:
    reef = "  reef mark: {kind: level switch, in: reef, at: 70 mm below rim, wired to: level box, "
    reef += "contact: closes when low, read as low when: closed}\n  tray probe:"
    change = (RUN, f"cause: {cause}, effect: {{top-off pump: running}}")
    found = told(repository, "D147", ("  tray probe:", reef), change)
    assert [f'while "{sensor}" is' in one.what for one in found] == [True] * bool(sensor)


# -- marks and the running level; figures worked out by hand -----------------------------------------------------------
MARKS = "calls at: 232 mm, is satisfied at: 240 mm"


@pytest.mark.parametrize(
    ("marks", "figures"),
    [
        (MARKS, ""),
        ("calls at: 232 mm, is satisfied at: 245 mm", ""),  # what a ruler leaves unsure
        # 260 mm, the crest: 0.06 m2 x 20 mm. 502.4 L circulate: 1.2 / 503.6 = 0.24 %.
        ("calls at: 232 mm, is satisfied at: 260 mm", "1.2 L too much would be added; the salinity falls by 0.24 %."),
        # 20 mm more of 0.36 m2 make 8.4 L: 1.6 %.
        ("calls at: 270 mm, is satisfied at: 280 mm", "8.4 L too much would be added at once; the salinity falls by 1"),
        ("at: 245 mm", ""),
        # a float of one mark lets go 3 mm above it: 0.06 m2 x 20 mm + 0.36 m2 x 3 mm
        ("at: 260 mm", "at 26.3 cm, and while all is well it stands at 24 cm: 2.3 L too much would be added at once;"),
    ],
)
def test_litres_above_the_running_level_are_those_worked_out_by_hand(
    repository: Path, marks: str, figures: str
) -> None:
    found = told(repository, "D148", (MARKS, marks))
    assert [figures in one.what for one in found] == [True] * bool(figures)


def test_fresh_water_above_the_running_level_has_no_salinity_to_lower(repository: Path) -> None:
    fresh = (MARKS, "calls at: 232 mm, is satisfied at: 260 mm"), ("salinity: 35 ppt", "salinity: 0 ppt")
    (found,) = told(repository, "D148", *fresh)
    assert found.what.endswith("1.2 L too much would be added.")


def test_reservoir_that_a_pump_fills_has_no_running_level(repository: Path) -> None:
    pump = "  second: {kind: reservoir, in: study, footprint: 40 cm x 30 cm, rim: 320 mm, starts at: 100 mm}\n"
    pump += "  filler: {kind: top-off pump, from: second, to: reservoir, flow: 9 L/h, outlet: 60 cm above floor, "
    pump += "driven by: level box}\n  big sump:"
    row = "  - {cause: reservoir low low, effect: {filler: running}, at most: 2 h}\n  - {cause: reservoir low low"
    started = ("5 cm above tray, overflow: none", "5 cm above tray, overflow: none, starts at: 30 mm")
    changes = ("  big sump:", pump), ("  - {cause: reservoir low low", row), started
    assert told(repository, "D148", *changes) == []
    assert len(told(repository, "D113", *changes, (", at most: 2 h", ""))) == 1  # the row is looked at


# -- what reading remarks ----------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("cause", "again"),
    [
        ("low mark low", ""),
        ("low mark low or high mark high", ""),
        ("low mark low or low mark not low", ""),
        ("low mark low or high mark high or low mark low", '"low mark low"'),
        ("low mark low and high mark not high and high mark not high", '"high mark not high"'),
        ('"2 of: low mark low, tray probe wet, low mark low"', '"low mark low"'),
        ('"3 of: low mark low, tray probe wet, low mark low"', '"low mark low"'),
    ],
)
def test_condition_that_stands_twice_in_a_cause_is_told(repository: Path, cause: str, again: str) -> None:
    found = told(repository, "D082", (RUN, f"cause: {cause}, effect: {{top-off pump: running}}"))
    assert [f"names {again} more" in one.what for one in found] == [True] * bool(again)


@pytest.mark.parametrize(
    ("cause", "op", "need", "terms"),
    [
        ("low mark low or low mark low", "any", 1, 1),
        ("low mark low and low mark low and high mark normal", "all", 2, 2),
        ('"2 of: low mark low, tray probe wet, low mark low"', "vote", 2, 2),
    ],
)
def test_condition_that_stands_twice_counts_once(repository: Path, cause: str, op: str, need: int, terms: int) -> None:
    text = (repository / "examples" / "two_tanks.yaml").read_text(encoding="utf-8")
    read = (
        read_text(text.replace(RUN, f"cause: {cause}, effect: {{top-off pump: running}}"), "house.yaml").rows[1].cause
    )
    assert (read.op, read.need, len(read.terms)) == (op, need, terms)


@pytest.mark.parametrize(("day", "codes"), [("2099-12-31", []), ("2100-01-01", ["D091"]), ("1989-12-31", ["D056"])])
def test_day_that_lies_in_the_future_whatever_today_is_is_told_as_such(
    repository: Path, day: str, codes: list[str]
) -> None:
    change = ("cells fitted: 2026-03-01", f"cells fitted: {day}")
    found = [one for code in ("D056", "D091") for one in told(repository, code, change)]
    assert [one.code for one in found] == codes
    assert all("lies in the future" in one.what for one in found if one.code == "D091")


@pytest.mark.parametrize(
    ("code", "change", "lines"),
    [
        ("D020", ("{kind: tray, in: study", "{in: study, kind: tray, in: study"), "twice in line 19"),
        ("D020", ("people:\n", "people: {}\npeople:\n"), "in line 82 and in line 83"),
        ("D041", ("house power:", "study:"), "in line 18 and in line 66"),
    ],
)  # fmt: skip
def test_what_stands_twice_is_told_with_its_line_or_lines(
    repository: Path, code: str, change: tuple[str, str], lines: str
) -> None:
    (found,) = told(repository, code, change)
    assert found.what.endswith(f" {lines}.")


@pytest.mark.parametrize(("length", "told_as"), [(200, "x" * 200), (201, "x" * 197 + "...")])
def test_title_without_end_is_shortened(length: int, told_as: str, sound: str, toys: Mapping[str, Kind]) -> None:
    text = sound.replace("title: Toys (invented)", f"title: {'x' * length}")
    assert read_text(text, "toys.yaml", toys).title == told_as

"""Findings over the whole design that lie just beside a sound case: the case beside it gets none."""

from pathlib import Path

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError, Finding


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

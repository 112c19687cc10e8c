"""What a proof says of what it found: each thing once, shortly, and the contrary of it in other words."""

import re
from functools import cache

import pytest

from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.proof.proving import prove
from dewpond.report.views.blocks import Grid, Items, Notice, Report, Story
from dewpond.report.views.proof import proof_report
from tests.proof.mistakes import MISTAKES, with_mistakes

BY_NAME = {mistake.name: mistake for mistake in MISTAKES}


@cache
def report_of(name: str) -> tuple[str, Report]:
    """The file with a mistake, and what is reported of it."""
    text = with_mistakes(*BY_NAME[name].swaps)
    design = read_text(text, "house.yaml")
    plant = lower(design)
    proof = prove(design, plant, KINDS, 1, compiled=True, tried=False, cured=True)
    return text, proof_report(design, plant, proof)


def texts_of(report: Report) -> list[str]:
    blocks = [block for section in report.sections if section.key == "broken" for block in section.blocks]
    stories = [text for block in blocks if isinstance(block, Story) for text in block.ending]
    return [*stories, *(item for block in blocks if isinstance(block, Items) for item in block.items)]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "rule"), [("solenoid not latched", "IL-03"), ("box of the valve forgets its trips", "IL-11")]
)
def test_a_trip_is_named_by_its_part_and_the_line_of_its_row(name: str, rule: str) -> None:
    text, report = report_of(name)
    line = next(number for number, one in enumerate(text.splitlines(), 1) if "- {id: leak" in one)
    notices = [b for s in report.sections for b in s.blocks if isinstance(b, Notice) and b.code == rule]
    assert len(notices) == 1
    assert f"feed valve (row of line {line})" in notices[0].what
    assert not any("orders feed valve shut" in one for one in [notices[0].what, *texts_of(report)])


@pytest.mark.slow
def test_what_is_asked_of_a_fault_does_not_name_it_twice() -> None:
    _, report = report_of("both valves behind the filters")
    told = [one for one in texts_of(report) if one.startswith("cell valve: joint")]
    assert told
    assert not any(re.match(r"([a-z ]+: [a-z ,]+)(?: \(and \d+ like it\))?: \1", one) for one in told)


@pytest.mark.slow
def test_what_runs_on_as_it_is_and_what_is_always_stopped_do_not_look_alike() -> None:
    _, report = report_of("both valves behind the filters")
    (grid,) = (
        b for s in report.sections for b in s.blocks if isinstance(b, Grid) and b.caption == "Water that gets out"
    )
    cells = {row[0].split(" (")[0]: row[3] for row in grid.rows}
    assert cells["cell valve: joint blows off, before the valve"] == "it runs on: nothing more need fail"
    assert "stopped in every case that was looked at" in cells.values()
    assert {"none found", "nothing else"}.isdisjoint(cells.values())


@pytest.mark.slow
@pytest.mark.parametrize("name", ["probes tried with tap water only", "message never heard"])
def test_where_a_day_is_to_be_written_the_text_says_so_and_how(name: str) -> None:
    _, report = report_of(name)
    found = [one for one in texts_of(report) if "<the day>`" in one]
    assert found
    assert all("where <the day> stands, write the day of that test, such as 2026-" in one for one in found)

"""The examples are read without an error, say that they are invented, and show what they are there to show."""

from pathlib import Path

import pytest

from dewpond.design.checks import check
from dewpond.design.model import Design
from dewpond.design.reader import read
from dewpond.parts import KINDS


def design(repository: Path, name: str) -> Design:
    return read(repository / "examples" / f"{name}.yaml")


def roles(example: Design) -> list[str]:
    return [KINDS[part.kind].role for part in example.parts]


@pytest.mark.parametrize("name", ["first_float", "two_tanks"])
def test_example_is_marked_invented_at_its_head_and_in_its_title(repository: Path, name: str) -> None:
    example = design(repository, name)
    assert example.title.endswith("(invented)")
    assert "Invented house" in "\n".join(example.text.splitlines()[:3])


def test_first_float_has_nothing_that_could_stop_the_water_but_the_float(repository: Path) -> None:
    example = design(repository, "first_float")
    assert roles(example).count("device") == 0
    assert roles(example).count("sensor") == 1
    assert example.messages == ()
    found = [*example.notes, *check(example)]
    # a pump that runs as long as its switch calls, and nothing of its own that stops it
    assert {finding.code for finding in found} == {"D112", "D113"}
    assert {finding.level for finding in found} == {"warning"}


def test_two_tanks_draw_no_objection_and_every_layer_is_there(repository: Path) -> None:
    example = design(repository, "two_tanks")
    assert [*example.notes, *check(example)] == []
    assert (roles(example).count("device"), roles(example).count("box")) == (1, 3)
    assert {row.by for row in example.rows} == {None, "pump cut-out"}
    assert {message.path for message in example.messages} == {("cellar box", "keeper")}
    assert example.implied == {"laundry circuit", "study circuit"}


def test_what_two_tanks_leave_open_is_what_a_keeper_cannot_know(repository: Path) -> None:
    unknown = {(one.part, one.key) for one in design(repository, "two_tanks").unknowns}
    assert unknown == {("shut-off", "closes at"), ("cell valve", "probe: seen to work with purified water")}

"""Words of one more reading: those that are told, and that none tells more than chance."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.parts import KINDS
from dewpond.report import terminal
from dewpond.report.probe_records import probes as record
from dewpond.report.views.probes import probes_report
from dewpond.study import floors
from dewpond.study.probes.model import HEIGHT, Asked, More, Probes, Telling
from dewpond.study.probes.probes import probes
from tests.study.planned import planned

ONE = More(HEIGHT, 0, (5, 5), "", -1, 0.4e-3, 0.02e-3, 0.8e-3)


@pytest.fixture(scope="module")
def design(repository: Path) -> Design:
    return planned(repository)


@pytest.fixture(scope="module")
def found(design: Design) -> Probes:
    return probes(design, KINDS, Asked(number=1, rope=0.8, tray=(0.3, 0.2)), floors.Asked(cell=0.04, members=4))


def said(found: Probes, design: Design) -> str:
    text = terminal.render(probes_report(design, found))
    return " ".join(text.partition("Which one more reading")[2].partition("To be tried")[0].split())


def test_reading_that_is_told_has_its_worth_and_says_what_is_left_out(found: Probes, design: Design) -> None:
    one = replace(found, more=Telling((ONE,), None, 0.0))
    assert "it is worth about 400 mL on average (between 20 mL and 800 mL)" in said(one, design)
    assert "only what saves more than chance gives is told" in said(one, design)
    made = record(design, one)
    assert [each["saved_litres"] for each in made["readings"]] == [0.4]
    assert made["unclear_reading"] is None


@pytest.mark.parametrize(
    ("chance", "least", "words", "litres"),
    [
        (0.05e-3, 0.02e-3, "The best saves 20 mL at least, and readings that say nothing of the floor look", 0.05),
        (0.05e-3, 0.0, "The best may save nothing, and readings that say nothing of the floor look as good up", 0.05),
        (math.inf, 0.02e-3, "So few floors cannot show it: take more floors (--floors 60).", None),
    ],
)
def test_reading_that_is_no_better_than_chance_is_not_proposed(
    found: Probes, design: Design, chance: float, least: float, words: str, litres: float | None
) -> None:
    none = replace(found, more=Telling((), replace(ONE, least=least), chance))
    assert "tells clearly more than chance" in said(none, design)
    assert words in said(none, design)
    assert "400 mL" not in said(none, design)
    made = record(design, none)
    assert made["readings"] == []
    assert made["unclear_reading"]["chance_litres"] == litres


def test_nothing_to_speak_of_is_said_in_other_words(found: Probes, design: Design) -> None:
    assert "read no more for their sake" in said(replace(found, more=Telling((), None, 0.0)), design)

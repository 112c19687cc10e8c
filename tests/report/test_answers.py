"""Answers that are unknown: how they are told, what they change, and what a study that was stopped says of them."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.model import Unknown
from dewpond.design.reader import read
from dewpond.plant.consequence import TankHarm
from dewpond.report.views import answers
from dewpond.report.views.blocks import Grid, Text
from dewpond.report.views.checked import check_report
from dewpond.report.views.shown import Shown
from dewpond.report.views.study import study_report
from dewpond.study.outcome import ASPECTS, Change, NotRun, Outcome, StudyResult, UnknownEffect

Make = Callable[..., Outcome]


def test_values_tried_are_said_as_a_keeper_would_write_them(repository: Path, metric: Shown) -> None:
    design = read(repository / "examples" / "first_float.yaml")
    said = {(u.part, u.key): [answers.value_text(design, u, v, metric) for v in u.tried] for u in design.unknowns}
    assert said["shut-off", "closes at"] == ["50 %", "70 %"]
    assert said["small box", "when it hangs"] == ["keeps last order", "outputs stopped"]
    assert said["small box", "after a restart"] == ["trips cleared, counts cleared", "trips kept, counts kept"]
    inner = read(repository / "examples" / "two_tanks.yaml").unknowns
    assert any(": " in u.key for u in inner)


def test_answers_left_out_are_told_apart_from_those_called_unknown(repository: Path, metric: Shown) -> None:
    design = read(repository / "examples" / "first_float.yaml")
    effects = tuple(UnknownEffect.of(u, u.tried[1], []) for u in design.unknowns)
    grid = answers.effect_grid(design, effects, metric)
    at = grid.head.index("in the file")
    assert [(*row[:2], row[at]) for row in grid.rows] == [
        ("shut-off", "closes at", "unknown"),
        ("small box", "after a restart", "left out"),
        ("small box", "when it hangs", "left out"),
    ]
    holds = check_report(design, ()).sections[0].blocks[1]
    assert isinstance(holds, Grid)
    assert [row[2] for row in holds.rows] == ["unknown", "left out", "left out"]


def test_two_sides_of_a_change_show_what_changes_and_never_read_alike(outcome: Make, metric: Shown) -> None:
    wet = {"on_floors": 0.5, "first_water": 60.0, "still_running": True}
    unseen = outcome(**wet).told
    seen = outcome(first_noticed=3660.0, noticed_by="keeper is told", **wet).told
    assert answers.both(Change(unseen, seen, ("noticed",)), metric) == (
        "nobody and nothing notices", "noticed on day 1, 09:01: keeper is told",
    )  # fmt: skip
    ended = outcome(on_floors=0.5001, first_water=60.0, stopped=3600.0).told
    assert answers.both(Change(unseen, ended, ("floors", "stopped")), metric) == (
        "500 L on floors; water still gets out at the end", "500 L on floors; last water 60 min after the start",
    )  # fmt: skip
    assert answers.both(Change(unseen, ended, ("floors",)), metric) == ("500 L on floors", "500.1 L on floors")
    dry = outcome(return_pump_dry=1.0, reservoir_empty=1.0, tanks=(TankHarm("reef", 33.1, 35.0, 34.0),)).told
    assert answers.both(Change(dry, dry, ("first water", "stopped", "pump air", "vessel empty", "salinity")), metric)[
        0
    ] == ("no water gets out; a return pump draws air; a reservoir runs empty; reef 33.1 ppt to 35 ppt")
    assert answers.TOLD.keys() == ASPECTS.keys()


@pytest.mark.slow
def test_study_that_was_stopped_says_so_and_what_is_missing(studied: StudyResult) -> None:
    unknown = Unknown("leak stop", "when its probe dries", ("opens again",), "opens again", "Dry it.", True)
    studied = replace(studied, design=replace(studied.design, unknowns=(unknown,)))
    left = NotRun(3, ((unknown.part, unknown.key),), 400)
    alone = tuple(o for o in studied.failures if len(o.faults) == 1)
    report = study_report(replace(studied, finished=False, not_run=left, failures=alone, unknowns=()))
    assert "Stopped before its end" in report.subtitle
    by_key = {s.key: s for s in report.sections}
    assert by_key["short"].blocks[0] == Text(
        "This study was stopped before its end. What is missing: 3 runs of single faults; the other answer to what is "
        f"unknown or left out ({unknown.part}, “{unknown.key}”); every run of two faults: no pairs were run.", "lead",
    )  # fmt: skip
    (grid,) = by_key["answers"].blocks
    assert isinstance(grid, Grid)
    assert grid.caption == answers.UNTRIED
    assert [row[:2] for row in grid.rows] == [(unknown.part, unknown.key)]
    text = by_key["failures"].blocks[-1]
    assert isinstance(text, Text)
    assert text.text.startswith("No pairs were run")
    started = study_report(replace(studied, finished=False, not_run=NotRun(0, (), 7)))
    short = next(s for s in started.sections if s.key == "short")
    assert "7 or more runs of two faults" in str(short.blocks[0])


def test_answers_are_called_given_only_where_none_is_unknown(studied: StudyResult) -> None:
    given = "No answer is unknown: every key that could be is given."
    unknown = Unknown("leak stop", "when its probe dries", ("opens again",), "opens again", "Dry it.", True)
    for unknowns, told in (((), True), ((unknown,), False)):
        result = replace(studied, design=replace(studied.design, unknowns=unknowns), unknowns=())
        (section,) = [s for s in study_report(result).sections if s.key == "answers"]
        assert (Text(given) in section.blocks) is told

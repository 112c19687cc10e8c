"""Stories: told once where the same happens, with charts of the very runs that the study made."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from dewpond.report.views import failures, stories
from dewpond.report.views.blocks import Curves, Fold, Story, Text
from dewpond.report.views.shown import Shown
from dewpond.study.beats import Beat
from dewpond.study.outcome import Outcome, StudyResult
from dewpond.study.retrace import retrace
from dewpond.study.study import kept

Make = Callable[..., Outcome]


def test_faults_with_which_the_same_happens_are_told_in_one_story(
    studied: StudyResult, outcome: Make, metric: Shown
) -> None:
    wet = Beat(9.0, "water", "water gets out", "tap")
    late = wet._replace(time=99.0)
    trip = Beat(100.0, "trip", "valve shuts", "valve")
    rows = [
        outcome(Beat(1.0, "fault", "a", "ball"), wet, faults=("ball: a",), on_floors=0.03, by_place={"shed": 0.03}),
        outcome(Beat(1.0, "fault", "b", "ball"), late, faults=("ball: b",), on_floors=0.02, by_place={"shed": 0.02}),
        outcome(wet, trip, faults=("ball: c",), on_floors=0.01),
        outcome(wet, faults=("ball: d",), who="at home"),
    ]
    assert [[o.faults[0] for o in group] for group in stories.grouped(rows)] == [
        ["ball: a", "ball: b"], ["ball: c"], ["ball: d"],
    ]  # fmt: skip
    first, *_ = stories.story_blocks(replace(studied, failures=tuple(rows)), metric, {}, [])
    assert isinstance(first, Fold)
    told, alike = first.blocks
    assert isinstance(told, Story)
    assert alike == Text("The same happens, at other times and in other amounts, with ball: b (20 L onto floors).")


def test_ten_are_printed_and_the_others_folded(studied: StudyResult, metric: Shown) -> None:
    blocks = stories.story_blocks(studied, metric, {}, failures.bad_pairs(studied))
    folds = [block for block in blocks if isinstance(block, Fold)]
    assert len(folds) == len(blocks)
    groups = stories.grouped(failures.singles(studied))
    assert sum(fold.printed for fold in folds) == min(len(groups), stories.WORST)
    assert sum(len(fold.blocks) for fold in folds if not fold.printed) > 5
    assert [o.faults for o in stories.worst(studied)] == [g[0].faults for g in groups[: stories.WORST]]


@pytest.mark.slow
def test_charts_are_those_of_the_runs_of_the_study(studied: StudyResult, metric: Shown) -> None:
    chosen = stories.worst(studied)[:3]
    plant, runs = retrace(studied, chosen)
    for outcome, trace in runs:
        again = kept(plant, trace, outcome.told.order)
        assert again.told.on_floors == outcome.told.on_floors  # the same run, byte for byte
        assert again.told.by_place == outcome.told.by_place
        assert again.told.stopped == outcome.told.stopped
    charts = stories.courses(plant, runs, metric)
    assert set(charts) == {(o.who, *o.faults) for o in chosen}
    first, *_ = stories.story_blocks(studied, metric, charts, [])
    assert isinstance(first, Fold)
    assert [b.title for b in first.blocks if isinstance(b, Curves)] == [
        "Levels above the bottom",
        "Water lying in the places",
    ]

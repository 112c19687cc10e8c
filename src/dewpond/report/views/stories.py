"""The worst failures told in words: each story once, with the faults that come to the same, and charts of its run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.report import story
from dewpond.report.views import by_floor, failures
from dewpond.report.views.blocks import Block, Fold, Text
from dewpond.report.views.drains import Ground
from dewpond.report.views.drill import course
from dewpond.report.views.shown import Shown, count
from dewpond.study.outcome import Outcome, StudyResult

WORST: Final = 10  # stories that are printed, with charts
LATER: Final = 20  # more of them, folded and told without charts
PAIRS: Final = 20
ALIKE: Final = 6  # faults named that come to the same
Alike = list[Outcome]  # outcomes that one story tells; the worst first
Courses = Mapping[tuple[str, ...], tuple[Block, ...]]  # (who, faults ...) -> charts of levels and water


def worst(result: StudyResult) -> tuple[Outcome, ...]:
    """The outcomes whose stories are told with charts."""
    return tuple(group[0] for group in grouped(failures.singles(result))[:WORST])


def courses(plant: Plant, runs: Sequence[tuple[Outcome, Trace]], shown: Shown) -> Courses:
    """Charts of levels and water of the runs that are told with charts."""
    return {(outcome.who, *outcome.faults): course(plant, trace, shown) for outcome, trace in runs}


def grouped(outcomes: Sequence[Outcome]) -> list[Alike]:
    """Outcomes with the same happenings in the same order, whatever the times and amounts; in the order of the worst of
    each."""
    groups: dict[object, Alike] = {}
    for outcome in outcomes:
        happens = tuple((line.kind, line.text, line.texts) for line in outcome.beats.lines if line.kind != "fault")
        groups.setdefault((outcome.who, outcome.told.order, happens), []).append(outcome)
    return list(groups.values())


def story_blocks(result: StudyResult, shown: Shown, charts: Courses, bad: failures.Bad) -> tuple[Block, ...]:
    """Stories of single faults, then of pairs. ``charts``: (who, faults ...) -> charts of levels and water."""
    ground = Ground.under(result)
    singles = grouped(failures.singles(result))
    folds = [_fold(group, result, shown, ground, charts) for group in singles[: WORST + LATER]]
    pairs = [_fold(group, result, shown, ground, {}) for group in grouped([o for o, _ in bad])[:PAIRS]]
    blocks: list[Block] = [*folds[:WORST]]
    left = len(singles) - WORST - LATER
    more = f"; {left} more stories are not told here: `dewpond drill` tells each" if left > 0 else ""
    if folds[WORST:]:
        blocks.append(
            Fold(
                f"{count(len(folds) - WORST, 'more story', 'more stories')} of one fault{more}",
                tuple(folds[WORST:]),
                printed=False,
            )
        )
    if pairs:
        blocks.append(
            Fold(
                f"{count(len(pairs), 'story', 'stories')} of two faults, those that add most",
                tuple(pairs),
                printed=False,
            )
        )
    return tuple(blocks)


def _fold(group: Alike, result: StudyResult, shown: Shown, ground: Ground, charts: Courses) -> Fold:
    outcome, *others = group
    told = story.tell(outcome, result.design, shown, result.unknowns, result.normal)
    title = f"{' + '.join(outcome.faults)} ({outcome.told.order}; {outcome.who}): {wet(outcome, shown, ground)}"
    alike = [Text(_alike(others, shown, ground))] if others else []
    return Fold(title, (told, *alike, *charts.get((outcome.who, *outcome.faults), ())))


def _alike(others: Alike, shown: Shown, ground: Ground) -> str:
    """The faults with which the same happens, in other amounts and at other times."""
    each = [f"{' + '.join(o.faults)} ({wet(o, shown, ground)})" for o in others[:ALIKE]]
    left = len(others) - ALIKE
    more = f"; and with {left} more" if left > 0 else ""
    return f"The same happens, at other times and in other amounts, with {'; '.join(each)}{more}."


def wet(outcome: Outcome, shown: Shown, ground: Ground) -> str:
    """The litres of an outcome in a few words."""
    told, ranged = outcome.told, by_floor.litres(outcome, shown, ground)
    if ranged:
        return f"{ranged.removesuffix(by_floor.BY_FLOOR)} onto floors, by how they lie"
    drained = "".join(f", {shown.litres(v)} to {drain}" for drain, v in ground.taken(told).values())
    return f"{shown.litres(ground.undrained(told))} onto floors{drained}"

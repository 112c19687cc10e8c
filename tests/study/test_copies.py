"""Pairs whose outcome is copied from a single fault, in a whole house: run again, they come to the same."""

import random
from pathlib import Path

import pytest

from dewpond.design.reader import read
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY
from dewpond.study import drills
from dewpond.study.outcome import differs
from dewpond.study.study import Book, run_drill
from dewpond.study.workers import one_by_one

WHO = ("travelling", 2.0 * DAY)
SAMPLE = 40
RUN = one_by_one(run_drill, compiled=True)


@pytest.fixture(scope="module")
def book(repository: Path) -> Book:
    """The first float with every fault tried alone."""
    plant = lower(read(repository / "examples" / "first_float.yaml"))
    book = Book(plant, tuple(RUN(plant, [drills.normal(*WHO)])), RUN, None)
    book.run_singles()
    return book


@pytest.mark.slow
def test_copied_pairs_of_the_first_float_come_to_the_same_when_run(book: Book) -> None:
    # a fault that comes at another time ends a step of its own
    standing = {drills.SINCE_BEFORE, drills.BEGINS, drills.WAITS}
    copies = [
        (pair.drill, copy)
        for pair in book.pairs(*WHO)
        if (copy := book.copy(pair)) is not None and {o.time for o in pair.drill.faults} <= standing
    ]
    assert len(copies) > SAMPLE
    assert len({copy.copied_from for _, copy in copies}) > SAMPLE
    assert any(drills.WAITS in {o.time for o in drill.faults} for drill, _ in copies)
    again = RUN(book.plant, [drill for drill, _ in copies])
    other = [
        (drill.labels, drill.order)
        for (drill, copy), run in zip(copies, again, strict=True)
        if (run.faults, run.told.order) != (copy.faults, copy.told.order) or repr(copy.told) != repr(run.told)
    ]
    assert other == []


@pytest.mark.slow
def test_pairs_that_are_not_copied_are_often_other_than_either_fault_alone(book: Book) -> None:
    """Else the comparison of copies could not fail."""
    run = [pair.drill for pair in book.pairs(*WHO) if book.copy(pair) is None]
    chosen = random.Random(6).sample(run, SAMPLE)
    lone = {outcome.faults[0]: outcome.told for outcome in book.lone.values()}
    outcomes = RUN(book.plant, chosen)
    other = sum(all(differs(lone[label], o.told) for label in o.faults) for o in outcomes)
    assert other > SAMPLE // 4

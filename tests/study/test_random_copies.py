"""Pairs copied from a single fault, in random designs: run again, they come to the same to the byte."""

from __future__ import annotations

import random

import pytest

from dewpond.design.reader import read_text
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY
from dewpond.study import drills
from dewpond.study.study import Book, run_drill
from dewpond.study.workers import one_by_one
from tests.plant.random_designs import random_design

RUN = one_by_one(run_drill, compiled=True)
STANDING = {drills.SINCE_BEFORE, drills.BEGINS, drills.WAITS}  # at other times a fault ends a step of its own


def book_of(seed: int, parts: int, who: tuple[str, float]) -> Book:
    """A random design with every fault tried alone."""
    plant = lower(read_text(random_design(seed, parts).text(), "random.yaml"), "winter")
    book = Book(plant, tuple(RUN(plant, [drills.normal(*who)])), RUN, None)
    book.run_singles()
    return book


def other_than_copied(book: Book, who: tuple[str, float], seed: int, sample: int) -> tuple[int, list[str]]:
    """How many copies were run again, and those that came out otherwise."""
    copies = [
        (pair.drill, copy)
        for pair in book.pairs(*who)
        if {onset.time for onset in pair.drill.faults} <= STANDING and (copy := book.copy(pair)) is not None
    ]
    chosen = random.Random(f"copies {seed}").sample(copies, min(sample, len(copies)))
    again = RUN(book.plant, [drill for drill, _ in chosen])
    found = [
        f"seed {seed}, {drill.labels}, {drill.order}"
        for (drill, copy), run in zip(chosen, again, strict=True)
        if (run.faults, repr(run.told)) != (copy.faults, repr(copy.told))
    ]
    return len(chosen), found


@pytest.mark.slow
@pytest.mark.parametrize("who", [("travelling", DAY), ("at home", 0.5 * DAY)], ids=lambda who: str(who[0]))
def test_a_copied_pair_is_the_pair_run_again(who: tuple[str, float]) -> None:
    """Six designs of 10 to 35 parts, forty copies of each."""
    tried = 0
    for seed in range(6):
        count, found = other_than_copied(book_of(seed, 10 + 5 * seed, who), who, seed, 40)
        assert found == []
        tried += count
    assert tried > 200

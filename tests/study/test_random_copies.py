"""Pairs copied from a single fault, in random designs: run again, they come to the same, to a thousandth of a
millilitre. Where both faults shut one line after the other, the solver's last digits differ."""

from __future__ import annotations

import random
import re
from dataclasses import replace

import pytest

from dewpond.design.reader import read_text
from dewpond.plant.consequence import Consequence
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


def near(told: Consequence) -> str:
    """All that is told, numbers to nine places: a thousandth of a millilitre [m3], a nanosecond [s]."""
    return re.sub(r"-?\d+\.\d+(e-?\d+)?", lambda found: f"{float(found[0]):.9f}", repr(told))


def other_than_copied(
    book: Book, who: tuple[str, float], seed: int, sample: int, *, asked: bool = False
) -> tuple[int, list[str]]:
    """How many copies were run again, and those that came out otherwise. ``asked``: parts asked, and those that could
    not act, are compared as well; else only that the run counts all of them that the copy does."""
    copies = [
        (pair.drill, copy)
        for pair in book.pairs(*who)
        if {onset.time for onset in pair.drill.faults} <= STANDING and (copy := book.copy(pair)) is not None
    ]
    chosen = random.Random(f"copies {seed}").sample(copies, min(sample, len(copies)))
    again = RUN(book.plant, [drill for drill, _ in chosen])
    found = []
    for (drill, copy), run in zip(chosen, again, strict=True):
        one, two = copy.told, run.told
        more = set(one.asked) <= set(two.asked) and set(one.failed) <= set(two.failed)
        if not more or near(one if asked else replace(one, asked=two.asked, failed=two.failed)) != near(two):
            found.append(f"seed {seed}, {drill.labels}, {drill.order}")
    return len(chosen), found


@pytest.mark.slow
@pytest.mark.parametrize("who", [("travelling", DAY), ("at home", 0.5 * DAY)], ids=lambda who: str(who[0]))
def test_a_copied_pair_is_the_pair_run_again(who: tuple[str, float]) -> None:
    """Five designs of 10 to 30 parts, forty copies of each; all but the parts asked, which the next test is about."""
    tried = 0
    for seed in range(5):
        count, found = other_than_copied(book_of(seed, 10 + 5 * seed, who), who, seed, 40)
        assert found == []
        tried += count
    assert tried > 180


def test_a_copied_pair_asked_the_same_parts_as_the_pair_run_again() -> None:
    book = book_of(0, 8, ("at home", 0.25 * DAY))
    assert other_than_copied(book, ("at home", 0.25 * DAY), 0, 60, asked=True)[1] == []

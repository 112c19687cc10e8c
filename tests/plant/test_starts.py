"""Starts of a membrane after a standstill: those of its shut-off, and those of a feed that a clock opens. Second
method: the clock of the file, counted by hand."""

from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.physics.membrane import STANDSTILL_VOLUME
from dewpond.plant.balance import starts
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Plant
from dewpond.study.flows import flows
from dewpond.study.ways.house import looked_at
from dewpond.study.ways.model import WINDOW
from dewpond.study.year.year import year

SLUG = STANDSTILL_VOLUME[1]
TEXT = (
    Path("examples/timer_only.yaml").read_text("utf-8").replace("for: 1 h, every: 1 day", "for: 20 min, every: 1 day")
)


@pytest.fixture(scope="module")
def plant() -> Plant:
    assert "for: 20 min" in TEXT
    return lower(read_text(TEXT, "timer.yaml"), "winter")


def test_the_larger_of_both_counts_and_no_opening_that_makes_less_than_what_stands() -> None:
    assert starts(5.0, 3.0, 1.0) == 5.0
    assert starts(1.0, 42.0, 1.0) == 42.0
    assert starts(1.0, 42.0, 10.5 * SLUG) == 10.0
    assert starts(3.0, 42.0, 0.0) == 3.0


def test_a_feed_that_a_clock_opens_each_day_starts_the_unit_once_a_day(plant: Plant) -> None:
    """By hand: 20 min a day and 23 h 40 min at rest."""
    table = flows(plant)
    (made,) = table.products
    assert made.starts * DAY / table.days >= 1.0
    mean = (made.starts * SLUG * made.feed + (made.volume - made.starts * SLUG) * made.steady) / made.volume
    assert made.mean() == pytest.approx(mean, rel=1e-6)


@pytest.mark.slow
def test_a_year_and_a_window_of_the_ways_count_the_same_starts() -> None:
    design = read_text(TEXT, "timer.yaml")
    whole = year(design, KINDS, today=740000)
    _, rows = looked_at(design, KINDS, whole, "winter")
    window = next(way for way in rows if way.name == WINDOW)
    assert whole.winter.starts * 7.0 >= 7.0
    assert whole.winter.starts * 7.0 == pytest.approx(window.starts, rel=0.2)

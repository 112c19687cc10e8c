"""What a year says in words, against its own figures."""

import math
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from dewpond.design.reader import read
from dewpond.parts import KINDS
from dewpond.report.views import year_measured
from dewpond.report.views.shown import shown_in
from dewpond.report.views.year import dry, in_short, wear
from dewpond.report.views.year_losses import days_of
from dewpond.study.year.model import DAY, Evidence, Exchange, Prices, Span, Year
from dewpond.study.year.year import year

TODAY = date(2026, 11, 28).toordinal()


@pytest.fixture(scope="module")
def made(repository: Path) -> Year:
    return year(read(repository / "examples" / "first_float.yaml"), KINDS, today=TODAY)


@pytest.mark.parametrize(
    ("slug", "said"), [(0.002, "less than 1 %"), (0.05, "about 4 %"), (0.11, "about 9 %"), (0.5, "about 40 %")]
)
def test_share_of_the_starts_in_the_resin_s_load_is_that_of_its_figures(made: Year, slug: float, said: str) -> None:
    """0.856 of what a start lets through is taken up as calcium carbonate; here of a load of 1 a month."""
    months = tuple(replace(month, slug=Span(slug, slug, slug), load=Span(1.0, 1.0, 1.0)) for month in made.months)
    told = repr(wear(replace(made, months=months), shown_in("metric")))
    assert f"Of what the resin takes up, {said} comes with the unit's starts" in told


@pytest.mark.parametrize(
    ("log", "spread", "said"),
    [(1.3, 0.05, True), (0.95, 0.05, False), (1.3, 0.20, False), (0.4, 0.05, True)],
)
def test_ruler_and_log_that_exclude_each_other_are_told_so(made: Year, log: float, spread: float, said: bool) -> None:
    """95 %: 1.96 of 0.10 about ln 0.8, and of the spread of the log about its own."""
    pair = (
        Evidence("ruler", "reservoir", 0.8, 0.10, 1.0, 1, "rough"),
        Evidence("log", "", log, spread, 40.0, 39, "usable"),
    )
    known = replace(made.calibration, evidence=pair)
    told = repr(year_measured.blocks(replace(made, calibration=known), 39, shown_in("metric")))
    apart = abs(math.log(log / 0.8)) > 1.96 * (0.10 + spread)
    assert apart is said
    assert ("do not agree" in told) is said
    if said:
        assert "the log counts 4 times as much" in told


@pytest.mark.parametrize(
    ("days", "said"),
    [(0.5, "12 h"), (3.14, "3.1 days"), (14.2, "14 days"), (5000.0, "10 years or more"), (float("inf"), "no end")],
)
def test_days_are_told_in_words_however_many(days: float, said: str) -> None:
    assert days_of(days) == said


def test_reservoir_that_nothing_leaves_is_told_so_and_has_no_row(made: Year) -> None:
    still = replace(made, winter=replace(made.winter, lasts={}), summer=replace(made.summer, lasts={}))
    told = repr(dry(still, shown_in("metric")))
    assert "Nothing leaves reservoir in ordinary days" in told
    assert "Grid" not in told


def test_part_whose_change_is_not_known_is_told_to_be_counted_from_today(made: Year) -> None:
    assert any(due.since is None for due in made.dues)
    told = repr(wear(made, shown_in("metric")))
    for due in made.dues:
        assert (due.part in told.partition("no change is known")[0].rpartition("Of ")[2]) is (due.since is None)
    assert "counted from today, 2026-11-28" in told


@pytest.mark.parametrize("by_unit", [True, False])
def test_new_water_of_a_bin_is_told_beside_the_year_s_product_as_not_counted(made: Year, by_unit: bool) -> None:
    """By hand: 3.7 L a day are 1350 L a year, and 4 parts of waste for each are 5400 L; at 4 EUR a m3 27 EUR."""
    pair = Exchange("swap pair", "brine bin", "reef", 3.7e-3 / DAY, 35.0, 0.1, by_unit)
    told = list(in_short(replace(made, exchanges=(pair,), long_fill=4.0), Prices(4.0, None, "EUR"), shown_in("metric")))
    (one,) = [text for text in told if text.startswith("Not counted")]
    assert told[told.index(one) - 1].startswith("Over the year the unit makes")
    assert "1400 L" in one
    assert ("5400 L of waste" in one) is by_unit
    assert ("27 EUR" in one) is by_unit

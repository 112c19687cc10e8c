"""Parts that trip although nothing fails (S235), by what a fill takes and by the engine's own ordinary days."""

from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.plant.lower import lower
from dewpond.report.views.flows import flow_sentences
from dewpond.report.views.shown import shown_in
from dewpond.study.flows import Flows, flows
from dewpond.study.remarks import of_tables
from tests.study import lines
from tests.study.test_limits_of_counts import LIMITER, METER, bound, counted, winter

LITRE = 1e-3


@pytest.fixture(scope="module")
def timed(repository: Path) -> str:
    return lines.timed(repository)


def told(text: str) -> list[tuple[str, str, tuple[str, ...]]]:
    plant = lower(read_text(text, "count.yaml"), "winter")
    found = of_tables([(plant, flows(plant))])
    return [(one.code, one.level, one.parts) for one in found if one.code == "S235"]


@pytest.mark.parametrize(("part", "since"), [(LIMITER, "a draw"), (METER, "midnight")])
@pytest.mark.slow
def test_a_part_that_trips_in_a_fill_from_empty_is_told_and_one_that_lets_it_through_is_not(
    part: str, since: str, timed: str
) -> None:
    """The same bound as that of `limits`, which is held against the engine there."""
    empty = bound(winter(counted(timed, part, 50.0 * LITRE)), "empty count")
    assert told(counted(timed, part, 1.02 * empty)) == []
    assert told(counted(timed, part, 0.98 * empty)) == [("S235", "note", ("counter", since))]


def test_a_part_that_trips_in_ordinary_days_is_a_warning(timed: str) -> None:
    """By the engine: five litres, where a mean day takes ten times as much."""
    for part, since in ((LIMITER, "a draw"), (METER, "midnight")):
        assert told(counted(timed, part, 5.0 * LITRE)) == [("S235", "warning", ("counter", since))]


def table_of(text: str) -> Flows:
    return flows(lower(read_text(text, "count.yaml"), "winter"))


@pytest.mark.slow
def test_a_fill_longer_than_its_window_is_told_in_days(timed: str) -> None:
    """By hand: the time of the fill over the hours that its clock gives."""
    (fill,) = table_of(timed).fills
    assert 4.0 * 3600.0 < fill.time < 5.0 * 3600.0
    for lasts, said in (
        ("3 h", "That takes 2 days, since morning fill gives 3 h a day."),
        ("2 h", "That takes 3 days, since morning fill gives 2 h a day."),
        ("6 h", "That fits into one of its times: morning fill gives 6 h a day."),
        ("2 h, every: 2 days", "That takes 3 of its times, since morning fill gives 2 h every 2 days."),
    ):
        text = " ".join(flow_sentences(table_of(timed.replace("for: 3 h", f"for: {lasts}")), shown_in("metric")))
        assert said in text
        assert "only if its time lasts so long" not in text

"""Ways of filling that a stop of the file ends although nothing fails. Second methods: a drill of the same house, in
which the same stop shuts for good, and litres set divided by parts drawn for one that arrives."""

from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY
from dewpond.report.views.ways import days, ways_report
from dewpond.report.ways_records import ways as as_json
from dewpond.study.flows import flows
from dewpond.study.locked import locked
from dewpond.study.ordinary import ordinary
from dewpond.study.ways.house import House, looked_at
from dewpond.study.ways.model import CARRYING, FROM_MARK, PERMANENT, WINDOW, Way
from dewpond.study.year.year import year

TWO_TANKS = Path("examples/two_tanks.yaml").read_text(encoding="utf-8")
STOP = "litre stop: {kind: volume limiter, after: feed valve, in: laundry, lets through at most: %s}"


def limited(litres: str) -> Design:
    filters = next(line for line in TWO_TANKS.splitlines() if line.startswith("  filters:"))
    moved = filters.replace("after: feed valve", "after: litre stop")
    return read_text(TWO_TANKS.replace(filters, f"  {STOP % litres}\n{moved}"), "limited.yaml")


def laid(design: Design) -> tuple[House, dict[str, Way]]:
    house, rows = looked_at(design, KINDS, year(design, KINDS, today=740_000), "winter")
    return house, {way.name: way for way in rows}


@pytest.mark.slow
def test_a_stop_that_trips_in_ordinary_days_ends_each_way_as_it_ends_a_drill() -> None:
    design = limited("5 L")
    plant = lower(design, "winter")
    (drilled,) = locked(plant, engine.run(plant, ordinary(plant, 14.0 * DAY), compiled=None))
    table = flows(plant)
    house, rows = laid(design)
    for way in rows.values():
        assert way.ended is not None
        assert way.ended.part == drilled.part == "litre stop"
        assert way.ended.counts == pytest.approx(5e-3)
        assert way.ended.gives == pytest.approx(5e-3 * table.product / table.supply, rel=0.02)
        assert max(way.past, way.a_day) <= way.ended.gives
        assert way.alone <= way.ended.since + house.lasts
        assert (way.strength, way.resin) == (None, None)
    ended = rows[PERMANENT].ended
    assert ended is not None
    assert ended.since == pytest.approx(drilled.since, rel=0.02)


@pytest.mark.slow
def test_a_stop_of_many_litres_ends_no_way() -> None:
    _, rows = laid(limited("2000 L"))
    assert all(way.ended is None for way in rows.values())
    assert rows[PERMANENT].strength is not None


@pytest.mark.slow
def test_every_row_says_that_it_trips_on_the_page_and_in_json() -> None:
    design = limited("5 L")
    house, rows = laid(design)
    report = ways_report(design, "winter", house, tuple(rows.values()))
    told = str(report)
    assert told.count("although nothing fails, once 5 L have run through it") == len(rows)
    assert "170 L a day" not in told
    assert "One press gives" not in told
    for name in (CARRYING, FROM_MARK, WINDOW):
        (one,) = [row for row in as_json(design, "winter", house, tuple(rows.values()))["ways"] if row["way"] == name]  # type: ignore[union-attr, index, call-overload]
        assert (one["ended"]["part"], one["starts_count"]) == ("litre stop", None)  # type: ignore[index, call-overload]


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(600.0, "10 min"), (3.0 * 3600.0, "3 h"), (0.99 * DAY, "1 day"), (DAY, "1 day"), (2.6 * DAY, "2.6 days")],
)
def test_less_than_a_day_is_told_in_hours(seconds: float, said: str) -> None:
    assert days(seconds) == said

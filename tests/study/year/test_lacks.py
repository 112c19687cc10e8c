"""A unit that cannot make what is needed, or makes nothing: against minutes times flow by hand, and the engine."""

from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Scenario
from dewpond.report.views import year_lacks
from dewpond.report.views.shown import shown_in
from dewpond.study.flows import flows
from dewpond.study.year.model import Year
from dewpond.study.year.year import year

LITRE = 1e-3
TIMER = Path("examples/timer_only.yaml").read_text("utf-8")
FIRST = Path("examples/first_float.yaml").read_text("utf-8")
WHEN = "for: 1 h, every: 1 day"


def of_text(text: str) -> Year:
    return year(read_text(text, "house.yaml"), KINDS, today=739_000)


def timed(when: str) -> str:
    assert TIMER.count(WHEN) == 1
    return TIMER.replace(WHEN, when)


@pytest.mark.parametrize(
    ("when", "share"),
    [
        ("for: 1 min, every: 1 day", 1.0 / 1440.0),
        ("for: 10 min, every: 1 day", 10.0 / 1440.0),
        ("for: 20 min, every: 1 day", 20.0 / 1440.0),
        ("for: 60 min, every: 14 days", 60.0 / 1440.0 / 14.0),
    ],
)
@pytest.mark.slow
def test_a_timer_lets_the_unit_make_its_minutes_times_its_flow_and_the_rest_lacks(when: str, share: float) -> None:
    text = timed(when)
    made = of_text(text)
    flow = flows(lower(read_text(text, "house.yaml"), "winter")).product
    assert made.winter.can == pytest.approx(flow * share * DAY, rel=1e-6)
    for month in (*made.months, made.winter, made.summer):
        assert month.can < month.days * DAY * share * 3.3e-6  # 0.2 L/min, more than it ever makes
        for need, product in zip(month.need, month.product, strict=True):
            assert product == pytest.approx(min(need, month.can), rel=0.05)  # days of one month differ a little
        assert month.running <= month.days * DAY * share * 1.001
    assert made.lacks.middle > 0.05
    assert not made.idle
    assert year_lacks.lacks(made)


def test_what_ten_minutes_a_day_bring_is_what_the_engine_brings_in_twelve_days() -> None:
    """Second way: the run itself, with the timer's own timetable; the reservoir never fills up in it."""
    text = timed("for: 10 min, every: 1 day")
    plant = lower(read_text(text, "house.yaml"), "winter")
    trace = engine.run(plant, Scenario("travelling", 12.0 * DAY, (), STARTS["travelling"]), compiled=True)
    moved = sum(trace.moved[edge] for _, edge in plant.membranes)
    assert of_text(text).winter.can == pytest.approx(moved / 12.0, rel=0.06)


def test_a_timer_with_time_enough_lacks_nothing_and_changes_nothing() -> None:
    made = of_text(TIMER)
    assert not year_lacks.lacks(made)
    assert made.lacks.middle == pytest.approx(0.0, abs=1e-9)
    assert made.total("product") == pytest.approx(made.total("need"), rel=1e-9)


@pytest.mark.slow
def test_it_is_said_what_lacks_when_and_how_many_minutes_would_do() -> None:
    made, shown = of_text(timed("for: 10 min, every: 1 day")), shown_in("metric")
    told = year_lacks.shortage(made, shown)
    assert "fill timer (10 min a day)" in told
    assert "Jan" in told
    assert "Jul" not in told
    enough = of_text(timed("for: 50 min, every: 1 day"))
    assert "50 min" not in year_lacks.remedy(made, shown)
    assert not year_lacks.lacks(enough)
    assert "29 min" in year_lacks.remedy(made, shown)
    assert of_text(timed("for: 29 min, every: 1 day")).lacks.middle == pytest.approx(0.0, abs=LITRE)


def test_a_unit_far_too_weak_for_its_tank_never_runs_longer_than_a_month_has() -> None:
    told = "measured: {product: 150 mL/min, waste: 600 mL/min, water: 12 C, on: 2026-03-14}"
    assert (FIRST.count(told), FIRST.count("rated: 75 gal/day")) == (1, 1)
    weak = FIRST.replace(told, "restrictor: 600 mL/min at 50 psi").replace("rated: 75 gal/day", "rated: 4 gal/day")
    assert weak.count("surface: 90 cm x 50 cm,") == 1
    weak = weak.replace("surface: 90 cm x 50 cm,", "surface: 90 cm x 50 cm, evaporation: 30 L/day,")
    made = of_text(weak)
    assert made.total("product") > 0.0
    assert made.lacks.middle > 0.1
    for month in made.months:
        assert month.running <= month.days * DAY * 1.001
    assert "Day and night" in year_lacks.shortage(made, shown_in("metric"))


def test_a_unit_whose_valve_no_row_opens_is_told_with_that_valve_and_nothing_is_claimed_of_hands() -> None:
    """A barrel's tap in place of the float: who opens it, and whether anybody does, the file does not say."""
    (line,) = (one for one in FIRST.splitlines() if one.startswith("  float: "))
    barrel = "  barrel: {kind: mixing vessel, after: tube, in: living room, footprint: 40 cm x 40 cm, rim: 50 cm}"
    made = of_text(FIRST.replace(line, barrel))
    told = year_lacks.nothing_came(made, shown_in("metric"))
    assert made.idle
    assert made.shut == {"barrel": ()}
    assert "barrel stood shut all the time, and no row of the matrix opens it" in told
    assert "nobody there" in told
    assert "is filled or carried by hand" not in told


def test_days_that_were_not_run_to_their_end_are_told() -> None:
    (told,) = year_lacks.broken(replace(of_text(FIRST), broken={"summer": 1.5 * DAY}), shown_in("metric"))
    assert "summer" in told
    assert "36 h" in told or "1.5 days" in told


def test_a_valve_that_waits_for_its_row_is_told_with_that_row() -> None:
    """A row whose cause never comes in ordinary days."""
    house = Path("examples/two_tanks.yaml").read_text("utf-8")
    row = "  - {id: rescue, cause: high mark high, effect: {feed valve: open}}\n"
    made = of_text(house.replace("\nmatrix:\n", f"\nmatrix:\n{row}"))
    assert made.idle
    assert dict(made.shut) == {"feed valve": ("row 1 (rescue)",)}
    assert (
        "the way through feed valve stood shut all the time; row 1 (rescue) would open it"
        in year_lacks.nothing_came(made, shown_in("metric"))
    )

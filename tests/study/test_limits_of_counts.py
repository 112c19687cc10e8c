"""Litres after which a part that counts may trip, against the engine: at the bound it just holds, one step on not."""

from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Onset, Plant, Scenario
from dewpond.study.counters import A_DRAW, BY_HAND, MIDNIGHT, counters, is_reached
from dewpond.study.full import full_level
from dewpond.study.limits.basin import volume
from dewpond.study.limits.limits import Limits, limits
from dewpond.study.limits.model import Asked, Limit
from tests.study import lines
from tests.study.valves import valve_instead_of_float

HOUR, LITRE = 3600.0, 1e-3
BEHIND = "  filters:      {kind: pre-filters,        after: feed valve,"
STUCK = "float: stuck open"
LIMITER = "{kind: volume limiter, after: feed valve, in: laundry, lets through at most: LITRES}"
METER = (
    "{kind: flow meter, after: feed valve, in: laundry, wired to: cellar box, too much above: LITRES, "
    "counted since: SINCE}"
)
MUCH = "matrix:\n  - {id: much, cause: counter too much, effect: {feed valve: shut}, until: re-armed by hand}\n"


def counted(text: str, part: str, litres: float, since: str = "midnight") -> str:
    """The house with something that counts behind its feed valve."""
    assert text.count(BEHIND) == 1
    made = part.replace("LITRES", f"{litres * 1e3:.3f} L").replace("SINCE", since)
    text = text.replace(BEHIND, f"  counter: {made}\n{BEHIND.replace('after: feed valve', 'after: counter')}")
    return text.replace("matrix:\n", MUCH, 1) if part == METER else text


def found_in(text: str, asked: Asked = Asked()) -> Limits:  # noqa: B008
    return limits(read_text(text, "count.yaml"), asked)


def winter(text: str, asked: Asked = Asked()) -> Limit:  # noqa: B008
    return next(one for one in found_in(text, asked).rules if one.what == "count").seasons["winter"]


def bound(limit: Limit, code: str) -> float:
    return next(one.value for one in (*limit.low, *limit.high) if one.code == code)


def laid(text: str, short: dict[str, float]) -> Plant:
    """The plant with vessels that stand so much below where their float is quite shut [m3]."""
    plant = lower(read_text(text, "count.yaml"), "winter")
    start = list(plant.arrays.store_start)
    for name, missing in short.items():
        store = plant.stores.index(name)
        start[store] = volume(plant, store, full_level(plant, store)) - missing
    return replace(plant, arrays=plant.arrays._replace(store_start=start))


def trips(plant: Plant, horizon: float, *onsets: Onset, clock: float = 6.0 * HOUR) -> bool:
    (counter,) = counters(plant)
    return is_reached(counter, engine.run(plant, Scenario("travelling", horizon, onsets, clock), compiled=None))


@pytest.fixture(scope="module")
def timed(repository: Path) -> str:
    return lines.timed(repository)


@pytest.fixture(scope="module")
def always(repository: Path) -> str:
    """With no clock: water comes whenever the float lets it."""
    return (repository / "examples" / "two_tanks.yaml").read_text("utf-8")


# -- what puts a count back --------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("part", "since", "told"), [
    (LIMITER, "", A_DRAW), (METER, "midnight", MIDNIGHT), (METER, "put back by hand", BY_HAND),
])  # fmt: skip
def test_a_part_that_counts_is_known_by_its_logic(part: str, since: str, told: str, timed: str) -> None:
    (counter,) = counters(lower(read_text(counted(timed, part, 50.0 * LITRE, since), "count.yaml"), "winter"))
    assert (counter.part, counter.since, counter.acts) == ("counter", told, True)
    assert counter.volume == pytest.approx(50.0 * LITRE)


def test_a_meter_that_no_row_hangs_on_has_no_bound_from_above(timed: str) -> None:
    text = counted(timed, METER, 50.0 * LITRE).replace(MUCH, "matrix:\n")
    assert winter(text).high == ()


@pytest.mark.slow
def test_a_limit_of_litres_stands_at_the_key_of_its_part(timed: str) -> None:
    for part, key in ((LIMITER, "lets through at most"), (METER, "too much above")):
        (rule,) = [one for one in found_in(counted(timed, part, 50.0 * LITRE)).rules if one.what == "count"]
        assert rule.entry is not None
        assert (rule.subject, rule.entry.key, rule.entry.part) == ("counter", key, "counter")
        assert rule.seasons["winter"].has == pytest.approx(50.0 * LITRE)


# -- from below --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("part", [LIMITER, METER])
@pytest.mark.slow
def test_the_fill_of_a_mean_day_just_passes_at_its_litres_and_not_below_them(part: str, timed: str) -> None:
    """Next to nothing is drawn meanwhile: the reservoir is short of what a mean day takes."""
    limit = winter(counted(timed, part, 50.0 * LITRE))
    just = limit.figures["ordinary"]
    need = next(one.needs["winter"].mean for one in found_in(timed).fed if one.feed.part == "feed valve")
    assert just == pytest.approx(need * limit.figures["times"], rel=0.12)  # and what little runs besides
    fill = need * limit.figures["times"]
    for times, trip in ((1.04, False), (0.93, True)):
        plant = laid(counted(lines.still(timed), part, times * fill), {"reservoir": need})
        assert trips(plant, 5.0 * HOUR) is trip


@pytest.mark.parametrize("part", [LIMITER, METER])
def test_a_fill_from_empty_just_passes_at_the_bound_and_not_below_it(part: str, timed: str) -> None:
    """All that its clock's three hours bring, by the engine."""
    just = bound(winter(counted(timed, part, 50.0 * LITRE)), "empty count")
    for times, trip in ((1.03, False), (0.96, True)):
        plant = laid(counted(lines.still(timed), part, times * just), {"reservoir": 30.0 * LITRE})
        assert trips(plant, 5.0 * HOUR) is trip


@pytest.mark.slow
def test_the_largest_draw_without_a_clock_is_that_of_ordinary_days(always: str) -> None:
    """A fill from empty asks for ten times as much and more."""
    limit = winter(counted(always, LIMITER, 5.0 * LITRE))
    just = bound(limit, "ordinary count")
    assert bound(limit, "empty count") > 10.0 * just
    for times, trip in ((1.06, False), (0.9, True)):
        assert (
            trips(laid(counted(always, LIMITER, times * just), {"reservoir": 0.0}), 3.0 * DAY, clock=0.5 * DAY) is trip
        )
    assert bound(limit, "margin of a count") == pytest.approx(1.3 * just)


@pytest.mark.slow
def test_a_count_put_back_by_hand_holds_what_all_the_days_take(timed: str) -> None:
    week, day = (winter(counted(timed, METER, 1.0, "put back by hand"), Asked(away=a, measured=1.0)) for a in (7, 1))
    assert week.figures["ordinary"] == pytest.approx(7.0 * day.figures["ordinary"], rel=1e-6)
    assert bound(week, "ordinary count") > week.figures["ordinary"]
    assert trips(laid(counted(timed, METER, 0.8 * week.figures["ordinary"], "put back by hand"), {}), 8.0 * DAY)


def test_litres_of_a_row_that_fills_from_mark_to_mark_are_those_between_the_marks(repository: Path) -> None:
    """By hand: the band of the marks, and what the membrane makes of it."""
    text = valve_instead_of_float((repository / "tests" / "study" / "worked.yaml").read_text("utf-8"))
    meter = "  stop:      {kind: volume limiter, after: feed valve, in: room, lets through at most: 90 L}\n  membrane:"
    text = text.replace("  membrane:", meter).replace("membrane, after: feed valve", "membrane, after: stop")
    found = found_in(text)
    feed = next(one.feed for one in found.fed if one.feed.part == "feed valve")
    plant = feed.basin.plant
    assert feed.low is not None
    held = volume(plant, feed.store, 0.2) - volume(plant, feed.store, 0.1)
    assert bound(winter(text), "ordinary count") == pytest.approx(held * feed.counted, rel=1e-3)
    assert bound(winter(text), "empty count") == pytest.approx(2.0 * held * feed.counted, rel=1e-3)


# -- from above --------------------------------------------------------------------------------------------------------
@pytest.mark.slow
@pytest.mark.parametrize("part", [LIMITER, METER])
def test_litres_at_the_bound_fill_to_the_rim_with_a_float_that_sticks_and_more_go_over(part: str, timed: str) -> None:
    """It is short of what is missing at least, and all day the clock gives water."""
    long = timed.replace("for: 3 h", "for: 12 h")
    limit = winter(counted(long, part, 50.0 * LITRE))
    most = bound(limit, "rim of a count")
    need = next(one.needs["winter"].low for one in found_in(long).fed if one.feed.part == "feed valve")
    for times, floods in ((0.97, False), (1.04, True)):
        plant = laid(counted(lines.still(long), part, times * most), {"reservoir": need})
        trace = engine.run(plant, Scenario("travelling", 15.0 * HOUR, (Onset(STUCK, 0.0),), 6.0 * HOUR), compiled=None)
        assert any(event.code == prim.E_RIM for event in trace.events) is floods
        assert floods or is_reached(counters(plant)[0], trace)  # over the rim, a probe in the tray comes first


@pytest.mark.slow
def test_at_a_midnight_without_a_clock_two_counts_may_follow_each_other(always: str) -> None:
    free, half = (
        next(one for one in winter(text).high if one.code == "rim of a count").figures["space"]
        for text in (counted(always, LIMITER, 50.0 * LITRE), counted(always, METER, 50.0 * LITRE))
    )
    assert half == pytest.approx(0.5 * free)


@pytest.mark.slow
def test_what_is_advised_for_a_count_holds_through_days_that_exceed_the_mean(timed: str) -> None:
    """By the engine: the fill of a day that ordinary days exceed but rarely passes at the bound, one below trips."""
    limit = winter(counted(timed, LIMITER, 50.0 * LITRE))
    just = bound(limit, "ordinary count")
    assert just > 1.3 * limit.figures["ordinary"]  # 1 % in 14 days, 15 % from day to day
    for times, trip in ((1.04, False), (0.93, True)):
        plant = laid(counted(lines.still(timed), LIMITER, times * just), {"reservoir": just / limit.figures["times"]})
        assert trips(plant, 5.0 * HOUR) is trip

"""Limits against a tank worked out by hand (tests/published/tank.json), and what must hold for every tank."""

import json
import math
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.parts import KINDS
from dewpond.physics.statistics import cap_without_nuisance, nuisance_probability
from dewpond.physics.vessels import drain_down_volume
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY
from dewpond.study.limits import caps, runs
from dewpond.study.limits.basin import Basin, basins, volume
from dewpond.study.limits.feeds import Feed, feeds
from dewpond.study.limits.limits import Limits, limits
from dewpond.study.limits.model import INSIDE, NUISANCE, OUTSIDE, Asked, Bound, Limit, Need, Ruled, all_year, standing
from dewpond.study.year.model import Reading
from dewpond.study.year.year import year
from tests.study.lifted import lifted_from_a_bin
from tests.study.test_filling import house
from tests.study.valves import valve_instead_of_float

LITRE, HOUR = 1e-3, 3600.0
PER_DAY = LITRE / DAY


@pytest.fixture(scope="module")
def published(repository: Path) -> dict[str, Any]:
    cases = json.loads((repository / "tests" / "published" / "tank.json").read_text("utf-8"))["cases"]
    return {case["id"]: case for case in cases}


def expected(case: dict[str, Any], name: str) -> float:
    return float(case["expected"][name]["value"])


def given_value(case: dict[str, Any], name: str) -> float:
    return float(case["inputs"][name]["value"])


@pytest.fixture(scope="module")
def worked_text(repository: Path) -> str:
    return (repository / "tests" / "study" / "worked.yaml").read_text("utf-8")


@pytest.fixture(scope="module")
def worked(worked_text: str) -> Limits:
    return limits(read_text(worked_text, "worked.yaml"))


def rule(found: Limits, what: str, subject: str) -> Ruled:
    return next(one for one in found.rules if (one.what, one.subject) == (what, subject))


def bound(limit: Limit, code: str) -> Bound:
    return next(one for one in (*limit.low, *limit.high) if one.code == code)


# -- the worked tank ---------------------------------------------------------------------------------------------------
def test_ordinary_run_and_twice_of_it_are_the_published_timeout(published: dict[str, Any], worked: Limits) -> None:
    case = published["fill-timeout"]
    banded = given_value(case, "chamber_area") * given_value(case, "hysteresis") * 1e-3
    flow, loses = given_value(case, "pump") * LITRE / HOUR, given_value(case, "evaporation") * PER_DAY
    normal = runs.ordinary_run(banded, flow, loses)
    assert normal == pytest.approx(expected(case, "normal_run"), rel=0.02)
    limit = rule(worked, "run", "doser").seasons["winter"]
    assert bound(limit, "a run").value == pytest.approx(normal, rel=1e-6)
    assert bound(limit, "twice a run").value == pytest.approx(expected(case, "timeout"), rel=0.02)
    assert rule(worked, "band", "doser").seasons["winter"].figures["runs"] == pytest.approx(
        expected(case, "runs_per_day"), rel=0.01
    )


def test_nuisance_free_cap_is_the_published_one(published: dict[str, Any], worked: Limits) -> None:
    case = published["daily-cap"]
    cap = caps.no_nuisance(4.0 * LITRE, 0.6 * LITRE, Asked(away=14))
    assert cap / LITRE == pytest.approx(expected(case, "cap_prediction"), rel=0.002)
    assert bound(rule(worked, "day", "doser").seasons["winter"], "nuisance").value == pytest.approx(cap, rel=1e-6)


def test_three_bounds_of_a_day_by_hand(worked_text: str) -> None:
    """6.15, 5.40 and 6.06 L by hand. The second is by volume there; by mass the tank bears 2.6 % more fresh water. Both
    are of days begun at midnight: begun in the evening, seven of them bring eight caps, the last after six days."""
    limit = rule(limits(read_text(worked_text, "worked.yaml"), Asked(away=7)), "day", "doser").seasons["winter"]
    by_volume = 2.8 + 300.0 * 2.0 / (33.0 * 7.0)
    by_mass = 2.8 + 1.0264 * (by_volume - 2.8)
    assert by_volume == pytest.approx(5.40, abs=0.005)
    assert bound(limit, "salt of days").value / LITRE == pytest.approx(
        (7.0 * (by_mass - 2.8) + 6.0 * 2.8) / 8.0, abs=0.01
    )
    assert bound(limit, "space").value / LITRE == pytest.approx((7.0 * (6.06 - 2.8) + 6.0 * 2.8) / 8.0, abs=0.01)
    assert limit.highest() == bound(limit, "salt of days")
    assert limit.advised == limit.most  # the salt binds, and the nuisance is borne


def test_nuisance_at_the_binding_cap_is_that_worked_by_hand() -> None:
    """18.6 % in 14 days at 5.4 L; the days of a year follow from the same day's chance."""
    in_all = nuisance_probability(5.4 * LITRE, 4.0 * LITRE, 0.6 * LITRE, 30, 14)
    assert in_all == pytest.approx(0.186, abs=0.001)
    a_day = 1.0 - (1.0 - in_all) ** (1.0 / 14.0)
    assert caps.trips_a_year(5.4 * LITRE, 4.0 * LITRE, 0.6 * LITRE, 30) == pytest.approx(365.0 * a_day, rel=1e-9)


def test_drain_down_seen_in_a_run_is_that_by_hand(published: dict[str, Any], worked: Limits) -> None:
    """31.2 L: in the file as the rise that a ruler shows; here what the plant does when its return pump stops."""
    wanted = expected(published["drain-down"], "drain_volume")
    assert drain_down_volume(0.72, 0.01316, 0.025, 0.74e-3, 3e-3) / LITRE == pytest.approx(wanted, abs=0.1)
    basin = worked.fed[0].feed.basin
    assert basin.drains_down / LITRE == pytest.approx(wanted, abs=0.1)
    assert basin.free(0.240) / LITRE == pytest.approx(54.0, abs=0.01)
    assert basin.spare(0.240) / LITRE == pytest.approx(22.8, abs=0.1)


def test_time_until_the_return_pump_draws_air_is_that_by_hand(published: dict[str, Any], worked: Limits) -> None:
    wanted = expected(published["return-chamber-fall"], "hours_to_air")
    fed = worked.fed[0]
    basin = fed.feed.basin
    assert basin.dry == pytest.approx(0.180)
    left = volume(basin.plant, basin.chamber, 0.240) - volume(basin.plant, basin.chamber, 0.180)
    assert left / basin.loses / HOUR == pytest.approx(wanted, rel=0.005)
    lasts = rule(worked, "call", "doser").seasons["winter"].figures["lasts"]  # from 50 mm, at 4 L and twice 0.6 L
    assert lasts / HOUR == pytest.approx(24.0 * 0.06 * 50.0 / 5.2, rel=0.005)


def test_reservoir_of_a_holiday_clashes_with_one_that_harms_nothing(published: dict[str, Any], worked: Limits) -> None:
    """18 L against 67 L by hand, the 18 L by volume."""
    case = published["autonomy-14d"]
    limit = rule(worked, "stock", "reservoir").seasons["winter"]
    assert bound(limit, "days away").value / LITRE == pytest.approx(expected(case, "reservoir_99"), rel=0.01)
    by_volume = 300.0 * 2.0 / 33.0
    assert by_volume == pytest.approx(18.2, abs=0.05)
    assert bound(limit, "dumped salt").value / LITRE == pytest.approx(1.0264 * by_volume, abs=0.05)
    assert limit.strained
    assert not limit.clash  # it can be built all the same: something else must protect


def test_settling_time_is_that_by_hand(worked: Limits) -> None:
    """31.2 L and 13 mm on 0.30 m2, at 3000 L/h: 42 s; thrice that is less than 5 min."""
    limit = rule(worked, "wait", "doser").seasons["winter"]
    assert bound(limit, "settles").value == pytest.approx(42.0, abs=0.5)
    assert bound(limit, "hold-off").value == 300.0
    assert limit.has == 1200.0  # the pause of the row begins anew with the box


def test_arrears_of_a_night_are_more_than_twice_a_run(worked: Limits) -> None:
    limit = rule(worked, "run", "doser").seasons["winter"]
    owed = 0.6 + 5.2 * (9.0 + 1.2) / 24.0  # marks, 4 L and twice 0.6 L a day, nine hours and the pause to be set
    assert bound(limit, "arrears").figures["owed"] / LITRE == pytest.approx(owed, rel=1e-3)
    assert limit.free == bound(limit, "arrears").value > bound(limit, "twice a run").value
    assert standing(limit, 72.0) == NUISANCE


# -- which water, which bounds -----------------------------------------------------------------------------------------
def test_fresh_tank_has_no_bound_by_salt(worked_text: str) -> None:
    found = limits(read_text(worked_text.replace("salinity: 35 ppt", "salinity: 0 ppt"), "fresh.yaml"))
    codes = {b.code for one in found.rules for limit in one.seasons.values() for b in (*limit.low, *limit.high)}
    assert not {code for code in codes if "salt" in code}
    assert rule(found, "day", "doser").seasons["winter"].highest() is not None  # its room is bounded all the same


def test_two_tanks_on_one_reservoir_are_bounded_each_by_its_own_water(repository: Path) -> None:
    found = limits(read(repository / "examples" / "two_tanks.yaml"))
    by = {one.feed.part: one for one in found.fed}
    assert {name: one.feed.basin.name for name, one in by.items()} == {"top-off pump": "reef", "small doser": "lagoon"}
    stock = rule(found, "stock", "reservoir").seasons["winter"]
    assert {b.by for b in stock.high} == {"reef", "lagoon"}
    assert stock.highest(soft=True).by == "lagoon"  # type: ignore[union-attr]
    both = sum(one.needs["winter"].mean for one in by.values())
    assert stock.low[0].figures["mean"] == pytest.approx(both, rel=1e-9)


def test_two_pumps_into_one_tank_are_named_beside_each_other(worked_text: str) -> None:
    spare = (
        "  spare:     {kind: dosing pump, from: reservoir, to: sump, flow: 2 L/h, outlet: 60 cm above floor, "
        "driven by: box}\n  sump: "
    )
    text = worked_text.replace("  sump: ", spare, 1).replace("{doser: running}", "{doser: running, spare: running}")
    found = limits(read_text(text, "two.yaml"))
    assert [(one.feed.part, one.beside) for one in found.fed] == [("doser", ("spare",)), ("spare", ("doser",))]


def test_need_of_a_reservoir_that_a_valve_fills_is_that_of_the_tank_behind_it(valve_text: str) -> None:
    found = limits(read_text(valve_text, "valve.yaml"))
    feed = next(one for one in found.fed if one.feed.part == "feed valve")
    assert feed.feed.basin.name == "reservoir"
    assert feed.needs["winter"].mean / LITRE == pytest.approx(4.0, rel=1e-6)
    assert not feed.feed.pumped


@pytest.fixture(scope="module")
def valve_text(worked_text: str) -> str:
    return valve_instead_of_float(worked_text)


def test_timeout_of_a_valve_comes_from_the_slow_fill_of_winter(valve_text: str) -> None:
    found = limits(read_text(valve_text, "valve.yaml"))
    limit = rule(found, "run", "feed valve")
    winter, summer = (bound(limit.seasons[s], "a run").value for s in ("winter", "summer"))
    assert winter > 1.25 * summer
    assert limit.whole.free == pytest.approx(2.0 * winter, rel=1e-9)
    day = rule(found, "day", "feed valve").seasons["winter"]
    assert day.figures["counted"] > 2.0  # the box counts what runs to waste as well
    assert day.least == pytest.approx(4.0 * LITRE * day.figures["counted"], rel=1e-6)


def test_what_a_skimmer_takes_is_topped_up_as_well(worked_text: str, worked: Limits) -> None:
    skimmer = "  skimmer:   {kind: skimmer, in: sump, skimmate: 0.3 L/day}\nsensors:"
    found = limits(read_text(worked_text.replace("sensors:", skimmer), "skimmed.yaml"))
    more = found.fed[0].needs["winter"].mean - worked.fed[0].needs["winter"].mean
    assert more / LITRE == pytest.approx(0.3, rel=1e-3)


def test_sump_that_cannot_hold_what_drains_down_has_no_run_limit(worked_text: str) -> None:
    found = limits(read_text(worked_text.replace("rim: 390 mm", "rim: 310 mm"), "low.yaml"))
    for what in ("run", "day"):
        limit = rule(found, what, "doser").seasons["winter"]
        assert limit.clash
        assert limit.advised is None
    assert rule(found, "freeboard", "sump").outside


def test_measured_evaporation_is_told_as_one_figure_for_both_seasons(worked: Limits) -> None:
    assert worked.fixed == ("reef",)
    assert worked.ratio > 2.0  # by the air of the rooms; ratio-winter-summer of tank.json is 2.07 to 3.2


@pytest.mark.parametrize("speaks", ["it calls", "it does not call"])
def test_band_of_a_mark_pair_is_that_of_a_switch_with_the_same_marks(
    worked_text: str, worked: Limits, speaks: str
) -> None:
    pair = worked_text.replace(
        "low mark:  {kind: level switch,", f"low mark:  {{kind: mark pair, when both speak: {speaks},"
    )
    assert pair != worked_text
    found = limits(read_text(pair, "pair.yaml"))
    for what in ("band", "call", "run"):
        paired, switched = (rule(one, what, "doser").seasons["winter"] for one in (found, worked))
        assert paired.has == pytest.approx(switched.has, rel=1e-9)
        assert paired.advised == pytest.approx(switched.advised, rel=1e-6)
    assert rule(found, "band", "doser").seasons["winter"].has == pytest.approx(0.010)


# -- a limit as such ---------------------------------------------------------------------------------------------------
def test_a_limit_takes_the_smallest_value_free_of_nuisance_else_the_largest_without_harm() -> None:
    low, soft, high = Bound("need", 2.0), Bound("nuisance", 5.0, soft=True), Bound("room", 4.0)
    assert Limit("day", (low, soft), (high,)).advised == 4.0
    assert Limit("day", (low, soft), (Bound("room", 9.0),)).advised == 5.0
    assert Limit("day", (Bound("need", 5.0),), (high,)).advised is None
    told = Limit("day", (low, soft), (Bound("room", 9.0),))
    assert [standing(told, v) for v in (1.0, 3.0, 6.0, 10.0, math.inf)] == [
        OUTSIDE, NUISANCE, INSIDE, OUTSIDE, OUTSIDE
    ]  # fmt: skip


def test_seasons_of_which_one_needs_more_than_the_other_bears_clash_over_the_year() -> None:
    winter = Limit("day", (Bound("need", 6.0),), (Bound("room", 9.0),))
    summer = Limit("day", (Bound("need", 2.0),), (Bound("room", 5.0),))
    whole = all_year({"winter": winter, "summer": summer})
    assert whole.clash
    assert not winter.clash
    assert not summer.clash


# -- what holds for every tank -----------------------------------------------------------------------------------------
@pytest.fixture(scope="module")
def feed(worked_text: str) -> Feed:
    design = read_text(worked_text, "worked.yaml")
    plant = lower(design, "winter")
    return feeds(design, plant, basins(plant))[0]


NEED = Need(4e-3, 2.8e-3, 5.2e-3, 0.6e-3, True)


@given(shorter=st.floats(1.0, 5000.0), more=st.floats(0.0, 5000.0))
def test_longer_run_never_lowers_the_harm(feed: Feed, shorter: float, more: float) -> None:
    basin = feed.basin
    assert basin.salinity_after((shorter + more) * feed.strong) <= basin.salinity_after(shorter * feed.strong)
    assert runs.longest_cut(feed, NEED, shorter + more, 0.0) >= runs.longest_cut(feed, NEED, shorter, 0.0)


@settings(deadline=None, max_examples=15)
@given(larger=st.floats(0.0, 0.3))
def test_larger_sump_never_lowers_the_allowed_run(feed: Feed, larger: float) -> None:
    a = feed.basin.plant.arrays
    rims = [held + larger * (s == feed.basin.chamber) for s, held in enumerate(a.store_rim)]
    plant = replace(feed.basin.plant, arrays=a._replace(store_rim=rims))
    grown = replace(feed, basin=Basin(plant, feed.basin.body, feed.basin.stores, feed.basin.chamber))
    before, after = (runs.run_limit(one, NEED, Asked(), 0.0).most for one in (feed, grown))
    assert after >= before * (1.0 - 1e-9)
    assert caps.day_cap(grown, NEED, Asked()).most >= caps.day_cap(feed, NEED, Asked()).most * (1.0 - 1e-9)  # type: ignore[union-attr]


@given(mean=st.floats(1e-4, 0.05), varies=st.floats(0.01, 0.6), away=st.integers(1, 365))
def test_doubling_evaporation_never_lowers_the_nuisance_free_cap(mean: float, varies: float, away: int) -> None:
    asked = Asked(away=away, varies=varies)
    assert caps.no_nuisance(2.0 * mean, 2.0 * varies * mean, asked) >= caps.no_nuisance(mean, varies * mean, asked)


@given(days=st.floats(0.5, 100.0), more=st.floats(0.0, 100.0), drop=st.floats(0.1, 5.0), deeper=st.floats(0.0, 5.0))
def test_looking_less_often_never_raises_a_cap_and_a_deeper_fall_never_lowers_it(
    feed: Feed, days: float, more: float, drop: float, deeper: float
) -> None:
    def most(asked: Asked) -> float:
        limit = caps.day_cap(feed, NEED, asked)
        assert limit is not None
        return limit.most

    usual = most(Asked(measured=days, drop=drop))
    assert most(Asked(measured=days + more, drop=drop)) <= usual * (1.0 + 1e-12)
    assert most(Asked(measured=days, drop=drop + deeper)) >= usual * (1.0 - 1e-12)


def test_design_of_nothing_but_a_tub_has_no_limits_of_pumps(design: Design) -> None:
    found = limits(design)
    assert found.fed == ()
    assert [one.what for one in found.rules] == ["fill"]
    assert found.outside == ()


# -- a pump that fills a stock of fresh water --------------------------------------------------------------------------
@pytest.fixture(scope="module")
def lifted(worked_text: str) -> Limits:
    return limits(read_text(lifted_from_a_bin(worked_text), "lifted.yaml"))


def test_a_stock_that_a_pump_fills_has_no_bound_of_a_tank(lifted: Limits) -> None:
    codes = {b.code for one in lifted.rules if one.subject == "lift" for b in (*one.whole.low, *one.whole.high)}
    assert not codes & {"salt of a run", "salt of days", "drain-down", "space", "dry", "half of the room", "arrears"}
    assert "rim of a run" in codes


def test_run_into_a_stock_ends_before_the_rim_begun_at_its_low_mark(lifted: Limits) -> None:
    # by hand: 0.6 m x 0.5 m of water, marks at 100 and 250 mm: 45 L a run; 60 L up to the rim at 300 mm
    feed = next(one for one in lifted.fed if one.feed.part == "lift").feed
    limit = rule(lifted, "run", "lift").seasons["winter"]
    loses = 4.0 * LITRE / DAY
    assert limit.least == pytest.approx(45.0 * LITRE / (feed.weak - loses), rel=1e-6)
    assert limit.most == pytest.approx(60.0 * LITRE / (feed.strong - loses), rel=1e-6)
    assert limit.advised is not None
    assert rule(lifted, "band", "lift").seasons["winter"].standing == INSIDE


def test_what_is_set_for_a_stock_brings_what_a_day_wants(lifted: Limits) -> None:
    one = next(fed for fed in lifted.fed if fed.feed.part == "lift")
    for season, need in one.needs.items():
        run, gap, day = (rule(lifted, what, "lift").seasons[season].advised for what in ("run", "gap", "day"))
        assert run
        assert gap
        assert day
        runs_a_day = DAY / (run + gap)
        assert runs_a_day * run * one.feeds[season].weak >= need.high
        assert day >= need.mean
    for what in ("gap", "day", "call"):
        assert not rule(lifted, what, "lift").clash
    assert rule(lifted, "gap", "lift").seasons["winter"].standing == INSIDE


@pytest.mark.parametrize(("plugged_into", "every", "has"), [
    ("utility circuit", "", None), ("fill timer", "", 1800.0), ("fill timer", ", every: 2 days", 900.0),
])  # fmt: skip
def test_the_window_of_a_fill_is_the_one_that_a_timer_of_the_file_gives(
    plugged_into: str, every: str, has: float | None
) -> None:
    """By hand: 30 min a day, or on every other day; the timer alone, that gates nothing, gives none."""
    text = house(plugged_into).replace("for: 30 min}", f"for: 30 min{every}}}")
    found = limits(read_text(text, "house.yaml"))
    (window,) = (rule for rule in found.rules if rule.what == "window")
    assert [limit.has for limit in window.seasons.values()] == [has, has]
    line = 1 + next(k for k, one in enumerate(text.splitlines()) if "fill timer: {" in one)
    assert (window.entry.line if window.entry else None) == (line if has == 1800.0 else None)
    for limit in window.seasons.values():  # by hand: what is wanted in a day, at the flow of the unit
        assert limit.least == pytest.approx(limit.figures["wanted"] / limit.figures["flow"])


# -- a ruler -----------------------------------------------------------------------------------------------------------
def test_ruler_moves_and_narrows_the_need_as_it_does_that_of_the_year(repository: Path) -> None:
    """The second way to the same figure: the days at the coldest and the warmest point of the year's curve."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    written = "rim: 300 mm, measured evaporation: {fell: 60 mm, over: 24 h, on: 2026-01-20},"
    design = read_text(text.replace("rim: 300 mm,", written), "ruled.yaml")
    assert design != read_text(text, "t.yaml")
    found = year(design, KINDS, today=date(2026, 3, 1).toordinal())
    ruled, plain = limits(design, calibration=found.calibration), limits(design)
    for season, day in (("winter", found.winter), ("summer", found.summer)):
        need, before = ruled.fed[0].needs[season], plain.fed[0].needs[season]
        for value, wanted in zip((need.low, need.mean, need.high), day.need, strict=True):
            assert value == pytest.approx(wanted, rel=0.01)
        assert need.mean > 1.1 * before.mean
        assert need.high / need.low < before.high / before.low
    free = [rule(one, "day", "top-off pump").seasons["winter"].free for one in (plain, ruled)]
    assert free[1] > 1.1 * free[0]


def test_log_moves_need_and_scatter_as_it_does_in_the_year(repository: Path) -> None:
    """Twelve days of top-off that alternate about 5 L: mean, scatter and number of days by hand."""
    design = read(repository / "examples" / "first_float.yaml")
    start, today = date(2026, 1, 10).toordinal(), date(2026, 3, 1).toordinal()
    log = [Reading(start + k, 1.0, (5.0 + (0.6 if k % 2 else -0.6)) * LITRE) for k in range(12)]
    found = year(design, KINDS, log, today=today)
    asked = Asked().as_logged(found.calibration)
    assert asked.logged == 12
    assert asked.varies == pytest.approx(found.calibration.daily)
    assert 0.1 < asked.varies < 0.2  # 0.6 of 5, by half the spread of quartiles 0.18
    limited, plain = limits(design, asked, found.calibration), limits(design)
    need = limited.fed[0].needs["winter"]
    assert need.known
    assert need.mean == pytest.approx(found.winter.need.middle, rel=0.01)
    assert need.deviation == pytest.approx(asked.varies * need.mean)
    assert need.high / need.low < plain.fed[0].needs["winter"].high / plain.fed[0].needs["winter"].low
    bound = next(b for b in rule(limited, "day", "top-off pump").seasons["winter"].low if b.code == "nuisance")
    assert bound.value == pytest.approx(cap_without_nuisance(need.mean, need.deviation, 12, 14, 0.01))


def test_few_days_of_a_log_say_nothing_of_the_scatter(repository: Path) -> None:
    design = read(repository / "examples" / "first_float.yaml")
    log = [Reading(date(2026, 1, 10).toordinal() + k, 1.0, 5.0 * LITRE) for k in range(3)]
    found = year(design, KINDS, log, today=date(2026, 3, 1).toordinal())
    assert Asked().as_logged(found.calibration) == Asked()


# -- for how many days a cap will do -----------------------------------------------------------------------------------
@pytest.mark.parametrize("season", ["winter", "summer"])
def test_days_that_a_cap_bears_are_the_most_for_which_a_mean_day_fits(worked: Limits, season: str) -> None:
    """By trying: a mean day and a tenth, brought on d + 1 days, less the least evaporation, against salt and room."""
    fed = worked.fed[0]
    feed, need = fed.feeds[season], replace(fed.needs[season], mean=1.5 * fed.needs[season].mean)
    asked = Asked(away=40)
    days = caps.days_borne(feed, need, asked)
    assert 0 < days < 40

    def fits(d: int) -> bool:
        most = (d + 1) * 1.1 * need.mean - (d - 1) * need.low  # caps at both ends, the air takes its part between them
        room = min(feed.basin.fresh_for(asked.drop), feed.basin.spare(runs.rest(feed)))
        return most <= room * (1.0 + 1e-9)

    assert fits(days)
    assert not fits(days + 1)


def test_bounds_that_all_but_touch_leave_no_value_that_holds_in_a_run() -> None:
    """Least and most nearer than a tenth: no day is like another, and what is advised would trip or run over."""
    near, apart = Bound("rim of a count", 42.2), Bound("rim of a count", 46.5)
    low = (Bound("ordinary count", 42.0),)
    for what in ("run", "day", "fill", "window", "count"):
        assert Limit(what, low, (near,), 42.1).clash
        assert Limit(what, low, (near,), 42.1).advised is None
        assert Limit(what, low, (near,), 42.1).standing == OUTSIDE
        assert Limit(what, low, (apart,), 44.0).standing == INSIDE
    assert not Limit("wait", low, (near,)).clash  # what is set to the second, and no day differs from another

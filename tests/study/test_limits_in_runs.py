"""Limits against the engine: at the limit it just holds, one step more it does not."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.consequence import judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Onset, Plant, Scenario
from dewpond.plant.trace import Trace
from dewpond.study.limits import caps, runs
from dewpond.study.limits.basin import basins, volume
from dewpond.study.limits.feeds import Feed, feeds
from dewpond.study.limits.limits import Limits, limits
from dewpond.study.limits.model import Asked, Limit, Need
from dewpond.study.starting import AFTER_A_CUT, begin
from tests.study.valves import valve_instead_of_float

STUCK, STOPS = "low mark: float stuck low", "reef: return pump stops"
STOPPED = "effect: {doser: stopped}, until: cause ends, by: cut-out, tell"
LIMITED = "at most: 72 s a run, gap: 20 min, per day: 5.4 L, "
LOCKS = (
    "when a run is too long: {effect: stopped, until: re-armed by hand, tell: level message}"  # as in the worked tank
)


@pytest.fixture(scope="module")
def worked_text(repository: Path) -> str:
    """The worked tank with a high mark that only tells."""
    text = (repository / "tests" / "study" / "worked.yaml").read_text("utf-8")
    assert STOPPED in text
    return text.replace(STOPPED, "effect: {}, tell").replace("in: sump, at: 300 mm", "in: sump, at: 389 mm")


def with_limits(text: str, at_most: float | None, per_day: float | None = None) -> str:
    """The same file with other limits of its top-off: run [s], day [m3]; no gap."""
    assert f"{LIMITED}{LOCKS}" in text
    run = "" if at_most is None else f"at most: {at_most:.4f} s a run, "
    day = "" if per_day is None else f"per day: {per_day * 1e3:.6f} L, "
    locks = LOCKS if at_most is not None else "until: cause ends"
    return text.replace(f"{LIMITED}{LOCKS}", f"{run}{day}{locks}")


def ran(text: str, horizon: float, *onsets: Onset, clock: float = STARTS["travelling"]) -> tuple[Plant, Trace]:
    plant = lower(read_text(text, "t.yaml"), "winter")
    return plant, engine.run(plant, Scenario("travelling", horizon, onsets, clock), compiled=None)


def over_rim(trace: Trace) -> bool:
    return any(event.code == prim.E_RIM for event in trace.events)


@pytest.fixture(scope="module")
def feed(worked_text: str) -> Feed:
    design = read_text(worked_text, "t.yaml")
    plant = lower(design, "winter")
    return feeds(design, plant, basins(plant))[0]


@pytest.fixture(scope="module")
def need(feed: Feed) -> Need:
    """As if nothing varied: what evaporates in the run."""
    mean = feed.basin.loses * DAY
    return Need(mean, mean, mean, 0.0, True)


def bound(limit: Limit | None, code: str) -> float:
    assert limit is not None
    return next(one.value for one in (*limit.low, *limit.high) if one.code == code)


# -- a run -------------------------------------------------------------------------------------------------------------
def test_stuck_run_at_the_limit_leaves_room_to_drain_down_and_a_longer_one_does_not(
    worked_text: str, feed: Feed, need: Need
) -> None:
    """The return pump stops while it runs, so that little has yet to drain when it ends: 0.1 L, 6 s of its flow."""
    limit = bound(runs.run_limit(feed, need, Asked(), 0.0), "drain-down")
    for at_most, floods in ((limit, False), (limit + 10.0, True)):
        _, trace = ran(with_limits(worked_text, at_most), limit + 900.0, Onset(STUCK, 0.0), Onset(STOPS, 60.0))
        assert over_rim(trace) is floods


def test_stuck_run_at_the_limit_fills_to_the_rim_and_a_second_more_goes_over(
    worked_text: str, feed: Feed, need: Need
) -> None:
    limit = bound(runs.run_limit(feed, need, Asked(), 0.0), "rim")
    for at_most, floods in ((limit - 1.0, False), (limit + 1.0, True)):
        _, trace = ran(with_limits(worked_text, at_most), limit + 60.0, Onset(STUCK, 0.0))
        assert over_rim(trace) is floods


def test_stuck_run_at_the_limit_lowers_salinity_just_so_far(worked_text: str, feed: Feed, need: Need) -> None:
    limit = bound(runs.run_limit(feed, need, Asked(), 0.0), "salt of a run")

    def lowest(at_most: float) -> float:
        plant, trace = ran(with_limits(worked_text, at_most), limit + 60.0, Onset(STUCK, 0.0))
        return judge(plant, trace).tanks[0].lowest

    assert lowest(limit) == pytest.approx(35.0 - 1.3, abs=1e-3)
    assert lowest(limit + 1.0) < lowest(limit) < lowest(limit - 1.0)


# -- a day -------------------------------------------------------------------------------------------------------------
DAYS = float(Asked().away)  # while nobody measures, longer than the 7 days at home
UNCOUNTED = DAYS * 60e-3 / 3600.0  # at each midnight the count is put back for a second, in which the pump runs [m3]


LAST = (DAYS - 1.0) * DAY + 1500.0  # of the caps that come in these days the last has come [s]


def whole_days(text: str, cap: float, *onsets: Onset, horizon: float = LAST) -> tuple[Plant, Trace]:
    """Days from just before a midnight up to the last cap, each brought at once since the mark says low for ever."""
    text = with_limits(text, None, cap)
    return ran(text, horizon, Onset(STUCK, 0.0), *onsets, clock=DAY - 900.0)


def test_cap_by_salt_brings_salinity_just_so_low_in_its_days(worked_text: str, feed: Feed, need: Need) -> None:
    cap = bound(caps.day_cap(feed, need, Asked()), "salt of days")

    def end(value: float) -> float:
        plant, trace = whole_days(worked_text, value)
        found = judge(plant, trace).tanks[0].end
        assert found is not None
        return found

    just = cap + (LAST - (DAYS - 1.0) * DAY) * need.mean / DAY / (DAYS + 1.0) - UNCOUNTED / (DAYS + 1.0)
    assert 33.0 <= end(just) < 33.0 + 15e-3  # the engine mixes by volume, the bound is by mass
    assert end(1.01 * just) < 33.0 - 0.01


def test_cap_by_room_leaves_just_enough_to_drain_down_after_its_days(worked_text: str, feed: Feed, need: Need) -> None:
    """The return pump stops after the last cap; while the tank drains down a third of a litre evaporates, less than
    half of the 1.5 % of all caps together."""
    cap = bound(caps.day_cap(feed, need, Asked()), "space")
    for times, floods in ((0.985, False), (1.02, True)):
        _, trace = whole_days(worked_text, times * cap, Onset(STOPS, LAST), horizon=LAST + 7200.0)
        assert over_rim(trace) is floods
    chamber = feed.basin.chamber
    _, trace = whole_days(worked_text, cap - UNCOUNTED / (DAYS + 1.0))
    room = feed.basin.plant.arrays.store_rim[chamber] - feed.basin.drains_down
    assert trace.volume[chamber] == pytest.approx(room - (LAST - (DAYS - 1.0) * DAY) * need.mean / DAY, abs=0.02e-3)


def test_cap_of_a_room_just_holds_for_the_days_away_and_one_of_seven_days_does_not(repository: Path) -> None:
    """A fresh tank, away for 14 days in summer, a low mark that sticks late in the evening; seven days' room in 14."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8").replace("35 ppt", "0 ppt")
    text = text.replace("running}, until: cause ends", "running}, gap: 65 min, per day: 3.89 L, until: cause ends")
    text = text.replace("drains to: sump,  surface", "drains to: sump, evaporation: EVAP, surface")
    assert text.count("per day: 3.89 L") == text.count("EVAP") == 1

    def days(per_day: str, evaporates: str) -> Trace:
        own = text.replace("per day: 3.89 L", f"per day: {per_day}").replace("EVAP", evaporates)
        plant = lower(read_text(own, "t.yaml"), "summer")
        onsets = (Onset(STUCK, 0.0), Onset(STOPS, 13.1 * DAY))
        return engine.run(plant, Scenario("travelling", 14.0 * DAY, onsets, 22.0 * 3600.0), compiled=None)

    found = limits(read_text(text.replace("evaporation: EVAP, ", ""), "t.yaml"))
    rule = next(one for one in found.rules if one.what == "day")
    assert rule.outside
    summer = rule.seasons["summer"]
    low = f"{found.fed[0].needs['summer'].low * 1e3:.3f} L/day"
    assert not over_rim(days(f"{0.98 * summer.most * 1e3:.3f} L", low))
    assert over_rim(days(f"{1.03 * summer.most * 1e3:.3f} L", low))
    assert over_rim(days("3.89 L", low))
    assert not over_rim(days(f"{summer.advised * 1e3 - UNCOUNTED * 50e3 / 60.0 / (DAYS + 1.0):.3f} L", low))


# -- marks -------------------------------------------------------------------------------------------------------------
def test_mark_at_the_bound_leaves_room_to_drain_down_and_one_millimetre_more_does_not(
    worked_text: str, feed: Feed
) -> None:
    """With next to no evaporation, so that the hours in which a tank drains down take nothing away."""
    highest = feed.basin.highest()
    still = with_limits(worked_text.replace("effect: {}, tell", STOPPED), None).replace(
        "evaporation: 4 L/day", "evaporation: 0.05 L/day"
    )
    for mark, floods in ((highest, False), (highest + 1e-3, True)):
        text = still.replace("at: 389 mm", f"at: {mark * 1e3:.3f} mm")
        plant, trace = ran(text, 14.0 * 3600.0, Onset(STUCK, 0.0), Onset(STOPS, 2.0 * 3600.0))
        assert over_rim(trace) is floods
        if not floods:  # the mark has ended the run, and what drained down has reached the rim within a millimetre
            held = trace.volume[feed.basin.chamber]
            rim = plant.arrays.store_rim[feed.basin.chamber]
            assert held == pytest.approx(rim, abs=0.36e-3)


def test_mark_below_what_drains_down_reports_high_water_when_the_return_pump_stops(worked_text: str) -> None:
    found = limits(read_text(worked_text, "t.yaml"))
    risen = next(one for one in found.rules if one.what == "high mark").seasons["winter"].free
    for mark, told in ((risen - 2e-3, True), (risen + 1e-3, False)):
        text = worked_text.replace("at: 389 mm", f"at: {mark * 1e3:.2f} mm")
        plant, trace = ran(text, 3600.0, Onset(STOPS, 60.0))
        assert said(plant, trace, "high mark reports high water in sump") is told


def said(plant: Plant, trace: Trace, words: str) -> bool:
    signals = {number for number, say in plant.says.items() if words in say.true}
    assert signals
    return any(e.code == prim.E_SIGNAL and e.ref in signals and e.value > 0.0 for e in trace.events)


# -- a power cut -------------------------------------------------------------------------------------------------------
TOO_LONG, FULL = "that has lasted too long", "no more until midnight"


def after_cut(text: str) -> tuple[Plant, Trace]:
    plant = begin(read_text(text, "t.yaml"), "winter", AFTER_A_CUT)
    return plant, engine.run(plant, Scenario("travelling", 2.0 * DAY, (), STARTS["travelling"]), compiled=None)


@pytest.fixture(scope="module")
def looser(worked_text: str) -> tuple[str, Limits]:
    """The worked tank, looked at every two days, so that a cap free of nuisance harms nothing; and its limits."""
    design = read_text(worked_text, "t.yaml")
    return worked_text, limits(design, Asked(away=2, measured=2.0))


def advised(found: Limits, what: str) -> float:
    limit = next(one for one in found.rules if (one.what, one.subject) == (what, "doser")).seasons["winter"]
    assert limit.free <= limit.most
    assert limit.advised is not None
    return limit.advised


def test_night_without_power_trips_neither_the_advised_run_nor_the_advised_day(looser: tuple[str, Limits]) -> None:
    text, found = looser
    text = with_limits(text, advised(found, "run"), advised(found, "day"))
    text = text.replace(" a run, per day", f" a run, gap: {advised(found, 'gap'):.1f} s, per day")
    assert " a run, gap: 43" in text  # 72 min, a third of 3.6 h
    plant, trace = after_cut(text)
    assert not said(plant, trace, TOO_LONG)
    assert not said(plant, trace, FULL)
    edge = next(e for e, owner in enumerate(plant.arrays.edge_owner) if plant.parts[owner] == "doser")
    assert trace.moved[edge] > 2.0 * 4e-3  # it has made good what evaporated in the cut


def test_night_without_power_trips_twice_an_ordinary_run(looser: tuple[str, Limits], feed: Feed, need: Need) -> None:
    """What the arrears are for: the limit of 72 s that is right for ordinary days alone."""
    text, _ = looser
    twice = bound(runs.run_limit(feed, need, Asked(), 0.0), "twice a run")
    plant, trace = after_cut(with_limits(text, twice))
    assert said(plant, trace, TOO_LONG)


def test_longest_cut_is_told_as_the_engine_has_it(worked_text: str, feed: Feed, need: Need) -> None:
    """Begun with the water at its upper mark, the band is not yet owed."""
    bare = replace(feed, row=replace(feed.row, gap=None))
    owed = need.mean * 9.0 / 24.0
    just = owed / (feed.weak - need.mean / DAY)
    assert runs.longest_cut(bare, need, just, 0.0) < 9.0 * 3600.0
    for at_most, trips in ((1.02 * just, False), (0.98 * just, True)):
        plant, trace = after_cut(with_limits(worked_text, at_most))
        assert said(plant, trace, TOO_LONG) is trips


# -- a fill ------------------------------------------------------------------------------------------------------------
def test_timeout_longer_than_the_winter_fill_lets_it_through_and_that_of_summer_does_not(worked_text: str) -> None:
    text = valve_instead_of_float(worked_text)
    found = limits(read_text(text, "t.yaml"))
    run = next(one for one in found.rules if (one.what, one.subject) == ("run", "feed valve"))
    winter, summer = (bound(run.seasons[season], "a run") for season in ("winter", "summer"))

    def trips(at_most: float) -> bool:
        plant = lower(read_text(text.replace("at most: 6 h", f"at most: {at_most:.1f} s"), "t.yaml"), "winter")
        store = plant.stores.index("reservoir")
        start = [volume(plant, s, 0.099) if s == store else v for s, v in enumerate(plant.arrays.store_start)]
        low = replace(plant, arrays=plant.arrays._replace(store_start=start))
        trace = engine.run(low, Scenario("travelling", 1.5 * winter, (), STARTS["travelling"]), compiled=None)
        assert math.isfinite(trace.end)
        return said(low, trace, TOO_LONG)

    assert not trips(1.05 * winter)
    assert trips(1.2 * summer)
    assert trips(0.9 * winter)

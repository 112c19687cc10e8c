"""Limits of what one line from the supply fills, against the engine: a pressure tank on it, several vessels behind."""

from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.lower import lower
from dewpond.plant.plant import Onset, Plant, Scenario
from dewpond.plant.trace import Trace
from dewpond.study.filling import fills
from dewpond.study.full import full_level
from dewpond.study.limits import windows
from dewpond.study.limits.basin import volume
from dewpond.study.limits.limits import Limits, limits
from dewpond.study.limits.model import Limit, Ruled
from dewpond.study.lines import Line
from dewpond.study.lines import lines as lines_of
from tests.study import lines
from tests.study.lines import still, with_tank

HOUR, LITRE = 3600.0, 1e-3
STUCK = "float: stuck open"


@pytest.fixture(scope="module")
def timed(repository: Path) -> str:
    return lines.timed(repository)


def found_in(text: str) -> Limits:
    return limits(read_text(text, "line.yaml"))


def rule(found: Limits, what: str, subject: str) -> Ruled:
    return next(one for one in found.rules if (one.what, one.subject) == (what, subject))


def over_rim(trace: Trace) -> bool:
    return any(event.code == prim.E_RIM for event in trace.events)


def high(limit: Limit, code: str) -> float:
    return min(bound.value for bound in limit.high if bound.code == code)


# -- a pressure tank ---------------------------------------------------------------------------------------------------
def test_a_pressure_tank_has_no_rim_no_mark_and_no_freeboard(timed: str) -> None:
    found = found_in(with_tank(timed))
    assert all(one.subject != "pressure tank" for one in found.rules)
    assert {one.feed.basin.name for one in found.fed} == {"reservoir", "reef", "lagoon"}


@pytest.mark.slow
def test_a_valve_before_a_pressure_tank_feeds_the_reservoir_behind_it_at_the_flow_of_the_unit(timed: str) -> None:
    """Second way: the same house without the tank."""
    plain, behind = found_in(timed), found_in(with_tank(timed))
    (one,), (other,) = ([fed for fed in found.fed if fed.feed.part == "feed valve"] for found in (plain, behind))
    assert other.needs == one.needs
    assert one.needs["winter"].mean > 5.0 * LITRE
    for season, feed in one.feeds.items():
        assert other.feeds[season].strong == pytest.approx(feed.strong, rel=1e-3)
        assert other.feeds[season].counted == pytest.approx(feed.counted, rel=1e-3)


def test_what_a_pressure_tank_gives_just_finds_room_at_the_bound_and_no_longer_with_a_lower_rim(timed: str) -> None:
    """Its feed shut, the float stuck open: all that it gives runs into the reservoir."""
    text = still(with_tank(timed))
    gives = next(one.feed.gives for one in found_in(text).fed if one.feed.part == "feed valve")
    assert 3.0 * LITRE < gives < 12.0 * LITRE
    plant = lower(read_text(text, "line.yaml"), "winter")
    store = plant.stores.index("reservoir")
    for spare, floods in ((0.05 * LITRE, False), (-0.05 * LITRE, True)):
        rims = list(plant.arrays.store_rim)
        rims[store] = plant.arrays.store_start[store] + gives + spare
        laid = replace(plant, arrays=plant.arrays._replace(store_rim=rims))
        trace = engine.run(laid, Scenario("travelling", 8.0 * HOUR, (Onset(STUCK, 0.0),), 12.0 * HOUR), compiled=None)
        assert over_rim(trace) is floods


def test_window_at_the_bound_fills_to_the_rim_beside_what_a_pressure_tank_gives_and_a_longer_one_goes_over(
    timed: str,
) -> None:
    text = still(with_tank(timed)).replace("rim: 320 mm,", "rim: 400 mm,")
    limit = rule(found_in(text), "window", "reservoir").seasons["winter"]
    most = high(limit, "room above the float")
    assert most > 0.5 * HOUR
    for lasts, floods in ((0.97 * most, False), (1.03 * most, True)):
        own = text.replace("on from: 06:30, for: 3 h", f"on from: 06:30, for: {lasts:.1f} s")
        assert own != text
        plant = lower(read_text(own, "line.yaml"), "winter")
        trace = engine.run(plant, Scenario("travelling", 12.0 * HOUR, (Onset(STUCK, 0.0),), 4.0 * HOUR), compiled=None)
        assert over_rim(trace) is floods


def test_the_run_of_a_valve_that_a_clock_opens_is_the_window_of_that_clock(timed: str) -> None:
    """One limit, not two: a row that ends the run sooner is what the window has."""
    found = found_in(timed)
    assert [one.what for one in found.rules if one.subject == "feed valve"] == ["day"]
    window = rule(found, "window", "reservoir")
    assert (window.entry.key if window.entry else "") == "for"
    assert window.seasons["winter"].has == 3.0 * HOUR
    ended = rule(found_in(timed.replace("{feed valve: open}}", "{feed valve: open}, at most: 25 min a run}")), "window",
                 "reservoir")  # fmt: skip
    assert (ended.entry.key if ended.entry else "") == "at most"
    assert ended.seasons["winter"].has == 1500.0
    assert ended.seasons["winter"].least > 1500.0  # by which the reservoir runs dry


# -- two reservoirs on one line ----------------------------------------------------------------------------------------
@pytest.fixture(scope="module")
def shared(timed: str) -> str:
    return lines.with_small_store(timed)


def test_vessels_on_one_line_have_one_window_whose_times_add(shared: str) -> None:
    found = found_in(shared)
    (window,) = [one for one in found.rules if one.what == "window"]
    assert window.subject == "morning fill"
    for limit in window.seasons.values():
        (low,) = limit.low
        assert set(low.shares) == {"reservoir", "small store"}
        assert sum(low.shares.values()) / low.value == pytest.approx(low.figures["flow"], rel=0.05)  # of the line
        assert {bound.by for bound in limit.high} == {"reservoir", "small store"}
    (fed,) = [one for one in found.fed if one.feed.part == "feed valve"]
    whole = [one.needs["winter"] for one in found.fed if one.feed.part in ("top-off pump", "small doser")]
    assert fed.needs["winter"].mean == pytest.approx(sum(need.mean for need in whole), rel=1e-9)


def line_of(plant: Plant) -> Line:
    (line,) = lines_of(plant)
    return line


def test_window_at_the_bound_brings_both_vessels_their_water_and_one_for_the_larger_alone_does_not(
    shared: str,
) -> None:
    """Each stands so much below where its float is quite shut: 6 L and 3 L. With time for the 6 L alone, the vessel
    that lies higher gets none of its own."""
    plant = lower(read_text(still(shared), "line.yaml"), "winter")
    stores = {name: plant.stores.index(name) for name in ("reservoir", "small store")}
    wants = {stores["reservoir"]: 6.0 * LITRE, stores["small store"]: 3.0 * LITRE}
    parts = tuple(windows.shares(plant, line_of(plant), fills(plant), wants))
    whole, larger = (windows.window_limit(some, None) for some in (parts, parts[:1]))
    assert whole is not None
    assert larger is not None
    assert parts[0].vessel == "reservoir"
    start = list(plant.arrays.store_start)
    for store, wanted in wants.items():
        start[store] = volume(plant, store, full_level(plant, store)) - wanted

    def brought(lasts: float) -> tuple[float, ...]:
        own = still(shared).replace("on from: 06:30, for: 3 h", f"on from: 06:30, for: {lasts:.1f} s")
        one = lower(read_text(own, "line.yaml"), "winter")
        one = replace(one, arrays=one.arrays._replace(store_start=start))
        trace = engine.run(one, Scenario("travelling", 9.0 * HOUR, (), 6.0 * HOUR), compiled=None)
        return tuple((trace.volume[store] - start[store]) / wanted for store, wanted in wants.items())

    assert all(share > 0.85 for share in brought(whole.least))
    assert sum(wants[s] * got for s, got in zip(wants, brought(whole.least), strict=True)) > 0.93 * 9.0 * LITRE
    assert min(brought(larger.least)) < 0.3

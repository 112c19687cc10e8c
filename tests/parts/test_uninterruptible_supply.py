"""What hangs on a supply with a battery: how long it goes on, how cuts add up, and what a worn battery does."""

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.uninterruptible_supply import KIND
from dewpond.plant.plant import Plant
from tests.parts.recording import lowered
from tests.plant.houses import HOUR, STOP_ON_WATER, TOP_OFF, Ill, Told, design, plant_of, run

CUT, NIGHT = "box circuit: cut for an hour", "box circuit: cut for 9 h"
LINE = "power:\n  ups: {kind: uninterruptible supply, power: box circuit, %s}\n"


def text(keys: str = "holds for: 40 min", *changes: tuple[str, str], at_rest: str = "shut", more: str = "") -> str:
    """The test house with its box on the supply."""
    words = design(STOP_ON_WATER, TOP_OFF, at_rest=at_rest)
    for old, new in (("box: {power: box circuit", "box: {power: ups"), *changes):
        assert words.count(old) == 1, old
        words = words.replace(old, new)
    return words + LINE % keys + more


def told_of(plant: Plant, *ills: Ill, who: str = "travelling", hours: float = 30.0) -> Told:
    return run(plant, who, hours * HOUR, ills, compiled=True)


def dead(told: Told) -> list[tuple[float, int]]:
    """When what hangs on it went dead and came back [h]."""
    return [(round(time / HOUR, 4), off) for time, off in told.changes("ups", "ups loses power")[1:]]


# --- alone -----------------------------------------------------------------------------------------------------------
def test_it_has_power_by_the_mains_or_by_a_good_battery_and_only_while_it_works() -> None:
    """By hand: (mains, battery drained, battery good, works)."""
    asked = lowered(KIND, {"power": "mains", "holds for": 2400.0, "recharges in": 3600.0}, name="ups")
    mains, fed = asked.given_back("circuit", name="mains"), asked.only("feed")["signal"]
    drained = asked.given_back("timed", seconds=2400.0)
    ((_, good, _),), ((_, works, _),) = asked.patches("battery worn out"), asked.patches("dies")
    for live in (True, False):
        for empty in (True, False):
            for sound in (True, False):
                for runs in (True, False):
                    facts = {mains: live, drained: empty, good: sound, works: runs}
                    assert asked.now(fed, facts) is (runs and (live or (sound and not empty))), facts


def test_its_time_counts_while_the_mains_are_gone_and_is_put_back_by_a_whole_recharge() -> None:
    asked = lowered(KIND, {"power": "mains", "holds for": 2400.0, "recharges in": 3600.0}, name="ups")
    mains, back = asked.given_back("circuit", name="mains"), asked.given_back("on delay", seconds=3600.0)
    counted = asked.by_number("signal", asked.given_back("timed", seconds=2400.0))
    assert counted["of"] == (-1 - mains, back)
    assert asked.by_number("signal", back)["of"] == (mains,)


def test_unknown_is_tried_both_ways_and_nothing_comes_first() -> None:
    (holds,) = (param for param in KIND.params if param.key == "holds for")
    assert holds.unknown[0] == 0.0 < holds.unknown[1]


# --- in a house: closed form ------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("holds", "expected"), [
    ("0 s", [(1.0, 1), (2.0, 0)]),
    ("40 min", [(1.0 + 2.0 / 3.0, 1), (2.0, 0)]),
    ("59 min", [(1.0 + 59.0 / 60.0, 1), (2.0, 0)]),
    ("61 min", []),
])  # fmt: skip
def test_it_bridges_the_beginning_of_a_cut_and_comes_back_with_the_mains(
    holds: str, expected: list[tuple[float, int]]
) -> None:
    plant = plant_of(text(f"holds for: {holds}"))
    told = told_of(plant, Ill(CUT, HOUR, HOUR))
    assert dead(told) == [(pytest.approx(time, abs=1e-3), off) for time, off in expected]
    assert [time / HOUR for time in told.at("box is without power")] == [
        pytest.approx(time, abs=1e-3) for time, off in expected if off
    ]
    assert bool(told.at("ups goes on from its battery")) is (holds != "0 s")


def test_second_cut_soon_after_finds_it_half_empty() -> None:
    """90 min held, an hour drawn: half an hour is left two hours later, and all of it a day later; by hand."""
    plant = plant_of(text("holds for: 90 min, recharges in: 8 h"))
    soon = told_of(plant, Ill(CUT, HOUR, HOUR), Ill(CUT, 4 * HOUR, HOUR))
    assert dead(soon) == [(pytest.approx(4.5, abs=1e-3), 1), (5.0, 0)]
    assert dead(told_of(plant, Ill(CUT, HOUR, HOUR), Ill(CUT, 11 * HOUR, HOUR))) == []


def test_a_recharge_that_a_cut_breaks_off_counts_for_nothing() -> None:
    """90 min held; an hour drawn, seven of eight hours of charging, half an hour drawn: then it is empty; by hand."""
    plant = plant_of(text("holds for: 90 min, recharges in: 8 h"))
    told = told_of(plant, Ill(CUT, HOUR, HOUR), Ill(CUT, 9 * HOUR, HOUR))
    assert dead(told) == [(pytest.approx(9.5, abs=1e-3), 1), (10.0, 0)]


def test_worn_out_it_is_dead_with_the_mains_and_nobody_sees_it_before() -> None:
    plant = plant_of(text())
    told = told_of(plant, Ill("ups: battery worn out", 0.0), Ill(CUT, HOUR, HOUR))
    assert dead(told) == [(1.0, 1), (2.0, 0)]
    assert dead(told_of(plant, Ill("ups: battery worn out", 0.0))) == []


def test_dead_itself_it_takes_everything_along_and_nobody_brings_it_back() -> None:
    told = told_of(plant_of(text()), Ill("ups: dies", HOUR), who="at home")
    assert dead(told) == [(1.0, 1)]
    assert told.at("box is without power") == [HOUR]


def test_box_and_valve_on_it_stop_a_leak_in_a_cut_and_the_valve_alone_does_not() -> None:
    """A valve that stays as it is. In a night's cut a tube comes off: box and valve on the battery shut it, a box
    without one orders nothing until the mains are back."""
    leak, cut = Ill("tube: joint blows off, in study", 1.5 * HOUR), Ill(NIGHT, HOUR, 9 * HOUR)
    held = told_of(plant_of(text("holds for: 2 h", at_rest="stays as it is")), cut, leak).consequence
    short = told_of(plant_of(text("holds for: 10 min", at_rest="stays as it is")), cut, leak).consequence
    assert held.stopped is not None
    assert held.stopped < 1.5 * HOUR + 120.0
    assert short.stopped == pytest.approx(10.0 * HOUR, abs=60.0)
    assert short.on_floors > 10.0 * held.on_floors > 0.0


def test_a_valve_that_shuts_without_power_is_kept_open_by_it() -> None:
    """Its caution: the battery takes away the shutting in a cut."""
    cut = Ill(CUT, HOUR, HOUR)
    assert told_of(plant_of(text("holds for: 2 h")), cut).at("feed valve shuts") == []
    assert told_of(plant_of(text("holds for: 0 s")), cut).at("feed valve shuts") == [HOUR]


def test_a_pump_that_fills_runs_on_from_it_in_a_cut() -> None:
    """Its caution: the pump of a hung box empties the reservoir in the dark."""
    plant = plant_of(text("holds for: 2 h"))
    calls, cut = Ill("low mark: float stuck low", 0.0), Ill(CUT, 60.0, HOUR)
    assert [t for t in told_of(plant, calls, cut, hours=1.0).at("pump stops") if t < 65.0] == []
    assert [t for t in told_of(plant_of(text("holds for: 0 s")), calls, cut, hours=1.0).at("pump stops") if t < 65.0]


# --- in a file --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("keys", "code", "key"), [
    ("holds for: 40 min, recharges in: 1 s", "D053", "recharges in"),
    ("holds for: 40 L", "D066", "holds for"),
    ("recharges in: 8 h", "D040", "holds for"),
    ("holds for: 30 days", "D053", "holds for"),
    ("holds for: 40 min, battery fitted: yesterday", "D056", "battery fitted"),
])  # fmt: skip
def test_what_cannot_be_is_refused_at_its_key(keys: str, code: str, key: str) -> None:
    with pytest.raises(DesignError) as told:
        read_text(text(keys), "house.yaml")
    assert [(f.key, f.code) for f in told.value.findings] == [(key, code)]


def test_a_watcher_that_outlives_the_sender_on_its_battery_is_no_watcher_that_dies_with_it() -> None:
    """D160 tells of a watcher on the sender's circuit; not of one that goes on for long enough to miss it."""
    own = ("box: {power: ups", "watcher: {power: ups}\n  box: {power: box circuit")
    life = "messages:\n  life: {from: [box], every: 10 min, path: [box], missed: 2, watched: watcher, tell: [keeper]}\n"
    codes = {
        holds: [f.code for f in check(read_text(text(f"holds for: {holds}", own, more=life), "house.yaml"))]
        for holds in ("10 min", "40 min")
    }
    assert "D160" in codes["10 min"]
    assert "D160" not in codes["40 min"]

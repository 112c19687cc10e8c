"""A time switch and a time window: when they act, in whole runs against hours by hand, and what each fault does."""

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.plant.plant import DAY, Plant
from tests.plant.houses import HOUR, STOP_ON_WATER, TOP_OFF, Ill, Told, design, plant_of, run

BEGINS = 18.0 * HOUR  # of a run at home, by the clock
CUT = "wall: cut for an hour"
POWER = """power:
  timer: {kind: time switch, power: wall, on from: 20:00, for: 90 min, its time in a power cut: %s}
"""


def switched(keeps: str = "kept") -> Plant:
    """The test house with its feed valve plugged into a time switch."""
    text = design(STOP_ON_WATER, TOP_OFF)
    old = "without power: shut, driven by: box"
    assert text.count(old) == 1
    return plant_of(text.replace(old, f"{old}, power: timer") + POWER % keeps)


def windowed(keeps: str = "kept", circuit: str = "box circuit") -> Plant:
    """The test house with its pump let run only while a window is due."""
    row = "{cause: low mark low and evening due, effect: {pump: running}, at most: 4 min a run, until: cause ends}"
    window = "sensors:\n  evening: {kind: time window, by the clock of: box, on from: 8 pm, for: 1.5 h, "
    text = design(STOP_ON_WATER, row).replace("sensors:\n", f"{window}its time in a power cut: {keeps}}}\n")
    return plant_of(text.replace("box circuit", circuit))


def by_the_clock(told: Told, part: str, words: str) -> list[tuple[float, bool]]:
    """(hour of the clock, whether so) of each change after the start."""
    return [((BEGINS + t) / HOUR, bool(v)) for t, v in told.changes(part, words)[1:]]


def valve(plant: Plant, *ills: Ill, hours: float = 54.0) -> list[tuple[float, bool]]:
    told = run(plant, "at home", hours * HOUR, ills, compiled=True)
    return by_the_clock(told, "feed valve", "feed valve opens")


def window(plant: Plant, *ills: Ill, hours: float = 54.0) -> list[tuple[float, bool]]:
    return by_the_clock(run(plant, "at home", hours * HOUR, ills, compiled=True), "evening", "evening is due")


def spans(*hours: float) -> list[object]:
    """Open and shut in turns at these hours of the clock."""
    return [pytest.approx((hour, n % 2 == 0), abs=1e-3) for n, hour in enumerate(hours)]


# --- in order --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("keeps", ["kept", "lost"])
def test_what_it_feeds_has_power_within_its_time_and_no_longer(keeps: str) -> None:
    assert valve(switched(keeps)) == spans(20.0, 21.5, 44.0, 45.5, 68.0, 69.5)
    assert window(windowed(keeps)) == spans(20.0, 21.5, 44.0, 45.5, 68.0, 69.5)


def test_a_row_runs_its_pump_only_within_the_window() -> None:
    """The keeper's evaporation calls for water at some hour; the pump waits for eight in the evening."""
    told = run(windowed(), "travelling", 6.0 * DAY, compiled=True)
    starts = [(8.0 + t / HOUR) % 24.0 for t in told.at("pump starts")]
    assert len(starts) >= 3
    assert all(20.0 <= hour < 21.5 for hour in starts)


# --- the clock in a power cut ----------------------------------------------------------------------------------------


def test_clock_that_keeps_its_time_is_right_after_a_cut() -> None:
    assert valve(switched("kept"), Ill(CUT, 0.5 * HOUR, HOUR)) == spans(20.0, 21.5, 44.0, 45.5, 68.0, 69.5)
    assert valve(switched("kept"), Ill(CUT, 3.0 * HOUR, HOUR)) == spans(20.0, 21.0, 44.0, 45.5, 68.0, 69.5)


def test_clock_that_loses_its_time_begins_at_nought_when_the_power_is_back() -> None:
    """Back at 19:30, which it takes for 0:00: its 20:00 is 39:30, then 24 hours later each time."""
    assert valve(switched("lost"), Ill(CUT, 0.5 * HOUR, HOUR)) == spans(39.5, 41.0, 63.5, 65.0)
    assert window(windowed("lost", "wall"), Ill(CUT, 0.5 * HOUR, HOUR)) == spans(39.5, 41.0, 63.5, 65.0)


def test_a_second_cut_sets_it_to_nought_again() -> None:
    plant = switched("lost")
    told = valve(plant, Ill(CUT, 0.5 * HOUR, HOUR), Ill("wall: cut for 9 h", 2.0 * HOUR, 0.5 * HOUR))
    assert told == spans(40.5, 42.0, 64.5, 66.0), "back at 20:30 by the clock"


def test_unknown_is_tried_both_ways() -> None:
    text = design(STOP_ON_WATER, TOP_OFF) + POWER % "unknown"
    found = [one for one in read_text(text, "house.yaml").unknowns if one.part == "timer"]
    assert [(one.key, one.tried, one.taken) for one in found] == [("its time in a power cut", ("lost", "kept"), "lost")]


# --- faults ----------------------------------------------------------------------------------------------------------

SWITCH_FAULTS = {
    "clock stops while on": [19.0],
    "contact welded": [19.0],
    "clock stops while off": [],
    "contact burnt": [],
    "clock jumps to midnight": [39.0, 40.5, 63.0, 64.5],  # at 19:00, which it takes for 0:00
}


@pytest.mark.parametrize("fault", SWITCH_FAULTS)
def test_each_fault_of_the_switch_moves_or_ends_its_time(fault: str) -> None:
    assert valve(switched(), Ill(f"timer: {fault}", HOUR)) == spans(*SWITCH_FAULTS[fault])


@pytest.mark.parametrize("fault", [name for name in SWITCH_FAULTS if "clock" in name])
def test_each_fault_of_the_clock_moves_or_ends_the_window(fault: str) -> None:
    assert window(windowed(), Ill(f"evening: {fault}", HOUR)) == spans(*SWITCH_FAULTS[fault])


def test_a_burst_within_its_time_runs_until_that_is_over() -> None:
    """With its box hung the valve is open all the time that it has power; the switch ends the water by itself."""
    plant = switched()
    told = run(plant, "travelling", 20.0 * HOUR, [Ill("tube: burst, in laundry", 13.0 * HOUR), Ill("box: hangs", 0.0)],
               compiled=True)  # fmt: skip
    wet = told.consequence
    assert wet.on_floors + wet.water.to_drain > 1e-3
    assert told.changes("feed valve", "feed valve opens")[-1] == (pytest.approx(13.5 * HOUR), 0)


# --- bad input -------------------------------------------------------------------------------------------------------
BAD = {
    ("20:00", "25:00"): "D052",
    ("20:00", "20"): "D052",
    ("90 min", "30 h"): "D053",
    ("90 min", "90 min, every: 36 h"): "clock-days",
    ("wall", "box"): "D062",
    ("kept", "perhaps"): "D054",
}


@pytest.mark.parametrize("change", BAD)
def test_what_cannot_be_is_told_with_its_line(change: tuple[str, str]) -> None:
    power = (POWER % "kept").replace(*change)
    try:
        findings = check(read_text(design(STOP_ON_WATER, TOP_OFF) + power, "house.yaml"))
    except DesignError as refused:
        findings = refused.findings
    (found,) = [one for one in findings if one.level == "error"]
    assert found.code == BAD[change]
    assert found.line == len((design(STOP_ON_WATER, TOP_OFF) + power).splitlines())


def test_checks_object_to_a_window_that_no_row_asks_for() -> None:
    text = design(STOP_ON_WATER, TOP_OFF).replace(
        "sensors:\n", "sensors:\n  spare: {kind: time window, by the clock of: box, on from: 06:30, for: 1 h}\n"
    )
    assert [one.code for one in check(read_text(text, "house.yaml")) if one.where == "sensors: spare"] == ["D137"]


# --- what feeds its clock ---------------------------------------------------------------------------------------------

UPS = "  ups: {kind: uninterruptible supply, power: %s, holds for: 40 min}\n"
RCD = "  rcd: {kind: residual-current device, power: %s}\n"


@pytest.mark.parametrize(
    ("feeds", "lines"),
    [
        ("ups", UPS % "wall"),
        ("rcd", RCD % "wall"),
        ("ups", UPS % "rcd" + RCD % "wall"),
        ("rcd", RCD % "ups" + UPS % "wall"),
    ],
)
def test_a_clock_whose_power_never_goes_is_right_whatever_feeds_it_and_whatever_a_cut_would_do(
    feeds: str, lines: str
) -> None:
    """A supply has power from the first moment on, however its parts stand in the file; nothing was cut before."""
    row = "{cause: low mark low and evening due, effect: {pump: running}, at most: 4 min a run, until: cause ends}"
    lead = "sensors:\n  evening: {kind: time window, by the clock of: box, on from: 8 pm, for: 1.5 h}\n"
    house = design(STOP_ON_WATER, row).replace("sensors:\n", lead)
    assert house.count("box: {power: box circuit") == 1
    house = house.replace("box: {power: box circuit", f"box: {{power: {feeds}") + "power:\n" + lines
    assert window(plant_of(house)) == spans(20.0, 21.5, 44.0, 45.5, 68.0, 69.5)

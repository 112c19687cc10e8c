"""A fill button and an away switch: whole runs against minutes counted by hand, and what each fault does."""

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.plant.plant import DAY, Plant
from tests.plant.houses import HOUR, STOP_ON_WATER, TOP_OFF, Ill, Told, design, plant_of, run

BEGINS = {"at home": 18.0, "asleep": 23.0, "out": 9.0, "travelling": 8.0}  # [h]
FILL = "{cause: fill pressed, effect: {feed valve: open}, until: cause ends}"
BUTTON = """sensors:
  fill: {kind: fill button, runs for: 20 min, pressed by: keeper, pressed every: 2 days, pressed at about: %s,
         while it is held down: %s, wired to: box, contact: closes when pressed, read as pressed when: closed%s}
"""
AWAY = """sensors:
  gone: {kind: away switch, turned by: keeper, turned: %s, wired to: box, contact: closes when away,
         read as away when: closed}
"""
NEVER_TURNED = "{cause: gone away, effect: {feed valve: shut}, until: cause ends}"


def words(at: str = "19:00", held: str = "its time begins anew and again", more: str = "") -> str:
    text = design(STOP_ON_WATER, TOP_OFF, FILL)
    assert text.count("sensors:\n") == 1
    return text.replace("sensors:\n", BUTTON % (at, held, more))


def house(at: str = "19:00", held: str = "its time begins anew and again", more: str = "") -> Plant:
    return plant_of(words(at, held, more))


def switched(turned: str) -> Plant:
    return plant_of(design(STOP_ON_WATER, TOP_OFF, NEVER_TURNED).replace("sensors:\n", AWAY % turned))


def told_of(plant: Plant, *ills: Ill, who: str = "at home", days: float = 5.0) -> Told:
    return run(plant, who, days * DAY, ills, compiled=True)


def opened(told: Told, who: str = "at home") -> list[tuple[float, float]]:
    """From which hour of the clock to which the feed valve stood open; to the end of the run where it does not shut."""
    seen = told.changes("feed valve", "feed valve opens")
    on = [t for t, v in seen if v]
    off = [t for t, v in seen[1:] if not v]
    off += [told.trace.scenario.horizon] * (len(on) - len(off))
    return [(BEGINS[who] + a / HOUR, BEGINS[who] + b / HOUR) for a, b in zip(on, off, strict=True)]


def near(*spans: tuple[float, float]) -> list[object]:
    return [pytest.approx(span, abs=2e-3) for span in spans]


THIRD = 1.0 / 3.0  # of an hour: 20 min


# --- in order --------------------------------------------------------------------------------------------------------
def test_the_valve_opens_for_its_minutes_every_other_day() -> None:
    wanted = near((19.0, 19.0 + THIRD), (67.0, 67.0 + THIRD), (115.0, 115.0 + THIRD))
    assert opened(told_of(house())) == wanted
    assert opened(told_of(house(held="its time ends all the same"))) == wanted


def test_who_is_out_or_asleep_presses_it_afterwards() -> None:
    """The keeper sleeps from 23:00 to 7:00, is out from 9:00 to 18:00 and at home and awake in between."""
    assert opened(told_of(house("03:00"), who="asleep"), "asleep") == near((55.0, 55.0 + THIRD), (103.0, 103.0 + THIRD))
    assert opened(told_of(house("12:00"), who="out"), "out")[0] == pytest.approx((18.0, 18.0 + THIRD), abs=2e-3)


def test_nobody_presses_it_while_travelling() -> None:
    told = told_of(house(), who="travelling", days=14.0)
    assert opened(told, "travelling") == []
    assert told.consequence.reservoir_empty is None or told.consequence.reservoir_empty > 3.0 * DAY


def test_each_press_brings_no_more_than_its_minutes() -> None:
    """A burst behind the valve: water comes for 20 min each time, and the box is hung from before on."""
    plant = house()
    told = told_of(plant, Ill("tube: burst, in laundry", 0.0), days=1.0)
    wet = [m for m in told.consequence.moments if "feed valve" in m.text]
    assert [m.time for m in wet] == [pytest.approx(HOUR, abs=5.0), pytest.approx(HOUR + 1200.0, abs=5.0)]


# --- faults ----------------------------------------------------------------------------------------------------------
END = 18.0 + 120.0  # of a run of five days


@pytest.mark.parametrize(
    ("held", "wanted"),
    [
        ("its time begins anew and again", [(20.0, END)]),
        ("its time ends all the same", [(20.0, 20.0 + THIRD)]),
    ],
)
def test_stuck_down_it_ends_or_not_as_the_file_says(held: str, wanted: list[tuple[float, float]]) -> None:
    first = (19.0, 19.0 + THIRD)
    assert opened(told_of(house(held=held), Ill("fill: sticks pressed", 2.0 * HOUR))) == near(first, *wanted)


def test_a_timer_that_does_not_end_shows_at_the_next_press() -> None:
    assert opened(told_of(house(), Ill("fill: timer does not end", 0.0))) == near((19.0, END))
    assert opened(told_of(house(), Ill("fill: timer does not end", 2.0 * HOUR))) == near(
        (19.0, 19.0 + THIRD), (67.0, END)
    )


@pytest.mark.parametrize("fault", ["nobody presses it", "nothing follows a press", "wire broken"])
def test_without_a_press_nothing_is_filled(fault: str) -> None:
    assert opened(told_of(house(), Ill(f"fill: {fault}", 2.0 * HOUR))) == near((19.0, 19.0 + THIRD))


def test_a_reservoir_that_nobody_fills_runs_dry() -> None:
    """26.5 cm in 0.16 m2 over an inlet at 2 cm: 39 L; the tank takes them within some days."""
    told = run(house(), "at home", 14.0 * DAY, [Ill("fill: nobody presses it", 0.0)], compiled=True)
    empty = told.consequence.reservoir_empty
    assert empty is not None
    assert 3.0 * DAY < empty < 14.0 * DAY
    assert run(house(), "at home", 14.0 * DAY, [], compiled=True).consequence.reservoir_empty is None


def test_without_power_its_timer_forgets_the_press() -> None:
    plant = house(more=", power: wall")
    assert opened(told_of(plant, Ill("wall: cut for an hour", HOUR + 600.0, 60.0)))[0] == pytest.approx(
        (19.0, 19.0 + THIRD / 2.0), abs=2e-3
    )


# --- the away switch --------------------------------------------------------------------------------------------------
def shut(told: Told, who: str) -> list[tuple[float, bool]]:
    """(hour of the clock, whether the valve is shut); the first at the start."""
    return [((BEGINS[who] + t / HOUR), bool(v)) for t, v in told.changes("feed valve", "feed valve shuts")]


@pytest.mark.parametrize(
    ("turned", "who", "wanted"),
    [
        ("for a journey", "travelling", [(8.0, True)]),
        ("for a journey", "at home", [(18.0, False)]),
        ("on leaving the house", "at home", [(18.0, False), (33.0, True), (42.0, False)]),
        (
            "on leaving and at bedtime",
            "at home",
            [(18.0, False), (23.0, True), (31.0, False), (33.0, True), (42.0, False)],
        ),
    ],
)
def test_the_feed_is_shut_while_nobody_is_there(turned: str, who: str, wanted: list[tuple[float, bool]]) -> None:
    """The keeper is out from 9:00 to 18:00 and asleep from 23:00 to 7:00."""
    assert shut(told_of(switched(turned), who=who, days=1.1), who) == [pytest.approx(one, abs=1e-3) for one in wanted]


def test_forgotten_on_leaving_the_feed_stays_open_and_on_coming_back_shut() -> None:
    plant = switched("on leaving the house")
    kept_open = told_of(plant, Ill("gone: not turned on leaving", 0.0), days=1.0)
    assert shut(kept_open, "at home") == [(18.0, False)]
    left = told_of(plant, Ill("gone: left at away", HOUR), days=14.0)
    assert shut(left, "at home") == [(18.0, False), (pytest.approx(19.0), True)]
    assert left.consequence.reservoir_empty is not None


def test_a_stop_that_is_meant_is_no_protection() -> None:
    assert len(switched("for a journey").trips) == len(plant_of(design(STOP_ON_WATER, TOP_OFF)).trips) > 0


# --- bad input -------------------------------------------------------------------------------------------------------
BAD = {
    ("20 min", "5 s"): "D053",
    ("20 min", "20"): "D068",
    ("2 days", "30 h"): "clock-days",
    ("19:00", "19:61"): "D052",
    ("by: keeper", "by: box"): "D062",
    ("closes when pressed", "closes when wet"): "D054",
}


@pytest.mark.parametrize("change", BAD)
def test_what_cannot_be_is_told(change: tuple[str, str]) -> None:
    text = words()
    assert text.count(change[0]) == 1, change
    try:
        findings = check(read_text(text.replace(*change), "house.yaml"))
    except DesignError as refused:
        findings = refused.findings
    (found,) = [one for one in findings if one.level == "error"]
    assert found.code == BAD[change]

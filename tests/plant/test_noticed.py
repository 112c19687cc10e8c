"""What counts as a notice of the water that gets out, and what does not."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from dewpond.design.reader import read, read_text
from dewpond.plant import engine
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Onset, Plant, Scenario

HOUR = 3600.0


@cache
def house(folder: Path) -> Plant:
    return lower(read(folder / "examples" / "two_tanks.yaml"))


def told(repository: Path, *onsets: tuple[str, float], days: float = 2.0, who: str = "travelling") -> Consequence:
    plant = house(repository)
    faults = tuple(Onset(label, time) for label, time in onsets)
    return judge(plant, engine.run(plant, Scenario(who, days * DAY, faults, STARTS[who]), compiled=True))


@pytest.mark.slow
@pytest.mark.parametrize(
    "onsets",
    [
        # a wire breaks in another tank, an hour before a leak
        (("lagoon high: wire broken", 0.0), ("riser: joint weeps, in laundry", HOUR)),
        # the box that hears the probe hangs, and its sign of life is missed before the leak
        (("cellar box: hangs", 0.0), ("riser: joint weeps, in laundry", HOUR)),
        # and after it
        (("riser: joint weeps, in laundry", HOUR), ("cellar box: hangs", 3 * HOUR)),
        (("study circuit: cut for an hour", HOUR), ("riser: joint weeps, in laundry", 10 * HOUR)),
        # wires that break two hours after the leak, and what boxes and people make of it
        (("riser: joint weeps, in laundry", HOUR), ("lagoon high: wire broken", 3 * HOUR)),
        (("riser: joint weeps, in laundry", HOUR), ("high mark: wire broken", 3 * HOUR)),
        (("riser: joint weeps, in laundry", HOUR), ("reservoir low: wire broken", 3 * HOUR)),
        # a limit ends a run that a broken sensor has ordered
        (("lagoon mark: wires touch", 0.0), ("resin: joint weeps", HOUR)),
        # the keeper is told of an empty reservoir, and the float that let no water in let none out
        (("float: stuck shut", 0.0), ("floor drain: backs up", 0.0)),
    ],
)
def test_what_has_nothing_to_do_with_the_water_is_no_notice_of_it(
    repository: Path, onsets: tuple[tuple[str, float], ...]
) -> None:
    run = told(repository, *onsets, days=6.0)
    assert run.first_water is not None
    assert any(m.kind in ("notice", "found") for m in run.moments)  # something was noticed
    assert (run.first_noticed, run.noticed_by, run.first_known) == (None, None, None)


@pytest.mark.slow
def test_level_that_is_reported_before_its_vessel_runs_over_is_a_notice(repository: Path) -> None:
    run = told(
        repository, ("top-off pump: runs on", 0.0), ("pump cut-out: contact welded, in the lead of top-off pump", 0.0)
    )
    assert run.first_water is not None
    assert run.first_noticed is not None
    assert run.first_noticed < run.first_water
    assert "high" in str(run.noticed_by)


@pytest.mark.slow
def test_sign_of_life_that_stays_away_is_still_told_where_no_water_gets_out(repository: Path) -> None:
    run = told(repository, ("cellar box: hangs", HOUR))
    assert run.first_water is None
    assert str(run.noticed_by).startswith("keeper is told (“heartbeat stays away”)")


@pytest.mark.slow
def test_report_of_a_broken_sensor_is_no_notice_but_the_true_one_after_it_is(repository: Path) -> None:
    run = told(repository, ("lagoon high: wire broken", 0.0), ("float: stuck open", HOUR))
    assert run.first_water is not None
    assert run.first_noticed is not None
    assert run.first_noticed > run.first_water
    assert "tray probe reports water" in str(run.noticed_by)


@pytest.mark.slow
def test_valve_that_shuts_by_its_own_probe_has_noticed_the_water(repository: Path) -> None:
    run = told(repository, ("feed valve: joint blows off, behind the valve", HOUR))
    assert run.noticed_by == "cell valve shuts"
    assert run.first_noticed == pytest.approx(run.stopped, abs=60.0)


@pytest.mark.slow
@pytest.mark.parametrize(
    "other",
    [
        ("router: down for 4 h", 70 * 60.0),
        ("router: down for 4 h", 0.0),
        ("keeper: acknowledges, and does nothing", 0.0),
        ("cellar box: hangs", 5 * DAY),
    ],
)
def test_low_reservoir_that_a_leak_has_brought_about_is_told_of_it(repository: Path, other: tuple[str, float]) -> None:
    """Whoever carries the message on may have failed before, or may do nothing: it has been told."""
    leak = ("resin: joint blows off", HOUR)
    alone, both = told(repository, leak, days=6.0), told(repository, leak, other, days=6.0)
    assert alone.first_noticed == pytest.approx(3.6 * DAY, rel=0.1)
    assert both.first_noticed == pytest.approx(alone.first_noticed, abs=60.0)


@pytest.mark.slow
def test_water_that_rises_because_a_pump_stops_is_no_notice_of_a_leak_elsewhere(repository: Path) -> None:
    text = (repository / "examples" / "two_tanks.yaml").read_text("utf-8")
    changed = text.replace("type: float, in: big sump, at: 320 mm", "type: float, in: big sump, at: 290 mm")
    assert changed != text
    plant = lower(read_text(changed, "high.yaml"))
    faults = (Onset("resin: joint weeps", HOUR), Onset("reef: return pump stops", 2 * HOUR))
    run = judge(plant, engine.run(plant, Scenario("travelling", DAY, faults, STARTS["travelling"]), compiled=True))
    assert any("high mark reports high water" in m.text for m in run.moments)
    assert run.first_noticed is None


@pytest.mark.slow
def test_message_of_an_ordinary_day_does_not_hide_another_one_before_it(repository: Path) -> None:
    """Nothing fails, and the keeper is told at four hours of a reservoir that is low: in the same words."""
    plant = replace(house(repository), noticed_anyway={"travelling": (("keeper is told", 4 * HOUR),)})
    faults = tuple(
        Onset(label, 0.0)
        for label in ("top-off pump: runs on", "pump cut-out: contact welded, in the lead of top-off pump")
    )
    scenario = Scenario("travelling", DAY, faults, STARTS["travelling"])
    run = judge(plant, engine.run(plant, scenario, compiled=True))
    assert run.first_known is not None
    assert run.first_known < 0.5 * HOUR

"""What counts as a notice of the water that gets out, and what does not."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from dewpond.design.reader import read
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
        # a wire breaks in another tank, an hour before the main bursts
        (("lagoon high: wire broken", 0.0), ("stop tap: joint blows off, behind the valve", HOUR)),
        # the box that hears the probe hangs, and its sign of life is missed before the leak
        (("cellar box: hangs", 0.0), ("riser: joint weeps, in laundry", HOUR)),
        # and after it
        (("riser: joint weeps, in laundry", HOUR), ("cellar box: hangs", 3 * HOUR)),
        (("study circuit: cut for an hour", HOUR), ("riser: joint weeps, in laundry", 10 * HOUR)),
    ],
)
def test_what_has_nothing_to_do_with_the_water_is_no_notice_of_it(
    repository: Path, onsets: tuple[tuple[str, float], ...]
) -> None:
    run = told(repository, *onsets)
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

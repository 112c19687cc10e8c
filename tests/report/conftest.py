"""Outcomes made by hand for a small installation, and one studied for real."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read
from dewpond.plant.balance import Balance
from dewpond.plant.consequence import Consequence, TankHarm
from dewpond.plant.plant import DAY
from dewpond.report.views.shown import Shown
from dewpond.study.beats import Beat, Beats
from dewpond.study.outcome import Outcome, StudyResult
from dewpond.study.study import run_study

NO_WATER = Balance(*[0.0] * 8)
QUIET = Consequence(
    faults=("ball: stuck open",), order="", who="travelling", horizon=14 * DAY, on_floors=0.0, by_place={},
    onward={}, water=NO_WATER, products=(), first_water=None, first_noticed=None, noticed_by=None, first_known=None,
    stopped=None,
    stopped_by=None, reopenings=0, still_running=False, tanks=(), return_pump_dry=None, return_pump_dry_of=None,
    return_pump_dry_after=None, reservoir_empty_of=None,
    reservoir_empty=None, messages=(), starts=0.0, asked=(),
    failed=(), unordered=(), marks=(), moments=(), rim_first={},
)  # fmt: skip
REEF = TankHarm("reef", 33.14, 35.0, 33.2)


@pytest.fixture(scope="session")
def design(repository: Path) -> Design:
    return read(repository / "tests" / "study" / "small.yaml")


@pytest.fixture(scope="session")
def studied(design: Design) -> StudyResult:
    """The small installation, every fault alone and in pairs."""
    return run_study(design, compiled=True, who=(("travelling", DAY),))


@pytest.fixture(scope="session")
def metric() -> Shown:
    return Shown("metric")


@pytest.fixture
def outcome() -> Callable[..., Outcome]:
    """An outcome in which nothing happened but what is said."""

    def make(*beats: Beat, **told: object) -> Outcome:
        return Outcome(replace(QUIET, **told), Beats.of(beats))  # type: ignore[arg-type]

    return make


@pytest.fixture(scope="session")
def reef() -> TankHarm:
    return REEF

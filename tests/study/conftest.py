"""A small installation that runs in milliseconds, and outcomes made by hand."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read
from dewpond.plant.balance import Balance
from dewpond.plant.consequence import Consequence
from dewpond.plant.lower import lower
from dewpond.plant.plant import Plant
from dewpond.study.beats import Beat, Beats
from dewpond.study.drills import Drill
from dewpond.study.outcome import Outcome

NO_WATER = Balance(*[0.0] * 8)
QUIET = Consequence(
    faults=(), order="", who="travelling", horizon=86400.0, on_floors=0.0, by_place={}, onward={},
    water=NO_WATER, products=(), first_water=None, first_noticed=None, noticed_by=None, first_known=None,
    stopped=None, stopped_by=None,
    reopenings=0, still_running=False, tanks=(), return_pump_dry=None, return_pump_dry_of=None,
    return_pump_dry_after=None, reservoir_empty_of=None,
    reservoir_empty=None, messages=(), starts=0.0, asked=(),
    failed=(), unordered=(), marks=(), moments=(), rim_first={},
)  # fmt: skip


@pytest.fixture(scope="session")
def design(repository: Path) -> Design:
    """A tub with a float valve, a battery valve and one person."""
    return read(repository / "tests" / "study" / "small.yaml")


@pytest.fixture(scope="session")
def plant(design: Design) -> Plant:
    return lower(design, "winter")


@pytest.fixture(scope="session")
def quiet() -> Consequence:
    """A run in which nothing happened."""
    return QUIET


@pytest.fixture
def outcome() -> Callable[..., Outcome]:
    """An outcome of a drill, quiet apart from what is said."""

    def make(drill: Drill, beats: tuple[Beat, ...] = (), **told: object) -> Outcome:
        consequence = replace(
            QUIET, faults=drill.labels, order=drill.order, who=drill.who, horizon=drill.horizon, **told
        )  # type: ignore[arg-type]
        return Outcome(consequence, Beats.of(beats))

    return make

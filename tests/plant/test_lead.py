"""What stands in the lead of a part, what a limit counts, and a tube that has come off: by hand, from the designs."""

from __future__ import annotations

from pathlib import Path

import pytest

from dewpond.design.reader import read
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import Onset, Plant, Scenario
from dewpond.plant.trace import Trace
from tests.plant.houses import HOUR, STOP_ON_WATER, TOP_OFF, controller, design, plant_of

LITRE = 1e-3
CUT_OUT = "  cut-out: {kind: relay, power: box circuit, without power: cuts the lead}"
HIGH = "{cause: high mark high, effect: {pump: stopped}, until: cause ends, by: %s}"
RUNS_ON = ("pump: runs on", 0.0)


def run(plant: Plant, *onsets: tuple[str, float], hours: float = 24.0) -> tuple[Trace, Consequence]:
    scenario = Scenario("travelling", hours * HOUR, tuple(Onset(label, time) for label, time in onsets))
    trace = engine.run(plant, scenario, compiled=True)
    return trace, judge(plant, trace)


def when(told: Consequence, words: str) -> list[float]:
    return [moment.time for moment in told.moments if moment.text.startswith(words)]


def house(*rows: str, more: str = "", counts: str = "kept") -> Plant:
    boxes = f"{controller(counts=counts, more=more)}\n{CUT_OUT}"
    return plant_of(design(STOP_ON_WATER, *rows, controllers=boxes, high_wired_to="cut-out", people=""))


def test_relay_in_its_lead_stops_a_pump_that_runs_on_and_its_own_box_does_not() -> None:
    _, cut = run(house(TOP_OFF, HIGH % "cut-out"), RUNS_ON)
    assert cut.first_water is None
    assert when(cut, "pump stops")
    _, own = run(house(TOP_OFF, HIGH % "box"), RUNS_ON)
    assert own.by_place["study"] > 1.0 * LITRE
    assert not when(own, "pump stops")


def test_shipped_example_survives_a_pump_that_runs_on(repository: Path) -> None:
    plant = lower(read(repository / "examples" / "two_tanks.yaml"))
    _, told = run(plant, ("top-off pump: runs on", 0.0), hours=48.0)
    assert told.first_water is None
    _, both = run(
        plant, ("top-off pump: runs on", 0.0), ("pump cut-out: contact welded, in the lead of top-off pump", 0.0)
    )
    assert both.first_water is not None


@pytest.mark.parametrize(("counts", "after"), [("kept", 1.0), ("cleared", 4.0)])
def test_half_used_run_goes_on_after_a_power_cut_where_counts_are_kept(counts: str, after: float) -> None:
    """Four minutes a run; the power goes after three of them, for an hour."""
    plant = house(TOP_OFF, counts=counts)
    begun = run(plant, ("low mark: float stuck low", 0.0))[1]
    first = when(begun, "pump starts")[0]
    _, told = run(plant, ("low mark: float stuck low", 0.0), ("box circuit: cut for an hour", first + 180.0))
    (ended,) = when(told, "box ends its order to run pump")
    assert ended == pytest.approx(first + 180.0 + HOUR + 60.0 * after, abs=0.01)


def test_box_that_waits_after_a_restart_has_waited_when_a_run_begins() -> None:
    _, told = run(house(TOP_OFF, more="waits after a restart: 30 min"))
    assert not when(told, "feed valve opens")
    _, cut = run(house(TOP_OFF, more="waits after a restart: 30 min"), ("box circuit: cut for an hour", HOUR))
    assert when(cut, "feed valve opens") == [pytest.approx(HOUR + HOUR + 1800.0, abs=1.0)]


def test_amount_of_a_day_counts_what_the_box_orders() -> None:
    """A pump that nobody ordered runs on: its litres are not the box's, which says nothing of them."""
    capped = TOP_OFF.replace("at most: 4 min a run", "at most: 4 min a run, per day: 9 L")
    _, told = run(house(capped), RUNS_ON)
    assert told.by_place["study"] > LITRE
    assert not when(told, "box orders pump no more until midnight")
    _, stuck = run(house(capped.replace("4 min", "4 h")), ("low mark: float stuck low", 0.0))
    starts, full = when(stuck, "pump starts")[0], when(stuck, "box orders pump no more until midnight")[0]
    assert full - starts == pytest.approx(9.0 * 60.0, rel=0.05)  # 9 L at 60 L/h


def test_tube_that_came_off_feeds_nothing_behind_it() -> None:
    """The float stands open, and not a drop comes through it; the same hole in a tube (a burst) lets some go on."""
    plant = house(TOP_OFF)
    a = plant.arrays
    into = [
        e for e, b in enumerate(a.edge_b) if a.node_kind[b] == prim.SPOUT and plant.parts[a.edge_owner[e]] == "float"
    ]
    off, told = run(
        plant, ("feed valve: joint blows off, behind the valve", 0.0), ("reservoir: cracks", 0.0), hours=6.0
    )
    assert told.by_place["laundry"] > 100.0 * LITRE
    assert sum(off.moved[e] for e in into) <= 1e-9
    burst, _ = run(plant, ("tube: burst, in laundry", 0.0), ("reservoir: cracks", 0.0), hours=6.0)
    assert sum(burst.moved[e] for e in into) > 1.0 * LITRE

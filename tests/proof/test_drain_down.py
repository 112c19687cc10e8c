"""What a sump bears: what drains down when the return pump stops must still find room below its rim."""

import pytest

from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import Onset, Plant, Scenario
from dewpond.proof import replay
from dewpond.proof.questions.dosing import Dose, doses
from tests.proof.mistakes import CUT, NOTHING, RUNS_ON, STUCK_LOW, with_mistakes
from tests.proof.test_mutations import broken, cases_of, proved

LOW_RIM = (("rim: 400 mm", "rim: 300 mm"), ("at: 300 mm", "at: 290 mm"))
LONG = (("at most: 16 min a run, gap: 20 min, per day: 6 L", "at most: 80 min a run, gap: 20 min"),)
# the end of the return tube under water, and no hole that lets air in: more comes back than over the weir alone
SIPHONS = (("salinity: 35 ppt, power", "salinity: 35 ppt, nozzle below water: 25 mm, break hole: absent, power"),)
ALONE = "parlour circuit: cut for an hour"


def sump(*swaps: tuple[str, str]) -> tuple[Plant, Dose]:
    plant = lower(read_text(with_mistakes(*swaps), "sound.yaml"))
    return plant, next(dose for dose in doses(plant) if plant.stores[dose.store] == "sump")


def test_a_sump_bears_what_leaves_room_for_what_drains_down() -> None:
    """By hand: 55 mm up from 220 mm are 20 mm of the chamber of 25 x 40 cm and 35 mm of the whole 80 x 40 cm, 2.0 L and
    11.2 L; and 13.2 L are 41.25 mm below the rim. With a rim at 400 mm the tank is too fresh before."""
    _, dose = sump(*LOW_RIM)
    assert (dose.bears, dose.why) == (pytest.approx(0.25875, abs=1e-6), "drains back")
    assert sump()[1].why == "salt"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("swaps", "litres"),
    [
        ((), 13.2),
        (SIPHONS, 16.5),  # 25 mm of the tank of 110 x 60 cm
    ],
    ids=["over the weir", "through the return tube as well"],
)
def test_filled_to_what_it_bears_it_stands_at_its_rim_when_the_return_pump_stops(
    swaps: tuple[tuple[str, str], ...], litres: float
) -> None:
    """The engine: a pump that runs on, until the power is cut at the moment when the sump stands at what it bears."""
    plant, dose = sump(*LOW_RIM, *swaps)
    assert dose.bears == pytest.approx(0.3 - litres * 1e-3 / 0.32, abs=1e-5)

    def levels(*onsets: Onset) -> list[tuple[float, float]]:
        who = Scenario("travelling", 86400.0, (Onset(RUNS_ON, 0.0), *onsets))
        trace = engine.run(plant, who, rows=4000, compiled=True)
        return [(time, row[dose.store]) for time, row in zip(trace.row_time, trace.row_value, strict=True)]

    rows = levels()
    after = next(n for n, (_, level) in enumerate(rows) if level >= dose.bears)
    (t0, low), (t1, high) = rows[after - 1 : after + 1]
    filled = t0 + (t1 - t0) * (dose.bears - low) / (high - low)
    highest = max(level for time, level in levels(Onset(ALONE, filled)) if time < filled + 3000.0)
    assert highest == pytest.approx(0.3, abs=1e-3)


@pytest.mark.slow
def test_runs_that_leave_no_room_for_what_drains_down_are_found() -> None:
    """All that is pumped stays below the rim, until the next power cut. By hand: 80 min bring 16 L, 1.4 L evaporate in
    6 h, 2 L lie in the chamber: it stands at 279.4 mm, and 41.25 mm more come: 20.7 mm of 80 x 40 cm run over."""
    text = with_mistakes(*LOW_RIM, *LONG)
    assert "IL-08" in broken(proved(text, 1))
    assert frozenset([STUCK_LOW]) in cases_of(text, 1, "IL-08")
    plant = lower(read_text(text, "sound.yaml"))
    onsets = (Onset(STUCK_LOW, 0.0), Onset(CUT, 6.0 * 3600.0))
    trace = engine.run(plant, Scenario("travelling", 86400.0, onsets), rows=4000, compiled=True)
    parlour = next(n for n, place in enumerate(plant.places) if place.name == "parlour")
    assert trace.place_total[parlour] == pytest.approx(6.6e-3, abs=0.5e-3)


@pytest.mark.slow
def test_what_comes_back_in_a_power_cut_is_nothing_that_a_pump_has_brought() -> None:
    """The sump then stands at 275 mm, 16 mm above what it bears, and has room."""
    plant, dose = sump(*LOW_RIM)
    trace = engine.run(plant, Scenario("travelling", 86400.0, (Onset(CUT, 3600.0),)), rows=400, compiled=True)
    assert max(row[dose.store] for row in trace.row_value) == pytest.approx(0.275, abs=1e-3)
    assert not replay.stands_above(dose.store, dose.bears, dose.above).test(plant, trace)
    assert replay.stands_above(dose.store, dose.bears, ()).test(plant, trace)


@pytest.mark.slow
def test_a_sump_that_runs_over_whenever_its_return_pump_stops_bears_nothing() -> None:
    """Running level and rise, 275 mm, above a rim at 260 mm: no pump needs to bring anything."""
    text = with_mistakes(("rim: 400 mm", "rim: 260 mm"), ("at: 300 mm", "at: 250 mm"))
    assert cases_of(text, 1, "IL-08") == NOTHING
    assert broken(proved(text, 1)) == {"IL-08"}

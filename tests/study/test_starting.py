"""How full the vessels are at first: marks of the file, and water that a night without power lets go."""

from pathlib import Path

import pytest

from dewpond.app.commands import options
from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.consequence import judge
from dewpond.plant.kernel.vessels import level_of
from dewpond.plant.plant import DAY, STARTS, Plant, Scenario
from dewpond.study import drills
from dewpond.study.starting import ABOUT_TO_CALL, AFTER_A_CUT, AS_WRITTEN, CUT, JUST_FILLED, WAYS, begin

MM = 1e-3


@pytest.fixture(scope="module")
def house(repository: Path) -> Design:
    return read(repository / "examples" / "two_tanks.yaml")


def level(plant: Plant, vessel: str) -> float:
    store = plant.stores.index(vessel)
    return float(level_of(plant.arrays, store, plant.arrays.store_start[store])[0])


def salts(plant: Plant) -> dict[str, float]:
    """Dissolved matter by body of water [kg]."""
    a = plant.arrays
    found = dict.fromkeys(plant.bodies, 0.0)
    for body, volume in zip(a.store_body, a.store_start, strict=True):
        found[plant.bodies[body]] += a.body_start[body] * volume
    return found


def test_command_offers_the_ways_there_are() -> None:
    assert options.HOW_FULL == WAYS
    assert set(options.PLACES_TO_BE) == set(STARTS) == set(drills.LENGTHS)


@pytest.mark.slow
def test_vessels_stand_at_the_marks_between_which_they_are_filled(house: Design) -> None:
    """The file: the sump calls at 232 mm and has enough at 240 mm; the float shuts quite at 285 mm."""
    full, low = begin(house, "winter", JUST_FILLED), begin(house, "winter", ABOUT_TO_CALL)
    assert level(full, "big sump") == pytest.approx(240.0 * MM, abs=1.0 * MM)
    assert level(low, "big sump") == pytest.approx(232.0 * MM, abs=0.5 * MM)
    assert level(full, "reservoir") == pytest.approx(285.0 * MM, abs=1.0 * MM)
    assert level(low, "reservoir") < level(full, "reservoir") - 2.0 * MM
    assert level(full, "lagoon") - level(low, "lagoon") == pytest.approx(4.0 * MM, abs=0.5 * MM)


@pytest.mark.parametrize("start", [JUST_FILLED, ABOUT_TO_CALL])
def test_salt_stays_where_it_is(house: Design, start: str) -> None:
    written, begun = (salts(begin(house, "winter", s)) for s in (AS_WRITTEN, start))
    assert begun == pytest.approx(written, rel=1e-9)


def test_a_night_without_power_lets_go_what_evaporates_in_it(house: Design) -> None:
    """Nothing tops up meanwhile, so the tanks lose nine hours of evaporation; what evaporates in a day is taken from a
    run with power, whose warmth and wind are the same."""
    written, dark = begin(house, "winter"), begin(house, "winter", AFTER_A_CUT)
    day = engine.run(written, Scenario("travelling", 4.0 * DAY, (), STARTS["travelling"]), compiled=True)
    lost = sum(written.arrays.store_start) - sum(dark.arrays.store_start)
    assert lost == pytest.approx(day.total[prim.V_AIR] * CUT / (4.0 * DAY), rel=0.05)


@pytest.mark.parametrize(("without", "starts"), [("gap: 20 min, ", 301.0), ("waits after a restart: 5 min, ", 1201.0)])
def test_power_comes_back_and_what_waits_after_a_restart_waits(repository: Path, without: str, starts: float) -> None:
    """The file: the level box waits 5 min after a restart, and its pump rests 20 min between two runs."""
    text = (repository / "examples" / "two_tanks.yaml").read_text("utf-8")
    assert without in text
    plant = begin(read_text(text.replace(without, ""), "house.yaml"), "winter", AFTER_A_CUT)
    told = judge(plant, engine.run(plant, Scenario("travelling", 3600.0, (), STARTS["travelling"]), compiled=True))
    times = {m.text: m.time for m in told.moments}
    assert times["power is back on study circuit"] == pytest.approx(1.0)
    assert times["top-off pump starts"] == pytest.approx(starts, abs=2.0)


def test_a_plant_as_written_is_the_plant(house: Design) -> None:
    assert begin(house, "summer", AS_WRITTEN).arrays.store_start == begin(house, "summer").arrays.store_start

"""A water change and a hand top-up: whole runs of a tank, held against closed forms and a sum by hand."""

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.physics.seawater import density
from dewpond.plant import engine
from dewpond.plant.consequence import judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Onset, Plant, Scenario
from dewpond.plant.trace import Trace

# 200 L under 0.5 m2: 2 mm to the litre. The mark is 10 mm down (5 L), satisfied 3 mm higher (3.5 L).
HOUSE = """
format: 1
title: A water change (invented)
shown in: metric
supply: {{pressure: 3 bar, temperature: {{winter: 8 C, summer: 18 C}}, dissolved solids: 0 ppm}}
places:
  study:  {{kind: room, size: 4 m x 3 m, floor: glazed tile, air temperature: {{winter: 25 C, summer: 25 C}}}}
water:
  jar:    {{kind: reservoir, in: study, footprint: 50 cm x 50 cm, rim: 500 mm, starts at: 480 mm}}
  doser:  {{kind: dosing pump, from: jar, to: reef, flow: 60 L/h, outlet: 140 cm above floor, driven by: box}}
  reef:   {{kind: display tank, in: study, bottom: 75 cm above floor, surface: 100 cm x 50 cm, volume: 200 L,
           salinity: 35 ppt, evaporation: {evaporates} L/day, free above water: 60 mm}}
sensors:
  low:    {{kind: level switch, in: reef, at: 70 mm below rim, wired to: box, contact: closes when low,
           read as low when: closed}}
controllers:
  box:    {{power: sockets, after a restart: {{trips: kept, counts: kept}}, when it hangs: keeps last order}}
work:
  change: {{kind: water change, of: reef, litres: 20 L, salinity: {new} ppt, ends by itself after: 2 h}}
  sitter: {{kind: hand top-up, into: reef, a day: 5 L}}
matrix:
  - {{cause: low low, effect: {{doser: running}}, at most: 1 h a run, until: cause ends}}
  - {{cause: change begun, effect: {{doser: stopped}}, until: cause ends}}
combination: any stop wins
"""
OLD = 35e-3 * density(35.0, 298.15)


def house(new: float = 35.0, evaporates: float = 0.0) -> Plant:
    return lower(read_text(HOUSE.format(new=new, evaporates=evaporates), "house.yaml"))


def run(plant: Plant, time: float, label: str) -> Trace:
    scenario = Scenario("travelling", time, (Onset(label, 0.0),), STARTS["travelling"])
    return engine.run(plant, scenario, compiled=True)


def tank(plant: Plant, trace: Trace) -> tuple[float, float]:
    """(litres in the tank, dissolved matter of its water over that at the beginning)."""
    at = next(i for i, body in enumerate(plant.arrays.body_start) if body > 0.0)
    store = plant.arrays.store_body.index(at)
    return trace.volume[store] * 1e3, trace.salt[at] / trace.volume[store] / OLD


@pytest.mark.parametrize("new", [35.0, 30.0])
def test_change_ends_at_the_mixture_of_old_and_new(new: float) -> None:
    """S0 (1 - V / T) + S1 V / T with V / T = 0.1, by mass of salt."""
    plant = house(new)
    trace = run(plant, 3600.0, "change: is done")
    share = new * density(new, 298.15) / (35.0 * density(35.0, 298.15))
    litres, left = tank(plant, trace)
    assert litres == pytest.approx(200.0, rel=1e-9)
    assert left == pytest.approx(0.9 + 0.1 * share, rel=1e-6)
    assert trace.total[0] == pytest.approx(0.0, abs=1e-12)


def test_new_water_that_is_not_salty_enough_has_four_fifths_of_its_salt() -> None:
    plant = house()
    assert tank(plant, run(plant, 3600.0, "change: new water not salty enough"))[1] == pytest.approx(0.98, rel=1e-6)


def by_hand() -> tuple[float, float]:
    """The change with a top-off that nobody pauses, summed up second by second: 5 L/min out from 0 to 4 min and in from
    14 to 18 min, 1 L/min of fresh water while the mark calls."""
    litres, salt, runs = 200.0, 200.0, False
    for second in range(3600):
        runs = litres <= 195.0 or (runs and litres < 196.5)
        out = 5.0 / 60.0 if second < 240 else 0.0
        into = 5.0 / 60.0 if 840 <= second < 1080 else 0.0
        salt += into - out * salt / litres
        litres += into - out + (1.0 / 60.0 if runs else 0.0)
    return litres, salt / litres


def test_top_off_that_nobody_pauses_fills_up_with_fresh_water() -> None:
    plant = house()
    litres, left = tank(plant, run(plant, 3600.0, "change: top-off not paused"))
    wanted = by_hand()
    assert wanted[0] > 212.0
    assert litres == pytest.approx(wanted[0], abs=0.1)
    assert left == pytest.approx(wanted[1], abs=5e-4)


def test_forgotten_half_way_the_top_off_makes_it_up_once_the_pause_has_ended() -> None:
    """Before: 180 L of the old water. After: 196.5 L with the salt of 180 L."""
    plant = house()
    assert tank(plant, run(plant, 7000.0, "change: forgotten half way")) == (pytest.approx(180.0), pytest.approx(1.0))
    trace = run(plant, DAY, "change: forgotten half way")
    litres, left = tank(plant, trace)
    assert litres == pytest.approx(196.5, abs=0.02)
    assert left == pytest.approx(180.0 / 196.5, rel=1e-3)
    assert judge(plant, trace).water.to_drain == pytest.approx(20e-3, rel=1e-6)


def test_hand_top_up_leaves_its_surplus_in_the_tank() -> None:
    """5 L a day are poured, 3 L a day evaporate: after 10 days 20 L more, and the salinity at 200 / 220."""
    plant = house(evaporates=3.0)
    trace = run(plant, 10.0 * DAY, "sitter: on top of the automatic")
    water = judge(plant, trace).water
    assert (water.poured, water.supply) == (pytest.approx(50e-3, rel=0.01), pytest.approx(0.0, abs=1e-9))
    litres, left = tank(plant, trace)
    assert litres == pytest.approx(220.0, rel=1e-3)
    assert left == pytest.approx(200.0 / 220.0, rel=1e-3)


def test_checks_object_to_nothing_of_either() -> None:
    found = check(read_text(HOUSE.format(new=35, evaporates=2), "house.yaml"))
    assert not [one for one in found if one.where in ("work: change", "work: sitter")]

"""A transfer pump: volumes of the two vessels by their footprints, levels by communicating vessels, whole runs."""

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Plant, Scenario
from dewpond.plant.trace import Trace

HOUR = 3600.0
HOUSE = """
format: 1
title: A bin, a vessel and a pump between them (invented)
shown in: metric
places:
  study: {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
water:
  bin:   {{kind: storage bin, in: study, footprint: 50 cm x 40 cm, rim: 500 mm, starts at: 400 mm,
          bottom: {low} cm above floor}}
  mover: {{kind: transfer pump, from: bin, to: tub, flow: 600 L/h, dry below: 30 mm{keys}}}
  tub:   {{kind: reservoir, in: study, footprint: 50 cm x 40 cm, rim: 300 mm, starts at: 50 mm,
          bottom: {high} cm above floor}}
{more}
"""
OVER = ", outlet: 90 cm above floor"  # in air, above both
UNDER = ", outlet: 1 cm above bottom"
BOX = """
sensors:
  low mark: {kind: level switch, in: tub, calls at: 60 mm, is satisfied at: 100 mm, wired to: box,
             contact: closes when low, read as low when: closed}
controllers:
  box: {power: circuit, after a restart: {trips: kept, counts: kept}, when it hangs: keeps last order}
matrix:
  - {id: fill, cause: low mark low, effect: {mover: running}, at most: 10 min, until: cause ends}
"""
KEEPER = """
people:
  keeper: {day: {at home awake: 20 h, asleep: 2 h, out: 2 h}, reaches the stop tap in: 5 min}
"""
LEFT, HOSE = "mover: left running", "mover: hose left in"


def house(keys: str = OVER, low: float = 0.0, high: float = 0.0, more: str = "") -> Plant:
    return lower(read_text(HOUSE.format(keys=keys, low=low, high=high, more=more), "house.yaml"))


def run(plant: Plant, time: float, *labels: str, who: str = "travelling") -> Trace:
    onsets = tuple(Onset(label, 0.0) for label in labels)
    return engine.run(plant, Scenario(who, time, onsets, STARTS[who]), compiled=True)


def litres(plant: Plant, trace: Trace) -> tuple[float, float, float]:
    """In the bin, in the tub, and on the floor."""
    held = dict(zip(plant.stores, trace.volume, strict=True))
    return 1e3 * held["bin"], 1e3 * held["tub"], 1e3 * sum(trace.place_total)


def test_nothing_runs_by_hand_while_nothing_fails() -> None:
    plant = house(UNDER)
    assert litres(plant, run(plant, HOUR)) == pytest.approx((80.0, 10.0, 0.0), abs=1e-6)


def test_left_running_it_empties_the_bin_and_runs_over_the_tub() -> None:
    """Down to its inlet 6 L are left; the tub takes 60 L and the floor what is over of 90."""
    plant = house()
    bin_, tub, floor = litres(plant, run(plant, 2.0 * HOUR, LEFT))
    assert bin_ == pytest.approx(6.0, abs=0.2)
    assert tub == pytest.approx(60.0, abs=1e-6)
    assert bin_ + tub + floor == pytest.approx(90.0, abs=1e-6)


def test_at_first_it_moves_what_the_jug_said() -> None:
    plant = house()
    assert litres(plant, run(plant, 60.0, LEFT))[1] == pytest.approx(10.0 + 10.0, rel=0.01)


@pytest.mark.parametrize(
    ("keys", "more", "label"),
    [
        ("", "", "mover: does not run"),
        (", power: pump circuit", "power:\n  house: {feeds: [pump circuit]}", "house: trips until someone comes"),
    ],
)
def test_without_power_or_when_it_does_not_run_nothing_moves(keys: str, more: str, label: str) -> None:
    plant = house(OVER + keys, more=more)
    assert litres(plant, run(plant, HOUR, label, LEFT)) == pytest.approx((80.0, 10.0, 0.0), abs=0.2)


def test_somebody_at_home_sees_the_water_and_switches_it_off() -> None:
    plant = house(more=KEEPER)
    trace = run(plant, 10.0 * HOUR, LEFT, who="at home")
    told = [plant.says[e.ref].true for e in trace.events if e.ref in plant.says and e.value > 0.0]
    assert "mover is switched off by hand" in told
    alone = litres(house(), run(house(), 10.0 * HOUR, LEFT))[2]
    assert 0.5 < litres(plant, trace)[2] < alone


@pytest.mark.parametrize(("low", "high"), [(0.0, 0.0), (5.0, 0.0), (0.0, 5.0)])
def test_stopped_with_its_hose_under_water_both_levels_become_one(low: float, high: float) -> None:
    """Communicating vessels of one footprint: 90 L, and 10 L of difference for 5 cm between their bottoms."""
    plant = house(f"{UNDER}, runs for: 1 min", low, high)
    bin_, tub, floor = litres(plant, run(plant, 24.0 * HOUR, HOSE))
    apart = 2.0 * (low - high)
    assert bin_ == pytest.approx(45.0 - 0.5 * apart, abs=0.3)
    assert tub == pytest.approx(45.0 + 0.5 * apart, abs=0.3)
    assert floor == 0.0


def test_stopped_late_the_water_runs_back() -> None:
    """4 min at about 10 L/min leave 50 L in the tub and 40 in the bin; then 45 L each."""
    plant = house(f"{UNDER}, runs for: 4 min")
    at_stop, later = (litres(plant, run(plant, time, HOSE)) for time in (240.0, 24.0 * HOUR))
    assert at_stop[1] > 47.0
    assert later[1] == pytest.approx(45.0, abs=0.3)


@pytest.mark.parametrize("keys", [OVER, f"{UNDER}, vent hole above the water: present"])
def test_with_its_hose_above_both_or_vented_it_stops_where_it_is(keys: str) -> None:
    plant = house(f"{keys}, runs for: 1 min")
    at_stop, later = (litres(plant, run(plant, time, HOSE)) for time in (61.0, 24.0 * HOUR))
    assert later == pytest.approx(at_stop, abs=0.05)
    assert later[1] == pytest.approx(20.0, rel=0.1)


def test_clogged_vent_hole_lets_it_run_on() -> None:
    plant = house(f"{UNDER}, vent hole above the water: present, runs for: 1 min")
    assert litres(plant, run(plant, 24.0 * HOUR, "mover: vent hole clogged", HOSE))[1] == pytest.approx(45.0, abs=0.3)


def test_driven_by_a_box_it_fills_to_its_mark_and_runs_on_when_it_fails() -> None:
    plant = house(f"{OVER}, driven by: box", more=BOX)
    assert not {LEFT, HOSE} & {one.label for one in plant.faults}
    assert litres(plant, run(plant, HOUR))[1] == pytest.approx(20.0, abs=0.1)
    _, tub, floor = litres(plant, run(plant, 2.0 * HOUR, "mover: runs on"))
    assert (tub, floor) == (pytest.approx(60.0, abs=1e-6), pytest.approx(24.0, abs=0.3))


def test_its_joint_blown_off_the_bin_runs_out_where_it_stands() -> None:
    plant = house()
    _, tub, floor = litres(plant, run(plant, 2.0 * HOUR, LEFT, "mover: joint blows off"))
    assert tub == pytest.approx(10.0, abs=0.1)
    assert floor == pytest.approx(74.0, abs=0.3)


def test_sound_design_has_no_finding_about_its_keys() -> None:
    text = HOUSE.format(keys=OVER, low=0, high=0, more="")
    assert [f for f in check(read_text(text, "h")) if f.where == "water: mover"] == []


@pytest.mark.parametrize(
    "keys", ["", ", outlet: 20 cm", f"{OVER}, hose bore: 2 m", f"{OVER}, driven by: tub", f"{OVER}, runs for: 3 L"]
)
def test_bad_input_is_told_at_its_part(keys: str) -> None:
    with pytest.raises(DesignError) as refused:
        house(keys)
    assert any("mover" in one.where for one in refused.value.findings)

"""An air gap: its least fall against published figures, and whole runs of an end that slips off or slides down."""

import math

import pytest

from dewpond.design.reader import read_text
from dewpond.parts.air_gap import KIND
from dewpond.parts.gaps import least
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Scenario
from dewpond.plant.trace import Trace
from tests.parts.recording import sampled

HOURS = 3600.0


@pytest.mark.parametrize(
    ("bore", "wall", "us", "europe"),
    [
        (4.318e-3, False, 25.4e-3, 20e-3),  # H105, H107: US FDA Food Code 5-202.13; greater of 20 mm and twice the bore
        (20e-3, False, 40e-3, 40e-3),  # H106: Building Services Handbook on BS EN 1717, a tap of 20 mm
        (12.7e-3, True, 38.1e-3, 25.4e-3),  # 1.5 in for openings up to 1/2 in beside a wall (ASME table, from memory)
    ],
)
def test_least_fall_is_that_of_the_rules(bore: float, wall: bool, us: float, europe: float) -> None:
    assert least(bore, wall) == (pytest.approx(us, abs=0.5e-3), pytest.approx(europe, abs=0.5e-3))


@pytest.mark.parametrize(
    ("given", "codes"),
    [
        ({"into": "reservoir 1"}, []),
        ({"over": "waste drain 1", "gap": 0.0254}, []),
        ({"over": "waste drain 1", "gap": 0.02}, ["air-gap-small"]),
        ({"into": "reservoir 1", "gap": 0.03, "beside it": "a wall"}, ["air-gap-small"]),
        ({}, ["air-gap-ends"]),
        ({"into": "reservoir 1", "over": "waste drain 1"}, ["air-gap-ends"]),
    ],
)
def test_what_is_objected_to(given: dict[str, object], codes: list[str]) -> None:
    assert KIND.check is not None
    assert [one.code for one in KIND.check(sampled(KIND, "end", {}, given))] == codes


HOUSE = """
format: 1
title: A line that ends in the open (invented)
shown in: metric
supply:
  {pressure: 3 bar, temperature: {winter: 8 C, summer: 18 C}, dissolved solids: 0 ppm, in: cellar, height: 0 cm}
places:
  cellar:    {kind: room, size: 4 m x 3 m, floor: glazed tile}
  study:     {kind: room, size: 4 m x 3 m, floor: glazed tile, floor height: 3 m, leads to: cellar}
water:
  tap:       {kind: hand valve, after: supply, in: cellar, flow at 1 bar: 0.5 L/min}
  end:       {kind: air gap, after: tap, in: study, into: reservoir, gap: 5 cm}
  reservoir: {kind: reservoir, in: study, footprint: 40 cm x 25 cm, rim: 300 mm, starts at: 150 mm}
"""
AREA = 0.4 * 0.25
LOST = "supply: pressure lost"


def run(time: float, *labels: str) -> Trace:
    plant = lower(read_text(HOUSE, "house.yaml"))
    onsets = tuple(Onset(label, 0.0) for label in labels)
    return engine.run(plant, Scenario("travelling", time, onsets, STARTS["travelling"]), compiled=True)


def flow() -> float:
    """Through the tap, 0.5 L/min at 1 bar, from 3 bar up to 3.35 m [m3/s]; the free end takes next to nothing."""
    return 0.5e-3 / 60.0 * math.sqrt((3e5 - 999.0 * 9.80665 * 3.35) / 1e5)


def test_what_runs_falls_into_the_vessel() -> None:
    trace = run(600.0)
    assert trace.volume[0] / AREA - 0.15 == pytest.approx(flow() * 600.0 / AREA, rel=3e-3)
    assert sum(trace.place_total) == 0.0


def test_end_that_slips_off_wets_the_floor_with_all_that_runs() -> None:
    trace = run(600.0, "end: end slips off")
    assert trace.volume[0] / AREA == pytest.approx(0.15)
    assert sum(trace.place_total) == pytest.approx(flow() * 600.0, rel=3e-3)


def test_a_twentieth_splashes_past() -> None:
    """Two ways side by side, one with a twentieth of the opening: 0.05 / 1.05 of what runs."""
    assert sum(run(600.0, "end: splashes past").place_total) == pytest.approx(flow() * 600.0 * 0.05 / 1.05, rel=3e-3)


def test_nothing_is_drawn_back_over_it_but_through_an_end_that_has_slid_into_the_water() -> None:
    """Hydrostatics: down to the end of the tube, 5 mm over the bottom, and not a drop over a gap of air."""
    assert run(3.9 * HOURS, LOST).volume[0] / AREA == pytest.approx(0.15)
    slid = run(3.9 * HOURS, LOST, "end: end has slid into the water")
    assert slid.volume[0] / AREA == pytest.approx(0.005, abs=1e-3)

"""A vacuum break: whole runs of a reservoir that is drawn back into a house without pressure, by hydrostatics."""

import math

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.parts.vacuum_break import KIND
from dewpond.plant import engine
from dewpond.plant.consequence import judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Scenario
from dewpond.plant.trace import Trace
from tests.parts.recording import sampled

HOURS = 3600.0
# The end of the feed lies 30 mm over the bottom of a reservoir of 10 L/dm; the supply lies 3 m below.
HOUSE = """
format: 1
title: A reservoir that is drawn back (invented)
shown in: metric
supply:
  {{pressure: 3 bar, temperature: {{winter: 8 C, summer: 18 C}}, dissolved solids: 0 ppm, in: cellar, height: 0 cm}}
places:
  cellar:    {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
  study:     {{kind: room, size: 4 m x 3 m, floor: glazed tile, floor height: 3 m, leads to: cellar}}
water:
  riser:     {{kind: tubing, after: supply, through: [cellar, study], length: 6 m}}
{broken}
  float:     {{kind: float valve, after: {after}, fills: reservoir, starts to shut at: 20 cm, quite shut at: 215 mm,
              outlet: 3 cm above bottom}}
  reservoir: {{kind: reservoir, in: study, footprint: 40 cm x 25 cm, rim: 300 mm, starts at: 150 mm}}
"""
BREAK = "  break: {{kind: vacuum break, after: riser, in: study, holds back: reservoir, above its rim: {}}}"
AREA = 0.4 * 0.25
STICKS = "break: sticks shut"
LOST = "supply: pressure lost"  # for four hours


def text(above: str = "") -> str:
    broken = BREAK.format(above) if above else ""
    return HOUSE.format(broken=broken, after="break" if above else "riser")


def run(above: str, time: float, *labels: str) -> Trace:
    plant = lower(read_text(text(above), "house.yaml"))
    onsets = tuple(Onset(label, 0.0) for label in labels)
    return engine.run(plant, Scenario("travelling", time, onsets, STARTS["travelling"]), compiled=True)


def stands(trace: Trace) -> float:
    return trace.volume[0] / AREA


@pytest.mark.parametrize(
    ("above", "labels", "level"),
    [
        ("", (), 0.03),  # no break: down to the end of the feed
        ("20 cm", (), 0.15),  # a break over the water: not a drop
        ("20 cm", ("break: sticks shut",), 0.03),
        ("-20 cm", (), 0.10),  # a break under water, at 100 mm: down to the break
        ("-40 cm", (), 0.03),  # under the bottom: as if it were not there
    ],
)
def test_water_is_drawn_back_as_hydrostatics_says(above: str, labels: tuple[str, ...], level: float) -> None:
    """The truth table of siphons in the reference (H104): it flows while the source stands above the outlet, and no air
    comes in above the source."""
    trace = run(above, 3.9 * HOURS, LOST, *labels)
    assert stands(trace) == pytest.approx(level, abs=1.5e-3)
    assert sum(trace.place_total) == 0.0


def test_it_lets_water_on_and_the_reservoir_fills() -> None:
    assert stands(run("20 cm", 6.0 * HOURS)) == pytest.approx(0.215, abs=2e-4)
    assert stands(run("20 cm", 10.0 * HOURS, LOST)) == pytest.approx(0.215, abs=2e-4)


def test_one_that_drips_gives_what_a_hole_gives_and_only_under_pressure() -> None:
    """Closed form: 0.2 mm, Cd 0.7, at 3 bar less 3.5 m, with the float shut, for a day; the rest runs on."""
    trace = run("20 cm", 24.0 * HOURS, "break: drips")
    pressure = 3e5 - 999.0 * 9.80665 * 3.5
    litres = 0.7 * math.pi / 4.0 * 0.2e-3**2 * math.sqrt(2.0 * pressure / 1000.0) * 86400e3
    assert max(trace.place_total) * 1e3 == pytest.approx(litres, rel=0.01)
    assert sum(run("20 cm", 3.9 * HOURS, LOST, "break: drips").place_total) == pytest.approx(0.0, abs=1e-9)


def test_one_too_low_is_asked_about_and_a_sound_one_is_not() -> None:
    assert KIND.check is not None
    for above, codes in ((0.2, []), (0.15, []), (0.1, ["vacuum-break-low"]), (-0.05, ["vacuum-break-low"])):
        view = sampled(KIND, "break", {}, {"above its rim": above})
        assert [one.code for one in KIND.check(view)] == codes
    found = check(read_text(text("20 cm"), "house.yaml"))
    assert not [one for one in found if one.where == "water: break"]


def test_one_that_sticks_has_failed_only_where_water_was_drawn_back() -> None:
    plant = lower(read_text(text("20 cm"), "house.yaml"))
    quiet, drawn = run("20 cm", 2.0 * HOURS, STICKS), run("20 cm", 2.0 * HOURS, STICKS, LOST)
    assert judge(plant, quiet).failed == ()
    assert "break" in judge(plant, drawn).failed

from collections.abc import Callable
from typing import Any

import pytest

from dewpond.design.reader import read_text
from dewpond.parts.waste_drain import KIND
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Scenario


def test_drain_holds_nothing_and_hands_all_to_the_house_drain(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "floor drain", {"in": "study"})
    floor, onward, to_drain, _ = bench.places[0]
    assert (floor.holds, onward, to_drain) == (0.0, None, True)


def test_floor_drain_that_backs_up_keeps_its_room_s_water_there(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "floor drain", {"in": "study"})
    backed = bench.nodes.index(("backed up", "floor drain"))
    assert bench.faults == {"backs up": [("force", backed, 1.0), ("holds", bench.place_number("study"), 1e9)]}


def test_standpipe_that_backs_up_sends_back_what_ends_in_it_and_keeps_nothing_off_the_floor(
    lowered: Callable[..., Any],
) -> None:
    bench = lowered(KIND, "standpipe", {"in": "study", "type": "standpipe"})
    assert bench.faults == {"backs up": [("force", bench.nodes.index(("backed up", "standpipe")), 1.0)]}


HOUSE = """
format: 1
title: A drain that backs up (invented)
shown in: metric
supply: {{pressure: 3 bar, temperature: {{winter: 12 C, summer: 12 C}}, dissolved solids: 200 ppm}}
places:
  bath:      {{kind: room, size: 3 m x 3 m, floor: glazed tile}}
  study:     {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
  gully:     {{kind: waste drain, in: bath, type: {type}}}
water:
  membrane:  {{kind: membrane, after: supply, in: study, waste to: gully,
              measured: {{product: 150 mL/min, waste: 600 mL/min, water: 12 C}}}}
  end:       {{kind: air gap, after: membrane, in: study, into: reservoir}}
  reservoir: {{kind: reservoir, in: study, footprint: 20 cm x 20 cm, rim: 300 mm, starts at: 290 mm,
              overflow: {{at: 280 mm, bore: 25 mm, to: gully}}}}
"""


@pytest.mark.parametrize("kind", ["floor drain", "standpipe"])
def test_waste_and_overflow_that_end_in_it_run_over_the_floor_of_its_room(kind: str) -> None:
    """An hour of the jugs: 36 L of waste, and 9 L of product through the overflow, onto the floor of the bath."""
    plant = lower(read_text(HOUSE.format(type=kind), "house.yaml"))
    fallen = {}
    for labels in ((), ("gully: backs up",)):
        onsets = tuple(Onset(label, 0.0) for label in labels)
        trace = engine.run(plant, Scenario("travelling", 3600.0, onsets, STARTS["travelling"]), compiled=True)
        fallen[labels] = dict(zip((place.name for place in plant.places), trace.place_total, strict=True))
    assert sum(fallen[()].values()) == 0.0
    assert fallen["gully: backs up",]["bath"] * 1e3 == pytest.approx(45.0, rel=0.01)
    assert fallen["gully: backs up",]["study"] == 0.0

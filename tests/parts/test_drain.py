from collections.abc import Callable
from typing import Any

import pytest

from dewpond.parts.drain import KIND


def test_clear_drain_leads_to_house_drain_and_holds_nothing(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "floor drain", {"in": "study"})
    floor, onward, to_drain, _ = bench.places[0]
    assert (floor.holds, onward, to_drain) == (0.0, "study", True)
    away, over = bench.edges
    assert away[0] == over[0] == ("port", "in", 0.0)
    assert away[1] == ("drain end", 0.0)
    assert over[1] == ("open end", 0.0, "study")
    assert bench.now(bench.gates[away[3]].signal) is True
    assert bench.gates[over[3]].kind == "leak"  # shut until a fault opens it


def test_inlet_passes_the_waste_of_a_unit_under_a_millimetre_of_head(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "floor drain", {"in": "study"})
    flow = 2e-3 / 60.0  # 2 L/min, more than a household unit wastes
    assert bench.edges[0][2] * flow * flow < 1000.0 * 9.81 * 1e-3


def test_backing_up_swaps_the_ways_and_keeps_the_room_s_water(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "floor drain", {"in": "study"})
    away, over = (edge[3] for edge in bench.edges)
    assert bench.faults["backs up"] == [
        ("high", away, 0.0),
        ("low", over, 1.0),
        ("holds", bench.place_number("study"), 1e9),
    ]


def test_standpipe_that_backs_up_leaves_the_floor_drain_alone(bench: Any, lowered: Callable[..., Any]) -> None:
    bench.heights["study"] = 2.9
    lowered(KIND, "standpipe", {"in": "study", "type": "standpipe", "height": 0.7})
    assert [what for what, _, _ in bench.faults["backs up"]] == ["high", "low"]
    assert bench.edges[1][1] == ("open end", pytest.approx(3.6), "study")

from collections.abc import Callable
from typing import Any

from dewpond.parts.waste_drain import KIND


def test_drain_holds_nothing_and_hands_all_to_the_house_drain(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "floor drain", {"in": "study"})
    floor, onward, to_drain, _ = bench.places[0]
    assert (floor.holds, onward, to_drain) == (0.0, None, True)


def test_floor_drain_that_backs_up_keeps_its_room_s_water_there(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "floor drain", {"in": "study"})
    assert bench.faults == {"backs up": [("holds", bench.place_number("study"), 1e9)]}


def test_standpipe_takes_no_water_off_the_floor_and_has_no_such_fault(lowered: Callable[..., Any]) -> None:
    assert lowered(KIND, "standpipe", {"in": "study", "type": "standpipe"}).faults == {}

from collections.abc import Callable
from typing import Any

import pytest

from dewpond.parts.tray import KIND, floor_of


def test_tray_spill_of_the_check_cases(view: Callable[..., Any]) -> None:
    # inner area 0.6084 m2, rim 30 mm, film 2.7 mm: first litre outside at 19.89468 L
    floor = floor_of(view(KIND, "tray", {"in": "study", "size": (0.78, 0.78), "rim": 0.03}))
    assert floor.holds * 1e3 == pytest.approx(19.89468, rel=1e-9)


def test_tray_runs_over_into_its_room_and_dries_slowly_when_full(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "tray", {"in": "study", "size": (0.8, 0.45), "rim": 0.04})
    floor, onward, to_drain, drying = bench.places[0]
    assert (onward, to_drain) == ("study", False)
    # from its wet floor: 42.7 mm at half of 1 to 3 mm a day takes one to three months
    assert 28.0 < floor.holds / (floor.area * floor.film / drying) / 86400.0 < 86.0


def test_tray_with_outlet_holds_a_quarter_of_its_film(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "tray", {"in": "study", "size": (0.8, 0.45), "rim": 0.04, "drain": "floor drain"})
    floor, _, to_drain, _ = bench.places[0]
    assert to_drain is True
    assert floor.holds == pytest.approx(0.25 * 0.36 * 2.7e-3)


def test_cracked_tray_holds_nothing(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "tray", {"in": "study", "size": (0.8, 0.45), "rim": 0.04})
    assert bench.faults == {"cracked": [("holds", 101, 0.0)]}

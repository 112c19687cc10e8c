import math
from collections.abc import Callable
from typing import Any

import pytest

from dewpond.parts.room import KIND, floor_of


def test_tile_holds_film_of_forty_degrees_by_hand(view: Callable[..., Any]) -> None:
    floor = floor_of(view(KIND, "laundry", {"size": (2.6, 2.1), "floor": "glazed tile", "leads to": "hall"}))
    film = 2 * 2.727e-3 * math.sin(math.radians(20.0))
    assert floor.area == pytest.approx(5.46)
    assert floor.film == pytest.approx(film)
    assert floor.holds == pytest.approx(5.46 * film)
    assert floor.holds * 1e3 == pytest.approx(10.18, abs=0.01)


def test_varnish_film_is_that_of_sixty_degrees_in_the_check_cases(view: Callable[..., Any]) -> None:
    floor = floor_of(view(KIND, "study", {"size": (1.0, 1.0), "floor": "varnished wood", "leads to": "kitchen"}))
    assert floor.film == pytest.approx(2.7271e-3, rel=0.011)  # 2.7 mm stands for it


def test_measured_litre_decides_over_floor(view: Callable[..., Any]) -> None:
    given = {"size": (4.0, 3.0), "floor": "carpet", "a litre covers": 0.4, "leads to": "kitchen"}
    floor = floor_of(view(KIND, "study", given))
    assert floor.film == pytest.approx(2.5e-3)
    assert floor.holds == pytest.approx(12.0 * 2.5e-3)


def test_drain_takes_what_is_over_a_quarter_of_the_film_or_the_measured_litres(view: Callable[..., Any]) -> None:
    given = {"size": (2.0, 2.0), "floor": "vinyl", "drain": "floor drain"}
    assert floor_of(view(KIND, "laundry", given)).holds == pytest.approx(0.25 * 4.0 * 2.7e-3)
    given["reaches the drain after"] = 1.5e-3
    assert floor_of(view(KIND, "laundry", given)).holds == 1.5e-3


def test_water_goes_to_drain_or_on_or_nowhere(lowered: Callable[..., Any]) -> None:
    size = {"size": (2.0, 2.0), "floor": "vinyl"}
    lowered(KIND, "a", {**size, "drain": "floor drain", "leads to": "b"})
    lowered(KIND, "b", {**size, "leads to": "c"})
    bench = lowered(KIND, "c", size)
    assert [(onward, to_drain) for _, onward, to_drain, _ in bench.places] == [("b", True), ("c", False), (None, False)]
    assert bench.places[2][0].holds == math.inf
    assert bench.faults == {}


def test_drying_by_published_row_of_shah_28_degrees_50_percent(bench: Any, lowered: Callable[..., Any]) -> None:
    bench.seasons.update(air=301.15, humidity=0.5)  # 0.1360 kg/(m2.h), density 996.2 kg/m3
    lowered(KIND, "study", {"size": (4.0, 3.0), "floor": "vinyl"})
    drying = bench.places[0][3]
    assert drying == pytest.approx(996.2 * 2.7e-3 / 0.1360 * 3600.0, rel=0.004)
    assert 19.5 < drying / 3600.0 < 20.0


def test_moist_air_dries_slower(bench: Any, lowered: Callable[..., Any]) -> None:
    bench.seasons.update(humidity=0.35)
    lowered(KIND, "a", {"size": (4.0, 3.0), "floor": "vinyl"})
    bench.seasons.update(humidity=0.9)
    lowered(KIND, "b", {"size": (4.0, 3.0), "floor": "vinyl"})
    assert bench.places[1][3] > 4.0 * bench.places[0][3]

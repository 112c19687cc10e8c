import math

import pytest

from dewpond.parts.pre_filters import KIND
from tests.parts.recording import lowered


def test_loss_adds_up_over_the_bowls() -> None:
    asked = lowered(KIND, {"bowls": 3, "drop of a bowl": 5e3})
    assert asked.only("orifice")["k"] * (1e-3 / 60.0) ** 2 == pytest.approx(15e3)


def test_clogged_filters_lose_thirty_times_as_much() -> None:
    asked = lowered(KIND)
    assert asked.patches("clogged") == [("scale", asked.only("orifice").number, 30.0)]


def test_bowls_leak_in_front_at_full_pressure_and_each_counts() -> None:
    asked = lowered(KIND, {"bowls": 4})
    for name in ("bowl cracks", "left leaking after a change"):
        (leak,) = asked.leaks(name)
        assert (leak["node"], leak["sites"]) == (asked.only("orifice")["a"], 4)


def test_cracked_bowl_lets_out_litres_a_minute_at_house_pressure() -> None:
    (leak,) = lowered(KIND).leaks("bowl cracks")
    flow = leak["cd"] * leak["area"] * math.sqrt(2.0 * 4e5 / 1000.0)
    assert 3.0 < flow * 60e3 < 4.0


def test_choked_by_dirt_they_give_less_than_ten_litres_a_day() -> None:
    """Q = sqrt(p / k) at 4 bar."""
    asked = lowered(KIND, {"bowls": 3, "drop of a bowl": 5e3})
    ((what, edge, factor),) = asked.patches("choked by dirt after street work")
    assert (what, edge) == ("scale", asked.only("orifice").number)
    assert math.sqrt(4e5 / (factor * asked.only("orifice")["k"])) * 86400e3 < 10.0

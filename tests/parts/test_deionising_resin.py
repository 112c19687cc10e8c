import pytest

from dewpond.parts.deionising_resin import KIND
from tests.parts.recording import lowered


def test_nothing_dissolved_passes_until_it_is_exhausted() -> None:
    asked = lowered(KIND)
    edge = asked.only("orifice").number
    assert asked.only("passage").values == {"edge": edge, "share": 0.0}
    assert asked.patches("exhausted") == [("passage", edge, 1.0)]


def test_bed_takes_its_drop_at_a_fifth_of_a_litre_a_minute() -> None:
    asked = lowered(KIND, {"drop of the bed": 4e3})
    assert asked.only("orifice")["k"] * (0.2e-3 / 60.0) ** 2 == pytest.approx(4e3)


def test_its_joints_leak_behind_it() -> None:
    asked = lowered(KIND, {"tube ends": 3})
    (leak,) = asked.leaks("joint blows off")
    assert (leak["node"], leak["sites"]) == (asked.only("orifice")["b"], 3)

import pytest

from dewpond.parts.check_valve import KIND
from tests.parts.recording import lowered


def test_it_is_a_one_way_edge_with_a_shut_gap_beside_it() -> None:
    asked = lowered(KIND, {"opens at": 4e3})
    way, gap = asked.only("check"), asked.only("orifice")
    assert way["cracking"] == 4e3
    assert (gap["a"], gap["b"]) == (way["a"], way["b"])
    assert asked.by_number("gate", gap["gate"])["kind"] == "leak"
    assert asked.patches("lets water back") == [("low", gap["gate"], 1.0)]


def test_gap_passes_what_a_half_millimetre_hole_does() -> None:
    """A hole of 0.5 mm at 4 bar: 0.207 L/min with a coefficient of 0.62, so 0.233 with 0.7 (orifice law, by hand)."""
    asked = lowered(KIND)
    assert (4e5 / asked.only("orifice")["k"]) ** 0.5 * 60e3 == pytest.approx(0.207 * 0.7 / 0.62, rel=0.01)


def test_open_it_takes_ten_velocity_heads_of_quarter_inch_tube() -> None:
    """0.2 L/min in 4.318 mm runs at 0.2276 m/s, a velocity head of 25.9 Pa."""
    assert lowered(KIND).only("check")["k"] * (0.2e-3 / 60.0) ** 2 == pytest.approx(259.0, rel=0.01)

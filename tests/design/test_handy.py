"""Figures that are easy to type: never above what they stand for, and read back as just what was tried."""

from dataclasses import replace
from pathlib import Path

import pytest

from dewpond import units
from dewpond.design.handy import at_most, mark_below
from dewpond.design.reader import read
from dewpond.parts.base import Level

MINUTE, GALLON = 60.0, 3.785411784e-3


@pytest.mark.parametrize(
    ("value", "quantity", "system", "text"),
    [
        (76.4 * MINUTE, "duration", "metric", "75 min"),
        (92.6 * MINUTE, "duration", "metric", "90 min"),
        (46.3 * MINUTE, "duration", "metric", "46 min"),
        (177.0 * MINUTE, "duration", "metric", "2.9 h"),
        (12.0 * MINUTE, "duration", "metric", "12 min"),
        (2.125e-3, "volume", "metric", "2.1 L"),
        (0.68 * GALLON, "volume", "US", "0.65 US gal"),
    ],
)
def test_figure_is_the_largest_handy_one_below(
    repository: Path, value: float, quantity: str, system: str, text: str
) -> None:
    design = replace(read(repository / "examples" / "two_tanks.yaml"), shown_in=system)
    found, said = at_most(value, quantity, design)
    assert said == text
    assert found == units.parse(text, quantity)
    assert 0.9 * value < found <= value * (1.0 + 1e-9)


@pytest.mark.parametrize(
    ("level", "change", "text"),
    [
        (Level(0.02, "rim"), -0.0103, "31 mm below rim"),
        (Level(0.395), -0.104, "29.1 cm"),
        (Level(0.45, "floor"), -0.1, "35 cm above floor"),
        (Level(0.3), 0.0, "30 cm"),
    ],
)
def test_mark_is_rounded_down_in_the_file_s_own_way(repository: Path, level: Level, change: float, text: str) -> None:
    found, said = mark_below(level, change, read(repository / "examples" / "two_tanks.yaml"))
    assert said == text
    down = level.value - found.value if level.measured != "rim" else found.value - level.value
    assert -change - 1e-9 <= down <= -change + 1.001e-3

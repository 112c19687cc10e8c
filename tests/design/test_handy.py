"""Figures and names that are easy to type: never above what they stand for, and read back as just what was tried."""

from pathlib import Path

import pytest

from dewpond import units
from dewpond.design.desk import Desk
from dewpond.design.handy import at_most, free_name, mark_below, quoted
from dewpond.design.reader import read
from dewpond.design.tree import Group, Items, Value, build
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
        (21.6, "length", "metric", "21 m"),
    ],
)
def test_figure_is_the_largest_handy_one_below(value: float, quantity: str, system: units.System, text: str) -> None:
    found, said = at_most(value, quantity, system)
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


@pytest.mark.parametrize("text", ["laundry", "it's", "30 mm below rim", "tap-2", "3", "true", "<the day>", "a/b (c)"])
def test_a_name_that_needs_no_quotation_marks_has_none(text: str) -> None:
    assert quoted(text) == text


@pytest.mark.parametrize(
    "text",
    [
        "&laundry",
        "'laundry'",
        "- laundry",
        "*a",
        "!a",
        "a: b",
        "a:",
        "a #b",
        "#a",
        "a, b",
        "[a",
        "a}",
        "? a",
        '"',
        "a\\ ",
    ],
)
def test_a_name_is_quoted_where_a_file_would_be_read_otherwise(text: str) -> None:
    typed = quoted(text)
    assert typed.startswith('"')
    root = build(f"part: {{in: {typed}, from: [{typed}]}}\n{typed}: {{}}", Desk(""))
    assert isinstance(root, Group)
    part = root.get("part")
    assert isinstance(part, Group)
    assert part.get("in") == Value(text, 1)
    assert part.get("from") == Items((Value(text, 1),), 1)
    assert root.pairs[1][0].text == text.strip()  # the reader strips keys


@pytest.mark.parametrize(
    ("form", "of", "wanted"),
    [
        ("{} probe", "attic", "attic probe"),
        ("{} mark", "Low", "Low mark 2"),  # there is a "low mark"
        ("small-box", "", "small-box 2"),
        ("high {} mark", "W" * 60, f"high {'W' * 50} mark"),  # 60 letters in all
        ("level message", "", "level message 2"),
    ],
)
def test_a_free_name_is_one_that_the_reader_takes(repository: Path, form: str, of: str, wanted: str) -> None:
    design = read(repository / "examples" / "two_tanks.yaml")
    first = read(repository / "examples" / "first_float.yaml")
    assert free_name(first if "box" in form else design, form, of) == wanted

"""Values, limits and examples of keys as texts, in the way a keeper types them."""

from __future__ import annotations

import math
import re
from functools import cache
from typing import Any

from dewpond import units
from dewpond.design import messages as m
from dewpond.design.desk import Desk, listed
from dewpond.design.model import Design
from dewpond.design.tree import Group, Items, Node, Value, build
from dewpond.errors import UnitError
from dewpond.parts.base import REQUIRED, Level, Param
from dewpond.vocabulary import QUANTITIES

_DIGITS = 3  # of a figure that is shown back
PLAIN = 0.1, 1000.0  # numbers of a length of time that are read at a glance; our prior
LEAST_NUMBER, MOST_NUMBER = 0.01, 1e5  # in the unit that was typed; beyond, another suits it better
_AMOUNT = re.compile(r"\{(?P<value>-?[\d.]+(?:e[+-]?\d+)?) (?P<quantity>[a-z ]+) (?P<digits>\d+)\}", re.ASCII)
_CORNERS = "[1 m x 0.2 m, 1.8 m x 0.65 m]"  # of an area, or the ends of a line
_EXAMPLES = {
    "text": "a few words",
    "count": "3",
    "date": "2026-03-01",
    "time of day": "06:30",
    "size": "40 cm x 30 cm",
    "level": "45 cm above floor",
    "part": "name of a part",
    "parts": "[name of a part]",
    "place": "name of a place",
    "places": "[name of a place]",
}


def shown_value(value: Any, param: Param, system: units.System = "metric") -> str:
    """A value of a key as the keeper would type it."""
    if isinstance(value, Level):
        height = units.show(abs(value.value), "height", system, _DIGITS)
        below = (value.value < 0) != (value.measured == "rim")
        return f"{height} {'below' if below else 'above'} {value.measured}"
    if param.takes == "flag":
        return str(param.words[0] if value else param.words[1])
    if param.takes == "size" and isinstance(value, tuple):
        return " x ".join(units.show(side, "length", system, _DIGITS) for side in value)
    if param.takes == "time of day" and isinstance(value, (int, float)):
        return units.show_time_of_day(value)
    if param.takes in QUANTITIES and isinstance(value, (int, float)):
        return units.show(value, param.takes, system, _DIGITS)
    if isinstance(value, dict):
        fields = {field.key: field for field in param.fields}
        return ", ".join(f"{key} {shown_value(v, fields[key], system)}" for key, v in value.items() if v is not None)
    if isinstance(value, tuple):
        return ", ".join(shown_value(item, param.fields[0], system) if param.fields else str(item) for item in value)
    return str(value)


def from_the_bottom(design: Design) -> str:
    """Which heights that the file gives count from the bottom of a vessel, in a sentence; empty when none does."""
    marks = []
    for part in design.parts:
        for key, value in part.values.items():
            inner = value.items() if isinstance(value, dict) else ()
            every = [(key, value), *((f"{key}: {word}", one) for word, one in inner)]
            marks += [
                f"{part.name} ({word})"
                for word, one in every
                if key in part.given and isinstance(one, Level) and one.measured == "bottom"
            ]
    return m.FROM_THE_BOTTOM.format(marks=listed(marks)) if marks else ""


def with_amounts(text: str, system: units.System) -> str:
    """A text of a part with each ``amount`` in it put into the user's units."""
    return _AMOUNT.sub(lambda one: units.show(float(one["value"]), one["quantity"], system, int(one["digits"])), text)


def allowed(low: float | None, high: float | None, typed: str, quantity: str, system: units.System) -> str:
    """The limits [SI] in words, in the unit that was typed where one can be made out, and suits both of them."""
    if quantity == "duration" and not all(_suits(end, typed) for end in (low, high) if end):
        typed = ""
    words = {"low": _in_typed_unit(low, typed, quantity, system), "high": _in_typed_unit(high, typed, quantity, system)}
    if (
        low is not None
        and high is not None
        and quantity == "duration"
        and units.parse(words["high"], quantity) > high + 1.0
    ):
        words["high"] = m.LESS_THAN.format(high=words["high"])
    if low is None:
        return m.AT_MOST.format(**words)
    return (m.AT_LEAST if high is None else m.BETWEEN).format(**words)


def _suits(duration: float, typed: str) -> bool:
    """Whether a length of time [s] is a plain number of the unit that was typed."""
    unit = re.sub(r"^[-+\d.,/\s]*", "", typed)
    try:
        number = duration / units.parse(f"1 {unit}", "duration")
    except UnitError:
        return False
    return PLAIN[0] <= number < PLAIN[1]


def _in_typed_unit(value: float | None, typed: str, quantity: str, system: units.System) -> str:
    if value is None:
        return ""
    unit = re.sub(r"^[-+\d.,/\s]*", "", typed)
    try:
        zero, one = (units.parse(f"{number} {unit}", quantity) for number in (0, 1))
        number = (value - zero) / (one - zero)
        if number and not LEAST_NUMBER <= abs(number) < MOST_NUMBER:
            return units.show(value, quantity, system, _DIGITS)  # in a unit that suits it, not 5e-05 km
        text = f"{float(f'{number:.3g}'):g} {unit}"  # 1200 mm, not 1.2e+03 mm
        # Trusted only if it reads as the limit: some units are not proportional to anything.
        if abs(units.parse(text, quantity) - value) <= 0.006 * abs(value - zero):
            return text.strip()
    except (UnitError, ZeroDivisionError):
        pass
    return units.show(value, quantity, system, _DIGITS)


def written(node: Node) -> str:
    """A tree in one line, as it may stand in a file."""
    if isinstance(node, Value):
        return node.text
    if isinstance(node, Items):
        return f"[{', '.join(map(written, node.nodes))}]"
    return "{" + ", ".join(f"{key.text}: {written(value)}" for key, value in node.pairs) + "}"


def example(param: Param, sample: str) -> str:
    """How a key could be written: as in a sample line of a file that has it, else made up from what it takes."""
    given = _keys(sample).get(param.key) if sample else None
    return f"{param.key}: {written(given) if given else made_up(param)}"


@cache
def _keys(sample: str) -> Group:
    """The keys of a part that is written in one line, "name: {key: value}"."""
    tree = build(sample, Desk(""))
    inner = tree.pairs[0][1] if tree and tree.pairs else None
    return inner if isinstance(inner, Group) else Group((), 0)


def made_up(param: Param) -> str:
    """A value that the key would take."""
    if param.default is not REQUIRED and param.default is not None and param.takes not in ("map", "compound", "list"):
        return shown_value(param.default, param)
    if param.words:
        return str(param.words[0])
    if param.takes in _EXAMPLES:
        return _EXAMPLES[param.takes]
    if param.takes == "map":
        inner = [f for f in param.fields if f.default is REQUIRED] or list(param.fields[:1])
        return "{" + ", ".join(f"{field.key}: {made_up(field)}" for field in inner) + "}"
    if param.takes == "list":
        return _CORNERS if param.fields[0].takes == "size" else f"[{made_up(param.fields[0])}]"
    if param.takes == "compound":
        fields = {field.key: made_up(field) for field in param.fields}
        return re.sub(r"\{(\w[\w ]*)\}", lambda found: fields[found[1]], param.pattern)
    return _in_range(param)


def _in_range(param: Param) -> str:
    """The usual example of a quantity, or a figure that is usual for the key where that one is too high for it."""
    text = QUANTITIES[param.takes].example
    value = units.parse(text, param.takes)
    if param.low is not None and value < param.low:
        return units.show(param.low, param.takes)
    if param.high is not None and value > param.high:
        low, high = param.usual or (param.high, param.high)
        return units.show(math.sqrt(low * high) if low > 0.0 else high, param.takes, digits=1)
    return text

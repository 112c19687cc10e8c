"""Figures and names that are easy to type, with the text that says just them: what is tried is what is printed."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Final

from dewpond import units
from dewpond.design.desk import Desk
from dewpond.design.likeness import seen_as
from dewpond.design.model import LONGEST_NAME, Design, slug
from dewpond.design.tree import Group, Items, Value, build
from dewpond.parts.base import Level

COARSE = 5.0  # from this leading digit on, a figure has steps of five
TENTH = 0.1
ALMOST = 1e-6  # of a step: what rounding in the last bit takes away
FINEST: Final = {"mm": 1.0, "cm": 0.1, "in": 0.1}  # steps of a mark, by unit; of longer units a thousandth


def system_of(design: Design) -> units.System:
    """The system that a design is shown in."""
    return "US" if design.shown_in == "US" else "metric"


def at_most(value: float, quantity: str, system: units.System) -> tuple[float, str]:
    """The largest figure of about two digits that is not above a value [SI, > 0], and its text: 76.4 min is 75 min."""
    unit = units.shown_unit(quantity, value, system)
    number = unit.of(value)
    digit = 10.0 ** math.floor(math.log10(number))
    step = digit * TENTH * (COARSE if number / digit >= COARSE else 1.0)
    return _typed(math.floor(number / step + ALMOST) * step, quantity, unit.text)


def mark_below(level: Level, change: float, design: Design) -> tuple[Level, str]:
    """A mark moved by a change [m], rounded down to a millimetre or a tenth of an inch, and its text: 30 mm below
    rim."""
    from_rim = level.measured == "rim"
    value = level.value + (-change if from_rim else change)
    unit = units.shown_unit("height", value, system_of(design), 3)
    step = FINEST.get(unit.text, 0.001)
    steps = unit.of(value) / step
    whole = math.ceil(steps - ALMOST) if from_rim else math.floor(steps + ALMOST)
    value, text = _typed(whole * step, "height", unit.text)
    words = "" if level.measured == "bottom" else f" {'below' if from_rim else 'above'} {level.measured}"
    return replace(level, value=value), text + words


def quoted(text: str) -> str:
    """A text as it is typed between brackets: in quotation marks where it would be read as something else."""
    bare = Group(((Value(text, 1), Items((Value(text, 1),), 1)),), 1)  # as a key, and in a list
    return text if build(f"{{{text}: [{text}]}}", Desk("")) == bare else json.dumps(text, ensure_ascii=False)


def free_name(design: Design, form: str, of: str = "") -> str:
    """A name that can be given to one more part or message: ``form`` with ``of`` in its braces, as much of it as the
    longest name allows, and a number behind it where the reader would take it for one that is there."""
    named = [one.name for group in (design.parts, design.messages, design.heartbeats) for one in group]
    ids, looks = {part.id for part in design.parts} | set(map(slug, named)), set(map(seen_as, named))
    number, end = 1, ""
    while True:
        room = LONGEST_NAME - len(form.format("") + end)
        name = form.format(of[:room].strip()) + end
        if slug(name) not in ids and seen_as(name) not in looks:
            return name
        number += 1
        end = f" {number}"


def _typed(number: float, quantity: str, unit: str) -> tuple[float, str]:
    text = f"{float(f'{number:.4g}'):g} {unit}"
    return units.parse(text, quantity), text

"""Values of limits as they are told beside each other: what to write, two that differ, and nothing at all."""

from __future__ import annotations

import math
from typing import Final

from dewpond import units
from dewpond.report.views.shown import Shown
from dewpond.study.limits.model import Limit, Ruled

NUDGES: Final = (0.0, 0.01, -0.01, 0.02, -0.02, 0.05, -0.05)  # by which a value is moved for a rounder one [1]


def value_text(value: float, quantity: str, shown: Shown, digits: int = 2) -> str:
    """A value of a limit; heights to the millimetre."""
    if math.isinf(value):
        return "without end"
    if quantity == "volume":
        return shown.litres(value, digits=digits) if value > 0.0 else "nothing"
    if quantity == "height":
        return shown.height(max(value, 0.0))
    return units.show(max(value, 0.0), quantity, shown.system, digits)


def settable(limit: Limit, value: float, shown: Shown) -> str:
    """A value as it is entered: as few digits as stay inside the bounds, on the side that costs no nuisance."""
    low = limit.free if limit.free <= value else limit.least
    for digits in (2, 3, 4):
        for nudge in NUDGES:
            text = value_text(value * (1.0 + nudge), limit.quantity, shown, digits)
            if text != "nothing" and low <= units.parse(text, limit.quantity) <= limit.most:
                return text
    return value_text(value, limit.quantity, shown, 5)


def written(rule: Ruled, shown: Shown) -> dict[str, str]:
    """What is told to be entered, by season: one text where it is for all the year; none where no value will do."""
    limits = {season: rule.told(season) for season in rule.seasons}
    return {s: settable(one, one.advised, shown) for s, one in limits.items() if one.advised is not None}


def apart(limit: Limit, one: float, other: float, shown: Shown) -> tuple[str, str]:
    """Two values that differ, with as many digits as tell them apart."""
    for digits in (2, 3):
        first, second = (value_text(value, limit.quantity, shown, digits) for value in (one, other))
        if first != second:
            return first, second
    return value_text(one, limit.quantity, shown, 4), value_text(other, limit.quantity, shown, 4)


def up_to(text: str, value: float) -> str:
    """A bound from above; of nothing, none is allowed."""
    return f"at most {text}" if value > 0.0 and text != "nothing" else "none at all may come"


def times(text: str) -> str:
    """How often, of a number that is reckoned."""
    return "once" if text == "1" else f"{text} times"

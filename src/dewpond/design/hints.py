"""What was probably meant by a figure that cannot be, or hardly: ten times more or less, or another unit."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from decimal import Decimal, InvalidOperation
from functools import partial
from typing import Final

from dewpond import units
from dewpond.design import messages as m
from dewpond.errors import UnitError
from dewpond.parts.base import Param
from dewpond.units.refusals import common_units

_POWERS: Final = (1, -1, 2, -2, 3, -3)
_NUMBER: Final = re.compile(r"\d+(?:[.,]\d+)?", re.ASCII)
_ALIKE: Final = 0.02  # lengths that differ by less are one: 6.35 mm and 1/4 in
_ROUNDING: Final = 1e-9  # that a figure loses on its way to SI and back [1]
_MOST: Final = 2  # readings that are offered
_FIGURE = re.compile(r"(?P<number>[-+]?\d+(?:[.,]\d+)?)\s*(?P<unit>[^\d\s/.,+-].*)", re.ASCII)


def likely(param: Param) -> tuple[float | None, float | None]:
    """Between which figures the key usually lies, as far as its declaration says [SI]."""
    if param.usual is not None:
        return param.usual
    source = param.source
    return (param.low, param.high) if source is None or source.low is None else (source.low, source.high)


def hint(param: Param, text: str, quantity: str) -> str:
    """A question about what was meant, with a space behind; empty when nothing plausible is near. A warmth that can be
    is taken for no other: 3 C is a cold garage, and ten times that would be no slip."""
    if quantity == "temperature" and _lies(param.low, param.high, text, quantity):
        return ""
    found: list[str] = []
    for reading in _other_sizes(text) if quantity == "size" else _other_figures(text, quantity):
        if not any(_same(reading, other, quantity) for other in found) and _fits(param, reading, quantity):
            found.append(reading)
        if len(found) == _MOST:
            break
    return m.MEANT.format(words=m.OR.join(found)) if found else ""


def same_length(text: str, words: Iterable[str]) -> str:
    """Of words that are lengths, the one that is as long as what was typed, written otherwise; empty when none is."""

    def length(typed: str) -> float:
        try:
            return units.parse(typed, "length")
        except UnitError:
            return math.nan

    typed = length(text)
    return next((word for word in words if math.isclose(length(word), typed, rel_tol=_ALIKE)), "")


def _other_figures(text: str, quantity: str) -> Iterator[str]:
    """Ten times more, or less; the same number in other units; then larger powers of ten."""
    figure = _FIGURE.fullmatch(text)
    if figure is None:
        return
    try:
        number = Decimal(figure["number"].replace(",", "."))
    except InvalidOperation:
        return
    shifted = [f"{number.scaleb(power).normalize():f} {figure['unit']}" for power in _POWERS]
    yield from shifted[:2]
    yield from (f"{figure['number']} {unit}" for unit in common_units(quantity) if unit != figure["unit"])
    yield from shifted[2:]


def _other_sizes(text: str) -> Iterator[str]:
    """The same sides in other units of length; then ten times less, or more."""
    for typed in ("mm", "cm", "in", "ft", "m"):
        if re.search(rf"\d\s*{typed}\b", text):
            yield from (re.sub(rf"(\d)\s*{typed}\b", rf"\1 {unit}", text) for unit in common_units("length"))
            yield from (_NUMBER.sub(partial(_shifted, power), text) for power in (-1, 1))
            return


def _shifted(power: int, number: re.Match[str]) -> str:
    return f"{Decimal(number[0].replace(',', '.')).scaleb(power).normalize():f}"


def _same(one: str, two: str, quantity: str) -> bool:
    """Whether two readings are one figure, written otherwise."""
    if quantity == "size":
        return one == two
    return math.isclose(units.parse(one, quantity), units.parse(two, quantity), rel_tol=1e-6)


def _fits(param: Param, text: str, quantity: str) -> bool:
    return _lies(*likely(param), text, quantity)


def _lies(low: float | None, high: float | None, text: str, quantity: str) -> bool:
    try:
        values = units.parse_pair(text, "length") if quantity == "size" else (units.parse(text, quantity),)
    except UnitError:
        return False
    return all(within(low, high, value) for value in values)


def within(low: float | None, high: float | None, value: float) -> bool:
    """Whether a value keeps to limits, but for what units turned into SI lose."""
    slack = _ROUNDING * abs(value)
    return (low is None or value >= low - slack) and (high is None or value <= high + slack)

"""Numbers inside the program -> text for people, in the unit that suits the size, with no more digits than asked."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Literal

from dewpond.units import factors
from dewpond.vocabulary import QUANTITIES, Word

System = Literal["metric", "US"]

# Largest unit first; a unit is taken when the rounded number in it reaches the bound beside it.
# fmt: off
_METRIC: dict[str, tuple[tuple[str, float], ...]] = {
    "length": (("m", 1), ("cm", 10), ("mm", 0)),
    "area": (("m²", 0.1), ("cm²", 1), ("mm²", 0)),
    "volume": (("m³", 100), ("L", 1), ("mL", 0)),
    "mass": (("kg", 1), ("g", 1), ("mg", 0)),
    "duration": (("days", 2), ("h", 2), ("min", 2), ("s", 0)),
    "pressure": (("bar", 0.1), ("mbar", 0)),
    "flow": (("L/min", 0.1), ("L/h", 1), ("L/day", 0.1), ("mL/day", 0)),
    "temperature": (("°C", 0),),
    "salinity": (("ppt", 0),),
    "dissolved solids": (("g/L", 10), ("ppm", 0)),
    "fraction": (("%", 0),),
    "conductivity": (("mS/cm", 1), ("µS/cm", 0)),
    "voltage": (("V", 1), ("mV", 0)),
    "current": (("A", 1), ("mA", 0)),
    "power": (("kW", 1), ("W", 1), ("mW", 0)),
    "resistance": (("Mohm", 1), ("kohm", 1), ("ohm", 0)),
    "rate": (("per second", 1), ("per hour", 1), ("per day", 1), ("per year", 0)),
    "speed": (("m/s", 0.1), ("cm/s", 1), ("mm/s", 0)),
    "slope": (("%", 0),),
    "angle": (("°", 0),),
}
_US: dict[str, tuple[tuple[str, float], ...]] = _METRIC | {
    "length": (("ft", 3), ("in", 0)),
    "area": (("ft²", 1), ("in²", 0)),
    "volume": (("US gal", 0.25), ("US fl oz", 0)),
    "mass": (("lb", 0),),
    "pressure": (("psi", 0),),
    "flow": (("US gal/min", 0.2), ("US gal/day", 0.1), ("US fl oz/day", 0)),
    "temperature": (("°F", 0),),
    "speed": (("ft/s", 1), ("in/s", 0)),
}
_KEY_UNITS = {
    "l_per_min": "L/min", "litres": "L", "c": "°C", "fraction": "", "us_per_cm": "uS/cm", "v": "V", "a": "A", "w": "W",
    "count": "", "per_year": "/year", "m_per_s": "m/s", "m_per_m": "m/m",
}
# fmt: on
# Artificial salt differs from sea salt by more than the second decimal; no thermometer here shows thousandths.
_MOST_DECIMALS = {"salinity": 1, "temperature": 2}


@dataclass(frozen=True)
class ShownUnit:
    """A unit for an axis or a column: shown number = (value inside - offset) / factor."""

    text: str
    factor: float
    offset: float

    def of(self, value: float) -> float:
        """Value inside -> number in this unit."""
        return (value - self.offset) / self.factor


def _ladder(quantity: str, system: System) -> tuple[str, tuple[tuple[str, float], ...]]:
    family = factors.FAMILIES.get(quantity, quantity)
    return family, {"metric": _METRIC, "US": _US}[system][family]


@cache
def _shown(text: str, family: str) -> ShownUnit:
    spelled = text.replace("per ", "/").replace("µ", "u").replace("²", "2").replace("³", "3")
    unit = factors.unit(spelled, family)
    return ShownUnit(text, float(unit.factor), float(unit.offset))


def _rounded(number: float, digits: int) -> float:
    return float(f"{number:.{digits - 1}e}")


def shown_unit(quantity: str, largest: float, system: System = "metric", digits: int = 2) -> ShownUnit:
    """The unit `show` would take for a value of that size; for axes and columns that need one unit throughout.

    quantity  a name of vocabulary.QUANTITIES except "count", which has no unit
    largest   value inside with the largest magnitude to be shown
    """
    family, ladder = _ladder(quantity, system)
    for text, bound in ladder:
        unit = _shown(text, family)
        if abs(_rounded(unit.of(largest), digits)) >= bound:
            return unit
    raise AssertionError(f"the ladder of {family} does not end at zero")


def show(value: float, quantity: str, system: System = "metric", digits: int = 2) -> str:
    """A value inside the program as text, for instance show(0.0049e-3, "volume") = "4.9 mL".

    value     in the unit of vocabulary.QUANTITIES[quantity]
    system    "metric" or "US"; quantities that are the same in both are shown alike
    digits    most significant digits to show [1, 15]; zeros at the end of decimals are left out.
              A count is exact and is shown whole. Salinity has at most one decimal, temperature two.
    Not-a-number is shown as "unknown", infinity as "endless". What is shown can be parsed again, these two apart.
    """
    if math.isnan(value):
        return Word.UNKNOWN
    if math.isinf(value):
        return Word.ENDLESS if value > 0 else f"minus {Word.ENDLESS}"
    if quantity == "count":
        return str(round(value))
    unit = shown_unit(quantity, value, system, digits)
    number = _written(unit.of(value), digits, _MOST_DECIMALS.get(quantity))
    return f"{number}{'' if unit.text == '°' else ' '}{unit.text}"


def _written(number: float, digits: int, most_decimals: int | None) -> str:
    shown = _rounded(number, digits)
    if most_decimals is not None and shown and digits - 1 - math.floor(math.log10(abs(shown))) > most_decimals:
        shown = round(number, most_decimals)  # from the number itself: rounding twice can miss by more
    number = shown
    if number == 0:
        return "0"
    magnitude = math.floor(math.log10(abs(number)))
    if not -5 <= magnitude < 9:
        mantissa, power = f"{number:.{digits - 1}e}".split("e")
        return f"{mantissa.rstrip('0').rstrip('.') if '.' in mantissa else mantissa}e{int(power)}"
    text = f"{number:.{max(0, digits - 1 - magnitude)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def in_key_unit(value: float, quantity: str) -> float:
    """Value inside -> number for a JSON key that ends in the quantity's key_suffix.

    For instance in_key_unit(1e-3 / 60, "flow") = 1.0 for a key ending in "_l_per_min".
    """
    suffix = QUANTITIES[quantity].key_suffix
    text = _KEY_UNITS.get(suffix, suffix)
    return _shown(text, factors.FAMILIES.get(quantity, quantity)).of(value) if text else value

"""Why a typed quantity is not read, in words: what is wrong, the question, and the readings."""

from __future__ import annotations

from collections.abc import Sequence

from dewpond.errors import Reading, UnitError
from dewpond.units import factors
from dewpond.units.showing import show
from dewpond.vocabulary import QUANTITIES

# Units worth naming when a unit is missing or unknown, the commonest first.
# fmt: off
_COMMON: dict[str, tuple[str, ...]] = {
    "length": ("m", "cm", "mm", "ft", "in"),
    "area": ("m2", "cm2", "ft2"),
    "volume": ("L", "mL", "US gal", "imp gal"),
    "mass": ("kg", "g", "lb"),
    "duration": ("s", "min", "h", "days", "weeks"),
    "pressure": ("bar", "psi", "kPa"),
    "flow": ("L/min", "L/h", "L/day", "gal/day"),
    "temperature": ("C", "F"),
    "salinity": ("ppt", "psu"),
    "dissolved solids": ("ppm", "mg/L", "g/L"),
    "fraction": ("%",),
    "conductivity": ("uS/cm", "mS/cm"),
    "voltage": ("V", "mV"),
    "current": ("A", "mA"),
    "power": ("W", "kW"),
    "resistance": ("ohm", "kohm", "Mohm"),
    "rate": ("per year", "per day", "per hour"),
    "speed": ("m/s", "cm/s", "ft/s"),
    "slope": ("%", "mm/m", "in/ft"),
    "angle": ("deg", "rad"),
    "count": (),
}
# fmt: on
_ALSO = {"salinity": ("sg at 25/25 C", "mS/cm at 25 C")}  # units that want more than a number before them
# What to do when somebody gives one quantity where another is wanted, and the two are easily taken for each other.
_HINTS = {
    ("dissolved solids", "salinity"): "Salinity is counted per kilogram of sea water, not per litre: write ppt or psu.",
    ("salinity", "dissolved solids"): "Write mg/L, which counts per litre of water.",
    (
        "conductivity",
        "dissolved solids",
    ): "Meters differ in how they turn conductivity into ppm: write the ppm shown.",
    ("volume", "flow"): "Say in what time, for instance 3 L/min.",
    ("flow", "volume"): "Say how much in all, for instance 40 L.",
}


def quoted(text: str) -> str:
    """What was typed, in one line and not too long, for a message."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return f"{line[:57]}..." if len(line) > 60 else line


def means(value: float, quantity: str) -> str:
    """A value in words, in both systems where they differ."""
    metric, us = show(value, quantity, "metric", 3), show(value, quantity, "US", 3)
    return metric if metric == us else f"{metric} ({us})"


def _either(words: Sequence[str]) -> str:
    """ "a", "a or b", "a, b or c"."""
    return " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def known(quantity: str) -> str:
    """A sentence that names the units of a quantity."""
    units = common_units(quantity) + _ALSO.get(quantity, ())
    example = QUANTITIES[quantity].example
    return f"Units: {', '.join(units)}." if units else f"Write a whole number without a unit, for instance {example}."


def wanted(quantity: str) -> str:
    """The half sentence that says what should stand here."""
    return f"{QUANTITIES[quantity].phrase} is wanted here, for instance {QUANTITIES[quantity].example}."


def unreadable(text: str, what: str, quantity: str, write: str = "") -> UnitError:
    """No number can be read. `write` is a better way to write it, if there is one."""
    remedy = f"Write {write}." if write else f"{wanted(quantity).capitalize()}"
    return UnitError(f"{quoted(text) or 'An empty text'} {what}", remedy, (), "not-a-number")


def ambiguous(text: str, readings: Sequence[Reading], code: str = "ambiguous", note: str = "") -> UnitError:
    """There are two or more readings: the question shows all of them."""
    question = f"Do you mean {_either([r.means for r in readings])}?"
    advice = f"Write {_either([r.write for r in readings])}."
    count = {2: "two", 3: "three", 4: "four", 5: "five"}[len(readings)]
    return UnitError(
        f"{quoted(text)} can be read in {count} ways.",
        " ".join(part for part in (question, advice, note) if part),
        tuple(readings),
        code,
    )


def without_unit(text: str, quantity: str, readings: Sequence[Reading]) -> UnitError:
    """A bare number where the unit decides."""
    return UnitError(
        f"{quoted(text)} has no unit; {QUANTITIES[quantity].phrase} is wanted here.",
        f"Do you mean {_either([r.write for r in readings])}?",
        tuple(readings),
        "unit-missing",
    )


def common_units(quantity: str) -> tuple[str, ...]:
    """Units to offer for a bare number."""
    return _COMMON[factors.FAMILIES.get(quantity, quantity)]


def wrong_quantity(text: str, given: str, quantity: str, reading: Reading | None = None, note: str = "") -> UnitError:
    """The unit measures something else. `given` is a family; `reading` is what may have been meant."""
    family = factors.FAMILIES.get(quantity, quantity)
    question = f"Do you mean {reading.write}? " if reading else ""
    return UnitError(
        f"{quoted(text)} is {QUANTITIES[given].phrase}; {wanted(quantity)}",
        question + (note or _HINTS.get((given, family), known(quantity))),
        (reading,) if reading else (),
        "wrong-quantity",
    )


def unknown_unit(text: str, unit: str, quantity: str) -> UnitError:
    """No such unit; the nearest known word is offered."""
    from difflib import get_close_matches

    family = factors.FAMILIES.get(quantity, quantity)
    near = get_close_matches(unit, factors.spellings(family), n=1, cutoff=0.6)
    offer = f"Nearest known: {near[0]}. " if near else ""
    return UnitError(
        f"{quoted(text)}: {quoted(unit)} is not a unit known here; {wanted(quantity)}",
        f"{offer}{known(quantity)}",
        (),
        "unit-unknown",
    )

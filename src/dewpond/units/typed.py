"""What people type -> numbers inside the program (units of vocabulary.QUANTITIES)."""

from __future__ import annotations

import re

from dewpond.errors import Reading, UnitError
from dewpond.units import refusals, sea
from dewpond.units.numerals import LONGEST, NumberError, split, tidy
from dewpond.units.reading import number_of, read
from dewpond.vocabulary import QUANTITIES

_BETWEEN_SIDES = re.compile(r" ?(?:[xX*]|\bby\b) ?(?=[0-9.,+-])")


def parse(text: str, quantity: str) -> float:
    """One typed quantity -> its value inside the program.

    text      what was typed: "15 ft", "1 1/4 in", "2,5 bar", "75 gal/day", "1.025 sg at 25/25 C"
    quantity  a name of vocabulary.QUANTITIES
    Returns the value in the unit of that quantity (SI; temperatures in kelvin, salinity in g/kg), rounded once.
    Raises UnitError when the text cannot be read or could mean more than one thing. Signs are not judged: whether a
    negative value makes sense is for the range checks of the caller.
    """
    assert quantity in QUANTITIES, quantity
    if quantity == "salinity":
        return sea.salinity(text)
    if quantity == "conductivity":
        return sea.conductivity(text)
    return read(text, quantity)


def parse_many(text: str, quantity: str, sides: int | None = None) -> tuple[float, ...]:
    """A size with several sides, such as "40 x 30 x 35 cm" or "2.6 m x 2.1 m" -> values inside the program.

    sides  how many are wanted; None: any number
    A unit after the last side counts for all of them when the others have none.
    Raises UnitError.
    """
    if len(text) > LONGEST:
        number_of(text, quantity)  # refuses, with the reason
    parts = _BETWEEN_SIDES.split(tidy(text))
    if sides is not None and len(parts) != sides:
        raise UnitError(
            f"{refusals.quoted(text) or 'An empty text'} has {len(parts)} side{'s' if len(parts) > 1 else ''}; "
            f"{sides} are wanted.",
            f"Write for instance {' x '.join(('40 cm', '30 cm', '35 cm', '20 cm')[:sides])}.",
            (),
            "sides",
        )
    units = [_unit_text(part) for part in parts]
    if units[-1] and not any(units[:-1]):
        parts = [f"{part} {units[-1]}" for part in parts[:-1]] + parts[-1:]
    elif any(units) and not all(units):
        unit = next(unit for unit in units if unit)
        write = " x ".join(part if own else f"{part} {unit}" for part, own in zip(parts, units, strict=True))
        raise UnitError(
            f"{refusals.quoted(text)} has a side without a unit.",
            f"Do you mean {write}?",
            (Reading(write, f"all sides in {unit}"),),
            "unit-missing",
        )
    return tuple(parse(part, quantity) for part in parts)


def parse_pair(text: str, quantity: str) -> tuple[float, float]:
    """A size with two sides, such as "40 cm x 30 cm" or "40x30 cm". Raises UnitError."""
    first, second = parse_many(text, quantity, 2)
    return first, second


def _unit_text(part: str) -> str:
    """What follows the number of one side; empty when there is no unit, or no number to be read."""
    try:
        return split(part).rest
    except NumberError:
        return ""

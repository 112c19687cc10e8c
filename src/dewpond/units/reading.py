"""Reads one number with one unit, and the compounds "5' 6\"" and "1 h 30 min"."""

from __future__ import annotations

import re
from fractions import Fraction

from dewpond.errors import Reading, UnitError
from dewpond.units import factors, refusals
from dewpond.units.factors import Unit
from dewpond.units.numerals import LONGEST, Number, NumberError, split, tidy, tidy_unit
from dewpond.vocabulary import QUANTITIES

_RANGE = re.compile(r"(?:-|to |\.\.|…|±|\+/?-) ?[0-9.]")
_POWER_OF_TEN = re.compile(r"[xX*] ?10 ?\^? ?[+-]?[0-9]")
_SIDES = re.compile(r"(?:[xX*]|\bby\b) ?[0-9.,]")
_TERM_UNIT = re.compile(r"(?:[A-Za-z]+|''|['\"])\.?")
_ONE_TO = re.compile(r"(?:: ?|in )([0-9]+)")
_COMPOUND = re.compile(r"[A-Za-z'\"]+\.? ?(?:and )?[0-9.]")
_CLOCK = re.compile(r":([0-5][0-9])")
_ABSOLUTE = re.compile(r"(?:psi|bar) ?\(?a(?:bs|bsolute)?\)?", re.IGNORECASE)
_MEGALITRE = re.compile(r"\bM[lL]\b")
# In compounds: the unit that people leave out after the one before it.
_NEXT = {"ft": "in", "m": "cm", "days": "h", "h": "min", "min": "s"}


def number_of(text: str, quantity: str) -> Number:
    """The number at the head of a text and the tidied rest; UnitError when there is no single number."""
    if len(text) > LONGEST:
        raise UnitError(
            f"A text of {len(text)} characters is too long for a quantity.", f"{refusals.wanted(quantity).capitalize()}"
        )
    try:
        number = split(tidy(text))
    except NumberError as why:
        write = f"{why.write} {tidy(text).lstrip('+-0123456789., ')}".strip() if why.write else ""
        raise refusals.unreadable(text, why.what, quantity, write) from None
    if _RANGE.match(number.rest):
        raise UnitError(
            f"{refusals.quoted(text)} is a range; one value is wanted here.",
            "Write the value you hold most likely.",
            (),
            "range",
        )
    if _POWER_OF_TEN.match(number.rest):
        raise refusals.unreadable(text, "has a power of ten written out.", quantity, "it as 3e-3")
    if _SIDES.search(number.rest):
        raise UnitError(
            f"{refusals.quoted(text)} is a size with several sides; {refusals.wanted(quantity)}",
            "Write one value.",
            (),
            "several-values",
        )
    return number


def inside(text: str, number: Number, unit: Unit, quantity: str) -> float:
    """The value inside the program, once number and unit are clear; asks when a comma may part thousands."""
    if number.other is not None:
        raise refusals.ambiguous(
            text,
            [
                Reading(f"{write} {number.rest}".strip(), refusals.means(float(unit.inside(value)), quantity))
                for value, write in ((number.value, number.write), (number.other, number.other_write))
            ],
        )
    return float(unit.inside(number.value))


def read(text: str, quantity: str) -> float:
    """Text -> value inside, for every quantity but the special spellings of salinity and conductivity.

    text      what was typed, for instance "1 1/4 in"
    quantity  a name of vocabulary.QUANTITIES
    Raises UnitError, and nothing else, when the text is refused.
    """
    number = number_of(text, quantity)
    family = factors.FAMILIES.get(quantity, quantity)
    if family == "slope" and (ratio := _ONE_TO.fullmatch(number.rest)) and int(ratio[1]):
        return inside(text, number, Unit("", "slope", Fraction(1, int(ratio[1]))), quantity)
    if not number.rest:
        return _bare(text, number, quantity)
    spelled = tidy_unit(number.rest)
    exact, folded = factors.find(spelled)
    if family in ("length", "duration") and not exact and not folded and _COMPOUND.match(number.rest):
        return float(_compound(text, number, quantity))
    return inside(text, number, choose(text, number, spelled, quantity), quantity)


def choose(text: str, number: Number, spelled: str, quantity: str) -> Unit:
    """The unit that a spelling means where this quantity is wanted; UnitError when none does, or more than one."""
    family = factors.FAMILIES.get(quantity, quantity)
    _refuse_known_traps(text, number, spelled, family)
    exact, folded = factors.find(spelled)
    if family in exact:
        return exact[family]
    fitting = folded.get(family, [])
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        raise refusals.ambiguous(text, [_reading(number, unit.text, unit, quantity) for unit in fitting])
    given = next(iter(exact or folded), "")
    _refuse_mix_ups(text, number, spelled, given, quantity)
    if given not in QUANTITIES:
        raise refusals.unknown_unit(text, spelled, quantity)
    raise refusals.wrong_quantity(text, given, quantity)


def _reading(number: Number, write: str, unit: Unit, quantity: str) -> Reading:
    return Reading(f"{number.write} {write}", refusals.means(float(unit.inside(number.value)), quantity))


def _refuse_known_traps(text: str, number: Number, spelled: str, family: str) -> None:
    """Spellings that always have two meanings."""
    if spelled.casefold() in ("oz", "ounce", "ounces"):
        raise refusals.ambiguous(
            text,
            [
                _reading(number, "US fl oz", factors.unit("US fl oz", "volume"), "volume"),
                _reading(number, "imp fl oz", factors.unit("imp fl oz", "volume"), "volume"),
                _reading(number, "oz av", factors.unit("oz av", "mass"), "mass"),
            ],
        )
    if _MEGALITRE.search(spelled) and family in ("volume", "flow"):
        small, large = _MEGALITRE.sub("mL", spelled), _MEGALITRE.sub("m3", spelled)
        if family in factors.find(small)[0]:
            thousand = Number(number.value * 1000, f"{float(number.value * 1000):.15g}", "")
            raise refusals.ambiguous(
                text,
                [
                    _reading(number, small, factors.unit(small, family), family),
                    _reading(thousand, large, factors.unit(large, family), family),
                ],
                note="ML is a megalitre, mL a millilitre.",
            )
    if _ABSOLUTE.fullmatch(spelled):
        raise UnitError(
            f"{refusals.quoted(text)} is an absolute pressure; a gauge pressure is wanted here.",
            "Take off the pressure of the air, about 1.01 bar or 14.7 psi.",
            (),
            "absolute-pressure",
        )


def _refuse_mix_ups(text: str, number: Number, spelled: str, given: str, quantity: str) -> None:
    """Units of another quantity, and other signs, that are easily meant for this one."""
    family = factors.FAMILIES.get(quantity, quantity)
    if family == "duration" and (clock := _CLOCK.fullmatch(spelled)):
        pairs = [("h", "min"), ("min", "s")]
        writes = [f"{number.write} {large} {clock[1]} {small}" for large, small in pairs]
        raise refusals.ambiguous(
            text, [Reading(write, refusals.means(read(write, quantity), quantity)) for write in writes]
        )
    if (given, family) == ("length", "duration") and spelled.casefold() == "m":
        reading = _reading(number, "min", factors.unit("min", "duration"), "duration")
        raise refusals.wrong_quantity(text, given, quantity, reading, "m means metres; minutes are written min.")
    if (given, family) == ("angle", "temperature"):
        units = [(name, factors.unit(name, "temperature")) for name in ("C", "F")]
        raise refusals.ambiguous(text, [_reading(number, name, unit, quantity) for name, unit in units])
    if (given, family) == ("length", "pressure") and "pressure" in factors.find(f"{spelled} of water")[0]:
        column = f"{spelled} of water"
        reading = _reading(number, column, factors.unit(column, "pressure"), quantity)
        raise refusals.wrong_quantity(text, given, quantity, reading, f"That would be {reading.means}.")
    if given == "conductance" and family in ("conductivity", "salinity"):
        raise UnitError(
            f"{refusals.quoted(text)} lacks the length in its unit; {refusals.wanted(quantity)}",
            "Conductivity is written uS/cm or mS/cm.",
            (),
            "unit-unknown",
        )


def _bare(text: str, number: Number, quantity: str) -> float:
    """A number without a unit: fine for a count, and for a fraction below 1; otherwise the unit decides."""
    family = factors.FAMILIES.get(quantity, quantity)
    value = number.value
    if family == "count":
        if value.denominator != 1:
            raise refusals.unreadable(text, "is not a whole number.", quantity)
        return inside(text, number, factors.unit("times", "count"), quantity)
    if family == "fraction" and abs(value) < 1:
        return float(value)
    if family == "fraction" and value == 1:
        raise refusals.without_unit(text, quantity, [Reading("1 %", "1 in 100"), Reading("100 %", "all")])
    numbers = [number]
    if number.other is not None:
        numbers.append(Number(number.other, number.other_write, ""))
    readings = []
    for name in refusals.common_units(quantity)[: 5 // len(numbers)]:
        unit = factors.find(tidy_unit(name))[0][family]
        readings += [_reading(each, name, unit, quantity) for each in numbers]
    raise refusals.without_unit(text, quantity, readings)


def _compound(text: str, number: Number, quantity: str) -> Fraction:
    """A length or time in several units, from large to small: the sum, with the sign of the first number."""
    family = factors.FAMILIES.get(quantity, quantity)
    sign = -1 if number.write.startswith("-") else 1
    total, before = Fraction(0), None
    while True:
        name = _TERM_UNIT.match(number.rest)
        if not name:
            raise _unfinished(text, number, before, quantity)
        unit = choose(text, number, tidy_unit(name[0]), quantity)
        if before and unit.factor >= before.factor:
            raise UnitError(
                f"{refusals.quoted(text)} has its units in an odd order.",
                "Write the larger unit first, each once.",
                (),
                "compound-order",
            )
        inside(text, Number(number.value, number.write, name[0], number.other, number.other_write), unit, quantity)
        total, before = total + unit.inside(abs(number.value)), unit
        rest = number.rest[name.end() :].strip().removeprefix("and ").strip()
        if not rest:
            return sign * total
        try:
            number = split(rest)
        except NumberError:
            raise refusals.unknown_unit(text, tidy_unit(name[0] + number.rest[name.end() :]), family) from None
        if rest[0] in "+-":
            raise refusals.unreadable(text, "has a sign in the middle.", quantity)


def _unfinished(text: str, number: Number, before: Unit | None, quantity: str) -> UnitError:
    """A compound that ends in a number without a unit: "1 h 30"."""
    follower = _NEXT.get(before.text) if before else None
    if number.rest or not follower:
        return refusals.unknown_unit(text, number.rest or refusals.quoted(text), quantity)
    return UnitError(
        f"{refusals.quoted(text)} ends in a number without a unit.",
        f"Do you mean {refusals.quoted(text)} {follower}?",
        (Reading(f"{tidy(text)} {follower}", f"the last number counts {follower}"),),
        "unit-missing",
    )

"""Every unit that can be typed, with its exact factor to the unit inside the program.

value inside = typed number x factor + offset, in exact fractions. Definitions: NIST Special Publication 811 (2008),
appendix B, where a definition is exact; the others are written out from such definitions. A gallon, quart, pint or
fluid ounce is the US one unless "imp" (imperial) is written. A year is 365 days, as in that appendix; a month is a
twelfth of it. Water columns are "conventional": 1000 kg/m3 under standard gravity.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

INCH = Fraction("0.0254")  # m
FOOT = 12 * INCH
POUND = Fraction("0.45359237")  # kg, avoirdupois
GRAVITY = Fraction("9.80665")  # m/s2, standard acceleration of free fall
US_GALLON = 231 * INCH**3
IMPERIAL_GALLON = Fraction("0.00454609")  # m3
PSI = POUND * GRAVITY / INCH**2  # pound-force per square inch
WATER_COLUMN = 1000 * GRAVITY  # Pa per metre of water, conventional
DAY = Fraction(86400)  # s
YEAR = 365 * DAY
PRACTICAL = Fraction("35.16504") / 35  # g/kg per unit of practical salinity, reference sea water (TEOS-10)
PI = Fraction("3.14159265358979323846")  # more digits than a float holds

_milli, _micro, _kilo, _mega = Fraction(1, 1000), Fraction(1, 10**6), Fraction(1000), Fraction(10**6)

# One line per unit: all its spellings, then the factor. Case counts first; where no spelling fits exactly, capitals
# are forgiven as long as only one unit fits.
# fmt: off
_LENGTH = {
    "m|metre|metres|meter|meters": Fraction(1),
    "cm|centimetre|centimetres|centimeter|centimeters": Fraction(1, 100),
    "mm|millimetre|millimetres|millimeter|millimeters": _milli,
    "um|micron|microns|micrometre|micrometres|micrometer|micrometers": _micro,
    "dm|decimetre|decimetres|decimeter|decimeters": Fraction(1, 10),
    "km|kilometre|kilometres|kilometer|kilometers": _kilo,
    "in|inch|inches|\"|''": INCH,
    "ft|foot|feet|'": FOOT,
    "yd|yard|yards": 3 * FOOT,
}
_TABLES: dict[str, dict[str, Fraction]] = {
    "length": _LENGTH,
    "volume": {
        "L|l|litre|litres|liter|liters": _milli,
        "mL|ml|millilitre|millilitres|milliliter|milliliters|cc|ccm": _micro,
        "cL|cl|centilitre|centilitres|centiliter|centiliters": Fraction(1, 10**5),
        "dL|dl|decilitre|decilitres|deciliter|deciliters": Fraction(1, 10**4),
        "US gal|US gallon|US gallons|gal|gals|gallon|gallons|gal US|gal (US)|gallons (US)": US_GALLON,
        "US qt|US quart|US quarts|qt|quart|quarts": US_GALLON / 4,
        "US pt|US pint|US pints|pt|pint|pints": US_GALLON / 8,
        "US fl oz|fl oz|floz|fluid ounce|fluid ounces|US fluid ounce|US fluid ounces": US_GALLON / 128,
        "imp gal|imp gallon|imp gallons|imperial gallon|imperial gallons|UK gal|UK gallon|UK gallons|gal (imp)":
            IMPERIAL_GALLON,
        "imp qt|imperial quart|imperial quarts|UK quart|UK quarts": IMPERIAL_GALLON / 4,
        "imp pt|imperial pint|imperial pints|UK pint|UK pints": IMPERIAL_GALLON / 8,
        "imp fl oz|imperial fluid ounce|imperial fluid ounces|UK fl oz": IMPERIAL_GALLON / 160,
    },
    "mass": {
        "kg|kilogram|kilograms|kilo|kilos": Fraction(1),
        "g|gram|grams": _milli,
        "mg|milligram|milligrams": _micro,
        "ug|microgram|micrograms": Fraction(1, 10**9),
        "lb|lbs|pound|pounds": POUND,
        "oz av|avoirdupois ounce|avoirdupois ounces": POUND / 16,
    },
    "duration": {
        "s|sec|secs|second|seconds": Fraction(1),
        "ms|millisecond|milliseconds": _milli,
        "min|mins|minute|minutes": Fraction(60),
        "h|hr|hrs|hour|hours": Fraction(3600),
        "days|day|d": DAY,
        "weeks|week|wk|wks": 7 * DAY,
        "months|month": YEAR / 12,
        "years|year|yr|yrs": YEAR,
    },
    "pressure": {
        "bar|bars|barg|bar g": Fraction(10**5),
        "mbar|millibar|millibars": Fraction(100),
        "Pa|pascal|pascals": Fraction(1),
        "hPa|hectopascal|hectopascals": Fraction(100),
        "kPa|kilopascal|kilopascals": _kilo,
        "MPa|megapascal|megapascals": _mega,
        "mPa|millipascal|millipascals": _milli,
        "psi|psig|psi g|lbf/in2|lb/in2|lb/sq in|pounds/square inch": PSI,
        "kgf/cm2|kg/cm2|kp/cm2": GRAVITY * 10**4,
        "m of water|metres of water|meters of water|mH2O|m H2O": WATER_COLUMN,
        "cm of water|cmH2O|cm H2O": WATER_COLUMN / 100,
        "mm of water|mmH2O|mm H2O": WATER_COLUMN / 1000,
        "ft of water|feet of water|ftH2O|ft H2O": WATER_COLUMN * FOOT,
        "in of water|inch of water|inches of water|inH2O|in H2O": WATER_COLUMN * INCH,
    },
    "flow": {
        "lpm|LPM": _milli / 60,
        "lph|LPH": _milli / 3600,
        "gpm": US_GALLON / 60,
        "gph": US_GALLON / 3600,
        "gpd": US_GALLON / DAY,
    },
    "temperature": {
        "K|kelvin|kelvins": Fraction(1),
        "°C|C|degC|deg C|degree C|degrees C|Celsius|degrees Celsius|deg Celsius|centigrade": Fraction(1),
        "°F|F|degF|deg F|degree F|degrees F|Fahrenheit|degrees Fahrenheit|deg Fahrenheit": Fraction(5, 9),
    },
    "salinity": {
        "ppt|g/kg|‰": Fraction(1),
        "psu|practical salinity": PRACTICAL,
    },
    "dissolved solids": {"ppm": _milli},  # 1 ppm is read as 1 mg/L
    "fraction": {"%|percent|per cent|% RH|%RH|percent RH": Fraction(1, 100)},
    "slope": {"%|percent|per cent": Fraction(1, 100)},
    "conductance": {"S|siemens": Fraction(1), "mS": _milli, "uS": _micro, "dS": Fraction(1, 10)},
    "voltage": {"V|volt|volts": Fraction(1), "mV|millivolt|millivolts": _milli, "kV|kilovolt|kilovolts": _kilo},
    "current": {"A|amp|amps|ampere|amperes": Fraction(1), "mA|milliamp|milliamps": _milli, "uA": _micro},
    "power": {"W|watt|watts": Fraction(1), "mW|milliwatt|milliwatts": _milli, "kW|kilowatt|kilowatts": _kilo},
    "resistance": {
        "ohm|ohms": Fraction(1),
        "kohm|kohms|kiloohm|kiloohms|kilohm|kilohms": _kilo,
        "Mohm|Mohms|megaohm|megaohms|megohm|megohms": _mega,
        "mohm|mohms|milliohm|milliohms": _milli,
    },
    "angle": {"rad|radian|radians": Fraction(1), "°|deg|degree|degrees": PI / 180},
    "count": {"times|time": Fraction(1)},
}
# fmt: on
_OFFSETS = {"°C": Fraction("273.15"), "°F": Fraction("459.67") * 5 / 9}

# What one unit over another makes. "count" stands for a bare number: "0.02 / year".
_QUOTIENTS = {
    ("volume", "duration"): "flow",
    ("length", "duration"): "speed",
    ("mass", "volume"): "dissolved solids",
    ("count", "duration"): "rate",
    ("length", "length"): "slope",
    ("conductance", "length"): "conductivity",
}
# Quantities that share their units with another one.
FAMILIES = {"height": "length", "bore": "length", "humidity": "fraction"}


@dataclass(frozen=True)
class Unit:
    """One unit: its family (the quantity it measures), factor and offset to the unit inside."""

    text: str
    family: str
    factor: Fraction
    offset: Fraction = Fraction(0)

    def inside(self, number: Fraction) -> Fraction:
        """Typed number -> value inside."""
        return number * self.factor + self.offset


_BARE = Unit("", "count", Fraction(1))  # what stands above the stroke in "0.02 / year"


def _all_units() -> list[tuple[str, Unit]]:
    """Every spelling with its unit, squares and cubes of lengths included."""
    found = []
    for family, table in _TABLES.items():
        for spellings, factor in table.items():
            names = spellings.split("|")
            unit = Unit(names[0], family, factor, _OFFSETS.get(names[0], Fraction(0)))
            found += [(name, unit) for name in names]
    for power, family, words in ((2, "area", ("sq ", "sq", "square ")), (3, "volume", ("cu ", "cu", "cubic "))):
        for spellings, factor in _LENGTH.items():
            names = [name for name in spellings.split("|") if name.isalpha()]
            unit = Unit(f"{names[0]}{power}", family, factor**power)
            found += [(f"{name}{power}", unit) for name in names]
            found += [(f"{word}{name}", unit) for name in names for word in words]
    return found


_Exact = dict[str, dict[str, Unit]]
_Folded = dict[str, dict[str, list[Unit]]]


@cache
def _index() -> tuple[_Exact, _Folded]:
    """Units by spelling and family: as written, and with capitals forgiven. Made when first asked for."""
    exact: _Exact = {}
    folded: _Folded = {}
    for name, one in _all_units():
        exact.setdefault(name, {})[one.family] = one
        same = folded.setdefault(name.casefold(), {}).setdefault(one.family, [])
        if one not in same:
            same.append(one)
    return exact, folded


def spellings(family: str) -> list[str]:
    """All spellings of single units of a family, for "nearest known word"."""
    return [name for name, units in _index()[0].items() if family in units]


def find(text: str) -> tuple[dict[str, Unit], dict[str, list[Unit]]]:
    """Units that a tidied text can mean: by family with capitals as typed, and by family with capitals forgiven.

    Single names come first ("lbf/in2"); else "a/b" is made from two single names.
    """
    as_written, forgiven = _index()
    exact, folded = as_written.get(text, {}), forgiven.get(text.casefold(), {})
    if folded or "/" not in text:
        return exact, folded
    top, bottom = (part.strip() for part in text.rsplit("/", 1))
    tops = as_written.get(top, {}) if top else {"count": _BARE}
    forgiven_tops = forgiven.get(top.casefold(), {}) if top else {"count": [_BARE]}
    exact = {u.family: u for a in tops.values() for b in as_written.get(bottom, {}).values() if (u := _over(a, b))}
    folded = {}
    for a in (unit for units in forgiven_tops.values() for unit in units):
        for b in (unit for units in forgiven.get(bottom.casefold(), {}).values() for unit in units):
            if quotient := _over(a, b):
                folded.setdefault(quotient.family, []).append(quotient)
    return exact, folded


def _over(a: Unit, b: Unit) -> Unit | None:
    family = _QUOTIENTS.get((a.family, b.family))
    return Unit(f"{a.text}/{b.text}", family, a.factor / b.factor) if family else None


def unit(text: str, family: str) -> Unit:
    """The unit of that exact spelling; KeyError when there is none (a mistake of ours, not the user's)."""
    return find(text)[0][family]

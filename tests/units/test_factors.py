"""The factors: against their definitions in exact fractions, against printed tables, and against pint."""

import csv
from decimal import Decimal, localcontext
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from dewpond.units import factors, parse

# Definitions worked out here a second time, from whole numbers: NIST SP 811 (2008) appendix B and NIST Handbook 44
# appendix C (231 cubic inches to the gallon, 128 fluid ounces, 16 avoirdupois ounces to the pound).
INCH = Fraction(254, 10_000)
POUND = Fraction(45_359_237, 100_000_000)
GRAVITY = Fraction(980_665, 100_000)
DEFINED = {
    ("in", "length"): INCH,
    ("ft", "length"): 12 * INCH,
    ("yd", "length"): 36 * INCH,
    ("in2", "area"): INCH * INCH,
    ("ft3", "volume"): (12 * INCH) ** 3,
    ("L", "volume"): Fraction(1, 1000),
    ("cm3", "volume"): Fraction(1, 1_000_000),
    ("US gal", "volume"): 231 * INCH**3,
    ("US qt", "volume"): 231 * INCH**3 / 4,
    ("US fl oz", "volume"): 231 * INCH**3 / 128,
    ("imp gal", "volume"): Fraction(454_609, 100_000_000),
    ("imp fl oz", "volume"): Fraction(454_609, 100_000_000) / 160,
    ("lb", "mass"): POUND,
    ("oz av", "mass"): POUND / 16,
    ("psi", "pressure"): POUND * GRAVITY / (INCH * INCH),
    ("bar", "pressure"): Fraction(100_000),
    ("m of water", "pressure"): 1000 * GRAVITY,
    ("gpd", "flow"): 231 * INCH**3 / 86_400,
    ("gal/day", "flow"): 231 * INCH**3 / 86_400,
    ("gph", "flow"): 231 * INCH**3 / 3600,
    ("L/min", "flow"): Fraction(1, 60_000),
    ("mg/L", "dissolved solids"): Fraction(1, 1000),
    ("mS/cm", "conductivity"): Fraction(1, 10),
    ("days", "duration"): Fraction(24 * 60 * 60),
    ("years", "duration"): Fraction(365 * 24 * 60 * 60),
    ("psu", "salinity"): Fraction(3_516_504, 3_500_000),  # TEOS-10: 35.16504 g/kg at a practical salinity of 35
}


@pytest.mark.parametrize(("name", "quantity"), DEFINED)
def test_factor_is_exactly_its_definition_sp811(name: str, quantity: str) -> None:
    assert factors.unit(name, quantity).factor == DEFINED[name, quantity]
    assert parse(f"1 {name}", quantity) == float(DEFINED[name, quantity])


@pytest.mark.parametrize(
    ("typed", "kelvin"),
    [
        ("32 F", Fraction("273.15")),
        ("212 F", Fraction("373.15")),
        ("-40 F", Fraction("233.15")),
        ("-40 C", Fraction("233.15")),
        ("0 C", Fraction("273.15")),
        ("0 K", Fraction(0)),
    ],
)
def test_temperature_scales_meet_at_their_fixed_points_sp811(typed: str, kelvin: Fraction) -> None:
    assert parse(typed, "temperature") == float(kelvin)


def rows(repository: Path) -> list[dict[str, str]]:
    lines = (repository / "tests/published/nist_sp811_2008_appendix_b8.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def test_factors_round_to_the_printed_ones_nist_sp811_b8(repository: Path) -> None:
    table = rows(repository)
    assert len(table) == 25
    for row in table:
        printed, value = Decimal(row["printed"]), parse(row["typed"], row["quantity"])
        if row["exact"] == "yes":
            assert value == float(printed), row
        else:
            with localcontext(prec=7):  # seven digits, as the appendix prints
                assert +Decimal(value) == printed, row


# Strings that pint reads rightly; those it does not are below.
PINT_AGREES = [
    ("15 ft", "length", "meter"),
    ("60 psi", "pressure", "pascal"),
    ("4.1 bar", "pressure", "pascal"),
    ("0.5 mbar", "pressure", "pascal"),
    ("12 kPa", "pressure", "pascal"),
    ("75 gal/day", "flow", "meter**3/second"),
    ("3.5 l/min", "flow", "meter**3/second"),
    ("1.2 L/h", "flow", "meter**3/second"),
    ("175 mL/min", "flow", "meter**3/second"),
    ("0.3 m^3/h", "flow", "meter**3/second"),
    ("1/4 in", "bore", "meter"),
    ("3/8 inch", "bore", "meter"),
    ("320 mm", "height", "meter"),
    ("2.6 m", "length", "meter"),
    ("2 yd", "length", "meter"),
    ("75 gallon", "volume", "meter**3"),
    ("40 L", "volume", "meter**3"),
    ("250 mL", "volume", "meter**3"),
    ("3 quart", "volume", "meter**3"),
    ("3 pint", "volume", "meter**3"),
    ("1e-3 m^3", "volume", "meter**3"),
    ("0.72 m^2", "area", "meter**2"),
    ("5 ft^2", "area", "meter**2"),
    ("36 h", "duration", "second"),
    ("2 weeks", "duration", "second"),
    ("45 min", "duration", "second"),
    ("240 mg/L", "dissolved solids", "kilogram/meter**3"),
    ("53 mS/cm", "conductivity", "siemens/meter"),
    ("12 uS/cm", "conductivity", "siemens/meter"),
    ("0.5 ft/s", "speed", "meter/second"),
    ("12 km/h", "speed", "meter/second"),
    ("350 mA", "current", "ampere"),
    ("12 V", "voltage", "volt"),
    ("6 W", "power", "watt"),
    ("1.2 kW", "power", "watt"),
    ("10 kohm", "resistance", "ohm"),
    ("3 lb", "mass", "kilogram"),
    ("1.2 kg", "mass", "kilogram"),
    ("45 degree", "angle", "radian"),
]


@pytest.fixture(scope="module")
def registry() -> Any:
    import pint

    return pint.UnitRegistry()


@pytest.mark.parametrize(("typed", "quantity", "si"), PINT_AGREES)
def test_value_is_that_of_pint(registry: Any, typed: str, quantity: str, si: str) -> None:
    # Within the last bits of a float: pint multiplies rounded factors, we round once.
    assert parse(typed, quantity) == pytest.approx(registry(typed).to(si).magnitude, rel=1e-14)


@pytest.mark.parametrize(
    ("built", "typed"), [((25, "degC"), "25 degC"), ((77, "degF"), "77 degF"), ((-3.5, "degC"), "-3.5 C")]
)
def test_temperature_is_that_of_pint(registry: Any, built: tuple[float, str], typed: str) -> None:
    assert parse(typed, "temperature") == pytest.approx(registry.Quantity(*built).to("kelvin").magnitude, rel=1e-14)


def test_where_pint_is_wrong_we_are_right_by_hand(registry: Any) -> None:
    # What pint 0.25.3 makes of hobbyists' spellings, as measured for this project; right values from the definitions.
    assert registry("1 1/4 in").to("mm").magnitude == pytest.approx(6.35)
    assert parse("1 1/4 in", "bore") == float(Fraction(5, 4) * INCH)
    assert registry("2,5 bar").to("bar").magnitude == pytest.approx(25)
    assert parse("2,5 bar", "pressure") == 250_000
    assert registry("35 ppt").dimensionality == registry("1 L").dimensionality
    assert parse("35 ppt", "salinity") == 35
    assert parse('1/4"', "bore") == float(INCH / 4)
    assert parse("25 degC", "temperature") == 298.15
    assert parse("77 degF", "temperature") == 298.15
    assert parse("75 gpd", "flow") == float(75 * 231 * INCH**3 / 86_400)
    assert parse("0.5 gph", "flow") == float(Fraction(1, 2) * 231 * INCH**3 / 3600)
    assert parse("3 lpm", "flow") == 5e-5
    assert parse("4 US gal", "volume") == float(4 * 231 * INCH**3)


def test_no_spelling_stands_for_two_units_of_one_family() -> None:
    seen: dict[tuple[str, str], factors.Unit] = {}
    for name, unit in factors._all_units():
        assert seen.setdefault((name, unit.family), unit) == unit
    assert len(seen) > 300

"""What people type is read as they mean it, or refused with a question. Values are by hand from exact definitions."""

import math
from fractions import Fraction

import pytest

from dewpond.errors import UnitError
from dewpond.units import parse, parse_many, parse_pair
from dewpond.units.refusals import common_units
from dewpond.vocabulary import QUANTITIES

INCH = Fraction(254, 10_000)
GALLON = 231 * INCH**3  # US
PSI = Fraction(45_359_237, 10**8) * Fraction(980_665, 10**5) / INCH**2

READ = [
    ("15 ft", "length", 180 * INCH),
    ("1 1/4 in", "length", Fraction(5, 4) * INCH),
    ("1-1/4 in", "bore", Fraction(5, 4) * INCH),
    ("1¼ in", "bore", Fraction(5, 4) * INCH),
    ('1/4"', "bore", INCH / 4),
    ("1/4 in", "bore", INCH / 4),
    ("1/4 In.", "bore", INCH / 4),
    ("½ inch", "bore", INCH / 2),
    ("-1/4 in", "height", -INCH / 4),
    ("-1 1/4 in", "height", Fraction(-5, 4) * INCH),
    ("0.170 in", "bore", Fraction(17, 100) * INCH),
    ("0,125 in", "bore", INCH / 8),
    ("5' 6\"", "length", 66 * INCH),
    ("5 ft 6 1/2 in", "length", Fraction(133, 2) * INCH),
    ("5\u20326\u2033", "length", 66 * INCH),
    ("-5 ft 6 in", "height", -66 * INCH),
    ("2 m 5 cm", "length", Fraction(205, 100)),
    ("320 MM", "height", Fraction(32, 100)),
    ("5 micron", "length", Fraction(5, 10**6)),
    ("2,5 bar", "pressure", 250_000),
    ("-0.2 bar", "pressure", -20_000),
    ("60 psi", "pressure", 60 * PSI),
    ("60 PSI", "pressure", 60 * PSI),
    ("60 psig", "pressure", 60 * PSI),
    ("2 m of water", "pressure", Fraction("19613.3")),
    ("75 gpd", "flow", 75 * GALLON / 86_400),
    ("75 GPD", "flow", 75 * GALLON / 86_400),
    ("75 gal/day", "flow", 75 * GALLON / 86_400),
    ("75 gallons a day", "flow", 75 * GALLON / 86_400),
    ("75 US gal per day", "flow", 75 * GALLON / 86_400),
    ("75 imp gal/day", "flow", 75 * Fraction(454_609, 10**8) / 86_400),
    ("0.5 gph", "flow", GALLON / 7200),
    ("3 lpm", "flow", Fraction(1, 20_000)),
    ("3.5 l/min", "flow", Fraction(35, 600_000)),
    ("1.2 L/h", "flow", Fraction(12, 36 * 10**6)),
    ("175 mL / min", "flow", Fraction(175, 60 * 10**6)),
    ("4 litres per day", "flow", Fraction(4, 86_400_000)),
    ("75 US gal", "volume", 75 * GALLON),
    ("4 US gal", "volume", 4 * GALLON),
    ("4 U.S. gallons", "volume", 4 * GALLON),
    ("4 gallons", "volume", 4 * GALLON),
    ("4 imp gal", "volume", 4 * Fraction(454_609, 10**8)),
    ("12 US fl oz", "volume", 12 * GALLON / 128),
    ("1e-3 m3", "volume", Fraction(1, 1000)),
    ("1.2E-3 m³", "volume", Fraction(12, 10**4)),
    ("40 L", "volume", Fraction(4, 100)),
    ("40 l", "volume", Fraction(4, 100)),
    ("40 Liters", "volume", Fraction(4, 100)),
    ("1 000 L", "volume", 1),
    ("1\u202f000,5 L", "volume", Fraction("1.0005")),
    ("250\u00a0ml", "volume", Fraction(1, 4000)),
    ("5 cu ft", "volume", 5 * (12 * INCH) ** 3),
    ("0.72 m2", "area", Fraction(72, 100)),
    ("0.72 sq m", "area", Fraction(72, 100)),
    ("10 sq. ft.", "area", 10 * (12 * INCH) ** 2),
    ("77 F", "temperature", Fraction("298.15")),
    ("25 C", "temperature", Fraction("298.15")),
    ("25 degC", "temperature", Fraction("298.15")),
    ("25 °C", "temperature", Fraction("298.15")),
    ("25 degrees celsius", "temperature", Fraction("298.15")),
    ("25 ℃", "temperature", Fraction("298.15")),
    ("\u22125 C", "temperature", Fraction("268.15")),
    ("298.15 K", "temperature", Fraction("298.15")),
    ("35 ppt", "salinity", 35),
    ("35 PPT", "salinity", 35),
    ("35 g/kg", "salinity", 35),
    ("35 ‰", "salinity", 35),
    ("35 psu", "salinity", Fraction("35.16504")),
    ("240 ppm", "dissolved solids", Fraction(24, 100)),
    ("240 mg/L", "dissolved solids", Fraction(24, 100)),
    ("240 MG/L", "dissolved solids", Fraction(24, 100)),
    ("0.24 g/l", "dissolved solids", Fraction(24, 100)),
    ("40 %", "fraction", Fraction(4, 10)),
    ("40%", "fraction", Fraction(4, 10)),
    ("0.4", "fraction", Fraction(4, 10)),
    ("1/4", "fraction", Fraction(1, 4)),
    ("45 % RH", "humidity", Fraction(45, 100)),
    ("2 weeks", "duration", 1_209_600),
    ("36 h", "duration", 129_600),
    ("45 min", "duration", 2700),
    ("45 Min", "duration", 2700),
    ("1 h 30 min", "duration", 5400),
    ("1h30min", "duration", 5400),
    ("1 day and 2 h", "duration", 93_600),
    ("90 s", "duration", 90),
    ("5 S", "duration", 5),
    ("6 months", "duration", 182.5 * 86_400),
    ("12 uS/cm", "conductivity", Fraction(12, 10_000)),
    ("12 µS/cm at 25 C", "conductivity", Fraction(12, 10_000)),
    ("53 ms/cm", "conductivity", Fraction(53, 10)),
    ("12 V", "voltage", 12),
    ("350 mA", "current", Fraction(35, 100)),
    ("10 kΩ", "resistance", 10_000),
    ("2 Mohm", "resistance", 2_000_000),
    ("300 W", "power", 300),
    ("1.2 kW", "power", 1_200),
    ("0.02 per year", "rate", Fraction(2, 100) / (365 * 86_400)),
    ("0.02/year", "rate", Fraction(2, 100) / (365 * 86_400)),
    ("3 times a day", "rate", Fraction(3, 86_400)),
    ("0.5 m/s", "speed", Fraction(1, 2)),
    ("1 %", "slope", Fraction(1, 100)),
    ("1:80", "slope", Fraction(1, 80)),
    ("1 in 80", "slope", Fraction(1, 80)),
    ("1/4 in per ft", "slope", Fraction(1, 48)),
    ("180 deg", "angle", math.pi),
    ("45°", "angle", math.pi / 4),
    ("3", "count", 3),
    ("1.2 kg", "mass", Fraction(12, 10)),
    ("8 oz av", "mass", Fraction(45_359_237, 2 * 10**8)),
]


@pytest.mark.parametrize(("typed", "quantity", "value"), READ)
def test_typed_text_is_read_to_the_last_bit_from_definitions(typed: str, quantity: str, value: Fraction) -> None:
    assert parse(typed, quantity) == float(value)


# typed, quantity, code, words that the message holds, what the readings say to write
REFUSED = [
    ("1,000 L", "volume", "ambiguous", "Do you mean 1000 L (264 US gal) or 1 L (0.264 US gal)? Write 1000 L or 1.0 L.",
     ("1000 L", "1.0 L")),
    ("4,318 in", "bore", "ambiguous", "two ways", ("4318 in", "4.318 in")),
    ("1 h 1,000 s", "duration", "ambiguous", "two ways", ("1000 s", "1.0 s")),
    ("1,5", "length", "unit-missing", "has no unit; a length is wanted",
     ("1.5 m", "1.5 cm", "1.5 mm", "1.5 ft", "1.5 in")),
    ("1,000", "volume", "unit-missing", "has no unit", ("1000 L", "1.0 L", "1000 mL", "1.0 mL")),
    ("1 1/4", "bore", "unit-missing", "has no unit", ("1 1/4 m", "1 1/4 cm", "1 1/4 mm", "1 1/4 ft", "1 1/4 in")),
    ("15", "pressure", "unit-missing", "Do you mean 15 bar, 15 psi or 15 kPa?", ("15 bar", "15 psi", "15 kPa")),
    ("25", "temperature", "unit-missing", "Do you mean 25 C or 25 F?", ("25 C", "25 F")),
    ("35", "salinity", "unit-missing", "Do you mean 35 ppt or 35 psu?", ("35 ppt", "35 psu")),
    ("40", "fraction", "unit-missing", "Do you mean 40 %?", ("40 %",)),
    ("1", "fraction", "unit-missing", "Do you mean 1 % or 100 %?", ("1 %", "100 %")),
    ("1h30", "duration", "unit-missing", "ends in a number without a unit", ("1h30 min",)),
    ("5'6", "length", "unit-missing", "ends in a number without a unit", ("5'6 in",)),
    ("12 oz", "volume", "ambiguous", "355 mL (12 US fl oz), 341 mL (11.5 US fl oz) or 340 g (0.75 lb)?",
     ("12 US fl oz", "12 imp fl oz", "12 oz av")),
    ("12 oz", "mass", "ambiguous", "three ways", ("12 US fl oz", "12 imp fl oz", "12 oz av")),
    ("12 ML", "volume", "ambiguous", "ML is a megalitre, mL a millilitre.", ("12 mL", "12000 m3")),
    ("12 Ml/min", "flow", "ambiguous", "ML is a megalitre", ("12 mL/min", "12000 m3/min")),
    ("5 mpa", "pressure", "ambiguous", "two ways", ("5 MPa", "5 mPa")),
    ("10 mOhm", "resistance", "ambiguous", "two ways", ("10 Mohm", "10 mohm")),
    ("25 degrees", "temperature", "ambiguous", "Do you mean 25 °C (77 °F) or -3.89 °C (25 °F)?", ("25 C", "25 F")),
    ("1:30", "duration", "ambiguous", "Do you mean 90 min or 90 s?", ("1 h 30 min", "1 min 30 s")),
    ("5 m", "duration", "wrong-quantity",
     "5 m is a length; a time is wanted here, for instance 45 min. Do you mean 5 min? m means metres;", ("5 min",)),
    ("5 m", "pressure", "wrong-quantity", "Do you mean 5 m of water? That would be 0.49 bar", ("5 m of water",)),
    ("60 psi", "length", "wrong-quantity", "60 psi is a pressure; a length is wanted here, for instance 3 m.", ()),
    ("3 L", "flow", "wrong-quantity", "Say in what time", ()),
    ("35 g/L", "salinity", "wrong-quantity", "Salinity is counted per kilogram of sea water", ()),
    ("35 ppt", "dissolved solids", "wrong-quantity", "Write mg/L", ()),
    ("60 pounds", "pressure", "wrong-quantity", "60 pounds is a mass; a pressure is wanted here", ()),
    ("5 m2", "length", "wrong-quantity", "5 m2 is an area", ()),
    ("60 psia", "pressure", "absolute-pressure", "Take off the pressure of the air", ()),
    ("12 uS", "conductivity", "unit-unknown", "lacks the length in its unit", ()),
    ("12 uS/cm at 20 C", "conductivity", "wrong-reference-temperature", "Set the meter to correct to 25 C", ()),
    ("100 litters", "volume", "unit-unknown", "Nearest known: liters.", ()),
    ("3 L/m", "flow", "unit-unknown", "L/m is not a unit known here", ()),
    ("5 lb 3 oz", "mass", "unit-unknown", "not a unit known here", ()),
    ("6 in 5 ft", "length", "compound-order", "larger unit first", ()),
    ("1 h 30 h", "duration", "compound-order", "larger unit first", ()),
    ("40 - 80 psi", "pressure", "range", "one value is wanted", ()),
    ("3 to 4 bar", "pressure", "range", "one value is wanted", ()),
    ("40 cm x 30 cm", "length", "several-values", "a size with several sides", ()),
    ("3 x 10^-3 m3", "volume", "not-a-number", "Write it as 3e-3.", ()),
    ("1,000,000 mL", "volume", "not-a-number", "Write 1000000 mL.", ()),
    ("1.234,5 L", "volume", "not-a-number", "Write 1234.5 L.", ()),
    ("1,2,3 L", "volume", "not-a-number", "more than one separator", ()),
    ("1/0 in", "bore", "not-a-number", "divided by nothing", ()),
    ("1 1/0 in", "bore", "not-a-number", "divided by nothing", ()),
    ("nan", "length", "not-a-number", "does not begin with a number", ()),
    ("inf m", "length", "not-a-number", "does not begin with a number", ()),
    ("-inf", "volume", "not-a-number", "does not begin with a number", ()),
    ("1e400 m", "length", "not-a-number", "beyond anything that can be measured", ()),
    ("", "length", "not-a-number", "An empty text does not begin with a number. A length is wanted here", ()),
    ("about 5 L", "volume", "not-a-number", "does not begin with a number", ()),
    ("3.5", "count", "not-a-number", "not a whole number", ()),
    ("3 m" * 50, "length", "quantity-not-understood", "150 characters is too long", ()),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "quantity", "code", "words", "writes"), REFUSED)
def test_doubtful_text_is_refused_with_a_question(
    typed: str, quantity: str, code: str, words: str, writes: tuple[str, ...]
) -> None:
    with pytest.raises(UnitError) as refused:
        parse(typed, quantity)
    error = refused.value
    assert error.code == code
    assert words in str(error)
    assert tuple(reading.write for reading in error.readings) == writes
    assert all(reading.means for reading in error.readings)
    assert error.what.endswith(".")
    assert error.remedy.endswith((".", "?"))


@pytest.mark.parametrize(("typed", "quantity"), [(row[0], row[1]) for row in REFUSED if row[4] and row[0] != "12 oz"])
def test_what_a_refusal_tells_to_write_can_be_read(typed: str, quantity: str) -> None:
    with pytest.raises(UnitError) as refused:
        parse(typed, quantity)
    values = [parse(reading.write, quantity) for reading in refused.value.readings]
    assert len(set(values)) >= min(2, len(values))


@pytest.mark.parametrize("name", QUANTITIES)
def test_a_word_for_every_quantity_is_refused_with_units_that_can_be_read(name: str) -> None:
    assert all(math.isfinite(parse(f"1 {unit}".strip(), name)) for unit in common_units(name))
    with pytest.raises(UnitError):
        parse("plenty", name)


@pytest.mark.parametrize("name", QUANTITIES)
def test_example_of_each_quantity_can_be_read(name: str) -> None:
    assert math.isfinite(parse(QUANTITIES[name].example, name))


@pytest.mark.parametrize(
    ("typed", "metres"),
    [
        ("40 cm x 30 cm", (0.4, 0.3)),
        ("2.6 m x 2.1 m", (2.6, 2.1)),
        ("40x30 cm", (0.4, 0.3)),
        ("40 \u00d7 30 cm", (0.4, 0.3)),
        ("40 by 30 cm", (0.4, 0.3)),
        ("2,5 m x 80 cm", (2.5, 0.8)),
        ('12" x 1/2"', (0.3048, 0.0127)),
        ("6 X 4 mm", (0.006, 0.004)),
        ("5' 6\" x 3'", (1.6764, 0.9144)),
    ],
)
def test_size_with_two_sides_is_read_by_hand(typed: str, metres: tuple[float, float]) -> None:
    assert parse_pair(typed, "length") == metres


def test_size_with_three_sides_is_read_by_hand() -> None:
    assert parse_many("40 x 30 x 35 cm", "length") == (0.4, 0.3, 0.35)
    assert parse_many("40 cm x 30 cm x 35 cm", "length", 3) == (0.4, 0.3, 0.35)
    assert parse_many("3 m", "length") == (3.0,)


@pytest.mark.parametrize(
    ("typed", "code", "words"),
    [
        ("40 cm", "sides", "has 1 side; 2 are wanted. Write for instance 40 cm x 30 cm."),
        ("40 x 30 x 35 cm", "sides", "has 3 sides; 2 are wanted."),
        ("", "sides", "An empty text has 1 side"),
        ("40 cm x 30", "unit-missing", "Do you mean 40 cm x 30 cm?"),
        ("40 x 30", "unit-missing", "40 has no unit"),
        ("1,000 x 30 cm", "ambiguous", "two ways"),
        ("40 cm x 3 psi", "wrong-quantity", "3 psi is a pressure"),
        ("40 cm x wide", "sides", "has 1 side"),
        ("4 x 3 m" * 30, "quantity-not-understood", "too long"),
    ],
)
def test_doubtful_size_is_refused(typed: str, code: str, words: str) -> None:
    with pytest.raises(UnitError) as refused:
        parse_pair(typed, "length")
    assert refused.value.code == code
    assert words in str(refused.value)

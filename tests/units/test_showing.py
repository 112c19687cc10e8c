"""Numbers are shown in a unit that suits their size, never with more digits than asked, and can be read again."""

import math
import re
import subprocess
import sys
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dewpond.errors import UnitError
from dewpond.units import System, in_key_unit, parse, parse_many, show, shown_unit
from dewpond.vocabulary import QUANTITIES, Word

SHOWN = [
    (0.0049e-3, "volume", "metric", 2, "4.9 mL"),
    (0.031, "volume", "metric", 2, "31 L"),
    (0.9996e-3, "volume", "metric", 3, "1 L"),
    (0.9994e-3, "volume", "metric", 3, "999 mL"),
    (1.234, "volume", "metric", 2, "1200 L"),
    (250.0, "volume", "metric", 2, "250 m³"),
    (-0.0123, "volume", "metric", 2, "-12 L"),
    (0.0, "volume", "metric", 2, "0 mL"),
    (-0.0, "volume", "metric", 2, "0 mL"),
    (0.031, "volume", "US", 2, "8.2 US gal"),
    (0.0001, "volume", "US", 2, "3.4 US fl oz"),
    (2.04, "length", "metric", 2, "2 m"),
    (0.45, "height", "metric", 2, "45 cm"),
    (0.00635, "bore", "metric", 3, "6.35 mm"),
    (0.00635, "bore", "US", 2, "0.25 in"),
    (4.572, "length", "US", 2, "15 ft"),
    (0.25, "length", "US", 2, "9.8 in"),
    (0.06, "area", "metric", 2, "600 cm²"),
    (0.72, "area", "metric", 2, "0.72 m²"),
    (0.72, "area", "US", 2, "7.8 ft²"),
    (413_685.4, "pressure", "metric", 2, "4.1 bar"),
    (413_685.4, "pressure", "US", 2, "60 psi"),
    (490.0, "pressure", "metric", 2, "4.9 mbar"),
    (298.15, "temperature", "metric", 2, "25 °C"),
    (298.15, "temperature", "US", 2, "77 °F"),
    (268.15, "temperature", "metric", 2, "-5 °C"),
    (298.649, "temperature", "metric", 3, "25.5 °C"),
    (5e-5, "flow", "metric", 2, "3 L/min"),
    (1.2e-3 / 3600, "flow", "metric", 2, "1.2 L/h"),
    (4e-3 / 86_400, "flow", "metric", 2, "4 L/day"),
    (0.03e-3 / 86_400, "flow", "metric", 2, "30 mL/day"),
    (3.2859477e-6, "flow", "US", 2, "75 US gal/day"),
    (5e-5, "flow", "US", 2, "0.79 US gal/min"),
    (45.0, "duration", "metric", 2, "45 s"),
    (119.99, "duration", "metric", 3, "2 min"),
    (2520.0, "duration", "metric", 2, "42 min"),
    (21.6 * 3600, "duration", "metric", 3, "21.6 h"),
    (14 * 86_400.0, "duration", "metric", 2, "14 days"),
    (35.16504, "salinity", "metric", 4, "35.2 ppt"),
    (0.24, "dissolved solids", "metric", 2, "240 ppm"),
    (0.4, "fraction", "metric", 2, "40 %"),
    (0.00012, "fraction", "metric", 2, "0.012 %"),
    (0.45, "humidity", "US", 2, "45 %"),
    (0.0012, "conductivity", "metric", 2, "12 µS/cm"),
    (5.3, "conductivity", "metric", 2, "53 mS/cm"),
    (12.0, "voltage", "metric", 2, "12 V"),
    (0.35, "current", "metric", 2, "350 mA"),
    (6.5, "power", "metric", 2, "6.5 W"),
    (10_000.0, "resistance", "metric", 2, "10 kohm"),
    (300.0, "power", "metric", 2, "300 W"),
    (1_250.0, "power", "US", 2, "1.2 kW"),
    (0.02 / 31_536_000, "rate", "metric", 2, "0.02 per year"),
    (3 / 86_400, "rate", "metric", 2, "3 per day"),
    (0.0125, "slope", "metric", 2, "1.2 %"),
    (math.pi / 4, "angle", "metric", 2, "45°"),
    (0.5, "speed", "metric", 2, "0.5 m/s"),
    (1.2, "mass", "metric", 2, "1.2 kg"),
    (0.34, "mass", "metric", 2, "340 g"),
    (137.0, "count", "metric", 2, "137"),
    (273.15 + 25.3349, "temperature", "metric", 5, "25.33 °C"),  # not 25.335 first, then 25.34
    (1e12, "volume", "metric", 2, "1e12 m³"),
    (1.23e-15, "volume", "metric", 2, "1.2e-9 mL"),
]


@pytest.mark.parametrize(("value", "quantity", "system", "digits", "text"), SHOWN)
def test_value_is_shown_as_a_person_would_write_it_by_hand(
    value: float, quantity: str, system: System, digits: int, text: str
) -> None:
    assert show(value, quantity, system, digits) == text


@pytest.mark.parametrize("name", QUANTITIES)
def test_what_is_no_number_is_shown_in_words(name: str) -> None:
    assert show(math.nan, name) == Word.UNKNOWN == "unknown"
    assert show(math.inf, name) == "endless"
    assert show(-math.inf, name) == "minus endless"


def last_place(number: str, digits: int, offset: float, factor: float) -> float:
    """Half a unit in the last shown place, in the unit inside; room for the float of the offset besides."""
    magnitude = math.floor(math.log10(abs(float(number)))) if float(number) else 0
    return 0.5 * 10.0 ** (magnitude - digits + 1) * factor * (1 + 1e-9) + 1e-12 * abs(offset)


RANGE = {"temperature": (250.0, 400.0), "salinity": (0.0, 120.0), "count": (0.0, 1e9)}


@pytest.mark.slow
@pytest.mark.parametrize("system", ["metric", "US"])
@pytest.mark.parametrize("name", QUANTITIES)
@settings(max_examples=50)
@given(data=st.data())
def test_what_is_shown_can_be_read_again_within_the_digits_shown(
    name: str, system: System, data: st.DataObject
) -> None:
    if name in RANGE:
        value = data.draw(st.floats(*RANGE[name]))
    else:
        # Sizes from far below to far above anything in a house, either sign.
        value = data.draw(st.floats(-12, 9).map(lambda power: 10.0**power)) * data.draw(st.sampled_from([1, -1, 0]))
    digits = data.draw(st.integers(1, 12))
    text = show(value, name, system, digits)
    number = re.match(r"-?[0-9.]+(?:e-?[0-9]+)?", text)
    assert number, text
    assert text != "-0"
    if name == "count":
        assert parse(text, name) == round(value)
        return
    shown_digits = number[0].lstrip("-").split("e")[0].replace(".", "").lstrip("0")
    assert len(shown_digits.rstrip("0")) <= digits
    unit = shown_unit(name, value, system, digits)
    allowed = last_place(number[0], digits, unit.offset, unit.factor)
    decimals = {"salinity": 1, "temperature": 2}.get(name)
    if decimals is not None:
        allowed = max(allowed, 0.5 * 10.0**-decimals * unit.factor * (1 + 1e-9) + 1e-12 * abs(unit.offset))
    assert abs(parse(text, name) - value) <= allowed


@pytest.mark.parametrize("name", [name for name in QUANTITIES if name != "count"])
def test_unit_of_an_axis_is_that_of_its_largest_value(name: str) -> None:
    for system in ("metric", "US"):
        for size in (1e-9, 1e-3, 1.0, 1e3):
            unit = shown_unit(name, size, system)
            assert show(size, name, system).endswith(unit.text)
            assert unit.of(unit.offset) == 0
            assert unit.of(unit.offset + 2 * unit.factor) == pytest.approx(2)


KEYS = [
    (5e-5, "flow", 3.0),
    (0.031, "volume", 31.0),
    (250_000.0, "pressure", 2.5),
    (298.15, "temperature", 25.0),
    (0.45, "height", 450.0),
    (3.5, "length", 3.5),
    (90.0, "duration", 90.0),
    (35.0, "salinity", 35.0),
    (0.24, "dissolved solids", 240.0),
    (0.4, "fraction", 0.4),
    (3.0, "count", 3.0),
    (0.0012, "conductivity", 12.0),
    (0.02 / 31_536_000, "rate", 0.02),
    (math.pi / 4, "angle", 45.0),
]


@pytest.mark.parametrize(("value", "quantity", "number"), KEYS)
def test_number_for_a_json_key_is_in_the_unit_of_its_suffix_by_hand(value: float, quantity: str, number: float) -> None:
    assert in_key_unit(value, quantity) == pytest.approx(number, rel=1e-12)


@pytest.mark.parametrize("name", QUANTITIES)
def test_every_quantity_has_a_key_unit(name: str) -> None:
    assert in_key_unit(300.0, name) != in_key_unit(301.0, name)


# Alphabet of the fuzz: everything the grammar knows, so that the draws come near to being right.
PIECES = st.sampled_from(
    [
        *("1", "2,5", "1,000", "1/4", "1 1/4", "-", "+", ".", ",", "e3", "E-5", " ", "/", "x", "by", "at", "in", "ft"),
        *("'", '"', "psi", "bar", "gal", "US ", "imp ", "L", "ML", "m", "M", "mS", "/cm", "per ", "day", "h", "min"),
        *("C", "F", "°", "sg", "25/25", "25/4", "60/60", "water", "ppt", "psu", "%", "oz", "½", "µ", "\u00d7", ":"),
        *("to ", "(", ")", "\n", "٣", "²", "and ", "a "),
    ]
)
TEXTS = st.one_of(st.text(max_size=30), st.lists(PIECES, max_size=9).map("".join))


def outcome(read: Callable[[str, str], float | tuple[float, ...]], text: str, name: str) -> tuple[float, ...] | str:
    """The values read, or the words of the refusal; every other exception fails the test."""
    try:
        values = read(text, name)
    except UnitError as refusal:
        return str(refusal)
    return values if isinstance(values, tuple) else (values,)


@pytest.mark.slow
@settings(max_examples=400)
@given(text=TEXTS, name=st.sampled_from([*QUANTITIES]))
def test_any_text_is_read_or_refused_in_words(text: str, name: str) -> None:
    for read in (parse, parse_many):
        result = outcome(read, text, name)
        if isinstance(result, str):
            assert result.endswith((".", "?"))
            assert result.isprintable()
        else:
            assert all(math.isfinite(value) for value in result)


def test_units_load_nothing_heavy() -> None:
    code = (
        "import sys, dewpond.units as u; u.parse('1 1/4 in', 'bore'); u.show(1.0, 'volume');"
        "tops = {m.partition('.')[0] for m in sys.modules};"
        "print(sorted(tops & {'numpy', 'gsw', 'scipy', 'pint', 'pydantic', 'rich'}))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"

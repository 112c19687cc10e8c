"""What salinity instruments show -> grams of salt per kilogram of sea water.

Salinity inside the program is absolute salinity [g/kg]. "35 ppt" and "35 g/kg" are taken as written. A meter or
refractometer set on standard sea water shows practical salinity (psu), a number smaller by 35/35.16504, that is by
0.16 at 35: less than hobby instruments resolve, but not lost here. The sea salt of an aquarium is taken to be like
that of the ocean.

A specific gravity T1/T2 is the density of the water at T1 over the density of pure water at T2. A float that is
marked T1/T2 but swims in water of another temperature shows density at that temperature over the same pure water,
times 1 + GLASS x (temperature - T1), since the float itself grows; it is told apart by naming the water:
"1.025 sg at 60/60 F in 25 C water". A conductivity is taken at the temperature written behind it, whether the water
has it or the meter corrects to it.
Densities: TEOS-10 (IOC, SCOR and IAPSO 2010); conductivity: practical salinity scale PSS-78; both by the gsw library,
imported late because it takes longer to load than everything else here to run.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from dewpond.errors import Reading, UnitError
from dewpond.units import factors, refusals
from dewpond.units.numerals import Number, tidy, tidy_unit
from dewpond.units.reading import choose, inside, number_of, read

GLASS = 25e-6  # 1/K, volume expansion of soda glass; from memory
HIGHEST_BY_DENSITY = 120.0  # g/kg, upper end of the TEOS-10 salinity range; from memory
HIGHEST_BY_CONDUCTIVITY = 42.0  # practical salinity, upper end of PSS-78
_ZERO_C = 273.15  # K
_COLDEST, _WARMEST = 271.15, 308.15  # K, the range of PSS-78; sea water freezes below
_METER_REFERENCE = 298.15  # K, to which meters correct
_NOT_SEA = "no sea water"

_TEMPERATURE = r"[0-9]+(?:[.,][0-9]+)? ?(?:°|deg ?)?[CFcf]"
_GRAVITY = re.compile(r"(?:s\.?g\b\.?|specific gravity\b) ?(?:at |@ ?)?(?P<reference>.*)", re.IGNORECASE)
_REFERENCE = re.compile(
    r"(?P<sample>[0-9]+(?:[.,][0-9]+)?)(?P<first> ?(?:°|deg ?)?[CFcf])? ?/ ?"
    r"(?P<pure>[0-9]+(?:[.,][0-9]+)?)(?P<unit> ?(?:°|deg ?)?[CFcf])?"
    rf"(?:,? ?(?:read )?(?:in |at )?(?:water )?(?:at |of )?(?P<water>{_TEMPERATURE})(?: water)?)?"
)
_AT = re.compile(r"(?P<unit>.+?) ?(?:@| at ) ?(?P<temperature>.+)")


def from_gravity(gravity: float, sample: float, pure: float, water: float) -> float:
    """Specific gravity -> absolute salinity [g/kg].

    gravity  reading of the instrument [1]
    sample   temperature of sea water on the instrument's scale, T1 [K]
    pure     temperature of pure water on the scale, T2 [K]
    water    temperature of the water that was read; T1 if it was brought to that [K]
    Raises ValueError outside 271.15 to 308.15 K, or when no salinity from 0 to 120 g/kg has this density.
    Source: law of floating bodies; density by TEOS-10.
    """
    import gsw

    if not all(_COLDEST <= t <= _WARMEST for t in (sample, pure, water)):
        raise ValueError("temperature outside the scale of sea water")
    aim = gravity / (1.0 + GLASS * (water - sample)) * float(gsw.rho_t_exact(0.0, pure - _ZERO_C, 0.0))

    def density(salinity: float) -> float:
        return float(gsw.rho_t_exact(salinity, water - _ZERO_C, 0.0))

    low, high = 0.0, HIGHEST_BY_DENSITY
    if not density(low) <= aim <= density(high):
        raise ValueError("density outside the scale of sea water")
    while high - low > 1e-9:
        middle = (low + high) / 2
        low, high = (middle, high) if density(middle) < aim else (low, middle)
    return (low + high) / 2


def from_conductivity(conductivity: float, temperature: float) -> float:
    """Conductivity -> absolute salinity [g/kg], at the pressure of the air.

    conductivity  measured at, or corrected by the meter to, the temperature [S/m]
    temperature   271.15 to 308.15 [K]
    Raises ValueError outside that, or when the practical salinity lies outside 0 to 42 (below 2 by the extension of
    the scale that gsw carries).
    Source: PSS-78.
    """
    import gsw

    if not _COLDEST <= temperature <= _WARMEST:
        raise ValueError("temperature outside the scale of sea water")
    practical = float(gsw.SP_from_C(10 * conductivity, temperature - _ZERO_C, 0.0))  # gsw takes mS/cm
    if not 0.0 <= practical <= HIGHEST_BY_CONDUCTIVITY:  # gsw gives not-a-number outside its own scale
        raise ValueError("conductivity outside the scale of sea water")
    return practical * float(factors.PRACTICAL)


def salinity(text: str) -> float:
    """Typed salinity -> absolute salinity [g/kg]. Raises UnitError, and nothing else."""
    number = number_of(text, "salinity")
    if gravity := _GRAVITY.fullmatch(number.rest):
        return _gravity(text, _as_gravity(number), gravity["reference"].strip())
    if not number.rest and 0.95 < _as_gravity(number).value < 1.2:
        return _gravity(text, _as_gravity(number), "")
    spelled, temperature = _at(number)
    exact, folded = factors.find(spelled)
    if "conductivity" not in (exact or folded):
        return read(text, "salinity")
    value = inside(text, number, choose(text, number, spelled, "conductivity"), "conductivity")
    if temperature:
        kelvin = read(temperature, "temperature")
        return _within(text, lambda: from_conductivity(value, kelvin))
    note = "A meter that corrects for temperature says to which one, mostly 25 C."
    raise refusals.ambiguous(text, [_example(f"{tidy(text)} at {t} C") for t in (25, 20)], "temperature-missing", note)


def conductivity(text: str) -> float:
    """Typed conductivity -> [S/m], corrected to 25 C. Raises UnitError, and nothing else."""
    number = number_of(text, "conductivity")
    spelled, temperature = _at(number)
    if temperature and abs(read(temperature, "temperature") - _METER_REFERENCE) > 0.01:
        raise UnitError(
            f"{refusals.quoted(text)} is not corrected to 25 C.",
            "Set the meter to correct to 25 C, or write what it shows in water of 25 C.",
            (),
            "wrong-reference-temperature",
        )
    if not spelled:
        return read(text, "conductivity")
    return inside(text, number, choose(text, number, spelled, "conductivity"), "conductivity")


def _at(number: Number) -> tuple[str, str]:
    """Spelling of the unit and text of the temperature in "mS/cm at 25 C"."""
    at = _AT.fullmatch(number.rest)
    return (tidy_unit(at["unit"]), at["temperature"]) if at else (tidy_unit(number.rest), "")


def _as_gravity(number: Number) -> Number:
    """ "1,025" is no thousand where a specific gravity is meant."""
    if number.other is None:
        return number
    return Number(number.other, number.other_write, number.rest)


def _gravity(text: str, number: Number, reference: str) -> float:
    scale = _REFERENCE.fullmatch(reference)
    if scale and scale["unit"]:
        unit = scale["unit"]
        sample = read(scale["sample"] + (scale["first"] or unit), "temperature")
        pure = read(scale["pure"] + unit, "temperature")
        water = read(scale["water"], "temperature") if scale["water"] else sample
        return _within(text, lambda: from_gravity(float(number.value), sample, pure, water))
    head = f"{number.write} sg at"
    if scale:
        scales = [f"{head} {scale['sample']}/{scale['pure']} {unit}" for unit in ("C", "F")]
    elif not reference:
        scales = [f"{head} 25/25 C", f"{head} 25/4 C", f"{head} 60/60 F in 25 C water"]
    elif re.fullmatch(_TEMPERATURE, reference):
        degrees = reference.rstrip("CFcf°deg ")
        unit = reference[-1].upper()
        first = degrees if unit == "C" else f"{degrees} {unit}"
        scales = [f"{head} {degrees}/{degrees} {unit}", f"{head} {first}/4 C"]
        scales.append(f"{head} 60/60 F in {degrees} {unit} water")
    else:
        raise UnitError(
            f"{refusals.quoted(text)}: the temperatures of this specific gravity are not understood.",
            "Write them as printed on the instrument, for instance 1.025 sg at 25/25 C.",
            (),
            "temperature-missing",
        )
    readings = [_example(scale) for scale in scales]
    if all(reading.means == _NOT_SEA for reading in readings):
        raise _out_of_range(text)
    note = "The two temperatures are printed on the instrument."
    raise refusals.ambiguous(text, readings, "temperature-missing", note)


def _example(write: str) -> Reading:
    """A reading with its salinity, where there is one."""
    try:
        return Reading(write, refusals.means(salinity(write), "salinity"))
    except UnitError:
        return Reading(write, _NOT_SEA)


def _within(text: str, law: Callable[[], float]) -> float:
    """The result of a law, or words for "outside the range on which it holds"."""
    try:
        return law()
    except ValueError:
        raise _out_of_range(text) from None


def _out_of_range(text: str) -> UnitError:
    return UnitError(
        f"{refusals.quoted(text)} does not belong to sea water at the temperature of a tank.",
        "Check the reading and its temperatures, or write the salinity itself, for instance 35 ppt.",
        (),
        "out-of-range",
    )

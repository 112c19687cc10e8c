"""Every quantity once (name, SI unit, symbol, key suffix), and the words for states and outcomes.

Inside the program a bare number is in the unit named here. All are SI or, for salinity, grams of salt per kilogram
of sea water. Temperatures cross every border between modules in kelvin, never in degrees Celsius; a formula that
wants degrees Celsius subtracts 273.15 inside itself. Pressures are gauge pressures: zero is the air of the room.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


@dataclass(frozen=True)
class Quantity:
    """One kind of number.

    name        what designs, messages and declarations call it
    phrase      the name with its article, for sentences: "a length"
    si          unit of the number inside the program; "1" for a plain number
    symbol      letter used in formulas and on axes
    key_suffix  ending of JSON keys, which also says the unit there: "l_per_min"
    example     something a keeper could type
    help        one sentence for help texts and the schema
    """

    name: str
    phrase: str
    si: str
    symbol: str
    key_suffix: str
    example: str
    help: str


# fmt: off
_ALL = (
    Quantity("length", "a length", "m", "L", "m", "3 m", "A run of tube, a side or a thickness."),
    Quantity(
        "height", "a height", "m", "z", "mm", "45 cm",
        "Height above what the key names; heights in a room count from its floor, marks in a vessel from its bottom.",
    ),
    Quantity(
        "bore", "a bore", "m", "D", "mm", "4.3 mm",
        "Inside diameter of a tube or opening. The size a tube is sold under is its outside.",
    ),
    Quantity("area", "an area", "m2", "A", "m2", "0.72 m2", "A surface: open water, a floor, a cross-section."),
    Quantity("volume", "a volume", "m3", "V", "litres", "40 L", "An amount of water or room for it."),
    Quantity(
        "pressure", "a pressure", "Pa", "p", "bar", "4 bar",
        "Gauge pressure, above the air of the room, as an ordinary gauge shows it; also a pressure difference.",
    ),
    Quantity("flow", "a flow", "m3/s", "Q", "l_per_min", "3 L/min", "Volume per time."),
    Quantity("temperature", "a temperature", "K", "T", "c", "25 C", "Kelvin inside, degrees Celsius in JSON keys."),
    Quantity("duration", "a time", "s", "t", "s", "45 min", "A length of time, or the time since the start of a run."),
    Quantity(
        "salinity", "a salinity", "g/kg", "S", "ppt", "35 ppt",
        "Grams of salt in a kilogram of sea water (absolute salinity); ppt is the same. "
        "Practical salinity (psu) is smaller by 0.5 %: 35 psu are 35.2 ppt.",
    ),
    Quantity(
        "dissolved solids", "an amount of dissolved solids", "kg/m3", "C", "ppm", "240 ppm",
        "Dissolved matter in fresh water; 1 ppm is read as 1 mg/L.",
    ),
    Quantity("fraction", "a fraction", "1", "x", "fraction", "40 %", "A share of a whole, from 0 to 1."),
    Quantity(
        "conductivity", "a conductivity", "S/m", "kappa", "us_per_cm", "12 uS/cm",
        "Electrical conductivity of water as the meter shows it, corrected to 25 C.",
    ),
    Quantity("voltage", "a voltage", "V", "U", "v", "12 V", "Electrical potential difference."),
    Quantity("current", "an electrical current", "A", "I", "a", "350 mA", "Electrical current."),
    Quantity("power", "a power", "W", "P", "w", "6 W", "Electrical power, or heat per time."),
    Quantity("resistance", "an electrical resistance", "ohm", "R", "ohm", "10 kohm", "Electrical resistance."),
    Quantity("humidity", "a relative humidity", "1", "RH", "fraction", "45 %", "Relative humidity of the room air."),
    Quantity("count", "a whole number", "1", "n", "count", "3", "How many; never rounded when shown."),
    Quantity("rate", "a rate", "1/s", "lambda", "per_year", "0.02 per year", "How often something happens."),
    Quantity("speed", "a speed", "m/s", "v", "m_per_s", "0.5 m/s", "Distance per time."),
    Quantity("slope", "a slope", "1", "s", "m_per_m", "1 %", "Fall divided by horizontal distance."),
    Quantity("angle", "an angle", "rad", "alpha", "deg", "45 deg", "A direction or a turn."),
    Quantity("mass", "a mass", "kg", "m", "kg", "1.2 kg", "How much something weighs."),
)
# fmt: on

QUANTITIES: dict[str, Quantity] = {q.name: q for q in _ALL}


class Word(StrEnum):
    """The words for states and outcomes, one for each meaning, in designs and reports alike."""

    # What a place or a probe is.
    WET = "wet"
    DRY = "dry"
    # Levels in a vessel.
    LOW = "low"
    NORMAL = "normal"
    HIGH = "high"
    # Valves and other passages for water.
    SHUT = "shut"
    OPEN = "open"
    # Contacts, which pass current when closed. A valve that passes nothing is shut.
    CLOSED = "closed"
    # Pumps.
    RUNNING = "running"
    STOPPED = "stopped"
    # What an actuator does without power, signal or network; what a controller does when it hangs.
    STAYS_AS_IT_IS = "stays as it is"
    KEEPS_LAST_ORDER = "keeps last order"
    # What becomes of trips and counts over a restart.
    KEPT = "kept"
    CLEARED = "cleared"
    # A legal answer wherever a keeper cannot know; both ways are tried.
    UNKNOWN = "unknown"
    # Where a person is.
    AT_HOME = "at home"
    ASLEEP = "asleep"
    OUT = "out"
    TRAVELLING = "travelling"
    # Marks on a result: near a limit that decides it; not resolved by the computation.
    BORDERLINE = "borderline"
    DOUBTFUL = "doubtful"
    # What replaying a counterexample gave.
    CONFIRMED = "confirmed"
    NOT_CONFIRMED = "not confirmed"
    # What has not happened by the end of a run.
    NEVER = "never"
    # An amount or a time without limit.
    ENDLESS = "endless"


PROBE_STATES = (Word.WET, Word.DRY)
LEVEL_STATES = (Word.LOW, Word.NORMAL, Word.HIGH)
VALVE_STATES = (Word.SHUT, Word.OPEN)
CONTACT_STATES = (Word.CLOSED, Word.OPEN)
PUMP_STATES = (Word.RUNNING, Word.STOPPED)
LOSS_OF_POWER = (Word.SHUT, Word.OPEN, Word.RUNNING, Word.STOPPED, Word.STAYS_AS_IT_IS, Word.UNKNOWN)
MEMORY_STATES = (Word.KEPT, Word.CLEARED, Word.UNKNOWN)
WHEREABOUTS = (Word.AT_HOME, Word.ASLEEP, Word.OUT, Word.TRAVELLING)
MARKS = (Word.BORDERLINE, Word.DOUBTFUL)

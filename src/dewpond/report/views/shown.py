"""Numbers and times in the design's own units and words."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from dewpond import units
from dewpond.plant.plant import STARTS
from dewpond.units import ShownUnit, System

DAY = 86400.0
MINUTE = 60.0
NOTHING = "—"
RESTLESS = 30.0  # what comes more often than once in so long is not counted out to anybody [s]
TENTH = 0.1  # of a unit
THOUSANDS = 2000.0
THOUSANDTH = 0.001
FEW = 20  # so often may be said, however soon it is over
TO_AND_FRO = "goes to and fro without rest"

KEEPS: Final = "\u00a0"  # a space at which no line ends
FIGURE: Final = re.compile(
    r"(\d) (?=(?:%|°|(?:[mck]?m[²³]?|m?L|m?s|min|h|m?bar|pp[mt]|psi|gal|ft|[mk]?V|[mk]?A|k?Wh?|[mk]?g|F|C)(?!\w)))"
)


def plain(value: float) -> str:
    """Three digits, and no powers of ten."""
    return f"{Decimal(f'{value:.3g}'):f}"


def about(value: float) -> str:
    """Two digits, and no powers of ten."""
    return f"{Decimal(f'{value:.2g}'):f}"


@dataclass(frozen=True)
class Shown:
    """Shows values in one system of units ("metric" or "US"), litres with two significant digits."""

    system: System

    def litres(self, volume: float, beside: float = 0.0, digits: int = 2) -> str:
        """A volume of water [m3]; less than a spoonful is nothing. ``beside``: a larger one that it is read together
        with, whose unit it takes unless it would become less than a tenth of it."""
        if volume < 1e-6:
            return "nothing"
        if not math.isfinite(volume):
            return units.show(volume, "volume", self.system)
        unit = self.unit("volume", max(volume, beside))
        if unit.of(volume) < TENTH:
            return units.show(volume, "volume", self.system, digits)
        number = f"{float(f'{unit.of(volume):.{digits - 1}e}'):.6f}".rstrip("0").rstrip(".")
        return f"{number} {unit.text}"

    def height(self, height: float) -> str:
        """A mark in a vessel [m], to three digits: it is set to the millimetre."""
        return units.show(height, "height", self.system, 3)

    def flow(self, flow: float, beside: float = 0.0) -> str:
        """[m3/s], two digits. ``beside``: one that it is read together with, whose unit it takes unless it would become
        thousands of it, or less than a thousandth."""
        if not math.isfinite(flow):
            return units.show(flow, "flow", self.system)
        unit = self.unit("flow", beside if beside > 0.0 else flow)
        if not THOUSANDTH <= abs(unit.of(flow)) < THOUSANDS:
            return units.show(flow, "flow", self.system)
        number = f"{float(f'{unit.of(flow):.1e}'):.6f}".rstrip("0").rstrip(".")
        return f"{number} {unit.text}"

    def pressure(self, pressure: float) -> str:
        """Gauge pressure [Pa]; less than a tenth of a millimetre of water is none."""
        return units.show(pressure, "pressure", self.system) if abs(pressure) >= 1.0 else "none"

    def amount(self, value: float, quantity: str, digits: int = 2) -> str:
        """Any other quantity [SI], two digits."""
        return units.show(value, quantity, self.system, digits)

    def temperature(self, temperature: float) -> str:
        return units.show(temperature, "temperature", self.system, 3)

    def salinity(self, salinity: float) -> str:
        """[g/kg], one decimal."""
        return units.show(salinity, "salinity", self.system, 3)

    def dissolved(self, concentration: float) -> str:
        """Dissolved matter [kg/m3], two digits."""
        return units.show(concentration, "dissolved solids", self.system)

    def count_of(self, number: float) -> str:
        """A number that is reckoned, not counted: two digits."""
        return f"{float(f'{number:.1e}'):.0f}"

    def duration(self, seconds: float | None) -> str:
        """A length of time [s]; None: it does not happen."""
        return NOTHING if seconds is None else units.show(seconds, "duration", self.system)

    def unit(self, quantity: str, largest: float) -> ShownUnit:
        """One unit for a whole axis or column; one that is unknown or endless has that of nothing."""
        return units.shown_unit(quantity, largest if math.isfinite(largest) else 0.0, self.system)


def shown_in(system: str) -> Shown:
    """For the system that a design is "shown in"."""
    return Shown("US" if system == "US" else "metric")


def clock(seconds: float, who: str) -> str:
    """Time of day of a moment of a run [s], with its day: "day 2, 07:05". Who is where decides when the run starts."""
    total = STARTS[who] + seconds
    day = int(total // DAY)
    minute = int((total - day * DAY) // MINUTE)
    return f"day {day + 1}, {minute // 60:02d}:{minute % 60:02d}"


def joined(words: Sequence[str], last: str = "and") -> str:
    """ "a, b and c"; empty for none."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def sentence(text: str) -> str:
    """A text with a capital at its head and a full stop at its end."""
    text = text.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?" else ".")


def count(number: int, one: str, many: str = "") -> str:
    """ "1 fault", "2 faults"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def times(number: int) -> str:
    """ "once", "2 times"."""
    return "once" if number == 1 else f"{number} times"


def restless(number: int, span: float) -> bool:
    """Whether something that comes so often within a length of time [s] goes to and fro without rest."""
    return number > FEW and number * RESTLESS > span


def finite(value: float) -> float | None:
    """A number for JSON, which knows no infinity."""
    return value if math.isfinite(value) else None


def unbroken(text: str) -> str:
    """A text in which no line ends between a figure and its unit; what stands between backticks is typed, and stays."""
    parts = text.split("`")
    return "`".join(part if number % 2 else FIGURE.sub(f"\\1{KEEPS}", part) for number, part in enumerate(parts))

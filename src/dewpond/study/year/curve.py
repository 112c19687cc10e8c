"""The course of a year between the figures of two seasons, day by day, and what evaporates on each of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from dewpond.parts.open_water import OpenWater
from dewpond.physics.evaporation import flux_range
from dewpond.physics.seasons import MONTH_DAYS, YEAR_DAYS, between, month_of, month_starts, warmth
from dewpond.physics.water import density
from dewpond.study.year.model import Reading, Span

ENOUGH_READ = (
    7  # days on which a room was read, from which their mean has a say in the month, by their share of it; our prior
)


@dataclass(frozen=True)
class Course:
    """The open waters of the two seasons, and what was read of the room by month (air [K], humidity [1], days)."""

    cold: tuple[OpenWater, ...]
    warm: tuple[OpenWater, ...]
    coldest: float  # day of the year
    read: Mapping[int, tuple[float, float, int]]  # month, 0 for January
    factors: Mapping[str, float]  # vessel -> its own figure over the reckoned one, where the file gives one
    kept: dict[tuple[float, Reading | None], tuple[Span, ...]] = field(default_factory=dict, compare=False, repr=False)

    def share(self, day: float) -> float:
        """How far a day stands from the cold towards the warm end."""
        return warmth(day, self.coldest)

    def waters(self, day: float, seen: Reading | None = None) -> tuple[OpenWater, ...]:
        """The open waters on a day; ``seen``: what was read of the room on that very day."""
        number = month_of(int(day))
        air_read, humidity_read, count = self.read.get(number, (0.0, 0.0, 0))
        known = min(count / MONTH_DAYS[number], 1.0)  # of a month's days; the others are those of the curve
        air = humidity = None
        if seen is not None:
            air, humidity = seen.air, seen.humidity
        share = self.share(day)
        found = []
        for cold, warm in zip(self.cold, self.warm, strict=True):
            found.append(
                replace(
                    cold,
                    air=between(between(cold.air, warm.air, share), air_read, known) if air is None else air,
                    humidity=between(between(cold.humidity, warm.humidity, share), humidity_read, known)
                    if humidity is None
                    else humidity,
                    water=cold.water if seen is None or seen.water is None else seen.water,
                )
            )
        return tuple(found)

    def ranges(self, day: float, seen: Reading | None = None) -> tuple[Span, ...]:
        """What evaporates from each open water on a day, uncalibrated [m3/s]."""
        key = (day, seen)
        if key not in self.kept:
            self.kept[key] = tuple(self._range(water) for water in self.waters(day, seen))
        return self.kept[key]

    def _range(self, water: OpenWater) -> Span:
        area = self.factors.get(water.vessel, 1.0) * water.area * water.lets / density(water.water)
        return Span(*flux_range(water.water, water.air, water.humidity, water.salinity, water.moved)).times(area)

    def evaporation(self, day: float, vessels: frozenset[str], seen: Reading | None = None) -> Span:
        """What evaporates from some vessels on a day, uncalibrated [m3/s]."""
        spans = zip(self.cold, self.ranges(day, seen), strict=True)
        chosen = [span for water, span in spans if water.vessel in vessels]
        return Span(*(sum(span[end] for span in chosen) for end in range(3)))


def course(cold: Sequence[OpenWater], warm: Sequence[OpenWater], coldest: int, readings: Sequence[Reading]) -> Course:
    """``coldest``: the month, 1 to 12, in the middle of which the cold figures hold."""
    middle = month_starts()[coldest - 1] + 0.5 * MONTH_DAYS[coldest - 1]
    bare = Course(tuple(cold), tuple(warm), middle, room_by_month(readings), {})
    factors: dict[str, float] = {}
    for water in cold:
        if water.told is not None and water.told > 0.0:
            alone = frozenset((water.vessel,))
            mean = sum(bare.evaporation(day + 0.5, alone).middle for day in range(YEAR_DAYS)) / YEAR_DAYS
            if mean > 0.0:
                factors[water.vessel] = water.told / mean
        elif water.told is not None:
            factors[water.vessel] = 0.0
    return replace(bare, factors=factors, kept={})


def room_by_month(readings: Sequence[Reading]) -> dict[int, tuple[float, float, int]]:
    """Months in which the room was read on enough days: mean air [K], mean humidity [1], days."""
    from datetime import date

    found: dict[int, list[Reading]] = {}
    for reading in readings:
        if reading.air is not None and reading.humidity is not None:
            found.setdefault(date.fromordinal(reading.day).month - 1, []).append(reading)
    return {
        month: (
            sum(one.air or 0.0 for one in lines) / len(lines),
            sum(one.humidity or 0.0 for one in lines) / len(lines),
            len({one.day for one in lines}),
        )
        for month, lines in sorted(found.items())
        if len({one.day for one in lines}) >= ENOUGH_READ
    }


def day_of_year(ordinal: int) -> float:
    """The middle of a day of the calendar, as a day of a year of 365."""
    from datetime import date

    day = date.fromordinal(ordinal)
    return month_starts()[day.month - 1] + min(day.day, MONTH_DAYS[day.month - 1]) - 0.5

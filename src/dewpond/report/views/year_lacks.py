"""An ordinary year in which the unit makes less than is needed, or nothing: said as far as the days show why."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from dewpond.report.views.shown import Shown, joined, sentence
from dewpond.study.clocks import Hours
from dewpond.study.year.model import DAY, Month, Year

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
MINUTE = 60.0
SOME = 1e-5  # a day, from which something comes [m3]; our prior
NOT_SEEN = (
    "no valve stood shut all the time, so no vessel called for it, or something shut it off on the way; `dewpond "
    "flows` tells of a fill"
)
WORTH = 0.01  # share of what is needed from which it is said that so much lacks; our prior


def lacks(year: Year) -> bool:
    """Whether the unit cannot make what is needed, at the high end of it at least."""
    return year.lacks.high > WORTH * math.fsum(month.need.high for month in year.months)


def nothing_came(year: Year, shown: Shown) -> str:
    """Why the unit made next to nothing in ordinary days, as far as they show it."""
    there = f"people at home, for {joined(year.heeds)} heeds who is there" if year.heeds else "nobody there"
    parts = [_shut(part, rows) for part, rows in year.shut.items()]
    why = tripped(year, shown) or "; ".join(parts) or NOT_SEEN
    return (
        f"In the ordinary days that were run ({there}) the unit made next to nothing of that: {why}. What somebody "
        "lets in or carries is not known here, and neither that nor its waste is counted."
    )


def tripped(year: Year, shown: Shown) -> str:
    """What shut the unit off in each season; empty where nothing did."""
    told = []
    for one in year.trips:
        a_day = one.late * DAY
        rest = f"only {shown.litres(a_day)} a day come" if a_day > SOME else "nothing comes"
        told.append(f"in {one.season}, after {shown.duration(one.after)}, {one.text}, and {rest} afterwards")
    return "; ".join(told)


def _shut(part: str, rows: Sequence[str]) -> str:
    """One part that stood shut, and what of the file would open it."""
    if not rows:
        return f"the way through {part} stood shut all the time, and no row of the matrix opens it"
    return f"the way through {part} stood shut all the time; {joined(rows)} would open it, and never did"


def shortage(year: Year, shown: Shown) -> str:
    """What the unit can make at most, beside what is needed."""
    cold, warm = year.winter, year.summer
    most = [shown.litres(month.can / month.days) for month in (cold, warm)]
    needs = [shown.litres(month.need.middle / month.days) for month in (cold, warm)]
    when = f"Within the time of {joined([_hours(one, shown) for one in year.gates])}" if year.gates else "Day and night"
    if year.trips:
        comes = [
            shown.litres(month.product.middle / month.days, month.need.middle / month.days) for month in (cold, warm)
        ]
        return (
            f"In ordinary days, nothing failing, it is shut off: {tripped(year, shown)}. Of {needs[0]} needed a day on "
            f"the coldest days so much comes: {comes[0]}; of {needs[1]} on the warmest, {comes[1]}. "
            f"{sentence(_short_of(year, shown))} What comes on the days between is taken to lie between."
        )
    return (
        f"{when} the unit can make no more than {most[0]} a day on the coldest days and {most[1]} on the warmest, "
        f"where {needs[0]} and {needs[1]} are needed: {_short_of(year, shown)}."
    )


def in_short(year: Year, shown: Shown) -> str:
    """How much of it lacks, where the rest is told already."""
    return f"That is not all that must be put in: {_short_of(year, shown)}."


def _short_of(year: Year, shown: Shown) -> str:
    low, middle, high = year.lacks
    needed = math.fsum(month.need.middle for month in year.months)
    told = [shown.litres(volume, high) for volume in (low, middle, high)]
    if middle <= WORTH * needed:
        return f"it is enough as a rule, but at the high end of what is needed {told[2]} lack over the year"
    months = [MONTHS[month.number - 1] for month in year.months if _short(month)]
    when = "in every month" if len(months) == len(MONTHS) else f"in {joined(months)}"
    return f"{told[1]} ({told[0]} to {told[2]}) lack over the year, {when}, unless somebody puts them in"


def _short(month: Month) -> bool:
    return month.need.middle - month.product.middle > WORTH * month.need.middle


def remedy(year: Year, shown: Shown) -> str:
    """How long its time would have to last, or what else would do."""
    gate = narrowest(year)
    if year.trips:
        return (
            f"Set {joined(list(dict.fromkeys(one.part for one in year.trips)))}, or what it heeds, so that no ordinary "
            "day reaches it: `dewpond limits` says where it may stand."
        )
    if gate is None:
        return "Measure what evaporates first; then a stronger supply, a larger membrane or a booster pump makes more."
    seasons = [month for month in (year.winter, year.summer) if month.can > 0.0]
    wants = [max((gate.stays * month.need[end] / month.can for month in seasons), default=math.inf) for end in (1, 2)]
    if wants[1] >= gate.every:
        return "Measure what evaporates first; then let its time last longer, or come more often."
    usual, high = (shown.duration(MINUTE * math.ceil(want / MINUTE)) for want in wants)
    return (
        f"Let its time last {usual} {_each(gate)}, up to {high} at the high end of what is needed. `dewpond limits` "
        "says how long it may last."
    )


def narrowest(year: Year) -> Hours | None:
    """The clock that leaves the unit the least of a day, where any gates it."""
    return min(year.gates, key=lambda one: one.stays / one.every, default=None)


def _hours(gate: Hours, shown: Shown) -> str:
    return f"{gate.part} ({shown.duration(gate.stays)} {_each(gate)})"


def _each(gate: Hours) -> str:
    days = round(gate.every / DAY)
    return "a day" if days == 1 else f"in {days} days"


def broken(year: Year, shown: Shown) -> Iterator[str]:
    """Seasons whose days were not run to their end."""
    for season, reached in year.broken.items():
        yield (
            f"The ordinary days of {season} could not be run to their end, for too much goes on in them: only "
            f"{shown.duration(reached)} were. What is said of waste and starts rests on so little."
        )

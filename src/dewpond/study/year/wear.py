"""When resin, filters and membrane are due: by their litres, by what those carried, or by time."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date

from dewpond.design.model import Design
from dewpond.parts.base import LOAD, Kind, Wear
from dewpond.study.year.model import DAY, Due, Month, Span

CHANGED = "changed on"
MONTH, YEAR = 30, 365  # days of a month and of a year as kinds of parts write them
LONGEST = 20 * 365  # days beyond which a due date says nothing


def dues(
    design: Design, kinds: Mapping[str, Kind], months: tuple[Month, ...], through: Mapping[str, float], today: int
) -> Iterator[Due]:
    """``through``: water through each part for one of product [1]."""
    for part in design.parts:
        kind = kinds[part.kind]
        work = next((one for one in kind.upkeep if one.date_key == CHANGED), None)
        if work is None:
            continue
        since = date.fromisoformat(part[CHANGED]).toordinal() if part[CHANGED] else None
        start = today if since is None else since
        wear = kind.wears(part) if kind.wears else None
        by_time = after(start, work.every)
        share = through.get(part.name, 0.0)
        if wear is None or share <= 0.0:
            yield Due(part.name, work.what, work.every, since, "", None, None, by_time, True)
            continue
        water, days = _used_up(wear, months, share, start)
        ends = start + round(days.middle)
        yield Due(part.name, work.what, work.every, since, wear.by, water, days, min(ends, by_time), by_time < ends)


def after(start: int, every: float) -> int:
    """The ordinal of the day so long after another [s]: months and years are those of the calendar."""
    days = round(every / DAY)
    if days % MONTH and days % YEAR:
        return start + days
    months = 12 * (days // YEAR) if days % YEAR == 0 else days // MONTH
    then = date.fromordinal(start)
    year, month = divmod(then.year * 12 + then.month - 1 + months, 12)
    last = date(year + (month == 11), (month + 1) % 12 + 1, 1).toordinal() - 1
    return min(date(year, month + 1, 1).toordinal() + then.day - 1, last)


def _used_up(wear: Wear, months: tuple[Month, ...], share: float, start: int) -> tuple[Span, Span]:
    """Water until a part is used up [m3], and days, low, middle and high."""
    low, middle, high = wear.holds

    def used(end: int) -> Callable[[Month], float]:
        if wear.by == LOAD:
            return lambda month: month.load[end]
        return lambda month: share * month.product[end]

    ends = [
        _gone(amount, used(end), months, share, start, end)
        for amount, end in ((low, 2), (middle, 1), (high, 0))  # the least water and time where most is asked of it
    ]
    return Span(*(water for water, _ in ends)), Span(*(days for _, days in ends))


def _gone(
    amount: float, used: Callable[[Month], float], months: tuple[Month, ...], share: float, start: int, end: int
) -> tuple[float, float]:
    """Water and days until so much is used, month after month of the calendar."""
    day, water, left = start, 0.0, amount
    while day < start + LONGEST:
        now = date.fromordinal(day)
        month = months[now.month - 1]
        days = _days_left(now)
        rate = used(month) / month.days
        pace = share * month.product[end] / month.days
        if rate * days >= left:
            part = left / rate
            return water + pace * part, day - start + part
        left, water, day = left - rate * days, water + pace * days, day + days
    return water, float(LONGEST)


def _days_left(now: date) -> int:
    """Days from one to the end of its month, itself counted."""
    then = date(now.year + (now.month == 12), now.month % 12 + 1, 1)
    return (then - now).days

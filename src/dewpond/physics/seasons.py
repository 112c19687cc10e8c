"""What swings through a year between a cold and a warm figure, and how that is averaged over months of true length."""

import math

from dewpond.physics.ranges import require

YEAR_DAYS = 365
"""Days of the year that is reckoned [1]. Source: calendar; a leap day is 0.3 % of a year."""

MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
"""Days of each month, January first [1]. Source: calendar."""


def warmth(day: float, coldest: float) -> float:
    """How far a day stands between the coldest and the warmest of the year.

    w = [1 - cos(2 pi (d - d0) / 365)] / 2

    day, coldest: d and d0, days since the year began [1].
    Returns the share, 0 on the coldest day and 1 half a year later [1].
    Source: first harmonic of a year, our own choice; the two figures of a design say no more.

    >>> warmth(15.0, 15.0), round(warmth(197.5, 15.0), 6)
    (0.0, 1.0)
    """
    return 0.5 * (1.0 - math.cos(2.0 * math.pi * (day - coldest) / YEAR_DAYS))


def between(cold: float, warm: float, share: float) -> float:
    """A figure on its way from the cold to the warm one.

    x = c + w (h - c)

    cold, warm: the two figures, in one unit [1].
    share: w, 0 to 1, see warmth [1].
    Returns the figure, in their unit [1].
    Raises ValueError outside the range.
    Source: straight line.

    >>> between(280.15, 290.15, 0.25)
    282.65
    """
    require("share", share, 0.0, 1.0, "1")
    return cold + share * (warm - cold)


def month_starts() -> tuple[int, ...]:
    """The first day of each month, and the day after the last.

    sums of the lengths of the months

    Returns thirteen days since the year began [1].
    Source: calendar.

    >>> month_starts()[:4], month_starts()[-1]
    ((0, 31, 59, 90), 365)
    """
    days = [0]
    for length in MONTH_DAYS:
        days.append(days[-1] + length)
    return tuple(days)


def month_of(day: int) -> int:
    """The month in which a day lies.

    the last month that has begun

    day: whole days since some year began, also below 0 or above 365 [1].
    Returns the month, 0 for January [1].
    Source: calendar.

    >>> month_of(0), month_of(58), month_of(59), month_of(365)
    (0, 1, 2, 0)
    """
    within = day % YEAR_DAYS
    return sum(start <= within for start in month_starts()[1:-1])

"""What was measured, over what was reckoned for the same days: the factor on evaporation, and how well it is known.

A day's top-off is kappa times what was reckoned for its room, and noise that lasts for days. Rules: a log of fewer
than 30 days is rough, and so is one that lies far from what is reckoned, or whose days lie far apart; before a whole
year was logged nothing is known better than to 10 %, for one season says little of the other one, and afterwards no
better than to 6 %, for no year is like another (our own).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from dewpond.physics import series
from dewpond.physics.seasons import YEAR_DAYS
from dewpond.physics.shared import COMMON, factors_of, of_sum
from dewpond.physics.statistics import spread_of_sum
from dewpond.study.year.curve import Course, day_of_year
from dewpond.study.year.model import DAY, FAR, LOG, ROUGH, RULER, USABLE, Calibration, Evidence, Reading, Ruler, Running

Shares = tuple[tuple[str, float], ...]  # tank, its share [1]
FEW = 5  # days of log from which its own scatter is taken; our prior
SOUND = 30.0  # days of log from which it is no longer rough
LOOSE = 0.15  # spread of a log from which it stays rough: 30 % at 95 %; our prior
WHOLE = 300.0  # days of log, over a whole year, from which it counts as one; our prior
STEPS = 0.8  # of the lines of a running total that rise; the others are days on which nothing was put in; our prior
TOLD_SPREAD = 0.10  # of a figure that the file gives, beside its season [1]; our prior: a week of top-off


def by_ruler(
    ruler: Ruler, course: Course, vessels: frozenset[str], beside: float, dose: float, daily: float, likeness: float
) -> Evidence | None:
    """``beside``: what else leaves the vessel, such as what it evaporates itself [m3/s]; ``dose``: one run of what
    draws from it [m3]. None: nothing is left for the tanks."""
    days = ruler.over / DAY
    own = ruler.volume - beside * ruler.over
    reckoned = _mean(course, _days(ruler.day, days), vessels) * ruler.over
    if own <= 0.0 or reckoned <= 0.0:
        return None
    errors = (
        ruler.error / own,
        series.end_error(dose) / own,
        spread_of_sum(max(days, 1.0), daily, likeness) / max(days, 1.0),
        series.LEAST_SPREAD,
    )
    return Evidence(RULER, ruler.vessel, own / reckoned, math.hypot(*errors), days, 1, ROUGH)


def _mean(course: Course, days: Sequence[float], vessels: frozenset[str]) -> float:
    """What was reckoned for some days of the year, on average [m3/s]."""
    return sum(course.evaporation(day, vessels).middle for day in days) / len(days)


def _days(day: int, count: float) -> list[float]:
    """The days of the year up to one of the calendar."""
    return [(day_of_year(day) - i) % YEAR_DAYS for i in range(max(1, round(count)))]


def by_log(
    readings: Sequence[Reading], course: Course, vessels: frozenset[str], beside: float, dose: float
) -> Evidence | None:
    """What a log of top-off says. ``beside``: what is put in besides what evaporates [m3/s]; None: no day counts."""
    counted = counted_of(readings)
    ratios: dict[int, float] = {}
    gone = 0.0
    for reading in counted:
        reckoned = _reckoned(reading, course, vessels)
        own = (reading.top_off or 0.0) - beside * reading.days * DAY
        if reckoned > 0.0:
            ratios[reading.day] = own / reckoned
            gone += reading.top_off or 0.0
    if not ratios:
        return None
    values = [ratios[day] for day in sorted(ratios)]
    factor = series.trimmed_mean(values)
    if factor <= 0.0:
        return None
    days = sum(r.days for r in counted)
    daily, likeness = series.DAILY_SPREAD, series.LIKENESS
    if len(values) >= FEW:
        daily = max(series.robust_deviation(values) / factor, 0.01)
        likeness = series.likeness_of([ratios.get(day) for day in range(min(ratios), max(ratios) + 1)])
    error = series.error_of_mean(len(values), daily, likeness)
    ends = series.end_error(dose) / gone if gone > 0.0 else 0.0
    spread = math.hypot(error, ends)
    whole = max(ratios) - min(ratios) >= YEAR_DAYS - 1 and days >= WHOLE
    spread = math.hypot(spread, series.NEXT_YEAR) if whole else max(spread, series.LEAST_SPREAD)
    told = (likeness, daily) if len(values) >= FEW else (None, None)
    found = Evidence(LOG, "", factor, spread, days, len(values), ROUGH, *told)._replace(whole=whole)
    return found if days < SOUND or found.far or spread > LOOSE else found._replace(worth=USABLE)


def counted_of(readings: Sequence[Reading]) -> list[Reading]:
    """Those whose litres say something of what evaporates."""
    return [r for r in readings if r.top_off is not None and not r.aside]


def _reckoned(reading: Reading, course: Course, vessels: frozenset[str]) -> float:
    """What was reckoned for the days of a line [m3]."""
    days = _days(reading.day, reading.days)
    seen = reading if len(days) == 1 else None
    rates = [course.evaporation(day, vessels, seen).middle for day in days]
    return sum(rates) / len(days) * reading.days * DAY


def running_total(
    readings: Sequence[Reading], course: Course, vessels: frozenset[str], beside: float
) -> Running | None:
    """Whether the litres of a log are the total of a meter: they only ever rise, each time by what one day may take,
    and are themselves what no day takes, or grow to many times the first."""
    counted = [r for r in readings if r.top_off is not None]
    if len(counted) < FEW:
        return None
    figures = [r.top_off or 0.0 for r in counted]
    rises = [after - before for before, after in pairwise(figures)]
    if min(rises) < 0.0 or sum(rise > 0.0 for rise in rises) < STEPS * len(rises):
        return None
    wanted = [_reckoned(r, course, vessels) + beside * r.days * DAY for r in counted]
    if min(wanted) <= 0.0:
        return None
    step = series.trimmed_mean([rise / want for rise, want in zip(rises, wanted[1:], strict=True)])
    alone = series.trimmed_mean([figure / want for figure, want in zip(figures, wanted, strict=True)])
    grown = figures[-1] > FAR * figures[0]
    if not 1.0 / FAR <= step <= FAR or (1.0 / FAR <= alone <= FAR and not grown):
        return None
    rise = sum(rises) / sum(r.days for r in counted[1:])
    return Running(figures[0], figures[-1], rise, (counted[0].line, counted[-1].line))


def told_spread(season: float) -> float:
    """Of a figure that the file gives without a date [1]: it grows with what the season may have been.

    ``season``: evaporation in winter over that in summer.
    """
    swing = math.log(max(season, 1.0)) / 2.0 / math.sqrt(2.0)  # of a cosine between the two, over the year
    return min(math.hypot(TOLD_SPREAD, swing), series.PRIOR_SPREAD)


def together(
    evidence: Sequence[Evidence], before: float, shy: Sequence[str], reckoned: Mapping[str, float]
) -> Calibration:
    """All of it, each by how sure it is and for the tanks that it tells of, with the estimate that stood ``before`` it.

    ``reckoned``: what each tank evaporates in a year, in any measure.
    """
    log = next((one for one in evidence if one.likeness is not None), None)
    likeness, daily = series.LIKENESS, series.DAILY_SPREAD
    if log is not None and log.likeness is not None and log.daily is not None:
        likeness, daily = log.likeness, log.daily
    if not sum(reckoned.values()) > 0.0:
        return Calibration((), 1.0, before, before, likeness, daily, tuple(shy), alone=before)
    tanks, amounts = tuple(reckoned), list(reckoned.values())
    found = [([dict(one.shares).get(tank, 0.0) for tank in tanks], one.factor, one.spread) for one in evidence]
    open_ = sum(amount > 0.0 for amount in amounts)
    told_apart = any(len(one.shares) < open_ for one in evidence)  # else one factor is as good as several
    common = COMMON if told_apart else 1.0
    factors, covariance = factors_of(len(tanks), found, before, common)
    _, whole = of_sum(amounts, *factors_of(len(tanks), (), before, common))
    return Calibration(
        tuple(evidence), *of_sum(amounts, factors, covariance), whole, likeness, daily, tuple(shy), alone=before,
        tanks=tanks, factors=tuple(factors), covariance=tuple(tuple(row) for row in covariance),
    )  # fmt: skip


def _shares(course: Course, days: Sequence[float], bodies: Mapping[str, frozenset[str]], of: frozenset[str]) -> Shares:
    """What each tank was reckoned to have of what evaporated on some days from some vessels."""
    parts = {
        tank: sum(course.evaporation(day, vessels & of).middle for day in days) for tank, vessels in bodies.items()
    }
    if not any(parts.values()):  # the curve has moist days where the room that was read is drier
        parts = {tank: float(len(vessels & of)) for tank, vessels in bodies.items()}
    whole = sum(parts.values())
    return tuple((tank, part / whole) for tank, part in parts.items() if part > 0.0)


def calibrate(
    course: Course,
    readings: Sequence[Reading],
    rulers: Sequence[Ruler],
    bodies: Mapping[str, frozenset[str]],
    fed: Mapping[str, frozenset[str]],
    beside: Mapping[str, float],
    doses: Mapping[str, float],
    before: float,
) -> Calibration:
    """``bodies``: tank -> its vessels; ``fed``: reservoir -> the vessels whose open water it replaces, "" for all;
    ``beside`` the same way: what else is drawn from it [m3/s]; ``doses``: the run of what draws from it [m3];
    ``before``: spread of the estimate of one tank."""
    evidence: list[Evidence] = []
    running = running_total(readings, course, fed[""], beside[""])
    log = None if running else by_log(readings, course, fed[""], beside[""], max(doses.values(), default=0.0))
    daily, likeness = series.DAILY_SPREAD, series.LIKENESS
    if log is not None:
        days = [day for one in counted_of(readings) for day in _days(one.day, one.days)]
        evidence.append(log._replace(shares=_shares(course, days, bodies, fed[""])))
        daily, likeness = log.daily or daily, log.likeness or likeness
    shy = []
    for ruler in rulers:
        one = None
        of = ruler.vessel
        if of in fed:
            one = by_ruler(ruler, course, fed[of], beside[of], doses.get(of, 0.0), daily, likeness)
        if one is None:
            shy.append(of)
        else:
            days = _days(ruler.day, ruler.over / DAY)
            evidence.append(one._replace(shares=_shares(course, days, bodies, fed[of])))
    every = [day + 0.5 for day in range(YEAR_DAYS)]
    reckoned = {tank: sum(course.evaporation(day, own).middle for day in every) for tank, own in bodies.items()}
    return replace(together(evidence, before, shy, reckoned), running=running)

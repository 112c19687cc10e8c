"""What a year rests on: which measurements there are, and what each of them changed."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from dewpond.physics.series import AT_95, days_needed
from dewpond.physics.shared import apart
from dewpond.report.views.blocks import Block, Items, Text
from dewpond.report.views.shown import Shown, about, count, joined, sentence
from dewpond.study.year.calibrate import SOUND
from dewpond.study.year.model import RULER, USABLE, Calibration, Evidence, Year

JUG_SPREAD, PRINT_SPREAD = (
    5,
    18,
)  # [%] of a minute's jugs, and of a print on an element; our prior, and 15 to 20 from trade
HALF_A_YEAR = 180.0  # days of log from which both seasons have a say; our prior
SKEW = 0.5  # at 95 %, from which a percentage of a factor no longer says both sides [1]
PART_OF_IT = "Before a whole year is logged no better than 10 % is claimed."
WHOLE_YEAR = "For the year to come no better than 6 % is claimed (our prior, 4 to 10 %): no year is like another."
GOAL = 0.10  # error of a mean that a log is kept for [1]


def blocks(year: Year, readings: int, shown: Shown) -> tuple[Block, ...]:
    """First what was measured and what that changed; then what would change most."""
    told = [*(_evidence(one, year) for one in year.calibration.evidence), *_changed(year, shown), *_jugs(year, shown)]
    found: list[Block] = [Text(text) for text in (*told, *_contradictions(year.calibration))]
    if year.calibration.running:
        found.append(Text("The litres of the log are not counted: they look like the running total of a meter."))
    if year.calibration.shy:
        found.append(Text(
            f"The ruler of {joined(year.calibration.shy)} says nothing of the tanks: no tank is topped up from there, "
            "or no more left it than leaves it anyway."
        ))  # fmt: skip
    found += [Text(text) for text in _rooms(year, readings)]
    ask = tuple(_would_help(year, shown))
    return (*found, *((Items(ask),) if ask else ()))


def _evidence(one: Evidence, year: Year) -> str:
    if one.sort == RULER:
        return (
            f"The ruler in {one.of}, {_span(one.days)}: {about(one.factor)} times what was reckoned for those days, "
            f"{_give_or_take(one.spread)} (two looks at a ruler, one run of the pump, and a single day of weather)."
            f"{_counts_for(one, year)}"
        )
    return (
        f"The log, {count(one.used, 'figure')} over {_span(one.days)}: {about(one.factor)} times what was reckoned for "
        f"the same days, {_give_or_take(one.spread)}: {_worth(one)}. {WHOLE_YEAR if one.whole else PART_OF_IT}"
        f"{_one_season(one)}"
    )


def _counts_for(one: Evidence, year: Year) -> str:
    """Of which tanks it tells, where that is not all of the house."""
    tanks = [tank for tank, _ in one.shares]
    return f" It counts for {joined(tanks)}." if tanks and len(tanks) < len(year.calibration.tanks) else ""


def _give_or_take(spread: float) -> str:
    """Of a factor whose logarithm has that spread, at 95 %."""
    off = AT_95 * spread
    if off > SKEW:
        return f"divide or multiply by {about(math.exp(off))}"
    return f"give or take {100.0 * off:.0f} %"


def _worth(one: Evidence) -> str:
    if one.worth == USABLE:
        return "usable"
    if one.far:
        return "too far from it to be relied on"
    return f"rough until {SOUND:.0f} days are logged" if one.days < SOUND else "rough, for its days lie far apart"


def _contradictions(known: Calibration) -> Iterator[str]:
    """Measurements whose spreads leave nothing in common, with what the tanks of which they tell may differ by."""
    for one, other in combinations(known.evidence, 2):
        first, second = ([dict(each.shares).get(tank, 0.0) for tank in known.tanks] for each in (one, other))
        spread = one.spread + other.spread + apart(first, second, known.alone)
        if abs(math.log(one.factor / other.factor)) <= AT_95 * spread:
            continue
        surer, less = sorted((one, other), key=lambda each: each.spread)
        weight = f"{float(f'{(less.spread / surer.spread) ** 2:.1g}'):g}"
        more = f"{_name(surer)} counts {weight} times as much" if weight != "1" else "both count alike"
        yield (
            f"{sentence(_name(one))[:-1]} and {_name(other)} do not agree: {one.factor:.2g} and {other.factor:.2g} "
            f"times what was reckoned lie farther apart than both spreads allow. One of them measured something else: "
            "a feed that was not shut, water taken or added by hand, a wrong day or unit. Here they are still taken "
            f"together, and {more}; find out which is wrong, and leave it out."
        )


def _name(one: Evidence) -> str:
    return f"the ruler in {one.of}" if one.sort == RULER else "the log"


def _one_season(one: Evidence) -> str:
    return " It covers one season; the other rests on the law alone." if one.days < HALF_A_YEAR else ""


def _span(days: float) -> str:
    if days < 2.0:
        return f"{days * 24.0:.0f} h"
    return count(round(days), "day")


def _changed(year: Year, shown: Shown) -> Iterator[str]:
    known = year.calibration
    if not known.evidence:
        return
    day = sum(month.evaporation.middle * month.days for month in year.months) * 86400.0 / 365.0
    before = day / known.factor
    if known.told_apart:
        each = [f"{tank} {about(factor)}" for tank, factor in zip(known.tanks, known.factors, strict=True)]
        own = {one.shares[0][0] for one in known.evidence if len(one.shares) == 1}
        bare = [tank for tank in known.tanks if tank not in own]
        more = ""
        if bare and own:
            follow = "follows" if len(bare) == 1 else "follow"
            more = f" {sentence(joined(bare))[:-1]} {follow} the others half the way (our prior)."
        yield f"Tanks may differ: taken are {joined(each)} times what was reckoned of each.{more}"
    yield (
        f"So a day of the year's mean goes from {shown.litres(before, day)} to {shown.litres(day, before)}, and its "
        f"spread narrows from divide or multiply by {_times(known.before)} to {_times(known.spread)} (95 %)."
    )


def _times(spread: float) -> str:
    return f"{math.exp(AT_95 * spread):.2f}"


def _jugs(year: Year, shown: Shown) -> Iterator[str]:
    for one in year.jugs:
        made, made_by_jug = (shown.flow(flows[0], one.measured[0]) for flows in (one.rated, one.measured))
        lost, lost_by_jug = (shown.flow(flows[1], one.measured[1]) for flows in (one.rated, one.measured))
        yield (
            f"The jugs of {one.part}: in winter {made} purified and {lost} of waste by the print on the element become "
            f"{made_by_jug} and {lost_by_jug}; give or take {PRINT_SPREAD} % becomes {JUG_SPREAD} % (our prior)."
        )


def _rooms(year: Year, readings: int) -> Iterator[str]:
    read = [month for month in year.months if month.read]
    if read:
        yield (
            f"In {count(len(read), 'month')} the room was read, on {sum(month.read for month in read)} days: these "
            "count as read, all others are the curve between the two seasons."
        )
    elif readings:
        yield "The room was not read on seven days of any month: its air is the curve between the two seasons."


def _would_help(year: Year, shown: Shown) -> Iterator[str]:
    known = year.calibration
    if not year.winter.evaporation.high > 0.0:
        return
    if not known.evidence and year.reservoirs:
        name = year.reservoirs[0].vessel
        yield (
            f"A ruler makes this year your own: shut the feed, mark the water of {name} at the same hour on two days, "
            f"and write your figures at {name}, such as `measured evaporation: {{fell: {shown.height(0.035)}, over: "
            "24 h, on: 2026-11-02}`."
        )
    worth = [one for one in known.evidence if one.sort != RULER]
    if not worth or worth[0].worth == "rough":
        days = math.ceil(days_needed(known.daily, known.likeness, GOAL))
        yield (
            f"A log of what is put in, a line a day, with the room's air (`--readings log.csv`): about {days} days "
            "until the mean is known to 10 %; one cold and one warm month for a whole year."
        )

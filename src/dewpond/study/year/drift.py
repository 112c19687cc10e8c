"""Where salinity goes when salt water is carried off and fresh water holds the level, and nobody corrects it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from dewpond.study.year.feeding import Body
from dewpond.study.year.model import DAY, Drift, Reading

NOTICED = 1.0  # change of salinity that is worth a date [g/kg]; our prior
LONGEST = 3650.0  # days that are looked at
FEW = 4  # readings of salinity below which no slope is drawn
LEAST_BROUGHT = 1e-2  # of what is carried off, below which nothing is said to come in; our prior
APART = 14  # days that they must cover
OFF, MUCH = (
    1.5,
    3.0,
)  # times a tank's salinity, and so far from it [g/kg], from which a reading is asked about; our prior


def astray(readings: Sequence[Reading], tanks: Sequence[float]) -> tuple[Reading, ...]:
    """Readings whose salinity is none of any tank's [g/kg]: written in another measure, or of other water."""
    return tuple(
        r for r in readings if r.salinity is not None and tanks and all(_apart(r.salinity, own) for own in tanks)
    )


def _apart(read: float, own: float) -> bool:
    low, high = sorted((read, own))
    return high - low > MUCH and high > OFF * low


def drift(body: Body, salinity: float, span: float, changed: float, new: float, readings: Sequence[Reading]) -> Drift:
    """One tank's. dc/dt = a - l c, with what ordinary days carry off and bring in, and with its water changes.

    salinity: of the tank, new: of what it is changed with [g/kg]; span: of the ordinary days [s]; changed [m3/s].
    """
    lost = body.lost / body.water * DAY
    given = sum(one.flow for one in body.brought)
    strength = _strength(body, salinity, given) if given > 0.0 else 0.0
    brought = given * strength / body.water * DAY if given > 0.0 else _beside(body, salinity, lost, span / DAY)
    swap = changed / body.water * DAY
    rate, gain = lost + swap, brought + swap * new

    def after(days: float) -> float:
        if rate <= 0.0:
            return salinity + gain * days
        end = gain / rate
        return end + (salinity - end) * math.exp(-rate * days)

    unit = _until(after, salinity) if salinity > NOTICED else None
    return Drift(
        body.tank, body.water, body.lost, changed, salinity, after(30.0), after(365.0), unit, _slope(readings), given,
        strength,
    )  # fmt: skip


def _strength(body: Body, salinity: float, given: float) -> float:
    """Salinity of what other vessels bring in [g/kg], by what is dissolved in it and in the tank."""
    matter = sum(one.flow * one.matter for one in body.brought) / given
    return salinity * matter * body.water / body.matter if body.matter > 0.0 else matter


def _beside(body: Body, salinity: float, lost: float, days: float) -> float:
    """By what comes in beside the top-off in ordinary days [g/kg per day]: what is left of the salt, over what would
    be if nothing came."""
    if lost <= 0.0 or body.matter <= 0.0:
        return 0.0
    alone = math.exp(-lost * days)
    brought = salinity * lost * (body.later / body.matter - alone) / (1.0 - alone)
    return brought if brought > LEAST_BROUGHT * salinity * lost else 0.0


def _until(after: Callable[[float], float], salinity: float) -> float | None:
    """Days until it has moved by NOTICED."""
    if abs(after(LONGEST) - salinity) < NOTICED:
        return None
    low, high = 0.0, LONGEST
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if abs(after(middle) - salinity) >= NOTICED else (middle, high)
    return high


def _slope(readings: Sequence[Reading]) -> float | None:
    """Slope of the salinities that were read [g/kg per day]: the median of those between all pairs (Theil and Sen)."""
    read = [(r.day, r.salinity) for r in readings if r.salinity is not None]
    if len(read) < FEW or max(d for d, _ in read) - min(d for d, _ in read) < APART:
        return None
    slopes = sorted((b - a) / (j - i) for n, (i, a) in enumerate(read) for j, b in read[n + 1 :] if j != i)
    return slopes[len(slopes) // 2] if slopes else None

"""How much may come in a day: three bounds, what a cap costs in nuisance, and how far salt falls at the cap."""

from __future__ import annotations

import math
from typing import Final

from dewpond.physics.statistics import (
    cap_by_freeboard,
    cap_by_salinity,
    cap_without_nuisance,
    nuisance_probability,
)
from dewpond.plant.plant import DAY
from dewpond.study.limits.feeds import Feed
from dewpond.study.limits.model import APART, Asked, Bound, Limit, Need
from dewpond.study.limits.model import DAY as A_DAY
from dewpond.study.limits.runs import band, free, spare
from dewpond.study.limits.vessels import overflow_of

CHANCE: Final = 0.01  # of a trip in all the days away [1]; our prior
YEAR: Final = 365.0  # [1]
TOLD_AFTER: Final = (1, 7, 14)  # days at the cap after which salinity is told [1]


def no_nuisance(mean: float, deviation: float, asked: Asked) -> float:
    """D1: a cap that ordinary days trip with a chance of 1 % in all the days away [m3]."""
    return cap_without_nuisance(mean, deviation, asked.logged, asked.away, CHANCE)


def day_after_cut(need: Need, banded: float, cut: float) -> float:
    """What the day after a night's power cut asks for [m3]: its own need, that of the cut, and one run."""
    return need.mean * (1.0 + cut / DAY) + banded


def caps_within(days: float) -> float:
    """How many caps come in so many days at most [1]: each midnight frees another, and the first day is a whole one."""
    return math.ceil(days) + 1.0


def over_midnights(cap: float, low: float, days: float) -> float:
    """A cap that bears so many days begun at midnight, made one that bears them whenever they begin [m3].

    cap = E + R / T as published gives the room R; the most caps n bring the last one n - 2 days after the first, so
    n cap - (n - 2) E = R. Nor may the first two, which a midnight parts, bring more than R. ``low``: E, what evaporates
    in a day even when little does [m3].
    """
    number, room = caps_within(days), (cap - low) * days
    return min((room + (number - 2.0) * low) / number, 0.5 * room)


def parted(room: float, low: float, days: float) -> bool:
    """Whether of ``over_midnights`` the first two caps bind, which a midnight parts: then the days matter nothing."""
    number = caps_within(days)
    return 0.5 * room < (room + (number - 2.0) * low) / number


def borne(feed: Feed, need: Need, asked: Asked, days: float) -> tuple[float, float]:
    """D2 and D3: the most in a day that salinity, and that the room below the rim, bear for so many days [m3]."""
    basin, room_left = feed.basin, spare(feed)
    salt = room = 0.0
    if basin.fresh_for(asked.drop) == math.inf:
        salt = math.inf
    else:
        by_salt = cap_by_salinity(need.low, basin.as_fresh, basin.salinity, asked.drop, days)
        salt = over_midnights(by_salt, need.low, days)
    if room_left > 0.0:
        room = over_midnights(cap_by_freeboard(need.low, room_left, days), need.low, days)
    return salt, room


def days_borne(feed: Feed, need: Need, asked: Asked) -> int:
    """For how many days, up to those asked for, a cap that lets a mean day through can go on unseen; 0: for none."""
    least = APART * need.mean
    return next((d for d in range(math.floor(asked.unseen), 0, -1) if min(borne(feed, need, asked, d)) >= least), 0)


def day_cap(feed: Feed, need: Need, asked: Asked) -> Limit | None:
    """The most of a day, as the box counts it; None where nothing is known to need it."""
    if need.mean <= 0.0:
        return None
    basin, times = feed.basin, feed.counted
    fresh = basin.fresh_for(asked.drop)
    told = {
        "logged": asked.logged,
        "mean": need.mean,
        "low": need.low,
        "high": need.high,
        "deviation": need.deviation,
        "days": asked.unseen,
    }
    told |= {"away": float(asked.away > asked.measured), "caps": caps_within(asked.unseen)}
    told |= {"bears": float(days_borne(feed, need, asked)), "known": float(need.known), "stock": float(not basin.tank)}
    told |= {"counted": times, "measured": asked.measured}
    usual = no_nuisance(need.mean, need.deviation, asked)
    low = [Bound("need", need.mean * times, told), Bound("nuisance", usual * times, told, soft=True)]
    if feed.pumped:
        after = day_after_cut(need, band(feed), asked.cut)
        low.append(Bound("day after a cut", after * times, {**told, "band": band(feed), "cut": asked.cut}, soft=True))
    high = []
    by_salt, by_room = borne(feed, need, asked, asked.unseen)
    if fresh < math.inf:
        salt = {**told, "fresh": fresh, "drop": asked.drop, "water": basin.water, "salinity": basin.salinity}
        salt["parted"] = float(parted(fresh, need.low, asked.unseen))
        high.append(Bound("salt of days", by_salt * times, salt))
    room = {**told, "spare": spare(feed), "free": free(feed), "drains": basin.drains_down, "gives": feed.gives}
    room |= {"parted": float(parted(spare(feed), need.low, asked.unseen)), "circulates": float(bool(basin.circulation))}
    room["overflow"] = float(all(overflow_of(basin.plant, store) is not None for _, store in feed.fills))
    high.append(Bound("space", by_room * times, room))
    has = math.inf if feed.row.per_day is None else feed.row.per_day
    return Limit(A_DAY, tuple(low), tuple(high), has, {**told, "counted": times, "away": float(asked.away)})


def trips_a_year(cap: float, mean: float, deviation: float, logged: int) -> float:
    """On how many days of a year a cap refuses ordinary top-off."""
    return YEAR * nuisance_probability(cap, mean, deviation, logged, 1)


def salinity_at_cap(feed: Feed, need: Need, cap: float, days: float) -> float:
    """Salinity after so many days on which the cap is brought although little evaporates [g/kg]."""
    return feed.basin.salinity_after(max(cap / feed.counted - need.low, 0.0) * days)

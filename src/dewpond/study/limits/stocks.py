"""Limits of a pump that fills a stock: a vessel of fresh water that no animal lives in, such as a reservoir.

Nothing in it freshens and nothing drains down into it. What counts is its room up to the rim, what draws from it, and
the inlet below which that draws air.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from dewpond.design.checks_levels import RIPPLES
from dewpond.design.checks_top_off import WAVES
from dewpond.physics.vessels import time_to_volume
from dewpond.plant.plant import DAY
from dewpond.study.limits.basin import level, rim, volume
from dewpond.study.limits.caps import day_after_cut, no_nuisance
from dewpond.study.limits.feeds import Feed, counted_edge, inlet
from dewpond.study.limits.model import BAND, CALL, GAP, RUN, Asked, Bound, Limit, Need
from dewpond.study.limits.model import DAY as A_DAY
from dewpond.study.limits.runs import TWICE, band, ordinary_run, rest


def fills_a_stock(feed: Feed) -> bool:
    """Whether a pump brings water into a vessel that is no part of a tank's water."""
    return feed.pumped and not feed.basin.tank and not feed.basin.salinity and not feed.basin.circulation


def _room(feed: Feed) -> float:
    """From where an ordinary run begins up to the rim [m3]."""
    return feed.basin.free(rest(feed) if feed.low is None else feed.low.lower)


def run_limit(feed: Feed, need: Need) -> Limit:
    """The longest run: it ends before the rim, begun at the mark that calls."""
    banded, loses = band(feed), need.mean / DAY
    normal = ordinary_run(banded, feed.weak, loses)
    low = []
    if banded > 0.0:
        told = {"band": banded, "flow": feed.weak, "loses": loses, "normal": normal, "pumped": 1.0, "stock": 1.0}
        low = [Bound("a run", normal, told)]
        if normal < math.inf:
            low.append(Bound("twice a run", TWICE * normal, told, soft=True))
    high = [_until("rim of a run", _room(feed), feed, loses)]
    if banded > 0.0:
        high.append(replace(_until("rim when full", feed.basin.free(rest(feed)), feed, loses), soft=True))
    has = math.inf if feed.row.at_most is None else feed.row.at_most
    return Limit(RUN, tuple(low), tuple(high), has, {"normal": normal, "band": banded, "flow": feed.strong})


def _until(code: str, room: float, feed: Feed, loses: float) -> Bound:
    told = {"space": room, "flow": feed.strong, "loses": loses}
    if room <= 0.0 or feed.strong <= loses:
        return Bound(code, 0.0 if room <= 0.0 else math.inf, told)
    return Bound(code, time_to_volume(room, feed.strong, loses), told)


def day_cap(feed: Feed, need: Need, asked: Asked) -> Limit | None:
    """The most of a day: what is drawn, and a whole run; a cap that lets a run through bounds one day, no more."""
    if need.mean <= 0.0:
        return None
    banded, times, room = band(feed), feed.counted, _room(feed)
    told = {
        "mean": need.mean, "low": need.low, "high": need.high, "deviation": need.deviation, "band": banded,
        "logged": asked.logged, "cut": asked.cut, "space": max(room, 0.0), "stock": 1.0,
    }  # fmt: skip
    free = no_nuisance(need.mean, need.deviation, asked)
    low = [Bound("need", need.mean * times, told), Bound("nuisance", free * times, told, soft=True)]
    if banded > 0.0:
        low.append(Bound("a whole run", banded * times, told))
    low.append(Bound("day after a cut", day_after_cut(need, banded, asked.cut) * times, told, soft=True))
    high = (Bound("rim in a day", (need.low + max(room, 0.0)) * times, told),)
    has = math.inf if feed.row.per_day is None else feed.row.per_day
    return Limit(A_DAY, tuple(low), high, has, {**told, "counted": times, "away": float(asked.away)})


def gap_limit(feed: Feed, need: Need, busiest: Need, at_most: float) -> Limit | None:
    """The pause between two runs: as long as a run, and short enough for what is drawn on a thirsty day.

    ``busiest``: the need of the season with the highest; ``at_most``: the run limit that it goes with [s]. None where
    no switch for low water starts the runs."""
    banded, thirsty = band(feed), need.high / DAY
    if banded <= 0.0 or busiest.mean <= 0.0:
        return None
    lasts = min(at_most, ordinary_run(banded, feed.weak, busiest.mean / DAY))
    between = banded / (busiest.mean / DAY)
    told = {"band": banded, "loses": busiest.mean / DAY, "between": between, "lasts": lasts, "stock": 1.0}
    low = (Bound("as long as a run", lasts, told, soft=True),) if lasts < math.inf else ()
    high = [Bound("whole pause", between, told, soft=True)]
    if lasts < math.inf and feed.weak > thirsty:  # of a pump that is too weak the run limit tells
        starves = lasts * (feed.weak - thirsty) / thirsty
        high.append(Bound("starves", starves, {"at most": lasts, "flow": feed.weak, "loses": thirsty, "stock": 1.0}))
    return Limit(GAP, low, tuple(high), feed.row.gap or 0.0)


def band_limit(feed: Feed, need: Need, drawn: Sequence[Feed]) -> Limit | None:
    """Between the two marks: a run brings what is drawn in a pause, and both marks lie between inlet and rim."""
    if feed.low is None or need.mean <= 0.0:
        return None
    plant, store = feed.basin.plant, feed.low.store
    apart = feed.low.upper - feed.low.lower
    area, pause = band(feed) / apart, feed.row.gap or 0.0
    low = [Bound("ripples", RIPPLES), Bound("waves", WAVES, soft=True)]
    if pause > 0.0:
        wants = need.high / DAY * pause
        told = {"between runs": pause, "wants": wants, "loses": need.high / DAY}
        low.append(Bound("drawn in a pause", wants / area, told))
    dry, top = _dry(drawn), rim(plant, store)
    high = (Bound("inlet to rim", top - dry, {"dry": dry, "rim": top}),)
    figures = {"band": band(feed), "runs": need.mean / band(feed), "between": band(feed) / (need.mean / DAY)}
    return Limit(BAND, tuple(low), high, apart, {**figures, "lower": feed.low.lower, "rim": top})


def call_limit(feed: Feed, need: Need, drawn: Sequence[Feed]) -> Limit | None:
    """The mark that calls, above the inlet of what draws from the vessel."""
    if feed.low is None or need.mean <= 0.0 or not drawn:
        return None
    plant, store, loses, pause = feed.basin.plant, feed.low.store, need.high / DAY, feed.row.gap or 0.0
    dry = _dry(drawn)
    held = volume(plant, store, dry)
    told = {"dry": dry, "loses": loses, "without": pause, "lost": loses * pause}
    low = (Bound("inlet in a pause", level(plant, store, held + loses * pause), told),)
    high = (
        Bound("ripples below", feed.low.upper - RIPPLES, {"upper": feed.low.upper}),
        Bound("waves below", feed.low.upper - WAVES, {"upper": feed.low.upper}, soft=True),
    )
    lasts = max((volume(plant, store, feed.low.lower) - held) / loses, 0.0)
    return Limit(CALL, low, high, feed.low.lower, {"lasts": lasts, "dry": dry, "stock": 1.0})


def _dry(drawn: Sequence[Feed]) -> float:
    """Level below which the first of what draws from a vessel draws air [m]."""
    return max((inlet(one.basin.plant, counted_edge(one.basin.plant, one.part)) for one in drawn), default=0.0)

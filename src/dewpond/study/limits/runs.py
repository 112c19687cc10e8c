"""How long a run may last, how long it rests after one, and how long it waits after a power cut."""

from __future__ import annotations

import math
from typing import Final

from dewpond.design.checks_top_off import AMBER
from dewpond.physics.vessels import time_to_volume
from dewpond.plant.plant import DAY
from dewpond.study.full import full_level
from dewpond.study.limits.basin import Basin, volume
from dewpond.study.limits.feeds import Feed
from dewpond.study.limits.model import GAP, RUN, WAIT, Asked, Bound, Limit, Need

TWICE: Final = (
    2.0  # of an ordinary run: a pump weakened to half still gets through; common practice, no source, 1.5 to 3
)
THIRD: Final = 1.0 / 3.0  # of the time from run to run: our prior
SETTLED: Final = 3.0  # times until the water has settled; common practice, no source
HOLD_OFF: Final = 300.0  # at least so long after a restart [s]; common practice, no source
FILM: Final = 13e-3  # head over baffles while all runs [m]; our prior, 5 to 20 mm


def band(feed: Feed) -> float:
    """Water between the marks at which a run begins and ends [m3]; 0 where no switch for low water starts it."""
    if feed.low is None:
        return 0.0
    plant = feed.basin.plant
    return volume(plant, feed.low.store, feed.low.upper) - volume(plant, feed.low.store, feed.low.lower)


def rest(feed: Feed) -> float:
    """Highest level of the chamber at which the water usually stands [m]."""
    return _stands(feed, feed.basin)


def _stands(feed: Feed, basin: Basin) -> float:
    full = full_level(basin.plant, basin.chamber)
    return max(full, feed.low.upper) if feed.low is not None and feed.low.store == basin.chamber else full


def free(feed: Feed) -> float:
    """Above the water up to the rim [m3]: of several vessels in that with the least room, less what tanks under
    pressure give into it whether the feed is open or shut."""
    return min(basin.free(_stands(feed, basin)) for basin, _ in feed.fills) - feed.gives


def spare(feed: Feed) -> float:
    """The same less what drains down when the return pump stops [m3]; below zero: not even that finds room."""
    return min(basin.spare(_stands(feed, basin)) for basin, _ in feed.fills) - feed.gives


def ordinary_run(banded: float, flow: float, loses: float) -> float:
    """How long an ordinary run lasts [s]: t = V / (q - E); endless where no more comes than is lost."""
    return banded / (flow - loses) if flow > loses else math.inf


def arrears(banded: float, loses: float, without: float) -> float:
    """What is asked for at once after so long without top-off [m3], begun just before a run: V + E t."""
    return banded + loses * without


def rests_after_restart(feed: Feed, wait: float) -> float:
    """After a power cut a box gives no order for its own wait, nor for the gap of the row: the longer of both [s]."""
    return max(wait, feed.row.gap or 0.0, feed.row.lasting)


def advised_rest(feed: Feed, wait: float, busiest: Need) -> float:
    """The same once the pauses that are advised here are set too [s]: limits that go together must fit each other."""
    between = band(feed) / (busiest.mean / DAY) if busiest.mean > 0.0 else 0.0
    return max(rests_after_restart(feed, wait), THIRD * between, HOLD_OFF if feed.basin.circulation else 0.0)


def run_limit(feed: Feed, need: Need, asked: Asked, rests: float) -> Limit:
    """The longest run. ``rests``: after a restart, see ``advised_rest`` [s]."""
    basin, banded = feed.basin, band(feed)
    loses, thirsty = need.mean / DAY, need.high / DAY
    normal = ordinary_run(banded, feed.weak, loses)
    low = []
    if banded > 0.0:
        told = {"band": banded, "flow": feed.weak, "loses": loses, "normal": normal, "pumped": float(feed.pumped)}
        low = [Bound("a run", normal, told)]
        if normal < math.inf:
            low.append(Bound("twice a run", TWICE * normal, told, soft=True))
    if feed.pumped and thirsty > 0.0 and 0.0 < normal < math.inf:
        without = asked.cut + rests
        owed = arrears(banded, thirsty, without)
        told = {"band": banded, "loses": thirsty, "without": without, "owed": owed, "flow": feed.weak}
        low.append(Bound("arrears", ordinary_run(owed, feed.weak, thirsty), told, soft=True))
    high = [_until("rim", free(feed), feed, loses)]
    if basin.circulation:
        high.append(_until("drain-down", spare(feed), feed, loses))
    fresh = basin.fresh_for(AMBER)
    if fresh < math.inf:
        high.append(_until("salt of a run", fresh, feed, loses, drop=AMBER, water=basin.water, salinity=basin.salinity))
    has = math.inf if feed.row.at_most is None else feed.row.at_most
    return Limit(RUN, tuple(low), tuple(high), has, {"normal": normal, "band": banded, "flow": feed.strong})


def _until(code: str, room: float, feed: Feed, loses: float, **more: float) -> Bound:
    """How long a run may last until it has brought so much more than is lost meanwhile."""
    told = {"space": room, "flow": feed.strong, "loses": loses, "drains": feed.basin.drains_down, **more}
    told["free"], told["gives"] = free(feed), feed.gives
    if room <= 0.0:
        return Bound(code, 0.0, told)
    endless = feed.strong <= loses
    return Bound(code, math.inf if endless else time_to_volume(room, feed.strong, loses), told)


def longest_cut(feed: Feed, need: Need, at_most: float, wait: float) -> float:
    """The longest power cut after which a run still ends before its limit, on a day when much evaporates [s]."""
    thirsty = need.high / DAY
    left = at_most * (feed.weak - thirsty) - band(feed)
    return max(left / thirsty - rests_after_restart(feed, wait), 0.0) if thirsty > 0.0 else math.inf


def gap_limit(feed: Feed, need: Need, busiest: Need, at_most: float) -> Limit | None:
    """The shortest pause between two runs. ``busiest``: the need of the season with the highest; ``at_most``: the run
    limit that it goes with [s]. None where no switch for low water starts the runs."""
    basin, banded = feed.basin, band(feed)
    if banded <= 0.0 or busiest.mean <= 0.0:
        return None
    between = banded / (busiest.mean / DAY)
    told = {"band": banded, "loses": busiest.mean / DAY, "between": between}
    low = (Bound("third of the pause", THIRD * between, told, soft=True),)
    high = [Bound("whole pause", between, told, soft=True)]
    thirsty = need.high / DAY
    if at_most < math.inf and feed.weak > thirsty:  # of a pump that is too weak the run limit tells
        starves = at_most * (feed.weak - thirsty) / thirsty
        high.append(Bound("starves", max(starves, 0.0), {"at most": at_most, "flow": feed.weak, "loses": thirsty}))
    if basin.dry is not None:
        left = max(volume(basin.plant, basin.chamber, rest(feed)) - volume(basin.plant, basin.chamber, basin.dry), 0.0)
        high.append(Bound("dry", left / thirsty, {"left": left, "loses": thirsty}))
    return Limit(GAP, low, tuple(high), feed.row.gap or 0.0)


def wait_limit(feed: Feed, need: Need, wait: float) -> Limit | None:
    """How long nothing is ordered after a restart, until the water has settled; None where none circulates."""
    basin = feed.basin
    if not basin.circulation or feed.low is None or feed.low.store != basin.chamber or need.mean <= 0.0:
        return None
    film = FILM * basin.held_back
    settles = (basin.drains_down + film) / basin.returned
    told = {"drains": basin.drains_down, "film": film, "returned": basin.returned, "settles": settles}
    low = (Bound("settles", settles, told), Bound("hold-off", max(SETTLED * settles, HOLD_OFF), told, soft=True))
    high = []
    if basin.dry is not None:
        left = volume(basin.plant, basin.chamber, feed.low.lower) - volume(basin.plant, basin.chamber, basin.dry)
        told = {"left": max(left, 0.0), "loses": need.high / DAY}
        high.append(Bound("dry before", max(left, 0.0) / (need.high / DAY), told))
    has = rests_after_restart(feed, wait)
    return Limit(WAIT, low, tuple(high), has, {"wait": wait, "gap": feed.row.gap or 0.0, "lasting": feed.row.lasting})

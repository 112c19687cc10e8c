"""After how many litres a part that counts may trip: above what ordinary fills take through it, below what a rim bears.

What runs through it is more than what arrives, where it stands before a membrane: the waste water counts too.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from dewpond.physics.statistics import spread_of_sum, store_for_risk
from dewpond.plant import engine
from dewpond.plant.plant import DAY, STARTS, Plant, Scenario
from dewpond.study.clocks import Hours
from dewpond.study.counters import A_DRAW, BY_HAND, MIDNIGHT, Counter, counted_of, in_one_count, is_reached
from dewpond.study.filling import Fill, Looked, fill_volume, island_of
from dewpond.study.full import full_level
from dewpond.study.limits.basin import WHO, rim, volume
from dewpond.study.limits.caps import no_nuisance
from dewpond.study.limits.feeds import Feed, counted_edge, cushioned
from dewpond.study.limits.model import COUNT, NO_NEED, Asked, Bound, Limit, Need
from dewpond.study.limits.runs import band, free
from dewpond.study.limits.vessels import LIKENESS, LOGGED, RISK, overflow_of
from dewpond.study.lines import Line

MARGIN: Final = 1.3  # of an ordinary draw: what a wheel and a dial are off; our prior, 1.1 to 1.5
LOOKED_AT: Final = 3.0 * DAY  # ordinary days in which draws are seen [s]
FINE: Final = 0.05  # to which the largest draw of ordinary days is looked for [1]
NEVER: Final = 1e9  # a count that is not reached [m3]


@dataclass(frozen=True)
class Taken:
    """What one vessel takes through a part that counts.

    need   of a day, as it arrives
    times  what is counted for one part of that [1]; flow: through the part meanwhile [m3/s]
    run    what it is short of when a run begins, as it arrives; 0 where it is filled whenever its float lets it [m3]
    empty  from empty up to where it is full, as it arrives [m3]
    room   above that, less what tanks under pressure give; endless with an overflow [m3]
    first  others that must be full before any comes, even while its float sticks: they lie lower
    """

    vessel: str
    need: Need
    times: float
    flow: float
    run: float
    empty: float
    room: float
    first: tuple[str, ...] = ()


def through_floats(
    plant: Plant, counter: Counter, line: Line, looked: Looked, fills: Sequence[Fill], wants: Callable[[int], Need]
) -> Iterator[Taken]:
    """The vessels of a line that are filled through a part that counts."""
    for store, edge in line.edges.items():
        share = counted_of(plant, counter, line, looked, edge)
        if share is None:
            continue
        above = volume(plant, store, rim(plant, store)) - volume(plant, store, full_level(plant, store))
        room = math.inf if overflow_of(plant, store) is not None else above - cushioned(plant, edge, store)
        name, empty = plant.stores[store], fill_volume(plant, edge, store)
        first = next(fill.once for fill in fills if fill.vessel == name)
        yield Taken(name, wants(store), share.times, share.flow, 0.0, empty, room, first)


def by_marks(plant: Plant, counter: Counter, feeds: Sequence[Feed], wants: Callable[[Feed], Need]) -> Iterator[Taken]:
    """Vessels that a row fills from mark to mark through a part that counts."""
    for feed in feeds:
        if feed.pumped or feed.low is None or counter.edge not in island_of(plant, counted_edge(plant, feed.part)):
            continue
        room = math.inf if overflow_of(plant, feed.store) is not None else free(feed)
        empty = volume(plant, feed.low.store, feed.low.upper)
        flow = feed.strong * feed.counted
        yield Taken(plant.stores[feed.store], wants(feed), feed.counted, flow, band(feed), empty, room)


def count_limit(
    plant: Plant, counter: Counter, taken: Sequence[Taken], clock: Hours | None, asked: Asked
) -> Limit | None:
    """After how many litres a part may trip. ``clock``: that of its line; None without one.
    None where nothing is filled through it."""
    if not taken:
        return None
    days = _days(counter, clock, asked)
    at_once = in_one_count(counter, max(one.flow for one in taken), clock)
    mean, usual = (min(value, at_once) for value in _ordinary(plant, counter, taken, days, asked))
    empty = min(sum(one.empty * one.times for one in taken), at_once)
    told = {"days": days, "times": max(one.times for one in taken), "at once": at_once}
    told |= {"drawn": float(counter.since == A_DRAW), "hand": float(counter.since == BY_HAND)}
    told |= {"clock": float(clock is not None), "acts": float(counter.acts), "empty": empty, "ordinary": mean}
    low = (
        Bound("ordinary count", usual, {**told, "usual": usual}),
        Bound("margin of a count", MARGIN * usual, {**told, "usual": usual}, soft=True),
        Bound("empty count", empty, told, soft=True),
    )
    high = tuple(_rims(counter, taken, clock, days, told)) if counter.acts else ()
    return Limit(COUNT, low, high, counter.volume, told)


def _days(counter: Counter, clock: Hours | None, asked: Asked) -> float:
    """For how many days a count goes on [1]; 0: until the next pause, with no clock that makes it."""
    if counter.since == BY_HAND:
        return asked.unseen
    if counter.since == MIDNIGHT:
        return 1.0
    return 0.0 if clock is None else clock.every / DAY


def _ordinary(
    plant: Plant,
    counter: Counter,
    taken: Sequence[Taken],
    days: float,
    asked: Asked,
) -> tuple[float, float]:
    """What is counted in the mean, and what ordinary days exceed but rarely [m3]."""
    if days == 0.0:
        run = max((one.run * one.times for one in taken), default=0.0)
        run = run if run > 0.0 else _largest_draw(plant, counter, taken)
        return run, run
    need = sum((one.need for one in taken), NO_NEED)
    mean = sum(one.need.mean * one.times for one in taken) * days
    if need.mean <= 0.0:
        return 0.0, 0.0
    times = mean / (need.mean * days)
    if counter.since == BY_HAND:
        spread = spread_of_sum(days, need.deviation, LIKENESS, LOGGED)
        usual = store_for_risk(need.mean * days, spread, RISK) * times
    else:
        usual = sum(no_nuisance(one.need.mean, one.need.deviation, asked) * one.times for one in taken) * days
    return mean, usual


def _free_of(plant: Plant, counter: Counter, taken: Sequence[Taken], at: float) -> Plant:
    """The plant with its vessels full and a count that trips at another volume [m3]."""
    a = plant.arrays
    names = {one.vessel for one in taken}
    start = [
        volume(plant, s, full_level(plant, s)) if name in names else a.store_start[s]
        for s, name in enumerate(plant.stores)
    ]
    mark = int(a.sig_arg[counter.signal])
    on = [at if k == mark else NEVER if _same_count(plant, k, mark) else v for k, v in enumerate(a.thr_on)]
    off = [0.5 * on[k] if _same_count(plant, k, mark) else v for k, v in enumerate(a.thr_off)]
    return replace(plant, arrays=a._replace(store_start=start, thr_on=on, thr_off=off))


def _same_count(plant: Plant, one: int, mark: int) -> bool:
    a = plant.arrays
    return a.thr_kind[one] == a.thr_kind[mark] and a.cnt_edge[a.thr_ref[one]] == a.cnt_edge[a.thr_ref[mark]]


def _largest_draw(plant: Plant, counter: Counter, taken: Sequence[Taken]) -> float:
    """The largest draw of ordinary days [m3]: the volume at which it just does not trip, halved upon."""
    whole = engine.run(_free_of(plant, counter, taken, NEVER), Scenario(WHO, LOOKED_AT, (), STARTS[WHO]), compiled=None)
    high = max(whole.moved[counter.edge], 0.0)
    low = 0.01 * high
    while high > (1.0 + FINE) * low > 0.0:
        tried = math.sqrt(low * high)
        laid = _free_of(plant, counter, taken, tried)
        trace = engine.run(laid, Scenario(WHO, LOOKED_AT, (), STARTS[WHO]), compiled=None)
        low, high = (tried, high) if is_reached(counter, trace) else (low, tried)
    return high


def _rims(
    counter: Counter, taken: Sequence[Taken], clock: Hours | None, days: float, told: dict[str, float]
) -> Iterator[Bound]:
    """What may run until a vessel whose float sticks is full to its rim: what is missing from it at first, and its
    room. Where a count begins anew at a midnight with no clock that keeps water away then, two counts may come."""
    for one in taken:
        if one.room == math.inf:
            continue
        halved = clock is None and counter.since == MIDNIGHT
        room = (0.5 if halved else 1.0) * max(one.room, 0.0)
        used = 0.0
        if counter.since != BY_HAND:
            before = sum(other.need.low for other in taken if other.vessel in one.first)
            used = (one.need.low + before) * days + one.run * (days == 0.0)
        figures = {**told, "space": room, "used": used, "times": one.times, "halved": float(halved)}
        figures["known"] = float(all(other.need.known for other in taken))
        yield Bound("rim of a count", (used + room) * one.times, figures, by=one.vessel)

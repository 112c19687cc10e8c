"""Every way of filling the reservoirs of one house, side by side.

The house is taken as the file describes it; only when its feed is open differs. What a float that stays open does is
run in the engine, with all that the file has against it; what the feed could give if nothing acted is plain arithmetic.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from dewpond.plant.balance import Product, products, stages, starts
from dewpond.plant.plant import DAY, Plant
from dewpond.plant.trace import Trace
from dewpond.plant.upstream import upstream
from dewpond.study import filling, ordinary
from dewpond.study.drills import LENGTHS
from dewpond.study.ways import gating
from dewpond.study.ways.ending import ended, ended_by_a_can, until_then
from dewpond.study.ways.floods import Begin, Open, Other, Tried, as_it_stands, at_the_low_mark, worst
from dewpond.study.ways.model import (
    AT_HOME,
    BUTTON,
    CARRYING,
    FROM_MARK,
    NO_FLOAT,
    NO_WATER,
    NOT_AWAY,
    PERMANENT,
    WINDOW,
    ComparisonError,
    Effort,
    Ended,
    Way,
)  # fmt: skip

WEEK = 7.0 * DAY
MINUTE = 60.0
CAN = 20e-3  # what is carried at a time [m3]; common practice, no source
MARGIN = 1.25  # a timed fill is so much longer than what is needed takes, so that it catches up; our prior
LATEST = 7.0 * DAY  # nobody wants to press a button, or to carry, less often than once in so long; our prior [s]
RESERVE = 0.8  # share of a reservoir that is used until the next fill by hand; our prior
STEP = 300.0  # timers are set in steps of five minutes [s]
SHORTEST = 900.0  # and a daily window is at least so long [s]
FROM_HALF = 0.5  # share of a reservoir that is refilled from mark to mark; our prior
TIMEOUT = 1.75  # a fill from mark to mark is given so many times the time that it takes in winter
LOOKED_AT = 14.0 * DAY  # ordinary days that are run [s]
A_CAN = Effort(5.0 * MINUTE, 10.0 * MINUTE, 20.0 * MINUTE)  # open a tap, wait beside it, carry, pour; our prior
A_PRESS = Effort(1.0 * MINUTE, 2.0 * MINUTE, 4.0 * MINUTE)  # look, press, look again afterwards; our prior
A_TURN = Effort(0.5 * MINUTE, 1.0 * MINUTE, 2.0 * MINUTE)  # open a valve, and shut it again; our prior
A_LOOK = Effort(1.0 * MINUTE, 2.0 * MINUTE, 5.0 * MINUTE)  # at the reservoir, once a week; our prior
NONE = Effort(0.0, 0.0, 0.0)
A_TRIP = Effort(1.0 * MINUTE, 3.0 * MINUTE, 6.0 * MINUTE)  # fill up, shut, open afterwards; our prior


class Stock(NamedTuple):
    """A reservoir that tanks are topped up from: what it can give with what it is refilled from [m3], and how long that
    lasts with the feed shut, with one chance in twenty of less [s]."""

    vessel: str
    usable: float
    lasts: float


class Filled(NamedTuple):
    """A vessel that a float fills: what it can give itself [m3], and the share of the need that comes through it."""

    vessel: str
    usable: float
    share: float


class House(NamedTuple):
    """What the ways are reckoned with.

    need [m3/s]: usual and high, that has to be filled in; usable [m3]: what all vessels of the stocks can give; stocks:
    at least one; trips: how often a year everybody is away
    """

    need: float
    high: float
    usable: float
    stocks: tuple[Stock, ...]
    filled: tuple[Filled, ...]
    trips: float

    @property
    def first(self) -> Stock:
        """The reservoir that is empty first with the feed shut."""
        return min(self.stocks, key=lambda one: one.lasts)

    @property
    def lasts(self) -> float:
        """How long until the first reservoir is empty with the feed shut, with one chance in twenty of less [s]."""
        return self.first.lasts


class _Unit(NamedTuple):
    """What fills some of the vessels, one after the other or together: all that it makes comes to one of them where the
    others are full. flow [m3/s]; share of the need that it makes; vessels."""

    flow: float
    share: float
    filled: tuple[Filled, ...]


class _Fills(NamedTuple):
    """The fills from the supply: (edge, vessel), what makes the water for them, faults that leave one open; others:
    answers that nobody gave; looked: how all fills run."""

    edges: tuple[tuple[int, int], ...]
    units: tuple[_Unit, ...]
    stuck: tuple[str, ...]
    others: tuple[Other, ...]
    looked: filling.Looked

    @property
    def flow(self) -> float:
        """The most that runs past one float that stays open [m3/s]."""
        return max((unit.flow for unit in self.units), default=0.0)

    @property
    def wet(self) -> Iterator[_Unit]:
        """Those that make water."""
        return (unit for unit in self.units if unit.flow > filling.NO_FLOW)

    def time(self, volume: float) -> float:
        """In which so much is made for all vessels together, each unit making its share [s]."""
        return max(volume * unit.share / unit.flow for unit in self.wet)

    def ended(self, plant: Plant, trace: Trace) -> Ended | None:
        """What has ended all fills by the end of an ordinary run."""
        return ended(plant, trace, self.looked, {plant.stores[store] for _, store in self.edges})

    def short(self, volume: float, time: float) -> bool:
        """Whether so much is not made in a time."""
        return any(unit.flow * time < volume * unit.share for unit in self.units)


def ways(looked: filling.Looked, house: House, others: Sequence[Other] = ()) -> tuple[Way, ...]:
    """All ways, in the order of WAYS. ``looked``: how its fills run; ``others``: answers that the file leaves open.

    Raises ComparisonError where the unit fills no vessel through a float.
    """
    plant, fills = looked.at, _fills(looked.at, looked, house, others)  # each way opens the feed by itself, at any hour
    if not fills.edges:
        raise ComparisonError(NO_FLOAT)
    if fills.flow <= filling.NO_FLOW:
        raise ComparisonError(NO_WATER)
    return tuple(until_then(way, house.lasts) for way in _all(plant, house, fills))


def _fills(plant: Plant, looked: filling.Looked, house: House, others: Sequence[Other]) -> _Fills:
    """Vessels whose own float ends their fill from the supply; those filled out of another vessel are left out."""
    edges = tuple((edge, store) for edge, store in looked.filled.items() if edge not in looked.drawn)
    gates = {plant.arrays.edge_gate[edge] for edge, _ in edges}
    stuck = tuple(
        fault.label
        for fault in plant.faults
        if fault.timing == "latent"
        and any(what == "low" and number in gates and value >= 1.0 for what, number, value in fault.patches)
    )
    return _Fills(edges, tuple(_units(plant, looked, edges, house)), stuck, tuple(others), looked)


def _units(plant: Plant, looked: filling.Looked, edges: Sequence[tuple[int, int]], house: House) -> Iterator[_Unit]:
    """The fills of the same membranes taken together: what one of them gets, another does not."""
    by: dict[frozenset[int], list[tuple[int, int]]] = {}
    membranes = frozenset(one for _, one in plant.membranes)
    for edge, store in edges:
        by.setdefault(membranes.intersection(upstream(plant, edge, membranes)), []).append((edge, store))
    for own in by.values():
        flow = max(sum(max(trace.flow[edge], 0.0) for edge, _ in own) for trace, _ in looked.turns)
        names = {plant.stores[store] for _, store in own}
        filled = tuple(one for one in house.filled if one.vessel in names)
        yield _Unit(flow, sum(one.share for one in filled), filled)


def _all(plant: Plant, house: House, fills: _Fills) -> Iterator[Way]:
    week = house.need * WEEK
    longest = RESERVE * min(house.usable / max(house.high, 1e-12), house.lasts)
    interval = max(DAY, DAY * math.floor(min(LATEST, longest) / DAY))
    yield _carrying(plant, house, interval, fills)
    press = _timer(fills.time(MARGIN * house.high * interval))
    yield _timed(plant, house, fills, BUTTON, press, interval, ("at home",), _scaled(A_PRESS, WEEK / interval))
    window = max(SHORTEST, _timer(fills.time(MARGIN * house.high * DAY)))
    yield _timed(plant, house, fills, WINDOW, window, DAY, tuple(LENGTHS), A_LOOK)
    yield _while_home(plant, house, fills)
    yield _not_away(plant, house, fills)
    yield _from_mark(plant, house, fills, week)
    yield _permanent(plant, house, fills)


def _scaled(effort: Effort, times: float, more: Effort = NONE) -> Effort:
    return Effort(*(times * one + other for one, other in zip(effort, more, strict=True)))


def _timer(time: float) -> float:
    """What a timer is set to for what takes so long [s]."""
    return STEP * max(math.ceil(time / STEP), 1)


# --- what each way comes to -------------------------------------------------------------------------------------------


def _carrying(plant: Plant, house: House, interval: float, fills: _Fills) -> Way:
    """Nothing is plumbed to the reservoir; the unit runs when cans are filled, once for all of an interval."""
    week = house.need * WEEK
    sessions = WEEK / interval
    made = _by_a_membrane(plant)
    strength = made._replace(volume=week, starts=sessions).mean() if made else None
    effort = _scaled(A_CAN, week / CAN)
    return Way(
        CARRYING, 0.0, interval, effort, 0.0, 0.0, None, house.lasts, sessions, week, strength,
        ended=ended_by_a_can(plant, fills.looked, min(CAN, week / sessions)),
    )  # fmt: skip


def _timed(
    plant: Plant, house: House, fills: _Fills, name: str, opens: float, every: float, who: Sequence[str], effort: Effort
) -> Way:
    """The feed is open for so long, again and again."""
    windows = gating.regularly(opens, every, LOOKED_AT)
    by_hand = name == BUTTON
    tried = _worst(  # whoever finds water does not press again
        plant, fills, who, lambda one: [(0.0, opens)] if by_hand else gating.regularly(opens, every, LENGTHS[one])
    )
    alone = house.lasts if by_hand else math.inf
    days, past = _ordinary(plant, house, fills, windows), fills.flow * opens
    return Way(
        name, opens, every, effort, past, past * min(1.0, DAY / every), tried.flood, alone, *days.unit,
        short=fills.short(house.need * every, opens), hangs=tried.hangs, ended=days.ended,
    )  # fmt: skip


def _while_home(plant: Plant, house: House, fills: _Fills) -> Way:
    """Somebody opens the feed on coming home or getting up, and shuts it on leaving or going to bed."""
    who = ("at home", "asleep", "out")
    windows = gating.while_home(plant, "at home", LOOKED_AT)
    longest = max((end - begin for begin, end in windows), default=0.0)
    stays = len(windows) * WEEK / LOOKED_AT
    hours = sum(end - begin for begin, end in windows) / LOOKED_AT
    tried = _worst(plant, fills, who, lambda one: gating.while_home(plant, one, LENGTHS[one]))
    past, a_day, days = fills.flow * longest, fills.flow * hours * DAY, _ordinary(plant, house, fills, windows)
    return Way(
        AT_HOME, longest, 0.0, _scaled(A_TURN, stays), past, a_day, tried.flood, house.lasts,
        *days.unit, short=fills.short(house.need * DAY, hours * DAY), hangs=tried.hangs, ended=days.ended,
    )  # fmt: skip


def _not_away(plant: Plant, house: House, fills: _Fills) -> Way:
    """As a permanent float, with the feed shut by hand on every journey."""
    effort = _scaled(A_TRIP, house.trips * WEEK / (365.25 * DAY), A_LOOK)
    tried = _worst(plant, fills, tuple(LENGTHS), lambda one: [] if one == "travelling" else None)
    days = _ordinary(plant, house, fills, None)
    return Way(
        NOT_AWAY, math.inf, 0.0, effort, math.inf, fills.flow * DAY, tried.flood, house.lasts,
        *days.unit, short=fills.short(house.need, 1.0), hangs=tried.hangs, ended=days.ended,
    )  # fmt: skip


def _from_mark(plant: Plant, house: House, fills: _Fills, week: float) -> Way:
    """The feed opens at a low mark and shuts at a high one; a fill that takes too long ends for good."""
    bands = {one.vessel: FROM_HALF * one.usable for one in house.filled if one.usable > 0.0}
    limit = _timer(TIMEOUT * max(sum(bands.get(one.vessel, 0.0) for one in u.filled) / u.flow for u in fills.wet))
    past = max(  # where the one that stays open needed the least, and all others are full
        u.flow * limit - min((bands[one.vessel] for one in u.filled if one.vessel in bands), default=0.0)
        for u in fills.wet
    )
    low = at_the_low_mark(plant, fills.edges, 1.0 - FROM_HALF)
    tried = _worst(
        plant, fills, tuple(LENGTHS), lambda one: [(0.0, min(limit, LENGTHS[one]))],
        lambda one: at_the_low_mark(one, fills.edges, 1.0 - FROM_HALF),
    )  # fmt: skip
    often = sum(week * one.share / bands[one.vessel] for one in house.filled if one.vessel in bands)
    made = _by_a_membrane(plant)  # full flow up to the high mark: one start a fill
    strength = made._replace(volume=week, starts=often).mean() if made else None
    return Way(
        FROM_MARK, limit, WEEK / often, A_LOOK, past, past, tried.flood, math.inf, often, week, strength,
        short=fills.short(house.need, 1.0), hangs=tried.hangs,
        ended=fills.ended(*gating.run(low, ordinary.who(plant), limit, None)),
    )  # fmt: skip


def _permanent(plant: Plant, house: House, fills: _Fills) -> Way:
    """The float alone decides, day and night."""
    tried, days = _worst(plant, fills, tuple(LENGTHS), lambda _: None), _ordinary(plant, house, fills, None)
    return Way(
        PERMANENT, math.inf, 0.0, A_LOOK, math.inf, fills.flow * DAY, tried.flood, math.inf,
        *days.unit, short=fills.short(house.need, 1.0), hangs=tried.hangs, ended=days.ended,
    )  # fmt: skip


# --- runs -------------------------------------------------------------------------------------------------------------


def _worst(plant: Plant, fills: _Fills, who: Sequence[str], open_: Open, begin: Begin = as_it_stands) -> Tried:
    return worst(plant, fills.stuck, who, open_, fills.others, begin)


class _Days(NamedTuple):
    """Of ordinary days: starts a week, product a week [m3] and its strength [kg/m3]; and what ended them."""

    unit: tuple[float, float, float | None]
    ended: Ended | None


def _ordinary(plant: Plant, house: House, fills: _Fills, open_: gating.Windows | None) -> _Days:
    """What ordinary days come to.

    Every way makes what is needed: so many litres as a run happens to make, filling up or falling behind, would tell
    of its first and last fill only. How often it starts for them is that of ordinary days, and at least as often as the
    feed is opened: that it was shut is a standstill that no shut-off counts.
    """
    gated, trace = gating.run(plant, ordinary.who(plant), LOOKED_AT, open_)
    made = [one for one in _purified(gated, trace) if one.volume > 0.0]
    end = fills.ended(gated, trace)
    if not made:
        return _Days((0.0, 0.0, None), end)
    week, volume, lead = house.need * WEEK, sum(one.volume for one in made), max(made, key=lambda one: one.volume)
    opened = 0.0 if open_ is None else float(sum(begin < trace.end for begin, _ in open_))
    often = starts(lead.turned * week / volume, max(opened, lead.opened) * WEEK / trace.end, week)
    return _Days((often, week, lead._replace(volume=week, starts=often).mean()), end)


def _purified(plant: Plant, trace: Trace) -> list[Product]:
    """What those membranes made whose product feeds no other."""
    fed = set(stages(plant).values())
    return [one for one, (_, edge) in zip(products(plant, trace), plant.membranes, strict=True) if edge not in fed]


def _by_a_membrane(plant: Plant) -> Product | None:
    """What the first membrane makes, as an ordinary day shows it."""
    _, trace = gating.run(plant, ordinary.who(plant), DAY, None)
    return next(iter(_purified(plant, trace)), None)

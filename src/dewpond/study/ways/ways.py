"""Every way of filling the reservoirs of one house, side by side.

The house is taken as the file describes it; only when its feed is open differs. What a float that stays open does is
run in the engine, with all that the file has against it; what the feed could give if nothing acted is plain arithmetic.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from dewpond.plant.balance import Product, products, stages, starts
from dewpond.plant.consequence import judge
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.plant import DAY, Plant, PlantFault
from dewpond.plant.trace import Trace
from dewpond.study import filling, ordinary
from dewpond.study.drills import LENGTHS
from dewpond.study.ways import gating
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
    Flood,
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


class House(NamedTuple):
    """What the ways are reckoned with.

    need [m3/s]: usual and high, that has to be filled in; usable [m3]: what vessels that the unit fills can give, with
    those that they are pumped on into; lasts [s]: with the feed shut, with one chance in twenty of less; trips: how
    often a year everybody is away; behind [m3]: of ``usable``, what stands in vessels that are filled out of others
    """

    need: float
    high: float
    usable: float
    lasts: float
    trips: float
    behind: float = 0.0


class _Fills(NamedTuple):
    """The fills by the unit: (edge, vessel), flow of all together [m3/s], faults that leave one open."""

    edges: tuple[tuple[int, int], ...]
    flow: float
    stuck: tuple[PlantFault, ...]


def ways(plant: Plant, house: House) -> tuple[Way, ...]:
    """All ways, in the order of WAYS. Raises ComparisonError where the unit fills no vessel through a float."""
    looked = filling.look(plant, None)
    plant, fills = looked.at, _fills(plant, looked)  # each way opens the feed by itself, at whatever hour
    if not fills.edges:
        raise ComparisonError(NO_FLOAT)
    if fills.flow <= filling.NO_FLOW:
        raise ComparisonError(NO_WATER)
    return tuple(_all(plant, house, fills))


def _fills(plant: Plant, looked: filling.Looked) -> _Fills:
    """Vessels whose own float ends their fill from the supply; those filled out of another vessel are left out."""
    edges = tuple((edge, store) for edge, store in looked.filled.items() if edge not in looked.drawn)
    flow = sum(
        fill.flow for fill in {f.part: f for f in (filling.fill_of(plant, looked, e) for e, _ in edges)}.values()
    )
    gates = {plant.arrays.edge_gate[edge] for edge, _ in edges}
    stuck = tuple(
        fault
        for fault in plant.faults
        if fault.timing == "latent"
        and any(what == "low" and number in gates and value >= 1.0 for what, number, value in fault.patches)
    )
    return _Fills(edges, flow, stuck)


def _all(plant: Plant, house: House, fills: _Fills) -> Iterator[Way]:
    week = house.need * WEEK
    interval = max(DAY, DAY * math.floor(min(LATEST, RESERVE * house.usable / max(house.high, 1e-12)) / DAY))
    yield _carrying(plant, house, interval)
    press = _timer(MARGIN * house.high * interval, fills.flow)
    yield _timed(plant, house, fills, BUTTON, press, interval, ("at home",), _scaled(A_PRESS, WEEK / interval))
    window = max(SHORTEST, _timer(MARGIN * house.high * DAY, fills.flow))
    yield _timed(plant, house, fills, WINDOW, window, DAY, tuple(LENGTHS), A_LOOK)
    yield _while_home(plant, house, fills)
    yield _not_away(plant, house, fills)
    yield _from_mark(plant, house, fills, week)
    yield _permanent(plant, house, fills)


def _scaled(effort: Effort, times: float, more: Effort = NONE) -> Effort:
    return Effort(*(times * one + other for one, other in zip(effort, more, strict=True)))


def _timer(volume: float, flow: float) -> float:
    """What a timer is set to for a volume at a flow [s]."""
    return STEP * math.ceil(volume / flow / STEP)


# --- what each way comes to -------------------------------------------------------------------------------------------


def _carrying(plant: Plant, house: House, interval: float) -> Way:
    """Nothing is plumbed to the reservoir; the unit runs when cans are filled, once for all of an interval."""
    week = house.need * WEEK
    sessions = WEEK / interval
    made = _by_a_membrane(plant)
    strength = made._replace(volume=week, starts=sessions).mean() if made else None
    effort = _scaled(A_CAN, week / CAN)
    return Way(CARRYING, 0.0, interval, effort, 0.0, 0.0, None, house.lasts, sessions, week, strength)


def _timed(
    plant: Plant, house: House, fills: _Fills, name: str, opens: float, every: float, who: Sequence[str], effort: Effort
) -> Way:
    """The feed is open for so long, again and again."""
    windows = gating.regularly(opens, every, LOOKED_AT)
    by_hand = name == BUTTON
    flood = _worst(
        plant, fills, who, lambda one: gating.regularly(opens, every if not by_hand else math.inf, LENGTHS[one])
    )
    alone = house.lasts if by_hand else math.inf
    ordinary = _ordinary(plant, house, windows)
    past = fills.flow * opens if fills.flow > filling.NO_FLOW else 0.0  # else it would be open for ever, for nothing
    return Way(
        name, opens, every, effort, past, past * min(1.0, DAY / every), flood, alone, *ordinary,
        short=past < house.need * every,
    )  # fmt: skip


def _while_home(plant: Plant, house: House, fills: _Fills) -> Way:
    """Somebody opens the feed on coming home or getting up, and shuts it on leaving or going to bed."""
    who = ("at home", "asleep", "out")
    windows = gating.while_home(plant, "at home", LOOKED_AT)
    longest = max((end - begin for begin, end in windows), default=0.0)
    stays = len(windows) * WEEK / LOOKED_AT
    hours = sum(end - begin for begin, end in windows) / LOOKED_AT
    flood = _worst(plant, fills, who, lambda one: gating.while_home(plant, one, LENGTHS[one]))
    past, a_day = fills.flow * longest, fills.flow * hours * DAY
    return Way(
        AT_HOME, longest, 0.0, _scaled(A_TURN, stays), past, a_day, flood, house.lasts,
        *_ordinary(plant, house, windows),
        short=a_day < house.need * DAY,
    )  # fmt: skip


def _not_away(plant: Plant, house: House, fills: _Fills) -> Way:
    """As a permanent float, with the feed shut by hand on every journey."""
    effort = _scaled(A_TRIP, house.trips * WEEK / (365.25 * DAY), A_LOOK)
    floods = [
        _worst(plant, fills, ("at home", "asleep", "out"), lambda _: None),
        _worst(plant, fills, ("travelling",), lambda _: []),
    ]
    flood = max((one for one in floods if one), key=lambda one: one.on_floors, default=None)
    return Way(
        NOT_AWAY, math.inf, 0.0, effort, math.inf, fills.flow * DAY, flood, house.lasts, *_ordinary(plant, house, None),
        short=fills.flow < house.need,
    )  # fmt: skip


def _from_mark(plant: Plant, house: House, fills: _Fills, week: float) -> Way:
    """The feed opens at a low mark and shuts at a high one; a fill that takes too long ends for good."""
    band = FROM_HALF * (house.usable - house.behind)
    every = band / house.need
    limit = STEP * max(math.ceil(TIMEOUT * band / fills.flow / STEP), 1)
    past = max(fills.flow * limit - band, 0.0)
    low = _at_the_low_mark(plant, fills)
    flood = _worst(low, fills, tuple(LENGTHS), lambda one: [(0.0, min(limit, LENGTHS[one]))])
    often, made = WEEK / every, _by_a_membrane(plant)  # full flow up to the high mark: one start a fill
    strength = made._replace(volume=week, starts=often).mean() if made else None
    short = fills.flow < house.need
    return Way(FROM_MARK, limit, every, A_LOOK, past, past, flood, math.inf, often, week, strength, short=short)


def _permanent(plant: Plant, house: House, fills: _Fills) -> Way:
    """The float alone decides, day and night."""
    flood = _worst(plant, fills, tuple(LENGTHS), lambda _: None)
    return Way(
        PERMANENT, math.inf, 0.0, A_LOOK, math.inf, fills.flow * DAY, flood, math.inf, *_ordinary(plant, house, None),
        short=fills.flow < house.need,
    )  # fmt: skip


# --- runs -------------------------------------------------------------------------------------------------------------


def _at_the_low_mark(plant: Plant, fills: _Fills) -> Plant:
    """The plant with its reservoirs filled to where a fill from mark to mark begins."""
    start = list(plant.arrays.store_start)
    for edge, store in fills.edges:
        full = float(volume_of(plant.arrays, store, plant.arrays.gate_a[plant.arrays.edge_gate[edge]]))
        start[store] = min(start[store], (1.0 - FROM_HALF) * full)
    return replace(plant, arrays=plant.arrays._replace(store_start=start))


def _worst(
    plant: Plant, fills: _Fills, who: Sequence[str], open_: Callable[[str], gating.Windows | None]
) -> Flood | None:
    """The run with the most water on floors, of every fault that leaves a float open and everywhere people may be."""
    worst: Flood | None = None
    for fault in fills.stuck:
        for one in who:
            gated, trace = gating.run(plant, one, LENGTHS[one], open_(one), (fault.label,))
            told = judge(gated, trace)
            flood = Flood(fault.label, one, told.on_floors, told.first_noticed, told.still_running, LENGTHS[one])
            if worst is None or flood.on_floors > worst.on_floors:
                worst = flood
    return worst


def _ordinary(plant: Plant, house: House, open_: gating.Windows | None) -> tuple[float, float, float | None]:
    """Starts a week, product a week [m3] and its strength [kg/m3].

    Every way makes what is needed: so many litres as a run happens to make, filling up or falling behind, would tell
    of its first and last fill only. How often it starts for them is that of ordinary days, and at least as often as the
    feed is opened: that it was shut is a standstill that no shut-off counts.
    """
    gated, trace = gating.run(plant, ordinary.who(plant), LOOKED_AT, open_)
    made = [one for one in _purified(gated, trace) if one.volume > 0.0]
    if not made:
        return 0.0, 0.0, None
    week, volume, lead = house.need * WEEK, sum(one.volume for one in made), max(made, key=lambda one: one.volume)
    opened = 0.0 if open_ is None else float(sum(begin < trace.end for begin, _ in open_))
    often = starts(lead.turned * week / volume, max(opened, lead.opened) * WEEK / trace.end, week)
    return often, week, lead._replace(volume=week, starts=often).mean()


def _purified(plant: Plant, trace: Trace) -> list[Product]:
    """What those membranes made whose product feeds no other."""
    fed = set(stages(plant).values())
    return [one for one, (_, edge) in zip(products(plant, trace), plant.membranes, strict=True) if edge not in fed]


def _by_a_membrane(plant: Plant) -> Product | None:
    """What the first membrane makes, as an ordinary day shows it."""
    _, trace = gating.run(plant, ordinary.who(plant), DAY, None)
    return next(iter(_purified(plant, trace)), None)

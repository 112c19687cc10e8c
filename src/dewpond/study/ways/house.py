"""What the ways of filling are reckoned with in a house: its need and its reservoirs, as its ordinary year has them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import replace

from dewpond.design.model import Design
from dewpond.parts.base import LOAD, Kind
from dewpond.physics.resin import ionic_load
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY
from dewpond.study import filling
from dewpond.study.ways.model import NO_FLOAT, NO_NEED, NOT_JOINED, NOTHING_USABLE, ComparisonError, Way
from dewpond.study.ways.ways import WEEK, House, ways
from dewpond.study.year.model import Month, Year

AWAY = "travelling"  # the key with which people say how long they are away in a year [s]
JOURNEY = 7.0 * DAY  # a journey takes about a week; our prior


def looked_at(design: Design, kinds: Mapping[str, Kind], year: Year, season: str) -> tuple[House, tuple[Way, ...]]:
    """The house in a season, and every way of filling it. Raises ComparisonError as ``house_of`` and ``ways`` do."""
    month = year.winter if season == "winter" else year.summer
    plant = lower(design, season)
    filled = {plant.stores[store] for _, store in filling.filled_edges(plant)}
    if not filled:
        raise ComparisonError(NO_FLOAT)
    house = house_of(design, year, month, filled)
    return house, tuple(_with_resin(ways(plant, house), design, kinds, year.gas.middle))


def house_of(design: Design, year: Year, month: Month, filled: Set[str]) -> House:
    """``filled``: vessels that a float fills; what they give is drawn from them, or pumped on into reservoirs.

    Raises ComparisonError where tanks need nothing, or can draw nothing of what the floats fill.
    """
    held: dict[str, float] = {}
    lasts = math.inf
    for one in year.reservoirs:
        chain = {one.vessel: one.usable, **dict(one.behind)}
        if filled & chain.keys():
            held |= chain
            lasts = min(lasts, month.lasts.get(one.vessel, (0.0,))[0])
    if not held:
        raise ComparisonError(NOT_JOINED)
    usable = sum(held.values())
    if usable <= 0.0:
        raise ComparisonError(NOTHING_USABLE)
    if month.need.middle <= 0.0:
        raise ComparisonError(NO_NEED)
    span = month.days * DAY
    away = max((float(part[AWAY]) for part in design.parts if part.get(AWAY)), default=0.0)
    high = max(month.need.high / span, usable / (lasts * DAY) if lasts > 0.0 else 0.0)
    behind = sum(volume for name, volume in held.items() if name not in filled)
    return House(month.need.middle / span, high, usable, lasts * DAY, away / JOURNEY, behind)


def _with_resin(rows: Sequence[Way], design: Design, kinds: Mapping[str, Kind], gas: float) -> Iterator[Way]:
    """The same with how long the resin lasts, where there is one that its load wears out."""
    told = ((kinds[part.kind].wears, part) for part in design.parts)
    found = [wears(part) for wears, part in told if wears is not None]
    holds = sum(wear.holds[1] for wear in found if wear is not None and wear.by == LOAD)
    for way in rows:
        yield replace(way, resin=_lasts(way, holds, gas)) if holds > 0.0 else way


def _lasts(way: Way, holds: float, gas: float) -> float | None:
    """Until so much [kg as CaCO3] has been taken up [s]."""
    if way.strength is None or way.product <= 0.0:
        return None
    load = ionic_load(way.strength, gas) * way.product / WEEK
    return holds / load if load > 0.0 else math.inf

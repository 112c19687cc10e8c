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
from dewpond.study.study import answers
from dewpond.study.ways.floods import Other
from dewpond.study.ways.model import NO_FLOAT, NO_NEED, NOT_JOINED, NOTHING_USABLE, ComparisonError, Way
from dewpond.study.ways.ways import WEEK, Filled, House, Stock, ways
from dewpond.study.year.model import Month, Year

AWAY = "travelling"  # the key with which people say how long they are away in a year [s]
JOURNEY = 7.0 * DAY  # a journey takes about a week; our prior


def looked_at(design: Design, kinds: Mapping[str, Kind], year: Year, season: str) -> tuple[House, tuple[Way, ...]]:
    """The house in a season, and every way of filling it. Raises ComparisonError as ``house_of`` and ``ways`` do."""
    month = year.winter if season == "winter" else year.summer
    plant = lower(design, season)
    looked = filling.look(plant, None)
    filled = {plant.stores[store] for edge, store in looked.filled.items() if edge not in looked.drawn}
    if not filled:
        raise ComparisonError(NO_FLOAT)
    house = house_of(design, year, month, filled)
    others = [_answered(design, season, number, value) for number, value in answers(design)]
    return house, tuple(_with_resin(ways(looked, house, others), design, kinds, year.gas.middle))


def _answered(design: Design, season: str, number: int, value: object) -> Other:
    unknown = design.unknowns[number]
    return Other(unknown, value, lambda: lower(design.with_unknown(unknown.part, unknown.key, value), season))


def house_of(design: Design, year: Year, month: Month, filled: Set[str]) -> House:
    """``filled``: vessels that a float fills from the supply; what they give is drawn from them, or pumped on.

    Raises ComparisonError where tanks need nothing, or can draw nothing of what the floats fill.
    """
    held: dict[str, float] = {}
    stocks: list[Stock] = []
    through: dict[str, float] = {}  # filled vessel -> need at which what it serves is used up [m3/s]
    for one in year.reservoirs:
        chain = {one.vessel: one.usable, **dict(one.behind)}
        nearest = next((name for name in chain if name in filled), None)
        if nearest is not None:
            held |= chain
            lasts = month.lasts.get(one.vessel, (math.inf,))[0] * DAY  # without an end where its tanks need nothing
            stocks.append(Stock(one.vessel, one.whole, lasts))
            through[nearest] = through.get(nearest, 0.0) + (one.whole / lasts if lasts > 0.0 else 0.0)
    if not held:
        raise ComparisonError(NOT_JOINED)
    need = sum(through.values())
    shares = {name: rate / need if need > 0.0 else 1.0 / len(through) for name, rate in through.items()}
    if not any(held[name] > 0.0 and share > 0.0 for name, share in shares.items()):
        raise ComparisonError(NOTHING_USABLE)
    if month.need.middle <= 0.0:
        raise ComparisonError(NO_NEED)
    span = month.days * DAY
    away = max((float(part[AWAY]) for part in design.parts if part.get(AWAY)), default=0.0)
    return House(
        need=month.need.middle / span,
        high=max(month.need.high / span, need),
        usable=sum(held.values()),
        stocks=tuple(stocks),
        filled=tuple(Filled(name, held[name], share) for name, share in shares.items()),
        trips=away / JOURNEY,
    )


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

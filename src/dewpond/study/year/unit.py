"""What the unit does in the water of a season: how fast it fills; what it wastes and how often it starts, a litre."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from dewpond.physics.membrane import temperature_factor
from dewpond.plant.balance import balance, stages
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.study.filling import NO_FLOW
from dewpond.study.flows import Flows

LEAST_MADE = 1e-5  # product of ordinary days below which they say nothing of waste and starts [m3]


@dataclass(frozen=True)
class Unit:
    """Of one season: temperature [K]; product [m3/s] during a fill; for each part of product: waste [1] and starts
    [1/m3]; fill [s] of the slowest vessel; made, drawn [m3/s]: product and supply water of ordinary days; feed, steady
    [kg/m3] of the product; through: water through each part for one of product [1]."""

    water: float
    product: float
    waste: float
    starts: float
    fill: float
    made: float
    drawn: float
    feed: float
    steady: float
    through: Mapping[str, float]


def unit(plant: Plant, table: Flows, days: Trace) -> Unit:
    """What the fills and the ordinary days of a plant show."""
    fed = set(stages(plant).values())  # membranes whose product is no purified water for anybody yet
    last = [(number, edge) for number, (_, edge) in enumerate(plant.membranes) if edge not in fed]
    made = sum(table.products[number].volume for number, _ in last)
    starts = sum(table.products[number].starts for number, _ in last)
    drawn = max(balance(plant, days).supply, 0.0)
    whole = made > LEAST_MADE
    waste = max(drawn - made, 0.0) / made if whole else min(table.waste_ratio, 1e6) if table.product > NO_FLOW else 0.0
    volume = made if whole else 1.0
    through: dict[str, float] = {}
    for link in plant.links:
        share = max(days.moved[link.edge], 0.0) / volume
        through[link.part] = max(through.get(link.part, 0.0), share if whole else 0.0)
    for name, edge in plant.membranes:
        through[name] = max(days.moved[edge], 0.0) / volume if whole else 0.0
    feed = max((table.products[number].feed for number, _ in last), default=0.0)
    steady = max((table.products[number].steady for number, _ in last), default=0.0)
    return Unit(
        table.water, table.product, waste, starts / volume if whole else 0.0,
        max((fill.time for fill in table.fills), default=0.0),
        made / days.end, drawn / days.end, feed, steady, through,
    )  # fmt: skip


def share_of(cold: Unit, warm: Unit, water: float) -> float:
    """How far water of a temperature stands between two seasons, by what it does to a membrane [1]."""
    one, other = temperature_factor(cold.water), temperature_factor(warm.water)
    if one == other:
        return 0.0
    return min(max((temperature_factor(water) - one) / (other - one), 0.0), 1.0)


def at(cold: Unit, warm: Unit, water: float) -> Unit:
    """The unit in water of a temperature between those of two seasons."""
    share = share_of(cold, warm, water)

    def mid(one: float, other: float) -> float:
        return one if one == other else one + share * (other - one)

    names = {*cold.through, *warm.through}
    return Unit(
        water, mid(cold.product, warm.product), mid(cold.waste, warm.waste), mid(cold.starts, warm.starts),
        mid(cold.fill, warm.fill), mid(cold.made, warm.made), mid(cold.drawn, warm.drawn), mid(cold.feed, warm.feed),
        mid(cold.steady, warm.steady),
        {name: mid(cold.through.get(name, 0.0), warm.through.get(name, 0.0)) for name in names},
    )  # fmt: skip

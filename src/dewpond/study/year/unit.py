"""What the unit does in the water of a season: how fast it fills; what it wastes and how often it starts, a litre."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from dewpond.physics.membrane import temperature_factor
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.balance import balance, stages, starts
from dewpond.plant.plant import DAY, Plant
from dewpond.plant.trace import Trace
from dewpond.study.clocks import Hours
from dewpond.study.filling import NO_FLOW, gates_of_fills
from dewpond.study.flows import Flows
from dewpond.study.ordinary import ordinary
from dewpond.study.year import feeding

SELDOM = 42.0 * DAY  # in which a softener regenerates at least once; our prior
A_MOMENT = 600.0  # shorter than the time for which a timer lets a unit run [s]
EARLIER = 0.9  # of what the later half made, from which the earlier is looked into: it takes shorter runs
LEAST_MADE = 1e-5  # product of ordinary days below which they say nothing of waste and starts [m3]


@dataclass(frozen=True)
class Unit:
    """Of one season: temperature [K]; product [m3/s] while it fills; for each part of product: waste [1] and turns of
    the shut-off [1/m3]; fill [s] of the slowest vessel; made, drawn [m3/s]: product and supply water of ordinary days;
    feed, steady [kg/m3] of the product; through: water through each part for one of product [1]; long: waste of a long
    fill for one of product [1]; drains [m3/s]: supply water that runs to drains past the membranes, by the part that
    lets it go; opened: how often its feed is opened after it was shut [1/s]; hours: share of a day in which
    clocks let it fill [1]; gates: these clocks, see ``clocks.Hours``; comes: share of what is needed that still comes
    where something has shut it off [1]."""

    water: float
    product: float
    waste: float
    turns: float
    fill: float
    made: float
    drawn: float
    feed: float
    steady: float
    through: Mapping[str, float]
    long: float = 0.0
    drains: Mapping[str, float] = field(default_factory=dict)
    opened: float = 0.0
    hours: float = 1.0
    gates: tuple[Hours, ...] = ()
    comes: float = 1.0

    @property
    def can(self) -> float:
        """The most that it can make, hour by hour and day by day [m3/s]."""
        return self.product * self.hours

    def starts_in(self, product: float, time: float) -> float:
        """How often it starts while it makes so much [m3] in a time [s]: turns go with litres, a clock with time."""
        return starts(product * self.turns, self.opened * time, product)


def unit(plant: Plant, table: Flows, days: Trace, compiled: bool | None = None) -> Unit:
    """What the fills and the ordinary days of a plant show."""
    fed = set(stages(plant).values())  # membranes whose product is no purified water for anybody yet
    last = [(number, edge) for number, (_, edge) in enumerate(plant.membranes) if edge not in fed]
    made = sum(table.products[number].volume for number, _ in last)
    turned = sum(table.products[number].turned for number, _ in last)
    opened = max((table.products[number].opened for number, _ in last), default=0.0)
    drawn = max(balance(plant, days).supply, 0.0)
    whole = made > LEAST_MADE
    past = math.fsum(max(days.moved[edge], 0.0) for edge in feeding.past_membranes(plant))
    long = min(table.waste_ratio, 1e6) if table.product > NO_FLOW else 0.0
    waste = max(drawn - past - made, 0.0) / made if whole else long
    volume = made if whole else 1.0
    through: dict[str, float] = {}
    for link in plant.links:
        share = max(days.moved[link.edge], 0.0) / volume
        through[link.part] = max(through.get(link.part, 0.0), share if whole else 0.0)
    for name, edge in plant.membranes:
        through[name] = max(days.moved[edge], 0.0) / volume if whole else 0.0
    feed = max((table.products[number].feed for number, _ in last), default=0.0)
    steady = max((table.products[number].steady for number, _ in last), default=0.0)
    product = table.product
    if product <= NO_FLOW and whole:  # it stood still where the fills were looked at, as a timer makes it
        product = _flow_while_it_runs(plant, days, [edge for _, edge in last], compiled)
    gates = gates_of_fills(plant, compiled)
    return Unit(
        table.water, product, waste, turned / volume if whole else 0.0,
        max((fill.time for fill in table.fills), default=0.0),
        made / days.end, drawn / days.end, feed, steady, through, long,
        feeding.drains(plant, _long(plant, days, compiled)), opened / days.end,
        min((one.stays / one.every for one in gates), default=1.0), gates,
    )  # fmt: skip


def _long(plant: Plant, days: Trace, compiled: bool | None) -> Trace:
    """Days enough for what turns seldom, where something by turns lets water go past the membranes."""
    a = plant.arrays
    gates = {a.edge_gate[edge] for edge in feeding.past_membranes(plant)} - {-1}
    if days.end >= SELDOM or not any(a.gate_kind[gate] == prim.G_SIGNAL for gate in gates):
        return days
    return engine.run(plant, ordinary(plant, SELDOM), compiled=compiled)


def _flow_while_it_runs(plant: Plant, days: Trace, edges: Sequence[int], compiled: bool | None) -> float:
    """Product of ordinary days while there is some [m3/s]: that half of the days which made more, and so on down to
    minutes, in which it made water all the time."""

    def until(time: float) -> float:
        run = engine.run(plant, ordinary(plant, time), compiled=compiled)
        return math.fsum(max(run.moved[edge], 0.0) for edge in edges)

    low, high = 0.0, days.end
    below, above = 0.0, math.fsum(max(days.moved[edge], 0.0) for edge in edges)
    while high - low > A_MOMENT:
        middle = 0.5 * (low + high)
        between = until(middle)
        first, second = between - below, above - between
        if first >= EARLIER * second:
            high, above = middle, between
        else:
            low, below = middle, between
    return (above - below) / (high - low)


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

    def both(one: Mapping[str, float], other: Mapping[str, float]) -> dict[str, float]:
        return {name: mid(one.get(name, 0.0), other.get(name, 0.0)) for name in sorted({*one, *other})}

    return Unit(
        water, mid(cold.product, warm.product), mid(cold.waste, warm.waste), mid(cold.turns, warm.turns),
        mid(cold.fill, warm.fill), mid(cold.made, warm.made), mid(cold.drawn, warm.drawn), mid(cold.feed, warm.feed),
        mid(cold.steady, warm.steady),
        both(cold.through, warm.through), mid(cold.long, warm.long), both(cold.drains, warm.drains),
        mid(cold.opened, warm.opened), mid(cold.hours, warm.hours), cold.gates or warm.gates,
        mid(cold.comes, warm.comes),
    )  # fmt: skip

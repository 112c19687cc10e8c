"""The same plant with a weaker supply, colder water, or both: what a fill is then.

Only the arrays change, so that a membrane whose jugs were filled at today's pressure stays the one that it is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from dewpond.physics import membrane as law
from dewpond.physics import water
from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant
from dewpond.study.filling import NO_FLOW, Fill, Looked, drawn, fill_of, look, look_full

WEAK, COLD = 2e5, 278.15  # asked for: a supply of 2 bar, water of 5 C
STILL = 0.05  # of the supply's flow in a fill: less, with every float shut, is none [1]


@dataclass(frozen=True)
class Case:
    """Fills under a supply of so much pressure [Pa] and water so warm [K].

    product, waste [m3/s]; fills: each vessel's; closes: whether the shut-offs close once every float is shut, None
    where there is none.
    """

    pressure: float
    water: float
    product: float
    waste: float
    fills: tuple[Fill, ...]
    closes: bool | None

    @property
    def waste_ratio(self) -> float:
        """Parts of waste for one of product; endless without product."""
        return self.waste / self.product if self.product > NO_FLOW else float("inf")

    @property
    def unreached(self) -> tuple[str, ...]:
        """Vessels that get nothing."""
        return tuple(dict.fromkeys(fill.vessel for fill in self.fills if fill.flow <= NO_FLOW))


def supply_of(plant: Plant) -> tuple[int, float] | None:
    """The node of the supply and its gauge pressure [Pa]; None without one under pressure."""
    a = plant.arrays
    found = [n for n, kind in enumerate(a.node_kind) if kind == prim.FIXED and a.node_value[n] > 0.0]
    return (found[0], a.node_value[found[0]]) if found else None


def under(plant: Plant, pressure: float, warmth: float) -> Plant:
    """The plant with its supply at a gauge pressure [Pa], and its water at a temperature [K]."""
    a = plant.arrays
    values = [
        pressure if kind == prim.FIXED and value > 0.0 else value
        for kind, value in zip(a.node_kind, a.node_value, strict=True)
    ]
    rho, membranes = water.density(warmth), {edge for _, edge in plant.membranes}
    passes = law.temperature_factor(warmth) / law.temperature_factor(plant.water_temperature)
    hotter = warmth / plant.water_temperature  # osmotic pressure goes with the absolute temperature
    p1, p2 = list(a.edge_p1), list(a.edge_p2)
    for edge in membranes:
        p1[edge] *= passes
        p2[edge] *= hotter
    const = [rho, a.const[1], water.viscosity(warmth) / rho, *a.const[3:]]
    arrays = a._replace(const=const, node_value=values, edge_p1=p1, edge_p2=p2)
    return replace(plant, arrays=arrays, water_temperature=warmth)


def cases(plant: Plant, compiled: bool | None = None) -> tuple[Case, ...]:
    """As written, then what is worse than that: weaker, colder, both. Empty without a supply or a fill."""
    supply = supply_of(plant)
    if supply is None:
        return ()
    now, warmth = supply[1], plant.water_temperature
    asked = dict.fromkeys((p, t) for t in (warmth, min(warmth, COLD)) for p in (now, min(now, WEAK)))
    found = [case(plant if (p, t) == (now, warmth) else under(plant, p, t), p, t, compiled) for p, t in asked]
    return tuple(found) if found[0].fills else ()


def case(plant: Plant, pressure: float, warmth: float, compiled: bool | None = None) -> Case:
    """What the fills of a plant are."""
    looked: Looked = look(plant, compiled)
    trace, _ = looked.turns[0]
    got = drawn(plant, trace)
    fills = tuple(fill_of(plant, looked, edge) for edge in looked.filled)
    return Case(pressure, warmth, got.product, got.waste, fills, _closes(plant, looked, compiled))


def _closes(plant: Plant, looked: Looked, compiled: bool | None) -> bool | None:
    a = plant.arrays
    shuts = [e for e, gate in enumerate(a.edge_gate) if gate >= 0 and a.gate_kind[gate] == prim.G_RATIO]
    if not shuts or not looked.filled:
        return None
    full, (filling, _) = look_full(looked.at, compiled), looked.turns[0]
    return all(full.flow[edge] <= STILL * max(filling.flow[edge], NO_FLOW) for edge in shuts)

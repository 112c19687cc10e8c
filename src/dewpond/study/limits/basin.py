"""What the plant's arrays say of water that is one body: how much, how salty, what it loses, what drains down.

A body is what circulates: tank and sump, or a tank alone. SI numbers throughout.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from dewpond.physics import seawater, water
from dewpond.physics.salinity import after_fresh_water, fresh_water_to_reach
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.build import Patch
from dewpond.plant.consequence import salinity_of
from dewpond.plant.kernel.vessels import level_of, volume_of
from dewpond.plant.plant import NEVER, STARTS, Onset, Plant, PlantFault, Scenario
from dewpond.plant.trace import Trace

WHO: Final = "travelling"  # nobody disturbs
DRAINS_FOR: Final = 12.0 * 3600.0  # in so long a tank has drained down [s]
ROWS: Final = 400
MINUTE: Final = 60.0  # [s]
FRESH: Final = 0.5  # salinity below which water is told as fresh [g/kg]


def level(plant: Plant, store: int, volume: float) -> float:
    """Height of the water above a vessel's bottom [m]."""
    return float(level_of(plant.arrays, store, volume)[0])


def volume(plant: Plant, store: int, height: float) -> float:
    """Water in a vessel at a height above its bottom [m3]."""
    return float(volume_of(plant.arrays, store, height))


def rim(plant: Plant, store: int) -> float:
    """Height of a vessel's rim above its bottom [m]."""
    return level(plant, store, plant.arrays.store_rim[store])


def forced(plant: Plant, patches: tuple[Patch, ...], horizon: float, rows: int = 0) -> Trace:
    """A run of the plant in which something is held from the first moment on, whatever the logic says."""
    held = PlantFault("held", "", "", "", "latent", "", NEVER, 0.0, patches)
    return engine.run(
        replace(plant, faults=(held,)), Scenario(WHO, horizon, (Onset(held.label, 0.0),), STARTS[WHO]),
        rows=rows, compiled=None,
    )  # fmt: skip


def ordered_gates(plant: Plant) -> Iterator[int]:
    """Gates that an order opens: by it alone, or by it and a level."""
    a = plant.arrays
    for gate, kind in enumerate(a.gate_kind):
        if kind == prim.G_SIGNAL or (kind == prim.G_LEVEL and a.gate_ref2[gate] >= 0):
            yield gate


@dataclass(frozen=True)
class Basin:
    """One body of water.

    stores    the vessels that it fills
    chamber   of these, the one that shows what is lost and takes what is too much: that of the return pump, if there
              is one, else the only one
    """

    plant: Plant
    body: int
    stores: tuple[int, ...]
    chamber: int

    @property
    def name(self) -> str:
        """What it is called: its tank, or its vessel."""
        return self.plant.bodies[self.body]

    @property
    def tank(self) -> bool:
        """Whether animals live in it."""
        return any(store in self.plant.tanks for store in self.stores)

    @cached_property
    def water(self) -> float:
        """All its water at the start [m3]."""
        return sum(self.plant.arrays.store_start[store] for store in self.stores)

    @cached_property
    def salinity(self) -> float:
        """At the start [g/kg]; 0 of fresh water."""
        found = salinity_of(self.plant.arrays.body_start[self.body], self.plant.tank_temperature)
        return found if found > FRESH else 0.0

    @cached_property
    def mass(self) -> float:
        """Of all its water [kg]."""
        return self.water * seawater.density(self.salinity, self.plant.tank_temperature)

    @cached_property
    def as_fresh(self) -> float:
        """Volume of fresh water that weighs as much as all its water [m3]."""
        return self.mass / water.density(self.plant.tank_temperature)

    def fresh_for(self, drop: float) -> float:
        """Fresh water that lowers its salinity by so much [g/kg] -> [m3]; endless where it is fresh, or so low."""
        if self.salinity <= drop:
            return math.inf
        return fresh_water_to_reach(self.salinity, self.salinity - drop, self.as_fresh)

    def salinity_after(self, added: float) -> float:
        """Its salinity once so much fresh water has been added [m3] -> [g/kg]."""
        return after_fresh_water(self.salinity, self.as_fresh, added)

    @cached_property
    def loses(self) -> float:
        """What evaporates from it and is skimmed off it, day and night [m3/s]."""
        a, found = self.plant.arrays, self.evaporates
        for edge, law in enumerate(a.edge_law):
            to = a.edge_b[edge]
            off = a.node_kind[to] == prim.AIR and a.node_rkind[to] != prim.R_AIR
            if off and law == prim.FLOW and self._from(a.edge_a[edge]):
                found += max(_ordinary(self.plant).flow[edge], 0.0)
        return found

    @cached_property
    def evaporates(self) -> float:
        """What evaporates from it, as the file has it or as reckoned [m3/s]."""
        a = self.plant.arrays
        return sum(
            a.edge_p1[edge] for edge, law in enumerate(a.edge_law)
            if law == prim.FLOW and self._from(a.edge_a[edge]) and a.node_rkind[a.edge_b[edge]] == prim.R_AIR
        )  # fmt: skip

    def _from(self, node: int) -> bool:
        """Whether a node is in its water."""
        a = self.plant.arrays
        return a.node_kind[node] in (prim.TAP, prim.SPOUT) and a.node_ref[node] in self.stores

    @cached_property
    def circulation(self) -> tuple[int, ...]:
        """Edges by which its return pumps lift water from vessel to vessel."""
        return tuple(_circulation(self.plant, self.stores))

    @cached_property
    def dry(self) -> float | None:
        """Level in the chamber from which on a return pump draws air [m]; None without one."""
        a = self.plant.arrays
        marks = [a.gate_a[a.edge_gate[e]] for e in self.circulation if a.node_ref[a.edge_a[e]] == self.chamber]
        return max(marks, default=None)

    @cached_property
    def returned(self) -> float:
        """What the return pumps lift out of the chamber [m3/s]."""
        a = self.plant.arrays
        return sum(a.edge_p1[e] for e in self.circulation if a.node_ref[a.edge_a[e]] == self.chamber)

    @cached_property
    def drains_down(self) -> float:
        """What runs down into the chamber when the return pumps stop [m3]: seen in a run."""
        a = self.plant.arrays
        if not self.circulation:
            return 0.0
        still = [0.0 if a.node_rkind[b] == prim.R_AIR else p for p, b in zip(a.edge_p1, a.edge_b, strict=True)]
        start = list(a.store_start)
        start[self.chamber] = volume(self.plant, self.chamber, 0.0)  # so that all of it finds room
        quiet = replace(self.plant, arrays=a._replace(edge_p1=still, store_start=start))
        lives = {a.gate_ref2[a.edge_gate[e]] for e in self.circulation}
        held = tuple(("force", signal, 0.0) for signal in sorted(lives) if signal >= 0)
        trace = forced(quiet, (*held, *self._shut_in()), DRAINS_FOR, ROWS)
        risen = max((row[self.chamber] for row in trace.row_value), default=0.0)
        end = max(volume(self.plant, self.chamber, risen), trace.volume[self.chamber])
        return max(end - start[self.chamber], 0.0)

    def _shut_in(self) -> Iterator[Patch]:
        """Pumps at rest and no pressure in the supply, so that nothing else comes into it."""
        a = self.plant.arrays
        for edge, law in enumerate(a.edge_law):
            if law in (prim.PUMP, prim.FLOW) and edge not in self.circulation and a.edge_gate[edge] >= 0:
                yield "high", a.edge_gate[edge], 0.0
        yield from (("source", node, 0.0) for node, kind in enumerate(a.node_kind) if kind == prim.FIXED)

    @cached_property
    def held_back(self) -> float:
        """Open water of the chamber's other compartments, which hold a film while all runs [m2]: what a level table
        that widens at the crest of a baffle shows."""
        a = self.plant.arrays
        first, last = a.table_at[self.chamber], a.table_at[self.chamber + 1] - 1
        slopes = [(a.table_v[i + 1] - a.table_v[i]) / (a.table_h[i + 1] - a.table_h[i]) for i in range(first, last)]
        return max(slopes[-1] - slopes[0], 0.0)

    def free(self, height: float) -> float:
        """What the chamber takes from a height up to its rim [m3]."""
        return self.plant.arrays.store_rim[self.chamber] - volume(self.plant, self.chamber, height)

    def spare(self, height: float) -> float:
        """The same less what drains down when the return pump stops [m3]; below zero: not even that finds room."""
        return self.free(height) - self.drains_down

    def highest(self) -> float:
        """Up to which height water may stand so that, draining down, it stays below the rim [m]."""
        held = self.plant.arrays.store_rim[self.chamber] - self.drains_down
        return level(self.plant, self.chamber, held)


def basins(plant: Plant) -> tuple[Basin, ...]:
    """All bodies of open water of a plant, in its order; what stands in a tank under pressure is none."""
    a, found = plant.arrays, []
    for body in range(len(plant.bodies)):
        stores = tuple(s for s, own in enumerate(a.store_body[: plant.vessels]) if own == body)
        if not stores:
            continue
        chambers = [a.node_ref[a.edge_a[e]] for e in _circulation(plant, stores)]
        found.append(Basin(plant, body, stores, chambers[0] if chambers else stores[0]))
    return tuple(found)


def _circulation(plant: Plant, stores: tuple[int, ...]) -> Iterator[int]:
    """Steady flows from one vessel of a body into another."""
    a = plant.arrays
    for edge, law in enumerate(a.edge_law):
        one, other = a.edge_a[edge], a.edge_b[edge]
        if law == prim.FLOW and a.node_kind[one] == a.node_kind[other] == prim.TAP:
            ends = (a.node_ref[one], a.node_ref[other])
            if ends[0] != ends[1] and ends[0] in stores and ends[1] in stores and a.edge_gate[edge] >= 0:
                yield edge


def _ordinary(plant: Plant) -> Trace:
    """A minute in which nothing fails."""
    return plant.once("ordinary minute", lambda: forced(plant, (), MINUTE))

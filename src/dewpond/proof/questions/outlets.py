"""What each fault of a plant does to let water out onto a place: the gate that it opens or shuts, and what that is for.

A gate that is held open a little is open: what does not shut tight lets water through until somebody comes.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.feeding import spot
from dewpond.plant.plant import Plant, PlantFault
from dewpond.proof.draft import INITIATOR
from dewpond.proof.signals import automatic

PUMPED = (prim.PUMP, prim.FLOW)


class Outlet(NamedTuple):
    """A way out: the gate that a fault moves; opens: water gets out while it is open, else while it is shut; place:
    where it comes to; whence: the spot that it leaves, as plant.feeding.spot; full: that is a vessel, and water gets
    there only while something fills it beyond its mark."""

    gate: int
    opens: bool
    place: int
    whence: int
    full: bool = False


def outlets(plant: Plant, fault: PlantFault) -> Iterator[Outlet]:
    """Each way out that a fault alone makes. What a pump that something calls for brings over a rim is none: that is
    asked with time, of the vessel."""
    for what, number, value in fault.patches:
        if what == "low" and value > 0.0:
            yield from _opened(plant, number)
        elif what == "high" and value == 0.0 and fault.timing == INITIATOR:
            yield from _blocked(plant, number)
        elif what == "force":
            yield from _ordered(plant, fault, number, value > 0.0)


def _opened(plant: Plant, gate: int) -> Iterator[Outlet]:
    """Through a hole; or over what a vessel has for that, where its float lets water, or a tap that hands work."""
    a = plant.arrays
    floats = a.gate_ref[gate] if a.gate_kind[gate] == prim.G_LEVEL and a.gate_ref2[gate] < 0 else -1
    by_hand = a.gate_kind[gate] == prim.G_SIGNAL and not automatic(plant, a.gate_ref[gate])
    for edge in _edges(plant, gate):
        whence, there = spot(plant, a.edge_a[edge]), spot(plant, a.edge_b[edge])
        store = -1 - there if by_hand and a.edge_law[edge] not in PUMPED else floats
        if (place := _falls_on(plant, edge)) >= 0:
            yield Outlet(gate, True, place, whence)
        elif store >= 0 and whence != -1 - store:  # a float's water may have an air gap to pass
            for place in _over(plant, store):
                yield Outlet(gate, True, place, whence)


def _ordered(plant: Plant, fault: PlantFault, signal: int, value: bool) -> Iterator[Outlet]:
    """Through a gate that stands shut until a fault turns its signal; where that was an outlet of a vessel, only what
    fills it beyond its mark comes there."""
    a = plant.arrays
    for gate, kind in enumerate(a.gate_kind):
        order = a.gate_ref[gate] if kind == prim.G_SIGNAL else a.gate_ref2[gate] if kind == prim.G_LEVEL else -1
        own = fault.timing == INITIATOR and gate in plant.hanging([signal])
        if not value or order < 0 or a.sig_start[order] or not (own or order == signal):
            continue
        for edge in _edges(plant, gate):
            whence, there = spot(plant, a.edge_a[edge]), spot(plant, a.edge_b[edge])
            if (place := _falls_on(plant, edge)) >= 0:
                yield Outlet(gate, True, place, whence, full=whence < 0 and not own)
            elif own and there < 0 and a.edge_law[edge] not in PUMPED:
                for place in _over(plant, -1 - there):
                    yield Outlet(gate, True, place, whence)


def _blocked(plant: Plant, gate: int) -> Iterator[Outlet]:
    """Over the rim of a vessel whose outlet is blocked while water is lifted into it."""
    a = plant.arrays
    for edge in _edges(plant, gate):
        store = -1 - spot(plant, a.edge_a[edge])
        if store >= 0 and a.edge_law[edge] == prim.WEIR and a.store_rkind[store] == prim.R_PLACE:
            yield Outlet(gate, False, a.store_rref[store], -1 - store)


def _over(plant: Plant, store: int) -> Iterator[int]:
    """Places that water comes to when a vessel is filled beyond its mark: over its rim, or out of an overflow that does
    not end in a drain."""
    a = plant.arrays
    if a.store_rkind[store] == prim.R_PLACE:
        yield a.store_rref[store]
    for edge, law in enumerate(a.edge_law):
        place = _falls_on(plant, edge)
        if law == prim.WEIR and place >= 0 and spot(plant, a.edge_a[edge]) == -1 - store and _stands_open(plant, edge):
            yield place


def _stands_open(plant: Plant, edge: int) -> bool:
    a, gate = plant.arrays, plant.arrays.edge_gate[edge]
    return gate < 0 or a.gate_kind[gate] != prim.G_SIGNAL or bool(a.sig_start[a.gate_ref[gate]])


def _edges(plant: Plant, gate: int) -> Iterator[int]:
    return (edge for edge, own in enumerate(plant.arrays.edge_gate) if own == gate)


def _falls_on(plant: Plant, edge: int) -> int:
    """The place onto which an edge ends in the air; -1: none."""
    a, there = plant.arrays, plant.arrays.edge_b[edge]
    return a.node_rref[there] if a.node_kind[there] == prim.AIR and a.node_rkind[there] == prim.R_PLACE else -1

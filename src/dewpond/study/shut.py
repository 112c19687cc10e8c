"""What stood shut all through a run on the supply's way to vessels: why no water came, as far as the run shows it."""

from __future__ import annotations

from collections.abc import Mapping

from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace

NEVER_TRUE = 1  # as a run keeps of a signal what it was seen to be


def stood_shut(plant: Plant, trace: Trace) -> tuple[str, ...]:
    """The first parts on each way from a supply to a vessel that an order held shut from beginning to end."""
    a, onward = plant.arrays, _onward(plant)
    todo = [n for n, kind in enumerate(a.node_kind) if kind == prim.FIXED and a.node_value[n] > 0.0]
    seen, found = set(todo), dict[str, None]()
    for node in todo:  # grows while it is walked
        for edge in onward.get(node, ()):
            then = a.edge_b[edge]
            if _held(plant, trace, edge):
                if _leads_to_a_vessel(plant, then, onward):
                    found[plant.parts[a.edge_owner[edge]]] = None
            elif a.node_kind[then] in (prim.JUNCTION, prim.SPRING) and then not in seen and _passes(plant, edge):
                seen.add(then)
                todo.append(then)
    return tuple(found)


def _onward(plant: Plant) -> dict[int, list[int]]:
    """Node -> the edges that lead on from it."""
    found: dict[int, list[int]] = {}
    for edge, node in enumerate(plant.arrays.edge_a):
        found.setdefault(node, []).append(edge)
    return found


def _leads_to_a_vessel(plant: Plant, node: int, onward: Mapping[int, list[int]]) -> bool:
    """Whether water that comes to a node may go on into a vessel."""
    a = plant.arrays
    todo = [node]
    for here in todo:  # grows while it is walked
        if a.node_kind[here] in (prim.TAP, prim.SPOUT):
            return True
        ends = [a.edge_b[edge] for edge in onward.get(here, ()) if _passes(plant, edge)]
        todo += [end for end in dict.fromkeys(ends) if end not in todo]
    return False


def _held(plant: Plant, trace: Trace, edge: int) -> bool:
    """Whether an order held the gate of an edge shut all the time."""
    a, gate = plant.arrays, plant.arrays.edge_gate[edge]
    if gate < 0 or a.gate_kind[gate] not in (prim.G_SIGNAL, prim.G_LEVEL):
        return False
    order = a.gate_ref[gate] if a.gate_kind[gate] == prim.G_SIGNAL else a.gate_ref2[gate]
    return order >= 0 and trace.seen[order] == NEVER_TRUE


def _passes(plant: Plant, edge: int) -> bool:
    """Whether water may go on through an edge: not through a hole that only a fault makes."""
    a, gate = plant.arrays, plant.arrays.edge_gate[edge]
    return gate < 0 or a.gate_kind[gate] != prim.G_CONST or a.gate_a[gate] > 0.0

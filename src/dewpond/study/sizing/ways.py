"""The way of the water in a run: from where it comes to where it ends, edge by edge as it flows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.plant import Onset, Plant, PlantFault
from dewpond.plant.trace import Trace
from dewpond.study.filling import NO_FLOW
from dewpond.study.ordinary import ordinary

SETTLED = 120.0  # what is trapped under pressure has run out of a break by then [s]
ENDS = (prim.FIXED, prim.TAP, prim.SPOUT, prim.AIR)


class Step(NamedTuple):
    """Water through an edge, from one node to another; the flow is above 0 [m3/s]."""

    edge: int
    start: int
    end: int
    flow: float


def steps_of(plant: Plant, trace: Trace) -> Iterator[Step]:
    """Every edge through which water runs, as it runs."""
    a = plant.arrays
    for edge, flow in enumerate(trace.flow):
        if abs(flow) > NO_FLOW:
            one, other = a.edge_a[edge], a.edge_b[edge]
            yield Step(edge, one, other, flow) if flow > 0.0 else Step(edge, other, one, -flow)


def way_through(plant: Plant, trace: Trace, edge: int) -> tuple[Step, ...]:
    """From the source of an edge's water to its end, where it parts or meets along the larger flow; () for none."""
    kinds, steps = plant.arrays.node_kind, list(steps_of(plant, trace))
    own = next((step for step in steps if step.edge == edge), None)
    if own is None:
        return ()
    way, seen = [own], {edge}
    while kinds[way[0].start] not in ENDS:
        before = [s for s in steps if s.end == way[0].start and s.edge not in seen]
        if not before:
            break
        way.insert(0, max(before, key=lambda s: s.flow))
        seen.add(way[0].edge)
    while kinds[way[-1].end] not in ENDS:
        after = [s for s in steps if s.start == way[-1].end and s.edge not in seen]
        if not after:
            break
        way.append(max(after, key=lambda s: s.flow))
        seen.add(way[-1].edge)
    return tuple(way)


def reached(plant: Plant, trace: Trace, node: int, forward: bool) -> set[int]:
    """Nodes that the water comes to from a node; not ``forward``: from which it comes there. With the node itself."""
    leads: dict[int, list[int]] = {}
    for step in steps_of(plant, trace):
        start, end = (step.start, step.end) if forward else (step.end, step.start)
        leads.setdefault(start, []).append(end)
    found, todo = {node}, [node]
    while todo:
        new = [end for end in leads.get(todo.pop(), ()) if end not in found]
        found.update(new)
        todo += new
    return found


def holes(plant: Plant, fault: PlantFault) -> list[int]:
    """The edges by which a fault lets water out of the plumbing: quite open, into the air."""
    a = plant.arrays
    gates = {number for what, number, value in fault.patches if what == "low" and value >= 1.0}
    return [
        edge
        for edge, gate in enumerate(a.edge_gate)
        if gate in gates and a.node_kind[a.edge_b[edge]] == prim.AIR and a.edge_law[edge] == prim.ORIFICE
    ]


def widest_break(plant: Plant, part: str, at: int = -1) -> PlantFault | None:
    """The fault of a part that opens its widest hole; ``at``: only holes at that node. None without any."""
    a, found = plant.arrays, list[tuple[float, int, PlantFault]]()
    for number, fault in enumerate(plant.faults):
        if fault.part != part or fault.timing != "initiator":
            continue
        own = [e for e in holes(plant, fault) if at in (-1, a.edge_a[e])]
        if own:
            found.append((min(a.edge_p1[e] for e in own), number, fault))
    return min(found, key=lambda one: one[:2])[2] if found else None


def broken(plant: Plant, fault: PlantFault, compiled: bool | None = None) -> Trace:
    """How water runs with a break and before anything acts on it: all that gets out is taken away unseen."""
    a = plant.arrays
    away = [
        prim.R_DRAIN if kind == prim.AIR and takes == prim.R_PLACE else takes
        for kind, takes in zip(a.node_kind, a.node_rkind, strict=True)
    ]
    unseen = replace(plant, arrays=a._replace(node_rkind=away))
    return engine.run(unseen, ordinary(unseen, SETTLED, (Onset(fault.label, 0.0),)), compiled=compiled)


def lets_out(plant: Plant, fault: PlantFault, trace: Trace) -> float:
    """What runs out by a break [m3/s]."""
    return sum(max(trace.flow[edge], 0.0) for edge in holes(plant, fault))


def rest_gauge(plant: Plant, node: int) -> float:
    """The highest gauge pressure of a supply that the node of a source has, at the datum [Pa]."""
    a = plant.arrays
    return a.node_value[node] + a.const[0] * a.const[1] * a.node_z[node]

"""Valves that the water itself moves: what they need of it, and what a fill gives them."""

from __future__ import annotations

from dataclasses import dataclass

from dewpond.plant.plant import Plant
from dewpond.study.filling import NO_FLOW, Looked
from dewpond.study.sizing.hammer import rests, servo
from dewpond.study.sizing.ways import way_through


@dataclass(frozen=True)
class Servo:
    """needs [Pa]: difference without which it neither opens nor shuts well. makes: what the flow of a fill would make
    in it by itself [Pa], at that flow [m3/s]. shut: what stands before it once it is shut, with nothing behind it [Pa].
    """

    part: str
    needs: float
    makes: float
    flow: float
    shut: float


def servos(plant: Plant, looked: Looked) -> tuple[Servo, ...]:
    """All of them, those that water runs through in a fill."""
    found, a = list[Servo](), plant.arrays
    runs = [trace for trace, _ in (*looked.turns, *looked.drawn.values())]
    for part in plant.parts:
        own = servo(plant, part)
        trace = next((run for run in runs if own and run.flow[own[0]] > NO_FLOW), None)
        if own is None or trace is None:
            continue
        edge, needs = own
        way, flow = way_through(plant, trace, edge), trace.flow[edge]
        place = next(i for i, step in enumerate(way) if step.edge == edge)
        makes = a.edge_p1[edge] * flow * flow
        found.append(Servo(part, needs, makes, flow, rests(plant, trace, way, place)))
    return tuple(found)

"""Where the supply's pressure goes in a fill, part by part, and what is left to drive a membrane."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from dewpond.design.model import Design
from dewpond.physics import membrane as law
from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.plant.upstream import upstream
from dewpond.study.filling import Looked
from dewpond.study.sizing.ways import Step, way_through

RATED, REJECTION = "rated", "rejection"  # keys of what water is pressed through


@dataclass(frozen=True)
class Loss:
    """What a part takes of the pressure on the way of a fill [Pa], at its flow [m3/s], below 0 what it adds;
    ``drives``: it is what drives water through a membrane."""

    part: str
    flow: float
    lost: float
    drives: bool = False


@dataclass(frozen=True)
class Driven:
    """A membrane in a fill. Pressures [Pa]: gauge before and behind it, what its salt takes of their difference, and
    the net pressure of its rating, or None where the file has no rating."""

    part: str
    before: float
    behind: float
    osmotic: float
    rated: float | None

    @property
    def net(self) -> float:
        """What really drives the water [Pa]."""
        return self.before - self.behind - self.osmotic

    @property
    def share(self) -> float | None:
        """Of the net pressure at which it was rated [1]."""
        return self.net / self.rated if self.rated else None


@dataclass(frozen=True)
class Budget:
    """The pressure of one fill: ``given`` = ``lift`` + all ``losses`` [Pa], pumps with what they add below 0.

    part, vessel: what is filled, and through which float. source: the vessel that the water comes out of; empty: the
    supply. given: gauge pressure of the supply at its own height; 0 for water out of a vessel. lift: from there, or
    from that vessel's water, up to the end; below 0 downwards.
    """

    part: str
    vessel: str
    source: str
    given: float
    lift: float
    losses: tuple[Loss, ...]
    driven: tuple[Driven, ...]

    @property
    def whole(self) -> float:
        """All that presses: the supply, what pumps add, and a fall [Pa]."""
        return self.given - min(self.lift, 0.0) - sum(min(one.lost, 0.0) for one in self.losses)


def boosters(plant: Plant) -> tuple[str, ...]:
    """Parts whose pump stands before a membrane."""
    a = plant.arrays
    before = [one for _, membrane in plant.membranes for one in upstream(plant, membrane)]
    return tuple(dict.fromkeys(plant.parts[a.edge_owner[one]] for one in before if a.edge_law[one] == prim.PUMP))


def budgets(plant: Plant, design: Design, looked: Looked) -> tuple[Budget, ...]:
    """One for each fill that water comes to."""
    found = []
    for edge in looked.filled:
        trace = looked.run_of(edge)
        way = way_through(plant, trace, edge) if trace else ()
        if trace and way:
            found.append(_budget(plant, design, trace, way, edge, looked.filled[edge]))
    return tuple(found)


def _budget(plant: Plant, design: Design, trace: Trace, way: tuple[Step, ...], edge: int, store: int) -> Budget:
    a = plant.arrays
    first, last, weight = way[0].start, way[-1].end, a.const[0] * a.const[1]
    given = a.node_value[first] if a.node_kind[first] == prim.FIXED else 0.0
    losses: list[Loss] = []
    for step in way:
        lost = trace.pressure[step.start] - trace.pressure[step.end]
        part, drives = plant.parts[a.edge_owner[step.edge]], a.edge_law[step.edge] == prim.MEMBRANE
        if losses and (losses[-1].part, losses[-1].drives) == (part, drives):
            losses[-1] = Loss(part, step.flow, losses[-1].lost + lost, drives)
        else:
            losses.append(Loss(part, step.flow, lost, drives))
    return Budget(
        plant.parts[a.edge_owner[edge]],
        plant.stores[store],
        plant.stores[a.node_ref[first]] if a.node_ref[first] >= 0 else "",
        given,
        trace.pressure[last] - trace.pressure[first] + given,
        tuple(losses),
        tuple(_driven(plant, design, trace, way, weight)),
    )


def _driven(plant: Plant, design: Design, trace: Trace, way: tuple[Step, ...], weight: float) -> Iterator[Driven]:
    a = plant.arrays
    for step in way:
        if a.edge_law[step.edge] == prim.MEMBRANE:
            part = plant.parts[a.edge_owner[step.edge]]
            before, behind = (trace.pressure[node] - weight * a.node_z[node] for node in (step.start, step.end))
            yield Driven(part, before, behind, a.edge_p2[step.edge], rated_net(design, part))


def rated_net(design: Design, part: str) -> float | None:
    """Net driving pressure at which an element was rated [Pa]; None where its rating is not in the file."""
    view = design.part(part)
    rated = view.get(RATED)
    if not rated:
        return None
    return law.net_driving_pressure(
        rated["pressure"], 0.0, law.RATED_FEED, law.RATED_RECOVERY, view[REJECTION], rated["temperature"]
    )

"""Every open end of the plumbing: in air or under water, whether water runs on through it when a pump has stopped, and
whether it can draw water back when the supply sags."""

from __future__ import annotations

from dataclasses import dataclass

from dewpond.design.model import Design
from dewpond.parts.gaps import BESIDE, FALLS, WALL
from dewpond.physics.openings import air_gap_european, air_gap_us
from dewpond.physics.pipes import siphon_keeps_flowing
from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import level_of
from dewpond.plant.plant import Plant
from dewpond.study.filling import filled_edges

PUMPED, FILLED, RUNS_OFF, GRAVITY = "pump", "supply", "drain", "vessel"
NO, YES, ABOVE, BACK = "no", "yes", "above a mark", "back"
HELD, DOWN = "held", "down"  # of an end under water that a supply feeds, besides no and yes


@dataclass(frozen=True)
class Passive:
    """What happens at an end that vessels feed while every pump and valve of theirs is at rest.

    flows: ``no``; ``yes``, with both vessels as they usually stand; ``above a mark``: only while the source stands
    higher than ``mark`` [m above the datum]; ``back``: out of the vessel that it ends in. open: whether water can run
    through what stands still at all.
    """

    source: str
    source_level: float
    open: bool
    flows: str
    mark: float


@dataclass(frozen=True)
class End:
    """An open end: of which part, into which vessel or drain, at a height above the datum [m].

    sort: what brings its water: ``pump``, ``supply``, ``vessel`` (by gravity) or ``drain`` for one that ends over a
    drain. level: the highest ordinary water around it [m above the datum]; None over a drain. gap: of air to the rim of
    what it ends over [m]; None where nobody says. us, europe: the falls that the rules want [m]; bore [m]. passive:
    None where no vessel feeds it. back: of one that a supply feeds: ``no`` (its end is in air), ``yes``, ``held`` by
    the part ``holder``, or ``down``, by another branch into the vessel ``holder``.
    """

    part: str
    into: str
    sort: str
    height: float
    level: float | None
    gap: float | None
    us: float
    europe: float
    bore: float
    passive: Passive | None
    back: str
    holder: str

    @property
    def under_water(self) -> bool:
        """Whether the water of its vessel stands over it on an ordinary day."""
        return self.level is not None and self.height < self.level


def ends(plant: Plant, design: Design) -> tuple[End, ...]:
    """All of them, by the parts that they belong to; overflows and what only a fault opens are none."""
    a, found = plant.arrays, list[tuple[int, int]]()
    for edge, law in enumerate(a.edge_law):
        node = a.edge_b[edge]
        spout = a.node_kind[node] == prim.SPOUT
        drains = a.node_kind[node] == prim.AIR and a.node_rkind[node] == prim.R_DRAIN
        own_vessel = a.node_kind[a.edge_a[edge]] == prim.TAP  # an overflow, or a drain of its own
        if (spout or drains) and law != prim.WEIR and not own_vessel and not _only_by_fault(plant, edge):
            found.append((edge, node))
    many = [a.node_ref[node] for _, node in found if a.node_kind[node] == prim.SPOUT]
    every = (_end(plant, design, edge, node, many.count(a.node_ref[node])) for edge, node in found)
    return tuple(end for end in every if end.passive is None or end.passive.source != end.into)  # no fitting is an end


def _only_by_fault(plant: Plant, edge: int) -> bool:
    a, gate = plant.arrays, plant.arrays.edge_gate[edge]
    return gate >= 0 and a.gate_kind[gate] == prim.G_CONST and a.gate_a[gate] <= 0.0


def _end(plant: Plant, design: Design, edge: int, node: int, feeds: int) -> End:
    a = plant.arrays
    part, z = plant.parts[a.edge_owner[edge]], a.node_z[node]
    before = _before(plant, edge)
    vessels = [a.node_ref[n] for n in before.nodes if a.node_kind[n] == prim.TAP]
    supply = any(a.node_kind[n] == prim.FIXED and a.node_value[n] > 0.0 for n in before.nodes)
    pumps = any(a.edge_law[e] in (prim.PUMP, prim.FLOW) for e in before.edges)
    bore = next((a.edge_p1[e] for e in before.edges if a.edge_law[e] == prim.TUBE), 0.0)
    view, store = design.part(part), a.node_ref[node]
    level: float | None = None
    gap = next((float(view[key]) for key in FALLS if view.get(key) is not None), None)
    if a.node_kind[node] == prim.SPOUT:
        level, gap = highest(plant, store), z - _rim(plant, store)
        into, counted = plant.stores[store], feeds
    else:
        into, counted = _drain(design, part), 1
    sort = PUMPED if pumps else GRAVITY if vessels and not supply else RUNS_OFF if level is None else FILLED
    wall = view.get(BESIDE.key) == WALL
    us, europe = (air_gap_us(bore, wall), air_gap_european(bore, counted)) if bore > 0.0 else (0.0, 0.0)
    passive = _passive(plant, before, vessels[0], store, z) if vessels and level is not None else None
    back, holder = _drawn_back(plant, before, store, z, level) if supply else (NO, "")
    return End(part, into, sort, z, level, gap, us, europe, bore, passive, back, holder)


@dataclass(frozen=True)
class _Way:
    """All that leads to an end: edges, the nearest first, and nodes."""

    edges: tuple[int, ...]
    nodes: tuple[int, ...]


def _before(plant: Plant, edge: int) -> _Way:
    """Up to vessels, supplies and the air; what only a fault opens leads nowhere."""
    a = plant.arrays
    edges, nodes, todo = [edge], [a.edge_a[edge]], [a.edge_a[edge]]
    for node in todo:  # grows while it is walked
        if a.node_kind[node] not in (prim.JUNCTION, prim.SPRING):
            continue
        for other, end in enumerate(a.edge_b):
            if end == node and other not in edges and not _only_by_fault(plant, other):
                edges.append(other)
                if a.edge_a[other] not in nodes:
                    nodes.append(a.edge_a[other])
                    todo.append(a.edge_a[other])
    return _Way(tuple(edges), tuple(nodes))


def _level(plant: Plant, store: int, volume: float) -> float:
    """Height of the water above the datum [m], with so much in a vessel [m3]."""
    return plant.arrays.store_z[store] + float(level_of(plant.arrays, store, volume)[0])


def _rim(plant: Plant, store: int) -> float:
    return _level(plant, store, plant.arrays.store_rim[store])


def highest(plant: Plant, store: int) -> float:
    """The highest at which a vessel stands on an ordinary day [m above the datum]: where its float is quite shut, else
    where it starts."""
    a = plant.arrays
    marks = [a.gate_b[a.edge_gate[edge]] for edge, filled in filled_edges(plant) if filled == store]
    start = _level(plant, store, a.store_start[store])
    return max(start, a.store_z[store] + min(marks)) if marks else start


def _passive(plant: Plant, before: _Way, source: int, store: int, z: float) -> Passive:
    """By the truth table of siphons, with the source as high as it usually gets."""
    stands, around = highest(plant, source), highest(plant, store)
    name = plant.stores[source]
    is_open = _is_open(plant, before, store)
    mark = max(z, around)
    if not is_open:
        return Passive(name, stands, False, NO, mark)
    receiving = around if z < around else None
    if siphon_keeps_flowing(stands, z, receiving):
        return Passive(name, stands, True, YES, mark)
    if receiving is not None and receiving > _inlet(plant, before, source):
        return Passive(name, stands, True, BACK, mark)
    return Passive(name, stands, True, ABOVE if _rim(plant, source) > mark else NO, mark)


def _inlet(plant: Plant, before: _Way, source: int) -> float:
    """The lowest to which a vessel is drawn by what draws from it [m above the datum]."""
    a = plant.arrays
    low = [
        a.gate_b[a.edge_gate[e]]
        for e in before.edges
        if a.edge_gate[e] >= 0 and a.gate_kind[a.edge_gate[e]] == prim.G_LEVEL and a.gate_ref[a.edge_gate[e]] == source
    ]
    return a.store_z[source] + min(low, default=0.0)


def _is_open(plant: Plant, before: _Way, store: int) -> bool:
    """Whether water can run from a vessel to the end while every pump stands and every driven valve is shut. A float
    of the vessel it runs into ends that by itself: it is no open way."""
    a = plant.arrays

    def stands_open(edge: int) -> bool:
        gate = a.edge_gate[edge]
        if a.edge_law[edge] in (prim.PUMP, prim.FLOW):
            return False
        if gate < 0:
            return True
        floats = a.gate_kind[gate] == prim.G_LEVEL and a.gate_ref[gate] == store and a.gate_b[gate] > a.gate_a[gate]
        return a.gate_kind[gate] != prim.G_SIGNAL and not floats

    left = {e for e in before.edges if stands_open(e)}
    nodes = {a.edge_a[before.edges[0]]} if before.edges[0] in left else set[int]()
    todo = list(nodes)
    while todo:
        node = todo.pop()
        if a.node_kind[node] == prim.TAP:
            return True
        new = {a.edge_a[e] for e in left if a.edge_b[e] == node} - nodes
        nodes |= new
        todo += new
    return False


def _drawn_back(plant: Plant, before: _Way, store: int, z: float, level: float | None) -> tuple[str, str]:
    """Whether a vessel is drawn back through an end under its water when the supply gives nothing: into the supply, or
    down another branch; and which part holds it, or the vessel it runs to."""
    if level is None or z >= level:
        return NO, ""
    a = plant.arrays
    near: set[int] = set()
    for edge in before.edges:
        if a.edge_law[edge] in (prim.CHECK, prim.MEMBRANE):
            lower = _lower_vessel(plant, near, store, level)
            return (DOWN, lower) if lower else (HELD, plant.parts[a.edge_owner[edge]])
        near.add(a.edge_a[edge])
    return YES, ""


def _lower_vessel(plant: Plant, nodes: set[int], store: int, level: float) -> str:
    """Another vessel that a line from these nodes ends in, below a level [m above the datum]; empty for none."""
    a = plant.arrays
    leads: dict[int, list[int]] = {}
    for edge, start in enumerate(a.edge_a):
        if not _only_by_fault(plant, edge) and a.edge_law[edge] != prim.MEMBRANE:
            leads.setdefault(start, []).append(a.edge_b[edge])
    seen, todo = set(nodes), sorted(nodes)
    while todo:
        node = todo.pop(0)
        if a.node_kind[node] == prim.SPOUT:
            other = a.node_ref[node]
            if other != store and max(a.node_z[node], highest(plant, other)) < level:
                return plant.stores[other]
            continue
        new = [end for end in leads.get(node, ()) if end not in seen]
        seen.update(new)
        todo += new
    return ""


def _drain(design: Design, part: str) -> str:
    """The drain that a part names; empty where it names none."""
    view = design.part(part)
    return next((str(view[key]) for key in ("to", "over", "waste to") if view.get(key)), "")

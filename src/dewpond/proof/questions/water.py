"""Where the supply's water can get out, and which gates must stand open for it to come there.

What is always open, floats that open as their vessel falls, and shut-offs that hang on pressure count as open: they
stop nothing for good. What a vessel holds when its feed is shut is left aside, for it comes to an end by itself.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import NamedTuple

from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.feeding import spot
from dewpond.plant.kernel.marks import TRUE
from dewpond.plant.plant import Onset, Plant, PlantFault, Scenario
from dewpond.proof.draft import FORCING
from dewpond.proof.questions.layers import layers
from dewpond.proof.questions.outlets import Outlet, outlets
from dewpond.proof.signals import order_of

MOST_WAYS = 64  # sets of gates to one spot; beyond, the water is taken to come there whatever is shut
Ways = frozenset[frozenset[int]]  # sets of gates, each of which is enough when all in it stand open
HOUR = 3600.0
PURE = 0.03  # what a probe takes for purified water holds no more [kg/m3]
OPEN: Ways = frozenset([frozenset()])


class Spill(NamedTuple):
    """Water of the supply that gets out: the faults that let it, all alike here; the gate that each of them moves, and
    whether water gets out while that is open or while it is shut; the place that it comes to; the ways that bring it;
    whether it carries much that is dissolved; counted: edges that count what comes through them, to shut after so much,
    and through which it runs so fast that they do."""

    labels: tuple[str, ...]
    moved: tuple[tuple[int, bool], ...]
    place: int
    ways: Ways
    salty: bool
    counted: frozenset[int] = frozenset()

    @property
    def gate(self) -> int:
        """The gate that the first fault moves."""
        return self.moved[0][0]

    @property
    def opens(self) -> bool:
        """Whether water gets out while that stands open; else while it is shut."""
        return self.moved[0][1]

    @property
    def gates(self) -> tuple[int, ...]:
        """All gates on its ways."""
        return tuple(sorted(frozenset().union(*self.ways)))


def spills(plant: Plant) -> tuple[Spill, ...]:
    """Every way in which a fault alone lets the supply's water out onto a place, those alike taken together. What is
    ordered, or lets water out while it is shut, is like nothing else."""
    a = plant.arrays
    reached, unpurified = _reached(plant, pure=True), _reached(plant, pure=False)
    found: dict[tuple[int, Ways, bool, int, frozenset[int]], dict[str, tuple[PlantFault, Outlet]]] = {}
    for fault in plant.faults:
        for out in outlets(plant, fault):
            ways = (_reached(plant, pure=True, beyond=-1 - out.whence) if out.full else reached).get(out.whence)
            salty = out.whence in unpurified or _is_salty(plant, out.whence)
            own = out.gate if order_of(plant, out.gate) >= 0 else -1
            if ways:
                key = out.place, ways, salty, own, counted(plant, fault.label)
                found.setdefault(key, {}).setdefault(fault.label, (fault, out))
    spilled = []
    for (place, ways, salty, _, seen), alike in found.items():
        pairs = sorted(alike.values(), key=lambda pair: _tightness(plant, *pair))
        labels = tuple(fault.label for fault, _ in pairs)
        spilled.append(Spill(labels, tuple((out.gate, out.opens) for _, out in pairs), place, ways, salty, seen))
    return tuple(sorted(spilled, key=lambda one: (a.place_order.index(one.place), one.labels)))


def counted(plant: Plant, label: str) -> frozenset[int]:
    """The edges that count what comes through them, to shut after so much, of which a run shows that they do so of what
    a fault lets out: they have shut within an hour, or so much still runs. Of how wide it is, nothing else is asked."""
    return plant.once(("counted", label), lambda: frozenset(_counts(plant, label)))


def _counts(plant: Plant, label: str) -> Iterator[int]:
    mine = [layer for layer in layers(plant) if layer.counted]
    if not mine or plant.fault(label).timing == "triggered":
        return
    a = plant.arrays
    trace = engine.run(plant, Scenario("travelling", HOUR, (Onset(label, 0.0),)), compiled=None)
    for layer in mine:
        for edge in layer.counted:
            marks = zip(a.thr_kind, a.thr_ref, a.thr_on, strict=True)
            least = max((on for kind, ref, on in marks if (kind, ref) == (prim.T_FLOW, edge)), default=0.0)
            if trace.seen[layer.trip] & TRUE or trace.flow[edge] >= least > 0.0:
                yield edge


def narrowed(spill: Spill, labels: Collection[str]) -> Spill:
    """A spill by some of its faults alone."""
    kept = [(label, moved) for label, moved in zip(spill.labels, spill.moved, strict=True) if label in labels]
    return spill._replace(labels=tuple(label for label, _ in kept), moved=tuple(moved for _, moved in kept))


def _tightness(plant: Plant, fault: PlantFault, out: Outlet) -> tuple[bool, float]:
    """How little a fault lets out: the loss of the widest of its holes [Pa s2/m6]; a gate that is held only a little
    open comes last, for its name says less of where the water is."""
    a = plant.arrays
    little = any(what == "low" and number == out.gate and value <= FORCING for what, number, value in fault.patches)
    held = {number for what, number, _ in fault.patches if what == "low"} | {out.gate}
    return little, min((a.edge_p1[edge] for edge, gate in enumerate(a.edge_gate) if gate in held), default=0.0)


def _is_salty(plant: Plant, whence: int) -> bool:
    """Whether a spot is a vessel that holds more than purified water at first."""
    a = plant.arrays
    return whence < 0 and a.body_start[a.store_body[-1 - whence]] > PURE


def _reached(plant: Plant, pure: bool, siphons: bool = True, beyond: int = -1) -> dict[int, Ways]:
    """By spot that the supply's water comes to, the ways there; not ``pure``: as far as nothing purifies it; without
    ``siphons``: as far as nothing must be primed, which nobody can count on; ``beyond``: a vessel that is to be filled
    beyond its mark, so that its floats must let it."""
    a = plant.arrays
    steps: dict[int, list[tuple[int, int]]] = {}
    for edge, (start, end) in enumerate(zip(a.edge_a, a.edge_b, strict=True)):
        primed = a.edge_gate[edge] >= 0 and a.gate_kind[a.edge_gate[edge]] == prim.G_PRIMED
        if (not pure and a.edge_pass[edge] < 1.0) or (primed and not siphons):
            continue
        gate = _barrier(plant, a.edge_gate[edge], beyond)
        steps.setdefault(spot(plant, start), []).append((spot(plant, end), gate))
        if a.edge_law[edge] in (prim.TUBE, prim.ORIFICE) and not _one_way(plant, edge):
            steps.setdefault(spot(plant, end), []).append((spot(plant, start), gate))
    found: dict[int, Ways] = dict.fromkeys(_supplies(plant), OPEN)
    todo = list(found)
    while todo:
        here = todo.pop(0)
        for there, gate in steps.get(here, ()):
            new = found[here] if gate < 0 else frozenset(way | {gate} for way in found[here])
            ways = _smallest(new | found.get(there, frozenset()))
            if ways != found.get(there):
                found[there] = ways
                todo.append(there)
    return found


def _supplies(plant: Plant) -> list[int]:
    """Nodes at which the house is fed: those whose pressure may fail. A bucket that is emptied into a tank is none."""
    failing = {number for fault in plant.faults for what, number, _ in fault.patches if what == "source"}
    return [node for node, kind in enumerate(plant.arrays.node_kind) if kind == prim.FIXED and node in failing]


def _one_way(plant: Plant, edge: int) -> bool:
    """Nothing comes back out of the air, or up from a vessel's water to the end of a tube above it."""
    kinds = plant.arrays.node_kind
    return kinds[plant.arrays.edge_b[edge]] in (prim.AIR, prim.SPOUT)


def _barrier(plant: Plant, gate: int, beyond: int) -> int:
    """The gate, if something can shut it for good or has to open it; -1 where it stands open by itself."""
    a = plant.arrays
    if gate < 0 or a.gate_kind[gate] in (prim.G_RATIO, prim.G_PRIMED):
        return -1
    if a.gate_kind[gate] == prim.G_LEVEL:
        return gate if a.gate_ref2[gate] >= 0 or a.gate_ref[gate] == beyond else -1
    return -1 if a.gate_kind[gate] == prim.G_CONST and a.gate_a[gate] > FORCING else gate


def _smallest(ways: Iterable[frozenset[int]]) -> Ways:
    kept = {way for way in ways if not any(other < way for other in ways)}
    return frozenset(kept) if len(kept) <= MOST_WAYS else OPEN


def onward(plant: Plant, place: int) -> Iterator[int]:
    """A place and those that its water goes on to."""
    a = plant.arrays
    seen: list[int] = []
    while place not in seen:
        seen.append(place)
        yield place
        if a.place_next_kind[place] != prim.R_PLACE:
            return
        place = a.place_next[place]


def feeds(plant: Plant, store: int) -> Ways:
    """The ways by which the supply's water comes into a vessel."""
    return _reached(plant, pure=True, siphons=False).get(-1 - store, frozenset())

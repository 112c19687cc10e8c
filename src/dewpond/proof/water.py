"""Where the supply's water can get out, and which gates must stand open for it to come there.

What is always open, floats that open as their vessel falls, and shut-offs that hang on pressure count as open: they
stop nothing for good. What a vessel holds when its feed is shut is left aside, for it comes to an end by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.feeding import spot
from dewpond.plant.plant import Plant, PlantFault
from dewpond.proof.draft import FORCING

MOST_WAYS = 64  # sets of gates to one spot; beyond, the water is taken to come there whatever is shut
Ways = frozenset[frozenset[int]]  # sets of gates, each of which is enough when all in it stand open
PURE = 0.03  # what a probe takes for purified water holds no more [kg/m3]
OPEN: Ways = frozenset([frozenset()])


class Spill(NamedTuple):
    """Water of the supply that gets out: the faults that let it, all alike here; the gate that the first of them holds
    open; the place that it comes to; the ways that bring it; whether it carries much that is dissolved."""

    labels: tuple[str, ...]
    gate: int
    place: int
    ways: Ways
    salty: bool

    @property
    def gates(self) -> tuple[int, ...]:
        """All gates on its ways."""
        return tuple(sorted(frozenset().union(*self.ways)))


def spills(plant: Plant) -> tuple[Spill, ...]:
    """Every way in which a fault alone lets the supply's water out onto a place, those alike taken together."""
    a = plant.arrays
    reached, unpurified = _reached(plant, pure=True), _reached(plant, pure=False)
    found: dict[tuple[int, Ways, bool], list[PlantFault]] = {}
    for fault in plant.faults:
        for gate in _opened(fault):
            for place, whence in _out(plant, gate):
                ways = reached.get(whence, frozenset())
                salty = whence in unpurified or _is_salty(plant, whence)
                if ways and fault not in found.setdefault((place, ways, salty), []):
                    found[place, ways, salty].append(fault)
    for faults in found.values():
        faults.sort(key=lambda fault: _tightness(plant, fault))
    spilled = [
        Spill(tuple(f.label for f in faults), next(_opened(faults[0])), place, ways, salty)
        for (place, ways, salty), faults in found.items()
    ]
    return tuple(sorted(spilled, key=lambda one: (a.place_order.index(one.place), one.labels)))


def narrowed(plant: Plant, spill: Spill, labels: Sequence[str]) -> Spill:
    """A spill by some of its faults alone."""
    return spill._replace(labels=tuple(labels), gate=next(_opened(plant.fault(labels[0]))))


def _tightness(plant: Plant, fault: PlantFault) -> float:
    """How little a fault lets out: the loss of the widest of its holes [Pa s2/m6]."""
    a, gates = plant.arrays, set(_opened(fault))
    return min((a.edge_p1[edge] for edge, gate in enumerate(a.edge_gate) if gate in gates), default=0.0)


def _opened(fault: PlantFault) -> Iterator[int]:
    return (number for what, number, value in fault.patches if what == "low" and value > FORCING)


def _is_salty(plant: Plant, whence: int) -> bool:
    """Whether a spot is a vessel that holds more than purified water at first."""
    a = plant.arrays
    return whence < 0 and a.body_start[a.store_body[-1 - whence]] > PURE


def _out(plant: Plant, gate: int) -> Iterator[tuple[int, int]]:
    """The places that water comes to when a gate stands open that should not, and the spot that it leaves: through a
    hole, or over the rim of the vessel that it fills."""
    a = plant.arrays
    for edge, own in enumerate(a.edge_gate):
        if own != gate:
            continue
        there = a.edge_b[edge]
        if a.node_kind[there] == prim.AIR and a.node_rkind[there] == prim.R_PLACE:
            yield a.node_rref[there], spot(plant, a.edge_a[edge])
        store = a.gate_ref[gate] if a.gate_kind[gate] == prim.G_LEVEL and a.gate_ref2[gate] < 0 else -1
        if store >= 0 and spot(plant, there) == -1 - store and a.store_rkind[store] == prim.R_PLACE:
            yield a.store_rref[store], spot(plant, a.edge_a[edge])


def _reached(plant: Plant, pure: bool, siphons: bool = True) -> dict[int, Ways]:
    """By spot that the supply's water comes to, the ways there; not ``pure``: as far as nothing purifies it; without
    ``siphons``: as far as nothing must be primed, which nobody can count on."""
    a = plant.arrays
    steps: dict[int, list[tuple[int, int]]] = {}
    for edge, (start, end) in enumerate(zip(a.edge_a, a.edge_b, strict=True)):
        primed = a.edge_gate[edge] >= 0 and a.gate_kind[a.edge_gate[edge]] == prim.G_PRIMED
        if (not pure and a.edge_pass[edge] < 1.0) or (primed and not siphons):
            continue
        gate = _barrier(plant, a.edge_gate[edge])
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


def _barrier(plant: Plant, gate: int) -> int:
    """The gate, if something can shut it for good or has to open it; -1 where it stands open by itself."""
    a = plant.arrays
    if gate < 0 or a.gate_kind[gate] in (prim.G_RATIO, prim.G_PRIMED):
        return -1
    if a.gate_kind[gate] == prim.G_LEVEL:
        return gate if a.gate_ref2[gate] >= 0 else -1
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

"""The way that water took to where it got out onto a place, and what of it is left when parts of it are shut."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from dewpond.plant import primitives as prim
from dewpond.plant.asked import NO_WATER
from dewpond.plant.moments import spilled
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace


@dataclass(frozen=True)
class Way:
    """Edges through which water came that got out. Spots are node numbers, or -1 - number of a vessel.

    steps: edge -> (spot whence, spot whither), once or both ways; outlets: where water got out; sources: vessels and
    the supply.
    """

    steps: Mapping[int, tuple[tuple[int, int], ...]]
    outlets: frozenset[int]
    sources: frozenset[int]

    def leading_out(self, shut: Collection[int]) -> frozenset[int]:
        """Edges from which water still comes to an outlet past those that are ``shut``."""
        return _walk(((e, b, a) for e, ways in self.steps.items() if e not in shut for a, b in ways), self.outlets)

    def fed(self, shut: Collection[int]) -> frozenset[int]:
        """Edges to which water still comes from a source, and from there to an outlet."""
        return self._ahead(shut, self.sources) & self.leading_out(shut)

    def supplied(self, shut: Collection[int]) -> bool:
        """Whether water still comes from the supply to an outlet."""
        return bool(self._ahead(shut, (spot for spot in self.sources if spot >= 0)) & self.leading_out(shut))

    def _ahead(self, shut: Collection[int], sources: Iterable[int]) -> frozenset[int]:
        return _walk(((e, a, b) for e, ways in self.steps.items() if e not in shut for a, b in ways), sources)


def way_out(plant: Plant, trace: Trace) -> Way:
    """The way of all water that got out onto a place over the run.

    What ran back through a part in the end may have run forth through it while the water got out: that counts as well.
    """
    a = plant.arrays
    steps = {}
    over = {e.ref for e in trace.events if e.code == prim.E_RIM and spilled(plant, trace, e.ref)}
    outlets = {-1 - store for store in over}
    sources = {-1 - store for store in range(len(a.store_z))}
    for edge, moved in enumerate(trace.moved):
        if abs(moved) <= NO_WATER:
            continue
        ends = (a.edge_a[edge], a.edge_b[edge]) if moved > 0.0 else (a.edge_b[edge], a.edge_a[edge])
        whence, whither = (spot(plant, n) for n in ends)
        steps[edge] = ((whence, whither),) if moved > 0.0 else ((whence, whither), (whither, whence))
        if prim.FIXED in (a.node_kind[ends[0]], a.node_kind[ends[1]]):
            sources.add(whence if a.node_kind[ends[0]] == prim.FIXED else whither)
        if a.node_kind[ends[1]] == prim.AIR and a.node_rkind[ends[1]] == prim.R_PLACE:
            outlets.add(whither)
    used = _walk(((e, b, a) for e, ways in steps.items() for a, b in ways), outlets)
    return Way({e: steps[e] for e in sorted(used)}, frozenset(outlets), frozenset(sources))


def _walk(steps: Iterable[tuple[int, int, int]], start: Iterable[int]) -> frozenset[int]:
    """Edges passed on all walks from ``start``; ``steps``: (edge, from spot, to spot)."""
    onward: dict[int, list[tuple[int, int]]] = {}
    for edge, here, there in steps:
        onward.setdefault(here, []).append((edge, there))
    found: set[int] = set()
    seen = set(start)
    todo = list(seen)
    while todo:
        for edge, there in onward.get(todo.pop(), ()):
            found.add(edge)
            if there not in seen:
                seen.add(there)
                todo.append(there)
    return frozenset(found)


def spot(plant: Plant, node: int) -> int:
    """One number for a node, or for the vessel that it opens into: -1 - its number."""
    a = plant.arrays
    return -1 - a.node_ref[node] if a.node_kind[node] in (prim.TAP, prim.SPOUT) else node

"""Collects primitives while parts are lowered and lays them down as the kernel's arrays.

Knows nodes, edges, gates, vessels, places, thresholds and logic; nothing of parts, rows or people (see ``lower``).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from copy import deepcopy
from dataclasses import dataclass, field
from typing import Any, TypeVar

from dewpond.plant import primitives as prim
from dewpond.plant.primitives import Arrays

Patch = tuple[str, int, float]
PATCHES = {
    "low": prim.P_GATE_LOW,
    "high": prim.P_GATE_HIGH,
    "force": prim.P_FORCE,
    "scale": prim.P_SCALE_EDGE,
    "source": prim.P_SCALE_SOURCE,
    "passage": prim.P_PASSAGE,
    "holds": prim.P_HOLDS,
    "cut": prim.P_CUT,
}
NO_SCENARIO: dict[str, Any] = {
    "tt_time": [],
    "tt_sig": [],
    "tt_value": [],
    "fault_time": [],
    "fault_signal": [],
    "fault_delay": [],
    "fault_end": [],
    "fault_until": [],
    "patch_at": [0],
    "patch_kind": [],
    "patch_ref": [],
    "patch_value": [],
}  # no timetable and no faults
LEVEL_BAND = 0.002  # least band and hysteresis of anything that follows a level [m]


@dataclass
class Signal:
    """One signal of the logic: ``primitives.L_...`` and its argument, inputs, first value, part."""

    op: int
    arg: float = 0.0
    inputs: list[int] = field(default_factory=list)
    start: int = 0
    owner: int = -1


T = TypeVar("T")


def compressed(rows: Iterable[Sequence[T]]) -> tuple[list[int], list[T]]:
    """Rows end to end, and where each begins and the last one ends."""
    at = [0]
    flat: list[T] = []
    for row in rows:
        flat += row
        at.append(len(flat))
    return at, flat


def top_down(kinds: Sequence[int], nexts: Sequence[int]) -> list[int]:
    """Numbers of places, every one before that to which its water goes on. By place: the kind of receiver, and its
    number."""
    order: list[int] = []
    for first in range(len(kinds)):
        chain = []
        at = first
        while at not in order and at not in chain:
            chain.append(at)
            if kinds[at] != prim.R_PLACE:
                break
            at = nexts[at]
        where = order.index(at) if at in order else len(order)
        order[where:where] = chain
    return order


@dataclass
class Net:
    """The growing plant. Numbers returned are positions in its lists; a negated signal is ``-1 - number``."""

    owner: int = -1
    nodes: list[tuple[int, float, int, float, float, int, int]] = field(default_factory=list)
    edges: list[list[float]] = field(default_factory=list)  # a, b, law, gate, p1..p4, passage, owner
    gates: list[tuple[int, int, int, float, float, float, int]] = field(default_factory=list)
    stores: list[tuple[float, float, int, int, int, float, int]] = field(default_factory=list)
    tables: list[tuple[tuple[float, ...], tuple[float, ...]]] = field(default_factory=list)
    bodies: list[float] = field(default_factory=list)
    places: list[tuple[float, int, int, float, float, int]] = field(default_factory=list)
    outlets: dict[int, tuple[int, float]] = field(
        default_factory=dict
    )  # place -> signal, time in which a film goes [s]
    thresholds: list[tuple[int, int, float, float]] = field(default_factory=list)
    counters: list[tuple[int, int, int]] = field(default_factory=list)
    signals: list[Signal] = field(default_factory=list)
    logged: dict[int, int] = field(default_factory=dict)  # signal -> 1 while there is room, 2 always

    # -- nodes ---------------------------------------------------------------------------------------------------------
    def node(
        self,
        kind: int,
        z: float,
        ref: int = -1,
        value: float = 0.0,
        conc: float = 0.0,
        rkind: int = prim.R_NONE,
        rref: int = -1,
    ) -> int:
        self.nodes.append((kind, z, ref, value, conc, rkind, rref))
        return len(self.nodes) - 1

    def make_spring(self, node: int, compliance: float) -> None:
        kind, z, ref, value, conc, rkind, rref = self.nodes[node]
        if kind not in (prim.JUNCTION, prim.SPRING):
            return  # a node at a fixed pressure takes up nothing
        self.nodes[node] = (prim.SPRING, z, ref, value + compliance, conc, rkind, rref)

    # -- edges ---------------------------------------------------------------------------------------------------------
    def edge(self, a: int, b: int, law: int, gate: int = -1, p: Sequence[float] = (), passage: float = 1.0) -> int:
        row = [*p, 0.0, 0.0, 0.0, 0.0][:4]
        self.edges.append([a, b, law, gate, *row, passage, self.owner])
        number = len(self.edges) - 1
        if gate >= 0 and self.gates[gate][0] == prim.G_PRIMED and self.gates[gate][2] < 0:
            kind, ref, _, ga, gb, gc, owner = self.gates[gate]
            self.gates[gate] = (kind, ref, number, ga, gb, gc, owner)
        return number

    def gate(self, kind: int, ref: int = -1, ref2: int = -1, a: float = 0.0, b: float = 0.0, c: float = 0.0) -> int:
        self.gates.append((kind, ref, ref2, a, b, c, self.owner))
        return len(self.gates) - 1

    # -- logic ---------------------------------------------------------------------------------------------------------
    def signal(self, op: int, arg: float = 0.0, inputs: Sequence[int] = (), start: int = 0) -> int:
        self.signals.append(Signal(op, arg, list(inputs), start, self.owner))
        return len(self.signals) - 1

    def positive(self, signal: int) -> int:
        """The signal itself, or a node of its own for a negated one."""
        return signal if signal >= 0 else self.signal(prim.L_VOTE, 1, [signal])

    def threshold(self, kind: int, ref: int, on: float, off: float) -> int:
        self.thresholds.append((kind, ref, on, off))
        return self.signal(prim.L_THRESHOLD, float(len(self.thresholds) - 1))

    # -- laying down ---------------------------------------------------------------------------------------------------
    def arrays(self, const: Sequence[float]) -> Arrays:
        """The plant as plain lists, without a timetable and without faults."""
        return Arrays(const=list(const), **self._network(), **self._vessels(), **self._logic(), **deepcopy(NO_SCENARIO))

    def _network(self) -> dict[str, Any]:
        isl_edge_at, isl_edge, isl_node_at, isl_node, isl_store_at, isl_store, isl_gate = self._islands()
        n, e, g = self.nodes, self.edges, self.gates
        return {
            "node_kind": [r[0] for r in n],
            "node_z": [r[1] for r in n],
            "node_ref": [r[2] for r in n],
            "node_value": [r[3] for r in n],
            "node_conc": [r[4] for r in n],
            "node_rkind": [r[5] for r in n],
            "node_rref": [r[6] for r in n],
            "edge_a": [int(r[0]) for r in e],
            "edge_b": [int(r[1]) for r in e],
            "edge_law": [int(r[2]) for r in e],
            "edge_gate": [int(r[3]) for r in e],
            "edge_p1": [r[4] for r in e],
            "edge_p2": [r[5] for r in e],
            "edge_p3": [r[6] for r in e],
            "edge_p4": [r[7] for r in e],
            "edge_pass": [r[8] for r in e],
            "edge_owner": [int(r[9]) for r in e],
            "gate_kind": [r[0] for r in g],
            "gate_ref": [r[1] for r in g],
            "gate_ref2": [r[2] for r in g],
            "gate_a": [r[3] for r in g],
            "gate_b": [r[4] for r in g],
            "gate_c": [r[5] for r in g],
            "gate_owner": [r[6] for r in g],
            "isl_edge_at": isl_edge_at,
            "isl_edge": isl_edge,
            "isl_node_at": isl_node_at,
            "isl_node": isl_node,
            "isl_store_at": isl_store_at,
            "isl_store": isl_store,
            "isl_gate": isl_gate,
        }

    def _vessels(self) -> dict[str, Any]:
        at, heights = compressed([h for h, _ in self.tables])
        _, volumes = compressed([v for _, v in self.tables])
        st, pl = self.stores, self.places
        return {
            "store_z": [r[0] for r in st],
            "store_rim": [r[1] for r in st],
            "store_body": [r[2] for r in st],
            "store_rkind": [r[3] for r in st],
            "store_rref": [r[4] for r in st],
            "store_start": [r[5] for r in st],
            "store_owner": [r[6] for r in st],
            "table_at": at,
            "table_h": heights,
            "table_v": volumes,
            "body_start": list(self.bodies),
            "place_cap": [min(r[0], 1e30) for r in pl],
            "place_next_kind": [r[1] for r in pl],
            "place_next": [r[2] for r in pl],
            "place_tau": [r[3] for r in pl],
            "place_wet": [r[4] for r in pl],
            "place_out": [self.outlets.get(k, (-1, 0.0))[0] for k in range(len(pl))],
            "place_out_tau": [self.outlets.get(k, (-1, r[3]))[1] for k, r in enumerate(pl)],
            "place_owner": [r[5] for r in pl],
            "place_order": top_down([r[1] for r in pl], [r[2] for r in pl]),
        }

    def _logic(self) -> dict[str, Any]:
        sig_in_at, sig_in = compressed([s.inputs for s in self.signals])
        return {
            "thr_kind": [r[0] for r in self.thresholds],
            "thr_ref": [r[1] for r in self.thresholds],
            "thr_on": [r[2] for r in self.thresholds],
            "thr_off": [r[3] for r in self.thresholds],
            "cnt_edge": [r[0] for r in self.counters],
            "cnt_reset": [r[1] for r in self.counters],
            "cnt_when": [r[2] for r in self.counters],
            "sig_op": [s.op for s in self.signals],
            "sig_arg": [float(s.arg) for s in self.signals],
            "sig_in_at": sig_in_at,
            "sig_in": sig_in,
            "sig_start": [s.start for s in self.signals],
            "sig_owner": [s.owner for s in self.signals],
            "sig_log": [self.logged.get(i, 0) for i in range(len(self.signals))],
        }

    def _vessel(self, node: int) -> int:
        """The vessel a node touches, or -1."""
        return self.nodes[node][2] if self.nodes[node][0] in (prim.TAP, prim.SPOUT) else -1

    def _islands(self) -> tuple[list[int], ...]:
        """Edges joined by water between vessels; islands that touch the same two vessels are solved as one."""
        parent = list(range(len(self.edges)))

        def root(i: int) -> int:
            while parent[i] != i:
                parent[i] = parent[parent[i]]
                i = parent[i]
            return i

        by_node: dict[int, int] = {}
        for i, e in enumerate(self.edges):
            for node in (int(e[0]), int(e[1])):
                if self.nodes[node][0] in (prim.JUNCTION, prim.SPRING):
                    parent[root(i)] = root(by_node.setdefault(node, i))
        merged = True
        while merged:
            merged = False
            touches: dict[int, set[int]] = {}
            for i, e in enumerate(self.edges):
                vessels = {self._vessel(int(e[0])), self._vessel(int(e[1]))} - {-1}
                touches.setdefault(root(i), set()).update(vessels)
            roots = sorted(touches)
            for k, r in enumerate(roots):
                for other in roots[k + 1 :]:
                    if root(r) != root(other) and len(touches[r] & touches[other]) >= 2:
                        parent[root(other)] = root(r)
                        merged = True
        groups: dict[int, list[int]] = {}
        for i in range(len(self.edges)):
            groups.setdefault(root(i), []).append(i)
        return self._compressed([groups[r] for r in sorted(groups)])

    def _compressed(self, groups: list[list[int]]) -> tuple[list[int], ...]:
        edge_at, edges, node_at, nodes, store_at, stores, ratio = [0], [], [0], [], [0], [], []
        for members in groups:
            seen = self._downstream([self.edges[i] for i in members])
            edges += members
            nodes += seen
            gate_vessels = {
                self.gates[int(self.edges[i][3])][1]
                for i in members
                if self.edges[i][3] >= 0 and self.gates[int(self.edges[i][3])][0] == prim.G_LEVEL
            }
            stores += sorted({self._vessel(n) for n in seen} - {-1} | gate_vessels)
            gates = [int(self.edges[i][3]) for i in members if self.edges[i][3] >= 0]
            ratio.append(next((g for g in gates if self.gates[g][0] == prim.G_RATIO), -1))
            edge_at.append(len(edges))
            node_at.append(len(nodes))
            store_at.append(len(stores))
        return edge_at, edges, node_at, nodes, store_at, stores, ratio

    def _downstream(self, edges: list[list[float]]) -> list[int]:
        """The island's nodes, sources first, in the order water reaches them: one sweep then carries the salt."""
        left = sorted({int(n) for e in edges for n in e[:2]})
        order: list[int] = []
        while left:
            ready = [n for n in left if not any(int(e[1]) == n and int(e[0]) in left and int(e[0]) != n for e in edges)]
            take = ready or left[:1]
            order += take
            left = [n for n in left if n not in take]
        return order

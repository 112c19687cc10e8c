"""The same plant with all its numbers dealt anew."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

from dewpond.plant import primitives as prim
from dewpond.plant.build import Net, Signal
from tests.plant.nets import Bench, Fault


@dataclass(frozen=True)
class Numbers:
    """Old number -> new number, by sort."""

    nodes: list[int]
    edges: list[int]
    gates: list[int]
    stores: list[int]
    bodies: list[int]
    places: list[int]
    thresholds: list[int]
    counters: list[int]
    signals: list[int]

    def signal(self, old: int) -> int:
        return self.signals[old] if old >= 0 else -1 - self.signals[-1 - old]


def deal(rng: random.Random, count: int) -> list[int]:
    order = list(range(count))
    rng.shuffle(order)
    return order


def placed(items: list, numbers: list[int]) -> list:  # type: ignore[type-arg]
    """The items, each at its new number."""
    out = [None] * len(items)
    for item, number in zip(items, numbers, strict=True):
        out[number] = item
    return out


def shuffled(bench: Bench, seed: int) -> tuple[Bench, Numbers]:
    """The plant with every list in another order, timetable and faults too; and where everything went."""
    rng, old = random.Random(seed), bench.net
    n = Numbers(*(deal(rng, len(items)) for items in (
        old.nodes, old.edges, old.gates, old.stores, old.bodies, old.places, old.thresholds, old.counters, old.signals
    )))  # fmt: skip
    net = Net()
    net.nodes = placed([_node(n, row) for row in old.nodes], n.nodes)
    net.edges = placed(
        [
            [n.nodes[int(a)], n.nodes[int(b)], law, n.gates[int(g)] if g >= 0 else -1, *rest]
            for a, b, law, g, *rest in old.edges
        ],
        n.edges,
    )
    net.gates = placed([_gate(n, row) for row in old.gates], n.gates)
    net.stores = placed(
        [(z, rim, n.bodies[body], kind, n.places[ref] if kind == prim.R_PLACE else ref, start, owner)
         for z, rim, body, kind, ref, start, owner in old.stores],
        n.stores,
    )  # fmt: skip
    net.tables = placed(old.tables, n.stores)
    net.bodies = placed(old.bodies, n.bodies)
    net.places = placed(
        [(cap, kind, n.places[ref] if kind == prim.R_PLACE else ref, *rest) for cap, kind, ref, *rest in old.places],
        n.places,
    )
    homes = {prim.T_LEVEL: n.stores, prim.T_POOL: n.places, prim.T_POOL_SALT: n.places, prim.T_COUNTER: n.counters,
             prim.T_PRESSURE: n.nodes, prim.T_FLOW: n.edges, prim.T_CONC: n.nodes}  # fmt: skip
    net.thresholds = placed([(kind, homes[kind][ref], on, off) for kind, ref, on, off in old.thresholds], n.thresholds)
    net.counters = placed(
        [(n.edges[e] if e >= 0 else -1, n.signal(s), n.signal(w)) for e, s, w in old.counters], n.counters
    )
    net.signals = placed([_signal(n, s) for s in old.signals], n.signals)
    net.logged = {n.signal(s): v for s, v in old.logged.items()}
    rows = [(t, n.signal(s), v) for t, s, v in bench.rows]
    rng.shuffle(rows)
    return Bench(net, rows, [_fault(n, f) for f in bench.faults], bench.constants), n


def _node(
    n: Numbers, row: tuple[int, float, int, float, float, int, int]
) -> tuple[int, float, int, float, float, int, int]:
    kind, z, ref, value, conc, rkind, rref = row
    ref = n.stores[ref] if kind in (prim.TAP, prim.SPOUT) else ref
    return kind, z, ref, value, conc, rkind, n.places[rref] if rkind == prim.R_PLACE else rref


def _gate(
    n: Numbers, row: tuple[int, int, int, float, float, float, int]
) -> tuple[int, int, int, float, float, float, int]:
    kind, ref, ref2, a, b, c, owner = row
    if kind == prim.G_SIGNAL:
        ref = n.signal(ref)
    elif kind == prim.G_LEVEL:
        ref, ref2 = n.stores[ref], n.signal(ref2) if ref2 != -1 else -1
    elif kind == prim.G_RATIO:
        ref, ref2 = n.nodes[ref], n.nodes[ref2]
    elif kind == prim.G_PRIMED:
        ref, ref2 = n.signal(ref), n.edges[ref2]
    return kind, ref, ref2, a, b, c, owner


def _signal(n: Numbers, s: Signal) -> Signal:
    arg = float(n.thresholds[int(s.arg)]) if s.op == prim.L_THRESHOLD else s.arg
    return replace(s, arg=arg, inputs=[n.signal(i) for i in s.inputs])


def _fault(n: Numbers, fault: Fault) -> Fault:
    homes = {prim.P_GATE_LOW: n.gates, prim.P_GATE_HIGH: n.gates, prim.P_FORCE: n.signals, prim.P_SCALE_EDGE: n.edges,
             prim.P_PASSAGE: n.edges, prim.P_SCALE_SOURCE: n.nodes, prim.P_HOLDS: n.places}  # fmt: skip
    patches = [(kind, homes[kind][ref], value) for kind, ref, value in fault.patches]
    return replace(fault, patches=patches, signal=n.signals[fault.signal] if n.signals else 0)

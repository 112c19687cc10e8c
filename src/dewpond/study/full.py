"""How high a vessel is filled in ordinary use, whatever stands in it when a run begins."""

from __future__ import annotations

import math

from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import level_of
from dewpond.plant.plant import Plant


def full_level(plant: Plant, store: int) -> float:
    """Height above a vessel's bottom to which it is filled [m]: where its float is quite shut; of a vessel that is no
    tank's water, else the mark of a switch in it that ends what fills it, never above its overflow or its rim. What
    nothing fills by itself stands as the file says."""
    a = plant.arrays
    starts = float(level_of(a, store, a.store_start[store])[0])
    marks = [
        a.gate_b[g] for g, kind in enumerate(a.gate_kind)
        if kind == prim.G_LEVEL and a.gate_ref[g] == store and a.gate_b[g] > a.gate_a[g]
    ]  # fmt: skip
    if a.store_body[store] in {a.store_body[tank] for tank in plant.tanks}:
        return max([starts, *marks])  # it runs at the level of the file, and a float only makes up for what it loses
    holds = min(_crest(plant, store), float(level_of(a, store, a.store_rim[store])[0]))
    if marks:
        return min(max(marks), holds)
    switched = _switched(plant, store)
    return min(*switched.values(), holds) if switched else starts


def _crest(plant: Plant, store: int) -> float:
    """Level of the crest of its overflow [m]; endless without one."""
    a = plant.arrays
    crests = [
        a.node_z[a.edge_b[edge]] - a.store_z[store]
        for edge, law in enumerate(a.edge_law)
        if law == prim.WEIR and a.node_ref[a.edge_a[edge]] == store and a.node_kind[a.edge_b[edge]] == prim.AIR
    ]
    return min(crests, default=math.inf)


def _switched(plant: Plant, store: int) -> dict[int, float]:
    """Switch -> its upper mark [m], of those in a vessel on which something hangs that fills it."""
    a = plant.arrays
    found: dict[int, float] = {}
    gates = _inflows(plant, store)
    for signal, op in enumerate(a.sig_op):
        mark = int(a.sig_arg[signal]) if op == prim.L_THRESHOLD else -1
        if mark < 0 or a.thr_kind[mark] != prim.T_LEVEL or a.thr_ref[mark] != store or a.sig_owner[signal] < 0:
            continue
        if gates & plant.hanging((signal,)):
            owner = a.sig_owner[signal]
            found[owner] = max(found.get(owner, 0.0), a.thr_on[mark])
    return found


def _inflows(plant: Plant, store: int) -> frozenset[int]:
    """Gates of edges behind which water comes to a vessel, through no other vessel."""
    a = plant.arrays
    back: dict[int, list[int]] = {}
    for edge, node in enumerate(a.edge_b):
        back.setdefault(node, []).append(edge)
    todo = [n for n, kind in enumerate(a.node_kind) if kind in (prim.TAP, prim.SPOUT) and a.node_ref[n] == store]
    gates = set[int]()
    for node in todo:  # grows while it is walked
        for edge in back.get(node, ()):
            gates.add(a.edge_gate[edge])
            if a.node_kind[a.edge_a[edge]] in (prim.JUNCTION, prim.SPRING) and a.edge_a[edge] not in todo:
                todo.append(a.edge_a[edge])
    return frozenset(gates - {-1})

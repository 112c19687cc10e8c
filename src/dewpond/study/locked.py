"""Protections that have shut a fill for good: no water comes any more until somebody re-arms them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.plant.upstream import upstream
from dewpond.study.filling import NO_FLOW, filled_edges


class Locked(NamedTuple):
    """``part`` stays shut since a moment [s] until somebody re-arms ``what``; nothing comes to the ``vessels``."""

    part: str
    what: str
    since: float
    vessels: tuple[str, ...]


def locked(plant: Plant, trace: Trace) -> tuple[Locked, ...]:
    """What stands so at the end of a run, each part once."""
    a = plant.arrays
    standing = {latch: what for latch, what in latches(plant).items() if trace.signal[latch]}
    if not standing:
        return ()
    found: dict[str, Locked] = {}
    behind = plant.once("feeds", lambda: _feeds(plant))
    for latch, what in standing.items():
        rules = plant.hanging((latch,))
        for edge, vessels in behind.items():
            gate, part = a.edge_gate[edge], plant.parts[a.edge_owner[edge]]
            shut = gate in rules and a.gate_kind[gate] == prim.G_SIGNAL and not trace.signal[a.gate_ref[gate]]
            if shut and part not in found and abs(trace.flow[edge]) <= NO_FLOW:
                since = max((e.time for e in trace.alike.get((prim.E_SIGNAL, latch), ()) if e.value > 0.0), default=0.0)
                found[part] = Locked(part, what, since, vessels)
    return tuple(found.values())


def latches(plant: Plant) -> Mapping[int, str]:
    """Signals that stand until a hand re-arms them, with what it re-arms."""
    return plant.once("latches", lambda: dict(_latches(plant)))


def _latches(plant: Plant) -> Iterator[tuple[int, str]]:
    a = plant.arrays
    for hand, what in plant.rearms.items():
        reads = plant.reading((hand,))
        for latch, op in enumerate(a.sig_op):
            if op == prim.L_LATCH:
                reset = a.sig_in[a.sig_in_at[latch] + 1]
                if reset == hand or reset in reads:
                    yield latch, what


def _feeds(plant: Plant) -> Mapping[int, tuple[str, ...]]:
    """Edges through which water comes to vessels that a float fills, and which vessels these are."""
    found: dict[int, tuple[str, ...]] = {}
    for edge, store in filled_edges(plant):
        for one in {edge, *upstream(plant, edge)}:
            name = plant.stores[store]
            if name not in found.get(one, ()):
                found[one] = (*found.get(one, ()), name)
    return found

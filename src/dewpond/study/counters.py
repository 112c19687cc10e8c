"""Parts that count the water through themselves, and act or tell once so much has run: what puts their count back.

Asked of the logic that a part is lowered to, not of its kind: a mark on a counter of its own edge. Where one part has
several such marks, the highest is meant: the lower ones are those of its faults.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace

A_DRAW, MIDNIGHT, BY_HAND = "a draw", "midnight", "by hand"  # what a count is of, or since when
TRUE: Final = 2  # in Trace.seen: was true at some time


@dataclass(frozen=True)
class Counter:
    """A part that counts.

    edge    the edge whose water it counts; signal: true once so much has run
    volume  as set [m3]
    since   A_DRAW, MIDNIGHT or BY_HAND: what puts its count back
    acts    something is opened or shut by it; else it tells, at most
    """

    part: str
    edge: int
    signal: int
    volume: float
    since: str
    acts: bool


def counters(plant: Plant) -> tuple[Counter, ...]:
    """All of them, in the order of their parts."""
    a, found = plant.arrays, dict[int, Counter]()
    for signal, op in enumerate(a.sig_op):
        mark = int(a.sig_arg[signal]) if op == prim.L_THRESHOLD else -1
        if mark < 0 or a.thr_kind[mark] != prim.T_COUNTER:
            continue
        count = a.thr_ref[mark]
        edge, owner = a.cnt_edge[count], a.sig_owner[signal]
        if edge < 0 or owner < 0 or a.edge_owner[edge] != owner:
            continue  # a time, or a limit of the matrix
        volume = a.thr_on[mark]
        if edge not in found or volume > found[edge].volume:
            acts = bool(plant.hanging((signal,)))
            found[edge] = Counter(plant.parts[owner], edge, signal, volume, _since(plant, count), acts)
    return tuple(found[edge] for edge in sorted(found))


def _since(plant: Plant, count: int) -> str:
    """What puts a count back."""
    a, todo = plant.arrays, [plant.arrays.cnt_reset[count]]
    behind = set[int]()
    while todo:
        entry = todo.pop()
        signal = entry if entry >= 0 else -1 - entry
        if signal not in behind:
            behind.add(signal)
            todo += a.sig_in[a.sig_in_at[signal] : a.sig_in_at[signal + 1]]
    if plant.midnight in behind:
        return MIDNIGHT
    flows = (s for s in behind if a.sig_op[s] == prim.L_THRESHOLD and a.thr_kind[int(a.sig_arg[s])] == prim.T_FLOW)
    return A_DRAW if any(True for _ in flows) else BY_HAND


def is_reached(counter: Counter, trace: Trace) -> bool:
    """Whether a count was reached in a run."""
    return bool(trace.seen[counter.signal] & TRUE)

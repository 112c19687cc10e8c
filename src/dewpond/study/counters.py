"""Parts that count the water through themselves, and act or tell once so much has run: what puts their count back.

Asked of the logic that a part is lowered to, not of its kind: a mark on a counter of its own edge. Where one part has
several such marks, the highest is meant: the lower ones are those of its faults.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.plant import DAY, Plant
from dewpond.plant.trace import Trace
from dewpond.study.clocks import Hours
from dewpond.study.filling import Looked, fill_volume, island_of
from dewpond.study.lines import Line, lines

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


class Share(NamedTuple):
    """Of a fill: what is counted for one part of what arrives [1], and the flow through what counts [m3/s]."""

    times: float
    flow: float


def counted_of(plant: Plant, counter: Counter, line: Line, looked: Looked, edge: int) -> Share | None:
    """What a part counts of a line's fill through an edge; None where that does not run through it."""
    trace = looked.run_of(edge)
    if trace is None or counter.edge not in island_of(plant, edge) or trace.flow[counter.edge] <= 0.0:
        return None
    arrives = sum(max(trace.flow[one], 0.0) for one in line.edges.values())
    return Share(trace.flow[counter.edge] / arrives, trace.flow[counter.edge])


def in_one_count(counter: Counter, flow: float, clock: Hours | None) -> float:
    """More does not run in one count [m3]. ``flow``: the fastest [m3/s]; ``clock``: that of the line, if it has one."""
    if counter.since == BY_HAND or (clock is None and counter.since == A_DRAW):
        return math.inf
    if clock is None:
        return flow * DAY
    often = max(DAY / clock.every, 1.0) if counter.since == MIDNIGHT else 1.0
    return flow * min(clock.stays * often, DAY)


class Short(NamedTuple):
    """A part whose litres do not do: for ordinary days, in which it was reached, or for a fill from empty [m3]."""

    part: str
    volume: float
    takes: float
    ordinary: bool
    since: str


def short(plant: Plant, looked: Looked, days: Trace, compiled: bool | None = None) -> tuple[Short, ...]:
    """Parts that trip although nothing fails: in ordinary ``days``, or in a fill from empty."""
    found = []
    for counter in counters(plant):
        takes = max((_from_empty(plant, counter, line, looked) for line in lines(plant, compiled)), default=0.0)
        ordinary = is_reached(counter, days)
        if ordinary or takes > counter.volume:
            found.append(Short(counter.part, counter.volume, takes, ordinary, counter.since))
    return tuple(found)


def _from_empty(plant: Plant, counter: Counter, line: Line, looked: Looked) -> float:
    shares = [
        (share, fill_volume(plant, edge, store)) for store, edge in line.edges.items()
        if (share := counted_of(plant, counter, line, looked, edge)) is not None
    ]  # fmt: skip
    if not shares:
        return 0.0
    most = in_one_count(counter, max(share.flow for share, _ in shares), line.times(plant))
    return min(sum(share.times * volume for share, volume in shares), most)

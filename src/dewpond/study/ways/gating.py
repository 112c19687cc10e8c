"""The feed of the unit, shut and opened by the clock: laid over a plant as faults that come and end."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import replace

from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.laying import state_at, turns_of
from dewpond.plant.plant import DAY, STARTS, Onset, Plant, PlantFault, Scenario
from dewpond.plant.trace import Trace
from dewpond.plant.upstream import upstream

Windows = Sequence[tuple[float, float]]  # begin and end [s after the start of a run] of the times in which it is open

LEAST = 1.0  # shorter than this the feed is not shut [s]
SHUT = "the feed is shut"


def feeds(plant: Plant) -> list[int]:
    """Edges that lead on from a supply under pressure."""
    a = plant.arrays
    fed = {n for n, kind in enumerate(a.node_kind) if kind == prim.FIXED and a.node_value[n] > 0.0}
    return [edge for edge, node in enumerate(a.edge_a) if node in fed]


def run(
    plant: Plant, who: str, horizon: float, open_: Windows | None, faults: Sequence[str] = ()
) -> tuple[Plant, Trace]:
    """A run in which the feed is open in some windows only (None: always), with some faults standing since before.

    Returns the plant with these closures among its faults, of which a consequence is told, and the trace.
    """
    shut = () if open_ is None else tuple(_between(open_, horizon))
    laid = tuple(_closure(plant, number, end - begin) for number, (begin, end) in enumerate(shut))
    onsets = (
        *(Onset(label, 0.0) for label in faults),
        *(Onset(fault.label, begin) for fault, (begin, _) in zip(laid, shut, strict=True)),
    )
    gated = replace(plant, faults=(*plant.faults, *laid))
    return gated, engine.run(gated, Scenario(who, horizon, onsets, STARTS[who]), compiled=None)


def _closure(plant: Plant, number: int, lasts: float) -> PlantFault:
    patches = (
        *(("cut", edge, 1.0) for edge in feeds(plant)),
        *(("high", gate, 0.0) for gate in plant.once("shut-offs on a feed", lambda: _shut_offs(plant))),
    )
    return PlantFault(f"{SHUT} {number}", "", SHUT, "", "event", SHUT, lasts, 0.0, patches)


def _shut_offs(plant: Plant) -> tuple[int, ...]:
    """Gates that weigh product against feed, behind a supply. Without a feed they turn at a breath, and turn nothing
    on: no such turn is a start, so they are held while it is shut."""
    a, fed = plant.arrays, set(feeds(plant))
    ratio = {
        edge: gate for edge, gate in enumerate(a.edge_gate) if gate >= 0 and a.gate_kind[gate] == prim.G_RATIO
    }  # fmt: skip
    return tuple(sorted({gate for edge, gate in ratio.items() if fed & {edge, *upstream(plant, edge)}}))


def _between(open_: Windows, horizon: float) -> Iterator[tuple[float, float]]:
    """The times in which it is shut."""
    at = 0.0
    for begin, end in open_:
        if begin - at >= LEAST:
            yield at, min(begin, horizon)
        at = max(at, end)
        if at >= horizon:
            return
    if horizon - at >= LEAST:
        yield at, horizon + DAY


def regularly(opens: float, every: float, horizon: float) -> list[tuple[float, float]]:
    """Open for so long [s] again and again, from the start on."""
    return [(k * every, k * every + opens) for k in range(int(horizon // every) + 1)]


def while_home(plant: Plant, who: str, horizon: float) -> list[tuple[float, float]]:
    """Open while any of those who live there is at home and awake by their day; they begin as ``who`` says."""
    if who == "travelling":
        return []
    clock = STARTS[who]
    turns = {(turn - clock) % DAY for resident in plant.residents for turn in turns_of(resident.day)}
    later = (day * DAY + turn for day in range(int(horizon / DAY) + 1) for turn in turns)
    times = sorted({0.0, horizon, *(time for time in later if time < horizon)})
    found: list[tuple[float, float]] = []
    for begin, end in itertools.pairwise(times):
        middle = (clock + 0.5 * (begin + end)) % DAY
        if any(state_at(resident.day, middle) == "at home" for resident in plant.residents):
            if found and found[-1][1] == begin:
                found[-1] = (found[-1][0], end)
            else:
                found.append((begin, end))
    return found

"""What happens at one and the same moment, in the order in which one thing brings about the next."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import groupby

from dewpond.plant import primitives as prim
from dewpond.plant.moments import Moment
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Event, Trace

Told = tuple[Event, Moment]
# Where no signal leads from one to the other. Water that begins or ends comes last: what it does takes time.
KINDS = (
    "fault", "found", "reached", "silent", "notice", "trip", "act", "stop", "note", "start", "message", "harm", "water",
)  # fmt: skip

NONE, ALL = -1, -2  # what an event hangs on where it is no one signal


def in_order(plant: Plant, trace: Trace, told: Sequence[Told]) -> tuple[Told, ...]:
    """The same in the order of time, and of causes within one moment. ``told``: in the order of the trace, in which
    nothing comes before what brings it about, but much stands between the two that has nothing to do with them."""
    found: list[Told] = []
    reach: dict[tuple[int, int], frozenset[int]] = {}
    moved = frozenset(plant.gates.values())
    numbered = sorted(enumerate(told), key=lambda one: (one[1][1].time, one[0]))
    for _, group in groupby(numbered, key=lambda one: one[1][1].time):
        together = sorted(group, key=lambda one: _rank(one[1][1], moved))
        found += _arranged(plant, trace, together, reach) if len(together) > 1 else [together[0][1]]
    return tuple(found)


def _rank(m: Moment, moved: Collection[str]) -> int:
    """What a sensor, a box or a circuit has to say comes before the orders, what a valve or a pump does after them."""
    return KINDS.index("notice" if m.kind == "note" and m.part not in moved else m.kind)


def _arranged(
    plant: Plant, trace: Trace, together: list[tuple[int, Told]], reach: dict[tuple[int, int], frozenset[int]]
) -> list[Told]:
    """Causes first; among those that nothing here leads to, as they stand."""
    for _, (e, _) in together:
        if (e.code, e.ref) not in reach:
            reach[e.code, e.ref] = _reach(plant, trace, e)
    leads = [reach[e.code, e.ref] for _, (e, _) in together]
    waits = [_awaits(plant, trace, e) for _, (e, _) in together]
    came = [number for number, _ in together]

    # that a fault is over is logged before that somebody found it, and put an end to it
    over = [e.code == prim.E_FAULT and e.value <= 0.0 for _, (e, _) in together]
    finds = [m.kind == "found" for _, (_, m) in together]

    def after(j: int, i: int) -> bool:
        return (over[j] and finds[i]) or (came[i] < came[j] and (waits[j] == ALL or waits[j] in leads[i]))

    rest, ordered = list(range(len(together))), []
    while rest:
        first = next((j for j in rest if not any(after(j, i) for i in rest)), rest[0])
        rest.remove(first)
        ordered.append(together[first][1])
    return ordered


def _reach(plant: Plant, trace: Trace, e: Event) -> frozenset[int]:
    """Signals that an event can turn."""
    if e.code == prim.E_SIGNAL:
        return plant.reading([e.ref])
    if e.code == prim.E_FAULT:
        patches = plant.fault(trace.scenario.onsets[e.ref].label).patches
        return plant.reading([number for what, number, _ in patches if what == "force"])
    return frozenset()


def _awaits(plant: Plant, trace: Trace, e: Event) -> int:
    """The signal that an event hangs on, or ALL for a fault that has waited for something."""
    if e.code == prim.E_SIGNAL:
        return e.ref
    if e.code != prim.E_FAULT:
        return NONE
    onset = trace.scenario.onsets[e.ref]
    if e.value <= 0.0:
        return plant.fault(onset.label).until
    return ALL if onset.time < 0.0 and onset.delay <= 0.0 else NONE

"""What happens at one and the same moment, in the order in which one thing brings about the next."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import groupby

from dewpond.plant import primitives as prim
from dewpond.plant.moments import FAULT_DASH, Moment
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Event, Trace

Told = tuple[Event, Moment]
# Where no signal leads from one to the other. Water that begins or ends comes last: what it does takes time.
KINDS = (
    "fault", "found", "reached", "silent", "notice", "trip", "act", "stop", "note", "start", "message", "harm", "water",
)  # fmt: skip


def in_order(plant: Plant, trace: Trace, told: Sequence[Told]) -> tuple[Told, ...]:
    """The same in the order of time, and of causes within one moment."""
    found: list[Told] = []
    reach: dict[tuple[int, int], frozenset[int]] = {}
    moved = frozenset(plant.gates.values())
    for _, group in groupby(sorted(told, key=lambda pair: pair[1].time), key=lambda pair: pair[1].time):
        together = sorted(group, key=lambda pair: _rank(pair[1], moved))
        found += _arranged(plant, trace, together, reach) if len(together) > 1 else together
    return tuple(found)


def _rank(m: Moment, moved: Collection[str]) -> int:
    """What a sensor, a box or a circuit has to say comes before the orders, what a valve or a pump does after them."""
    return KINDS.index("notice" if m.kind == "note" and m.part not in moved else m.kind)


def _arranged(
    plant: Plant, trace: Trace, together: list[Told], reach: dict[tuple[int, int], frozenset[int]]
) -> list[Told]:
    """Causes first; among those that nothing here leads to, as they stand."""
    for e, _ in together:
        if (e.code, e.ref) not in reach:
            reach[e.code, e.ref] = _reach(plant, trace, e)
    leads = [reach[e.code, e.ref] for e, _ in together]
    waits = [_awaits(plant, trace, e) for e, _ in together]

    def before(i: int, j: int) -> bool:
        """Whether event ``i`` may have brought about event ``j``, and not the other way round: what a fault has waited
        for has not come of it."""
        if not _leads(together[i], leads[i], waits[j]):
            return False
        return bool(waits[j][1]) or not _leads(together[j], leads[j], waits[i])

    rest, ordered = list(range(len(together))), []
    while rest:
        first = next((j for j in rest if not any(before(i, j) for i in rest if i != j)), rest[0])
        rest.remove(first)
        ordered.append(together[first])
    return ordered


def _leads(told: Told, reach: frozenset[int], awaited: tuple[int, str]) -> bool:
    signal, words = awaited
    return signal in reach or bool(words and words in (told[1].text, told[1].text.partition(FAULT_DASH)[0]))


def _reach(plant: Plant, trace: Trace, e: Event) -> frozenset[int]:
    """Signals that an event can turn."""
    if e.code == prim.E_SIGNAL:
        return plant.reading([e.ref])
    if e.code == prim.E_FAULT:
        patches = plant.fault(trace.scenario.onsets[e.ref].label).patches
        return plant.reading([number for what, number, _ in patches if what == "force"])
    return frozenset()


def _awaits(plant: Plant, trace: Trace, e: Event) -> tuple[int, str]:
    """The signal that an event hangs on, -1 for none; and the line that a fault waits for, empty for one that does not
    wait."""
    if e.code == prim.E_SIGNAL:
        return e.ref, ""
    if e.code != prim.E_FAULT:
        return -1, ""
    onset = trace.scenario.onsets[e.ref]
    fault = plant.fault(onset.label)
    if e.value <= 0.0:
        return fault.until, ""
    waits = onset.time < 0.0 or onset.awaits
    if not waits or onset.delay > 0.0:
        return -1, ""
    if not onset.awaits:
        return fault.trigger, fault.label
    entry = plant.triggers.get(onset.awaits)
    return (-1 if entry is None else max(entry, -1 - entry)), onset.awaits

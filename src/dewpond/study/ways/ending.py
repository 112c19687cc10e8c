"""What ends a way of filling although nothing fails: a stop that trips in ordinary days and waits for a hand."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace

from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.study.counters import Counter, counters, is_reached
from dewpond.study.filling import NO_FLOW, Looked
from dewpond.study.locked import latches, locked
from dewpond.study.ways.model import Ended, Way


def ended(plant: Plant, trace: Trace, looked: Looked, vessels: Collection[str]) -> Ended | None:
    """By the end of an ordinary run: what stands shut for good then, of all the ``vessels``; the first of several."""
    found = [one for one in locked(plant, trace) if set(vessels) <= set(one.vessels)]
    if not found:
        return None
    first = min(found, key=lambda one: one.since)
    by = next((one for one, _ in _until_a_hand(plant, looked) if is_reached(one, trace)), None)
    if by is None:
        return Ended(first.part, first.what, first.since)
    return Ended(first.part, first.what, first.since, by.volume, by.volume / _times(by, looked))


def ended_by_a_can(plant: Plant, looked: Looked, can: float) -> Ended | None:
    """What trips while so much [m3] is drawn at the unit at once."""
    for one, what in _until_a_hand(plant, looked):
        if can * _times(one, looked) > one.volume:
            return Ended(one.part, what, 0.0, one.volume, one.volume / _times(one, looked))
    return None


def until_then(way: Way, lasts: float) -> Way:
    """The way with no more than comes until it ends. ``lasts``: how long the reservoir does then [s]."""
    end = way.ended
    if end is None:
        return way
    most = way.past if end.gives is None else end.gives
    return replace(
        way, past=min(way.past, most), a_day=min(way.a_day, most), alone=min(way.alone, end.since + lasts),
        strength=None, short=False,
    )  # fmt: skip


def _until_a_hand(plant: Plant, looked: Looked) -> Iterator[tuple[Counter, str]]:
    """Counts of the water of a fill that shut it until somebody re-arms something, and what that is."""
    stand = latches(plant)
    for one in counters(plant):
        behind = plant.reading((one.signal,))
        what = next((what for latch, what in stand.items() if latch in behind), None)
        if one.acts and what is not None and _times(one, looked) > 0.0:
            yield one, what


def _times(counter: Counter, looked: Looked) -> float:
    """What is counted for one part that arrives, in a fill [1]; 0 where none of it runs through the counter."""
    runs = [trace for edge in looked.filled if (trace := looked.run_of(edge)) is not None]
    return max(
        (
            trace.flow[counter.edge] / arrives
            for trace in runs
            if (arrives := sum(max(trace.flow[edge], 0.0) for edge in looked.filled)) > NO_FLOW
        ),
        default=0.0,
    )

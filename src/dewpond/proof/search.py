"""Every state that a machine can come to with at most so many faults, and the shortest way to what must not be."""

from __future__ import annotations

from dataclasses import dataclass

from dewpond.proof.machine import Machine
from dewpond.proof.settling import FREE, Event, Point, after, beginning, events

MOST_STATES = 300_000


@dataclass(frozen=True)
class Breach:
    """A state that must not be, by the shortest way there, with a smallest set of faults."""

    faults: tuple[int, ...]
    way: tuple[tuple[Event, Point], ...]
    start: Point


@dataclass(frozen=True)
class Search:
    """What a search found. finished: it ended because no new state appeared; breaches: one for each smallest set of
    faults; depth: events to the state that is furthest off."""

    states: int
    depth: int
    finished: bool
    breaches: tuple[Breach, ...]


def search(m: Machine, bad: int, most_faults: int, most_states: int = MOST_STATES) -> Search:
    """Look for states in which the signal ``bad`` is true."""
    start = beginning(m)
    before: dict[Point, tuple[Point, Event] | None] = {start: None}
    row, depth = [start], 0
    found: dict[frozenset[int], Point] = {}
    finished = True
    while row and finished:
        later: list[Point] = []
        for point in row:
            if point.bits[bad]:
                _note(found, point)
                continue
            if any(begun <= _begun(point) for begun in found):
                continue  # what is worse is no news
            for event in events(m, point, most_faults):
                new = after(m, point, event)
                if new not in before:
                    before[new] = point, event
                    later.append(new)
            if len(before) > most_states:
                finished = False
                break
        row = later
        depth += bool(row)
    breaches = tuple(Breach(tuple(sorted(faults)), _way(before, point), start) for faults, point in found.items())
    return Search(len(before), depth, finished, breaches)


def _begun(point: Point) -> frozenset[int]:
    return frozenset(number for number, state in enumerate(point.faults) if state != FREE)


def _note(found: dict[frozenset[int], Point], point: Point) -> None:
    """Keep a way with its set of faults, unless a smaller set does as well; what is larger goes."""
    mine = _begun(point)
    if any(faults <= mine for faults in found):
        return
    for faults in [faults for faults in found if mine < faults]:
        del found[faults]
    found[mine] = point


def _way(before: dict[Point, tuple[Point, Event] | None], point: Point) -> tuple[tuple[Event, Point], ...]:
    steps: list[tuple[Event, Point]] = []
    while (came := before[point]) is not None:
        steps.append((came[1], point))
        point = came[0]
    return tuple(reversed(steps))

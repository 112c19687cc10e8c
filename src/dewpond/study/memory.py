"""Runs that were made before are not made again: what a memory holds is taken from it, the rest is made and kept."""

from __future__ import annotations

import gc
import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import fields
from operator import attrgetter
from typing import Any, Protocol

from dewpond.plant.consequence import Consequence
from dewpond.plant.plant import Plant
from dewpond.study.beats import Beats
from dewpond.study.drills import Drill
from dewpond.study.outcome import Outcome
from dewpond.study.workers import RunMany

# What is alike in many consequences, of what can be hashed and of what cannot.
SHARED = (
    "faults", "order", "who", "horizon", "products", "noticed_by", "stopped_by", "tanks", "messages", "asked", "failed",
    "unordered", "marks",
)  # fmt: skip
SHARED_MAPPINGS = ("by_place", "onward", "rim_first")
_NAMES = [field.name for field in fields(Consequence)]
_ALL = attrgetter(*_NAMES)  # with these a million lines are gone through in half the time that replace() takes
_SHARED, _MAPPINGS = (tuple(map(_NAMES.index, names)) for names in (SHARED, SHARED_MAPPINGS))
AT_A_TIME = 240  # outcomes that are kept together: what a study loses that is killed


class Memory(Protocol):
    """Where outcomes outlast the study that found them. It may forget; it never holds anything else than what was kept.

    ``plant``: the key of a plant, as key_of has it.
    """

    def recalled(self, plant: str) -> Iterable[tuple[Drill, Outcome]]:
        """All that is known of a plant."""

    def keep(self, plant: str, found: Sequence[tuple[Drill, Outcome]]) -> None:
        """Keep some more."""


def key_of(plant: Plant) -> str:
    """A name for all that a run depends on beside its drill: the lowered plant, with every default, in its season."""
    return hashlib.sha256(repr(plant).encode()).hexdigest()[:32]


class _Shared:
    """What equals something that an earlier outcome holds is that very thing: most lines of the story of two faults
    are lines of one of them, and a study holds a million."""

    def __init__(self) -> None:
        self.once: dict[Any, Any] = {}
        self.mappings: dict[Any, Mapping[str, Any]] = {}

    def of(self, outcome: Outcome) -> Outcome:
        """The same outcome."""
        same, told, beats = self.once.setdefault, outcome.told, outcome.beats
        values = list(_ALL(told))
        for place in _SHARED:
            values[place] = same(values[place], values[place])
        for place in _MAPPINGS:
            values[place] = self.mappings.setdefault(tuple(values[place].items()), values[place])
        lines = tuple(same(line, line) for line in beats.lines)
        return Outcome(
            Consequence(*values),
            Beats(lines, beats.times),
            outcome.copied_from,
            outcome.backwards,
            outcome.siphons,
            same(outcome.idle, outcome.idle),
            outcome.locked,
            outcome.fed,
            outcome.floors,
        )


def remembering(run: RunMany, memory: Memory) -> RunMany:
    """The same outcomes in the same order."""
    known: dict[str, dict[Drill, Outcome]] = {}
    shared = _Shared()

    def many(plant: Plant, drills: Sequence[Drill]) -> Iterator[Outcome]:
        key = key_of(plant)
        if key not in known:
            with _without_collecting():
                known[key] = {drill: shared.of(outcome) for drill, outcome in memory.recalled(key)}
        found = known[key]
        fresh: list[tuple[Drill, Outcome]] = []
        made = run(plant, [drill for drill in drills if drill not in found])
        try:
            for drill in drills:
                if drill not in found:
                    found[drill] = shared.of(next(made))
                    fresh.append((drill, found[drill]))
                if len(fresh) >= AT_A_TIME:
                    memory.keep(key, fresh)
                    fresh = []
                yield found[drill]
        finally:  # also of a study that is stopped
            if fresh:
                memory.keep(key, fresh)

    return many


@contextmanager
def _without_collecting() -> Iterator[None]:
    """A million records come at once and stay to the end of the study: to look for rubbish among them, now or later,
    takes longer than to read them."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        if was_on:
            gc.enable()

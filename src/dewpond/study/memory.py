"""Runs that were made before are not made again: what a memory holds is taken from it, the rest is made and kept."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, Protocol

from dewpond.plant.plant import Plant
from dewpond.study.beats import Beat
from dewpond.study.drills import Drill
from dewpond.study.outcome import Outcome
from dewpond.study.workers import RunMany

SHARED = ("faults", "order", "who", "noticed_by", "stopped_by", "asked", "failed", "unordered", "messages", "marks")
AT_A_TIME = 240  # outcomes that are kept together: what a study loses that is killed


class Memory(Protocol):
    """Where outcomes outlast the study that found them. It may forget; it never holds anything else than what was kept.

    ``plant``: the key of a plant, as key_of has it.
    """

    def recalled(self, plant: str) -> Mapping[Drill, Outcome]:
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

    def of(self, outcome: Outcome) -> Outcome:
        """The same outcome."""
        same, told = self.once.setdefault, outcome.told
        told = replace(told, **{name: same(getattr(told, name), getattr(told, name)) for name in SHARED})
        beats = tuple(self.once.get(beat) or self._kept(beat) for beat in outcome.beats)
        return replace(outcome, told=told, beats=beats, idle=same(outcome.idle, outcome.idle))

    def _kept(self, beat: Beat) -> Beat:
        """A line that is new, in words that are not: most come at other times in other stories."""
        text, texts = self.once.setdefault(beat.text, beat.text), self.once.setdefault(beat.texts, beat.texts)
        found = self.once[beat] = beat._replace(text=text, texts=texts)
        return found


def remembering(run: RunMany, memory: Memory) -> RunMany:
    """The same outcomes in the same order."""

    def many(plant: Plant, drills: Sequence[Drill]) -> Iterator[Outcome]:
        key = key_of(plant)
        known = dict(memory.recalled(key))
        fresh: list[tuple[Drill, Outcome]] = []
        shared = _Shared()
        made = run(plant, [drill for drill in drills if drill not in known])
        try:
            for drill in drills:
                if drill in known:
                    yield known[drill]
                    continue
                outcome = shared.of(next(made))
                fresh.append((drill, outcome))
                if len(fresh) >= AT_A_TIME:
                    memory.keep(key, fresh)
                    fresh = []
                yield outcome
        finally:  # also of a study that is stopped
            if fresh:
                memory.keep(key, fresh)

    return many

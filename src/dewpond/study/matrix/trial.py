"""A test vector as data, and how one is run on anything that can be forced and asked: a model, a text, a run, a house.

A step says what is done at its beginning. What it expects must have come about within `wait` give or take `tolerance`,
and until then nothing may have changed; the next step begins after both.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from dewpond.study.matrix.bench import Force
from dewpond.study.matrix.machine import CLOSE


@dataclass(frozen=True)
class Step:
    """What is done, and what must be so afterwards. wait, tolerance [s]; expect: key of a column -> its word."""

    forces: tuple[Force, ...]
    wait: float
    tolerance: float
    expect: Mapping[str, str]
    tripped: tuple[str, ...]


@dataclass(frozen=True)
class Trial:
    """One test: its title, the row that it is for (empty: a box), its steps, and what it shows."""

    title: str
    row: str
    steps: tuple[Step, ...]
    shows: tuple[str, ...]

    @property
    def length(self) -> float:
        """How long it takes in all [s]."""
        return sum(step.wait + step.tolerance for step in self.steps)


class Forced(Protocol):
    """What a trial is run on."""

    def apply(self, forces: Iterable[Force]) -> None: ...

    def advance(self, seconds: float) -> None: ...

    def outputs(self) -> Mapping[str, str]: ...


def fails(trial: Trial, on: Forced) -> str:
    """Runs a trial from the beginning: the first thing that is not as expected, empty for none."""
    before: Mapping[str, str] = {}
    for number, step in enumerate(trial.steps, 1):
        on.apply(step.forces)
        early = step.wait - step.tolerance
        if early > CLOSE:
            on.advance(early)
            if wrong := _differs(before, on.outputs()):
                return f"step {number}, too early: {wrong}"
            on.advance(2.0 * step.tolerance)
        else:
            on.advance(step.wait + step.tolerance)
        if wrong := _differs(step.expect, on.outputs()):
            return f"step {number}: {wrong}"
        before = step.expect
    return ""


def _differs(expect: Mapping[str, str], found: Mapping[str, str]) -> str:
    return "; ".join(f"{key} is {found.get(key)}, not {word}" for key, word in expect.items() if found.get(key) != word)

"""Test vectors of a matrix: few trials that together show every cell and input, and that every mutant fails.

A box may be late or early: only trials are taken that a sound device passes too whose clocks are slightly wrong.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from dewpond.study.matrix.bench import Device, House, device
from dewpond.study.matrix.logic import BoxLogic, box_logics
from dewpond.study.matrix.model import Matrix
from dewpond.study.matrix.mutants import Mutant, mutants
from dewpond.study.matrix.planner import SLACK
from dewpond.study.matrix.scenarios import goals, scenarios
from dewpond.study.matrix.trial import Trial, fails

OFF_BEAT: Final = tuple(1.0 + sign * 0.8 * SLACK for sign in (-1, 1))  # clocks that a sound box may have [1]


@dataclass(frozen=True)
class Vectors:
    """The trials of a matrix.

    not_shown   of the cells and inputs, what no trial can show
    found       how many mutants fail a trial
    unseen      mutants that pass all: they do the same, or differ where nobody can see it
    """

    trials: tuple[Trial, ...]
    not_shown: tuple[str, ...]
    found: int
    unseen: tuple[Mutant, ...]


def vectors(matrix: Matrix) -> Vectors:
    """The trials of a matrix, in the order of its rows; the same for the same matrix."""
    return _Chooser(matrix).choose()


def off_beat(sound: Device, factor: float) -> Device:
    """The same device with all its clocks fast or slow."""
    return replace(sound, logics=tuple(_off_beat(logic, factor) for logic in sound.logics))


def _off_beat(logic: BoxLogic, factor: float) -> BoxLogic:
    rules = tuple(replace(rule, lasting=rule.lasting * factor) for rule in logic.rules)
    limits = tuple(
        replace(
            limit,
            at_most=None if limit.at_most is None else limit.at_most * factor,
            gap=None if limit.gap is None else limit.gap * factor,
            day=None if limit.day is None else limit.day * factor,
        )
        for limit in logic.limits
    )
    return replace(logic, box=replace(logic.box, wait=logic.box.wait * factor), rules=rules, limits=limits)


class _Chooser:
    def __init__(self, matrix: Matrix) -> None:
        self.matrix = matrix
        self.sound = device(matrix, box_logics(matrix))

    @cached_property
    def offered(self) -> list[Trial]:
        beats = [off_beat(self.sound, factor) for factor in OFF_BEAT]
        return [trial for trial in scenarios(self.sound) if not any(fails(trial, House(beat)) for beat in beats)]

    def choose(self) -> Vectors:
        """Each trial that adds something, in their order; then without those that the others make needless."""
        wanted = goals(self.matrix, self.sound)
        left = mutants(self.sound)
        shown: set[str] = set()
        total = len(left)
        chosen: list[Trial] = []
        finds: list[list[Mutant]] = []
        for trial in self.offered:
            found = [mutant for mutant in left if fails(trial, House(mutant.device))]
            new = {goal for goal in trial.shows if goal in wanted} - shown
            if not found and not new:
                continue
            shown |= new
            left = [mutant for mutant in left if mutant not in found]
            chosen.append(trial)
            finds.append(found)
        kept = self._needed(chosen, finds, set(wanted))
        return Vectors(tuple(kept), tuple(goal for goal in wanted if goal not in shown), total - len(left), tuple(left))

    def _needed(self, chosen: Sequence[Trial], finds: Sequence[list[Mutant]], wanted: set[str]) -> list[Trial]:
        """Without each trial whose finds and goals the others have as well, seen from the last."""
        kept, burden = list(chosen), [list(found) for found in finds]
        for trial in reversed(chosen):
            at = kept.index(trial)
            others = [*kept[:at], *kept[at + 1 :]]
            if {goal for goal in trial.shows if goal in wanted} - {goal for one in others for goal in one.shows}:
                continue
            takes = list(self._takers(burden[at], others))
            if None in takes:
                continue
            mine = burden.pop(at)
            kept = others
            for mutant, taker in zip(mine, takes, strict=True):
                burden[taker].append(mutant)  # type: ignore[index]
        return kept

    def _takers(self, found: Sequence[Mutant], others: Sequence[Trial]) -> Iterator[int | None]:
        """For each mutant the first of the other trials that it fails."""
        for mutant in found:
            yield next((n for n, one in enumerate(others) if fails(one, House(mutant.device))), None)

"""Test vectors in words: what to force, what to expect, one record a step."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from dewpond.report.views.sheet import cause_words
from dewpond.report.views.shown import Shown
from dewpond.study.matrix.bench import Force
from dewpond.study.matrix.model import Matrix, Sensor
from dewpond.study.matrix.trial import Step, Trial
from dewpond.vocabulary import Word

AS_BEFORE: Final = "as before"
BEGIN: Final = "Begin with all plugs in, nothing tripped, nothing run today"


def title_words(number: int, trial: Trial) -> str:
    """What a test is called."""
    row = f"row {trial.row}: " if trial.row else ""
    return f"{number}. {row}{trial.title}"


def force_words(step: Step, first: bool, matrix: Matrix, shown: Shown) -> str:
    """What is done at the beginning of a step; empty where one only waits."""
    said = [BEGIN] if first else []
    pressed = {force.name for force in step.forces if force.sort == "button" and not force.on}
    down = {force.name for force in step.forces if force.sort == "button" and force.on}
    for force in step.forces:
        if force.sort == "button" and force.name in pressed & down:
            if force.on:
                said.append(f"press the button at {force.name}")
            continue
        said.append(_force(force, matrix, shown))
    return "; ".join(said)


def _force(force: Force, matrix: Matrix, shown: Shown) -> str:
    if force.sort == "sensor":
        return sensor_words(matrix.sensors[force.name], force.on)
    if force.sort == "power":
        return f"plug of {force.name} {'in' if force.on else 'out'}"
    if force.sort == "button":
        return f"{'hold down' if force.on else 'let go'} the button at {force.name}"
    if force.sort == "own":
        line = next(one for one in matrix.lines if one.sort == "own" and one.whose == force.name)
        return f"{'' if force.on else 'no more: '}{cause_words(line, matrix, shown)}"
    return f"arm {force.name} again by hand" if force.sort == "arm" else "midnight passes"


def sensor_words(sensor: Sensor, on: bool) -> str:
    """A state to be forced, with what its contact must then be."""
    word = sensor.state if on else sensor.otherwise
    if sensor.sort != "contact":
        return f"{sensor.part} {word}"
    closed = (sensor.read_when == Word.CLOSED) == on
    return f"{sensor.part} {word} (contact {'closed' if closed else 'open'})"


def changes(step: Step, before: Step | None) -> dict[str, str]:
    """Key of a column -> its word, of those that are not as they were; all of them in the first step."""
    return {key: word for key, word in step.expect.items() if before is None or before.expect[key] != word}


def expect_words(step: Step, before: Step | None, matrix: Matrix) -> str:
    """What is to be seen: what changes, and what is tripped from then on or no more."""
    names = {effect.key: effect.name for effect in matrix.effects}
    said = [f"{names[key]} {word}" for key, word in changes(step, before).items()]
    old: Sequence[str] = before.tripped if before else ()
    said += [f"tripped: {one}" for one in step.tripped if one not in old]
    said += [f"tripped no more: {one}" for one in old if one not in step.tripped]
    if before is not None:
        said.append(f"all else {AS_BEFORE}" if said else f"all {AS_BEFORE}")
    return "; ".join(said)


def records(trials: Sequence[Trial], matrix: Matrix, shown: Shown) -> Iterator[tuple[str, str, str, str, str, str]]:
    """(test, step, force, wait [s], expect, tolerance [s]) of each step."""
    for number, trial in enumerate(trials, 1):
        before: Step | None = None
        for count, step in enumerate(trial.steps, 1):
            yield (
                title_words(number, trial), str(count), force_words(step, before is None, matrix, shown),
                seconds(step.wait), expect_words(step, before, matrix), seconds(step.tolerance),
            )  # fmt: skip
            before = step


def seconds(value: float) -> str:
    """To a tenth, and without one where there is none."""
    return f"{value:.1f}".removesuffix(".0")


def expected(step: Step, matrix: Matrix) -> Iterator[tuple[str, str, str]]:
    """(name, sort, word) of each column after a step."""
    words: Mapping[str, str] = step.expect
    return ((effect.name, effect.sort, words[effect.key]) for effect in matrix.effects if effect.key in words)

"""What the file leaves open: every rule asked once more with each other answer, one at a time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from dewpond.design.model import KEY_SEPARATOR, Design, Unknown
from dewpond.plant.lower import lower
from dewpond.plant.plant import Plant
from dewpond.plant.primitives import G_RATIO
from dewpond.proof.search import UnsettledError
from dewpond.proof.verdicts import BROKEN, UNFINISHED, OpenAnswer, Otherwise, Verdict, first_of

Ask = Callable[[Design], Iterator[Verdict]]  # all rules of another design, with what each must bear failed
Heard = Callable[[str], None]
Found = dict[int, list[Otherwise]]  # by the number of the key among the design's unknowns


def others_of(design: Design) -> list[tuple[int, Any]]:
    """The number of each key that is open, with every answer to it that was not taken."""
    return [(n, value) for n, key in enumerate(design.unknowns) for value in key.tried if value != key.taken]


def try_others(design: Design, plant: Plant, verdicts: Sequence[Verdict], ask: Ask, found: Found, heard: Heard) -> None:
    """Each other answer by itself, the rest as taken, into ``found``: one by one, so that who stops it has those. Of an
    answer that was begun, there stands what it had broken until then. ``verdicts``: with the answers taken."""
    here, every = _asked_of(plant), others_of(design)
    for place, (number, value) in enumerate(every):
        key = design.unknowns[number]
        edited = design.with_unknown(key.part, key.key, value)
        mine = found.setdefault(number, [])
        if _asked_of(lower(edited, plant.season)) == here:
            mine.append(Otherwise(value))
            continue
        after: list[Verdict] = []
        try:
            for verdict in ask(edited):
                after.append(verdict)
                heard(f"what the file leaves open, {place + 1} of {len(every)}, {len(after)} answers")
        except (KeyboardInterrupt, UnsettledError) as error:
            mine.append(_compared(value, verdicts, after, whole=False))
            if isinstance(error, KeyboardInterrupt):
                raise
        else:
            mine.append(_compared(value, verdicts, after, whole=True))


def told_of(design: Design, found: Found) -> tuple[OpenAnswer, ...]:
    """All keys that are open, with what was found of them."""
    keys = enumerate(design.unknowns)
    return tuple(OpenAnswer(key, _line(design, key), tuple(found.get(number, ()))) for number, key in keys)


def _line(design: Design, key: Unknown) -> int:
    """Of the innermost key that is written; else of the part."""
    path = key.key.split(KEY_SEPARATOR)
    written = ((key.part, KEY_SEPARATOR.join(path[:end])) for end in range(len(path), 0, -1))
    return next((design.key_lines[one] for one in written if one in design.key_lines), design.lines[key.part])


def _asked_of(plant: Plant) -> Plant:
    """A plant without that of which a proof asks nothing: what hangs on pressure is open to it, at whatever ratio."""
    a = plant.arrays
    hangs = [kind == G_RATIO for kind in a.gate_kind]

    def blank(marks: list[float]) -> list[float]:
        return [0.0 if free else mark for free, mark in zip(hangs, marks, strict=True)]

    return replace(plant, arrays=a._replace(gate_a=blank(a.gate_a), gate_b=blank(a.gate_b), gate_c=blank(a.gate_c)))


def _compared(value: Any, before: Sequence[Verdict], after: Sequence[Verdict], *, whole: bool) -> Otherwise:
    broken = _beyond(BROKEN, after, before)
    mended = _beyond(BROKEN, before, after) if whole else ()
    return Otherwise(value, broken, mended, _beyond(UNFINISHED, after, before), whole)


def _beyond(word: str, mine: Sequence[Verdict], theirs: Sequence[Verdict]) -> tuple[Verdict, ...]:
    """Of ``mine`` those with this word that are more than ``theirs`` of the same rule and thing."""
    left = Counter(_asked(verdict) for verdict in theirs if verdict.verdict == word)
    found = []
    for verdict in mine:
        if verdict.verdict == word:
            left[_asked(verdict)] -= 1
            if left[_asked(verdict)] < 0:
                found.append(verdict)
    return tuple(found)


def _asked(verdict: Verdict) -> tuple[Any, ...]:
    """What was asked, and of what; how many other faults do the same may change with an answer."""
    return verdict.rule, verdict.setting, verdict.claimed, verdict.line, first_of(verdict.about)

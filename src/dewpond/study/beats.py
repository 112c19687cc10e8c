"""What happened in a run, with its repetitions folded: a pump that starts and stops 700 times is told once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from dewpond.plant.moments import Moment

OFTEN = 3  # a text that comes so often is told once and then counted


@dataclass(frozen=True)
class Beat:
    """One line of a story.

    time [s]; kind, text and part as in Moment. ``again``: 0 for something that happens; else the beat stands for so
    many more rounds of ``texts``, in the order of the second round, by ``parts``, up to the time ``until`` [s].
    """

    time: float
    kind: str
    text: str
    part: str
    again: int = 0
    until: float = 0.0
    parts: tuple[str, ...] = ()
    texts: tuple[str, ...] = ()
    last: float = 0.0  # when the first of the texts came for the last time [s]


def fold(moments: Sequence[Moment]) -> tuple[Beat, ...]:
    """The beats of a run, in order. Each text is told when it first comes; what comes often is counted per part from
    its second round on, and parts that go round together are counted together. A last round that is not gone through
    to its end is told as it comes."""
    at: dict[tuple[str, str], list[int]] = {}
    for number, m in enumerate(moments):
        at.setdefault((m.part, m.text), []).append(number)
    often = {key: numbers for key, numbers in at.items() if len(numbers) >= OFTEN}
    told = {numbers[0] for numbers in often.values()}
    told |= {number for key, numbers in at.items() if key not in often for number in numbers}
    rounds: dict[str, Beat] = {}
    for (part, _), numbers in sorted(often.items()):
        first, last = (moments[numbers[n]].time for n in (1, -1))
        here = Beat(first, "again", "", part, len(numbers) - 1, last, (part,))
        known = rounds.get(part)
        rounds[part] = here if known is None else _joined(known, here)
    placed = []
    for beat in _together(list(rounds.values())):
        own = sorted((key for key in often if key[0] in beat.parts), key=lambda key: often[key][1])
        whole = _whole_rounds([often[key] for key in own])
        told |= {number for key in own for number in often[key][whole:]}
        ends = [moments[often[key][:whole][-1]].time for key in own]
        texts, until = tuple(text for _, text in own), max(ends)
        placed.append((often[own[0]][1], replace(beat, again=whole - 1, texts=texts, last=ends[0], until=until)))
    placed += [(n, Beat(m.time, m.kind, m.text, m.part)) for n, m in enumerate(moments) if n in told]
    # What begins a round is told before what it brings about for the first time.
    return tuple(beat for _, beat in sorted(placed, key=lambda one: one[0]))


def _whole_rounds(rows: Sequence[Sequence[int]]) -> int:
    """How often all of them came, where some came once more than the others; else all that came are counted."""
    counts = [len(row) for row in rows]
    return min(counts) if max(counts) - min(counts) == 1 else max(counts)


def _joined(one: Beat, other: Beat) -> Beat:
    """Two counts as one: the earlier begin, the later end, the higher count."""
    first, second = (one, other) if one.time <= other.time else (other, one)
    parts = tuple(dict.fromkeys([*first.parts, *second.parts]))
    return replace(first, again=max(one.again, other.again), until=max(one.until, other.until), parts=parts)


def _together(rounds: list[Beat]) -> list[Beat]:
    """Counts of several parts joined where they go round together: as often, and over the same time."""
    joined: list[Beat] = []
    for beat in sorted(rounds, key=lambda b: (b.time, b.part)):
        cycle = (beat.until - beat.time) / beat.again
        for number, known in enumerate(joined):
            near = abs(known.time - beat.time) <= cycle and abs(known.until - beat.until) <= cycle
            if near and abs(known.again - beat.again) <= 1:
                joined[number] = _joined(known, beat)
                break
        else:
            joined.append(beat)
    return joined

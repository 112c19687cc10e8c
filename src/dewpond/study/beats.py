"""What happened in a run, with its repetitions folded: a pump that starts and stops 700 times is told once."""

from __future__ import annotations

import struct
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from dewpond.plant.moments import Moment

OFTEN = 3  # a text that comes so often is told once and then counted
NEARLY = 1.05  # texts whose rounds begin and end within so many cycles of each other go together; our prior


class Beat(NamedTuple):
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


@dataclass(frozen=True, slots=True)
class Beats:
    """The beats of a run, in order. The same lines come in thousands of runs, each time at another time: so they are
    held apart from their times, and a study holds each but once.

    lines  the beats, each with time 0
    times  of each beat, packed [s]
    """

    lines: tuple[Beat, ...] = ()
    times: bytes = b""

    @classmethod
    def of(cls, beats: Iterable[Beat]) -> Beats:
        """Beats from such as have their times."""
        told = tuple(beats)
        times = struct.pack(f"<{len(told)}d", *(beat.time for beat in told))
        return cls(tuple(beat._replace(time=0.0) for beat in told), times)

    def __len__(self) -> int:
        return len(self.lines)

    def __iter__(self) -> Iterator[Beat]:
        times = struct.unpack(f"<{len(self.lines)}d", self.times)
        return (Beat(time, *line[1:]) for time, line in zip(times, self.lines, strict=True))


def fold(moments: Sequence[Moment]) -> Beats:
    """The beats of a run, in order. Each text is told when it first comes; what comes often is counted from its
    second time on, and texts that go round together are counted together. A last round that is not gone through
    to its end is told as it comes."""
    at: dict[tuple[str, str], list[int]] = {}
    for number, m in enumerate(moments):
        at.setdefault((m.part, m.text), []).append(number)
    often = {key: numbers for key, numbers in at.items() if len(numbers) >= OFTEN}
    told = {numbers[0] for numbers in often.values()}
    told |= {number for key, numbers in at.items() if key not in often for number in numbers}
    placed = []
    for own in _together([_Round(_span(moments, often[key]), [key]) for key in sorted(often)]):
        keys = sorted(own, key=lambda key: often[key][1])
        whole = _whole_rounds([often[key] for key in keys])
        told |= {number for key in keys for number in often[key][whole:]}
        ends = [moments[often[key][:whole][-1]].time for key in keys]
        first = often[keys[0]][1]
        parts, texts = tuple(dict.fromkeys(part for part, _ in keys)), tuple(text for _, text in keys)
        beat = Beat(moments[first].time, "again", "", parts[0], whole - 1, max(ends), parts, texts, ends[0])
        placed.append((first, beat))
    placed += [(n, Beat(m.time, m.kind, m.text, m.part)) for n, m in enumerate(moments) if n in told]
    # What begins a round is told before what it brings about for the first time.
    return Beats.of(beat for _, beat in sorted(placed, key=lambda one: one[0]))


def _whole_rounds(rows: Sequence[Sequence[int]]) -> int:
    """How often all of them came, where some came once more than the others; else all that came are counted."""
    counts = [len(row) for row in rows]
    return min(counts) if max(counts) - min(counts) == 1 else max(counts)


@dataclass(frozen=True)
class _Round:
    """What comes again and again. ``span``: when it comes for the second and for the last time [s], how often after the
    first; ``keys``: (part, text)."""

    span: tuple[float, float, int]
    keys: list[tuple[str, str]]


def _span(moments: Sequence[Moment], numbers: Sequence[int]) -> tuple[float, float, int]:
    return moments[numbers[1]].time, moments[numbers[-1]].time, len(numbers) - 1


def _together(rounds: list[_Round]) -> list[list[tuple[str, str]]]:
    """Texts that go round together: as often, and over the same time."""
    joined: list[_Round] = []
    for one in sorted(rounds, key=lambda r: (r.span[0], r.keys)):
        begin, until, again = one.span
        cycle = NEARLY * (until - begin) / max(again - 1, 1)
        for number, known in enumerate(joined):
            near = abs(known.span[0] - begin) <= cycle and abs(known.span[1] - until) <= cycle
            if near and abs(known.span[2] - again) <= 1:
                span = min(known.span[0], begin), max(known.span[1], until), max(known.span[2], again)
                joined[number] = _Round(span, known.keys + one.keys)
                break
        else:
            joined.append(one)
    return [one.keys for one in joined]

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
    its second round on, and parts that go round together are counted together."""
    times: dict[tuple[str, str], list[float]] = {}
    for m in moments:
        times.setdefault((m.part, m.text), []).append(m.time)
    often = {key for key, when in times.items() if len(when) >= OFTEN}
    beats, told = [], set()
    second: list[tuple[str, str]] = []  # what comes often, in the order in which it comes for the second time
    for m in moments:
        key = (m.part, m.text)
        if key in often and key in told and key not in second:
            second.append(key)
        if key not in often or key not in told:
            beats.append(Beat(m.time, m.kind, m.text, m.part))
        told.add(key)
    rounds: dict[str, Beat] = {}
    for part, text in sorted(often):
        when = times[part, text]
        here = Beat(when[1], "again", "", part, len(when) - 1, when[-1], (part,))
        known = rounds.get(part)
        rounds[part] = here if known is None else _joined(known, here)
    joined = []
    for beat in _together(list(rounds.values())):
        own = [(part, text) for part, text in second if part in beat.parts]
        joined.append(replace(beat, texts=tuple(text for _, text in own), last=times[own[0]][-1]))
    # A stable sort: what happens at the moment a round begins is told before the round.
    return tuple(sorted([*beats, *joined], key=lambda beat: beat.time))


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

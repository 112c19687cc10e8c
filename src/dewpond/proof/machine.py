"""A piece of the plant's logic that runs by itself, with questions about it that are signals of the same kind.

Whatever is not described more closely is left free: water, levels and counters may pass their next mark at any moment,
a delay that has begun may end at any later one, a hand may press. That only adds behaviour. Times in [s].
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from dewpond.proof.tables import ALWAYS, NEVER


class Span(NamedTuple):
    """Not before ``low`` and not after ``high`` [s]; math.inf where there is no bound."""

    low: float
    high: float


class Quantity(NamedTuple):
    """Something that is compared with marks: what and of what (as Arrays.thr_kind, thr_ref), the marks in order, and
    for each threshold its signal and the positions of its upper and its lower mark.

    start: how many marks lie below at first; rises, falls: signals while which it does, ALWAYS or NEVER; resets: the
    signal that puts it back to nothing, NEVER of anything but a counter; up, down: by cell, how long it takes from one
    of its marks to the other while it moves; since: how long it seems to have risen in its cell at first.
    """

    kind: int
    ref: int
    marks: tuple[float, ...]
    thresholds: tuple[tuple[int, int, int], ...]
    start: int
    rises: int
    falls: int
    resets: int
    up: tuple[Span, ...] = ()
    down: tuple[float, ...] = ()
    since: float = 0.0


class Failing(NamedTuple):
    """Faults that do the same here. labels; forced: signals held at a value; ends: it may be over at some time; until:
    signal with which it is, NEVER for none; when: it begins only while this signal has this value; None: at any time.
    """

    labels: tuple[str, ...]
    forced: tuple[tuple[int, int], ...]
    ends: bool
    until: int
    when: tuple[int, int] | None


@dataclass(frozen=True)
class Machine:
    """Signals in the plant's order, those of questions at the end; an input is a position, or -1 - position for "not".

    numbers     the plant's number of each signal; -1 for those of a question
    start       value of each in the ordinary state
    pulses      positions of signals that are true for a moment: while a hand presses, at midnight
    turning     positions of signals that change of themselves
    due         by signal: when a delay ends, after it began, and how long apart two pulses are; where it is missing,
                that is at any time
    settled     the signal that is true from when on the question can no more be so: no state with it is looked at;
                NEVER where there is none
    """

    numbers: tuple[int, ...]
    ops: tuple[int, ...]
    args: tuple[float, ...]
    ins: tuple[tuple[int, ...], ...]
    start: tuple[int, ...]
    pulses: tuple[int, ...]
    turning: tuple[int, ...]
    quantities: tuple[Quantity, ...]
    faults: tuple[Failing, ...]
    due: dict[int, Span]
    settled: int = NEVER

    def position(self, number: int) -> int:
        """Where a signal of the plant stands; ValueError when it is not here."""
        return self.numbers.index(number)


def as_bit(bits: tuple[int, ...], entry: int) -> bool:
    """The value of an input: a position, -1 - position, or ALWAYS."""
    return bits[entry] == 1 if entry >= 0 else entry == ALWAYS

"""What the search reads and what it writes, as flat arrays of whole numbers.

A signal is its position in the machine; an input is a position, or -1 - position for "not". Times are tenths of a
second. Where a field lists rows of unequal length, ``x_at`` holds where each row begins and the last one ends.
"""

from __future__ import annotations

from typing import Any, NamedTuple

ENDLESS = 1 << 29  # a bound that is none [0.1 s]
FREE, BEGUN, OVER = range(3)  # how it stands with a fault
ANYWHERE, FROM_BELOW, FROM_ABOVE = range(3)  # how a quantity came between its marks
PRESS, TURN, DUE, RISE, FALL, FAIL, MEND = range(7)  # what happens next
ALWAYS, NEVER = -1, -2  # in the place of a signal
WORD = 60  # bits that a word of a key holds
CELL_BITS = 7  # bits of how many marks of a quantity lie below
TWO = 2  # bits of a fault, and of how a quantity came where it is


class Tables(NamedTuple):
    """The machine. ``clk_...``: by clock; a clock is that of a delay, of a pulse or of a quantity."""

    op: list[int]  # by signal: as in plant.primitives
    need: list[int]  # votes needed, or the constant; of a delay: 1 if it lasts at all; of a timetable: 1 if it changes
    in_at: list[int]
    ins: list[int]
    reader_at: list[int]
    readers: list[int]
    start: list[int]
    threshold: list[int]  # by signal: its threshold, or -1
    thr_quantity: list[int]  # by threshold
    thr_on: list[int]  # with more than so many marks below it is true
    thr_off: list[int]  # and with so many or fewer false; between it stays as it was
    pulse: list[int]  # signals that are true for a moment: hands, midnight
    turning: list[int]  # signals that change of themselves
    delay: list[int]  # signals that are delays
    q_marks: list[int]  # by quantity: how many marks
    q_start: list[int]  # marks that lie below at first
    q_entry: list[int]  # how it came there
    q_rise: list[int]  # signal while which it rises, or ALWAYS, NEVER
    q_fall: list[int]
    q_reset: list[int]  # signal that puts it back to nothing, or NEVER
    f_at: list[int]  # by fault: what it holds
    f_signal: list[int]
    f_value: list[int]
    f_ends: list[int]
    f_until: list[int]  # signal with which it is over, or NEVER
    f_when: list[int]  # signal that must be so for it to begin, or ALWAYS
    f_when_value: list[int]
    signal_clock: list[int]  # by signal: its clock, or -1 where its time is left open
    quantity_clock: list[int]  # by quantity
    clk_first: list[int]  # what each clock shows at first
    clk_waited: list[int]  # the longest that something waits for it
    clk_overdue: list[int]  # the longest after which something is overdue; -1: nothing ever is
    due_low: list[int]  # by signal, of a delay: not before, and
    due_high: list[int]  # not after
    cell_at: list[int]  # by quantity: its cells, each between two marks
    up_low: list[int]  # by cell: from its lower mark to its upper one at least, while it rises
    up_high: list[int]  # and at most; ENDLESS where it need not come there
    down_low: list[int]  # from the upper to the lower at least, while it falls
    settled: list[int]  # the signal from which on the question can no more be so, or NEVER


class Work(NamedTuple):
    """Room for one state that is taken apart."""

    bits: list[int]
    cells: list[int]
    entry: list[int]
    faults: list[int]
    force: list[int]  # by signal: -1, or what a fault holds it at
    dirty: list[int]
    left: list[int]  # how many are dirty
    anew: list[int]  # by signal: a delay has begun anew; behind them, by quantity: it has been put back
    zone: list[int]  # (clocks + 1) squared
    first_zone: list[int]
    key: list[int]
    running: list[int]  # by clock, from number 1 on: it runs
    on: list[int]  # and whether it is of use
    new: list[int]  # it begins anew
    live: list[int]  # the clocks that are of use, number 0 first
    lives: list[int]  # how many
    old_on: list[int]  # the same before something was tried
    old_live: list[int]
    old_lives: list[int]
    old_bits: list[int]  # the state as it was before something was tried in it
    old_cells: list[int]
    old_entry: list[int]
    old_faults: list[int]
    mask: list[int]  # faults that have begun, in words
    plan: list[int]  # what may happen next: kind and which, one after the other


class Found(NamedTuple):
    """All states found so far, and room for more: numpy arrays of int64, a row for each state."""

    keys: Any
    zones: Any  # int32
    hash: Any
    parent: Any
    kind: Any
    which: Any
    depth: Any
    alike: Any  # the next state with the same key, or -1
    table: Any  # hash table: number of the first state with a key, or -1
    sets: Any  # smallest sets of faults with which the bad comes about, a row of words each
    set_state: Any
    counts: Any  # see N_STATES ...


N_STATES, N_NEXT, N_SETS, N_DEPTH, N_STEPS = range(5)
# why a call ended
DONE, ROOM, PAUSE, UNSETTLED = range(4)

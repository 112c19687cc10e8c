"""Something has happened, and the logic comes to rest: by the rules of plant.kernel.signals, with time left out.

Only what has an input that changed is looked at anew, in the same order; a signal whose inputs stand stays as it is.
"""

from __future__ import annotations

from dewpond.plant.primitives import (
    L_CONST,
    L_HOLD,
    L_LATCH,
    L_OFF_DELAY,
    L_ON_DELAY,
    L_THRESHOLD,
    L_TIMETABLE,
    L_VOTE,
)
from dewpond.proof.tables import (
    ALWAYS,
    ANYWHERE,
    BEGUN,
    OVER,
)

TURNS = 40  # as in the engine: what has not come to rest by then never does


def read(w, entry):
    """The value of an input, which may be negated."""
    return w.bits[entry] if entry >= 0 else 1 - w.bits[-1 - entry]


def holds(w, signal):
    """Whether something that hangs on a signal, or on ALWAYS or NEVER, is so."""
    if signal >= 0:
        return w.bits[signal] == 1
    return signal == ALWAYS


def waits(t, w, i):
    """Whether a delay has begun and not ended."""
    first = read(w, t.ins[t.in_at[i]])
    if w.force[i] >= 0:
        return False
    if t.op[i] == L_ON_DELAY:
        return first == 1 and w.bits[i] == 0
    return first == 0 and w.bits[i] == 1


def value(t, w, i):
    """What a signal is now, whatever holds it; a delay ends by an event of its own."""
    op = t.op[i]
    at = t.in_at[i]
    end = t.in_at[i + 1]
    old = w.bits[i]
    if op == L_VOTE:
        count = 0
        for j in range(at, end):
            count += read(w, t.ins[j])
        return 1 if count >= t.need[i] else 0
    if op == L_THRESHOLD:
        k = t.threshold[i]
        cell = w.cells[t.thr_quantity[k]]
        if cell > t.thr_on[k]:
            return 1
        return 0 if cell <= t.thr_off[k] else old
    if op == L_CONST:
        return t.need[i]
    if op == L_TIMETABLE:  # of a circuit: it has power but for faults
        return old if t.need[i] == 1 else t.start[i]
    first = read(w, t.ins[at])
    if op == L_ON_DELAY:
        if first == 0:
            w.anew[i] = 1
            return 0
        return 1 if t.need[i] == 0 else old
    if op == L_OFF_DELAY:
        if first == 1:
            w.anew[i] = 1
            return 1
        return 0 if t.need[i] == 0 else old
    if op == L_LATCH:
        if read(w, t.ins[at + 2]) == 1:
            return 0
        if first == 1:
            return 1
        return 0 if read(w, t.ins[at + 1]) == 1 else old
    if op == L_HOLD:
        return first if read(w, t.ins[at + 1]) == 0 else old
    return old


def mark(w, i):
    """A signal is to be looked at anew."""
    if w.dirty[i] == 0:
        w.dirty[i] = 1
        w.left[0] += 1


def mark_readers(t, w, i):
    for j in range(t.reader_at[i], t.reader_at[i + 1]):
        mark(w, t.readers[j])


def run_logic(t, w):
    """Every signal that may have changed, until none does; False where that never ends."""
    for _ in range(TURNS):
        if w.left[0] == 0:
            return True
        for i in range(len(t.op)):
            if w.dirty[i] == 1:
                w.dirty[i] = 0
                w.left[0] -= 1
                v = value(t, w, i)
                if w.force[i] >= 0:
                    v = w.force[i]
                if v != w.bits[i]:
                    w.bits[i] = v
                    mark_readers(t, w, i)
    return w.left[0] == 0


def set_forces(t, w):
    """What the faults that stand hold; of two that hold one signal, the later in the list."""
    for i in range(len(t.op)):
        w.force[i] = -1
    for f in range(len(t.f_ends)):
        if w.faults[f] == BEGUN:
            for j in range(t.f_at[f], t.f_at[f + 1]):
                w.force[t.f_signal[j]] = t.f_value[j]


def touch_held(t, w, f):
    for j in range(t.f_at[f], t.f_at[f + 1]):
        mark(w, t.f_signal[j])


def touch_quantity(t, w, q):
    for i in range(len(t.op)):
        if t.threshold[i] >= 0 and t.thr_quantity[t.threshold[i]] == q:
            mark(w, i)


def put_back(t, w):
    """Counters go to nothing while their signal says so; whether one did."""
    moved = False
    for q in range(len(t.q_marks)):
        if t.q_reset[q] >= 0 and w.bits[t.q_reset[q]] == 1:
            w.anew[len(t.op) + q] = 1
            if w.cells[q] > 0:
                w.cells[q] = 0
                touch_quantity(t, w, q)
                moved = True
    return moved


def end_faults(t, w):
    """Faults that somebody has put right; whether one was."""
    moved = False
    for f in range(len(t.f_ends)):
        if w.faults[f] == BEGUN and t.f_until[f] >= 0 and w.bits[t.f_until[f]] == 1:
            w.faults[f] = OVER
            touch_held(t, w, f)
            moved = True
    if moved:
        set_forces(t, w)
    return moved


def settle(t, w):
    """Bring all to rest; False where it never comes to rest."""
    for _ in range(TURNS):
        if not run_logic(t, w):
            return False
        moved = put_back(t, w)
        if end_faults(t, w):
            moved = True
        if not moved:
            return True
    return False


def begin(t, w):
    """The ordinary state, without faults; False where it never comes to rest."""
    for q in range(len(t.q_marks)):
        w.cells[q] = t.q_start[q]
        w.entry[q] = t.q_entry[q]
    for f in range(len(t.f_ends)):
        w.faults[f] = 0
    set_forces(t, w)
    for i in range(len(t.op)):
        w.bits[i] = t.start[i]
        mark(w, i)
        k = t.threshold[i]
        if k >= 0:
            w.bits[i] = 1 if w.cells[t.thr_quantity[k]] > t.thr_off[k] else 0
    return settle(t, w)


def touch(t, w, i, v):
    """A signal changes of itself, unless a fault holds it."""
    if w.force[i] < 0 and w.bits[i] != v:
        w.bits[i] = v
        mark_readers(t, w, i)


def step_quantity(t, w, q, up):
    """A quantity passes its next mark; where it came from is kept, for it takes time to the next one."""
    if up:
        w.cells[q] += 1
        w.entry[q] = 1
    else:
        w.cells[q] -= 1
        w.entry[q] = 2
    if t.quantity_clock[q] < 0:
        w.entry[q] = ANYWHERE
    w.anew[len(t.op) + q] = 1
    touch_quantity(t, w, q)

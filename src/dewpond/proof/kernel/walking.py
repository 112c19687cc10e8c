"""Every state that a machine can come to, row by row from the ordinary one: the shortest way to each is found first."""

from __future__ import annotations

from dewpond.proof.kernel.fault_sets import covered, mark_begun, note
from dewpond.proof.kernel.keeping import bring_back, keep, unpack
from dewpond.proof.kernel.settling import (
    begin,
    holds,
    mark_readers,
    set_forces,
    settle,
    step_quantity,
    touch,
    touch_held,
    waits,
)
from dewpond.proof.kernel.zones import drop_clock, let_pass, set_clock, tighten, widen
from dewpond.proof.tables import (
    ANYWHERE,
    BEGUN,
    DONE,
    DUE,
    ENDLESS,
    FAIL,
    FALL,
    FREE,
    FROM_ABOVE,
    FROM_BELOW,
    MEND,
    N_NEXT,
    N_SETS,
    N_STATES,
    N_STEPS,
    OVER,
    PAUSE,
    PRESS,
    RISE,
    ROOM,
    TURN,
    UNSETTLED,
)


def count_clocks(t, w, n):
    """Which clocks are of use in a state, and which of them run; number 0 is none."""
    w.live[0] = 0
    w.lives[0] = 1
    for c in range(n):
        w.running[c] = 0
        w.on[c] = 0
    for j in range(len(t.delay)):
        i = t.delay[j]
        if t.signal_clock[i] >= 0 and waits(t, w, i):
            use(w, 1 + t.signal_clock[i], 1)
    for j in range(len(t.pulse)):
        if t.signal_clock[t.pulse[j]] >= 0:
            use(w, 1 + t.signal_clock[t.pulse[j]], 1)
    for q in range(len(t.q_marks)):
        c = t.quantity_clock[q]
        if c >= 0 and w.entry[q] != ANYWHERE:
            up = w.entry[q] == FROM_BELOW and holds(w, t.q_rise[q])
            down = w.entry[q] == FROM_ABOVE and holds(w, t.q_fall[q])
            stays = t.q_reset[q] >= 0 and w.bits[t.q_reset[q]] == 1
            use(w, 1 + c, 1 if (up or down) and not stays else 0)


def use(w, c, runs):
    w.on[c] = 1
    w.running[c] = runs
    w.live[w.lives[0]] = c
    w.lives[0] += 1


def bounded(t, w, n):
    """Nothing that is due is passed over; False where no time at all is left."""
    for j in range(len(t.delay)):
        i = t.delay[j]
        c = t.signal_clock[i]
        if c >= 0 and w.running[1 + c] == 1 and t.due_high[i] < ENDLESS and not tighten(w, n, 1 + c, 0, t.due_high[i]):
            return False
    for q in range(len(t.q_marks)):
        c = t.quantity_clock[q]
        if c >= 0 and w.running[1 + c] == 1 and w.entry[q] == FROM_BELOW and w.cells[q] < t.q_marks[q]:
            most = t.up_high[t.cell_at[q] + w.cells[q]]
            if most < ENDLESS and not tighten(w, n, 1 + c, 0, most):
                return False
    return True


def waited_for(t, w, kind, which):
    """The clock that something must wait for, or -1; beside it, what that must show at least. Of the old state."""
    if kind in (DUE, PRESS):
        return t.signal_clock[which], t.due_low[which]
    if kind == RISE and w.old_entry[which] == FROM_BELOW:
        return t.quantity_clock[which], t.up_low[t.cell_at[which] + w.old_cells[which]]
    if kind == FALL and w.old_entry[which] == FROM_ABOVE:
        return t.quantity_clock[which], t.down_low[t.cell_at[which] + w.old_cells[which]]
    return -1, 0


def happen(t, w, kind, which):
    """It happens, and all comes to rest; False where it does not."""
    if kind == PRESS:
        touch(t, w, which, 1)
        if not settle(t, w):
            return False
        touch(t, w, which, 0)
    elif kind == TURN:
        touch(t, w, which, 1 - w.bits[which])
    elif kind == DUE:
        w.bits[which] = 1 - w.bits[which]
        mark_readers(t, w, which)
    elif kind == RISE:
        step_quantity(t, w, which, True)
    elif kind == FALL:
        step_quantity(t, w, which, False)
    else:
        w.faults[which] = BEGUN if kind == FAIL else OVER
        set_forces(t, w)
        touch_held(t, w, which)
    return settle(t, w)


def go_on(t, w, n, kind, which):
    """The zone after something has happened; False where no time is left."""
    if n == 1:
        return True
    for c in range(n):
        w.new[c] = 0
    if kind == PRESS and t.signal_clock[which] >= 0:
        w.new[1 + t.signal_clock[which]] = 1
    for j in range(len(t.delay)):
        i = t.delay[j]
        if t.signal_clock[i] >= 0 and w.anew[i] == 1:
            w.new[1 + t.signal_clock[i]] = 1
    for q in range(len(t.q_marks)):
        if t.quantity_clock[q] >= 0 and w.anew[len(t.op) + q] == 1:
            w.new[1 + t.quantity_clock[q]] = 1
    count_clocks(t, w, n)
    for c in range(1, n):
        if w.on[c] == 0:
            if w.old_on[c] == 1:
                drop_clock(w, n, c)
        elif w.old_on[c] == 0 or w.new[c] == 1:
            set_clock(w, n, c)
    let_pass(w, n)
    if not bounded(t, w, n):
        return False
    widen(t, w, n)
    return True


def attempt(t, w, found, n, s, kind, which):
    """One thing happens in the state taken apart last; False where the logic does not come to rest."""
    c, least = waited_for(t, w, kind, which)
    if c >= 0 and found.zones[s, (1 + c) * n] < least:
        return True  # it is never as late as that
    bring_back(t, w)
    for k in range(n * n):
        w.zone[k] = found.zones[s, k]
    w.lives[0] = w.old_lives[0]
    for p in range(w.lives[0]):
        w.live[p] = w.old_live[p]
    if c >= 0 and not tighten(w, n, 0, 1 + c, -least):
        return True
    found.counts[N_STEPS] += 1
    if not happen(t, w, kind, which):
        return False
    if holds(w, t.settled[0]):
        return True  # nothing that comes after matters
    if go_on(t, w, n, kind, which):
        keep(t, w, found, n, s, kind, which)
    return True


def plan(t, w, most_faults):
    """Write down all that may happen in a state, clocks aside; how many things."""
    begun = mark_begun(t, w)
    count = 0
    for f in range(len(t.f_ends)):
        ready = t.f_when[f] < 0 or w.bits[t.f_when[f]] == t.f_when_value[f]
        if w.faults[f] == FREE and begun < most_faults and ready:
            count = planned(w, count, FAIL, f)
        elif w.faults[f] == BEGUN and t.f_ends[f] == 1:
            count = planned(w, count, MEND, f)
    for j in range(len(t.delay)):
        if waits(t, w, t.delay[j]):
            count = planned(w, count, DUE, t.delay[j])
    for j in range(len(t.turning)):
        if w.force[t.turning[j]] < 0:
            count = planned(w, count, TURN, t.turning[j])
    for q in range(len(t.q_marks)):
        resets = t.q_reset[q] >= 0 and w.bits[t.q_reset[q]] == 1
        if w.cells[q] < t.q_marks[q] and holds(w, t.q_rise[q]) and not resets:
            count = planned(w, count, RISE, q)
        if w.cells[q] > 0 and holds(w, t.q_fall[q]):
            count = planned(w, count, FALL, q)
    for j in range(len(t.pulse)):
        count = planned(w, count, PRESS, t.pulse[j])
    return count


def planned(w, count, kind, which):
    w.plan[2 * count] = kind
    w.plan[2 * count + 1] = which
    return count + 1


def expand(t, w, found, n, s, most_faults):
    """All that may happen in a state; False where the logic does not come to rest."""
    count_clocks(t, w, n)
    w.old_lives[0] = w.lives[0]
    for c in range(n):
        w.old_on[c] = w.on[c]
        w.old_live[c] = w.live[c]
    for k in range(plan(t, w, most_faults)):
        if not attempt(t, w, found, n, s, w.plan[2 * k], w.plan[2 * k + 1]):
            return False
    return True


def start(t, w, found, n):
    """The first state; False where the logic does not come to rest."""
    if not begin(t, w):
        return False
    for k in range(n * n):
        w.zone[k] = w.first_zone[k]
    count_clocks(t, w, n)
    let_pass(w, n)
    if bounded(t, w, n):
        widen(t, w, n)
        keep(t, w, found, n, -1, -1, -1)
    return True


def walk(t, w, found, n, bad, most_faults, most_steps):
    """Go on from where the last call ended, until all is known (DONE), there is no room (ROOM), so many steps have been
    made (PAUSE), or the logic does not come to rest (UNSETTLED)."""
    if found.counts[N_STATES] == 0 and not start(t, w, found, n):
        return UNSETTLED
    events = len(t.pulse) + len(t.turning) + len(t.delay) + 2 * len(t.q_marks) + 2 * len(t.f_ends)
    stop = found.counts[N_STEPS] + most_steps
    while found.counts[N_NEXT] < found.counts[N_STATES]:
        if found.counts[N_STATES] + events > len(found.parent) or found.counts[N_SETS] >= len(found.set_state):
            return ROOM
        if found.counts[N_STEPS] > stop:
            return PAUSE
        s = found.counts[N_NEXT]
        unpack(t, w, found, s)
        mark_begun(t, w)
        if not covered(found, w):
            if w.bits[bad] == 1:
                note(found, w, s)
            elif not expand(t, w, found, n, s, most_faults):
                return UNSETTLED
        found.counts[N_NEXT] = s + 1
    return DONE

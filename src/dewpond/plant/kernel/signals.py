"""Thresholds, gate bits and the logic."""

from __future__ import annotations

from dewpond.plant.kernel.marks import SNAP
from dewpond.plant.kernel.salt import strength_at
from dewpond.plant.kernel.vessels import band_opening, level_of
from dewpond.plant.primitives import (
    C_DOUBTFUL,
    C_EVENTS,
    C_NOW,
    C_QUIET,
    C_UNLISTED,
    E_DOUBTFUL,
    E_SIGNAL,
    FIXED,
    G_LEVEL,
    G_PRIMED,
    L_CONST,
    L_HOLD,
    L_LATCH,
    L_OFF_DELAY,
    L_ON_DELAY,
    L_THRESHOLD,
    L_TIMETABLE,
    L_VOTE,
    SPRING,
    T_CONC,
    T_COUNTER,
    T_FLOW,
    T_LEVEL,
    T_POOL,
    T_PRESSURE,
)

HAIR = 1e-3  # a pressure so near to its mark stands there: no more than rounding [Pa]


def emit(x, code, ref, value, vital):
    """Write an event that happens now."""
    emit_at(x, x.clock[C_NOW], code, ref, value, vital)


def emit_at(x, time, code, ref, value, vital):
    """Write an event, unless the run is still being set up; a full log is a doubtful mark.

    What merely repeats (pumps, notes) is not written any more once the log is two thirds full; from when is kept.
    """
    if x.clock[C_QUIET] > 0.0:
        return
    k = int(x.clock[C_EVENTS])
    if not vital and 3 * k > 2 * len(x.event_time):
        if x.clock[C_UNLISTED] == 0.0:
            x.clock[C_UNLISTED] = time
        return
    if k < len(x.event_time):
        x.event_time[k] = time
        x.event_code[k] = code
        x.event_ref[k] = ref
        x.event_value[k] = value
    else:
        x.clock[C_DOUBTFUL] += 1.0
    x.clock[C_EVENTS] = k + 1.0


def ask(x, owner):
    if owner >= 0 and x.clock[C_QUIET] == 0.0:
        x.asked[owner] = 1


def felt(p, x, n):
    """Gauge pressure that a switch feels [Pa]: of a spring, or of a source, whatever its line was solved for last."""
    if p.node_kind[n] == FIXED:
        return p.node_value[n] * x.source[n]
    total = x.spring[n] if p.node_kind[n] == SPRING else x.pressure[n]
    return total - p.const[0] * p.const[1] * p.node_z[n]


def threshold_value(p, x, k):
    kind = p.thr_kind[k]
    ref = p.thr_ref[k]
    if kind == T_LEVEL:
        h, area = level_of(p, ref, x.volume[ref])
        return h
    if kind == T_POOL:
        return x.pool[ref]
    if kind == T_COUNTER:
        return x.counter[ref]
    if kind == T_PRESSURE:
        return felt(p, x, ref)
    if kind == T_FLOW:
        return x.flow[ref]
    if kind == T_CONC:
        return strength_at(p, x, ref)
    if x.pool[ref] > 1e-9:
        return x.pool_salt[ref] / x.pool[ref]
    return 0.0


def run_thresholds(p, x):
    changed = False
    for k in range(len(p.thr_kind)):
        v = threshold_value(p, x, k)
        tol = 1e-9 if p.thr_kind[k] == T_LEVEL else 1e-12
        if p.thr_kind[k] == T_PRESSURE:
            tol = HAIR
        elif p.thr_kind[k] == T_POOL:
            tol = 1e-12 * max(1.0, p.thr_on[k])  # what lies in a full place is known no closer
        if x.thr_bit[k] == 0:
            if v >= p.thr_on[k] - tol:
                x.thr_bit[k] = 1
                changed = True
        elif v <= p.thr_off[k] + tol:
            x.thr_bit[k] = 0
            changed = True
    return changed


def run_gate_bits(p, x):
    """Float bits, primed siphons; pressure-ratio bits are moved by the step itself."""
    changed = False
    for g in range(len(p.gate_kind)):
        kind = p.gate_kind[g]
        if kind == G_LEVEL and p.gate_c[g] >= 0.0:
            s = p.gate_ref[g]
            h, area = level_of(p, s, x.volume[s])
            o, slope = band_opening(p, g, h)
            if x.bit[g] == 0:
                if o <= SNAP + 1e-9:
                    x.bit[g] = 1
                    changed = True
            else:
                away = p.gate_b[g] - h
                if p.gate_b[g] < p.gate_a[g]:
                    away = -away
                if away >= p.gate_c[g] - 1e-9:
                    x.bit[g] = 0
                    changed = True
        elif kind == G_PRIMED and x.bit[g] == 0 and x.signal[p.gate_ref[g]] == 1:
            x.bit[g] = 1
            changed = True
    return changed


def input_of(x, entry):
    """Value of a signal's input, which may be negated."""
    return x.signal[entry] if entry >= 0 else 1 - x.signal[-1 - entry]


def run_logic(p, x):
    """Evaluate every signal until nothing changes; returns whether anything did."""
    t = x.clock[C_NOW]
    any_change = False
    for turn in range(40):
        changed = False
        for i in range(len(p.sig_op)):
            op = p.sig_op[i]
            at = p.sig_in_at[i]
            end = p.sig_in_at[i + 1]
            old = x.signal[i]
            v = old
            first = 0
            if end > at:
                first = input_of(x, p.sig_in[at])
            if op == L_THRESHOLD:
                v = x.thr_bit[int(p.sig_arg[i])]
            elif op == L_TIMETABLE:
                v = 1 if x.due[i] > 0.0 else 0
            elif op == L_VOTE:
                count = 0
                for j in range(at, end):
                    count += input_of(x, p.sig_in[j])
                v = 1 if count >= p.sig_arg[i] else 0
            elif op == L_ON_DELAY:
                if first == 0:
                    x.due[i] = -1.0
                    v = 0
                else:
                    if x.due[i] < 0.0:
                        x.due[i] = t + p.sig_arg[i]
                    v = 1 if t >= x.due[i] - 1e-7 else 0
            elif op == L_OFF_DELAY:
                if first == 1:
                    x.due[i] = -1.0
                    v = 1
                elif old == 1:
                    if x.due[i] < 0.0:
                        x.due[i] = t + p.sig_arg[i]
                    v = 0 if t >= x.due[i] - 1e-7 else 1
                else:
                    v = 0
            elif op == L_LATCH:
                reset = input_of(x, p.sig_in[at + 1])
                forget = input_of(x, p.sig_in[at + 2])
                if forget == 1:
                    v = 0
                elif first == 1:
                    v = 1
                elif reset == 1:
                    v = 0
            elif op == L_HOLD:
                freeze = input_of(x, p.sig_in[at + 1])
                if freeze == 0:
                    v = first
            elif op == L_CONST:
                v = int(p.sig_arg[i])
            if x.clock[C_QUIET] == 0.0:
                x.meant[i] |= 1 + v
            if x.force[i] >= 0:
                v = x.force[i]
            if x.clock[C_QUIET] == 0.0:
                x.seen[i] |= 1 + v
            if v != old:
                x.signal[i] = v
                changed = True
                if x.force[i] < 0:
                    ask(x, p.sig_owner[i])
                if p.sig_log[i] > 0:
                    emit(x, E_SIGNAL, i, float(v), p.sig_log[i] == 2)
        if not changed:
            return any_change
        any_change = True
    x.clock[C_DOUBTFUL] += 1.0
    emit(x, E_DOUBTFUL, 1, 0.0, True)
    return any_change


def put_back_now(p, x, c):
    return p.cnt_reset[c] >= 0 and x.signal[p.cnt_reset[c]] == 1


def counts_now(p, x, c):
    """Whether a counter goes on: while its signal is true, and nothing puts it back."""
    return x.signal[p.cnt_when[c]] == 1 and not put_back_now(p, x, c)


def put_back_counters(p, x):
    for c in range(len(p.cnt_edge)):
        if put_back_now(p, x, c):
            x.counter[c] = 0.0

"""Faults laid over the sound plant; bits, signals and faults brought to rest."""

from __future__ import annotations

from dewpond.plant.kernel.marks import BOTH, BRIM, NEVER
from dewpond.plant.kernel.nodes import fixed_pressure, mark_store_stale, may_flow
from dewpond.plant.kernel.signals import (
    ask,
    emit,
    input_of,
    put_back_counters,
    run_gate_bits,
    run_logic,
    run_thresholds,
)
from dewpond.plant.kernel.vessels import level_of, opening_of, sound_opening
from dewpond.plant.primitives import (
    C_DOUBTFUL,
    C_NOW,
    E_DOUBTFUL,
    E_FAULT,
    E_RIM_END,
    FLOW,
    G_LEVEL,
    JUNCTION,
    P_CUT,
    P_FORCE,
    P_GATE_HIGH,
    P_GATE_LOW,
    P_HOLDS,
    P_PASSAGE,
    P_SCALE_EDGE,
    P_SCALE_SOURCE,
    PUMP,
    SPOUT,
    SPRING,
    TAP,
)

PRESSES = 1.0  # a tenth of a millimetre of water: less drives nothing [Pa]


def apply_faults(p, x):
    """Lay the patches of all faults that stand now over the sound plant."""
    for g in range(len(p.gate_kind)):
        x.low[g] = 0.0
        x.high[g] = 1.0
    for i in range(len(p.sig_op)):
        x.force[i] = -1
    for e in range(len(p.edge_a)):
        x.scale[e] = 1.0
        x.cut[e] = 0
        x.passage[e] = p.edge_pass[e]
    for n in range(len(p.node_kind)):
        x.source[n] = 1.0
    for l in range(len(p.place_cap)):
        x.cap[l] = p.place_cap[l]
    for f in range(len(p.fault_time)):
        if x.fault_on[f] != 1:
            continue
        for j in range(p.patch_at[f], p.patch_at[f + 1]):
            ref = p.patch_ref[j]
            kind = p.patch_kind[j]
            v = p.patch_value[j]
            if kind == P_GATE_LOW:
                x.low[ref] = max(x.low[ref], v)
            elif kind == P_GATE_HIGH:
                x.high[ref] = min(x.high[ref], v)
            elif kind == P_FORCE:
                x.force[ref] = int(v)
            elif kind == P_SCALE_EDGE:
                x.scale[ref] *= v
            elif kind == P_SCALE_SOURCE:
                x.source[ref] *= v
            elif kind == P_CUT:
                x.cut[ref] = 1
            elif kind == P_PASSAGE:
                x.passage[ref] = v
            elif kind == P_HOLDS:
                x.cap[ref] = min(NEVER, x.cap[ref] * v)
    for l in range(len(p.place_cap)):
        if x.cap[l] <= x.pool[l]:
            x.pool_full[l] = 1
        elif x.pool[l] < x.cap[l] * BRIM:
            x.pool_full[l] = 0
    for i in range(len(x.stale)):
        x.stale[i] = 1
        x.sliding[i] = 0


def head_now(p, x, n):
    """Total pressure of a vessel, a supply or an open end as it stands now [Pa], whether or not its line was solved."""
    kind = p.node_kind[n]
    if kind == TAP or kind == SPOUT:
        s = p.node_ref[n]
        h, area = level_of(p, s, x.volume[s])
        z = p.store_z[s] + h
        if kind == SPOUT:
            z = max(z, p.node_z[n])
        return p.const[0] * p.const[1] * z
    return fixed_pressure(p, x, n)


def would_run(p, x, e):
    """Whether water would run through an edge if it opened. Between vessels, supplies and open ends their heads tell;
    within a line nobody knows while it is shut, and a pump asks for no head."""
    a = p.edge_a[e]
    b = p.edge_b[e]
    for n in (a, b):
        if p.node_kind[n] == JUNCTION or p.node_kind[n] == SPRING:
            return True
    if p.edge_law[e] == FLOW or p.edge_law[e] == PUMP:
        return True
    head = head_now(p, x, a) - head_now(p, x, b)
    return abs(head) > PRESSES and may_flow(p, x, e, head > 0.0)


def mark_driven(p, x):
    """Note gates that a fault keeps from opening while water would run through them."""
    for e in range(len(p.edge_a)):
        g = p.edge_gate[e]
        if g < 0 or x.high[g] >= 1.0 or x.driven[g] == 1:
            continue
        h = 0.0
        if p.gate_kind[g] == G_LEVEL:
            h, area = level_of(p, p.gate_ref[g], x.volume[p.gate_ref[g]])
        o, slope = sound_opening(p, x, g, h)
        if o > x.high[g] and would_run(p, x, e):
            x.driven[g] = 1


def turned_true(p, x, f):
    """Whether what a fault waits for has come about; what was so before the first moment has not."""
    entry = p.fault_signal[f]
    signal = entry if entry >= 0 else -1 - entry
    if input_of(x, entry) == 0:
        return False
    return x.seen[signal] == BOTH or x.ordinary[signal] != x.signal[signal]


def undone(p, x, f):
    """Whether somebody has put a fault right."""
    return p.fault_until[f] >= 0 and x.signal[p.fault_until[f]] == 1


def run_faults(p, x):
    """Start and end faults that are due; returns whether any did. A fault's state: 0 waits, 1 stands, 2 is over."""
    t = x.clock[C_NOW]
    changed = False
    for f in range(len(p.fault_time)):
        if x.fault_on[f] == 0:
            if x.fault_due[f] < 0.0 and turned_true(p, x, f):
                x.fault_due[f] = t + p.fault_delay[f]
            if x.fault_due[f] >= 0.0 and t >= x.fault_due[f] - 1e-7:
                x.fault_on[f] = 1
                x.fault_due[f] = t + p.fault_end[f]
                emit(x, E_FAULT, f, 1.0, True)
                changed = True
        elif x.fault_on[f] == 1 and (t >= x.fault_due[f] - 1e-7 or undone(p, x, f)):
            x.fault_on[f] = 2
            emit(x, E_FAULT, f, 0.0, True)
            changed = True
    if changed:
        apply_faults(p, x)
    return changed


def settle(p, x, stirred):
    """Bring bits, signals and faults to rest at the present levels; then note which islands must be solved anew.

    ``stirred``: the clock has reached something (a timer, a row of the timetable), so the logic must be looked at.
    """
    for turn in range(60):
        changed = run_faults(p, x)
        changed = run_thresholds(p, x) or changed
        changed = run_gate_bits(p, x) or changed
        if changed or stirred:
            changed = run_logic(p, x) or changed
            put_back_counters(p, x)
        if not changed:
            break
        if turn == 59:
            x.clock[C_DOUBTFUL] += 1.0
            emit(x, E_DOUBTFUL, 2, 0.0, True)
    for i in range(len(x.stale)):
        for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
            g = p.edge_gate[p.isl_edge[j]]
            if g < 0:
                continue
            h = 0.0
            if p.gate_kind[g] == G_LEVEL:
                h, area = level_of(p, p.gate_ref[g], x.volume[p.gate_ref[g]])
            o, slope = opening_of(p, x, g, h)
            sound, slope = sound_opening(p, x, g, h)
            w = x.was_open[g]
            if (o == 0.0) != (w == 0.0) or (o == 1.0) != (w == 1.0) or (p.gate_kind[g] != G_LEVEL and o != w):
                x.stale[i] = 1
                if o == sound:
                    ask(x, p.gate_owner[g])
            x.was_open[g] = o
            x.least[g] = min(x.least[g], sound)
            x.most[g] = max(x.most[g], sound)
    for s in range(len(p.store_z)):
        if x.at_rim[s] == 1 and x.volume[s] < p.store_rim[s] - 1e-6:
            x.at_rim[s] = 0
            emit(x, E_RIM_END, s, 0.0, True)
            mark_store_stale(p, x, s)

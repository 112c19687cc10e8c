"""Steps and the whole run."""

from __future__ import annotations

import math

from dewpond.plant.kernel.booking import book_water, move_pools, move_water
from dewpond.plant.kernel.crossings import first_event, pool_rates
from dewpond.plant.kernel.cycling import pressure_event, ratio_event, turn_ratio_gate
from dewpond.plant.kernel.faults import apply_faults, mark_driven, settle
from dewpond.plant.kernel.islands import begin_step, mixing_step, sensible_step, step_islands
from dewpond.plant.kernel.marks import BLINK, DWELL, HOPELESS, NEVER
from dewpond.plant.kernel.nodes import mark_store_stale
from dewpond.plant.kernel.salt import move_salt, strength_step
from dewpond.plant.kernel.signals import ask, emit, threshold_value
from dewpond.plant.kernel.vessels import level_of
from dewpond.plant.primitives import (
    C_DOUBTFUL,
    C_LAST,
    C_NOW,
    C_QUIET,
    C_ROW_STEP,
    C_ROWS,
    C_STEP,
    C_STEPS,
    C_TT_ROW,
    CHECK,
    E_DOUBTFUL,
    E_RIM,
    G_PRIMED,
    G_RATIO,
    L_OFF_DELAY,
    L_ON_DELAY,
    L_TIMETABLE,
    SPRING,
)

STILL_FOR = 60.0  # water for whose flows no solution is found lies still for so long [s]
THIRD = 1.0 / 3.0  # what a step misses grows with its length so
STILL_A_TANK = 0.5  # with less than this share of its water, how salt the rest is says nothing of a tank


def after_step(p, x, whole):
    """Regimes that end of themselves: rims, siphons that lost their water, check valves that were asked."""
    mark_driven(p, x)
    for i in range(len(x.stale)):
        if x.slid[i] == 1 and x.sliding[i] == 0:
            begun = float(int(x.starts[p.isl_gate[i]]))  # a turn that has begun is a start
            x.starts[p.isl_gate[i]] = begun if x.starts[p.isl_gate[i]] <= begun else begun + 1.0
        x.stale[i] = 1 if x.evenly[i] < 0 or (not whole and (x.evenly[i] == 0 or p.isl_gate[i] >= 0)) else 0
        if x.held[i] == 0:
            for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
                x.solved_at[j] = x.volume[p.isl_store[j]]
    for s in range(len(p.store_z)):
        if x.at_rim[s] == 0 and x.volume[s] >= p.store_rim[s] - 1e-9:
            x.at_rim[s] = 1
            x.volume[s] = min(x.volume[s], p.store_rim[s])
            emit(x, E_RIM, s, 0.0, True)
            ask(x, p.store_owner[s])
            mark_store_stale(p, x, s)
    for e in range(len(p.edge_a)):
        g = p.edge_gate[e]
        if p.edge_law[e] == CHECK and x.pressure[p.edge_b[e]] > x.pressure[p.edge_a[e]] + 100.0:
            ask(x, p.edge_owner[e])
        if g >= 0 and p.gate_kind[g] == G_PRIMED and x.bit[g] == 1 and x.signal[p.gate_ref[g]] == 0:
            if abs(x.try_flow[e]) < 1e-10:
                x.bit[g] = 0
    for body in range(len(p.body_start)):
        if x.body_v1[body] > STILL_A_TANK * x.body_full[body]:
            c = x.salt[body] / x.body_v1[body]
            x.low_conc[body] = min(x.low_conc[body], c)
            x.high_conc[body] = max(x.high_conc[body], c)


def goes_unevenly(x):
    """Whether flows change so within the step that a part of it has to be solved by itself."""
    for i in range(len(x.stale)):
        if x.held[i] == 0 and x.busy[i] == 1 and x.evenly[i] == 0:
            return True
    return False


def step(p, x, limit):
    """Advance to ``limit`` at most, or to the first thing that happens."""
    dt = min(limit - x.clock[C_NOW], x.clock[C_STEP])
    begin_step(p, x, dt)
    dt = max(sensible_step(p, x, dt), min(dt, p.const[6]))
    dt = strength_step(p, x, mixing_step(p, x, dt))
    tries = 0
    while True:
        may_shorten = dt > p.const[6] and tries < 60
        worst = step_islands(p, x, dt, may_shorten)
        if worst > 1.0 and may_shorten:
            dt *= max(0.02, min(0.7, 0.8 / math.pow(worst, THIRD)))
            tries += 1
            continue
        if worst >= HOPELESS:
            # no flows however short the step: what has none lies still for a while, and that is said
            x.clock[C_DOUBTFUL] += 1.0
            emit(x, E_DOUBTFUL, 3, 0.0, True)
            dt = min(limit - x.clock[C_NOW], max(dt, STILL_FOR))
            worst = step_islands(p, x, dt, False)
        turned = -1
        early = NEVER
        for i in range(len(x.stale)):
            s, known = ratio_event(p, x, i, dt)
            if s < early:
                early = s
                turned = i if known == 1 else -1
            s = pressure_event(p, x, i, dt)
            if s < early:
                early = s
                turned = -1
        if early >= 0.98 * dt or dt <= BLINK:
            break
        dt = max(early, p.const[6])
        tries += 1
        if early <= p.const[6]:
            # it stands beyond its mark already: it turns now, though a step so short may not show why
            worst = step_islands(p, x, dt, False)
            break
        if tries > 80:
            break
    pool_rates(p, x)
    s = first_event(p, x, dt)
    while s < 0.98 * dt and s > p.const[6] and tries < 80 and goes_unevenly(x):
        dt = s
        tries += 1
        turned = -1
        worst = step_islands(p, x, dt, False)
        pool_rates(p, x)
        s = first_event(p, x, dt)
    whole = s >= dt
    if not whole:
        turned = -1
        s = max(s, min(dt, 1e-9))
    move_water(p, x, s, dt)
    move_salt(p, x)
    book_water(p, x)
    move_pools(p, x, s)
    x.clock[C_LAST] = s
    x.clock[C_NOW] = limit if whole and dt == limit - x.clock[C_NOW] else x.clock[C_NOW] + s
    after_step(p, x, whole)
    if turned >= 0:
        turn_ratio_gate(p, x, turned)
    x.clock[C_STEP] = p.const[5]
    if whole and turned < 0 and worst > 1.6e-3:
        x.clock[C_STEP] = min(p.const[5], max(1.0, 0.8 / math.pow(worst, THIRD)) * dt)
    x.clock[C_STEPS] += 1.0


def start(p, x):
    """Lay the state of the first moment, at rest and without faults, before anything is logged.

    A fault that stands from the first moment comes into a plant in its ordinary state: a box that hangs has given the
    orders that it keeps.
    """
    x.clock[C_QUIET] = 1.0
    for s in range(len(p.store_z)):
        x.volume[s] = p.store_start[s]
        h, area = level_of(p, s, x.volume[s])
        x.level_p[s] = p.const[0] * p.const[1] * (p.store_z[s] + h)
    for n in range(len(p.node_kind)):
        x.pressure[n] = p.const[0] * p.const[1] * p.node_z[n]
        x.conc[n] = 0.0
        if p.node_kind[n] == SPRING:
            x.spring[n] = x.pressure[n]
    for body in range(len(p.body_start)):
        x.salt[body] = 0.0
        x.low_conc[body] = p.body_start[body]
        x.high_conc[body] = p.body_start[body]
    for s in range(len(p.store_z)):
        x.salt[p.store_body[s]] += p.body_start[p.store_body[s]] * x.volume[s]
        x.body_full[p.store_body[s]] += x.volume[s]
    for i in range(len(p.sig_op)):
        x.signal[i] = p.sig_start[i]
        x.due[i] = float(p.sig_start[i]) if p.sig_op[i] == L_TIMETABLE else -1.0
    for f in range(len(p.fault_time)):
        x.fault_due[f] = NEVER
    for g in range(len(p.gate_kind)):
        x.bit[g] = 1 if p.gate_kind[g] == G_RATIO else 0
        x.was_open[g] = -1.0
        x.least[g] = 1.0
        x.turned[g] = -DWELL
        x.dwell[g] = DWELL
    for k in range(len(p.thr_kind)):
        x.thr_bit[k] = 1 if threshold_value(p, x, k) >= p.thr_off[k] else 0
    for i in range(len(x.stale)):
        x.evenly[i] = 1
        x.stale[i] = 1
    apply_faults(p, x)
    run_timetable(p, x)
    settle(p, x, True)
    for i in range(len(p.sig_op)):
        x.ordinary[i] = x.signal[i]
    for g in range(len(p.gate_kind)):
        x.least[g] = x.was_open[g]
        x.most[g] = x.was_open[g]
    x.clock[C_QUIET] = 0.0
    x.clock[C_STEP] = p.const[5]
    for f in range(len(p.fault_time)):
        x.fault_due[f] = p.fault_time[f]
    settle(p, x, True)


def run_timetable(p, x):
    changed = False
    row = int(x.clock[C_TT_ROW])
    while row < len(p.tt_time) and p.tt_time[row] <= x.clock[C_NOW] + 1e-7:
        i = p.tt_sig[row]
        x.due[i] = float(p.tt_value[row])
        row += 1
        changed = True
    x.clock[C_TT_ROW] = row
    return changed


def next_time(p, x, end):
    """The next moment that is known beforehand."""
    t = x.clock[C_NOW]
    best = end
    row = int(x.clock[C_TT_ROW])
    if row < len(p.tt_time) and p.tt_time[row] < best:
        best = p.tt_time[row]
    for i in range(len(p.sig_op)):
        if (p.sig_op[i] == L_ON_DELAY or p.sig_op[i] == L_OFF_DELAY) and t + 1e-7 < x.due[i] < best:
            best = x.due[i]
    for f in range(len(p.fault_time)):
        if x.fault_on[f] < 2 and t + 1e-7 < x.fault_due[f] < best:
            best = x.fault_due[f]
    return best


def record(p, x, force):
    """Keep a row of levels and pools for the charts; thin the rows when there is no room left."""
    k = int(x.clock[C_ROWS])
    room = len(x.row_time)
    if room == 0:
        return
    t = x.clock[C_NOW]
    if not force and k > 0 and t < x.row_time[k - 1] + x.clock[C_ROW_STEP]:
        return
    ns = len(p.store_z)
    width = ns + len(p.place_cap)
    if k >= room:
        k = room // 2
        for j in range(k):
            x.row_time[j] = x.row_time[2 * j]
            for c in range(width):
                x.row_value[j * width + c] = x.row_value[2 * j * width + c]
        x.clock[C_ROW_STEP] *= 2.0
    x.row_time[k] = t
    for s in range(ns):
        h, area = level_of(p, s, x.volume[s])
        x.row_value[k * width + s] = h
    for l in range(len(p.place_cap)):
        x.row_value[k * width + ns + l] = x.pool[l]
    x.clock[C_ROWS] = k + 1.0


def run(p, x, end, most_steps):
    """Run to ``end`` [s]; the state holds the outcome. Returns the number of steps."""
    start(p, x)
    record(p, x, True)
    steps = 0
    while x.clock[C_NOW] < end - 1e-9:
        limit = next_time(p, x, end)
        step(p, x, limit)
        run_timetable(p, x)
        settle(p, x, x.clock[C_NOW] >= limit - 1e-7)
        record(p, x, False)
        steps += 1
        if steps >= most_steps:
            x.clock[C_DOUBTFUL] += 1.0
            emit(x, E_DOUBTFUL, 4, 0.0, True)
            break
    record(p, x, True)
    return steps

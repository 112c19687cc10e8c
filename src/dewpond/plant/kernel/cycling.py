"""The pressure-ratio gate: when it moves, and when it cycles so fast that it is averaged."""

from __future__ import annotations

import math

from dewpond.plant.kernel.averaging import solve_sliding
from dewpond.plant.kernel.marks import BLINK, DWELL, NEVER, SETTLED, STAGE
from dewpond.plant.kernel.network import solve
from dewpond.plant.kernel.nodes import gauge, keep_end, put_back_end
from dewpond.plant.kernel.signals import ask, felt
from dewpond.plant.kernel.springs import BRIEF, spring_node
from dewpond.plant.primitives import C_FLUTTER, C_NOW, SPRING, T_PRESSURE

FOLLOWED = 0.5  # in so many of its relaxation times a spring that turns a gate is followed
CLOSELY_FOLLOWED = 0.1  # and in a single backward step
CLOSE = 0.01  # it has come to the gate's mark when so little of its way is left


def try_slide(p, x, i, dt):
    """After the ratio gate has moved: does it cycle faster than is worth following?"""
    g = p.isl_gate[i]
    if g < 0 or x.high[g] < 1.0 or x.low[g] > 0.0 or spring_node(p, i) < 0:
        return
    share, starts = solve_sliding(p, x, i, dt, False)
    if 0.0 < share < 1.0 and starts * p.const[4] > 1.0:
        x.sliding[i] = 1
        x.bit[g] = 1
        x.least[g] = 0.0


def dwell_left(p, x, g):
    """Time until a ratio gate may move again: a diaphragm does not flutter faster than it can travel."""
    return max(0.0, x.dwell[g] - (x.clock[C_NOW] - x.turned[g]))


def ratio_event(p, x, i, dt):
    """When the island's ratio gate moves within the step: a time of ``dt`` at most, or NEVER; and whether that is known
    so well that it may move then (1), or has to be looked at in a shorter step (0)."""
    g = p.isl_gate[i]
    if g < 0 or x.sliding[i] == 1 or x.slid[i] == 1:
        return NEVER, 0
    n = p.gate_ref[g]
    far = gauge(p, x, p.gate_ref2[g])
    left = dwell_left(p, x, g)
    if left > dt + 1e-9:
        return NEVER, 0
    is_open_now = x.bit[g] == 1
    limit = (p.gate_a[g] if is_open_now else p.gate_b[g]) * far
    end = gauge(p, x, n)
    start = end
    if p.node_kind[n] == SPRING:
        start = x.spring[n] - p.const[0] * p.const[1] * p.node_z[n]
    reached = limit - CLOSE * (limit - start)
    moves = end >= reached and far > 0.0 if is_open_now else end <= reached
    way = end - start if is_open_now else start - end
    if not moves and (x.evenly[i] == 1 or x.held[i] == 1 or way < CLOSE * abs(limit)):
        return NEVER, 0  # else it is on its way there, and not as the two stages of a step have it
    if moves and ((is_open_now and start >= limit) or (not is_open_now and start <= limit)):
        return left, 1
    times = relaxations(p, x, i, n, start, (end - start) / dt, dt)
    most = FOLLOWED if x.evenly[i] == 1 else CLOSELY_FOLLOWED
    if times > most and dt > BLINK:
        return max(left, min(0.9, most / times) * dt), 0
    if not moves:
        return NEVER, 0
    gone = min(1.0, (limit - start) / (end - start))
    if times > 1e-3:
        gone = min(1.0, -math.log(1.0 - gone * (1.0 - math.exp(-times))) / times)
    return max(left, gone * dt), 1


def pressure_event(p, x, i, dt):
    """A shorter step where a spring of the island comes past the mark of a pressure switch within this one, and far
    quicker than it lasts; else NEVER: then its way in the step tells when. Of a gate that cycles, means are known only:
    what it feels stands still."""
    best = NEVER
    if x.sliding[i] == 1 or x.slid[i] == 1:
        return best
    for k in range(len(p.thr_kind)):
        n = p.thr_ref[k]
        if p.thr_kind[k] != T_PRESSURE or p.node_kind[n] != SPRING or dt <= BLINK or not stands_in(p, i, n):
            continue
        start = felt(p, x, n)
        end = gauge(p, x, n)
        rises = x.thr_bit[k] == 0
        mark = p.thr_on[k] if rises else p.thr_off[k]
        reached = mark - CLOSE * (mark - start)
        passed = end >= reached if rises else end <= reached
        way = end - start if rises else start - end
        # an uneven step may end short of where the spring comes to in it
        if passed or (x.evenly[i] == 0 and way >= CLOSE * abs(mark)):
            times = relaxations(p, x, i, n, start, (end - start) / dt, dt)
            most = FOLLOWED if x.evenly[i] == 1 else CLOSELY_FOLLOWED
            if times > most:
                best = min(best, max(BLINK, min(0.9, most / times) * dt))
    return best


def stands_in(p, i, n):
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        if p.isl_node[j] == n:
            return True
    return False


def taken_up(p, x, i):
    """What the springs of an island have taken up since the step began [m3]."""
    total = 0.0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        n = p.isl_node[j]
        if p.node_kind[n] == SPRING:
            total += p.node_value[n] * (x.pressure[n] - x.spring[n])
    return total


def relaxations(p, x, i, n, start, mean_rate, dt):
    """How many relaxation times of a spring a step has, from its rate at the start (one short solve) and its mean rate
    in the step. Of an uneven step, those of all springs together: the one may fall before it rises."""
    mean = mean_rate if x.evenly[i] == 1 else taken_up(p, x, i) / dt
    keep_end(p, x, i)
    share = 1.0
    if solve(p, x, i, BRIEF, False, -1) >= 0:
        first = ((gauge(p, x, n) - start) if x.evenly[i] == 1 else taken_up(p, x, i)) / BRIEF
        share = mean / first if first * mean > 0.0 else 1.0
    put_back_end(p, x, i)
    if share >= 1.0:
        return 0.0
    if x.evenly[i] == 0:
        return 1.0 / share - 1.0
    # after z relaxation times the two stages have the share (1 + s^2 z) / (1 + s z)^2, s their length
    a = share * STAGE * STAGE
    b = 2.0 * STAGE * share - STAGE * STAGE
    return (-b + math.sqrt(b * b + 4.0 * a * (1.0 - share))) / (2.0 * a)


def turn_ratio_gate(p, x, i):
    g = p.isl_gate[i]
    x.bit[g] = 1 - x.bit[g]
    if x.clock[C_NOW] - x.turned[g] > 1.5 * x.dwell[g]:
        x.dwell[g] = DWELL
        x.flutter[g] = 0.0
    else:
        # it turns as fast as it can: follow it in ever longer strides, half the time open, and say so
        x.flutter[g] += 1.0
        if x.flutter[g] > 10.0:
            x.dwell[g] = min(2.0 * x.dwell[g], 1800.0)
        if x.flutter[g] == 12.0:
            x.clock[C_FLUTTER] += 1.0
    rested = x.clock[C_NOW] - x.turned[g]
    x.turned[g] = x.clock[C_NOW]
    if x.bit[g] == 1:
        x.starts[g] += 1.0
    ask(x, p.gate_owner[g])
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.try_flow[p.isl_edge[j]] = x.flow[p.isl_edge[j]]
    if rested < p.const[4]:
        try_slide(p, x, i, SETTLED)
    x.stale[i] = 1

"""The pressure-ratio gate: when it moves, and its averaged regime (Filippov's sliding mode) when it cycles fast."""

from __future__ import annotations

import math

from dewpond.plant.kernel.marks import BLINK, DWELL, NEVER, SETTLED, STAGE
from dewpond.plant.kernel.network import solve
from dewpond.plant.kernel.nodes import gauge, keep_end, put_back_end
from dewpond.plant.kernel.signals import ask
from dewpond.plant.primitives import C_FLUTTER, C_NOW, SPRING

MOST_TURNS = 6  # in search of a pressure that holds itself
NEAR = 0.01  # and how near two of them come
BRIEF = 1e-3  # so soon a spring is looked at to see how fast it begins [s]
FOLLOWED = 0.5  # in so many of its relaxation times a spring that turns a gate is followed
CLOSELY_FOLLOWED = 0.1  # and in a single backward step
LEAST_ROOM = 1e-9  # less water in springs is not reckoned with [m3]
NEARLY = 0.02  # springs count as full when so little of their way is left
CLOSE = 0.01  # it has come to the gate's mark when so little of its way is left


def spring_node(p, i):
    """The spring that the island's ratio gate feels; -1 when there is none."""
    g = p.isl_gate[i]
    if g < 0:
        return -1
    n = p.gate_ref[g]
    if p.node_kind[n] == SPRING:
        return n
    return -1


def spring_net(p, x, i, n):
    """Net inflow of a spring node from ``try_flow`` [m3/s]."""
    total = 0.0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        if p.edge_b[e] == n:
            total += x.try_flow[e]
        if p.edge_a[e] == n:
            total -= x.try_flow[e]
    return total


def spring_room(p, x, i, n, held):
    """Compliance of the springs that stand with ``n`` while it is held and the gate is shut, however high they hang
    [m3/Pa]: they cycle as one."""
    total = 0.0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        if p.node_kind[m] == SPRING and abs(x.pressure[m] - x.pressure[n]) <= 0.05 * held:
            total += p.node_value[m]
    return total


def solve_both(p, x, i, dt, implicit, n, held, held_shut):
    """Flows of an island with its ratio gate open, into ``open_flow``, and shut, into ``shut_flow``, its spring held at
    a gauge pressure in each [Pa]. Returns whether there are any, the spring's net inflow in both [m3/s], and the
    pressures at which the gate then shuts and opens [Pa]."""
    g = p.isl_gate[i]
    far = p.gate_ref2[g]
    bit = x.bit[g]
    rgz = p.const[0] * p.const[1] * p.node_z[n]
    x.pressure[n] = rgz + held
    x.bit[g] = 1
    if solve(p, x, i, dt, implicit, n) < 0:
        return False, 0.0, 0.0, 0.0, 0.0
    n_open = spring_net(p, x, i, n)
    high = p.gate_a[g] * gauge(p, x, far)
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.open_flow[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        x.open_pressure[p.isl_node[j]] = x.pressure[p.isl_node[j]]
    x.pressure[n] = rgz + held_shut
    x.bit[g] = 0
    if solve(p, x, i, dt, implicit, n) < 0:
        return False, 0.0, 0.0, 0.0, 0.0
    n_shut = spring_net(p, x, i, n)
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.shut_flow[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
    x.bit[g] = bit
    return True, n_open, n_shut, high, p.gate_b[g] * gauge(p, x, far)


def mean_at(first, last):
    """Where between the two ends of a way a rate stands at its mean over the time that the way takes, if it changes
    evenly along it (logarithmic mean): 0 at the first, 1 at the last."""
    if abs(last - first) < 1e-3 * abs(first):
        return 0.5
    return ((last - first) / math.log(last / first) - first) / (last - first)


def solve_sagging(p, x, i, dt, implicit, n, high):
    """As :func:`solve_both`, for a feed that sags so much under flow that the gate opens again as soon as its diaphragm
    has travelled: the spring falls meanwhile from ``high`` [Pa], and fills again ever more slowly. Returns whether
    there are any flows, the mean net inflows [m3/s], and what the spring gives in between [m3]."""
    fine, n_open, n_shut, unused, low = solve_both(p, x, i, dt, implicit, n, high, high)
    if not fine or n_open <= 0.0 or n_shut >= 0.0:
        return fine, n_open, n_shut, 1.0
    room = spring_room(p, x, i, n, high)
    drop = min(-n_shut * DWELL / room, 0.9 * high)
    fine, low_open, low_shut, unused, low = solve_both(p, x, i, dt, implicit, n, high - drop, high - drop)
    if not fine or low_open <= n_open or low_shut >= 0.0:
        return fine, low_open, low_shut, room * drop
    slower = (low_shut - n_shut) / drop  # what the outflow loses with each pascal
    at_shut = mean_at(n_shut, low_shut)
    at_open = mean_at(n_open, low_open)
    if slower * DWELL > 1e-3 * room:
        fell = -n_shut / slower * (1.0 - math.exp(-slower * DWELL / room))
        at_shut = mean_at(n_shut, n_shut + slower * fell)
        at_open = mean_at(n_open, n_open + (low_open - n_open) * fell / drop)
        drop = min(fell, drop)
    fine, n_open, n_shut, unused, low = solve_both(
        p, x, i, dt, implicit, n, high - at_open * drop, high - at_shut * drop
    )
    return fine, n_open, n_shut, room * drop


def others_net(p, x, i, n):
    """Net inflow of all springs of an island but ``n``, from ``try_flow`` [m3/s]."""
    total = 0.0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        if p.node_kind[m] == SPRING and m != n:
            total += spring_net(p, x, i, m)
    return total


def look_at_springs(p, x, i, n, gone, is_open):
    """Flows of an island with its ratio gate open or shut, into ``try_flow``, with its springs but ``n`` on their way
    from where they stand while it is shut (``gone`` 0) to where they stand while it is open (1); returns the net inflow
    of those springs [m3/s], and whether there are any flows."""
    g = p.isl_gate[i]
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        if p.node_kind[m] == SPRING:
            x.own_spring[m] = x.spring[m]
            x.spring[m] = x.shut_pressure[m] + gone * (x.open_pressure[m] - x.shut_pressure[m])
    x.bit[g] = 1 if is_open else 0
    fine = solve(p, x, i, BRIEF, False, -1) >= 0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        if p.node_kind[m] == SPRING:
            x.spring[m] = x.own_spring[m]
    return others_net(p, x, i, n), fine


def recharge(p, x, i, n, shut, above, holds):
    """How long it takes each time that the gate opens until the springs before the one it feels are full again [s]:
    while it is shut, for ``shut`` [s], they empty backwards through the membrane. 0: nothing to fill; below 0: no
    solution. And the net inflow meanwhile of the one it feels [m3/s]. The mean flows go into ``again_flow``; what runs
    back is put into ``shut_flow``. ``above``: by so much the one it feels stands above its mean as the gate shuts [Pa].
    ``holds``: what that one gives in a cycle [m3]; where more is drawn meanwhile, it is empty before, and that is not
    reckoned with.
    """
    room = 0.0
    more = 0.0
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        m = p.isl_node[j]
        x.shut_pressure[m] = x.pressure[m]
        if p.node_kind[m] == SPRING and m != n:
            way = x.open_pressure[m] - x.shut_pressure[m]
            if way > above:
                room += p.node_value[m] * way
                more += p.node_value[m] * above
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.again_flow[p.isl_edge[j]] = 0.0
    back, fine = look_at_springs(p, x, i, n, 0.5, False)
    if not fine:
        return -1.0, 0.0
    if room <= LEAST_ROOM or back >= 0.0:
        return 0.0, 0.0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        x.again_flow[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
    emptied = 1.0 - math.exp(back / (0.5 * room) * shut)
    lost = (room + more) * emptied
    first, fine = look_at_springs(p, x, i, n, 1.0 - emptied, True)
    last, fine_too = look_at_springs(p, x, i, n, 1.0 - NEARLY * emptied, True)
    if not fine or not fine_too:
        return -1.0, 0.0
    if first <= 0.0 or last <= 0.0:
        return 0.0, 0.0
    at = mean_at(first, last)
    mean, fine = look_at_springs(p, x, i, n, 1.0 - emptied + at * (1.0 - NEARLY) * emptied, True)
    if not fine or mean <= 0.0:
        return -1.0, 0.0
    drawn = spring_net(p, x, i, n)
    if -drawn * lost / mean > holds:
        return 0.0, 0.0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        x.shut_flow[e] += lost / (shut * -back) * (x.again_flow[e] - x.shut_flow[e])
        x.again_flow[e] = x.try_flow[e]
    return lost / mean, drawn


def solve_sliding(p, x, i, dt, implicit):
    """Mean flows of a gate that cycles, into ``try_flow``; returns the share of time open and the starts per second.

    The sensed spring is held between the two pressures; behind it both modes see the same water, so only the feed side
    is mixed. A feed that sags under flow may turn the two about (see :func:`solve_sagging`). A share of 0 or 1 means
    that the gate does not cycle at these levels (flows are then of no use).
    """
    g = p.isl_gate[i]
    n = p.gate_ref[g]
    bit = x.bit[g]
    high = p.gate_a[g] * gauge(p, x, p.gate_ref2[g])  # shuts there, against the pressure under flow
    low = p.gate_b[g] * gauge(p, x, p.gate_ref2[g])  # opens there, against the pressure at rest
    n_open = 0.0
    n_shut = 0.0
    bite = 1.0
    before = 0.0
    fine = True
    for k in range(MOST_TURNS):
        held = high if low > high else 0.5 * (high + low)
        # the pressure under flow follows what is held where a feed sags
        if fine and (k < 2 or (low > high and abs(held - before) > NEAR * held)):
            fine, n_open, n_shut, high, low = solve_both(p, x, i, dt, implicit, n, held, held)
            before = held
    if fine and high <= 0.0:
        x.bit[g] = bit
        return 1.0, 0.0  # a feed without pressure holds nothing shut
    if fine and low > high:
        fine, n_open, n_shut, bite = solve_sagging(p, x, i, dt, implicit, n, high)
    elif fine:
        bite = spring_room(p, x, i, n, gauge(p, x, n)) * max(high - low, 0.1 * high)
    x.bit[g] = bit
    if not fine:
        return -1.0, 0.0
    if n_shut >= -1e-10:
        return 0.0, 0.0
    if n_open <= 0.0:
        return 1.0, 0.0
    shut = -bite / n_shut
    again = 0.0
    drawn = 0.0
    if low <= high:
        again, drawn = recharge(p, x, i, n, shut, 0.5 * (high - low), bite)
        x.bit[g] = bit
        if again < 0.0:
            return -1.0, 0.0
    opened = max(0.0, bite - drawn * again) / n_open
    cycle = shut + again + opened
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        x.try_flow[e] = (opened * x.open_flow[e] + shut * x.shut_flow[e] + again * x.again_flow[e]) / cycle
    return (again + opened) / cycle, 1.0 / cycle


def solve_any(p, x, i, dt, implicit):
    """Solve an island in its present regime; returns starts per second of an averaged gate, 0, or -1: no solution."""
    if x.sliding[i] == 1:
        share, starts = solve_sliding(p, x, i, dt, implicit)
        if share < 0.0:
            return -1.0
        if 0.0 < share < 1.0:
            return starts
        x.sliding[i] = 0
        x.bit[p.isl_gate[i]] = 1 if share >= 1.0 else 0
    if solve(p, x, i, dt, implicit, -1) < 0:
        return -1.0
    return 0.0


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
    if is_open_now and (end < reached or far <= 0.0):
        return NEVER, 0
    if not is_open_now and end > reached:
        return NEVER, 0
    if (is_open_now and start >= limit) or (not is_open_now and start <= limit):
        return left, 1
    times = relaxations(p, x, i, n, start, (end - start) / dt, dt)
    most = FOLLOWED if x.evenly[i] == 1 else CLOSELY_FOLLOWED
    if times > most and dt > BLINK:
        return max(left, min(0.9, most / times) * dt), 0
    gone = min(1.0, (limit - start) / (end - start))
    if times > 1e-3:
        gone = min(1.0, -math.log(1.0 - gone * (1.0 - math.exp(-times))) / times)
    return max(left, gone * dt), 1


def relaxations(p, x, i, n, start, mean_rate, dt):
    """How many relaxation times of a spring a step has, from its rate at the start (one short solve) and its mean rate
    in the step."""
    keep_end(p, x, i)
    share = 1.0
    if solve(p, x, i, BRIEF, False, -1) >= 0:
        first_rate = (gauge(p, x, n) - start) / BRIEF
        share = mean_rate / first_rate if first_rate * mean_rate > 0.0 else 1.0
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

"""All islands over one step: flows at its start and end, and how far the step may go."""

from __future__ import annotations

from dewpond.plant.kernel.averaging import solve_any
from dewpond.plant.kernel.marks import BACK, DWELL, HOPELESS, STAGE
from dewpond.plant.kernel.nodes import body_of_node, is_open, sum_island
from dewpond.plant.kernel.signals import emit
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.primitives import (
    C_DOUBTFUL,
    C_SHORTENS,
    E_DOUBTFUL,
    FIXED,
    FLOW,
    G_LEVEL,
    SPOUT,
    SPRING,
    T_LEVEL,
    TAP,
    WEIR,
)

DROP = 1e-7  # a vessel that gains so much changes no flow worth telling [m3]
CREEP = 1e-12  # a spring that takes up less stands still [m3/s]
DRIFT = 50.0  # and may wander off by so much before it is looked at again [Pa]
SPOON = 3e-6  # what a step may be wrong by in any case [m3]
LEAST_SHARE = 0.06  # of that, where hardly any product comes
FREELY = 0.6  # ask for all of it while product is so many times what is drawn; tried on random designs
BEND = 0.0003  # and in any case by so much of what comes
HALF_OF_IT = 4.096  # asks for half the step: to find where a shut-off cycles no more
MISS = 0.3  # of where the line through both stages misses the flow at the start, a step is taken to be wrong; tried
SETS_IN = 0.1  # the same, of what only begins to run within it: a lip runs over along no straight line
TRICKLE = 1e-12  # what comes by a shut valve is less [m3/s]
ROUNDING = 1e-12  # a vessel so near to a level stands there, however slowly it moves [m3]


def feels_level(p, x, n):
    """Whether the level of a vessel enters the pressure of a node."""
    kind = p.node_kind[n]
    if kind == TAP:
        return True
    return kind == SPOUT and x.level_p[p.node_ref[n]] > p.const[0] * p.const[1] * p.node_z[n]


def how_busy(p, x, i, flow):
    """0: every path of the island is shut; 2: its flows stay as they are, whatever the levels do; 1: to be solved."""
    busy = 0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        if not is_open(p, x, e):
            continue
        g = p.edge_gate[e]
        if g >= 0 and p.gate_kind[g] == G_LEVEL and 0.0 < x.was_open[g] < 1.0:
            return 1
        if p.edge_law[e] != FLOW and (feels_level(p, x, p.edge_a[e]) or feels_level(p, x, p.edge_b[e])):
            return 1
        busy = 2
    if busy == 2 and (x.sliding[i] == 1 or not springs_rest(p, x, i, flow)):
        return 1
    return busy


def springs_rest(p, x, i, flow):
    """Whether no spring of the island takes up or gives off water."""
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        n = p.isl_node[j]
        if p.node_kind[n] != SPRING:
            continue
        net = 0.0
        size = 0.0
        for k in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
            e = p.isl_edge[k]
            if p.edge_b[e] == n:
                net += flow[e]
                size = max(size, abs(flow[e]))
            if p.edge_a[e] == n:
                net -= flow[e]
                size = max(size, abs(flow[e]))
        if abs(net) > 1e-9 * size + CREEP:
            return False
        if abs(x.pressure[n] - x.spring[n]) > DRIFT:
            return False
    return True


def begin_step(p, x, dt):
    """Flows of all islands at the start of a step, into ``flow``; solved anew where something has switched."""
    for s in range(len(p.store_z)):
        x.rate0[s] = 0.0
    for i in range(len(x.stale)):
        if x.stale[i] == 0 and x.busy[i] > 0:
            busy = how_busy(p, x, i, x.flow)
            if x.busy[i] == 2 and busy == 1:
                x.stale[i] = 1
            x.busy[i] = busy
        if x.stale[i] == 1:
            for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
                x.try_flow[p.isl_edge[j]] = x.flow[p.isl_edge[j]]
            if solve_any(p, x, i, dt, False) < 0.0:
                x.clock[C_DOUBTFUL] += 1.0
                emit(x, E_DOUBTFUL, 3, float(i), True)
            x.busy[i] = how_busy(p, x, i, x.try_flow)
            for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
                x.flow[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
            for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
                x.solved_at[j] = x.volume[p.isl_store[j]]
        x.slid[i] = x.sliding[i]
        sum_island(p, x, i, x.flow, x.vin)
        for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
            x.rate0[p.isl_store[j]] += x.vin[p.isl_store[j]]


def time_to(p, x, r, h, longest):
    """Time a vessel takes to a level at its present rate; ``longest`` when it goes the other way or stands there."""
    gap = volume_of(p, r, h) - x.volume[r]
    t = gap / x.rate0[r]
    if t < 1e-3 or abs(gap) < ROUNDING:
        return longest
    return t


def sensible_step(p, x, dt):
    """A step that ends at the first mark any vessel reaches at the present rates."""
    best = dt
    for g in range(len(p.gate_kind)):
        if p.gate_kind[g] == G_LEVEL:
            r = p.gate_ref[g]
            if x.rate0[r] != 0.0:
                best = min(best, time_to(p, x, r, p.gate_a[g], best))
                best = min(best, time_to(p, x, r, p.gate_b[g], best))
    for k in range(len(p.thr_kind)):
        if p.thr_kind[k] == T_LEVEL and x.rate0[p.thr_ref[k]] != 0.0:
            best = min(best, time_to(p, x, p.thr_ref[k], p.thr_off[k] if x.thr_bit[k] else p.thr_on[k], best))
    for n in range(len(p.node_kind)):
        if p.node_kind[n] == SPOUT and x.rate0[p.node_ref[n]] != 0.0:
            r = p.node_ref[n]
            best = min(best, time_to(p, x, r, p.node_z[n] - p.store_z[r], best))
    for e in range(len(p.edge_a)):
        a = p.edge_a[e]
        if p.edge_law[e] == WEIR and p.node_kind[a] == TAP and x.rate0[p.node_ref[a]] != 0.0:
            r = p.node_ref[a]
            best = min(best, time_to(p, x, r, p.node_z[p.edge_b[e]] - p.store_z[r], best))
    for r in range(len(p.store_z)):
        if x.rate0[r] != 0.0:
            for j in range(p.table_at[r], p.table_at[r + 1]):
                best = min(best, time_to(p, x, r, p.table_h[j], best))
    return best


def mixing_step(p, x, dt):
    """A step in which no body of water exchanges more than a quarter of itself with another one."""
    best = dt
    for e in range(len(p.edge_a)):
        if x.flow[e] == 0.0:
            continue
        a = body_of_node(p, p.edge_a[e])
        b = body_of_node(p, p.edge_b[e])
        if a >= 0 and b >= 0 and a != b:
            source = p.edge_a[e] if x.flow[e] > 0.0 else p.edge_b[e]
            left = x.volume[p.node_ref[source]]
            if left > 1e-3:
                best = min(best, max(1.0, 0.25 * left / abs(x.flow[e])))
    return best


def hardly_moves(p, x, i, dt):
    """Whether the island may keep its flows over a short step: its springs rest, and since it was last solved its
    vessels have gained or lost next to nothing."""
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        s = p.isl_store[j]
        if abs(x.volume[s] + x.rate0[s] * dt - x.solved_at[j]) > DROP:
            return False
    return x.sliding[i] == 0 and springs_rest(p, x, i, x.flow)


def product_share(p, x, i):
    """By how much less than in any case a step may be wrong: while a float throttles the product of a unit whose
    shut-off still stands open, a spoonful takes long, and all the while as much runs to waste as ever."""
    g = p.isl_gate[i]
    if g < 0 or (x.bit[g] == 0 and x.sliding[i] == 0):
        return 1.0
    drawn = 0.0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        if p.node_kind[p.edge_a[e]] == FIXED:
            drawn += x.move[e]
    comes = 0.0
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        comes += abs(x.net_mid[p.isl_store[j]])
    return min(1.0, max(LEAST_SHARE, FREELY * comes / drawn)) if drawn > 0.0 else 1.0


def at_second(p, x, i, ahead):
    """Put vessels and springs where the second stage begins: ``ahead`` [s] on, with the flows of the first."""
    sum_island(p, x, i, x.try_flow, x.vin)
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        s = p.isl_store[j]
        x.kept[s] = x.volume[s]
        if x.at_rim[s] == 0:
            x.volume[s] += ahead * (x.net[s] + x.vin[s])
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        x.kept_spring[p.isl_node[j]] = x.spring[p.isl_node[j]]
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        a = p.edge_a[e]
        b = p.edge_b[e]
        if p.node_kind[a] == SPRING:
            x.spring[a] -= ahead * x.try_flow[e] / p.node_value[a]
        if p.node_kind[b] == SPRING:
            x.spring[b] += ahead * x.try_flow[e] / p.node_value[b]


def back_at_start(p, x, i):
    """Put back what :func:`at_second` moved."""
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        x.volume[p.isl_store[j]] = x.kept[p.isl_store[j]]
    for j in range(p.isl_node_at[i], p.isl_node_at[i + 1]):
        x.spring[p.isl_node[j]] = x.kept_spring[p.isl_node[j]]


def step_island(p, x, i, dt):
    """One island of :func:`step_islands`, in the two stages of Alexander's method (1977): of second order, and what is
    far quicker than the step ends where it comes to rest."""
    first = p.isl_edge_at[i]
    last = p.isl_edge_at[i + 1]
    if x.slid[i] == 1:  # a step too long may have looked beyond its end
        x.sliding[i] = 1
        x.bit[p.isl_gate[i]] = 1
    sum_island(p, x, i, x.flow, x.net_before)
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        s = p.isl_store[j]
        x.net[s] = x.rate[s] - x.net_before[s]
    for j in range(first, last):
        x.try_flow[p.isl_edge[j]] = x.flow[p.isl_edge[j]]
    early = solve_any(p, x, i, STAGE * dt, True)
    if early < 0.0:
        return HOPELESS
    for j in range(first, last):
        x.q_start[p.isl_edge[j]] = x.try_flow[p.isl_edge[j]]
    at_second(p, x, i, (1.0 - STAGE) * dt)
    late = solve_any(p, x, i, STAGE * dt, True)
    back_at_start(p, x, i)
    if late < 0.0:
        return HOPELESS
    x.starts_rate[i] = (1.0 - STAGE) * early + STAGE * late
    x.evenly[i] = lay_straight(p, x, i, dt)
    if x.evenly[i] == 0:
        # what turns about may run against a check valve between the stages: one backward step does not
        for j in range(first, last):
            x.try_flow[p.isl_edge[j]] = x.flow[p.isl_edge[j]]
        x.starts_rate[i] = solve_any(p, x, i, dt, True)
        if x.starts_rate[i] < 0.0:
            return HOPELESS
        for j in range(first, last):
            e = p.isl_edge[j]
            x.move[e] = x.try_flow[e]
            x.q_start[e] = x.try_flow[e]
    worst = missed(p, x, i, dt)
    return max(worst, HALF_OF_IT) if x.slid[i] == 1 and x.sliding[i] == 0 and dt > DWELL else worst


def lay_straight(p, x, i, dt):
    """From the flows of the first stage, in ``q_start``, and of the end, in ``try_flow``: the mean into ``move``, and
    into ``q_start`` where the straight line through both has begun. Returns 0 where along such a line water would turn
    about."""
    even = 1
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        early = x.q_start[e]
        late = x.try_flow[e]
        x.move[e] = (1.0 - STAGE) * early + STAGE * late
        x.q_start[e] = early - BACK * (late - early)
        if max(abs(early), abs(late)) * dt > DROP and (x.q_start[e] * late < 0.0 or x.q_start[e] * early <= 0.0):
            even = 0
    return even


def missed(p, x, i, dt):
    """How far the flows of a step bend, from where the line through its two stages misses the flows at its start: the
    largest share of what a vessel's volume may be wrong by. The vessels' mean rates go into ``rate``.

    A step shrinks by the third root of the share; that of a single backward step grows no faster than its length."""
    sum_island(p, x, i, x.try_flow, x.vout)
    sum_island(p, x, i, x.move, x.net_mid)
    least = SPOON * p.const[3] * product_share(p, x, i)
    sets_in = 0.0
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        if abs(x.flow[p.isl_edge[j]]) < TRICKLE:
            sets_in += abs(x.try_flow[p.isl_edge[j]])
    worst = 0.0
    for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
        s = p.isl_store[j]
        mean = x.net_mid[s]
        begun = (mean - 0.5 * x.vout[s]) * 2.0
        size = (MISS if x.evenly[i] == 1 else 0.5) * dt * abs(x.net_before[s] - begun) + SETS_IN * dt * sets_in
        allowed = max(least, BEND * p.const[3] * dt * abs(mean))
        x.rate[s] = x.net[s] + mean
        if size > allowed * worst:
            worst = size / allowed
    return worst if x.evenly[i] == 1 else worst * worst * worst


def lie_still(p, x, i):
    """Let no water move in an island over the step."""
    for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
        e = p.isl_edge[j]
        x.try_flow[e] = 0.0
        x.q_start[e] = 0.0
        x.move[e] = 0.0


def step_islands(p, x, dt, may_shorten):
    """Solve every island over ``dt``: flows at the start in ``q_start``, mean in ``move``, at the end in ``try_flow``.

    Returns the largest share of what a vessel may be wrong by (above 1: the step is too long). If the caller
    ``may_shorten`` the step, the first island that wants that ends the search, and is asked first the next time; else
    one for which no flows are found lies still.
    """
    worst = 0.0
    for s in range(len(p.store_z)):
        x.rate[s] = x.rate0[s]
    begin = int(x.clock[C_SHORTENS])
    for k in range(len(x.stale)):
        i = (begin + k) % len(x.stale)
        x.held[i] = 1
        if x.busy[i] == 1 and not hardly_moves(p, x, i, dt):
            x.held[i] = 0
            own = step_island(p, x, i, dt)
            worst = max(worst, own)
            if may_shorten and worst > 1.0:
                x.clock[C_SHORTENS] = float(i)
                return worst
            if own == HOPELESS:  # and no other island, however far it missed
                lie_still(p, x, i)
                x.starts_rate[i] = 0.0
                x.evenly[i] = -1
        elif x.busy[i] > 0:
            for j in range(p.isl_edge_at[i], p.isl_edge_at[i + 1]):
                e = p.isl_edge[j]
                x.try_flow[e] = x.flow[e]
                x.q_start[e] = x.flow[e]
                x.move[e] = x.flow[e]
        else:
            lie_still(p, x, i)
    for s in range(len(p.store_z)):
        x.rate[s] = 0.0
        x.rate_first[s] = 0.0
    for i in range(len(x.stale)):
        if x.busy[i] > 0:
            sum_island(p, x, i, x.q_start, x.vin)
            sum_island(p, x, i, x.move, x.vout)
            for j in range(p.isl_store_at[i], p.isl_store_at[i + 1]):
                s = p.isl_store[j]
                x.rate_first[s] += x.vin[s]
                x.rate[s] += x.vout[s]
    return worst

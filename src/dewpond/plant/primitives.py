"""The few primitives every part is lowered to, and the arrays the kernel reads.

Everything here is SI: pressures in [Pa] (total = gauge + rho g z), volumes in [m3], flows in [m3/s],
heights in [m] above the datum of the house, times in [s] from the start of a run.
Law, gate, threshold and logic numbers are the whole alphabet; a new physical law adds one number here.
"""

from __future__ import annotations

from typing import NamedTuple

# Nodes
JUNCTION, FIXED, TAP, SPRING, SPOUT, AIR = range(6)
# Edge laws
TUBE, ORIFICE, MEMBRANE, PUMP, FLOW, WEIR, CHECK, REGULATOR = range(8)
# Gates: how an edge's opening is found
G_CONST, G_SIGNAL, G_LEVEL, G_RATIO, G_PRIMED = range(5)
# Thresholds: what is compared
T_LEVEL, T_POOL, T_COUNTER, T_PRESSURE, T_FLOW, T_POOL_SALT, T_CONC = range(7)
# Logic
L_THRESHOLD, L_TIMETABLE, L_VOTE, L_ON_DELAY, L_OFF_DELAY, L_LATCH, L_HOLD, L_CONST = range(8)
# Receivers of water that leaves the network
R_NONE, R_PLACE, R_DRAIN, R_AIR, R_SUPPLY = range(5)
# Patches a fault may apply
P_GATE_LOW, P_GATE_HIGH, P_FORCE, P_SCALE_EDGE, P_SCALE_SOURCE, P_PASSAGE, P_HOLDS, P_CUT = range(8)
# Event codes in a trace
E_SIGNAL, E_RIM, E_POOL_FULL, E_FAULT, E_POOL_FIRST, E_DOUBTFUL, E_RIM_END, E_WATER = range(8)


# Entries of State.clock
(
    C_NOW,
    C_TT_ROW,
    C_STEP,
    C_STEPS,
    C_SOLVES,
    C_DOUBTFUL,
    C_EVENTS,
    C_ROWS,
    C_ROW_STEP,
    C_QUIET,
    C_WET,
    C_ENDED,
    C_FLUTTER,
    C_ENDING,
    C_PEAK,
    C_TAIL,
    C_UNLISTED,
    C_SPELL,
    C_SHORTENS,  # the island that last wanted a shorter step
    C_LAST,  # length of the step before [s]
) = range(20)
# Entries of State.total: volumes [m3], then dissolved matter [kg]
(
    V_SUPPLY,
    V_DRAIN,
    V_AIR,
    V_PLACES,
    V_DRIED,
    S_SUPPLY,
    S_DRAIN,
    S_REMOVED,
    S_AIR,
) = range(9)


class Arrays(NamedTuple):
    """Plain lists (interpreted) or numpy arrays (compiled); same fields, same order, same meaning."""

    # constants: rho [kg/m3], g [m/s2], nu [m2/s], relative tolerance, averaging period [s], longest step [s],
    # shortest relaxation [s]
    const: list[float]
    # nodes
    node_kind: list[int]
    node_z: list[float]
    node_ref: list[int]  # store of a TAP or SPOUT; else -1
    node_value: list[float]  # FIXED: gauge pressure [Pa]; SPRING: compliance [m3/Pa]
    node_conc: list[float]  # FIXED: dissolved matter [kg/m3]
    node_rkind: list[int]  # receiver kind for AIR, SPOUT, FIXED
    node_rref: list[int]
    # edges
    edge_a: list[int]
    edge_b: list[int]
    edge_law: list[int]
    edge_gate: list[int]
    edge_p1: list[float]
    edge_p2: list[float]
    edge_p3: list[float]
    edge_p4: list[float]
    edge_pass: list[float]  # share of the dissolved matter that goes through, 1 for all
    edge_owner: list[int]
    # gates
    gate_kind: list[int]
    gate_ref: list[int]  # signal, store, or node
    gate_ref2: list[int]  # RATIO: second node; PRIMED: edge; LEVEL: signal that must be true as well, or -1
    gate_a: list[float]  # CONST: opening; LEVEL: fully open at [m]; RATIO: shuts at
    gate_b: list[float]  # LEVEL: quite shut at [m]; RATIO: opens again at
    gate_c: list[float]  # LEVEL: level to fall before it opens again [m]
    gate_owner: list[int]
    # islands of the network: edges and nodes in compressed rows
    isl_edge_at: list[int]
    isl_edge: list[int]
    isl_node_at: list[int]
    isl_node: list[int]
    isl_store_at: list[int]
    isl_store: list[int]
    isl_gate: list[int]  # the pressure-ratio gate of an island, or -1
    # stores
    store_z: list[float]
    store_rim: list[float]  # volume at the rim [m3]
    store_body: list[int]
    store_rkind: list[int]
    store_rref: list[int]
    store_start: list[float]  # volume at the start [m3]
    store_owner: list[int]
    table_at: list[int]  # level table of each store: heights [m] and volumes [m3]
    table_h: list[float]
    table_v: list[float]
    body_start: list[float]  # dissolved matter [kg/m3]
    # places
    place_cap: list[float]  # litres held before water goes on [m3]; 1e30 for never
    place_next_kind: list[int]
    place_next: list[int]
    place_tau: list[float]  # in which a film on its floor dries [s]
    place_wet: list[float]  # film over its whole floor [m3]: more only stands deeper, and dries no faster
    place_out: list[int]  # the signal that its outlet into the house drain is open, or -1
    place_out_tau: list[float]  # in which a film goes while that is so [s]: it dries, and the outlet takes it
    place_owner: list[int]
    place_order: list[int]  # every place before the one it leads to
    # thresholds
    thr_kind: list[int]
    thr_ref: list[int]
    thr_on: list[float]
    thr_off: list[float]
    # counters of volume through an edge [m3], or (edge -1) of time [s], put back by a signal
    cnt_edge: list[int]
    cnt_reset: list[int]
    cnt_when: list[int]  # signal while which it counts
    # logic
    sig_op: list[int]
    sig_arg: list[float]  # delay [s], votes needed, constant, threshold or timetable number
    sig_in_at: list[int]
    sig_in: list[int]  # signal number, or -1 - number for "not"
    sig_start: list[int]
    sig_owner: list[int]
    sig_log: list[int]  # 0 not logged, 1 logged while there is room, 2 always
    # timetable
    tt_time: list[float]
    tt_sig: list[int]
    tt_value: list[int]
    # fault patches: first row of each fault in compressed rows
    fault_time: list[float]  # onset [s]; negative for "when the signal comes true"
    fault_signal: list[int]  # what it waits for if its time is below 0; negated as in sig_in
    fault_delay: list[float]
    fault_end: list[float]  # 1e30 for never
    fault_until: list[int]  # signal that puts an end to it, or -1
    patch_at: list[int]
    patch_kind: list[int]
    patch_ref: list[int]
    patch_value: list[float]


class State(NamedTuple):
    """Everything that changes in a run; made fresh for each run, so that its bytes depend on its inputs only."""

    clock: list[float]  # see C_NOW ... below
    cup: list[float]  # rates of the water that got out, by parts of the last cup [m3/s]
    volume: list[float]
    flow: list[float]
    move: list[float]  # volume moved through each edge in the step [m3]
    moved: list[float]  # and in the whole run
    pressure: list[float]
    spring: list[float]
    bit: list[int]  # gate bit
    opening: list[float]
    low: list[float]
    high: list[float]
    scale: list[float]
    source: list[float]
    passage: list[float]
    cut: list[int]  # by edge: nothing flows forward, for its tube has slipped out
    cap: list[float]  # what each place holds under the faults that stand [m3]
    at_rim: list[int]
    pool: list[float]
    pool_salt: list[float]
    pool_full: list[int]
    pool_late: list[int]  # in this step, water came in at its end only
    pool_in: list[float]
    thr_bit: list[int]
    signal: list[int]
    due: list[float]
    force: list[int]
    counter: list[float]
    salt: list[float]
    conc: list[float]
    sliding: list[int]  # island averaged over its cycling
    starts: list[float]  # gate closings that were averaged or counted
    fault_on: list[int]
    fault_due: list[float]
    asked: list[int]  # by part: something of it changed
    seen: list[int]  # by signal: 1 was false at some time, 2 was true at some time, 3 both
    meant: list[int]  # the same before a fault turned it
    ordinary: list[int]  # by signal: what it was before the first moment, without faults
    least: list[float]  # smallest and largest opening of each gate if nothing held it
    most: list[float]
    driven: list[int]  # by gate: water would have run through it, had a fault not kept it from opening
    # totals [m3] and [kg]: supply in, to drain, to air (evaporated), onto places (first receipt), dried, and their salt
    total: list[float]
    place_total: list[float]
    place_over: list[float]  # volume that went on from a place [m3]
    place_taken: list[float]  # volume that the outlet of a place took [m3]
    low_conc: list[float]
    high_conc: list[float]
    spill: list[float]  # volume over each rim [m3]
    spring_salt: list[float]  # dissolved matter held in springs, by node [kg]
    event_time: list[float]
    event_code: list[int]
    event_ref: list[int]
    event_value: list[float]
    row_time: list[float]
    row_value: list[float]
    # work space of the solver
    unknown: list[int]
    matrix: list[float]
    rhs: list[float]
    col: list[float]
    net: list[float]
    net_before: list[float]
    live: list[int]
    try_flow: list[float]
    open_edge: list[int]
    lin_y: list[float]  # linearised edges: Q = y + w (Pa - Pb) + c P[u]
    lin_w: list[float]
    lin_c: list[float]
    lin_u: list[int]
    open_flow: list[float]  # flows with the ratio gate open, while a sliding mode is worked out
    shut_flow: list[float]  # and shut
    early_flow: list[float]  # flows at the beginning of a stride [m3/s], and
    last_spring: list[float]  # how springs stood there [Pa]
    open_pressure: list[float]
    own_spring: list[float]  # springs as they stand, while a turn is tried out [Pa]
    q_start: list[float]
    end_flow: list[float]  # end of the step, kept while another question is put
    end_pressure: list[float]
    kept: list[float]  # volumes [m3], and
    kept_spring: list[float]  # springs [Pa], meanwhile
    held: list[int]  # by island: it kept its flows in the step
    solved_at: list[float]  # by entry of isl_store: volume at which its island was last solved [m3]
    net_mid: list[float]  # mean net inflow of each vessel from an island [m3/s]
    evenly: list[int]  # by island: its flows go evenly from the start of the step to its end; -1: none were found
    slid: list[int]  # and its shut-off cycled at the start of the step
    stale: list[int]  # by island: flows of the last step say nothing about the next
    dwell: list[float]  # least time between two moves of a ratio gate [s]
    flutter: list[float]
    turned: list[float]  # when each ratio gate last moved [s]
    was_open: list[float]  # opening of each gate when its island was last solved
    rate: list[float]  # stores: mean net inflow of the step; rate0 at its start [m3/s]
    rate0: list[float]
    rate_first: list[float]
    busy: list[int]  # by island: 0 every path is shut, 1 to be solved, 2 flows stay as they are
    starts_rate: list[float]  # by island [1/s]
    body_conc: list[float]  # of the water leaving each body in the step [kg/m3]
    body_next: list[float]
    body_full: list[float]  # volume of each body at the start [m3]
    body_v0: list[float]
    body_v1: list[float]
    body_in: list[float]
    body_out: list[float]
    pool_rate: list[float]
    pool_salt_in: list[float]
    vin: list[float]
    vout: list[float]
    level_p: list[float]

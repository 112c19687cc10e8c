"""A pressure regulator (reducing valve) in the house line or before the unit.

A spring on a diaphragm holds the pressure behind it where it is set, whatever stands before it. Under flow that falls a
little (droop); at rest it rises a little, until the seat is tight (lock-up). It fails mostly by creeping: grit or a
worn seat lets a thread of water by, and when nothing runs, the full pressure of the supply stands behind it, unseen. It
also fails by standing open, and by letting too little through. Where rules ask for one: above 80 psi (UPC 608.2, IRC
2021 P2903.3.1). Droop, lock-up and what it creeps by: our priors; so are its rates.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, Upkeep
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    HEIGHT,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MONTH,
    PRIOR,
    TRADE,
    disc,
    height_in_place,
    loss_of_flow,
    loss_of_hole,
    tube_ends,
    wetted,
)
from dewpond.parts.valves import flow_at_1_bar, leak_on_both_sides

DROOP = 0.3e5 / (2e-3 / 60.0)  # 0.3 bar at 2 L/min [Pa/(m3/s)]; our prior, 0.05 to 1 bar
LEAST_DROOP = 1e6  # what it falls by in any case, so that its law has a slope: 0.2 mbar at 1 L/min [Pa/(m3/s)]
CREEP = disc(0.1e-3)  # what a worn seat leaves open [m2]; our prior, 0.03 to 0.5 mm across
STUCK = 1e4  # loss of one that is stuck over that of an open one [1]; our prior, 100 to 1e6
NO_PRIOR = "no statistics are known to us"

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "set to",
        "pressure",
        "What a gauge behind it shows while a little water runs.",
        default=3e5,
        low=1e5,
        high=6e5,
        usual=(1.5e5, 5.5e5),
        find_out="Screw a gauge on behind it and let a thin stream run.",
        source=Source("as most leave the works: 3 bar, 45 to 50 psi", TRADE, 2e5, 4.5e5),
        also=("outlet pressure", "setting", "set pressure", "reduces to", "pressure"),
    ),
    Param(
        "rises at rest by",
        "pressure",
        "How much more the gauge behind it shows once nothing runs and its seat is tight.",
        default=0.3e5,
        low=0.0,
        high=2e5,
        usual=(0.0, 1e5),
        source=Source("spring and diaphragm of small ones", PRIOR, 0.1e5, 0.7e5),
        also=("lock-up", "lockup", "static rise"),
    ),
    Param(
        "falls under flow",
        "compound",
        "What the gauge falls by under a known flow: 0.3 bar at 2 L/min.",
        default=None,
        pattern="{pressure} at {flow}",
        fields=(
            Param("pressure", "pressure", "It falls by.", low=0.0, high=4e5, usual=(1e3, 2e5)),
            Param("flow", "flow", "At this flow.", low=0.1e-3 / 60.0, high=60e-3 / 60.0, usual=(0.5e-3 / 60.0, 0.5e-3)),
        ),
        source=Source("left out: 0.3 bar at 2 L/min", PRIOR, 0.05e5, 1e5),
        also=("droop", "fall-off", "falloff"),
    ),
    flow_at_1_bar(
        15e-3 / 60.0,
        (1e-3 / 60.0, 200e-3 / 60.0),
        (3e-3 / 60.0, 100e-3 / 60.0),
        Source("small bodies of 1/4 to 3/8 in, quite open: a Kv of 0.9", PRIOR, 5e-3 / 60.0, 40e-3 / 60.0),
    ),
    BEARS,
    wetted(None),
    tube_ends(2),
    Param("looked at on", "date", "When its strainer was cleaned and the gauge behind it read last.", default=None),
)

FAULTS = (
    Fault(
        "creeps",
        "latent",
        "Its seat is not tight: when nothing runs, the full pressure of the supply stands behind it.",
        "a gauge behind it at night, or after an hour in which nothing ran",
        Rate(0.03, "per year", 5.0, Source(NO_PRIOR, PRIOR, 0.006, 0.15)),
    ),
    Fault(
        "stands open",
        "latent",
        "Its diaphragm or spring has given way: it reduces nothing, whether water runs or not.",
        "a gauge behind it that follows the supply",
        Rate(0.005, "per year", 5.0, Source(NO_PRIOR, PRIOR, 0.001, 0.025)),
    ),
    Fault(
        "stuck",
        "latent",
        "It is stuck or its strainer is choked: it lets too little through.",
        "a gauge behind it that falls away as soon as water runs; fills that take longer",
        Rate(0.02, "per year", 5.0, Source(NO_PRIOR, PRIOR, 0.004, 0.1)),
    ),
    *JOINT_FAULTS,
)


def droop(p: PartView) -> float:
    """What it falls by with the flow [Pa/(m3/s)]."""
    told = p["falls under flow"]
    return max(told["pressure"] / told["flow"] if told else DROOP, LEAST_DROOP)


def lower(p: PartView, b: Lowering) -> None:
    """The regulator, and beside it what its faults leave open."""
    z = height_in_place(p, b)
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    wide = loss_of_flow(p["flow at 1 bar"], 1e5)
    way = b.regulator(inlet, outlet, p["set to"], droop(p), p["rises at rest by"], wide)
    thread, whole = b.gate_leak(), b.gate_leak()
    b.orifice(inlet, outlet, loss_of_hole(CREEP), thread)
    b.orifice(inlet, outlet, wide, whole)
    b.fault("creeps", [("low", thread, 1.0)])
    b.fault("stands open", [("low", whole, 1.0)])
    b.fault("stuck", [("scale", way, STUCK)])
    leak_on_both_sides(p, b, inlet, outlet, z)


def check(p: PartView) -> list[Finding]:
    """What it falls by at a flow is less than what it is set to."""
    told = p["falls under flow"]
    if told is None or told["pressure"] < p["set to"]:
        return []
    what = "By what it falls under flow, nothing would be left of what it is set to."
    remedy = "Read the gauge behind it at rest and under flow: 'falls under flow' is the difference, with the flow."
    return [Finding("regulator-falls", "error", p.name, what, remedy, key="falls under flow")]


KIND = Kind(
    word="pressure regulator",
    also=("reducing valve", "pressure reducing valve", "pressure reducer", "PRV"),
    section="water",
    role="line",
    summary="A valve that holds the pressure behind it where it is set, however high it stands before it.",
    fails="It creeps: full pressure stands behind it when nothing runs. It stands open, is stuck, or leaks at a joint.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "gauge at night",
            "Screw a gauge that keeps its highest reading on behind it. Let water run, shut everything, and read it at "
            "once, after an hour and in the morning.",
            "It rises at once by what it rose by last time, and stays there until the morning.",
            6.0 * MONTH,
        ),
        ProofTest(
            "gauge under flow",
            "Read the gauge behind it while the unit makes water, and with a tap behind it open.",
            "It falls by no more than last time, and comes back as soon as the tap is shut.",
            12.0 * MONTH,
        ),
    ),
    upkeep=(
        Upkeep(
            "Clean its strainer, and read the gauge behind it at rest and under flow.", 12.0 * MONTH, "looked at on"
        ),
    ),
    symbol='<path d="M0 14 H10 M30 14 H40 M10 8 L30 20 V8 L10 20 Z M20 14 V8 M14 8 Q20 2 26 8 Z M17 4 L23 2" '
    'fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="regulator: {kind: pressure regulator, after: stop tap, in: laundry, set to: 3 bar, "
    "falls under flow: 0.3 bar at 2 L/min}",
    cautions=(
        "Shut the water and let the pressure out before you unscrew it or a gauge.",
        "In the house line it is a plumber's work in many places: check with the local code.",
        "What stands behind it must bear the supply's full pressure: that comes when it creeps.",
        "Mind its arrow: turned round it does not hold.",
    ),
    notes=(
        (
            "Behind it stands what it is set to, less its droop in proportion to the flow; below 0.05 L/min it rises, "
            "up to its rise at rest. Where less than that comes, it is an open valve."
        ),
        "What it holds does not follow the pressure before it; that of a cheap one does, by some hundredths.",
        "It is reckoned as letting no water back, but nobody should count on it: it is no check valve.",
        "Left out, it falls by 0.3 bar at 2 L/min (our prior, 0.05 to 1 bar).",
        (
            "One that creeps is open by a hole of 0.1 mm (our prior, 0.03 to 0.5 mm); one that is stuck takes 10 000 "
            "times what an open one does (our prior, 100 to a million times)."
        ),
        (
            "Behind one that creeps, the shut-off of a unit opens again and again as the pressure comes up, and waste "
            "runs: faster than a run follows, so reckoned as open half the time, which is on the high side."
        ),
        JOINT_NOTE,
    ),
)

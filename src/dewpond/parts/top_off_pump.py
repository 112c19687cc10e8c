"""A small centrifugal pump that lifts purified water from a reservoir into a sump or tank.

A stopped centrifugal pump is an open pipe: once it has run, its tube is full, and water goes on running by itself
towards the lower end (an air gap at the outlet does not stop that; a vent hole above the water does, until it clogs).
It fails by running on, by not running, and at its joints. Rates: motor pumps of NUREG/CR-6928 (2020 update,
second-hand) doubled; running on our prior.
"""

from __future__ import annotations

import math

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Source
from dewpond.parts.cables import CABLE, MOTOR, draws
from dewpond.parts.plumbing import (
    DRIVEN_BY,
    IN_IF_ELSEWHERE,
    JOINT_FAULTS,
    JOINT_NOTE,
    MONTH,
    POWER,
    PRIOR,
    THROUGH,
    TRADE,
    TUBE_SOURCE,
    TUBES,
    WATER,
    leak_at_joints,
    loss_of_heads,
    tube_ends,
)
from dewpond.parts.pumping import (
    DOES_NOT_RUN,
    DRY_BELOW,
    FLOW,
    FROM,
    OUTLET,
    RUNS_ON,
    TO,
    Drawing,
    drawing,
    under_water,
)
from dewpond.physics.pipes import FREE_OUTLET, SHARP_ENTRY, tube_pressure_drop
from dewpond.physics.water import G

VENT, NO_VENT = "present", "absent"
ROOM_VISCOSITY = 1.0e-3  # of water at 20 C, for the tube's loss at the flow measured [Pa.s]
MOST = 0.98  # part of its greatest head that its usual flow may use [1]
STOPPED_HEADS = 3.0  # velocity heads lost in a stopped pump [1]; our prior, 1 to 10

PARAMS = (
    FROM,
    TO,
    IN_IF_ELSEWHERE,
    FLOW,
    OUTLET,
    Param(
        "lifts at most",
        "length",
        "Greatest height to which it lifts water: hold the tube up until nothing comes.",
        default=1.5,
        low=0.05,
        high=20.0,
        also=("head", "max head", "lift"),
        usual=(0.3, 6.0),
        source=Source("small submersible pumps", TRADE, 0.6, 3.0),
    ),
    Param("tube", "word", "Size of its tube.", default="8x6", words=tuple(TUBES), source=TUBE_SOURCE),
    Param(
        "tube length",
        "length",
        "Length of its tube.",
        default=2.0,
        low=0.1,
        high=50.0,
        also=("length", "hose length"),
        usual=(0.2, 15.0),
        source=Source("from a reservoir beside the cabinet", PRIOR, 1.0, 5.0),
    ),
    Param(
        "vent hole above the water",
        "word",
        "A small hole in its tube above every water level, which lets air in when it stops.",
        default=NO_VENT,
        words=(VENT, NO_VENT),
    ),
    DRY_BELOW,
    DRIVEN_BY,
    THROUGH,
    POWER,
    CABLE,
    draws(MOTOR),
    tube_ends(2),
)

FAULTS = (
    RUNS_ON,
    DOES_NOT_RUN,
    Fault(
        "vent hole clogged",
        "latent",
        "Salt or slime has closed the vent hole: water runs on by itself after the pump has stopped.",
        "the fine jet from the hole is missing while it runs",
    ),
    *JOINT_FAULTS,
)


def free_flow(p: PartView, lift: float) -> float:
    """Flow of the pump against nothing [m3/s], from its flow measured at a lift [m], on a curve H (1 - (Q/Qm)^2)."""
    flow, bore = p["flow"], TUBES[p["tube"]][1]
    loss = tube_pressure_drop(flow, bore, p["tube length"], SHARP_ENTRY + FREE_OUTLET, WATER, ROOM_VISCOSITY)
    used = (WATER * G * lift + loss) / (WATER * G * p["lifts at most"])
    return float(flow / math.sqrt(1.0 - min(used, MOST)))


def lower(p: PartView, b: Lowering) -> None:
    """The pump while it is told to run; the open pipe it is when stopped; its tube to the outlet."""
    bore, below = TUBES[p["tube"]][1], b.vessel(p["from"])
    draws = drawing(p, b)
    z, out = draws.inlet, b.height(p, p["outlet"], p["to"])
    joint = b.port("out", z)
    lift = out - below.bottom - below.start
    wet = under_water(p, b, draws, also=draws.running)
    head, most = WATER * G * p["lifts at most"], free_flow(p, lift)
    b.pump(draws.tap, joint, head, most, wet)
    b.tube(joint, b.spout(p["to"], out), bore, p["tube length"], SHARP_ENTRY + FREE_OUTLET)
    _passive(p, b, draws, joint, head / (most * most))
    leak_at_joints(b, joint, z, draws.place, p["tube ends"], bore)


def _passive(p: PartView, b: Lowering, draws: Drawing, joint: int, still: float) -> None:
    """Through the stopped pump: full of water once it has run, as long as its inlet is, and not vented.

    ``still``: what the impeller at rest resists [Pa/(m3/s)2]; by the affinity laws H = -k Q^2 at no speed, with the k
    by which its curve falls. So it never lets more run through than while it runs.
    """
    k = loss_of_heads(STOPPED_HEADS, TUBES[p["tube"]][1])
    inlet = b.junction(draws.inlet)
    b.orifice(draws.tap, inlet, k, under_water(p, b, draws))
    if p["vent hole above the water"] == NO_VENT:
        b.orifice(inlet, joint, still, b.gate_primed(draws.running))
        return
    clogged, behind = b.gate_leak(), b.junction(draws.inlet)
    b.orifice(inlet, behind, still, b.gate_primed(draws.running))
    b.orifice(behind, joint, k, clogged)
    b.fault("vent hole clogged", [("low", clogged, 1.0)])


KIND = Kind(
    word="top-off pump",
    also=("pump", "refill pump", "top-up pump", "feed pump"),
    section="water",
    role="line",
    summary="A small pump that replaces what has evaporated, from the reservoir into the sump or tank.",
    fails="It runs on, does not run, leaks at its tube, or water goes on running through it after it has stopped.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    tests=(
        ProofTest(
            "siphon",
            "Let it run, stop it, and watch the outlet. Do it with the reservoir full and the sump as low as it gets.",
            "The stream ends at once, and no more than a few drops follow in ten minutes.",
            6.0 * MONTH,
        ),
        ProofTest(
            "jug",
            "Pump into a jug for a minute, with the tube's end at its usual height.",
            "Within a fifth of the last time.",
            6.0 * MONTH,
        ),
    ),
    symbol='<path d="M0 10 H12 M28 10 H40" stroke="currentColor" stroke-width="2"/>'
    '<circle cx="20" cy="10" r="8" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M16 5 L28 10 L16 15 Z" fill="currentColor"/>',
    example="top-off pump: {kind: top-off pump, from: reservoir, to: big sump, flow: 60 L/h, "
    "outlet: 45 cm above floor, driven by: level box}",
    cautions=(
        "Unplug it before you put a hand into the water; its lead hangs in a loop below its socket.",
        "An outlet above the water does not stop a reservoir that stands higher from running out through the pump.",
        "Point a vent hole into the vessel: it sprays while the pump runs.",
    ),
    notes=(
        "Its curve falls evenly with the square of the flow, through the flow measured and its greatest height.",
        "When the reservoir is below the pump's inlet, nothing runs through the stopped pump either way.",
        "A stopped pump resists as its curve falls (affinity laws); its inlet 3 velocity heads (our prior, 1 to 10).",
        JOINT_NOTE,
    ),
)

"""A small centrifugal pump that lifts purified water from a reservoir into a sump or tank.

A stopped centrifugal pump is an open pipe: once it has run, its tube is full, and water goes on running by itself
towards the lower end (an air gap at the outlet does not stop that; a vent hole above the water does, until it clogs).
It fails by running on, by not running, and at its joints. Rates: motor pumps of NUREG/CR-6928 (2020 update,
second-hand) doubled; running on our prior.
"""

from __future__ import annotations

import math

from dewpond.parts.base import Fault, Kind, Level, Lowering, Param, PartView, Port, ProofTest, Rate, Source
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
    circuit_of,
    leak_at_joints,
    loss_of_heads,
    powered,
    tube_ends,
)
from dewpond.physics.pipes import FREE_OUTLET, SHARP_ENTRY, tube_pressure_drop
from dewpond.physics.water import G

VENT, NO_VENT = "present", "absent"
ROOM_VISCOSITY = 1.0e-3  # of water at 20 C, for the tube's loss at the flow measured [Pa.s]
MOST = 0.98  # part of its greatest head that its usual flow may use [1]
STOPPED_HEADS = 3.0  # velocity heads lost in a stopped pump [1]; our prior, 1 to 10
DRY_BAND = 5e-3  # level above "dry below" at which it draws all it can [m]
NO_MORE = 0.2  # part of that band at which it counts as drawing no more: the last of it is never quite drawn [1]

PARAMS = (
    Param(
        "from",
        "part",
        "The reservoir it draws from.",
        roles=("vessel",),
        also=("after", "source", "draws from"),
    ),
    Param(
        "to",
        "part",
        "The sump or tank it fills.",
        roles=("vessel",),
        also=("fills", "into", "leads to"),
    ),
    IN_IF_ELSEWHERE,
    Param(
        "flow",
        "flow",
        "What comes out of its tube: a jug and a clock, with the tube where it always is.",
        low=0.1e-3 / 3600.0,
        high=2000e-3 / 3600.0,
        also=("pump rate", "output", "delivers"),
        usual=(0.2e-3 / 3600.0, 600e-3 / 3600.0),
    ),
    Param(
        "outlet",
        "level",
        "Height of the end of its tube, where the water comes out.",
        also=("outlet height", "height", "end of the tube"),
        usual=(0.0, 2.5),
        bare="",
    ),
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
    Param(
        "dry below",
        "level",
        "Level in the reservoir below which it draws air.",
        also=("draws air below", "inlet", "inlet height"),
        default=Level(0.02, "bottom"),
        source=Source("the height of its inlet", PRIOR, 0.01, 0.04),
    ),
    DRIVEN_BY,
    THROUGH,
    POWER,
    tube_ends(2),
)

FAULTS = (
    Fault(
        "runs on",
        "latent",
        "It runs although it was told to stop, as long as it has power.",
        "the stop test: order it stopped while it runs",
        Rate(0.01, "per year", 5.0, Source("the pump itself, without its sensor and relay", PRIOR, 0.002, 0.05)),
    ),
    Fault(
        "does not run",
        "latent",
        "It does not pump: worn, jammed or burnt out.",
        "a level that only falls",
        Rate(
            0.15,
            "per year",
            3.0,
            Source(
                "motor pump fails to run 8.1e-6 an hour (NUREG/CR-6928, second-hand), times 2", "derived", 0.05, 0.45
            ),
        ),
    ),
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
    source, bore = p["from"], TUBES[p["tube"]][1]
    below = b.vessel(source)
    place = p["in"] or below.place
    order = b.later()
    circuit = circuit_of(p, b)
    running = b.all(order, powered(circuit, b), b.plugged())
    dry = b.vessel_level(source, p["dry below"])
    z, out = below.bottom + dry, b.height(p, p["outlet"], p["to"])
    tap, joint = b.tap(source), b.port("out", z)
    wet = b.gate_level(source, dry + DRY_BAND, dry, also=running)
    b.pump(tap, joint, WATER * G * p["lifts at most"], free_flow(p, out - below.bottom - below.start), wet)
    b.tube(joint, b.spout(p["to"], out), bore, p["tube length"], SHARP_ENTRY + FREE_OUTLET)
    _passive(p, b, tap, joint, running, dry, z)
    b.actuator("stopped", "running", circuit, lambda signal: b.define(order, signal))
    b.say(running, f"{p.name} starts", f"{p.name} stops")
    nothing_left = b.no(b.level_above(source, dry + DRY_BAND, dry + NO_MORE * DRY_BAND))
    b.tally("reservoir empty", nothing_left)
    b.say(b.all(running, nothing_left), f"{p.name} draws air: {source} is empty", kind="harm")
    b.fault("runs on", [("force", order, 1.0)])
    b.fault("does not run", [("force", order, 0.0)])
    leak_at_joints(b, joint, z, place, p["tube ends"], bore)


def _passive(p: PartView, b: Lowering, tap: int, joint: int, running: int, dry: float, z: float) -> None:
    """Around the stopped pump: full of water once it has run, as long as its inlet is, and not vented."""
    k = loss_of_heads(STOPPED_HEADS, TUBES[p["tube"]][1])
    inlet = b.junction(z)
    b.orifice(tap, inlet, k, b.gate_level(p["from"], dry + DRY_BAND, dry))
    if p["vent hole above the water"] == NO_VENT:
        b.orifice(inlet, joint, k, b.gate_primed(running))
        return
    clogged, behind = b.gate_leak(), b.junction(z)
    b.orifice(inlet, behind, k, b.gate_primed(running))
    b.orifice(behind, joint, k, clogged)
    b.fault("vent hole clogged", [("low", clogged, 1.0)])


KIND = Kind(
    word="top-off pump",
    also=("pump", "refill pump", "dosing pump", "top-up pump", "feed pump", "peristaltic pump"),
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
        "A stopped pump takes 3 velocity heads of its tube (our prior, 1 to 10).",
        JOINT_NOTE,
    ),
)

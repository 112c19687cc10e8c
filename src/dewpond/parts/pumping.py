"""What the pumps share that lift water from one vessel into another: keys, orders, drawing air, running on or not.

A stopped centrifugal pump is an open pipe: once it has run, its tube is full, and water goes on running by itself
towards the lower end (an air gap at the outlet does not stop that; a vent hole above the water does, until it clogs).
Rates: motor pumps of NUREG/CR-6928 (2020 update, second-hand) doubled; running on our prior.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from dewpond.parts.base import Fault, Level, Lowering, Param, PartView, Rate, Source
from dewpond.parts.plumbing import (
    PRIOR,
    TRADE,
    TUBE_SOURCE,
    TUBES,
    WATER,
    circuit_of,
    leak_at_joints,
    loss_of_heads,
    powered,
)
from dewpond.physics.pipes import FREE_OUTLET, SHARP_ENTRY, tube_pressure_drop
from dewpond.physics.water import G

VENT, NO_VENT = "present", "absent"
ROOM_VISCOSITY = 1.0e-3  # of water at 20 C, for the tube's loss at the flow measured [Pa.s]
MOST = 0.98  # part of its greatest head that its usual flow may use [1]
STOPPED_HEADS = 3.0  # velocity heads lost in a stopped pump [1]; our prior, 1 to 10
DRY_BAND = 5e-3  # level above "dry below" at which it draws all it can [m]
NO_MORE = 0.2  # part of that band at which it counts as drawing no more: the last of it is never quite drawn [1]

FROM = Param(
    "from",
    "part",
    "The reservoir it draws from.",
    roles=("vessel",),
    also=("after", "source", "draws from"),
)
TO = Param(
    "to",
    "part",
    "The sump or tank it fills.",
    roles=("vessel",),
    also=("fills", "into", "leads to"),
)
FLOW = Param(
    "flow",
    "flow",
    "What comes out of its tube: a jug and a clock, with the tube where it always is.",
    low=0.1e-3 / 3600.0,
    high=2000e-3 / 3600.0,
    also=("pump rate", "output", "delivers"),
    usual=(0.2e-3 / 3600.0, 600e-3 / 3600.0),
)
OUTLET = Param(
    "outlet",
    "level",
    "Height of the end of its tube, where the water comes out.",
    also=("outlet height", "height", "end of the tube"),
    usual=(0.0, 2.5),
    bare="",
)
DRY_BELOW = Param(
    "dry below",
    "level",
    "Level in the reservoir below which it draws air.",
    also=("draws air below", "inlet", "inlet height"),
    default=Level(0.02, "bottom"),
    source=Source("the height of its inlet", PRIOR, 0.01, 0.04),
)
LIFTS = Param(
    "lifts at most",
    "length",
    "Greatest height to which it lifts water: hold the tube up until nothing comes.",
    default=1.5,
    low=0.05,
    high=20.0,
    also=("head", "max head", "lift"),
    usual=(0.3, 6.0),
    source=Source("small submersible pumps", TRADE, 0.6, 3.0),
)
TUBE = Param("tube", "word", "Size of its tube.", default="8x6", words=tuple(TUBES), source=TUBE_SOURCE)
TUBE_LENGTH = Param(
    "tube length",
    "length",
    "Length of its tube.",
    default=2.0,
    low=0.1,
    high=50.0,
    also=("length", "hose length"),
    usual=(0.2, 15.0),
    source=Source("from a reservoir beside the cabinet", PRIOR, 1.0, 5.0),
)
VENT_HOLE = Param(
    "vent hole above the water",
    "word",
    "A small hole in its tube above every water level, which lets air in when it stops.",
    default=NO_VENT,
    words=(VENT, NO_VENT),
)

VENT_CLOGGED = Fault(
    "vent hole clogged",
    "latent",
    "Salt or slime has closed the vent hole: water runs on by itself after the pump has stopped.",
    "the fine jet from the hole is missing while it runs",
)
RUNS_ON = Fault(
    "runs on",
    "latent",
    "It runs although what drives it tells it to stop, as long as it has power: a relay in its lead still cuts that.",
    "the stop test: order it stopped while it runs",
    Rate(0.01, "per year", 5.0, Source("the pump itself, without its sensor and relay", PRIOR, 0.002, 0.05)),
)
DOES_NOT_RUN = Fault(
    "does not run",
    "latent",
    "It does not pump: worn, jammed or burnt out.",
    "a level that only falls",
    Rate(
        0.15,
        "per year",
        3.0,
        Source("motor pump fails to run 8.1e-6 an hour (NUREG/CR-6928, second-hand), times 2", "derived", 0.05, 0.45),
    ),
)


class Drawing(NamedTuple):
    """A pump that runs and where it draws: signals, a node, a level above the vessel's bottom, heights [m]."""

    running: int
    tap: int
    dry: float
    inlet: float  # of the datum
    place: str


def drawing(p: PartView, b: Lowering) -> Drawing:
    """The order, the power and the plug of a pump that a box or its circuit runs, and the faults of its running: only
    what is told to stop can run on."""
    order, lead = b.later(), b.later()
    circuit = circuit_of(p, b)
    running = b.all(order, lead, powered(circuit, b), b.plugged())

    def follow(ordered: int, let: int) -> None:
        b.define(order, ordered)
        b.define(lead, let)

    b.actuator("stopped", "running", circuit, follow)
    if p["driven by"]:
        b.fault(RUNS_ON.name, [("force", order, 1.0)])
    b.fault(DOES_NOT_RUN.name, [("force", order, 0.0)])
    return _tied(p, b, running)


def drawing_by_hand(p: PartView, b: Lowering, switched_on: int) -> Drawing:
    """The same of a pump that somebody switches: it runs while it is switched on and has power, if it does at all."""
    works = b.any(b.always(True))
    b.fault(DOES_NOT_RUN.name, [("force", works, 0.0)])
    return _tied(p, b, b.all(switched_on, works, powered(str(p["power"] or ""), b), b.plugged()))


def _tied(p: PartView, b: Lowering, running: int) -> Drawing:
    """What ties a pump to its vessel, and what is told of it."""
    source = p["from"]
    below = b.vessel(source)
    dry = b.vessel_level(source, p["dry below"])
    b.say(running, f"{p.name} starts", f"{p.name} stops")
    nothing_left = b.no(b.level_above(source, dry + DRY_BAND, dry + NO_MORE * DRY_BAND))
    b.tally("reservoir empty", source, nothing_left)
    b.say(b.all(running, nothing_left), f"{p.name} draws air: {source} is down to its inlet", kind="harm")
    return Drawing(running, b.tap(source), dry, below.bottom + dry, p["in"] or below.place)


def under_water(p: PartView, b: Lowering, draws: Drawing, also: int | None = None) -> int:
    """A gate that is open while the inlet is under water, and while the signal ``also`` is true."""
    return b.gate_level(p["from"], draws.dry + DRY_BAND, draws.dry, also=also)


def free_flow(p: PartView, lift: float, bore: float) -> float:
    """Flow of the pump against nothing [m3/s], from its flow measured at a lift [m], on a curve H (1 - (Q/Qm)^2)."""
    flow = p["flow"]
    loss = tube_pressure_drop(flow, bore, p["tube length"], SHARP_ENTRY + FREE_OUTLET, WATER, ROOM_VISCOSITY)
    used = (WATER * G * lift + loss) / (WATER * G * p["lifts at most"])
    return float(flow / math.sqrt(1.0 - min(used, MOST)))


def centrifugal(p: PartView, b: Lowering, draws: Drawing, bore: float) -> None:
    """The pump while it runs; the open pipe it is when stopped; its tube of a ``bore`` [m] to the outlet, and the
    joints of that."""
    below = b.vessel(p["from"])
    z, out = draws.inlet, b.height(p, p["outlet"], p["to"])
    joint = b.port("out", z)
    lift = out - below.bottom - below.start
    wet = under_water(p, b, draws, also=draws.running)
    head, most = WATER * G * p["lifts at most"], free_flow(p, lift, bore)
    b.pump(draws.tap, joint, head, most, wet)
    b.tube(joint, b.spout(p["to"], out), bore, p["tube length"], SHARP_ENTRY + FREE_OUTLET)
    _passive(p, b, draws, joint, bore, head / (most * most))
    leak_at_joints(b, joint, z, draws.place, p["tube ends"], bore)


def _passive(p: PartView, b: Lowering, draws: Drawing, joint: int, bore: float, still: float) -> None:
    """Through the stopped pump: full of water once it has run, as long as its inlet is, and not vented.

    ``still``: what the impeller at rest resists [Pa/(m3/s)2]; by the affinity laws H = -k Q^2 at no speed, with the k
    by which its curve falls. So it never lets more run through than while it runs.
    """
    k = loss_of_heads(STOPPED_HEADS, bore)
    inlet = b.junction(draws.inlet)
    b.orifice(draws.tap, inlet, k, under_water(p, b, draws))
    if p["vent hole above the water"] == NO_VENT:
        b.orifice(inlet, joint, still, b.gate_primed(draws.running))
        return
    clogged, behind = b.gate_leak(), b.junction(draws.inlet)
    b.orifice(inlet, behind, still, b.gate_primed(draws.running))
    b.orifice(behind, joint, k, clogged)
    b.fault(VENT_CLOGGED.name, [("low", clogged, 1.0)])

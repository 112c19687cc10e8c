"""A strong pump that moves water from one vessel into another: from a storage bin into a mixing vessel or a reservoir.

It is no top-off pump: somebody hangs its hose over a rim, switches it on, and means to come back. Forgotten, it empties
the one and runs over the other within minutes; stopped, with the end of its hose left low or under water, it is an open
pipe, and water goes on running by itself to where it stands lower, either way. How often it is forgotten: omissions
0.003 to 0.01 (THERP, from memory), 0.02 (HEART, second-hand). Law and rates: see ``pumping``.
"""

from __future__ import annotations

from dataclasses import replace

from dewpond.parts.base import Fault, Kind, Level, Lowering, Param, PartView, Port, ProofTest, Source
from dewpond.parts.plumbing import (
    DRIVEN_BY,
    IN_IF_ELSEWHERE,
    JOINT_FAULTS,
    JOINT_NOTE,
    LEFT_BY_HAND,
    MONTH,
    POWER,
    PRIOR,
    THROUGH,
    TRADE,
    left_running,
    tube_ends,
)
from dewpond.parts.pumping import (
    DOES_NOT_RUN,
    DRY_BELOW,
    FLOW,
    FROM,
    LIFTS,
    OUTLET,
    RUNS_ON,
    TO,
    TUBE_LENGTH,
    VENT_CLOGGED,
    VENT_HOLE,
    centrifugal,
    drawing,
    drawing_by_hand,
)

HOUR, MINUTE = 3600.0, 60.0

PARAMS = (
    replace(FROM, help="The vessel it draws from."),
    replace(TO, help="The vessel it fills."),
    IN_IF_ELSEWHERE,
    replace(FLOW, low=5e-3 / HOUR, high=20.0 / HOUR, usual=(50e-3 / HOUR, 6.0 / HOUR)),
    replace(OUTLET, help="Height of the end of its hose where it hangs while it pumps, and after."),
    replace(
        LIFTS, default=3.0, usual=(0.5, 10.0), source=Source("small utility and return pumps", TRADE, 1.5, 7.0)
    ),
    Param(
        "hose bore", "bore", "Inside diameter of its hose.", default=16e-3, low=4e-3, high=50e-3, usual=(8e-3, 40e-3),
        source=Source("a hose of 5/8 in", TRADE, 12e-3, 25e-3), also=("hose", "tube", "bore", "hose size"),
    ),
    replace(
        TUBE_LENGTH, help="Length of its hose.", default=3.0, also=("length", "hose length"),
        source=Source("from a bin to a vessel beside it", PRIOR, 1.0, 10.0),
    ),
    VENT_HOLE,
    replace(DRY_BELOW, default=Level(0.03, "bottom"), help="Level in that vessel below which it draws air."),
    replace(
        DRIVEN_BY,
        help="The controller or relay whose orders it obeys; left out: it runs while the timer in its `power` gives it "
        "power, or, without a timer, somebody switches it by hand.",
    ),
    Param(
        "runs for", "duration", "How long somebody lets it run who switches it by hand, and does not forget it.",
        default=10.0 * MINUTE, low=5.0, high=24.0 * HOUR, usual=(MINUTE, 3.0 * HOUR), also=("usually runs", "lasts"),
        source=Source("a vessel filled while one stands beside it", PRIOR, 2.0 * MINUTE, HOUR),
    ),
    THROUGH,
    replace(POWER, help="The power circuit of its socket; left out: that of what drives it, or, by hand, one that is "
            "never dead."),
    tube_ends(1),
)  # fmt: skip

LEFT_RUNNING = Fault(
    "left running", "initiator",
    "Somebody has switched it on and has forgotten it: it pumps until the one vessel is empty or somebody comes.",
    "a kitchen timer in the pocket of whoever switches it on, or a timer in its lead",
    LEFT_BY_HAND,
)  # fmt: skip
LEFT_IN = Fault(
    "hose left in", "event",
    "It is run for its time and stopped by hand, its hose left where it hangs: water may run on through it by itself.",
    "look at both vessels a few minutes after it has stopped",
)  # fmt: skip


def switched_on(p: PartView, b: Lowering) -> int:
    """The signal that a hand has switched it on: to forget it, or for its time and then to forget the hose."""
    left = left_running(b, LEFT_RUNNING.name, f"{p.name} is switched off by hand")
    used = b.any(b.always(False))
    b.fault(LEFT_IN.name, [("force", used, 1.0)])
    return b.any(left, b.all(used, b.no(b.on_delay(used, p["runs for"]))))


def lower(p: PartView, b: Lowering) -> None:
    """A centrifugal pump that a box, a timer or a hand switches."""
    by_itself = p["driven by"] or b.switched(str(p["power"] or ""))
    draws = drawing(p, b) if by_itself else drawing_by_hand(p, b, switched_on(p, b))
    centrifugal(p, b, draws, p["hose bore"])


KIND = Kind(
    word="transfer pump",
    also=("utility pump", "mixing pump", "submersible pump", "drain pump", "sump pump"),
    section="water",
    role="line",
    summary="A strong pump that moves water from one vessel into another through a hose, by a hand's switch or a box.",
    fails="It is left running, does not run, leaks at its hose, or water runs on through it after it has stopped.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=(LEFT_RUNNING, LEFT_IN, RUNS_ON, DOES_NOT_RUN, VENT_CLOGGED, *JOINT_FAULTS),
    lower=lower,
    tests=(
        ProofTest(
            "stop it and wait",
            "Run it into the vessel as you always do, stop it, leave the hose where it hangs, and come back after ten "
            "minutes.",
            "Both levels stand where they stood when it stopped.",
            6.0 * MONTH,
        ),
    ),
    symbol='<path d="M0 14 H10 M30 6 H40 V12" fill="none" stroke="currentColor" stroke-width="3"/>'
    '<path d="M10 6 H24 L30 2 V10 L24 18 H10 Z" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M14 8 L21 12 L14 16 Z" fill="currentColor"/>',
    example="salt filler: {kind: transfer pump, from: bin, to: salt bin, flow: 900 L/h, outlet: 70 cm above floor, "
    "power: laundry circuit}",
    cautions=(
        "Put it behind a residual-current device, and unplug it before you put a hand into the water.",
        "Stay beside it, or plug it into a timer: it moves a bucket in a minute.",
        "Lift the end of the hose out of the water before you stop it, and hang it above both vessels.",
        "One that can empty a bin must not be able to overfill what it fills: compare what both hold.",
    ),
    notes=(
        "By hand it runs only in its faults: an ordinary fill, watched to its end, moves water and is no failure.",
        "Left running, it goes on until its inlet draws air, its power goes, or whoever acts switches it off.",
        "What it runs dry is not followed: many burn out within the hour.",
        "Its hose hangs as written from the start to the end, and once it has run it stays full.",
        "Its curve falls evenly with the square of the flow, through the flow measured and its greatest height.",
        "A stopped pump resists as its curve falls (affinity laws); its inlet 3 velocity heads (our prior, 1 to 10).",
        JOINT_NOTE,
    ),
)

"""A ball valve that a small motor turns through a gear, by the orders of a controller.

It takes seconds to turn, and goes on passing while it does. What it does without power is decided by what turns it
back: a spring, a capacitor that has stored one turn, or nothing. Quite shut it is tight, and it needs no pressure to
work. It fails by sticking where it stands after months at rest (scale, salt creep), by a gear that strips, by a
capacitor that has dried out - which shows only in a power cut - and at its seat and joints. No statistics of small
motor valves are known to us, so that no rates are given but those of the joints.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Source
from dewpond.parts.cables import CABLE, MOTOR, draws
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    BRASS,
    DRIVEN_BY,
    HEIGHT,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MEMORY,
    MONTH,
    POWER,
    THROUGH,
    driven,
    height_in_place,
    loss_of_flow,
    tube_ends,
    wetted,
)
from dewpond.parts.valves import BALL_FLOW, OPEN, SHUT, STAYS, leak_on_both_sides, obeys

SPRING, CAPACITOR, SPRING_OPENS = f"{SHUT} by a spring", f"{SHUT} by a capacitor", f"{OPEN} by a spring"
SEAT_LEAK = 0.002  # opening of a scratched seat: about 3 L/h at 4 bar through the default valve [1]; our prior

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "without power",
        "word",
        "What it does when its power goes, and by what: a spring or a stored charge turns it, or nothing does.",
        words=(SPRING, CAPACITOR, STAYS, SPRING_OPENS),
        unknown=(STAYS, SPRING, SPRING_OPENS),
        find_out="Unplug it while water runs, wait a minute, look; let it be shut, unplug it, look. Whether a "
        "spring or a capacitor turns it stands on its sheet.",
        also=("power off", "when unpowered", "fail position", "auto return"),
    ),
    Param(
        "turning time",
        "duration",
        "From the order until it is quite shut: count the seconds.",
        default=10.0,
        low=0.2,
        high=300.0,
        usual=(2.0, 60.0),
        source=Source("5 to 15 s for a quarter turn of small ones", MEMORY, 5.0, 15.0),
        also=("closes in", "closing time", "running time", "stroke time"),
    ),
    BALL_FLOW,
    DRIVEN_BY,
    THROUGH,
    POWER,
    CABLE,
    draws(MOTOR),
    BEARS,
    wetted(BRASS),
    tube_ends(2),
)

SHUT_TEST = "order it shut while water runs, and watch the flow"
FAULTS = (
    Fault(
        "stuck where it is",
        "latent",
        "The ball sits fast: whatever is ordered, it stays as it stood.",
        SHUT_TEST,
    ),
    Fault(
        "does not close",
        "latent",
        "It stays open, or opens, whatever it is told.",
        SHUT_TEST,
    ),
    Fault("does not open", "latent", "It stays shut, or shuts, whatever it is told.", "no water"),
    Fault(
        "gear stripped",
        "latent",
        "The motor turns and the ball does not: it stays as it stood, though its pointer or lamp may say otherwise.",
        "the flow, not the pointer, while it is ordered shut",
    ),
    Fault(
        "capacitor tired",
        "latent",
        "Its capacitor holds no charge for a turn any more: without power it stays as it is.",
        "unplug it while water runs, and watch the flow",
    ),
    Fault(
        "seat leaks",
        "latent",
        "Shut, it lets some litres an hour through.",
        "order it shut, and catch what comes out behind it for ten minutes",
    ),
    *JOINT_FAULTS,
)


def lower(p: PartView, b: Lowering) -> None:
    """A gate that is open from the order on and shut a turning time after it; a ball that sticks keeps its state."""
    z, rests, turns = height_in_place(p, b), p["without power"], p["turning time"]
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    resting, acting = (OPEN, SHUT) if rests == SPRING_OPENS else (SHUT, OPEN)
    order, live = obeys(p, b, resting, acting)
    acts, stored = b.all(order, live), b.any(b.always(rests != STAYS))
    if rests == SPRING_OPENS:
        turned = b.no(b.off_delay(b.no(acts), turns))
    else:
        cut_off = rests == STAYS and bool(p["through"])  # what is switched off in its lead turns nothing any more
        fed = b.all(live, driven(p, b), b.always(not cut_off))
        turned = b.no(b.latch(acts, b.on_delay(b.all(b.no(acts), b.any(fed, stored)), turns), b.always(False)))
    fast = b.any(b.always(False))
    shut = b.hold(turned, fast)
    gate = b.gate_signal(b.no(shut))
    b.orifice(inlet, outlet, loss_of_flow(p["flow at 1 bar"], 1e5), gate)
    b.say(shut, f"{p.name} shuts", f"{p.name} opens", kind="stop")
    b.say(b.all(turned, b.no(shut)), f"{p.name} is told to shut, and stays open")
    for name in ("stuck where it is", "gear stripped"):
        b.fault(name, [("force", fast, 1.0)])
    b.fault("does not close", [("low", gate, 1.0)])
    b.fault("does not open", [("high", gate, 0.0)])
    if rests == CAPACITOR:
        b.fault("capacitor tired", [("force", stored, 0.0)])
    b.fault("seat leaks", [("low", gate, SEAT_LEAK)])
    leak_on_both_sides(p, b, inlet, outlet, z)


def check(p: PartView) -> list[Finding]:
    """One that stays as it is needs power to shut."""
    if p["without power"] != STAYS or not p["through"]:
        return []
    return [
        Finding(
            "ball-valve-cut-off",
            "warning",
            p.name,
            f"What switches {p.name} stands in its lead and takes its power away, and without power it stays as it is: "
            "no order shuts it.",
            "Let its controller drive it by both of its wires, open and shut; or take one that a spring or a capacitor "
            "shuts.",
            key="through",
        )
    ]


KIND = Kind(
    word="motorised ball valve",
    also=("motor valve", "motorized valve", "motorized ball valve", "electric ball valve", "actuated valve"),
    section="water",
    role="line",
    summary="A ball valve that a small motor opens and shuts by the orders of a controller.",
    fails="It sticks where it stands or strips its gear; without power it stays as it is, unless a spring or a charged "
    "capacitor turns it, and a tired capacitor shows only in a power cut.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "shut under flow",
            "While water runs, order it shut, count the seconds, and catch what comes out behind it for ten minutes. "
            "Open it; while water runs, unplug it, and wait a minute.",
            "The flow ends within the seconds written and nothing drips; without power it does as written.",
            MONTH,
        ),
    ),
    symbol='<path d="M0 8 L40 20 V8 L0 20 Z M20 14 V9" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<circle cx="20" cy="5" r="4" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<text x="20" y="7" font-size="6" text-anchor="middle">M</text>',
    example="feed valve: {kind: motorised ball valve, after: stop tap, in: laundry, without power: shut by a spring, "
    "driven by: cellar box}",
    cautions=(
        "One that stays as it is does nothing in a power cut, and nothing when its controller is dead.",
        "Turn it once a month: a ball at rest for a year grows fast in its seat.",
        "Its pointer shows the motor, not always the ball: look at the water.",
    ),
    notes=(
        "It opens at once and is shut a turning time after its order: while it turns it is taken as quite open.",
        "A spring and a capacitor are taken to turn it as fast as the motor does.",
        "One that stays as it is, cut in the middle of its turn, is taken as open, and begins anew with the power.",
        "The motor of one that stays as it is gets its power through its controller: a dead or hung one moves nothing.",
        "A capacitor is taken as charged from the first moment on; a minute or two is usual (from memory).",
        "One that sticks keeps the state that it had when the fault began: of a hidden fault, its ordinary one.",
        "Too low a voltage, at which it turns slower or stops half-way, is left out.",
        JOINT_NOTE,
    ),
)

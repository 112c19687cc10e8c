"""An electric valve in the feed, opened and shut by the orders of a controller.

What it does without power decides everything: shut, open, or stays as it is. One of the servo kind (its membrane is
moved by the water itself) needs a pressure difference all the time and takes at least that much. It fails by not
closing (dirt in the seat or in the bleed hole), by not opening, by seeping, and by its coil. Rates: HyRAM+ (Sandia)
0.002 for each demand on an industrial solenoid valve, four to five times that for scale and dirt.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Held, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source
from dewpond.parts.cables import CABLE, CLOSES_IN, COIL, USUAL_DRAW, draws
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
    PRIOR,
    THROUGH,
    driven,
    height_in_place,
    loss_of_flow,
    tube_ends,
    wetted,
)
from dewpond.parts.valves import OPEN, SHUT, STAYS, flow_at_1_bar, leak_on_both_sides, obeys

SEAT_LEAK = 0.01  # opening of a seat that leaks: about 3 L/h at 4 bar through the default valve [1]

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "without power",
        "word",
        "What it does when its power goes: unplug it while water runs, and again while it is shut.",
        words=(SHUT, OPEN, STAYS),
        unknown=(SHUT, OPEN),
        find_out="Unplug it while water runs, look; let it be shut, unplug it, look.",
        also=("power off", "when unpowered"),
    ),
    Param(
        "needs at least",
        "pressure",
        "Pressure difference that a valve of the servo kind needs to work; 0 bar for a direct-acting one.",
        default=0.0,
        low=0.0,
        high=2e5,
        usual=(0.0, 1e5),
        source=Source("direct-acting; 0.2 to 0.5 bar is usual for servo kinds", MEMORY, 0.0, 0.5e5),
        also=("least pressure", "minimum pressure"),
    ),
    flow_at_1_bar(
        0.15 / 3600.0,
        (0.01 / 3600.0, 10.0 / 3600.0),
        (0.02 / 3600.0, 3.0 / 3600.0),
        Source("direct-acting valve with a hole of 2 to 3 mm, Kv 0.1 to 0.25", MEMORY, 0.1 / 3600.0, 0.25 / 3600.0),
    ),
    DRIVEN_BY,
    THROUGH,
    POWER,
    CABLE,
    draws(COIL),
    CLOSES_IN,
    BEARS,
    wetted(BRASS),
    tube_ends(2),
)

FAULTS = (
    Fault(
        "does not close",
        "latent",
        "It stays open whatever it is told.",
        "order it shut while water runs, and watch the flow",
        Rate(
            0.04, "per year", 3.0, Source("HyRAM+ (Sandia) 0.002 for each demand; times 4 to 5", "derived", 0.013, 0.12)
        ),
    ),
    Fault(
        "stuck shut",
        "latent",
        "It does not open.",
        "no water",
        Rate(0.03, "per year", 5.0, Source("no statistics are known to us", PRIOR, 0.006, 0.15)),
    ),
    Fault(
        "seat leaks",
        "latent",
        "Shut, it lets some litres an hour through.",
        "order it shut, and catch what comes out behind it for ten minutes",
        Rate(0.03, "per year", 5.0, Source("dirt; a servo kind below its least pressure", PRIOR, 0.006, 0.15)),
    ),
    Fault(
        "coil burnt out",
        "latent",
        "Its coil is dead: it stays as it is without power.",
        "it does not click",
        Rate(0.03, "per year", 3.0, Source("continuous duty", PRIOR, 0.01, 0.09)),
    ),
    *JOINT_FAULTS,
)


def opened(p: PartView, b: Lowering, order: int, live: int) -> int:
    """Signal that the valve is open. ``order`` is the one that needs power, ``live`` that its coil has it."""
    rests = p["without power"]
    if rests == SHUT:
        return b.all(order, live)
    if rests == OPEN:
        return b.no(b.all(order, live))
    # It needs a pulse to move: a box that is dead gives none, whatever else has power.
    return b.hold(order, b.no(b.all(live, driven(p, b))))


def lower(p: PartView, b: Lowering) -> None:
    """A gate that follows the order while the coil lives; behind it, for a servo kind, the pressure it keeps."""
    z = height_in_place(p, b)
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    resting, acting = (OPEN, SHUT) if p["without power"] == OPEN else (SHUT, OPEN)
    order, live = obeys(p, b, resting, acting)
    is_open = opened(p, b, order, live)
    gate = b.gate_signal(is_open)
    k, keeps = loss_of_flow(p["flow at 1 bar"], 1e5), p["needs at least"]
    if keeps > 0.0:
        inside = b.junction(z)
        b.orifice(inlet, inside, k, gate)
        b.check(inside, outlet, keeps, 0.01 * k)
    else:
        b.orifice(inlet, outlet, k, gate)
    b.say(b.no(is_open), f"{p.name} shuts", f"{p.name} opens", kind="stop")
    b.fault("does not close", [("low", gate, 1.0)])
    b.fault("stuck shut", [("high", gate, 0.0)])
    b.fault("seat leaks", [("low", gate, SEAT_LEAK)])
    b.fault("coil burnt out", [("force", live, 0.0)])
    leak_on_both_sides(p, b, inlet, outlet, z)


def held(p: PartView) -> Held | None:
    """Its coil is fed all the time that it is not at rest; one that stays as it is gets pulses only."""
    return None if p["without power"] == STAYS else Held((p[COIL] or USUAL_DRAW)["power"], p["without power"] == SHUT)


KIND = Kind(
    word="solenoid valve",
    also=("solenoid", "electric valve", "magnetic valve", "feed valve"),
    section="water",
    role="line",
    summary="An electric valve that a controller opens and shuts.",
    fails="It does not close or does not open, it seeps, or its coil burns out; without power it falls to its rest.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    held=held,
    tests=(
        ProofTest(
            "shut under flow",
            "While water runs, order it shut and catch what comes out behind it. Then unplug it, while water runs.",
            "The flow ends within ten seconds and nothing drips for ten minutes; without power it does as written.",
            3.0 * MONTH,
        ),
    ),
    symbol='<path d="M0 8 L40 20 V8 L0 20 Z M20 14 V8 M14 0 H26 V8 H14 Z" fill="none" stroke="currentColor" '
    'stroke-width="1.5"/><text x="20" y="7" font-size="7" text-anchor="middle">S</text>',
    example="feed valve: {kind: solenoid valve, after: cell valve, in: laundry, without power: shut, "
    "needs at least: 0.3 bar, driven by: cellar box}",
    cautions=(
        "Mind its arrow: turned round, the water itself lifts the seat.",
        "A servo kind does not work on a product or gravity line: there is too little pressure, to open and to close.",
        "A coil that is fed day and night is hot, and wants to be made for it.",
        "Mount it near the supply, short and rigid: a valve that slams against a burst can blow the next joint.",
    ),
    notes=(
        "It opens and shuts at once; water hammer is not followed.",
        "A valve of the servo kind keeps its least pressure difference while open, and passes nothing below it.",
        JOINT_NOTE,
    ),
)

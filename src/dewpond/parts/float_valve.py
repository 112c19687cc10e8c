"""A float valve: the water in a vessel lifts a float, which shuts the feed.

It is where the trouble starts, not a protection. Grit on the seat lets it seep, a snail or salt creep holds it open or
shut. Two in one line, one after the other, are lifted by the same water: when one sticks open, the other shuts at its
own mark. Closing band 10 to 25 mm, flow about linear in the opening (from memory). Rates: our prior, between industrial
regulators and household fill valves.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Level, Lowering, Param, PartView, Port, ProofTest, Rate, Source, amount
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    IN_IF_ELSEWHERE,
    JOINT_FAULTS,
    JOINT_NOTE,
    MEMORY,
    MONTH,
    PRIOR,
    disc,
    leak_at_joints,
    loss_of_hole,
    tube_ends,
    wetted,
)

ABOVE = "above the water"
SEEP = 1e-4  # opening that passes about 1 L a day at 2.7 bar through 3 mm [1]
BAND = (2e-3, 0.12)  # from beginning to throttle to quite shut [m]; others are asked about
USUAL_BAND = (10e-3, 25e-3)  # common practice, no source [m]
NOT_TIGHT = 0.02  # opening left when grit holds the seat [1]; our prior, 0.005 to 0.1

PARAMS = (
    AFTER,
    IN_IF_ELSEWHERE,
    Param(
        "fills",
        "part",
        "The vessel it fills, whose water lifts it: also where another float comes after it in the same line.",
        roles=("vessel",),
        also=("leads to", "into"),
    ),
    Param(
        "starts to shut at",
        "level",
        "Water level at which it begins to throttle: pencil mark where the stream becomes thinner.",
        also=("starts to close at", "begins to shut at"),
    ),
    Param(
        "quite shut at",
        "level",
        "Water level at which it is quite shut: pencil mark where the last drop falls.",
        also=("fully shut at", "shut at", "completely shut at"),
    ),
    Param(
        "outlet",
        "level",
        "Height of the end where the water comes out, when that is under water.",
        default=ABOVE,
        words=(ABOVE,),
        bare="",
    ),
    Param(
        "seat",
        "bore",
        "Bore of its seat.",
        default=3e-3,
        low=0.5e-3,
        high=12e-3,
        usual=(1e-3, 6e-3),
        source=Source("small float valves for 1/4 in tube", MEMORY, 2e-3, 4e-3),
    ),
    Param(
        "sticks by",
        "length",
        "How far the water must fall before it opens again.",
        default=2e-3,
        low=0.0,
        high=0.2,
        usual=(0.0, 0.03),
        source=Source("friction of its lever", PRIOR, 0.5e-3, 1e-2),
    ),
    BEARS,
    wetted(None),
    tube_ends(1),
)

HALF_OF_ROW = Rate(
    0.015,
    "per year",
    3.0,
    Source("clean water, one slow cycle a day; half of 0.03 a year for shutting badly in any way", PRIOR, 0.005, 0.045),
)
FAULTS = (
    Fault(
        "stuck open",
        "latent",
        "It does not shut however high the water stands.",
        "lift the float by hand while it fills: the stream must stop",
        HALF_OF_ROW,
    ),
    Fault(
        "does not shut tight",
        "latent",
        "Grit or a worn seat keeps it a little open: it goes on filling past its mark.",
        "a pencil mark at the water, looked at after a night without use",
        HALF_OF_ROW,
    ),
    Fault(
        "seeps",
        "latent",
        "It lets about a litre a day through.",
        "a pencil mark at the water, looked at after a night without use",
        Rate(0.1, "per year", 3.0, Source("grit and scale on the seat", PRIOR, 0.03, 0.3)),
    ),
    Fault(
        "stuck shut",
        "latent",
        "It does not open: the vessel is not filled.",
        "a level that only falls",
        Rate(0.03, "per year", 3.0, Source("clean water, one slow cycle a day", PRIOR, 0.01, 0.09)),
    ),
    *JOINT_FAULTS,
)


def settles(p: PartView, b: Lowering) -> tuple[str, float]:
    """It fills its vessel to the mark at which it is quite shut."""
    return p["fills"], b.vessel_level(p["fills"], p["quite shut at"])


def lower(p: PartView, b: Lowering) -> None:
    """A hole whose opening follows the vessel's level; it lets out above the rim, under water, or into the next one."""
    vessel = p["fills"]
    inlet = b.outlet(p["after"])
    z = b.height(p, Level(0.0, "rim") if p["outlet"] == ABOVE else p["outlet"], vessel)
    starts, shut = (b.vessel_level(vessel, p[key]) for key in ("starts to shut at", "quite shut at"))
    gate = b.gate_level(vessel, starts, shut, p["sticks by"])
    b.orifice(inlet, b.port("out", z) if b.joined() else b.spout(vessel, z), loss_of_hole(disc(p["seat"])), gate)
    b.say(
        b.level_above(vessel, shut, starts),
        f"the water in {vessel} reaches the mark at which {p.name} should be quite shut",
    )
    b.fault("stuck open", [("low", gate, 1.0)])
    b.fault("does not shut tight", [("low", gate, NOT_TIGHT)])
    b.fault("seeps", [("low", gate, SEEP)])
    b.fault("stuck shut", [("high", gate, 0.0)])
    place = p["in"] or b.vessel(vessel).place
    leak_at_joints(b, inlet, z, place, p["tube ends"])


def check(p: PartView) -> list[Finding]:
    """The two marks must be in the right order."""
    starts, shut = p["starts to shut at"], p["quite shut at"]
    if starts.measured != shut.measured:
        return []
    higher = shut.value - starts.value if shut.measured != "rim" else starts.value - shut.value
    if BAND[0] <= higher <= BAND[1]:
        return []
    if higher > 0.0:
        return [
            Finding(
                "float-band",
                "warning",
                p.name,
                f"It throttles over {amount(higher, 'height')} of water; {amount(USUAL_BAND[0], 'height')} to "
                f"{amount(USUAL_BAND[1], 'height')} is usual.",
                "Watch it fill once, and mark both levels with a pencil. Mind the units.",
                key="quite shut at",
            )
        ]
    return [
        Finding(
            "float-marks",
            "error",
            p.name,
            "The mark at which it is quite shut does not lie above the one at which it starts to shut.",
            "Watch it fill once, and mark both levels with a pencil.",
            key="quite shut at",
        )
    ]


KIND = Kind(
    word="float valve",
    also=("ball cock", "ballcock", "mechanical float", "float switch valve"),
    section="water",
    role="line",
    summary="A valve that the water in a vessel shuts by lifting a float.",
    fails="It sticks open or shut, seeps, or does not shut tight. What fills without end ends here, and nowhere else.",
    params=PARAMS,
    ports=(Port("in"), Port("out", must_join=False)),
    faults=FAULTS,
    lower=lower,
    settles=settles,
    check=check,
    tests=(
        ProofTest(
            "lift it, and watch a night",
            "While it fills, lift the float by hand. Then let it fill by itself, mark the water with a pencil and look "
            "again the next morning with the pump stopped.",
            "The stream stops at once when lifted; the mark is within 10 mm of the usual one and does not rise.",
            3.0 * MONTH,
        ),
    ),
    symbol='<path d="M0 3 L20 13 V3 L0 13 Z M20 8 L30 12" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<circle cx="34" cy="14" r="4" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="float: {kind: float valve, after: riser, fills: reservoir, starts to shut at: 270 mm, "
    "quite shut at: 285 mm}",
    cautions=(
        "A float valve is not a protection: plan for the day it does not shut.",
        "Lift a second float in the same line at each test, too: while the first works, nobody sees whether it would.",
        "Keep its outlet above the highest water, or a leak in the feed can draw the vessel back through it.",
    ),
    notes=(
        "Its opening falls evenly between the two marks.",
        "A higher pressure lifts the mark by some millimetres; that is left out.",
        "Of two in one line the second comes `after` the first, and its `outlet` counts. Their losses add.",
        JOINT_NOTE,
    ),
)

"""An air gap: a line ends in the open, and its water falls into a vessel, a funnel or a drain below.

Nothing can be drawn back over it, however dirty the water below: the plainest protection there is, and the only one
without a moving part. It does not stop a line, nor a vessel that stands higher from running out. It fails when its end
slips off, falls into the water below, or the fall is so high or so strong that water splashes past. Rates: our prior.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Source
from dewpond.parts.gaps import BESIDE, FALLS_OUT, SIZE, check_gap, opening
from dewpond.parts.plumbing import (
    AFTER,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MONTH,
    PRIOR,
    leak_at_joints,
    loss_of_heads,
    tube_ends,
)

FREE_END = 1.0  # velocity heads lost where it ends [1]
PAST = 0.05  # share of the water that splashes past [1]; our prior, 0.01 to 0.3
SUNK = 5e-3  # of an end that has slid down, above the bottom of the vessel [m]

PARAMS = (
    AFTER,
    IN,
    Param(
        "into", "part", "The vessel over whose rim it ends.", default=None, roles=("vessel",),
        also=("fills", "ends over"),
    ),
    Param(
        "over", "part", "The drain over which it ends, where it ends over no vessel.", default=None, roles=("drain",),
        also=("to", "drain"),
    ),
    Param(
        "gap", "height", "From its end straight down to the rim, or to the highest water, of what it ends over.",
        default=0.05, low=0.0, high=1.0, usual=(0.0, 0.3), also=("air gap", "fall"),
        source=Source("twice what rules want for a small tube, for a jet that is faster", PRIOR, 0.02, 0.1),
    ),
    Param(
        "rim", "height", "Height of the rim of its drain above the floor.", default=0.0, low=0.0, high=3.0,
        usual=(0.0, 1.2), source=Source("a drain in the floor", PRIOR, 0.0, 1.0),
    ),
    SIZE,
    BESIDE,
    tube_ends(1),
)  # fmt: skip

FAULTS = (
    Fault(
        "end slips off", "initiator", "Its end has come off its holder: all that runs out of it falls on the floor.",
        "pull at its end: the holder must keep it", FALLS_OUT,
    ),
    Fault(
        "splashes past", "initiator", "A twentieth of the water that runs falls past what is below.",
        "a dry floor under it after a fill",
    ),
    Fault(
        "end has slid into the water", "latent",
        "Its end has slid down into the vessel: there is no air between any more, and water can be drawn back.",
        "a look at its end while the vessel is full",
    ),
    *JOINT_FAULTS,
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """A free end over a vessel or a drain; beside it, shut, the ways it takes when something is wrong."""
    inlet, place, k = b.outlet(p["after"]), p["in"], loss_of_heads(FREE_END, opening(p))
    held, fallen, past = b.gate_signal(b.always(True)), b.gate_leak(), b.gate_leak()
    if p["into"]:
        spec = b.vessel(p["into"])
        z = spec.bottom + spec.rim + p["gap"]
        end = b.spout(p["into"], z)
        sunk = b.gate_leak()
        b.orifice(inlet, b.spout(p["into"], spec.bottom + SUNK), k, sunk)
        b.fault("end has slid into the water", [("high", held, 0.0), ("low", sunk, 1.0)])
    else:
        z = b.place_height(b.part(p["over"])["in"]) + p["rim"] + p["gap"]
        end = b.open_end(z, p["over"])
    b.orifice(inlet, end, k, held)
    b.orifice(inlet, b.open_end(z, place), k, fallen)
    b.orifice(inlet, b.open_end(z, place), k / (PAST * PAST), past)
    b.fault("end slips off", [("high", held, 0.0), ("low", fallen, 1.0)])
    b.fault("splashes past", [("low", past, 1.0)])
    leak_at_joints(b, inlet, z, place, p["tube ends"], opening(p))


def check(p: PartView) -> list[Finding]:
    """It ends over one thing, and high enough."""
    found = check_gap(p, "gap")
    given = [key for key in ("into", "over") if p[key]]
    if len(given) == 1:
        return found
    what = "over a vessel and over a drain" if given else "over nothing"
    found.append(
        Finding(
            "air-gap-ends",
            "error",
            p.name,
            f"It ends {what}.",
            "Write 'into: ...' with the name of the vessel below it, or 'over: ...' with that of the drain.",
            key="into",
        )
    )
    return found


KIND = Kind(
    word="air gap",
    also=("tundish", "open end", "free outlet", "air break"),
    section="water",
    role="line",
    summary="The open end of a line, from which water falls freely into a vessel or a drain below it.",
    fails="Its end slips off its holder or down into the water, or water splashes past.",
    params=PARAMS,
    ports=(Port("in"),),
    faults=FAULTS,
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "ruler",
            "With what is below as full as it can get, hold a ruler from that water up to the end, and pull at the "
            "end.",
            "The fall is as in the design, and the end does not move.",
            6.0 * MONTH,
        ),
    ),
    symbol='<path d="M0 3 H20 V8" fill="none" stroke="currentColor" stroke-width="2"/>'
    '<path d="M20 10 V12 M20 13 V14" stroke="currentColor"/>'
    '<path d="M10 13 L16 18 H24 L30 13" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="fill end: {kind: air gap, after: riser, in: study, into: reservoir, gap: 50 mm}",
    cautions=(
        "It keeps dirty water from being drawn back; it stops nothing that runs: what opens the line must shut it.",
        "What counts as a gap, and where a listed device is wanted instead, the local code says.",
        "A hand, a pet or a lid moves a loose end: fix it so that it can neither rise nor slide down.",
    ),
    notes=(
        "Its end takes 1 velocity head of its bore.",
        "Of what splashes past, a twentieth is taken (our prior, 0.01 to 0.3).",
        "An end that has slid down hangs 5 mm over the bottom of the vessel; over a drain that is not followed.",
        JOINT_NOTE,
    ),
)

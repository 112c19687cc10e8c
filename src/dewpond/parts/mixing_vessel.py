"""A vessel filled by hand from the same unit, to mix salt water or to carry water away.

Its tap is opened by somebody who means to come back, and the commonest flood of all is the one who does not: the fill
goes on over the rim for as long as nobody comes. Its tap can drip, and fill it over weeks; it cracks like any other.
How often a fill is forgotten: omissions 0.003 to 0.01 (THERP, from memory), 0.02 (HEART, second-hand). Loss of the tap:
a quarter-turn ball valve as in front of the unit (Hooper 1981).
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Level, Lowering, Param, PartView, Port, ProofTest, Source, StoreSpec
from dewpond.parts.plumbing import (
    AFTER,
    BOTTOM,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    LEFT_BY_HAND,
    MONTH,
    above_bottom,
    check_bottom,
    leak_at_joints,
    left_running,
    loss_of_flow,
    tube_ends,
)
from dewpond.parts.vessels import CRACK, CRACK_NOTE, CRACKS, FOOTPRINT, RIM, inside, upright
from dewpond.physics.seawater import density

EMPTY, FRESH, SALT = "empty", "purified water", "salt water"
DRIP = 4e-5  # opening of a tap that drips: about a litre a day at 2.5 bar [1]; our prior, 1e-5 to 1e-3

PARAMS = (
    AFTER,
    IN,
    BOTTOM,
    FOOTPRINT,
    RIM,
    Param(
        "stands usually",
        "level",
        "Where its water stands when the fill begins.",
        default=EMPTY,
        words=(EMPTY,),
        also=("starts at", "usually stands"),
    ),
    Param("holds", "word", "What stands in it then.", default=FRESH, words=(FRESH, SALT), also=("contents",)),
    Param(
        "salinity",
        "salinity",
        "Salinity of the salt water in it.",
        default=35.0,
        low=0.0,
        high=42.0,
        source=Source("sea water", "published", 30.0, 36.0),
        also=("salt", "salt content"),
        usual=(5.0, 40.0),
    ),
    Param(
        "flow at 1 bar",
        "flow",
        "What its tap lets through when open, at a pressure difference of 1 bar.",
        default=12e-3 / 60.0,
        low=0.5e-3 / 60.0,
        high=200e-3 / 60.0,
        usual=(2e-3 / 60.0, 100e-3 / 60.0),
        source=Source(
            "quarter-turn ball valve in 1/4 in tube, 1.1 velocity heads after Hooper 1981",
            "derived",
            6e-3 / 60.0,
            20e-3 / 60.0,
        ),
    ),
    tube_ends(1),
)

FAULTS = (
    Fault(
        "fill left running",
        "initiator",
        "Somebody has opened its tap to fill it, and has forgotten it: it runs over until a person shuts the tap.",
        "a kitchen timer in the pocket of whoever opens it",
        LEFT_BY_HAND,
    ),
    Fault(
        "tap drips",
        "latent",
        "Its tap is not quite shut: about a litre a day drips into it, and one day over its rim.",
        "a dry finger under the tap, an hour after it was shut",
    ),
    CRACKS,
    *JOINT_FAULTS,
)


def store(p: PartView, b: Lowering) -> StoreSpec:
    """An upright vessel, empty or filled so far, with the salt that is in it."""
    start = 0.0 if p["stands usually"] == EMPTY else inside(p, b, p["stands usually"])
    salt = p["salinity"] * 1e-3 * density(p["salinity"], b.season("air")) if p["holds"] == SALT else 0.0
    return upright(p, b, start, dissolved=salt)


def lower(p: PartView, b: Lowering) -> None:
    """A tap over its rim that stands shut, but for a fill that nobody ends."""
    spec = b.vessel(p.name)
    inlet, z = b.outlet(p["after"]), spec.bottom + spec.rim
    runs = left_running(b, "fill left running", f"the tap of {p.name} is shut by hand")
    gate = b.gate_signal(runs)
    b.orifice(inlet, b.spout(p.name, z), loss_of_flow(p["flow at 1 bar"], 1e5), gate)
    b.fault("tap drips", [("low", gate, DRIP)])
    b.leak(b.tap(p.name), spec.bottom, p["in"], CRACKS.name, CRACK)
    leak_at_joints(b, inlet, z, p["in"], p["tube ends"])


def check(p: PartView) -> list[Finding]:
    """Its usual level lies inside it, and a salinity belongs to salt water."""
    found = check_bottom(p)
    level = p["stands usually"]
    at = above_bottom(level, p["rim"]) if isinstance(level, Level) else None
    if at is not None and not 0.0 <= at <= p["rim"]:
        found.append(
            Finding(
                "mixing-level",
                "error",
                p.name,
                "Its usual level does not lie between the bottom and the rim.",
                "Measure from the bottom of the vessel, inside, or write 'stands usually: empty'.",
                key="stands usually",
            )
        )
    if "salinity" in p.given and p["holds"] != SALT:
        found.append(
            Finding(
                "mixing-salinity",
                "warning",
                p.name,
                '"salinity" has no effect: it holds purified water.',
                "Write 'holds: salt water', or take the key out.",
                key="salinity",
            )
        )
    return found


KIND = Kind(
    word="mixing vessel",
    also=("mixing bucket", "mixing tank", "mixing bin", "salt mixing station", "brewing bin", "fill bucket"),
    section="water",
    role="vessel",
    summary="A vessel that somebody fills by hand from the unit, with a tap of its own, to mix salt water or to carry.",
    fails="Its fill is forgotten and runs over its rim, its tap drips, it cracks, or the joint of its tap leaks.",
    params=PARAMS,
    ports=(Port("in"),),
    faults=FAULTS,
    lower=lower,
    check=check,
    store=store,
    tests=(
        ProofTest(
            "dry finger",
            "Shut the tap, wipe its end dry, and put a cup under it for an hour.",
            "The cup is dry.",
            3.0 * MONTH,
        ),
    ),
    symbol='<path d="M4 6 L7 18 H33 L36 6" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M6 11 H34" stroke="currentColor" stroke-dasharray="4 2"/>'
    '<path d="M2 2 H20 V5 M11 2 V0 M8 0 H14" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="salt bin: {kind: mixing vessel, after: riser, in: laundry, footprint: 40 cm x 40 cm, rim: 60 cm}",
    cautions=(
        "Stay with a fill, or carry a timer that rings: a few hours at the unit's rate are a bucket on the floor.",
        "End its tube above the rim: salt water must not be drawn back into the line.",
        "A float valve in it ends a forgotten fill; plan for the day that it does not shut, too.",
    ),
    notes=(
        "A forgotten fill begins at its usual level with the tap quite open.",
        "Nobody misses it: it ends when somebody sees the water on a floor or is told of it.",
        "Whoever acts shuts this tap beside the valve that people run to, in the same time.",
        "Water taken out of it by hand or by a mixing pump is not followed. Salt in it counts as mixed at all times.",
        "A tap that drips keeps an opening of 4e-5, about a litre a day at 2.5 bar (our prior, 1e-5 to 1e-3).",
        CRACK_NOTE,
        JOINT_NOTE,
    ),
)

"""A waste drain: a floor drain or a standpipe, where waste water leaves the house.

It fails by backing up: hair, lint or a blocked sewer. Then the waste water and the overflows that end in it run over
the floor of its room; and a drain in the floor takes nothing off it any more.

Sources: common practice; how often a drain backs up is not known to us (our prior).
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Floor, Kind, Lowering, Param, PartView, ProofTest, Rate, Source, Upkeep
from dewpond.parts.plumbing import MONTH, PRIOR, YEAR, disc

BORE = 0.03  # [m]
QUICK = 3600.0  # nothing lies in a drain; any time will do [s]
FLOOR_DRAIN = "floor drain"

PARAMS = (
    Param("in", "place", "The room it is in: what backs up lies there.", also=("place", "room", "location", "where")),
    Param("type", "word", "Where water enters it.", words=(FLOOR_DRAIN, "standpipe"), default=FLOOR_DRAIN),
)

BACKS_UP = Fault(
    "backs up", "latent",
    "The drain takes nothing: what should run into it runs over the floor of its room instead.",
    "a bucket of water poured into it runs away without standing",
    Rate(0.05, "per year", 5.0, Source("a blocked drain in twenty years; no statistics are known to us", PRIOR, 0.01,
                                       0.25)),
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """A place that holds nothing and hands all to the house drain; backed up, its room keeps its water."""
    b.place(Floor(disc(BORE), 0.0, 0.0), None, True, QUICK)
    backed = b.backed_up(p.name)
    assert backed is not None
    b.say(backed, f"{p.name} backs up", f"{p.name} is clear again")
    keeps = [("holds", b.place_number(p["in"]), 1e9)] if p["type"] == FLOOR_DRAIN else []
    b.fault(BACKS_UP.name, [("force", backed, 1.0), *keeps])


KIND = Kind(
    word="waste drain",
    also=("floor drain", "sink", "sewer", "standpipe", "drain pipe"),
    section="places",
    role="drain",
    summary="Where waste water leaves the house: an opening in the floor, or an upright pipe for a waste tube.",
    fails="It backs up: what should run into it runs over the floor of its room; one in the floor takes nothing off.",
    params=PARAMS,
    ports=(),
    faults=(BACKS_UP,),
    lower=lower,
    symbol='<circle cx="20" cy="10" r="8" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M14 7 H26 M13 10 H27 M14 13 H26" stroke="currentColor"/>',
    example="floor drain: {kind: waste drain, in: laundry}",
    tests=(
        ProofTest(
            "bucket test",
            "Pour a bucket of water into it as fast as it will go.",
            "The water runs away without standing on the floor, and no smell comes back.",
            0.5 * YEAR,
        ),
    ),
    upkeep=(Upkeep("Pour a jug of water into a drain that is seldom used, so that its trap does not dry out.", MONTH),),
    cautions=(
        "Let a waste tube end in air above the drain, not down inside it: dirty water must not be drawn back.",
        "Local codes say how much air there must be between tube and drain; check with a licensed plumber.",
    ),
    notes=(
        "It takes as much as comes while it is clear; a partly blocked drain is not followed.",
        "A floor drain that backs up keeps the water of its room there; only a plan lets it go on to another one.",
        "What a backed-up drain sends back is what a unit and an overflow lead into it, not what the house does.",
        "What a skimmer, a drain tap or an outlet that takes all leads into it runs away still.",
    ),
)

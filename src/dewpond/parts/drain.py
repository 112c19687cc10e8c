"""A drain: a floor drain or a standpipe, where waste water leaves the house.

It fails by backing up: hair, lint or a blocked sewer; then what should run away lies on the floor of its room.

Sources: common practice; how often a drain backs up is not known to us.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Floor, Kind, Lowering, Param, PartView, Port, ProofTest, Upkeep
from dewpond.parts.plumbing import MONTH, YEAR, disc, height_in_place, loss_of_hole

BORE = 0.03  # wide enough never to hold the waste of a household unit back [m]
QUICK = 3600.0  # nothing lies in a drain; any time will do [s]

PARAMS = (
    Param("in", "place", "The room it is in: what backs up lies there."),
    Param("type", "word", "Where water enters it.", words=("floor drain", "standpipe"), default="floor drain"),
    Param("height", "height", "Its inlet above the floor of its room.", default=0.0, low=-1.0, high=2.0),
)

BACKS_UP = Fault(
    "backs up", "latent", "The drain takes nothing: waste water, and what lies on the floor, stays in the room.",
    "a bucket of water poured into it runs away without standing",
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """An inlet with two ways out, to the house drain and on to the floor; the fault swaps them."""
    b.place(Floor(disc(BORE), 0.0, 0.0), p["in"], True, QUICK)
    z = height_in_place(p, b)
    inlet = b.port("in", z)
    way = loss_of_hole(disc(BORE))
    clear = b.gate_signal(b.always(True))
    b.orifice(inlet, b.drain_end(z), way, clear)
    over = b.gate_leak()
    b.orifice(inlet, b.open_end(z, p["in"]), way, over)
    patches = [("high", clear, 0.0), ("low", over, 1.0)]
    if p["type"] == "floor drain":
        patches.append(("holds", b.place_number(p["in"]), 1e9))
    b.fault(BACKS_UP.name, patches)


KIND = Kind(
    word="drain",
    section="places",
    role="drain",
    summary="Where waste water leaves the house: an opening in the floor, or an upright pipe for a waste tube.",
    fails="It backs up: it takes nothing any more, and the water stays in the room.",
    params=PARAMS,
    ports=(Port("in", must_join=False),),
    faults=(BACKS_UP,),
    lower=lower,
    symbol='<circle cx="20" cy="10" r="8" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M14 7 H26 M13 10 H27 M14 13 H26" stroke="currentColor"/>',
    example="floor drain: {kind: drain, in: laundry}",
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
        "A floor drain that backs up keeps all water of its room in the room, also what would go on to another one.",
    ),
)

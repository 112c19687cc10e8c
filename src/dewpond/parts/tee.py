"""A tee: one tube in, two out, as where one unit feeds two reservoirs.

Water parts in it by what each branch resists, and can run from one branch back into the other: a high reservoir whose
inlet lies under water runs into a low one while the supply is shut. It fails at its three tube ends. Loss: a screwed
tee used as an elbow (Hooper 1981).
"""

from __future__ import annotations

from dewpond.parts.base import Kind, Lowering, PartView, Port
from dewpond.parts.branching import BRANCH_CAUTIONS, BRANCH_NOTES, SIZE, part_water
from dewpond.parts.plumbing import AFTER, HEIGHT, IN, JOINT_FAULTS, JOINT_NOTE, tube_ends


def lower(p: PartView, b: Lowering) -> None:
    """A node with two ways on."""
    part_water(p, b, p["tube ends"])


KIND = Kind(
    word="tee",
    also=("T-piece", "T piece", "tee fitting", "branch", "Y-piece", "splitter"),
    section="water",
    role="line",
    summary="A joint with one inlet and two outlets: two parts may come after it.",
    fails="Its three joints weep or blow off; and it joins what is behind both outlets, also when no water comes in.",
    params=(AFTER, IN, HEIGHT, SIZE, tube_ends(3)),
    ports=(Port("in"), Port("out", follow=2)),
    faults=JOINT_FAULTS,
    lower=lower,
    symbol='<path d="M0 10 H40 M20 10 V20" fill="none" stroke="currentColor" stroke-width="2"/>'
    '<circle cx="20" cy="10" r="3" fill="currentColor"/>',
    example="tee: {kind: tee, after: check, in: laundry}",
    cautions=BRANCH_CAUTIONS,
    notes=(*BRANCH_NOTES, JOINT_NOTE),
)

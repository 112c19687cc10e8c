"""A manifold: one tube in, several out, side by side in one block.

Water parts in it by what each branch resists, and can run from one branch back into another while the supply is shut.
It fails at its tube ends, one for the inlet and one for each outlet, plugs included. Loss: a screwed tee used as an
elbow (Hooper 1981), for no figure for such blocks is known to us.
"""

from __future__ import annotations

from dataclasses import replace

from dewpond.parts.base import Kind, Lowering, Param, PartView, Port, Source
from dewpond.parts.branching import BRANCH_CAUTIONS, BRANCH_NOTES, SIZE, part_water
from dewpond.parts.plumbing import AFTER, HEIGHT, IN, JOINT_FAULTS, JOINT_NOTE, TRADE, ends_of, tube_ends

OUTLETS = Param(
    "outlets",
    "count",
    "How many outlets it has, those that are plugged included.",
    low=2,
    high=8,
    also=("ports", "ways", "branches"),
)
ENDS = replace(
    tube_ends(0),
    default=None,
    source=Source("left out: one at its inlet and one at each outlet, plugs included", TRADE, 3.0, 9.0),
)


def lower(p: PartView, b: Lowering) -> None:
    """A node with as many ways on as it has outlets."""
    part_water(p, b, ends_of(p))


KIND = Kind(
    word="manifold",
    also=("distribution block", "distributor", "header", "multi-way splitter"),
    section="water",
    role="line",
    summary="A block with one inlet and two to eight outlets: as many parts may come after it.",
    fails="Its joints weep or blow off, plugs included; and it joins what is behind its outlets, also when no water "
    "comes in.",
    params=(AFTER, IN, HEIGHT, OUTLETS, SIZE, ENDS),
    ports=(Port("in"), Port("out", follow=OUTLETS.key)),
    faults=JOINT_FAULTS,
    lower=lower,
    symbol='<path d="M0 10 H8 M8 3 H14 V17 H8 Z M14 5 H40 M14 10 H40 M14 15 H40" fill="none" stroke="currentColor" '
    'stroke-width="1.5"/>',
    example="manifold: {kind: manifold, after: check, in: laundry, outlets: 4}",
    cautions=BRANCH_CAUTIONS,
    notes=(*BRANCH_NOTES, "Valves in the block itself are not part of it: write each as a hand valve.", JOINT_NOTE),
)

"""What parts that part the water share: one inlet, outlets side by side, a tube end in each."""

from __future__ import annotations

from dewpond.parts.base import Lowering, Param, PartView
from dewpond.parts.plumbing import TUBE_SOURCE, TUBES, height_in_place, leak_at_joints, loss_of_heads

BRANCH = 5.0  # velocity heads from the inlet into a side outlet [1]; Hooper 1981 gives 4.9 for a screwed one in 4.3 mm
BRANCH_NOTES = (
    "Its outlets are alike: water goes on to them by the pressures behind them, and from one back into another.",
    "It takes 5 velocity heads of all that comes in, and nothing from one outlet to another.",
    "An outlet that no part of the file comes after is taken as plugged.",
)
BRANCH_CAUTIONS = (
    "Several reservoirs on one unit: the waste water stops only when every float is shut. Listen at the drain.",
    "A float whose outlet lies under water can give its reservoir away to the other branches: let it end in air.",
)
SIZE = Param(
    "size",
    "word",
    "The size of tube it is made for: inches outside, or millimetres outside x inside.",
    default="1/4 in",
    words=tuple(TUBES),
    source=TUBE_SOURCE,
    also=("diameter", "outside diameter"),
)


def part_water(p: PartView, b: Lowering, ends: float) -> None:
    """One way in, and a node that all parts after it share; its joints, ``ends`` in number, leak there."""
    z, bore = height_in_place(p, b), TUBES[p[SIZE.key]][1]
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    b.orifice(inlet, outlet, loss_of_heads(BRANCH, bore))
    leak_at_joints(b, outlet, z, p["in"], ends, bore)

"""A check valve: water passes one way only.

Behind the membrane it holds the product pressure that keeps the shut-off shut. It fails by letting water back. Loss: a
screwed swing check in 1/4 in tube, 10 velocity heads (Hooper 1981); cracking pressure 0.02 to 0.1 bar (from memory).
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    HEIGHT,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MEMORY,
    MONTH,
    PRIOR,
    QUARTER_INCH,
    disc,
    height_in_place,
    leak_at_joints,
    loss_of_heads,
    loss_of_hole,
    tube_ends,
    wetted,
)

HEADS = 10.0  # Hooper 1981, swing check in 4.3 mm
GAP = disc(0.5e-3)  # what stays open of a check valve that lets water back [m2]; our prior, 0.1 to 2 mm across

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "opens at",
        "pressure",
        "Pressure difference at which it begins to open.",
        default=5e3,
        low=0.0,
        high=1e5,
        usual=(5e2, 5e4),
        source=Source("0.02 to 0.1 bar for small spring-loaded ones", MEMORY, 2e3, 1e4),
    ),
    BEARS,
    wetted(None),
    tube_ends(2),
)

FAULTS = (
    Fault(
        "lets water back",
        "latent",
        "It does not hold: pressure bleeds back through the membrane, and the shut-off opens again and again.",
        "with the float lifted, the waste tube runs again during the night",
        Rate(0.05, "per year", 5.0, Source("no statistics are known to us", PRIOR, 0.01, 0.25)),
    ),
    *JOINT_FAULTS,
)


def lower(p: PartView, b: Lowering) -> None:
    """A one-way opening, and beside it a gap that the fault opens."""
    z = height_in_place(p, b)
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    b.check(inlet, outlet, p["opens at"], loss_of_heads(HEADS, QUARTER_INCH))
    gap = b.gate_leak()
    b.orifice(inlet, outlet, loss_of_hole(GAP), gap)
    b.fault("lets water back", [("low", gap, 1.0)])
    leak_at_joints(b, outlet, z, p["in"], p["tube ends"])


KIND = Kind(
    word="check valve",
    also=("non-return valve", "one-way valve", "backflow valve"),
    section="water",
    role="line",
    one_way=True,
    summary="Lets water through one way only.",
    fails="Grit or a worn seat lets water back. Nothing is seen of it from outside.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    tests=(
        ProofTest(
            "waste stays still",
            "Lift the float until the waste has stopped, keep it lifted, and hold a jug under the waste for an hour.",
            "Less than 10 mL in the hour, and the waste does not start again.",
            6.0 * MONTH,
        ),
    ),
    symbol='<path d="M0 10 H12 M28 10 H40 M12 3 V17 M28 3 V17 M12 3 L28 17" fill="none" stroke="currentColor" '
    'stroke-width="1.5"/><circle cx="12" cy="3" r="2" fill="currentColor"/>',
    example="check: {kind: check valve, after: membrane, in: laundry}",
    cautions=("Mind its arrow: turned round it stops the product altogether.",),
    notes=("One that lets water back is open by a hole of 0.5 mm (our prior, 0.1 to 2 mm).", JOINT_NOTE),
)

"""Mixed-bed deionising resin: takes out what the membrane lets through.

It fails by being spent (then the water carries what the membrane passes, and for a while more) and at its tube ends.
Capacity: see ``physics.resin``. Loss of the bed: our prior.
"""

from __future__ import annotations

from dewpond.parts.base import LOAD, Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Source, Upkeep, Wear
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    HEIGHT,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MONTH,
    PRIOR,
    TRADE,
    height_in_place,
    leak_at_joints,
    loss_of_flow,
    tube_ends,
)
from dewpond.physics.resin import CACO3_PER_EQUIVALENT, NEW_RESIN, REGENERATED_RESIN

USED = 0.8  # share of the low capacity that is used when the pen behind it begins to rise [1]; our prior, 0.6 to 1
RATED = 0.2e-3 / 60.0  # flow at which the loss of the bed is given [m3/s]

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "volume",
        "volume",
        "How much resin is in it.",
        default=0.65e-3,
        low=0.05e-3,
        high=50e-3,
        source=Source("a refillable 10 in cartridge", TRADE, 0.4e-3, 1.5e-3),
        also=("capacity", "size"),
        usual=(0.1e-3, 10e-3),
    ),
    Param(
        "drop of the bed",
        "pressure",
        "Pressure that the bed takes at 0.2 L/min.",
        default=3e3,
        low=0.0,
        high=1e5,
        usual=(2e2, 3e4),
        source=Source("small cartridges of fine beads", PRIOR, 0.5e3, 1e4),
    ),
    BEARS,
    tube_ends(2),
    Param("changed on", "date", "When the resin was changed last.", default=None),
)

FAULTS = (
    Fault(
        "exhausted",
        "latent",
        "The resin is spent: what the membrane lets through reaches the reservoir.",
        "a conductivity pen behind it, or the change of colour of its beads",
    ),
    *JOINT_FAULTS,
)


def wears(p: PartView) -> Wear:
    """What its resin holds, counted as calcium carbonate: new mixed bed, regenerated at the low end."""
    low, usual = (held * CACO3_PER_EQUIVALENT * p["volume"] for held in (REGENERATED_RESIN, NEW_RESIN))
    return Wear(LOAD, (USED * low, usual, usual))


def lower(p: PartView, b: Lowering) -> None:
    """A loss through which no dissolved matter passes until the resin is spent."""
    z = height_in_place(p, b)
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    edge = b.orifice(inlet, outlet, max(loss_of_flow(RATED, p["drop of the bed"]), 1.0))
    b.passage(edge, 0.0)
    b.fault("exhausted", [("passage", edge, 1.0)])
    leak_at_joints(b, outlet, z, p["in"], p["tube ends"])


KIND = Kind(
    word="deionising resin",
    also=("DI resin", "DI stage", "mixed bed", "resin cartridge", "demineraliser"),
    section="water",
    role="line",
    summary="A cartridge of mixed-bed resin that takes the rest of the dissolved matter out of the product.",
    fails="It is spent without a sign of it outside, and its tube ends can leak.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    wears=wears,
    tests=(
        ProofTest(
            "pen behind the resin",
            "Hold a conductivity pen into fresh product behind the resin, and before it.",
            "Behind it the pen shows nothing, or next to nothing.",
            1.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Change the resin when the pen behind it begins to rise.", 12.0 * MONTH, "changed on"),),
    symbol='<path d="M0 10 H10 M30 10 H40 M10 2 H30 V18 H10 Z M10 8 L16 2 M10 14 L22 2 M12 18 L28 2 M18 18 L30 6 '
    'M24 18 L30 12" fill="none" stroke="currentColor" stroke-width="1.2"/>',
    example="resin: {kind: deionising resin, after: check, in: laundry, volume: 0.65 L}",
    cautions=(
        "Carbon dioxide passes the membrane, wears the resin out and shows on no conductivity pen.",
        "Purified water hardly conducts: test every leak probe with this water, not with tap water.",
    ),
    notes=(
        "Spent resin is taken to pass everything; in truth it lets a pulse of weakly held matter go first.",
        "It is spent by a fault only: the plant does not count the litres it has purified.",
        JOINT_NOTE,
    ),
)

"""A valve turned by hand, such as the stop tap in front of everything.

A person shuts it; nothing else does. It fails by not shutting fully (scale on the seat, a handle that turns on its
stem) and at its two tube ends. Loss: a quarter-turn ball valve with a reduced bore, 1.1 velocity heads in 1/4 in tube
(Hooper 1981, Chemical Engineering 88(17), reduced-trim ball valve).
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, PartView, Port, ProofTest
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    HEIGHT,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MONTH,
    height_in_place,
    loss_of_flow,
    tube_ends,
    wetted,
)
from dewpond.parts.valves import BALL_FLOW, leak_on_both_sides

LEFT_OPEN = (
    0.01  # opening that remains of one that does not shut fully: 0.24 L/min at 4 bar [1]; our prior, 0.001 to 0.1
)

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    BALL_FLOW,
    BEARS,
    wetted(None),
    tube_ends(2),
)

FAULTS = (
    Fault(
        "does not shut fully",
        "latent",
        "Turned to shut, it still lets a thin stream through, about a quarter of a litre a minute.",
        "shut it, open the tube behind it over a bucket, and wait ten minutes",
    ),
    *JOINT_FAULTS,
)


def lower(p: PartView, b: Lowering) -> None:
    """One opening that a person may shut; joints leak before it, where a shut valve does not help."""
    z = height_in_place(p, b)
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    shut = b.later()
    b.hand_shut(lambda signal: b.define(shut, signal))
    gate = b.gate_signal(b.no(shut))
    b.orifice(inlet, outlet, loss_of_flow(p["flow at 1 bar"], 1e5), gate)
    b.fault("does not shut fully", [("low", gate, LEFT_OPEN)])
    leak_on_both_sides(p, b, inlet, outlet, z)


KIND = Kind(
    word="hand valve",
    also=("stop valve", "ball valve", "stop tap", "stopcock", "isolation valve", "tap", "shut-off valve"),
    section="water",
    role="line",
    summary="A valve turned by hand. It is what a person runs to when water is on the floor.",
    fails="It can fail to shut fully, and its two tube ends can leak. It does nothing by itself.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    tests=(
        ProofTest(
            "turn it",
            "Shut the valve and open it again. With it shut, let a tube behind it run out over a bucket for ten "
            "minutes. Show everyone in the house where it is.",
            "It turns freely, nothing drips while it is shut, and water is back afterwards.",
            6.0 * MONTH,
        ),
    ),
    symbol='<path d="M0 4 L40 16 V4 L0 16 Z M20 10 V2 M15 2 H25" fill="none" stroke="currentColor" '
    'stroke-width="1.5"/>',
    example="stop tap: {kind: hand valve, after: supply, in: laundry}",
    cautions=(
        "Label it, and keep the way to it free: at night somebody else may have to find it.",
        "A self-piercing saddle valve is forbidden in many places: take a tee with a stop valve.",
    ),
    notes=(
        "A valve that does not shut fully keeps a hundredth of its opening (our prior, 0.001 to 0.1).",
        "Half of the tube ends are counted before the valve, half behind it.",
        (
            "The main valve of the house is not taken for granted: what leaks before the first valve of the file runs "
            "on for ever, even with somebody at home. Where somebody would shut it, describe it as the first hand "
            "valve, after the supply and in its place (`house valve: {kind: hand valve, after: supply, in: cellar}`), "
            "name it in `shuts` of that person, and give the time to reach it. A person shuts one valve only."
        ),
        JOINT_NOTE,
    ),
)

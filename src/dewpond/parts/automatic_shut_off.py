"""The hydraulic automatic shut-off of a reverse-osmosis unit.

A diaphragm between product and feed: when the product pushes back with a certain part of the feed pressure, it shuts
the feed, and with it the waste. It needs the product pressure to be held, so a check valve belongs behind the membrane.
It fails mostly by not shutting: then the waste water runs on for ever, silently, into the drain. Ratio at which it
shuts: two thirds is common practice, 0.5 to 0.7 from memory; ratio at which it opens again: our prior.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, ProofTest, Rate, Source
from dewpond.parts.plumbing import MONTH, PRIOR, TRADE
from dewpond.physics.membrane import SHUT_OFF_RATIO

LOW, _, HIGH = SHUT_OFF_RATIO
DIAPHRAGM = 1.1e-12  # water that its diaphragm gives way to: 0.3 mL at 2.7 bar [m3/Pa]; our prior, 0.1 to 1 mL

PARAMS = (
    Param("on", "part", "The membrane whose feed it shuts.", roles=("line",), has=("waste to",)),
    Param(
        "closes at",
        "fraction",
        "Part of the feed pressure that the product must reach to shut it.",
        default="unknown",
        low=0.3,
        high=0.9,
        unknown=(LOW, HIGH),
        find_out="Shut the product tube with a gauge before its end: note the pressure at which the waste stops, and "
        "that of the feed.",
        source=Source("two thirds is usual", TRADE, LOW, HIGH),
    ),
    Param(
        "opens again at",
        "fraction",
        "Part of the closing pressure to which the product must fall before it opens again.",
        default=0.75,
        low=0.1,
        high=0.98,
        unknown=(0.75, 0.5, 0.95),
        find_out="With the gauge, let product out drop by drop: note the pressure at which the waste starts again.",
        source=Source("no standard is known to us", PRIOR, 0.5, 0.95),
    ),
)

FAULTS = (
    Fault(
        "waste water runs on",
        "latent",
        "It does not shut: water runs to waste for ever, though the float is shut.",
        "listen at the drain, or hold a jug under the waste tube, an hour after the reservoir is full",
        Rate(0.05, "per year", 3.0, Source("no statistics are known to us", PRIOR, 0.017, 0.15)),
    ),
    Fault(
        "stuck shut", "latent", "It does not open again: no product, and the reservoir runs dry.", "a falling reservoir"
    ),
)


def lower(p: PartView, b: Lowering) -> None:
    """Takes over the feed gate of its membrane; feels the product behind the check valve that follows the membrane, and
    where none does, right behind the membrane."""
    on = p["on"]
    behind = b.follower(on)
    sensed = b.outlet(behind if behind and b.one_way(behind) else on)
    b.spring(sensed, DIAPHRAGM)
    closes = p["closes at"]
    gate = b.gate_ratio(sensed, b.outlet(b.part(on)["after"]), closes, closes * p["opens again at"])
    b.fill_slot(on, "feed", gate)
    b.fault("waste water runs on", [("low", gate, 1.0)])
    b.fault("stuck shut", [("high", gate, 0.0)])


KIND = Kind(
    word="automatic shut-off",
    also=("hydraulic shut-off", "shut-off valve of the membrane", "ASOV"),
    section="water",
    role="line",
    summary="A diaphragm valve that shuts the feed of the membrane when the product tube behind it has been shut.",
    fails="It mostly fails by not shutting: waste water then runs into the drain for ever, and no probe sees it.",
    params=PARAMS,
    ports=(),
    faults=FAULTS,
    lower=lower,
    tests=(
        ProofTest(
            "waste stops",
            "Lift the float by hand until it is shut. Hold a jug under the waste tube.",
            "The waste stops within five minutes, and in the next hour no more drips into the jug than last time.",
            6.0 * MONTH,
        ),
    ),
    symbol='<path d="M0 6 L40 18 V6 L0 18 Z M20 12 V6 M10 6 Q20 -4 30 6 Z" fill="none" stroke="currentColor" '
    'stroke-width="1.5"/>',
    example="shut-off: {kind: automatic shut-off, on: membrane, closes at: unknown}",
    cautions=(
        "Without a check valve behind the membrane it cannot hold: the waste starts again and again, or never stops.",
        "It protects the water bill, not the floor: with a burst product tube there is no pressure to shut it.",
    ),
    notes=("Its diaphragm gives way to 0.3 mL at 2.7 bar (our prior, 0.1 to 1 mL).",),
)

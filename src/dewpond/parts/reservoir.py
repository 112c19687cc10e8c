"""A reservoir beside the tank, open or under a loose lid, with or without an overflow.

It fails by cracking and by its overflow being blocked; over its rim it wets the place it stands in. What it shares with
other vessels, and the laws of its overflow: see ``vessels``.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Kind, Lowering, Param, PartView, ProofTest, Source
from dewpond.parts.open_water import OpenWater
from dewpond.parts.plumbing import BOTTOM, IN, MONTH, PRIOR, check_bottom
from dewpond.parts.vessels import (
    CRACK_NOTE,
    CRACKS,
    FOOTPRINT,
    OVERFLOW,
    OVERFLOW_BLOCKED,
    RIM,
    RULER,
    SIDE_NOTE,
    STARTS_AT,
    check_overflow,
    crack_and_overflow,
    kept_full,
    tell_empty,
)

AT_BOTTOM = 1e-3  # level at which nothing is left to evaporate [m]

PARAMS = (
    IN,
    BOTTOM,
    FOOTPRINT,
    RIM,
    OVERFLOW,
    STARTS_AT,
    RULER,
    Param(
        "evaporation",
        "flow",
        "What evaporates from it: a ruler for a day, with the feed shut and the pump unplugged.",
        default=0.0,
        low=0.0,
        high=1e-3 / 60.0,
        also=("evaporates",),
        usual=(0.0, 2e-3 / 86400.0),
        source=Source("under a lid", PRIOR, 0.0, 0.2e-3 / 86400.0),
    ),
)

FAULTS = (CRACKS, OVERFLOW_BLOCKED)


def lower(p: PartView, b: Lowering) -> None:
    """A vessel, its overflow, its evaporation and the crack it may get."""
    tap = b.tap(p.name)
    crack_and_overflow(p, b, tap)
    if p["evaporation"] > 0.0:
        area = p["footprint"][0] * p["footprint"][1]
        air, humidity = (b.season(word, p["in"]) for word in ("air", "humidity"))
        own = OpenWater(p.name, area, 1.0, 1.0, air, 0.0, air, humidity, p["evaporation"])
        b.evaporates(tap, own, 2.0 * AT_BOTTOM, AT_BOTTOM)
    tell_empty(p, b)


def check(p: PartView) -> list[Finding]:
    """Its bottom is measured from what it stands on, and an overflow above the rim is none."""
    return check_bottom(p) + check_overflow(p)


KIND = Kind(
    word="reservoir",
    also=("storage tank", "container", "water container", "top-off reservoir", "bucket"),
    section="water",
    role="vessel",
    summary="A vessel of purified water beside the tank, from which the top-off pump draws.",
    fails="It cracks, or it is filled over its rim because its feed does not stop, or its overflow is blocked.",
    params=PARAMS,
    ports=(),
    faults=FAULTS,
    lower=lower,
    check=check,
    store=kept_full,
    tests=(
        ProofTest(
            "pour into the overflow",
            "Pour water into it until the overflow runs, faster than the feed could.",
            "The level stops below the rim, and the water ends where it should.",
            12.0 * MONTH,
        ),
    ),
    symbol='<path d="M6 2 V18 H34 V2" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M6 7 H34" stroke="currentColor" stroke-dasharray="4 2"/>',
    example="reservoir: {kind: reservoir, in: cabinet tray, footprint: 40 cm x 30 cm, rim: 320 mm, "
    "bottom: 5 cm above tray, overflow: {at: 29 cm, bore: 20 mm}}",
    cautions=(
        "A reservoir that fills itself has no bottom: its litres no longer limit what can go wrong behind it.",
        "A long thin overflow tube carries next to nothing: about 0.3 L/min for 1/4 in under 20 cm of water.",
    ),
    notes=("Straight walls; what stands in it takes no room.", CRACK_NOTE, SIDE_NOTE),
)

"""A lidded bin of purified water, in another and perhaps colder room, that feeds a line by a fitting near its bottom.

A float valve fills it. Its weak spot is the hole in its wall: a bulkhead fitting whose seal weeps or that is torn out
lets it run out down to there, and what fills it goes on filling. A drain tap that is left open does the same. A line
that leaves it can lead back into it: what stands higher and drowns its own outlet runs back and over its rim. What it
shares with other vessels, and the laws of its overflow: see ``vessels``. Loss of the fitting: a sharp entry and a short
way out, 1.5 velocity heads (from memory).
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Level, Lowering, Param, PartView, Port, ProofTest, Source
from dewpond.parts.plumbing import (
    BOTTOM,
    IN,
    LEFT_BY_HAND,
    MONTH,
    TRADE,
    WEEP,
    above_bottom,
    check_bottom,
    disc,
    left_running,
    loss_of_heads,
    loss_of_hole,
)
from dewpond.parts.vessels import (
    CRACK_NOTE,
    CRACKS,
    EMPTY_BAND,
    FOOTPRINT,
    NONE,
    OVERFLOW,
    OVERFLOW_BLOCKED,
    RIM,
    SIDE_NOTE,
    STARTS_AT,
    check_overflow,
    crack_and_overflow,
    inside,
    kept_full,
    tell_empty,
)

HEADS = 1.5  # velocity heads lost in the fitting [1]; from memory

PARAMS = (
    IN,
    BOTTOM,
    FOOTPRINT,
    RIM,
    Param(
        "bulkhead fitting",
        "level",
        "Height of the fitting in its wall, by which a line leaves it.",
        default=Level(0.05, "bottom"),
        source=Source("as low as a nut can be turned in a flat wall", TRADE, 0.03, 0.15),
        also=("fitting", "outlet", "bulkhead", "tank connector"),
    ),
    Param(
        "fitting bore",
        "bore",
        "Inside diameter of that fitting.",
        default=13e-3,
        low=3e-3,
        high=0.06,
        usual=(4e-3, 0.035),
        source=Source("a half-inch fitting", TRADE, 6e-3, 25e-3),
    ),
    OVERFLOW,
    Param(
        "drain tap",
        "map",
        "A tap at its bottom for emptying it, or the word none.",
        default=NONE,
        words=(NONE,),
        fields=(
            Param(
                "at",
                "level",
                "Height of the tap.",
                default=Level(0.02, "bottom"),
                source=Source("as low as it goes", TRADE, 0.0, 0.1),
            ),
            Param(
                "bore",
                "bore",
                "Narrowest inside diameter of the open tap.",
                default=10e-3,
                low=2e-3,
                high=0.05,
                usual=(3e-3, 0.03),
                source=Source("a half-inch tap", TRADE, 6e-3, 15e-3),
            ),
            Param(
                "to",
                "part",
                "The drain or the place on which it runs; left out: the place of the bin.",
                default=None,
                roles=("drain", "place"),
            ),
        ),
        also=("drain valve", "drain cock"),
    ),
    STARTS_AT,
)

FAULTS = (
    CRACKS,
    Fault(
        "fitting weeps",
        "initiator",
        "The seal of its bulkhead fitting is not quite tight: some litres a day.",
        "a dry tissue held round the fitting",
    ),
    Fault(
        "fitting blows off",
        "initiator",
        "Its bulkhead fitting breaks or is torn out: it runs empty down to there within minutes.",
        "water below it; nothing may hang from the fitting or knock against it",
    ),
    Fault(
        "drain tap left open",
        "initiator",
        "Its drain tap has been left open: it runs empty, and what fills it goes on filling it.",
        "a look at the tap whenever you leave the room",
        LEFT_BY_HAND,
    ),
    OVERFLOW_BLOCKED,
)


def lower(p: PartView, b: Lowering) -> None:
    """A vessel whose line leaves it below the water, and leads back into it when the water comes from there."""
    tap, spec = b.tap(p.name), b.vessel(p.name)
    crack_and_overflow(p, b, tap)
    at = inside(p, b, p["bulkhead fitting"])
    z, bore = spec.bottom + at, p["fitting bore"]
    out, k = b.port("out", z), loss_of_heads(HEADS, bore)
    b.orifice(tap, out, k, b.gate_level(p.name, at + EMPTY_BAND, at))
    # back into it, even while its water is below the fitting
    back = b.junction(z)
    b.check(out, back, 0.0, k)
    b.orifice(back, b.spout(p.name, z), k)
    b.leak(tap, z, p["in"], "fitting weeps", disc(WEEP))
    b.leak(tap, z, p["in"], "fitting blows off", disc(bore))
    if p["drain tap"] != NONE:
        way = p["drain tap"]
        low = spec.bottom + inside(p, b, way["at"])
        runs = left_running(b, "drain tap left open", f"the drain tap of {p.name} is shut by hand")
        end = b.open_end(low, way["to"] or p["in"])
        b.orifice(tap, end, loss_of_hole(disc(way["bore"])), b.gate_signal(runs))
    tell_empty(p, b, at + EMPTY_BAND)


def check(p: PartView) -> list[Finding]:
    """What is let into its wall lies between its bottom and its rim."""
    found = check_bottom(p) + check_overflow(p)
    way = p["drain tap"]
    marks = [("bulkhead fitting", "bin-fitting", p["bulkhead fitting"])]
    if way != NONE:
        marks.append(("drain tap", "bin-drain-tap", way["at"]))
    for key, code, level in marks:
        at = above_bottom(level, p["rim"])
        if at is not None and not 0.0 <= at < p["rim"]:
            found.append(
                Finding(
                    code,
                    "error",
                    p.name,
                    f"The {key} does not lie between the bottom and the rim.",
                    "Measure from the bottom of the bin, inside, to the middle of the hole.",
                    key=key,
                )
            )
    return found


KIND = Kind(
    word="storage bin",
    also=("bin", "storage", "barrel", "water butt", "day tank"),
    section="water",
    role="vessel",
    summary="A lidded bin of purified water, often in another room, with a fitting near its bottom for a line.",
    fails="Its fitting weeps or is torn out, it cracks, its drain tap is left open, or it is filled over its rim.",
    params=PARAMS,
    ports=(Port("out", must_join=False),),
    faults=FAULTS,
    lower=lower,
    check=check,
    store=kept_full,
    tests=(
        ProofTest(
            "tissue at the fitting",
            "With the bin full, hold a dry tissue round its fitting and its drain tap, and look again after an hour.",
            "The tissue is dry, and so is the wall below.",
            3.0 * MONTH,
        ),
        ProofTest(
            "pour into the overflow",
            "Pour water into it until the overflow runs, faster than the feed could.",
            "The level stops below the rim, and the water ends where it should.",
            12.0 * MONTH,
        ),
    ),
    symbol='<path d="M5 4 V18 H31 V4 M3 4 H33 M18 4 V2" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M5 9 H31" stroke="currentColor" stroke-dasharray="4 2"/>'
    '<path d="M31 15 H40 M33 12 V18" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="bin: {kind: storage bin, in: laundry, footprint: 50 cm x 40 cm, rim: 60 cm, bottom: 30 cm above floor, "
    "bulkhead fitting: 5 cm}",
    cautions=(
        "A full bin is heavy, a kilogram a litre: stand it on the floor or on something made for it.",
        "A hole low in its wall can let out all that stands above it: put it where that water does no harm.",
        "Water from a frosty room chills and can burst the tubes behind it: keep bin and line above freezing.",
        "What stands higher can run back into it through a line whose end is under water.",
    ),
    notes=(
        "Straight walls; what stands in it takes no room. Under its lid nothing evaporates.",
        "Water below the fitting cannot be drawn; it counts as empty 5 mm above the fitting.",
        "A pump that draws `from` it takes its water at its own `dry below`, not through the fitting.",
        "The fitting takes 1.5 velocity heads (from memory).",
        "A weeping seal is a hole of 0.2 mm, a fitting torn out its full bore (our prior).",
        "An open drain tap is a hole of its bore. Whoever acts shuts it, beside the valve that people run to.",
        "That the water is colder than elsewhere is not followed.",
        CRACK_NOTE,
        SIDE_NOTE,
    ),
)

"""A reservoir beside the tank, open or under a loose lid, with or without an overflow.

It fails by cracking and by its overflow being blocked; over its rim it wets the place it stands in. An overflow is
sized on the worst inflow, not the usual one. Overflow laws: EPA SWMM 5 for an upright pipe, critical depth at a free
end for an outlet in the side, see ``physics.openings``.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Level, Lowering, Param, PartView, ProofTest, Source, StoreSpec
from dewpond.parts.plumbing import BOTTOM, IN, MONTH, PRIOR, above_bottom, check_bottom, disc
from dewpond.physics.openings import SWMM_WEIR, THIN_WALL, side_outlet_flow
from dewpond.physics.water import G

CRACK = 3e-6  # area of a crack at its bottom [m2]; our prior, 0.3 to 30 mm2
EMPTY, EMPTY_BAND = 0.02, 0.005  # level at which it counts as empty, pump or none, and what tells that [m]
NONE, SIDE, UPRIGHT = "none", "outlet in the side", "upright pipe"
AT_BOTTOM = 1e-3  # level at which nothing is left to evaporate [m]

OVERFLOW = (
    Param("at", "level", "Where it begins to run: the lowest point of the opening, or the lip of the upright pipe."),
    Param(
        "bore",
        "bore",
        "Inside diameter of the overflow.",
        low=3e-3,
        high=0.1,
        also=("diameter", "size", "inside diameter"),
        usual=(5e-3, 0.06),
    ),
    Param(
        "to",
        "part",
        "The drain it ends in, or the place on which it runs; left out: a drain of its own.",
        default=None,
        roles=("drain", "place"),
    ),
    Param("shape", "word", "How it is made.", default=SIDE, words=(SIDE, UPRIGHT)),
)
PARAMS = (
    IN,
    BOTTOM,
    Param(
        "footprint",
        "size",
        "Length and width of the water in it, inside.",
        low=0.02,
        high=5.0,
        also=("size", "dimensions", "base", "area"),
        usual=(0.1, 2.0),
    ),
    Param(
        "rim",
        "height",
        "Height of its rim above its bottom, inside.",
        low=0.02,
        high=3.0,
        also=("height", "depth", "wall height"),
        usual=(0.1, 1.2),
    ),
    Param("overflow", "map", "Its overflow, or the word none.", default=NONE, words=(NONE,), fields=OVERFLOW),
    Param(
        "starts at",
        "level",
        "The level at which a story begins: where it usually stands when full.",
        default=Level(0.05, "rim"),
        source=Source(
            "the mark of what fills it; with none, 50 mm below the rim, but not below half, nor above its overflow",
            PRIOR,
        ),
    ),
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

FAULTS = (
    Fault("cracks", "initiator", "It cracks or its seam opens near the bottom: it runs empty.", "water below it"),
    Fault(
        "overflow blocked",
        "latent",
        "The overflow takes nothing: what should run away goes over the rim.",
        "pour water into it until the overflow runs",
    ),
)


def store(p: PartView, b: Lowering) -> StoreSpec:
    """An upright box of purified water."""
    length, width = p["footprint"]
    rim, bottom = p["rim"], b.height(p, p["bottom"])

    def inside(at: Level) -> float:
        level = above_bottom(at, rim)
        return b.height(p, at) - bottom if level is None else level

    start, holds = inside(p["starts at"]), rim if p["overflow"] == NONE else min(inside(p["overflow"]["at"]), rim)
    if guessed := "starts at" not in p.given:
        start = min(max(start, 0.5 * rim), holds)
    return StoreSpec(
        bottom=bottom,
        heights=(0.0, rim),
        volumes=(0.0, length * width * rim),
        rim=rim,
        start=min(max(start, 0.0), rim),
        dissolved=0.0,
        place=p["in"],
        settles_to=holds if guessed else 0.0,
    )


def overflow_constants(bore: float, shape: str) -> tuple[float, float]:
    """Of Q = c H^1.5 [m1.5/s], at most f H^0.5 [m2.5/s]: an upright pipe by its rim, a side outlet by its full flow."""
    full = THIN_WALL * disc(bore) * (2.0 * G) ** 0.5
    if shape == UPRIGHT:
        return SWMM_WEIR * (2.0 * G) ** 0.5 * 4.0 * disc(bore) / bore, full
    return side_outlet_flow(bore, bore) / bore**1.5, full


def lower(p: PartView, b: Lowering) -> None:
    """A vessel, its overflow, its evaporation and the crack it may get."""
    tap, bottom = b.tap(p.name), b.vessel(p.name).bottom
    b.leak(tap, bottom, p["in"], "cracks", CRACK)
    if p["overflow"] != NONE:
        way = p["overflow"]
        crest = bottom + b.vessel_level(p.name, way["at"])
        end = b.open_end(crest, way["to"]) if way["to"] else b.drain_end(crest)
        gate = b.gate_signal(b.always(True))
        b.weir(p.name, end, *overflow_constants(way["bore"], way["shape"]), gate)
        b.fault("overflow blocked", [("high", gate, 0.0)])
    if p["evaporation"] > 0.0:
        wet = b.gate_level(p.name, 2.0 * AT_BOTTOM, AT_BOTTOM)
        b.fixed_flow(tap, b.air_end(), p["evaporation"], wet, passage=0.0)
    holds_water = b.level_above(p.name, EMPTY + EMPTY_BAND, EMPTY)
    b.say(b.no(holds_water), f"{p.name} is empty", f"{p.name} holds water again", kind="harm")
    b.tally("reservoir empty", b.no(holds_water))


def check(p: PartView) -> list[Finding]:
    """An overflow above the rim is none."""
    way, found = p["overflow"], check_bottom(p)
    at = None if way == NONE else above_bottom(way["at"], p["rim"])
    if at is None or 0.0 < at < p["rim"]:
        return found
    return [
        *found,
        Finding(
            "overflow-above-rim",
            "error",
            p.name,
            "The overflow does not lie between the bottom and the rim.",
            "Measure from the bottom to the lowest point of the opening, or write 'overflow: none'.",
            key="overflow",
        ),
    ]


KIND = Kind(
    word="reservoir",
    also=("storage tank", "container", "water container", "top-off reservoir", "storage", "bin", "barrel", "bucket"),
    section="water",
    role="vessel",
    summary="A vessel of purified water beside the tank, from which the top-off pump draws.",
    fails="It cracks, or it is filled over its rim because its feed does not stop, or its overflow is blocked.",
    params=PARAMS,
    ports=(),
    faults=FAULTS,
    lower=lower,
    check=check,
    store=store,
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
    notes=(
        "Straight walls; what stands in it takes no room.",
        "A crack is 3 mm2 at the bottom (our prior, 0.3 to 30 mm2).",
        "An outlet in the side follows one curve through its flow when just full: up to a fifth too much half full.",
    ),
)

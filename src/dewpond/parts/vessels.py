"""What upright vessels of purified water share: keys, level table, crack, overflow, and when they count as empty.

An overflow is sized on the worst inflow, not the usual one. Overflow laws: EPA SWMM 5 for an upright pipe, critical
depth at a free end for an outlet in the side, see ``physics.openings``.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Level, Lowering, Param, PartView, Source, StoreSpec
from dewpond.parts.plumbing import PRIOR, above_bottom, disc, drain_gates
from dewpond.physics.openings import SWMM_WEIR, THIN_WALL, side_outlet_flow
from dewpond.physics.water import G

CRACK = 3e-6  # area of a crack at its bottom [m2]; our prior, 0.3 to 30 mm2
OVERFLOWS = 2e-3  # above the lowest point of an overflow: it runs [m]
EMPTY, EMPTY_BAND = 0.025, 0.005  # level at which it counts as empty, pump or none, and what tells that [m]
NONE, SIDE, UPRIGHT = "none", "outlet in the side", "upright pipe"

FOOTPRINT = Param(
    "footprint",
    "size",
    "Length and width of the water in it, inside.",
    low=0.02,
    high=5.0,
    also=("size", "dimensions", "base", "area"),
    usual=(0.1, 2.0),
)
RIM = Param(
    "rim",
    "height",
    "Height of its rim above its bottom, inside.",
    low=0.02,
    high=3.0,
    also=("height", "depth", "wall height"),
    usual=(0.1, 1.2),
)
OVERFLOW = Param(
    "overflow",
    "map",
    "Its overflow, or the word none.",
    default=NONE,
    words=(NONE,),
    fields=(
        Param(
            "at", "level", "Where it begins to run: the lowest point of the opening, or the lip of the upright pipe."
        ),
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
    ),
)
STARTS_AT = Param(
    "starts at",
    "level",
    "The level at which a story begins: where it usually stands when full.",
    default=Level(0.05, "rim"),
    source=Source(
        "the mark of what fills it; with none, 50 mm below the rim, but not below half, nor above its overflow", PRIOR
    ),
)
RULER = Param(
    "measured evaporation",
    "map",
    "A ruler in it for a day or more with its feed shut, the top-off running: what the tanks behind it evaporate.",
    default=None,
    fields=(
        Param("fell", "height", "How far its water fell.", low=1e-3, high=1.0, usual=(2e-3, 0.5)),
        Param(
            "over", "duration", "In what time.", low=3600.0, high=40.0 * 86400.0, usual=(20.0 * 3600.0, 15.0 * 86400.0)
        ),
        Param("on", "date", "Day on which the ruler was read for the second time."),
    ),
    also=("ruler", "ruler test", "fell"),
)
CRACKS = Fault("cracks", "initiator", "It cracks or its seam opens near the bottom: it runs empty.", "water below it")
OVERFLOW_BLOCKED = Fault(
    "overflow blocked",
    "latent",
    "The overflow takes nothing: what should run away goes over the rim.",
    "pour water into it until the overflow runs",
)
CRACK_NOTE = "A crack is 3 mm2 at the bottom (our prior, 0.3 to 30 mm2)."
SIDE_NOTE = "An outlet in the side follows one curve through its flow when just full: up to a fifth too much half full."


def inside(p: PartView, b: Lowering, at: Level) -> float:
    """A level as metres above the bottom of the vessel that is just being made."""
    level = above_bottom(at, p["rim"])
    return b.height(p, at) - b.height(p, p["bottom"]) if level is None else level


def upright(p: PartView, b: Lowering, start: float, settles_to: float = 0.0, dissolved: float = 0.0) -> StoreSpec:
    """A vessel of upright walls that begins at ``start`` above its bottom [m]."""
    length, width = p["footprint"]
    rim = p["rim"]
    return StoreSpec(
        bottom=b.height(p, p["bottom"]),
        heights=(0.0, rim),
        volumes=(0.0, length * width * rim),
        rim=rim,
        start=min(max(start, 0.0), rim),
        dissolved=dissolved,
        place=p["in"],
        settles_to=settles_to,
    )


def kept_full(p: PartView, b: Lowering) -> StoreSpec:
    """A vessel that something fills, at the level it starts at, or else where what fills it stops."""
    rim = p["rim"]
    start, holds = inside(p, b, p["starts at"]), rim
    if p["overflow"] != NONE:
        holds = min(inside(p, b, p["overflow"]["at"]), rim)
    if "starts at" in p.given:
        return upright(p, b, start)
    return upright(p, b, min(max(start, 0.5 * rim), holds), settles_to=holds)


def overflow_constants(bore: float, shape: str) -> tuple[float, float]:
    """Of Q = c H^1.5 [m1.5/s], at most f H^0.5 [m2.5/s]: an upright pipe by its rim, a side outlet by its full flow."""
    full = THIN_WALL * disc(bore) * (2.0 * G) ** 0.5
    if shape == UPRIGHT:
        return SWMM_WEIR * (2.0 * G) ** 0.5 * 4.0 * disc(bore) / bore, full
    return side_outlet_flow(bore, bore) / bore**1.5, full


def crack_and_overflow(p: PartView, b: Lowering, tap: int) -> None:
    """The crack that the vessel at ``tap`` may get, and its overflow, if it has one."""
    bottom = b.vessel(p.name).bottom
    b.leak(tap, bottom, p["in"], CRACKS.name, CRACK)
    if p["overflow"] != NONE:
        way = p["overflow"]
        crest = bottom + b.vessel_level(p.name, way["at"])
        end = b.open_end(crest, way["to"]) if way["to"] else b.drain_end(crest)
        ways = drain_gates(b, way["to"])
        law = overflow_constants(way["bore"], way["shape"])
        b.weir(p.name, end, *law, ways[0])
        if len(ways) > 1:
            b.weir(p.name, b.open_end(crest, b.part(way["to"])["in"]), *law, ways[1])
        b.fault(OVERFLOW_BLOCKED.name, [("high", gate, 0.0) for gate in ways])
        at = b.vessel_level(p.name, way["at"])
        above = b.level_above(p.name, at + OVERFLOWS, at)
        b.say(
            above, f"the water in {p.name} stands above its overflow", f"{p.name} stands at its overflow or lower again"
        )


def tell_empty(p: PartView, b: Lowering, at: float = EMPTY) -> None:
    """Words and a tally for a vessel that has run empty, at a level above its bottom [m]."""
    empty = b.any(b.no(b.level_above(p.name, at + EMPTY_BAND, at)))  # one signal for the words and the tally
    b.say(empty, f"{p.name} is all but empty", f"{p.name} holds water again", kind="harm")
    b.tally("reservoir empty", p.name, empty)


def check_overflow(p: PartView) -> list[Finding]:
    """An overflow above the rim is none."""
    way = p["overflow"]
    at = None if way == NONE else above_bottom(way["at"], p["rim"])
    if at is None or 0.0 < at < p["rim"]:
        return []
    return [
        Finding(
            "overflow-above-rim",
            "error",
            p.name,
            "The overflow does not lie between the bottom and the rim.",
            "Measure from the bottom to the lowest point of the opening, or write 'overflow: none'.",
            key="overflow",
        )
    ]

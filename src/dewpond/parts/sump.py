"""A sump under a tank, with a return chamber in which the return pump stands.

The tank drains into it over its weir; baffles hold every chamber but the last at its level, so all evaporation shows in
the return chamber, many times enlarged. When the return pump stops, the tank drains down into the sump: that needs room
below the rim, and a partial overfill takes it away until the next power cut. It fails at its seams.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, ProofTest, Source, StoreSpec, amount
from dewpond.parts.plumbing import BOTTOM, IN, MONTH, PRIOR, above_bottom, check_bottom

CRACK = 1e-6  # area of a leaking seam at its bottom [m2]; our prior, 0.1 to 10 mm2
BAFFLE_ABOVE = 0.02  # crest of the last baffle above the running level of the return chamber [m]
SOON_DRY = 0.015  # fall of the return chamber that leaves hours, not a day, until the return pump draws air [m]
LEAST = 1e-3  # keeps the level table rising [m]

PARAMS = (
    IN,
    BOTTOM,
    Param(
        "footprint",
        "size",
        "Length and width of the water in it, inside, all chambers together.",
        low=0.02,
        high=5.0,
        also=("size", "dimensions", "base", "area"),
        usual=(0.12, 2.5),
    ),
    Param(
        "rim",
        "height",
        "Height of its rim above its bottom, inside.",
        low=0.05,
        high=2.0,
        also=("height", "depth", "wall height"),
        usual=(0.15, 0.8),
    ),
    Param(
        "running level",
        "level",
        "Where the water of the return chamber stands while all runs.",
        also=("water level", "operating level", "normal level"),
    ),
    Param(
        "rises when the return pump stops",
        "length",
        "How far the water in the return chamber rises when you unplug the return pump: a ruler, after five minutes.",
        low=0.0,
        high=1.0,
        also=("drain-down", "drains back", "back siphon"),
        usual=(0.004, 0.35),
    ),
    Param(
        "return chamber",
        "size",
        "Length and width of the chamber in which the return pump stands.",
        low=0.02,
        high=5.0,
        also=("return section", "pump chamber"),
        usual=(0.05, 1.5),
    ),
    Param("return pump needs", "level", "Level in the return chamber below which the return pump draws air."),
    Param(
        "baffle",
        "level",
        "Crest over which the water falls into the return chamber.",
        default=None,
        source=Source("left out: 20 mm above the running level", PRIOR, 0.0, 0.1),
    ),
    Param(
        "stands in",
        "word",
        "Whether doors are shut around it; a closed cabinet lets only half as much evaporate.",
        default="closed cabinet",
        words=("closed cabinet", "open air"),
    ),
)

FAULTS = (
    Fault("seam leaks", "initiator", "A seam near its bottom leaks: a steady trickle of tank water.", "water below it"),
)


def _level(p: PartView, b: Lowering, key: str) -> float:
    """A level of the sump as metres above its bottom."""
    level = above_bottom(p[key], p["rim"])
    return b.height(p, p[key]) - b.height(p, p["bottom"]) if level is None else level


def crest(p: PartView, running: float) -> float:
    """Crest of the last baffle above the bottom [m], between the running level and the rim."""
    told = p["baffle"]
    at = running + BAFFLE_ABOVE if told is None else above_bottom(told, p["rim"])
    return float(min(max(running if at is None else at, running), p["rim"] - LEAST))


def store(p: PartView, b: Lowering) -> StoreSpec:
    """Below the crest of the baffle only the return chamber moves; above it, the whole sump."""
    rim = p["rim"]
    whole, chamber = (p[key][0] * p[key][1] for key in ("footprint", "return chamber"))
    running = _level(p, b, "running level")
    over = crest(p, running)
    held = (whole - chamber) * over
    full = held + chamber * over
    return StoreSpec(
        bottom=b.height(p, p["bottom"]),
        heights=(0.0, over, rim),
        volumes=(held, full, full + whole * (rim - over)),
        rim=rim,
        start=running,
        dissolved=0.0,
        place=p["in"],
    )


def lower(p: PartView, b: Lowering) -> None:
    """The vessel is all; what circulates belongs to the tank that drains into it."""
    spec = b.vessel(p.name)
    b.leak(b.tap(p.name), spec.bottom, p["in"], "seam leaks", CRACK)
    near = b.level_above(p.name, spec.rim - 0.01, spec.rim - 0.015)
    b.say(near, f"the water in {p.name} stands just below its rim", kind="harm")


def check(p: PartView) -> list[Finding]:
    """Marks in order, chamber inside the sump, and room for what the tank drains down."""
    rim, found = p["rim"], check_bottom(p)
    running, needs = (above_bottom(p[key], rim) for key in ("running level", "return pump needs"))

    def object_to(code: str, level: str, what: str, remedy: str, key: str) -> None:
        found.append(Finding(code, "error" if level == "error" else "warning", p.name, what, remedy, key=key))

    if p["return chamber"][0] * p["return chamber"][1] > p["footprint"][0] * p["footprint"][1]:
        object_to(
            "sump-chamber", "error", "The return chamber is larger than the whole sump.",
            "Measure both inside, length and width.", "return chamber",
        )  # fmt: skip
    elif not _fits_into(p["return chamber"], p["footprint"]):
        object_to(
            "sump-chamber-sides", "error", "A side of the return chamber is longer than the sump itself.",
            "Measure both inside, length and width.", "return chamber",
        )  # fmt: skip
    baffle = None if p["baffle"] is None else above_bottom(p["baffle"], rim)
    if baffle is not None and not 0.0 < baffle < rim:
        object_to(
            "sump-baffle", "error", "The crest of the baffle does not lie between the bottom and the rim.",
            "Measure it from the bottom of the sump.", "baffle",
        )  # fmt: skip
    elif baffle is not None and running is not None and baffle < running:
        object_to(
            "sump-baffle", "warning", "The baffle is under water while all runs: the whole sump then moves, not the "
            "return chamber alone. It is reckoned as if its crest lay at the running level.",
            "Measure both from the bottom of the sump while all runs.", "baffle",
        )  # fmt: skip
    if running is not None and not 0.0 < running < rim:
        object_to(
            "sump-running-level", "error", "The running level does not lie between the bottom and the rim.",
            "Measure the return chamber from its bottom while all runs.", "running level",
        )  # fmt: skip
    elif running is not None and running + p["rises when the return pump stops"] >= rim:
        object_to(
            "sump-drain-down", "warning", "When the return pump stops, the water would rise over the rim.",
            "Lower the running level, or raise the end of the return tube so that less drains down.", "running level",
        )  # fmt: skip
    if running is not None and needs is not None and needs >= running:
        object_to(
            "sump-return-pump-needs", "error", "The return pump needs more water than its chamber holds while running.",
            "Unplug the top-off and watch at which level the return pump begins to draw air.", "return pump needs",
        )  # fmt: skip
    elif running is not None and needs is not None and running - needs < SOON_DRY:
        object_to(
            "sump-soon-dry", "warning",
            f"The water of the return chamber may fall by {amount(running - needs, 'height')} until the return pump "
            "draws air: without top-off that is a matter of hours.",
            "Raise the running level or lower the inlet of the return pump; or check both figures.",
            "return pump needs",
        )  # fmt: skip
    if needs is not None and needs <= 0.0:
        object_to(
            "sump-return-pump-needs", "error", "The level that the return pump needs does not lie above the bottom.",
            "Measure it from the bottom of the return chamber.", "return pump needs",
        )  # fmt: skip
    return found


def _fits_into(inner: tuple[float, float], outer: tuple[float, float]) -> bool:
    """Both sides, the longer against the longer, with a finger's breadth for a tape measure held askew."""
    return all(small <= large + 0.01 for small, large in zip(sorted(inner), sorted(outer), strict=True))


KIND = Kind(
    word="sump",
    also=("filter tank", "refuge", "filter sump", "lower tank"),
    section="water",
    role="vessel",
    summary="The vessel under the tank into which it drains, with the chamber of the return pump.",
    fails="Its seams leak. It overflows when more comes than it has room for: top-off, or the tank draining down.",
    params=PARAMS,
    ports=(),
    faults=FAULTS,
    lower=lower,
    check=check,
    store=store,
    tests=(
        ProofTest(
            "unplug the return pump",
            "Unplug the return pump with the sump at its highest usual level, and wait until the water stands still.",
            "The water stays well below the rim, and rises as far as last time.",
            6.0 * MONTH,
        ),
    ),
    symbol='<path d="M3 3 V18 H37 V3 M14 18 V8 M26 18 V6" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M3 6 H26 M26 10 H37" stroke="currentColor" stroke-dasharray="3 2"/>',
    example="big sump: {kind: sump, in: study, bottom: 10 cm above floor, footprint: 90 cm x 40 cm, rim: 400 mm, "
    "running level: 240 mm, rises when the return pump stops: 60 mm, return chamber: 15 cm x 40 cm, "
    "return pump needs: 120 mm}",
    cautions=(
        "Power strips and plugs stand higher than the sump, never below it.",
        "Every litre of overfill takes from the room that the tank needs when the return pump stops.",
    ),
    notes=(
        "Below the crest of its last baffle only the return chamber rises and falls; above it, the whole sump.",
        "Baffles and equipment take no room; a clogged filter sock is not followed.",
        "A leaking seam is 1 mm2 at the bottom (our prior, 0.1 to 10 mm2).",
    ),
)

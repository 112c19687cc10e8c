"""A flush valve: for some seconds it opens a way past the waste restrictor, so that fast water sweeps the membrane.

It opens again and again by its own clock, or when a box orders it, as together with the feed at each start. While it
is open several times the usual waste runs, and what lies before the membrane takes that pressure from the product. It
fails by staying open: waste then runs at mains rate as long as there is feed, a bin fills late or never, and a
hydraulic shut-off, which waits for product pressure, may find too little to shut. It fails by staying shut, which
nobody sees. How long and how often: common practice.
"""

from __future__ import annotations

from dataclasses import replace

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, ProofTest, Rate, Source, amount
from dewpond.parts.plumbing import (
    BEARS,
    BEHIND_RESTRICTOR,
    DRIVEN_BY,
    FEED_SIDE,
    IN_IF_ELSEWHERE,
    JOINT_FAULTS,
    JOINT_NOTE,
    MEMORY,
    MONTH,
    POWER,
    PRIOR,
    QUARTER_INCH,
    THROUGH,
    TRADE,
    height_in_place,
    leak_at_joints,
    loss_of_flow,
    loss_of_heads,
    powered,
    repeats,
    tube_ends,
)
from dewpond.parts.valves import OPEN, SHUT, flow_at_1_bar, obeys

HOUR = 3600.0
HEADS = 1.5  # velocity heads of the tube into it [1]; our prior, 1 to 5

PARAMS = (
    Param("on", "part", "The membrane past whose restrictor it opens.", roles=("line",), has=("waste to",),
          also=("flushes", "of", "after")),
    replace(IN_IF_ELSEWHERE, help="The place it stands in; that of the membrane when left out."),
    Param(
        "lasts", "duration", "How long it is open each time.", default=18.0, low=1.0, high=HOUR, usual=(5.0, 300.0),
        source=Source("15 to 60 s is usual", TRADE, 10.0, 60.0), also=("for", "seconds", "flush time", "duration"),
    ),
    Param(
        "every", "duration", "From one flush to the next by its own clock; not where a box drives it.",
        default=6.0 * HOUR, low=60.0, high=60.0 * 24.0 * HOUR, usual=(0.25 * HOUR, 7.0 * 24.0 * HOUR),
        source=Source("each hour to once a day", TRADE, HOUR, 24.0 * HOUR), also=("interval", "each"),
    ),
    flow_at_1_bar(
        0.15 / HOUR, (0.01 / HOUR, 10.0 / HOUR), (0.02 / HOUR, 3.0 / HOUR),
        Source("small solenoid valve with a hole of 2 to 3 mm, Kv 0.1 to 0.25", MEMORY, 0.1 / HOUR, 0.25 / HOUR),
    ),
    replace(DRIVEN_BY, help="The controller that orders it open; left out: its own clock."),
    THROUGH,
    replace(POWER, help="The power circuit that feeds it; left out: that of what drives it, or, by its own clock, one "
            "that is never dead."),
    BEARS,
    tube_ends(2),
)  # fmt: skip

STUCK_OPEN = Fault(
    "stuck open", "initiator",
    "It stays open: waste runs as fast as the feed gives it while there is feed, and takes the pressure from the "
    "product; a bin fills late or never.",
    "the sound at the drain; a bin that does not fill; a water meter that turns all night",
    Rate(0.03, "per year", 5.0, Source("dirt in a small solenoid valve; no statistics are known to us", PRIOR, 0.006,
                                       0.15)),
)  # fmt: skip
STUCK_SHUT = Fault(
    "stuck shut", "latent",
    "It does not open: the membrane is not swept, and scales sooner.",
    "no rush of water at the drain when it should flush",
    Rate(0.03, "per year", 5.0, Source("no statistics are known to us", PRIOR, 0.006, 0.15)),
)  # fmt: skip


def opened(p: PartView, b: Lowering) -> int:
    """The signal that it is open: by its clock, or so long after each order to open; never without power."""
    if not p["driven by"]:
        return b.all(repeats(b, p["every"], p["lasts"]), powered(str(p["power"] or ""), b))
    order, live = obeys(p, b, SHUT, OPEN)
    return b.all(order, live, b.no(b.on_delay(b.all(order, live), p["lasts"])))


def lower(p: PartView, b: Lowering) -> None:
    """A way from inside the housing to behind its restrictor, open while it flushes."""
    unit = b.part(p["on"])
    z, place = height_in_place(unit, b), p["in"] or unit["in"]
    inside, is_open = b.junction(z), opened(p, b)
    gate = b.gate_signal(is_open)
    b.orifice(b.outlet(p["on"], FEED_SIDE), inside, loss_of_heads(HEADS, QUARTER_INCH))
    b.orifice(inside, b.outlet(p["on"], BEHIND_RESTRICTOR), loss_of_flow(p["flow at 1 bar"], 1e5), gate)
    b.say(is_open, f"{p.name} opens: what feed there is runs past the restrictor", f"{p.name} shuts")
    b.fault(STUCK_OPEN.name, [("force", is_open, 1.0)])
    b.fault(STUCK_SHUT.name, [("force", is_open, 0.0)])
    leak_at_joints(b, inside, z, place, p["tube ends"])


def check(p: PartView) -> list[Finding]:
    """It must shut before it opens again, and a clock that a box takes the place of says nothing."""
    if p["driven by"]:
        if "every" not in p.given:
            return []
        return [
            Finding(
                "flush-two-clocks", "warning", p.name,
                f'"every" has no effect: {p["driven by"]} orders it open.',
                "Take the key out, or leave 'driven by' out where it has a clock of its own.", key="every",
            )
        ]  # fmt: skip
    if p["lasts"] < 0.5 * p["every"]:
        return []
    return [
        Finding(
            "flush-always", "error", p.name,
            f"A flush lasts {amount(p['lasts'], 'duration')} and comes every {amount(p['every'], 'duration')}: it "
            "would hardly ever be shut.",
            "Write seconds for 'lasts' and hours for 'every'.", key="lasts",
        )
    ]  # fmt: skip


KIND = Kind(
    word="auto flush",
    also=("flush valve", "automatic flush", "flush kit", "flushing valve", "membrane flush"),
    section="water",
    role="line",
    summary="A valve past a membrane's waste restrictor that opens for some seconds, so that fast water sweeps it.",
    fails="It stays open, and waste runs at mains rate while there is feed; or it stays shut, and nobody sees it.",
    params=PARAMS,
    ports=(),
    faults=(STUCK_OPEN, STUCK_SHUT, *JOINT_FAULTS),
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "watch a flush",
            "Stand at the end of the waste tube when it should flush, with a jug and a clock; then watch it shut.",
            "Several times the usual waste runs for as long as written, and then as much as on the last day of jugs.",
            3.0 * MONTH,
        ),
    ),
    symbol='<path d="M0 6 H40 M8 6 V14 M32 6 V14" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M8 10 L32 18 V10 L8 18 Z" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M16 6 q4 -6 8 0" fill="none" stroke="currentColor"/>',
    example="flush: {kind: auto flush, on: membrane, lasts: 18 s, every: 6 h, power: laundry circuit}",
    cautions=(
        "Stuck open it can keep a hydraulic shut-off from shutting: a feed valve before the unit ends that.",
        "The waste tube and its drain must take all that runs while it is open: try it with the drain in view.",
        "Rinse what stands in the housing as its maker says; a longer flush costs water and wins little.",
    ),
    notes=(
        "Its clock begins with the story, and the first flush comes after one interval; without power it is shut.",
        "Driven by a box it is open for its time after each order, and must be ordered shut before the next.",
        (
            "For a flush at each start let the row that opens the feed open it as well. Where floats and a hydraulic "
            "shut-off alone start the unit, nothing tells it of a start: give the interval of its clock."
        ),
        "It opens and shuts at once. That a swept membrane lives longer is not reckoned.",
        JOINT_NOTE,
    ),
)

"""A flow meter in a line: a small wheel whose turns a box counts.

It tells a box that water runs, and that more has run than should since midnight, or since somebody put the count back.
A wheel needs a least flow to turn, so that a drip or a float that seeps is never seen. It fails by a wheel that sticks,
by missing more and more of slow flow, by a box that counts each turn twice, and by its wire.

Sources: what turns a small wheel, from memory; rates our priors.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, Upkeep, amount
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    DAY,
    HEIGHT,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MEMORY,
    MONTH,
    PRIOR,
    YEAR,
    height_in_place,
    leak_at_joints,
    loss_of_flow,
    powered,
    tube_ends,
)
from dewpond.parts.sensing import LEAD, WIRE_RATE
from dewpond.parts.valves import flow_at_1_bar

LITRE_A_MINUTE = 1e-3 / 60.0
MIDNIGHT, BY_HAND = "midnight", "put back by hand"
CLEARED = "cleared"
RESTS = 0.7  # of the flow that turns its wheel, at which that stands still again [1]; our prior
WORN = 5.0  # times its least flow, that one needs which misses slow flow [1]; our prior, 2 to 20

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "wired to", "part", "The controller that counts its pulses.", roles=("box",),
        also=("connected to", "input of", "counted by"),
    ),
    Param(
        "least flow", "flow", "What must run for its wheel to turn: it never sees what is slower.",
        default=0.1 * LITRE_A_MINUTE, low=0.5e-3 * LITRE_A_MINUTE, high=20.0 * LITRE_A_MINUTE,
        usual=(2e-3 * LITRE_A_MINUTE, 3.0 * LITRE_A_MINUTE),
        find_out="Let a thin stream run into a jug, thinner each time, until the box counts nothing more.",
        source=Source(
            "small wheels begin to turn between a twentieth and half a litre a minute", MEMORY,
            0.02 * LITRE_A_MINUTE, 0.5 * LITRE_A_MINUTE,
        ),
        also=("starts at", "minimum flow", "starting flow"),
    ),
    Param(
        "running above", "flow", "The flow from which its box says “running”; left out: as soon as its wheel turns.",
        default=None, low=0.5e-3 * LITRE_A_MINUTE, high=50.0 * LITRE_A_MINUTE,
        usual=(2e-3 * LITRE_A_MINUTE, 20.0 * LITRE_A_MINUTE), also=("alarm flow", "reports from"),
    ),
    Param(
        "told after", "duration", "How long water must run, or must not, until its box says so.",
        default=5.0, low=1.0, high=3600.0, usual=(1.0, 120.0),
        source=Source("some pulses must come before a flow is known", PRIOR, 1.0, 60.0),
        also=("delay", "averaged over"),
    ),
    Param(
        "too much above", "volume", "The litres from which its box says “too much”; left out: it never does.",
        default=None, low=0.1e-3, high=10.0, usual=(1e-3, 2.0), also=("limit", "daily limit", "at most"),
    ),
    Param(
        "counted since", "word", "Since when those litres count.", words=(MIDNIGHT, BY_HAND), default=MIDNIGHT,
        also=("counts from", "reset", "resets"),
    ),
    flow_at_1_bar(
        10.0 * LITRE_A_MINUTE, (0.2 * LITRE_A_MINUTE, 200.0 * LITRE_A_MINUTE),
        (LITRE_A_MINUTE, 60.0 * LITRE_A_MINUTE),
        Source("small wheel in a bore of 4 to 6 mm", PRIOR, 3.0 * LITRE_A_MINUTE, 30.0 * LITRE_A_MINUTE),
    ),
    LEAD,
    BEARS,
    tube_ends(2),
)  # fmt: skip

COUNT_TEST = "fill a jug through it: does its box count as much?"

STUCK = Fault(
    "wheel stuck", "latent", "Its wheel does not turn: it sees nothing, however much runs.", COUNT_TEST,
    Rate(0.05, "per year", 3.0, Source("scale, a grain of carbon or of resin in a small wheel", PRIOR, 0.017, 0.15)),
)  # fmt: skip
SLOW = Fault(
    "misses slow flow", "latent",
    "Its wheel has grown stiff: it needs five times its least flow, and never sees what is slower.",
    "fill a jug through it as slowly as in use: does its box count as much?",
    Rate(0.1, "per year", 3.0, Source("scale and wear of the bearing", PRIOR, 0.03, 0.3)),
)  # fmt: skip
DOUBLE = Fault(
    "box counts double", "latent", "Its box counts each turn twice: half the litres are too much for it.", COUNT_TEST,
    Rate(0.01, "per year", 5.0, Source("a contact that bounces, a wrong figure in the box", PRIOR, 0.002, 0.05)),
)  # fmt: skip
WIRE_BROKEN = Fault(
    "wire broken", "latent", "Its wire is cut or its plug is loose: no pulse comes any more.", COUNT_TEST, WIRE_RATE
)


def lower(p: PartView, b: Lowering) -> None:
    """A small loss; the wheel, its wire and the box that counts, each a signal of its own."""
    z, place = height_in_place(p, b), p["in"]
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    edge = b.orifice(inlet, outlet, loss_of_flow(p["flow at 1 bar"], 1e5))
    stiff = b.any(b.always(False))
    turns = b.any(_turns(b, edge, p["least flow"], stiff))
    pulses = b.any(turns)
    fast = pulses if p["running above"] is None else b.all(pulses, _above(b, edge, p["running above"]))
    runs = b.any(b.off_delay(b.on_delay(fast, p["told after"]), p["told after"]))
    b.condition("running", runs)
    b.condition("still", b.no(runs))
    b.say(runs, f"{p.name} tells that water runs", f"{p.name} tells that none runs any more")
    double = _count(p, b, edge, pulses) if p["too much above"] is not None else b.any(b.always(False))
    b.fault(STUCK.name, [("force", turns, 0.0)])
    b.fault(SLOW.name, [("force", stiff, 1.0)])
    b.fault(DOUBLE.name, [("force", double, 1.0)])
    b.fault(WIRE_BROKEN.name, [("force", pulses, 0.0)])
    half = 0.5 * p["tube ends"]
    leak_at_joints(b, inlet, z, place, half, where="before the meter")
    leak_at_joints(b, outlet, z, place, half, where="behind the meter")


def _above(b: Lowering, edge: int, flow: float) -> int:
    return b.flow_above(edge, flow, RESTS * flow)


def _turns(b: Lowering, edge: int, least: float, stiff: int) -> int:
    """That its wheel turns; ``stiff``: only from a flow on that is so many times as fast."""
    return b.any(b.all(_above(b, edge, least), b.no(stiff)), _above(b, edge, WORN * least))


def _count(p: PartView, b: Lowering, edge: int, pulses: int) -> int:
    """What the box makes of its pulses, "too much"; returns the signal that it counts each twice."""
    box = b.part(p["wired to"])
    listens = b.listens(box.name)
    by_hand = p["counted since"] == BY_HAND
    # a box that does not work learns of no midnight
    begins = b.all(b.rearm(f"the count of {p.name}") if by_hand else b.at_midnight(), listens)
    if (box.get("after a restart") or {}).get("counts") == CLEARED:
        begins = b.any(begins, b.no(powered(str(box["power"]), b)))
    double, counts = b.any(b.always(False)), b.all(pulses, listens)
    most = p["too much above"]
    full = b.any(b.passed(edge, most, begins, counts), b.all(double, b.passed(edge, 0.5 * most, begins, counts)))
    b.condition("too much", full)
    since = "its count was put back" if by_hand else "midnight"
    b.say(full, f"{p.name} reports too much: so many litres since {since}", f"{p.name} counts anew", "notice")
    return double


def check(p: PartView) -> list[Finding]:
    """What it never sees, in litres a day; a mark below what turns it."""
    hides = amount(p["least flow"] * DAY, "volume")
    found = [
        Finding(
            "meter-blind", "note", p.name,
            f"It never sees what runs more slowly than turns its wheel: a drip, or a float that seeps, may pass it "
            f"with up to {hides} a day.",
            "Measure its least flow with a jug; what is slower, only a probe on the floor finds, or a level.",
            key="least flow",
        )
    ]  # fmt: skip
    above = p["running above"]
    if above is not None and above < p["least flow"]:
        least = amount(p["least flow"], "flow")
        what = f"Its box is to say “running” from a flow on at which its wheel does not turn yet: that takes {least}."
        found.append(
            Finding("meter-mark", "warning", p.name, what, "Leave it out, or give a greater flow.", key="running above")
        )
    return found


KIND = Kind(
    word="flow meter",
    also=("flow sensor", "water meter", "pulse counter", "flowmeter", "flow switch"),
    section="water",
    role="line",
    summary="A small wheel in a line; a box counts its turns, and tells that water runs, or that too much has run.",
    fails="Its wheel sticks or misses slow flow, its box counts double, its wire is cut, and its joints leak.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=(STUCK, SLOW, DOUBLE, WIRE_BROKEN, *JOINT_FAULTS),
    lower=lower,
    check=check,
    symbol='<path d="M0 10 H11 M29 10 H40" stroke="currentColor" stroke-width="2"/>'
    '<circle cx="20" cy="10" r="9" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M20 10 V3 M20 10 L26 14 M20 10 L14 14" stroke="currentColor" stroke-width="1.5"/>',
    example="feed meter: {kind: flow meter, after: stop tap, in: laundry, wired to: cellar box, too much above: 120 L}",
    tests=(
        ProofTest(
            "fill a jug through it",
            "Let a jug and a half run through it as fast as in use, then the same as slowly as the thinnest stream in "
            "use; see each time what its box shows.",
            "It counts both within a tenth, and shows that water runs while it does.",
            6.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Blow or rinse its wheel clean; see that it turns freely.", YEAR),),
    cautions=(
        "It sees no drip: it stands beside probes on the floor, and in the place of none.",
        "Behind a membrane as little as a tenth of a litre a minute runs: in the feed it sees waste water as well.",
        "Set its litres above the greatest ordinary day, waste water and a full refill included.",
    ),
    notes=(
        "Its wheel stands still again at seven tenths of the flow that turns it (our prior).",
        "One that misses slow flow needs five times its least flow (our prior, 2 to 20).",
        "What is slower than its least flow is not counted, and what runs back neither.",
        "Its box counts only while it has power and works; whether a count outlives a cut stands at the box.",
        "Where a shut-off goes to and fro faster than is followed, its mean flow counts.",
        "A count that is put back by hand is put back by nobody within a run.",
        "Half of the tube ends are counted before it, half behind it.",
        JOINT_NOTE,
    ),
)

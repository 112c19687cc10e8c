"""The waste line of a reverse-osmosis unit: the tube from its restrictor to a standpipe, a sink or a floor drain.

It carries four fifths of the water, unwatched, into a drain that other things use too. Its end slips out, and all waste
runs over the floor whenever the unit makes water; it is kinked or overgrown, and the waste stops; its drain backs up.
Pushed down into the drain, it can draw dirty water back. Friction and fittings as any tube; rates: our prior.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Source
from dewpond.parts.gaps import BESIDE, FALLS_OUT, SIZE, check_gap, opening
from dewpond.parts.plumbing import IN, MONTH, PRIOR, TRADE, drain_gates, loss_of_heads

ELBOW = 3.0  # velocity heads of a push-in elbow [1]; Hooper 1981 gives 2.8 for a screwed one in 4.3 mm
FREE_END = 1.0  # and of its end [1]
HALF_SHUT = 1000.0  # loss of an overgrown or half kinked tube over that of a clean one [1]; our prior, 100 to 10 000

PARAMS = (
    Param(
        "waste of", "part", "The membrane whose waste water it carries.", roles=("line",), has=("waste to",),
        also=("after", "from"), joins="waste",
    ),
    IN,
    Param(
        "to", "part", "The drain in which it ends.", roles=("drain",), also=("waste to", "ends in", "drain"),
    ),
    Param("length", "length", "Its whole length.", low=0.05, high=50.0, usual=(0.2, 15.0), also=("run",)),
    SIZE,
    Param(
        "ends at", "height", "Height of its end above the floor of the room in which the drain is.", default=0.9,
        low=-1.0, high=4.0, usual=(-0.2, 2.5), also=("end", "outlet height"),
        source=Source("over the rim of a washing machine's standpipe", TRADE, 0.6, 1.2),
    ),
    Param(
        "elbows", "count", "How many elbows are in it.", default=2, low=0, high=50, usual=(0, 20),
        source=Source("one at each end", TRADE, 0.0, 10.0),
    ),
    Param(
        "air gap", "height", "From its end straight down to the rim of the drain; below 0 where it is pushed down into "
        "it.", default=0.03, low=-1.0, high=1.0, usual=(-0.3, 0.2), also=("gap",),
        source=Source("a clip over the standpipe", PRIOR, 0.0, 0.1),
    ),
    BESIDE,
)  # fmt: skip

FAULTS = (
    Fault(
        "out of its drain", "initiator",
        "Its end has slipped out of the standpipe or off its clip: all waste water runs on the floor of that room "
        "whenever the unit makes water.",
        "pull at its end: the clip must hold it", FALLS_OUT,
    ),
    Fault(
        "blocked", "latent",
        "It is kinked shut or blocked: all that enters the unit must leave as product, and the membrane scales.",
        "no waste water at its end while product is made",
    ),
    Fault(
        "half blocked", "latent",
        "It is overgrown or half kinked: little waste runs, the unit wastes less and its membrane scales early.",
        "a jug at its end: less than the last time",
    ),
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """A tube up or down to its end; from there into the drain, or over the floor of its room."""
    room, bore = b.part(p["to"])["in"], opening(p)
    z = b.place_height(room) + p["ends at"]
    clear = b.gate_signal(b.always(True))
    foot = b.junction(z)
    tube = b.tube(b.outlet(p["waste of"], "waste"), foot, bore, p["length"], ELBOW * p["elbows"], clear)
    held, fallen = drain_gates(b, p["to"])
    end = loss_of_heads(FREE_END, bore)
    b.orifice(foot, b.open_end(z, p["to"]), end, held)
    b.orifice(foot, b.open_end(z, room), end, fallen)
    b.fault("out of its drain", [("high", held, 0.0), ("low", fallen, 1.0)])
    b.fault("blocked", [("high", clear, 0.0)])
    b.fault("half blocked", [("scale", tube, HALF_SHUT)])


def check(p: PartView) -> list[Finding]:
    """Its end hangs in air, high enough over its drain."""
    return check_gap(p, "air gap")


KIND = Kind(
    word="waste line",
    also=("waste tube", "drain line", "brine line", "concentrate line"),
    section="water",
    role="line",
    summary="The tube that carries a membrane's waste water to a standpipe or another drain.",
    fails="Its end slips out of its drain, it is blocked, or the drain backs up: most of the unit's water is in it.",
    params=PARAMS,
    ports=(Port("in"),),
    faults=FAULTS,
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "pull at its end",
            "While the unit makes water, look at its end, pull at it, and hold a jug under it for a minute.",
            "It does not move, it hangs in air over its drain, and the jug is as full as the last time.",
            3.0 * MONTH,
        ),
    ),
    symbol='<path d="M0 4 H22 V9" fill="none" stroke="currentColor" stroke-width="2" stroke-dasharray="4 2"/>'
    '<path d="M17 12 V20 M27 12 V20" stroke="currentColor" stroke-width="1.5"/>',
    example="waste line: {kind: waste line, waste of: membrane, in: laundry, to: floor drain, length: 2 m, "
    "ends at: 5 cm, air gap: 30 mm}",
    cautions=(
        "Fix its end over the drain, with air between, never down inside it: dirty water must not be drawn back.",
        "A washing machine's surge pushes a loose tube out of a standpipe: clip it, and look after the next wash.",
        "It carries water at every fill, also with nobody at home: put a probe where its end would hang.",
    ),
    notes=(
        "It takes the place of the membrane's `waste to`. That it comes off at the unit is a fault of the membrane.",
        "A half blocked one takes a thousand times what it takes when clean (our prior, 100 to 10 000).",
        "Its joints see next to no pressure, and are not counted. A wash that overruns the standpipe is not followed.",
    ),
)

"""A water softener before the unit: a resin that takes calcium and magnesium, and gives sodium for it.

Scale does not form on a membrane behind it. Every so many days it regenerates: for some minutes water runs through its
resin to a drain, with the salt of its brine tank. It fails by staying in that state, and then all that runs is lost; by
its brine tank running over; and, unseen, by passing hard water. What a regeneration takes: our prior, checked by a jug.
Sodium for hardness: 2 x 22.99 g for 100.09 g of calcium carbonate (molar masses), dissolved solids then 6 % of the
hardness more. No statistics of softeners are known to us.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import (
    Fault,
    Kind,
    Lowering,
    Param,
    PartView,
    Port,
    ProofTest,
    Rate,
    Source,
    Upkeep,
    amount,
)
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    DAY,
    HEIGHT,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MONTH,
    PRIOR,
    TRADE,
    drain_gates,
    height_in_place,
    leak_at_joints,
    loss_of_flow,
    powered,
    repeats,
    supply_pressure_at,
    tube_ends,
)

MINUTE = 60.0
BEDS = 10.0  # water of a regeneration over the volume of the resin [1]; our prior, 6 to 15
TAIL = 0.01  # part of what limits a regeneration that lies in its drain tube [1]; our prior
BYPASS = 0.01  # loss of the open bypass over that of the softener [1]; our prior, 0.001 to 0.1
RATED = 10e-3 / MINUTE  # flow at which its loss is given [m3/s]
LEAST_PRESSURE = 1e4  # keeps its flows finite where the supply hardly reaches it [Pa]

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "resin", "volume", "How much resin is in its bottle.", default=10e-3, low=0.5e-3, high=0.2,
        usual=(2e-3, 60e-3), source=Source("small ones for a house", TRADE, 4e-3, 30e-3),
        also=("resin volume", "size", "capacity"),
    ),
    Param(
        "drop at 10 L/min", "pressure", "Pressure that it takes at 10 L/min.", default=2e4, low=0.0, high=2e5,
        usual=(2e3, 1e5), source=Source("head and bed of a small one", PRIOR, 5e3, 8e4), also=("pressure loss", "drop"),
    ),
    Param(
        "regenerates every", "duration", "From the start of one regeneration to the start of the next.",
        default=7.0 * DAY, low=0.5 * DAY, high=60.0 * DAY, usual=(DAY, 30.0 * DAY), also=("every", "interval"),
        source=Source("once a week; by a clock, or by a water meter in it", TRADE, 2.0 * DAY, 14.0 * DAY),
    ),
    Param(
        "regeneration lasts", "duration", "How long water runs to the drain each time.", default=60.0 * MINUTE,
        low=5.0 * MINUTE, high=300.0 * MINUTE, usual=(15.0 * MINUTE, 180.0 * MINUTE), also=("lasts", "takes"),
        source=Source("backwash, brine and rinse together", TRADE, 30.0 * MINUTE, 100.0 * MINUTE),
    ),
    Param(
        "water for it", "volume", "What one regeneration sends to the drain: the water meter before and after.",
        default=None, low=5e-3, high=2.0, usual=(20e-3, 0.5), also=("regeneration water", "water per regeneration"),
        source=Source("left out: ten times the volume of its resin", PRIOR, 50e-3, 300e-3),
    ),
    Param(
        "rinse water to", "part", "The drain in which its drain tube ends, or the place on which it runs; left out: a "
        "drain of its own.", default=None, roles=("drain", "place"), also=("drain", "drains to", "to"),
    ),
    Param(
        "brine tank fills at", "flow", "What runs into its brine tank while that fills.", default=1e-3 / MINUTE,
        low=0.1e-3 / MINUTE, high=10e-3 / MINUTE, usual=(0.2e-3 / MINUTE, 4e-3 / MINUTE),
        source=Source("a small flow control behind its valve", PRIOR, 0.5e-3 / MINUTE, 2e-3 / MINUTE),
    ),
    Param("power", "part", "The power circuit of its clock; left out: it needs none.", default=None,
          roles=("circuit",), also=("circuit", "plugged into")),
    Param(
        "bore", "bore", "Inside diameter of the tube or hose it is joined with.", default=9.5e-3, low=3e-3, high=30e-3,
        usual=(4e-3, 25e-3), source=Source("half-inch tube; a hose for the whole house has more", TRADE, 4.3e-3, 0.02),
    ),
    BEARS,
    tube_ends(2),
    Param("salt filled on", "date", "When salt was put in last.", default=None),
)  # fmt: skip

STUCK = Fault(
    "stuck in regeneration", "initiator",
    "It stays in its regeneration: water runs to its drain without end, and what it passes on is hard.",
    "the sound of water at its drain; a water meter that turns while nobody draws",
    Rate(0.02, "per year", 5.0, Source("dirt or wear in its valve; no statistics are known to us", PRIOR, 0.004, 0.1)),
)  # fmt: skip
RUNS_OVER = Fault(
    "brine tank runs over", "initiator",
    "The valve that fills its brine tank does not shut and the float in there sticks: salt water runs over its rim.",
    "lift the float while it fills: the stream must end at once",
    Rate(0.01, "per year", 5.0, Source("two small valves of one tank; no statistics are known to us", PRIOR, 0.002,
                                       0.05)),
)  # fmt: skip
BYPASS_OPEN = Fault(
    "bypass open", "latent",
    "Its bypass stands open: hard water goes on to the membrane, which scales and wears sooner.",
    "a hardness strip behind it",
    Rate(0.05, "per year", 5.0, Source("left open after work on it", PRIOR, 0.01, 0.25)),
)  # fmt: skip
NO_SALT = Fault(
    "out of salt", "latent",
    "Its salt is used up or has caked into a bridge: it regenerates with water alone and passes hard water.",
    "a look into the brine tank: salt stands above the water; a hardness strip behind it",
    Rate(0.3, "per year", 3.0, Source("a refill forgotten once in some years", PRIOR, 0.1, 0.9)),
)  # fmt: skip


def rinse(p: PartView, b: Lowering, inlet: int, z: float, regenerates: int) -> None:
    """The way to its drain, or, where that backs up, over the floor of the room of that drain."""
    to, pressure = p["rinse water to"], max(supply_pressure_at(b, z), LEAST_PRESSURE)
    water = BEDS * p["resin"] if p["water for it"] is None else p["water for it"]
    k = loss_of_flow(water / p["regeneration lasts"], pressure)
    gate, tail = b.gate_signal(regenerates), b.junction(z)
    b.orifice(inlet, tail, (1.0 - TAIL) * k, gate)
    ways = drain_gates(b, to)
    b.orifice(tail, b.open_end(z, to) if to else b.drain_end(z), TAIL * k, ways[0])
    if len(ways) > 1:
        b.orifice(tail, b.open_end(z, b.part(to)["in"]), TAIL * k, ways[1])
    b.fault(STUCK.name, [("force", regenerates, 1.0)])


def lower(p: PartView, b: Lowering) -> None:
    """A loss in the line; beside it the bypass, the way to the drain and that into the brine tank."""
    z, place = height_in_place(p, b), p["in"]
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    k = max(loss_of_flow(RATED, p["drop at 10 L/min"]), 1.0)
    through, bypass, brine = b.orifice(inlet, outlet, k), b.gate_leak(), b.gate_leak()
    b.orifice(inlet, outlet, BYPASS * k, bypass)
    b.fault(BYPASS_OPEN.name, [("low", bypass, 1.0)])
    b.fault(NO_SALT.name, [("passage", through, 1.0)])  # as much is dissolved in it, of another sort
    stands = b.no(powered(p["power"] or "", b))
    regenerates = repeats(b, p["regenerates every"], p["regeneration lasts"], stands)
    b.say(regenerates, f"{p.name} regenerates: water runs to its drain", f"{p.name} has regenerated")
    rinse(p, b, inlet, z, regenerates)
    fills = loss_of_flow(p["brine tank fills at"], max(supply_pressure_at(b, z), LEAST_PRESSURE))
    b.orifice(inlet, b.open_end(z, place), fills, brine)
    b.fault(RUNS_OVER.name, [("low", brine, 1.0)])
    leak_at_joints(b, inlet, z, place, p["tube ends"], p["bore"])


def check(p: PartView) -> list[Finding]:
    """It must be through with one regeneration before the next is due."""
    every, lasts = p["regenerates every"], p["regeneration lasts"]
    if lasts < 0.5 * every:
        return []
    return [
        Finding(
            "softener-always", "error", p.name,
            f"A regeneration lasts {amount(lasts, 'duration')} and comes every {amount(every, 'duration')}: it would "
            "hardly do anything else.",
            "Take both from its display, or from a night beside it; 'regenerates every' is mostly some days.",
            key="regeneration lasts",
        )
    ]  # fmt: skip


KIND = Kind(
    word="softener",
    also=("water softener", "ion exchanger", "descaler", "salt softener", "softening unit"),
    section="water",
    role="line",
    summary="A resin before the unit that swaps hardness for sodium, and regenerates with salt every so many days.",
    fails="It stays in regeneration and wastes water, its brine tank runs over, or hard water passes it unseen.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=(STUCK, RUNS_OVER, BYPASS_OPEN, NO_SALT, *JOINT_FAULTS),
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "hardness strip",
            "Hold a hardness strip into water from behind it, and one into water from before it.",
            "Behind it the strip shows soft, before it the hardness of the house.",
            MONTH,
        ),
        ProofTest(
            "float of the brine tank",
            "Start a regeneration by hand, wait until its brine tank fills, and lift the float in there.",
            "The stream ends at once, and an hour after the end no water runs at its drain.",
            6.0 * MONTH,
        ),
    ),
    upkeep=(
        Upkeep(
            "Fill in salt, break bridges of caked salt, look at the water in the brine tank.", MONTH, "salt filled on"
        ),
    ),
    symbol='<path d="M0 10 H8 M22 10 H40 M8 3 H22 V18 H8 Z M26 10 V12" fill="none" stroke="currentColor" '
    'stroke-width="1.5"/><path d="M26 12 H36 V19 H26 Z M15 18 V20" fill="none" stroke="currentColor"/>'
    '<text x="15" y="13" font-size="7" text-anchor="middle">Na</text>',
    example="softener: {kind: softener, after: stop tap, in: laundry, resin: 12 L, regenerates every: 5 d, "
    "regeneration lasts: 70 min, water for it: 110 L, rinse water to: floor drain}",
    cautions=(
        "Ask the maker of the membrane how much sodium and which salt it takes, and whether the softener is wanted.",
        "Local rules may forbid or limit softeners and their salty waste water; ask before you fit one.",
        "Its drain tube ends in air over its drain, with the gap that the local code wants.",
        "Softened water has more sodium: whoever must eat little salt keeps a hard tap for drinking.",
        "Unplug it with the water shut: many stop where they are without power, also in the middle of a regeneration.",
    ),
    notes=(
        (
            "For 100 mg/L of hardness (as calcium carbonate) it gives 46 mg/L of sodium and 6 mg/L more dissolved "
            "solids (molar masses): the pen shows about the same, and no run follows what is dissolved."
        ),
        "It goes by its own clock: the first regeneration of a story begins after one interval, not at night.",
        "A regeneration runs at one rate, as if supply and flow control held it; a weaker supply gives less.",
        "While it regenerates it passes hard water on, as most do. Without power it stays as it is.",
        "A brine tank that runs over does so at once and to the end: the room left in it is not counted.",
        "That a membrane scales sooner behind one that passes hard water is a fault of that membrane.",
        "An open bypass loses a hundredth of what the softener does (our prior, a thousandth to a tenth).",
        JOINT_NOTE,
    ),
)

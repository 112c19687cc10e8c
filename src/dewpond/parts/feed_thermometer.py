"""A thermometer clipped to the feed line, with a contact: it warns of hot water on its way to the membrane.

Where the feed is taken from a mixer tap, hot water can cross over into it: through worn seals, or when the lever stands
half-way and what is behind it is shut. Membranes bear 45 C at most, anion resin little more, and tubes and bowls that
are made for cold water burst sooner. It fails by slipping off the tube, by reading hot for ever, and by its wire.

Sources: what a membrane bears, from memory of makers' sheets (40 to 45 C); rates our priors.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, Upkeep, amount
from dewpond.parts.plumbing import BEARS_HEAT, MEMORY, MONTH, PRIOR
from dewpond.parts.sensing import CONTACT_STATES, LEAD, WIRE_RATE, WIRED_TO, heard, reading

PARAMS = (
    Param(
        "reads", "part", "The part behind which it is clipped to the line: before the membrane, and far from it.",
        roles=("line", "device"), looks=True, also=("after", "behind", "on", "clipped to"),
    ),
    Param(
        "hot above", "temperature", "The temperature from which it says “hot”.",
        default=313.15, low=293.15, high=353.15, usual=(301.15, 318.15),
        source=Source("40 C: below what a membrane bears, above any cold pipe", MEMORY, 308.15, 318.15),
        also=("limit", "alarm at", "set to"),
    ),
    Param(
        "told after", "duration", "How long hot water must run past it until it says so.",
        default=30.0, low=1.0, high=3600.0, usual=(5.0, 600.0),
        source=Source("the wall of the tube warms first", PRIOR, 10.0, 120.0), also=("delay",),
    ),
    WIRED_TO,
    Param(
        "contact", "word", "What its contact does: hold it in your hand, then in hot water, and measure.",
        words=("closes when hot", "opens when hot"),
    ),
    Param("read as hot when", "word", "At which contact the input says hot.", words=CONTACT_STATES),
    LEAD,
)  # fmt: skip

CUP = "hold it in a cup of hot water: does its controller report it?"

COLD = Fault(
    "reads cold for ever", "latent", "It has slipped off the tube, or is dead: it finds no hot water.", CUP,
    Rate(0.05, "per year", 3.0, Source("a clip that was moved aside and not put back", PRIOR, 0.017, 0.15)),
)  # fmt: skip
HOT = Fault(
    "reads hot for ever", "event", "It reports hot water in a cold line: a false report.",
    "it reports hot water, and the tube is cold",
    Rate(0.02, "per year", 5.0, Source("a wrong setting, sunlight, a heating pipe beside it", PRIOR, 0.004, 0.1)),
)  # fmt: skip
WIRE_BROKEN = Fault(
    "wire broken", "latent", "Its wire is cut or its plug is loose: the input finds the contact open for ever.", CUP,
    WIRE_RATE,
)  # fmt: skip
WIRES_TOUCH = Fault(
    "wires touch", "latent", "A pinched cable joins its wires: the input finds the contact closed for ever.", CUP
)


def lower(p: PartView, b: Lowering) -> None:
    """Hot water of the supply, the thermometer, contact, wire and reading, each a signal of its own."""
    hot = b.hot_water()
    finds = b.any(b.always(False) if hot is None else b.on_delay(hot, p["told after"]))
    wire, says = reading(b, finds, p["contact"] == "closes when hot", p["read as hot when"])
    b.condition("hot", says)
    b.condition("cold", b.no(says))
    b.say(
        heard(b, p["wired to"], says),
        f"{p.name} reports hot water behind {p['reads']}",
        f"{p.name} no longer reports hot water",
        "notice",
    )
    b.fault(COLD.name, [("force", finds, 0.0)])
    b.fault(HOT.name, [("force", finds, 1.0)])
    b.fault(WIRE_BROKEN.name, [("force", wire, 0.0)])
    b.fault(WIRES_TOUCH.name, [("force", wire, 1.0)])


def check(p: PartView) -> list[Finding]:
    """A limit at which it is too late."""
    if p["hot above"] <= BEARS_HEAT:
        return []
    return [
        Finding(
            "thermometer-late", "warning", p.name,
            f"It speaks at {amount(p['hot above'], 'temperature')} only; above {amount(BEARS_HEAT, 'temperature')} a "
            "membrane is usually ruined.",
            "Set it some degrees below what the membrane's sheet allows.", key="hot above",
        )
    ]  # fmt: skip


KIND = Kind(
    word="feed thermometer",
    also=("thermometer", "temperature sensor", "thermostat", "hot water sensor", "temperature probe"),
    section="sensors",
    role="sensor",
    summary="A thermometer with a contact, clipped to the feed line: it warns of hot water on its way to the membrane.",
    fails="It slips off the tube and finds nothing, reads hot for ever, or its wire breaks.",
    params=PARAMS,
    ports=(Port("reading", "signal"),),
    faults=(COLD, HOT, WIRE_BROKEN, WIRES_TOUCH),
    lower=lower,
    check=check,
    symbol='<path d="M0 17 H40" stroke="currentColor" stroke-width="2"/>'
    '<path d="M18 12 V3 a2 2 0 0 1 4 0 V12" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<circle cx="20" cy="13.5" r="2.5" fill="currentColor"/>',
    example="feed warmth: {kind: feed thermometer, reads: stop tap, wired to: cellar box, contact: opens when hot, "
    "read as hot when: open}",
    tests=(
        ProofTest(
            "a cup of hot water",
            "Unclip it and hold it in a cup of hot tap water for a minute, then clip it on again.",
            "Its controller reports hot water within its delay, and falls silent once it has cooled.",
            6.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("See that it sits tight on the tube, and that the tube is cold.", 3.0 * MONTH),),
    cautions=(
        "Better than any warning: take the feed from a cold pipe that no hot water can come into.",
        "Shut the feed early: what is hot already stands in the line, and reaches the membrane when water runs again.",
        "Hot tap water scalds: let it run into the cup from arm's length.",
    ),
    notes=(
        "The water's temperature is not followed in a run: hot water is there or not, as the supply's fault says.",
        "It finds hot water also while none runs past it.",
        "What warm water does to pressure classes, to resin and to what a membrane lets through is told, not reckoned.",
    ),
)

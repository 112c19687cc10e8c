"""A sensing rope: two wires in an absorbent sheath along a wall or round a stand, which water anywhere on it joins.

It finds less water than a probe, because it lies along the way that the water takes, and it may lie through several
places. It fails by a break, behind which it is blind, by salt that bridges it for good, by being lifted aside in
cleaning, and by its wire; and like a probe it may not see purified water.

Sources: our priors throughout, as of a probe; a rope of some metres is handled and splashed more often than a probe.
How a puddle spreads on this floor replaces the one for where it lies.
"""

from __future__ import annotations

from collections.abc import Iterator

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, Upkeep
from dewpond.parts.plumbing import MONTH, PRIOR
from dewpond.parts.sensing import (
    LEAD,
    SEEN,
    SEES_FROM,
    WET_CONTACT,
    WIRE_RATE,
    WIRED_TO,
    conducts,
    heard,
    reading,
    tell_silence,
    touched,
)

PARAMS = (
    Param(
        "through", "places", "The places on whose floors it lies, in their order from the box on.",
        also=("in", "places", "rooms", "along", "lies in", "location"),
    ),
    Param("at", "text", "Where it runs, so that another person finds it.", also=("spot", "position", "route")),
    Param(
        "reached by", "list", "Litres on the floor of each of these places until water touches it: pour and measure.",
        default=None,
        fields=(
            Param(
                "litres", "volume", "Litres on that floor until the water touches it.", low=1e-6, high=1.0,
                usual=(0.01e-3, 0.02),
            ),
        ),
        source=Source("left out: a round puddle from the likely leak to the rope, as for a probe", PRIOR),
    ),
    Param(
        "from the likely leak", "length",
        "How far from the likely leak it passes; used where the litres are not known.",
        default=0.2, low=0.01, high=20.0, usual=(0.02, 2.0),
        source=Source("along the wall or round the stand it passes within a hand's breadth or two", PRIOR, 0.05, 1.0),
    ),
    WIRED_TO,
    *WET_CONTACT,
    LEAD,
    SEEN,
    SEES_FROM,
)  # fmt: skip

WET_TEST = "wet its far end: does the controller report it?"

BROKEN = Fault(
    "broken", "latent", "It is torn or pinched through where it enters that place: from there on it finds no water.",
    WET_TEST,
    Rate(0.05, "per year", 3.0, Source("trodden on, pulled out of its joint, corroded", PRIOR, 0.017, 0.15)),
)  # fmt: skip
WIRE_CUT = Fault(
    "wire cut", "latent", "Its wire to the box is cut or its plug is loose: the input finds the contact open for ever.",
    WET_TEST, WIRE_RATE,
)  # fmt: skip
LIFTED = Fault(
    "lifted aside", "latent", "It hangs over something or was put aside there, where no water comes.",
    "look along it: a wet test does not show it",
    Rate(
        0.15, "per year", 3.0,
        Source("cleaning, furniture; more of it lies in the way than of a probe", PRIOR, 0.05, 0.45),
    ),
)  # fmt: skip
NO_REACH = Fault(
    "puddle does not reach it", "latent", "The floor leads the water away before it comes to where it lies.",
    "pour water where a leak would be: does it reach the rope?",
    Rate(
        0.05, "for each leak point", 3.0,
        Source("probability; half of a probe's, for it bars the water's way", PRIOR, 0.017, 0.15),
    ),
)  # fmt: skip
BRIDGED = Fault(
    "bridged by salt", "event", "Salt that has crept into its sheath draws damp and joins its wires: it reads wet.",
    "it reports water, the floor is dry, and it does so again after drying; rinse it with purified water",
    Rate(
        0.1, "per year", 3.0,
        Source("twice that of a probe; nearer 1 beside salt water (from memory)", PRIOR, 0.03, 1.0),
    ),
)  # fmt: skip


def _spots(p: PartView) -> Iterator[tuple[str, float | None]]:
    """Each place with the litres that reach it there, where they are known [m3]."""
    return zip(p["through"], p["reached by"] or (None,) * len(p["through"]), strict=True)


def lower(p: PartView, b: Lowering) -> None:
    """Water at it in each place, what it makes of that, its wire and the reading: each can fail by itself."""
    found: list[tuple[str, int, int, int]] = []
    for place, litres in _spots(p):
        at_spot = touched(b, place, litres, p["from the likely leak"])
        sees = conducts(b, place, p[SEEN.key], p["sees water from"])
        found.append((place, at_spot, sees, b.all(at_spot, sees)))
    finds = b.any(*(here for *_, here in found))
    wire, says = reading(b, finds, p["contact"] == "closes when wet", p["read as wet when"])
    b.condition("wet", says)
    b.condition("dry", b.no(says))
    b.say(heard(b, p["wired to"], says), f"{p.name} reports water", f"{p.name} no longer reports water", "notice")
    deaf = b.all(finds, says, b.no(b.listens(p["wired to"])))
    b.say(deaf, f"{p.name} lies wet, and {p['wired to']} does not hear it")
    for number, (place, at_spot, sees, _) in enumerate(found):
        b.say(at_spot, f"the water in {place} reaches {p.name}", kind="reached")
        silent = f"{p.name}, the rope in {place}, lies wet and says nothing"
        tell_silence(b, at_spot, b.any(sees, says), says, silent, SEEN.key)
        beyond = [("force", here, 0.0) for *_, here in found[number:]]
        b.fault(BROKEN.name, beyond, where=f"in {place}")
        b.fault(LIFTED.name, [("force", at_spot, 0.0)], where=f"in {place}")
        b.fault(NO_REACH.name, [("force", at_spot, 0.0)], where=f"in {place}")
    b.fault(WIRE_CUT.name, [("force", wire, 0.0)])
    b.fault(BRIDGED.name, [("force", finds, 1.0)])


def check(p: PartView) -> list[Finding]:
    """As many litres as places."""
    if p["reached by"] is None or len(p["reached by"]) == len(p["through"]):
        return []
    places, litres = len(p["through"]), len(p["reached by"])
    return [
        Finding(
            "rope-litres",
            "error",
            p.name,
            f'"reached by" gives {litres} figures, and "through" names {places} places.',
            "Give the litres of each place, in the order of 'through', or leave them all out.",
            key="reached by",
        )
    ]


KIND = Kind(
    word="rope sensor",
    also=("sensing rope", "leak rope", "sensing cable", "leak cable", "water sensing cable", "leak tape"),
    section="sensors",
    role="sensor",
    summary="A rope that tells a controller when water touches it anywhere on its way, through one or several places.",
    fails="It breaks and is blind from there on, salt bridges it, it is lifted aside, or its wire is cut.",
    params=PARAMS,
    ports=(Port("reading", "signal"),),
    faults=(BROKEN, WIRE_CUT, LIFTED, NO_REACH, BRIDGED),
    lower=lower,
    check=check,
    symbol='<path d="M3 13 q4 -6 8 0 t8 0 t8 0 t8 0" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M3 13 V3 H12" fill="none" stroke="currentColor"/>'
    '<path d="M4 18 H36" stroke="currentColor" stroke-width="2"/>',
    example="stand rope: {kind: rope sensor, through: [cabinet tray, study], at: round the stand and along the wall, "
    "wired to: cellar box, contact: opens when wet, read as wet when: open}",
    tests=(
        ProofTest(
            "wet test with purified water",
            "Lay its far end in a saucer, pour purified water over it, and dry it afterwards; the next time, a stretch "
            "in each of the other places.",
            "The controller reports water within its delay, and falls silent after drying.",
            3.0 * MONTH,
        ),
        ProofTest(
            "spill test",
            "In each place pour purified water, a cup at a time, where a leak would be, and count until it reports. "
            "Mop up.",
            "It reports within the litres that the design gives for that place.",
            12.0 * MONTH,
        ),
    ),
    upkeep=(
        Upkeep("Look along its whole length; rinse out salt with purified water, dry it, lay it back.", 3.0 * MONTH),
    ),
    cautions=(
        "Before wetting anything, see that no mains plug or power strip lies where the water will run.",
        "Lay it where nobody treads and no drip of salt water falls, and over no metal strip.",
    ),
    notes=(
        (
            "It counts as dry again when half of the litres that first wetted it have dried up (our prior); a "
            "sheath that has drunk its fill stays wet for longer."
        ),
        "It breaks where it enters a place; one that watches its own end, and tells of a break, is not followed.",
        "It tells no place apart: wet in one, it says nothing new when another gets wet, too.",
        "Without measured litres, and without a plan of a place, a puddle is taken as round, from a leak 0.2 m away.",
        "Tap water says nothing about purified water: only a test with purified water counts.",
    ),
)

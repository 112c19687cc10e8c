"""A leak probe: two bare contacts on a floor, wired to a controller.

It helps only if the puddle reaches it and if it sees that water: purified water hardly conducts. It dies unseen by
corrosion, loses its wire, is moved aside for cleaning, or was never where the water runs.

Sources: our priors throughout; how a puddle spreads on this floor replaces the one for its spot.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, Upkeep
from dewpond.parts.plumbing import MONTH, PRIOR
from dewpond.parts.sensing import (
    DISTANCE,
    LEAD,
    NO_REACH_RATE,
    REACHED_BY,
    SEEN,
    SEES_FROM,
    STRAY_RATE,
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
    Param("in", "place", "The place on whose floor it lies.", also=("place", "room", "location", "where")),
    Param("at", "text", "The spot, so that another person finds it.", also=("spot", "position")),
    REACHED_BY,
    DISTANCE,
    WIRED_TO,
    *WET_CONTACT,
    LEAD,
    SEEN,
    SEES_FROM,
)  # fmt: skip

WET_TEST = "wet the probe: does the controller report it?"
SPILL_TEST = "pour water where a leak would be: does it reach the probe?"

DEAD = Fault(
    "electrically dead", "latent", "Corrosion or dust has killed it: it finds no water, however wet it is.", WET_TEST,
    Rate(0.05, "per year", 3.0, Source("oxide, dust, a corroded contact", PRIOR, 0.017, 0.15)),
)  # fmt: skip
WIRE_CUT = Fault(
    "wire cut", "latent", "Its wire is cut or its plug is loose: the input finds the contact open for ever.", WET_TEST,
    WIRE_RATE,
)  # fmt: skip
MOVED = Fault(
    "moved away", "latent", "It was put aside, where no water comes.", "look for it: a wet test does not show it",
    Rate(0.1, "per year", 3.0, Source("cleaning, furniture; lifted aside after salt splashed on it", PRIOR, 0.03, 0.3)),
)  # fmt: skip
NO_REACH = Fault(
    "puddle does not reach it",
    "latent",
    "The floor leads the water past the spot where it lies.",
    SPILL_TEST,
    NO_REACH_RATE,
)
STRAY = Fault(
    "reports water on a dry floor", "event", "Salt splash, salt creep or a wet cloth bridges it: a false report.",
    "it reports water, and the floor is dry", STRAY_RATE,
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """Water at the spot, what the probe makes of it, its wire and the reading: each can fail by itself."""
    place = p["in"]
    at_spot = touched(b, place, p["reached by"], p["from the likely leak"])
    sees = conducts(b, place, p[SEEN.key], p["sees water from"])
    finds = b.all(at_spot, sees)
    wire, says = reading(b, finds, p["contact"] == "closes when wet", p["read as wet when"])
    b.condition("wet", says)
    b.condition("dry", b.no(says))
    b.say(at_spot, f"the water in {place} reaches {p.name}", kind="reached")
    b.say(heard(b, p["wired to"], says), f"{p.name} reports water", f"{p.name} no longer reports water", "notice")
    deaf = b.all(finds, says, b.no(b.listens(p["wired to"])))
    b.say(deaf, f"{p.name} lies wet, and {p['wired to']} does not hear it")
    tell_silence(b, at_spot, sees, says, f"{p.name}, the probe in {place}, lies wet and says nothing", SEEN.key)
    b.fault(DEAD.name, [("force", finds, 0.0)])
    b.fault(WIRE_CUT.name, [("force", wire, 0.0)])
    b.fault(MOVED.name, [("force", at_spot, 0.0)])
    b.fault(NO_REACH.name, [("force", at_spot, 0.0)])
    b.fault(STRAY.name, [("force", finds, 1.0)])


KIND = Kind(
    word="leak probe",
    also=("leak sensor", "water sensor", "flood sensor", "leak detector", "floor sensor", "probe"),
    section="sensors",
    role="sensor",
    summary="Two bare contacts on the floor that tell a controller when water touches them.",
    fails="It dies unseen, loses its wire, is moved aside, or lies where the puddle never comes.",
    params=PARAMS,
    ports=(Port("reading", "signal"),),
    faults=(DEAD, WIRE_CUT, MOVED, NO_REACH, STRAY),
    lower=lower,
    symbol='<path d="M14 3 V15 M26 3 V15 M14 3 H26" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M4 17 H36" stroke="currentColor" stroke-width="2"/>',
    example="tray probe: {kind: leak probe, in: cabinet tray, at: low corner, wired to: cellar box, "
    "contact: closes when wet, read as wet when: closed}",
    tests=(
        ProofTest(
            "wet test with purified water",
            "Lay the probe in a saucer, pour purified water from the reservoir over it, and dry it afterwards.",
            "The controller reports water within its delay, and falls silent after drying.",
            3.0 * MONTH,
        ),
        ProofTest(
            "spill test",
            "Pour purified water, litre by litre, where a leak would be, and count until the probe reports. Mop up.",
            "It reports within the litres that the design gives for it.",
            12.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Wipe its contacts bright and dry, and put it back on its spot.", 6.0 * MONTH),),
    cautions=("Before wetting anything, see that no mains plug or power strip lies where the water will run.",),
    notes=(
        "A probe counts as dry again when half of the litres that first wetted it have dried up (our prior).",
        "Without measured litres, and without a plan of its place, a puddle is taken as round, from a leak 1 m away.",
        "Tap water says nothing about purified water: only a test with purified water counts.",
    ),
)

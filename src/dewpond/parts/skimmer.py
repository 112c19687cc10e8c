"""A skimmer in the sump: air bubbles carry dirt, and a little salt water with it, up into a cup.

What it wastes is salt water, and the top-off replaces it with fresh: the salinity falls slowly, S0 exp(-L t / V). It
fails by overflowing: oil, medicine, a new part or a higher water level make it foam like boiling milk, and it lifts
water of the sump over its cup onto the floor until the sump is below its inlet - or for ever, where the top-off goes on
filling. How much it wastes and overflows: our prior.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Level, Lowering, Param, PartView, ProofTest, Source, Upkeep
from dewpond.parts.plumbing import DAY, PRIOR, YEAR, left_running, powered

BAND = 5e-3  # level above its inlet at which it draws all it can [m]
WEEK = 7.0 * DAY

PARAMS = (
    Param(
        "in",
        "part",
        "The sump it stands in.",
        roles=("vessel",),
        also=("sump", "stands in", "from"),
    ),
    Param(
        "skimmate",
        "flow",
        "What its cup takes of the tank's water: a week's contents of the cup.",
        default=0.25e-3 / DAY,
        low=0.0,
        high=20e-3 / DAY,
        also=("wastes", "daily skimmate", "cup fills by"),
        usual=(0.0, 2e-3 / DAY),
        source=Source("a cup of about two litres that is emptied once a week", PRIOR, 0.1e-3 / DAY, 0.5e-3 / DAY),
    ),
    Param(
        "skimmate to",
        "part",
        "The drain in which the tube of its cup ends; left out: a cup that is emptied in time.",
        default=None,
        roles=("drain", "place"),
    ),
    Param(
        "overflows at",
        "flow",
        "What it lifts over its cup when it foams over.",
        default=20e-3 / 3600.0,
        low=0.1e-3 / 3600.0,
        high=2000e-3 / 3600.0,
        usual=(1e-3 / 3600.0, 500e-3 / 3600.0),
        source=Source("a small part of what its pump moves", PRIOR, 2e-3 / 3600.0, 200e-3 / 3600.0),
    ),
    Param(
        "inlet",
        "level",
        "Level in the sump below which it takes no more water.",
        default=Level(0.05, "bottom"),
        also=("inlet height", "dry below"),
        source=Source("its pump stands on the bottom", PRIOR, 0.02, 0.15),
    ),
    Param("power", "part", "The power circuit of its pump.", default=None, roles=("circuit",)),
)

OVERFLOWS = Fault(
    "overflows",
    "initiator",
    "It foams over: water of the sump runs over its cup until the sump is below its inlet or somebody switches it off.",
    "a wet floor and a cup full of clear water; watch it for an hour after anything new comes into the tank",
)


def lower(p: PartView, b: Lowering) -> None:
    """A thin stream into its cup, and a stronger one over it, while there is power and water."""
    sump = p["in"]
    spec = b.vessel(sump)
    inlet, z = b.vessel_level(sump, p["inlet"]), spec.bottom + spec.rim
    live = powered(p["power"] or "", b)
    tap = b.tap(sump)
    if p["skimmate"] > 0.0:
        cup = b.open_end(z, p["skimmate to"]) if p["skimmate to"] else b.drain_end(z)
        b.fixed_flow(tap, cup, p["skimmate"], b.gate_level(sump, inlet + BAND, inlet, also=live))
    foams = left_running(b, OVERFLOWS.name, f"{p.name} is switched off by hand")
    over = b.gate_level(sump, inlet + BAND, inlet, also=b.all(foams, live))
    b.fixed_flow(tap, b.open_end(z, spec.place), p["overflows at"], over)


KIND = Kind(
    word="skimmer",
    also=("protein skimmer", "foam fractionator", "foamer"),
    section="water",
    role="line",
    summary="Lifts dirt out of the sump by foam, and a little salt water with it, into a cup.",
    fails="It foams over: water of the sump goes over its cup onto the floor, and the top-off puts fresh water back.",
    params=PARAMS,
    ports=(),
    faults=(OVERFLOWS,),
    lower=lower,
    tests=(
        ProofTest(
            "fill the cup",
            "Switch it off, pour water into its cup until that runs over, and watch where the water goes.",
            "It runs back into the sump or into a drain, and not a drop reaches the floor.",
            YEAR,
        ),
    ),
    upkeep=(Upkeep("Empty and rinse its cup: a full one runs over.", WEEK),),
    symbol='<path d="M12 19 V9 H28 V19 M16 9 V6 H10 V1 H30 V6 H24 V9" fill="none" stroke="currentColor" '
    'stroke-width="1.5"/>'
    '<circle cx="17" cy="15" r="1.5" fill="none" stroke="currentColor"/>'
    '<circle cx="22" cy="12" r="1.5" fill="none" stroke="currentColor"/>'
    '<circle cx="24" cy="17" r="1" fill="none" stroke="currentColor"/>',
    example="skimmer: {kind: skimmer, in: big sump, skimmate: 0.3 L/day}",
    cautions=(
        "Oily food, medicine, glue, a hand or a new part can make it foam over within minutes: leave it off for a day.",
        "What it wastes is salt water, what replaces it is fresh: measure the salinity every week.",
        "A sump that stands higher than usual makes it foam over: then that comes on top of the other trouble.",
    ),
    notes=(
        "It overflows at one rate until whoever acts switches it off, its power fails, or it takes no more water.",
        "Its inlet is held against the level of the return chamber; what a baffle keeps in its own is not counted.",
        "Nobody overlooks its cup: one that nobody empties is not followed, nor what runs from it back into the sump.",
        "No controller switches it. That it foams more in higher water is not followed.",
    ),
)

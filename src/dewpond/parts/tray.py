"""A tray: a rim around the place where a leak is likely, so that its water is held and a probe is reached soon.

It fails by cracking, and by standing where the water does not fall: water can run along a tube out of it.

Sources: what a level tray holds is area x (rim + film), geometry and de Gennes, Brochard-Wyart, Quere (2004).
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Floor, Kind, Lowering, Param, PartView, ProofTest, Source
from dewpond.parts.plumbing import IN, PRIOR, YEAR
from dewpond.physics.evaporation import FACTORS, shah_flux
from dewpond.physics.film import ORDINARY_FLOOR, drying_time
from dewpond.physics.water import density

FILM = ORDINARY_FLOOR[1]
DRAIN_SHARE = 0.25

PARAMS = (
    IN,
    Param(
        "size", "size", "Length and width inside.", low=0.05, high=5.0,
        also=("dimensions", "footprint"), usual=(0.15, 2.0),
    ),
    Param(
        "rim", "height", "Height of the rim over the floor of the tray, at its lowest point.", low=0.0, high=0.5,
        also=("height", "depth"), usual=(0.005, 0.15),
    ),
    Param("drain", "part", "The drain its outlet leads to, if it has one.", roles=("drain",), default=None),
    Param(
        "reaches the drain after", "volume", "Litres in the tray before the first of them runs into its outlet.",
        default=None, low=0.0, high=0.2, usual=(0.0, 0.02),
        source=Source("left out: a quarter of the film on its floor", PRIOR, 0.0, 1.0),
    ),
)  # fmt: skip

CRACKED = Fault(
    "cracked", "latent", "The tray has a crack, or a seam has let go: its water goes on into the room.",
    "a jug of water poured into it stands for an hour",
)  # fmt: skip


def floor_of(p: PartView) -> Floor:
    """How water lies in the tray, from its keys."""
    length, width = p["size"]
    area = length * width
    if p["drain"]:
        before = p["reaches the drain after"]
        return Floor(area, FILM, DRAIN_SHARE * area * FILM if before is None else before)
    return Floor(area, FILM, area * (p["rim"] + FILM))


def lower(p: PartView, b: Lowering) -> None:
    """A place that runs over its rim into its room; it dries from its surface, slowly behind cabinet doors."""
    floor = floor_of(p)
    air = b.season("air")
    flux = FACTORS["closed cabinet"].value * shah_flux(air, air, b.season("humidity"), 0.0)
    place = b.place(floor, p["in"], bool(p["drain"]), drying_time(floor.film, flux, density(air)))
    b.fault(CRACKED.name, [("holds", place, 0.0)])


KIND = Kind(
    word="tray",
    also=("drip tray", "leak tray", "pan", "drip pan", "catch basin"),
    section="places",
    role="place",
    summary="A rimmed tray under the plumbing: holds the first litres of a leak and leads them to a probe.",
    fails="It cracks, or it is smaller than the leak: then the water goes over its rim into the room.",
    params=PARAMS,
    ports=(),
    faults=(CRACKED,),
    lower=lower,
    symbol='<path d="M3 8 V15 H37 V8" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M5 13 H35" stroke="currentColor" stroke-dasharray="3 2"/>',
    example="cabinet tray: {kind: tray, in: study, size: 80 cm x 45 cm, rim: 40 mm}",
    tests=(
        ProofTest(
            "tray holds water",
            "Pour in a measured jug of water, wait an hour, look under the tray, and mop it out.",
            "No water under the tray, and the jug is full again when wrung out of the sponge.",
            YEAR,
        ),
    ),
    cautions=("Lead no tube over the rim in a straight run: water runs along it and drips outside. Give it a loop.",),
    notes=(
        "It holds its area up to the rim and the thickness of a puddle above that, before water goes over.",
        "What stands in it takes no room from the water: with vessels on its floor it fills, and runs over, sooner.",
        "Taken as level: a tilt holds less, and brings water to a probe at the low side sooner.",
        "A cracked tray is taken to hold nothing, so that a probe in it stays dry.",
        "It dries from its whole floor once that is wet, however deep the water stands.",
        "Water that runs along a tube past the tray is not followed.",
    ),
)

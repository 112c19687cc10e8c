"""A tray: a rim around the place where a leak is likely, so that its water is held and a probe is reached soon.

It may have an outlet to a drain, which takes only so much, or a small pump that lifts its water into one. Both carry
away the very water that a probe waits for. It fails by cracking, by an outlet that is blocked, by a pump that does not
run, and by standing where the water does not fall: water can run along a tube out of it.

Sources: what a level tray holds is area x (rim + film), geometry and de Gennes, Brochard-Wyart, Quere (2004). Pump:
motor pumps of NUREG/CR-6928 (2020 update, second-hand) doubled, see ``pumping``; blocked outlet: our prior.
"""

from __future__ import annotations

from typing import Any

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Floor, Kind, Lowering, Param, PartView, ProofTest, Rate, Source, amount
from dewpond.parts.plumbing import IN, PRIOR, TRADE, YEAR, powered
from dewpond.parts.pumping import DOES_NOT_RUN
from dewpond.physics.evaporation import FACTORS, shah_flux
from dewpond.physics.film import ORDINARY_FLOOR, drying_time
from dewpond.physics.water import density

FILM = ORDINARY_FLOOR[1]
DRAIN_SHARE = 0.25
DROPS = 1e-5  # an outlet that has never had so much to take has had nothing to do [m3]
LITRE_A_MINUTE = 1e-3 / 60.0

PUMP = Param(
    "pump", "map", "A small pump in it that lifts its water into a drain; left out: none.", default=None,
    fields=(
        Param(
            "starts at", "height", "Depth of the water in the tray at which it starts.", default=0.02, low=0.002,
            high=0.4, usual=(0.005, 0.1), source=Source("its float or its two contacts", TRADE, 0.01, 0.05),
        ),
        Param(
            "stops at", "height", "Depth at which it stops.", default=0.006, low=0.0005, high=0.4, usual=(0.002, 0.05),
            source=Source("as low as it draws water", TRADE, 0.003, 0.015),
        ),
        Param(
            "flow", "flow", "What it lifts to where its tube ends: a jug and a clock.", low=0.1 * LITRE_A_MINUTE,
            high=100.0 * LITRE_A_MINUTE, usual=(0.3 * LITRE_A_MINUTE, 40.0 * LITRE_A_MINUTE),
        ),
        Param("to", "part", "The drain in which its tube ends.", roles=("drain",)),
        Param("power", "part", "Its power circuit; left out: one that is never dead.", default=None,
              roles=("circuit",)),
    ),
    also=("lift pump", "condensate pump", "bilge pump"),
)  # fmt: skip

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
    Param(
        "drains", "flow", "The most that its outlet takes: pour in water from a jug until it rises. Left out: all that "
        "comes.", default=None, low=0.05 * LITRE_A_MINUTE, high=100.0 * LITRE_A_MINUTE,
        usual=(0.2 * LITRE_A_MINUTE, 40.0 * LITRE_A_MINUTE), also=("drains at most", "outlet takes", "drain flow"),
    ),
    PUMP,
)  # fmt: skip

CRACKED = Fault(
    "cracked", "latent", "The tray has a crack, or a seam has let go: its water goes on into the room.",
    "a jug of water poured into it stands for an hour",
)  # fmt: skip
BLOCKED = Fault(
    "outlet blocked", "latent", "Slime, salt or a leaf has closed its outlet: it fills, and runs over its rim.",
    "a jug of water poured into it runs away at once",
    Rate(0.1, "per year", 5.0, Source("a small hole that water seldom runs through; no statistics are known to us",
                                      PRIOR, 0.02, 0.5)),
)  # fmt: skip
PUMP_DEAD = Fault(
    "pump does not run", "latent", "Its pump does not run: it fills, and runs over its rim.",
    "a jug of water poured into it starts the pump", DOES_NOT_RUN.rate,
)  # fmt: skip


def takes_all(p: PartView) -> bool:
    """Whether its outlet takes all that comes."""
    return bool(p["drain"]) and p["drains"] is None


def floor_of(p: PartView) -> Floor:
    """How water lies in the tray, from its keys."""
    length, width = p["size"]
    area = length * width
    if takes_all(p):
        before = p["reaches the drain after"]
        holds = DRAIN_SHARE * area * FILM if before is None else before
        return Floor(area, FILM, holds, measured=before is not None)
    return Floor(area, FILM, area * (p["rim"] + FILM))


def outlet(p: PartView, b: Lowering, place: int) -> None:
    """A hole that takes only so much, once water has come: while it is clear, and its drain takes it."""
    backed, never = b.backed_up(p["drain"]), b.always(False)
    assert backed is not None
    came = b.latch(b.pool_above(p.name, DROPS, 0.5 * DROPS), never, never)
    runs = b.all(came, b.no(backed))
    b.fault(BLOCKED.name, [("force", runs, 0.0)])
    b.empties(place, p["drains"], runs)


def lift(p: PartView, b: Lowering, place: int, area: float) -> None:
    """A pump between two depths: it runs while it has power, and its drain takes what it lifts."""
    pump: dict[str, Any] = p["pump"]
    backed = b.backed_up(pump["to"])
    assert backed is not None
    deep = b.pool_above(p.name, area * pump["starts at"], area * pump["stops at"])
    runs = b.all(deep, powered(pump["power"] or "", b), b.no(backed))
    b.say(runs, f"the pump in {p.name} starts", f"the pump in {p.name} stops")
    b.fault(PUMP_DEAD.name, [("force", runs, 0.0)])
    b.empties(place, pump["flow"], runs)


def lower(p: PartView, b: Lowering) -> None:
    """A place that runs over its rim into its room; it dries from its surface, slowly behind cabinet doors."""
    floor = floor_of(p)
    air = b.season("air")
    flux = FACTORS["closed cabinet"].value * shah_flux(air, air, b.season("humidity"), 0.0)
    place = b.place(floor, p["in"], takes_all(p), drying_time(floor.film, flux, density(air)))
    b.fault(CRACKED.name, [("holds", place, 0.0)])
    if p["drain"] and not takes_all(p):
        outlet(p, b, place)
    if p["pump"]:
        lift(p, b, place, floor.area)


def check(p: PartView) -> list[Finding]:
    """One way out of it, and a pump whose depths lie within its rim."""
    found = []

    def tell(code: str, what: str, remedy: str, key: str) -> None:
        found.append(Finding(code, "error", p.name, what, remedy, key=key))

    if p["drains"] is not None and not p["drain"]:
        tell("tray-no-drain", "It is said how much its outlet takes, and no outlet is described.",
             "Name the drain it leads to in 'drain', or take 'drains' out.", "drains")  # fmt: skip
    pump = p["pump"]
    if pump and p["drain"]:
        tell("tray-two-ways", "It has an outlet and a pump; only one of them can be followed.",
             "Keep the one that takes the water first, and take the other out.", "pump")  # fmt: skip
    if pump and not pump["stops at"] < pump["starts at"] < p["rim"]:
        depths = (amount(one, "height") for one in (pump["stops at"], pump["starts at"], p["rim"]))
        tell("tray-pump-depths", "Its pump stops at {} and starts at {}, with a rim of {}.".format(*depths),
             "It must stop lower than it starts, and start below the rim.", "pump")  # fmt: skip
    if p["reaches the drain after"] is not None and not takes_all(p):
        found.append(
            Finding(
                "tray-outlet-hole", "warning", p.name,
                '"reaches the drain after" counts only for an outlet that takes all that comes.',
                "Take the key out, or 'drains'.", key="reaches the drain after",
            )
        )  # fmt: skip
    return found


KIND = Kind(
    word="tray",
    also=("drip tray", "leak tray", "pan", "drip pan", "catch basin", "drained tray", "bunded tray"),
    section="places",
    role="place",
    summary="A rimmed tray under the plumbing: holds the first litres of a leak and leads them to a probe.",
    fails="It cracks, its outlet is blocked, its pump stands still, or the leak is more than it takes: then the water "
    "goes over its rim into the room.",
    params=PARAMS,
    ports=(),
    faults=(CRACKED, BLOCKED, PUMP_DEAD),
    lower=lower,
    check=check,
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
        ProofTest(
            "outlet or pump",
            "Where it has an outlet or a pump: pour in water from a bucket as fast as a cut tube would give it.",
            "It stays below the rim, and runs away or is pumped out to where the design says.",
            0.5 * YEAR,
        ),
    ),
    cautions=(
        "Lead no tube over the rim in a straight run: water runs along it and drips outside. Give it a loop.",
        "An outlet or a pump carries away what a probe waits for: a leak may run on so, seen by nobody.",
        "Let the tube of an outlet end in air over its drain, with the gap that the local code wants.",
    ),
    notes=(
        "It holds its area up to the rim and the thickness of a puddle above that, before water goes over.",
        "What stands in it takes no room from the water: with vessels on its floor it fills, and runs over, sooner.",
        "Taken as level: a tilt holds less, and brings water to a probe at the low side sooner.",
        "A cracked tray is taken to hold nothing, so that a probe in it stays dry.",
        "It dries from its whole floor once that is wet, however deep the water stands.",
        "Water that runs along a tube past the tray is not followed.",
        "An outlet with 'drains' takes that much from a full film on; from a smaller puddle less, in proportion.",
        "A pump takes its flow between its two depths and lifts it nowhere but into a drain.",
        "While that drain is backed up an outlet with 'drains' takes nothing, and nor does the pump.",
        "An outlet that takes all is taken to run away even while its drain is backed up.",
    ),
)

"""The reverse-osmosis membrane with its housing and its waste restrictor.

House water is pressed through the membrane; what does not pass runs to waste through a restrictor, three to five times
as much. Cold water passes slowly (the restrictor does not care), and a product line that pushes back slows it too. It
fails by scaling, by tearing, by leaking at its joints and housing, and - the wettest and least watched - by its waste
line coming off. Flow law and temperature: ASTM D4516 and a membrane manufacturer's manual, see ``physics.membrane``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Source, Upkeep
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    BEHIND_RESTRICTOR,
    FEED_SIDE,
    HEIGHT,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MEMORY,
    MONTH,
    PRIOR,
    TRADE,
    drain_gates,
    height_in_place,
    leak_at_joints,
    loss_of_flow,
    supply_pressure_at,
    tell_heat,
    tube_ends,
)
from dewpond.physics import membrane as law
from dewpond.physics.surge import bubble_uptake

WASTE_PER_PRODUCT = 4.0  # restrictor sold with an element [1]; common practice, no source: 3 to 4
INLET = loss_of_flow(5e-3 / 60.0, 1e5)  # shut-off body and fittings: 5 L/min at 1 bar; our prior, 2 to 10
LEAST_NET = 3e4  # less cannot have driven what is in a jug: the figures do not fit [Pa]; our prior
LEAST_DRIVE = 1e4  # keeps the law finite when the figures given say that nothing drives the water [Pa]
AGREES = (0.75, 1.15)  # noted pressure over the reckoned one: outside, one of them is wrong [1]; our prior
ENOUGH = 1e5  # pressure below which jugs say little of an element [Pa]
OF_RATED = (0.5, 1.6)  # what the jugs show of the rating: outside, one of them is wrong, or the element [1]; our prior
TAIL = 0.01  # part of the restrictor's loss that lies in the waste tube behind it [1]; our prior
CRACK = 3e-6  # area of a cracked housing [m2]; our prior, 0.3 to 30 mm2
SCALED = 0.6  # flow of a scaled membrane over that of a clean one [1]; our prior, 0.4 to 0.8
TORN_FLOW, TORN_PASSAGE = 1.5, 10.0  # torn membrane or unseated seal, over a sound one [1]; our priors

RATINGS = (1.0e-6, 2.0e-5)  # product that elements for a household are rated at, 23 to 460 gal/day [m3/s]
PRESSURES = (2e5, 12e5)  # at which elements and restrictors are rated, 30 to 175 psi [Pa]
SHARES = (0.06, 0.6)  # product over all water that enters; 0.15 to 0.33 is usual (common practice, no source) [1]

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "measured",
        "map",
        "Fill one jug at the product tube and one at the waste tube for a minute, both tubes ending in the open.",
        default=None,
        fields=(
            Param(
                "product",
                "flow",
                "Into the jug at the product tube.",
                low=0.01e-3 / 60.0,
                high=5e-3 / 60.0,
                also=("permeate", "purified water"),
                usual=(0.02e-3 / 60.0, 2e-3 / 60.0),
            ),
            Param(
                "waste",
                "flow",
                "Into the jug at the waste tube.",
                low=0.02e-3 / 60.0,
                high=20e-3 / 60.0,
                also=("concentrate", "brine"),
                usual=(0.1e-3 / 60.0, 8e-3 / 60.0),
            ),
            Param("water", "temperature", "Of the water in the jug.", low=273.65, high=313.15, usual=(274.15, 303.15)),
            Param("on", "date", "Day on which the jugs were filled.", default=None),
            Param(
                "pressure",
                "pressure",
                "At a gauge before the membrane while the jugs filled; left out: reckoned from the supply.",
                default=None,
                low=0.5e5,
                high=10e5,
                usual=(1e5, 8e5),
            ),
        ),
    ),
    Param(
        "rated",
        "compound",
        "What is printed on the element, used until jugs have been filled: 75 gal/day at 50 psi and 25 C.",
        default=None,
        pattern="{product} at {pressure} and {temperature}",
        fields=(
            Param("product", "flow", "Rated product.", low=0.01e-3 / 60.0, high=5e-3 / 60.0, usual=RATINGS),
            Param("pressure", "pressure", "At this pressure.", low=1e5, high=15e5, usual=PRESSURES),
            Param(
                "temperature", "temperature", "At this temperature.", low=283.15, high=303.15, usual=(288.15, 301.15)
            ),
        ),
        also=("capacity", "production", "rating"),
    ),
    Param(
        "restrictor",
        "compound",
        "What the waste restrictor lets through, where no jug was filled: 0.8 L/min at 3.45 bar.",
        default=None,
        pattern="{waste} at {pressure}",
        fields=(
            Param(
                "waste",
                "flow",
                "Waste water.",
                low=0.02e-3 / 60.0,
                high=20e-3 / 60.0,
                usual=(0.1e-3 / 60.0, 8e-3 / 60.0),
            ),
            Param("pressure", "pressure", "At this pressure.", low=0.5e5, high=15e5, usual=PRESSURES),
        ),
        source=Source("left out: four parts of waste to one of rated product", TRADE, 3.0, 5.0),
    ),
    Param(
        "rejection",
        "fraction",
        "Share of the dissolved matter that it holds back at its rated flow.",
        default=0.98,
        low=0.5,
        high=0.999,
        source=Source("usual element at its rated flow", TRADE, 0.95, 0.99),
        also=("salt rejection", "retention"),
        usual=(0.8, 0.999),
    ),
    Param(
        "waste to",
        "part",
        "The drain in which the waste tube ends, or the place on which it runs; left out: a drain of its own, or the "
        "waste line that is described.",
        default=None,
        roles=("drain", "place"),
        also=("drain", "brine to", "concentrate to"),
    ),
    BEARS,
    tube_ends(20),
    Param(
        "air in its housing",
        "volume",
        "Air trapped on the product side. It is pressed together and gives the shut-off something to push against.",
        default=20e-6,
        low=0.0,
        high=1e-3,
        usual=(0.0, 0.2e-3),
        find_out="Let the product tube run into a bucket, shut it: the longer it runs on, the more air is in.",
        source=Source("between none and 0.1 L in a housing mounted flat", PRIOR, 0.0, 100e-6),
    ),
    Param("changed on", "date", "When the membrane was changed last.", default=None),
)

FAULTS = (
    Fault(
        "scaled", "latent", "Scale covers the membrane: it makes less product.", "jugs twice a year, same temperature"
    ),
    Fault(
        "torn", "latent", "The membrane or its seal is torn: more water passes, and salt with it.", "a conductivity pen"
    ),
    Fault(
        "waste line off after the restrictor",
        "initiator",
        "The waste tube has come off or out of its drain: the waste water runs on the floor whenever product is made.",
        "a look at the waste tube and its clip",
    ),
    Fault(
        "waste line blocked",
        "latent",
        "The waste tube is kinked or blocked: all that enters must leave as product, and the membrane scales.",
        "no waste water in the drain while product is made",
    ),
    Fault(
        "housing cracks",
        "initiator",
        "The membrane housing cracks: water runs out at house pressure.",
        "water below it",
    ),
    *JOINT_FAULTS,
)


@dataclass(frozen=True)
class Element:
    """The membrane in this season's water: what the plant's edges need."""

    permeability: float  # [m3/(s.Pa)]
    osmotic: float  # [Pa]
    passage: float  # share of the concentrate's dissolved matter that passes [1]
    restrictor: float  # k of dp = k Q^2 [Pa/(m3/s)2]


def element(p: PartView, feed: float, before: float, dissolved: float, water: float) -> Element:
    """From jugs where there are any, else from the rating.

    feed: gauge pressure of the supply at the membrane's height [Pa].
    before: the same before its inlet while the jugs were filled [Pa].
    dissolved: of the supply [kg/m3].
    water: temperature of the season [K].
    """
    rejection, jugs, rated = p["rejection"], p["measured"], p["rated"]
    if jugs:
        product, waste = jugs["product"], jugs["waste"]
        inside = max(before - INLET * (product + waste) * (product + waste), LEAST_DRIVE)
        drive = max(drives(p, before, dissolved), LEAST_DRIVE)
        at_25 = product / (law.temperature_factor(jugs["water"]) * drive)
        restrictor = loss_of_flow(waste, inside)
    else:
        product, pressure = rated["product"], rated["pressure"]
        at_25 = law.permeability(
            product, pressure, 0.0, law.RATED_FEED, law.RATED_RECOVERY, rejection, rated["temperature"]
        )
        told = p["restrictor"] or {"waste": WASTE_PER_PRODUCT * product, "pressure": pressure}
        restrictor = loss_of_flow(told["waste"], told["pressure"])
    waste = math.sqrt(max(feed, LEAST_DRIVE) / restrictor)
    product = max(law.product_flow(at_25, feed, 0.0, waste, dissolved, rejection, water), 0.0)
    recovery = product / (product + waste)
    strength = law.average_feed_concentration(dissolved, recovery)
    osmotic = law.osmotic_pressure(strength, water) - law.osmotic_pressure((1.0 - rejection) * strength, water)
    slip = 1.0 - rejection
    passage = slip * (1.0 - recovery) / (1.0 - recovery * slip)
    return Element(at_25 * law.temperature_factor(water), osmotic, passage, restrictor)


def before_jugs(p: PartView, b: Lowering, z: float) -> float:
    """Gauge pressure before the inlet while the jugs were filled: as noted, else what is left of the supply's behind
    all that the jugs' own water runs through [Pa]."""
    jugs = p["measured"]
    if not jugs:
        return supply_pressure_at(b, z)
    noted = jugs["pressure"]
    left = b.pressure_while_drawn(p["after"], z, jugs["product"] + jugs["waste"], jugs["water"])
    if left is None:  # fed by a vessel, not by the supply
        return float(noted or supply_pressure_at(b, z))
    if drives(p, noted or left, b.season("dissolved")) <= LEAST_NET:
        b.doubt("starved", 0.0, left)
    elif noted and not AGREES[0] * left <= noted <= AGREES[1] * left:
        b.doubt("pressure", noted, left)
    return float(noted or left)


def drives(p: PartView, before: float, dissolved: float) -> float:
    """What is left of the pressure ``before`` the inlet to drive the water of the jugs through the membrane [Pa]."""
    product, waste = p["measured"]["product"], p["measured"]["waste"]
    inside = max(before - INLET * (product + waste) * (product + waste), 0.0)
    share = product / (product + waste)
    return law.net_driving_pressure(inside, 0.0, dissolved, share, p["rejection"], p["measured"]["water"])


def as_rated(p: PartView, b: Lowering, by_jugs: Element) -> None:
    """What is printed on the element and what the jugs say must be of one size, at one pressure and temperature."""
    if p["measured"] and p["rated"]:
        unmeasured = replace(p, values={**p.values, "measured": None})
        rated = element(unmeasured, LEAST_DRIVE, LEAST_DRIVE, b.season("dissolved"), b.season("water"))
        share = by_jugs.permeability / rated.permeability
        if not OF_RATED[0] <= share <= OF_RATED[1]:
            b.doubt("rating", share, 1.0)


def waste_ways(p: PartView, b: Lowering, z: float) -> list[tuple[int, int]]:
    """Where the waste goes, each way a node and its gate: to a line that takes it, else into its drain, or, where that
    backs up, over the floor of its room."""
    to = p["waste to"]
    if b.joined("waste"):
        return [(b.port("waste", z), b.gate_signal(b.always(True)))]
    gates = drain_gates(b, to)
    ends = [b.open_end(z, to) if to else b.drain_end(z)]
    if len(gates) > 1:
        ends.append(b.open_end(z, b.part(to)["in"]))
    return list(zip(ends, gates, strict=True))


def lower(p: PartView, b: Lowering) -> None:
    """Feed through a gate that a shut-off may take; membrane to the product; restrictor, then drain or floor."""
    z, place = height_in_place(p, b), p["in"]
    pressure = supply_pressure_at(b, z)
    before = before_jugs(p, b, z)
    sound = element(p, pressure, before, b.season("dissolved"), b.season("water"))
    if before > ENOUGH:
        as_rated(p, b, sound)
    inlet, product = b.outlet(p["after"]), b.port("out", z)
    feed, tail = b.port(FEED_SIDE, z), b.port(BEHIND_RESTRICTOR, z)  # what by-passes the restrictor lies between them
    tell_heat(
        b,
        b.orifice(inlet, feed, INLET, b.gate_slot(p.name, "feed")),
        f"hot water reaches {p.name}: a membrane is usually ruined above 45 C",
    )
    edge = b.membrane(feed, product, sound.permeability, sound.osmotic, sound.passage)
    b.orifice(feed, tail, (1.0 - TAIL) * sound.restrictor)
    ways, fallen = waste_ways(p, b, z), b.gate_leak()
    for end, gate in ways:
        b.orifice(tail, end, TAIL * sound.restrictor, gate)
    shut = [("high", gate, 0.0) for _, gate in ways]
    b.orifice(tail, b.open_end(z, place), TAIL * sound.restrictor, fallen)
    rise = max(2.0 / 3.0 * pressure, LEAST_DRIVE)
    if p["air in its housing"] > 0.0:
        b.spring(product, bubble_uptake(p["air in its housing"], rise) / rise)
    b.fault("scaled", [("scale", edge, 1.0 / SCALED)])
    b.fault("torn", [("scale", edge, 1.0 / TORN_FLOW), ("passage", edge, min(1.0, TORN_PASSAGE * sound.passage))])
    b.fault("waste line off after the restrictor", [*shut, ("low", fallen, 1.0)])
    if not b.joined("waste"):  # else the line has a fault of its own
        b.fault("waste line blocked", shut)
    b.leak(feed, z, place, "housing cracks", CRACK)
    half = 0.5 * p["tube ends"]
    leak_at_joints(b, feed, z, place, half, where="on its feed side")
    leak_at_joints(b, product, z, place, half, where="on its product side")


def check(p: PartView) -> list[Finding]:
    """One of the two ways to know its flow must be there, and the two jugs must fit each other."""
    jugs = p["measured"]
    share = jugs["product"] / (jugs["product"] + jugs["waste"]) if jugs else None
    if share is not None and not SHARES[0] <= share <= SHARES[1]:
        return [
            Finding(
                "membrane-jugs",
                "warning",
                p.name,
                f"Of the water that enters, {100.0 * share:.0f} % would become product; 15 to 33 % is usual.",
                "Fill both jugs again, and see which tube is which and what a jug holds.",
                key="measured",
            )
        ]
    if p["measured"] or p["rated"]:
        return []
    return [
        Finding(
            "membrane-flow-missing",
            "error",
            p.name,
            "Neither 'measured' nor 'rated' is given, so nothing tells how much water it makes.",
            "Fill two jugs for a minute and write 'measured: {product: ..., waste: ..., water: ...}', or copy the "
            "rating from the element: 'rated: 75 gal/day at 50 psi and 25 C'.",
            key="measured",
        )
    ]


KIND = Kind(
    word="membrane",
    also=("RO", "RO unit", "reverse osmosis", "RO/DI unit", "osmosis unit"),
    section="water",
    role="line",
    summary="The reverse-osmosis membrane in its housing, with the restrictor through which the waste water leaves.",
    fails="It scales or tears; joints and housing leak; the waste tube, which carries most of the water, comes off.",
    params=PARAMS,
    ports=(Port("in"), Port("out"), Port("waste", must_join=False, alone="waste to")),
    faults=FAULTS,
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "jugs",
            "Fill a jug at the product tube and one at the waste tube for a minute each, with the tubes in the open; "
            "write down both, the temperature of the water and the date.",
            "Within a fifth of the last time at the same temperature.",
            3.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Change the membrane when the jugs or the conductivity pen say so.", 24.0 * MONTH, "changed on"),),
    symbol='<path d="M4 3 H36 V17 H4 Z M0 10 H4 M36 10 H40 M20 17 V20" fill="none" stroke="currentColor" '
    'stroke-width="1.5"/><path d="M4 17 L36 3" fill="none" stroke="currentColor" stroke-dasharray="3 2"/>',
    example="membrane: {kind: membrane, after: filters, in: laundry, rejection: 98 %, waste to: floor drain, "
    "tube ends: 22, measured: {product: 175 mL/min, waste: 720 mL/min, water: 14 C, on: 2026-04-11}}",
    cautions=(
        "The waste tube must end above its drain with an air gap, never inside it: check with the local code.",
        "The product is aggressive to brass and copper: plastic or stainless steel behind the membrane.",
        "Hot water ruins it, and a tube or a bowl made for cold water bursts sooner: feed it from a cold pipe only.",
        "A new membrane's first water belongs in the drain: see its maker's sheet.",
    ),
    notes=(
        (
            "Where no pressure was noted with the jugs, it is reckoned: the house supply's, less what all that lies "
            "before the membrane takes from the water of both jugs at their temperature, with nothing else drawn."
        ),
        (
            "The jug of product is taken as filled right behind the membrane. Check valve, resin, tube and float push "
            "back a little, so that a fill shows a few per cent less than the jug."
        ),
        "The osmotic pressure is held at its value for this season and an open product tube.",
        "The salt that creeps through while the unit stands, and the fall of rejection at low flow, are left out here.",
        "Half of the tube ends are counted on the feed side, half on the product side.",
        "Rated elements scatter by 15 % from piece to piece, and makers' temperature charts by 10 % in the cold.",
        f"Rating water is taken as 250 ppm at 15 % recovery ({MEMORY}).",
        JOINT_NOTE,
    ),
)

"""A run of tube with its fittings, through one place or several.

It fails by bursting (chafed, frozen, gnawed, screwed through), by a tube end blowing off, by a weeping joint and by a
pin hole, in each place it runs through; and, as a whole, by a kink and by algae where it is clear and stands in light.
A burst is fed through the tube before it, never through more. Bores: the size a tube is sold under is its outside.
Fittings: Hooper 1981, screwed elbows standing in for push-in ones. Rate of bursts: from hoses in HyRAM+ (Sandia).
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, amount
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    JOINT_FAULTS,
    JOINT_NOTE,
    MONTH,
    PIN_HOLE,
    PRIOR,
    TRADE,
    TUBE_SOURCE,
    TUBES,
    disc,
    leak_at_joints,
    loss_of_hole,
    tube_ends,
)
from dewpond.physics.surge import tube_compliance

ELBOW = 3.0  # velocity heads of a push-in elbow [1]; Hooper 1981 gives 2.8 for a screwed one in 4.3 mm
WALL = 1e-3  # of a tube of which only the bore is known [m]
KINKED = 1e6  # loss of a kinked stretch over that of a sound one [1]; our prior, 1e4 to shut
OVERGROWN = 16.0  # the same of one with a coat of algae: half the bore is left [1]; our prior, 3 to 100
FROST = 12.0 * 3600.0  # how long ice closes it [s]; our prior, a night
YOUNG, POISSON = 0.3e9, 0.45  # soft polyethylene: [Pa], [1]; from memory, 0.3 to 0.6 GPa

PARAMS = (
    AFTER,
    Param(
        "through",
        "places",
        "The places it runs through, in the order of the water.",
        also=("route", "places", "runs through"),
    ),
    Param("length", "length", "Its whole length.", low=0.05, high=200.0, also=("run",), usual=(0.3, 60.0)),
    Param(
        "lengths",
        "list",
        "Its length in each of these places, in their order, adding up to the whole: [3 m, 11 m] for two places; "
        "left out: the same in each.",
        default=None,
        fields=(Param("length", "length", "Length in one place.", low=0.01, high=200.0, usual=(0.02, 60.0)),),
    ),
    Param(
        "size",
        "word",
        "The size it is sold under: inches outside, or millimetres outside x inside.",
        default="1/4 in",
        words=tuple(TUBES),
        source=TUBE_SOURCE,
        also=("diameter", "outside diameter"),
    ),
    Param(
        "bore",
        "bore",
        "Its inside diameter, where it is no usual size.",
        default=None,
        low=1e-3,
        high=25e-3,
        usual=(2e-3, 16e-3),
        also=("inside diameter", "inner diameter"),
    ),
    Param(
        "height",
        "height",
        "Its height above the floors it runs over.",
        default=0.1,
        low=-2.0,
        high=4.0,
        usual=(-0.5, 3.0),
        source=Source("along the skirting board", PRIOR, 0.0, 2.5),
    ),
    Param(
        "frost in",
        "place",
        "The one of these places in which it can freeze; left out: nowhere.",
        default=None,
        also=("freezes in", "unheated"),
    ),
    Param(
        "elbows",
        "count",
        "How many elbows are in it.",
        default=2,
        low=0,
        high=50,
        usual=(0, 20),
        source=Source("one at each end", TRADE, 0.0, 10.0),
    ),
    BEARS,
    tube_ends(4),
)

FAULTS = (
    Fault(
        "burst",
        "initiator",
        "The tube bursts or is cut through, as when it is chafed, frozen, gnawed or screwed through.",
        "a look along the whole tube",
        Rate(
            0.0005,
            "per metre-year",
            5.0,
            Source(
                "full break of a hose in HyRAM+ (Sandia), 6e-5 a year, times 10 for home work", "derived", 1e-4, 2.5e-3
            ),
        ),
    ),
    Fault(
        "pin hole",
        "initiator",
        "A hole of half a millimetre in the tube's wall.",
        "a fine jet or a wet line on the wall",
    ),
    Fault(
        "freezes and bursts",
        "event",
        "Ice closes it for twelve hours of a hard frost and splits it; the water comes with the thaw.",
        "a thermometer in that room that keeps its lowest reading",
        Rate(0.1, "per year", 5.0, Source("one hard frost in ten years in an unheated room", PRIOR, 0.02, 0.5)),
        FROST,
    ),
    Fault(
        "kinked",
        "latent",
        "It is kinked or pinched: next to nothing comes through.",
        "a look along the whole tube; a level that only falls",
        Rate(0.01, "per year", 5.0, Source("furniture moved, a door, a cable tie", PRIOR, 0.002, 0.05)),
    ),
    Fault(
        "overgrown",
        "latent",
        "Algae grow in it, as in a clear tube that stands in light: half its bore is left.",
        "a green or brown coat; a fill that takes longer than it did",
        Rate(0.02, "per year", 5.0, Source("clear tube in daylight; rare in one that is opaque", PRIOR, 0.004, 0.3)),
    ),
    *JOINT_FAULTS,
)


def stretches(p: PartView) -> tuple[float, ...]:
    """Length in each place [m]."""
    return tuple(p["lengths"] or [p["length"] / len(p["through"])] * len(p["through"]))


def freezes(p: PartView, b: Lowering, node: int, z: float, place: str, bore: float) -> int:
    """The gate of a stretch that ice closes; when it has thawed, the tube is split where it enters the place."""
    never = b.always(False)
    frost = b.any(b.always(False))
    thawed = b.all(b.latch(frost, never, never), b.no(frost))
    b.say(frost, f"{p.name} is frozen in {place}")
    b.say(thawed, f"{p.name} has thawed in {place}, and is split")
    b.orifice(node, b.open_end(z, place), loss_of_hole(disc(bore)), b.gate_signal(thawed))
    b.fault("freezes and bursts", [("force", frost, 1.0)], f"in {place}")
    return b.gate_signal(b.no(frost))


def lower(p: PartView, b: Lowering) -> None:
    """A friction tube for each place; each leaks where it begins, where the pressure is highest."""
    outside, bore = TUBES[p["size"]]
    if p["bore"] is not None:
        bore, outside = p["bore"], p["bore"] + 2.0 * WALL
    places, lengths = p["through"], stretches(p)
    ends = p["tube ends"] / len(places)
    node, edges = b.outlet(p["after"]), []
    for number, (place, length) in enumerate(zip(places, lengths, strict=True)):
        z, where = b.place_height(place) + p["height"], f"in {place}"
        b.leak(node, z, place, "burst", disc(bore), where=where, sites=length)
        b.leak(node, z, place, "pin hole", disc(PIN_HOLE), where=where, sites=length)
        leak_at_joints(b, node, z, place, ends, bore, where=where)
        ice = freezes(p, b, node, z, place, bore) if place == p["frost in"] else -1
        before, node = node, b.port("out", z) if number == len(places) - 1 else b.junction(z)
        edges.append(b.tube(before, node, bore, length, ELBOW * p["elbows"] / len(places), ice))
    b.fault("kinked", [("scale", edges[0], KINKED)])
    b.fault("overgrown", [("scale", edge, OVERGROWN) for edge in edges])
    b.spring(node, tube_compliance(bore, outside, sum(lengths), YOUNG, POISSON))


def check(p: PartView) -> list[Finding]:
    """The lengths must fit the places and the whole, and frost comes where it runs."""
    lengths, places = p["lengths"], p["through"]
    if p["frost in"] and p["frost in"] not in places:
        what = f'It does not run through "{p["frost in"]}", in which it is said to freeze.'
        return [Finding("tubing-frost", "error", p.name, what, "Name one of the places in 'through'.", key="frost in")]
    if lengths is None:
        return []
    what = ""
    if len(lengths) != len(places):
        what = f"'lengths' has {len(lengths)} entries and 'through' has {len(places)} places."
    elif abs(sum(lengths) - p["length"]) > 0.01 * p["length"]:
        whole = (amount(one, "length", 3) for one in (sum(lengths), p["length"]))
        what = "'lengths' add up to {}, and 'length' is {}.".format(*whole)
    each = ", ".join([amount(p["length"] / len(places), "length", 3)] * len(places))
    remedy = (
        f"Give one length for each place, in the order of 'through' and adding up to the whole, such as "
        f"'lengths: [{each}]', or leave 'lengths' out."
    )
    return [Finding("tubing-lengths", "error", p.name, what, remedy, key="lengths")] if what else []


KIND = Kind(
    word="tubing",
    also=("tube", "hose", "pipe", "line", "water line"),
    section="water",
    role="line",
    summary="A run of tube with its fittings, through one place or several.",
    fails="It bursts, gets a hole, is kinked or overgrown, and its joints weep or blow off, in any of its places.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "look along it",
            "Follow the tube from end to end with a dry tissue. Pull at every tube end; look for kinks and chafing.",
            "No end moves, the tissue stays dry, no mark on the tube.",
            6.0 * MONTH,
        ),
    ),
    symbol='<path d="M0 10 H10 Q14 2 18 10 T26 10 H40" fill="none" stroke="currentColor" stroke-width="2"/>',
    example="riser: {kind: tubing, after: resin, size: 1/4 in, length: 9.5 m, "
    "through: [laundry, wall shaft, study, cabinet tray], tube ends: 8}",
    cautions=(
        "1/4 in and 6 mm tubes look alike and do not seal in each other's fittings.",
        "Usual tube is made for 10 bar at 20 C; warm water and sunlight take much of that away.",
        "Where it can freeze, it will burst: not through an unheated garage or loft.",
    ),
    notes=(
        "In each place the leaks sit where the tube enters it.",
        "A pin hole is 0.5 mm across (our prior, 0.2 to 1 mm).",
        "An elbow takes 3 velocity heads.",
        "Kinked, its first stretch takes a million times what a sound one does (our prior, from 10 000 to shut).",
        "Overgrown, all of it takes 16 times as much, as at half the bore (our prior, 3 to 100).",
        "Ice closes it for 12 h (our prior), and leaves a split of its full bore; only where `frost in` says so.",
        JOINT_NOTE,
    ),
)

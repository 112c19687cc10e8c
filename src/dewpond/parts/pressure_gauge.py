"""A pressure gauge in the line: what the keeper reads on it is held against what the design leaves there.

At rest it shows the supply's pressure at its own height; while the unit makes water it shows what filters, tubes and
valves before it have left. So two readings tell a wrong supply pressure from a clogged filter. It fails by its needle
sticking, which nothing shows but the reading itself, and at its joints. Class 2.5 of EN 837-1: within 2.5 % of the full
scale (from memory). Loss: a screwed tee run straight through, 0.7 velocity heads in 4.3 mm (Hooper 1981).
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
    HEIGHT,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MEMORY,
    MONTH,
    PRIOR,
    QUARTER_INCH,
    height_in_place,
    leak_at_joints,
    loss_of_heads,
    tube_ends,
)

RUN = 0.7  # velocity heads [1]; Hooper 1981, tee run through, screwed, in 4.3 mm at a Reynolds number of 6000
CLASS = 0.025  # of the full scale: EN 837-1, class 2.5, from memory
APART = 0.1  # of the reckoned pressure, beyond which the two do not fit [1]; our prior, 0.05 to 0.2
FILLING, RESTING = "while filling", "at rest"
STREAM = 1e-6  # a thin stream, at which what holds a pressure holds what it is set to [m3/s]
FARTHEST = 60  # parts in a row that are looked at

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "reads",
        "map",
        "What it shows: while the unit makes water, and while nothing runs.",
        default=None,
        fields=(
            Param(
                FILLING, "pressure", "While the unit makes water and nobody else draws any.", default=None, low=0.0,
                high=16e5, usual=(1e5, 8e5), also=("running", "working", "dynamic"),
            ),
            Param(
                RESTING, "pressure", "While nothing runs, with all before it open.", default=None, low=0.0, high=16e5,
                usual=(1e5, 8e5), also=("static", "standing", "shut"),
            ),
        ),
        also=("reading", "shows", "pressure"),
    ),
    Param("read on", "date", "Day on which it was read last.", default=None),
    Param(
        "full scale", "pressure", "The highest figure on its dial.", default=10e5, low=1e5, high=40e5,
        usual=(4e5, 16e5), source=Source("dials of usual water gauges: 6, 10 or 16 bar", MEMORY, 6e5, 16e5),
        also=("scale", "range", "dial"),
    ),
    BEARS,
    tube_ends(3),
)  # fmt: skip

STICKS = Fault(
    "needle stuck",
    "latent",
    "Its needle sticks: it shows the same whatever the pressure is, and a filter that clogs shows nowhere.",
    "shut the water and let the pressure out: the needle must fall to zero, and rise again without a tap on the glass",
    Rate(0.05, "per year", 5.0, Source("small dial gauges in a damp place; no statistics are known to us", PRIOR, 0.01,
                                       0.25)),
)  # fmt: skip


def before_membrane(p: PartView, b: Lowering) -> bool:
    """Whether no part that parts its water in product and waste lies before it, as the file has it."""
    at, seen = p, {p.name}
    while at.get("after") and at["after"] not in seen:
        at = b.part(at["after"])
        seen.add(at.name)
        if "waste to" in at.values:
            return False
    return True


def jugs_behind(p: PartView, b: Lowering) -> tuple[float, float] | None:
    """What runs through it in a fill by the jugs of the first unit behind it [m3/s], and their temperature [K]."""
    name = p.name
    for _ in range(FARTHEST):
        name = b.follower(name)
        jugs = b.part(name).get("measured") if name else None
        if not name:
            return None
        if isinstance(jugs, dict) and {"product", "waste", "water"} <= set(jugs):
            return float(jugs["product"] + jugs["waste"]), float(jugs["water"])
    return None


def compare(p: PartView, b: Lowering, z: float) -> None:
    """Hold both readings against what the design leaves there, where that can be reckoned."""
    reads = p["reads"] or {}
    if not before_membrane(p, b):
        return
    season = b.season("water")
    still, jugs = [(0.0, season), (STREAM, season)], jugs_behind(p, b)
    for when, waters in ((RESTING, still), (FILLING, [jugs] if jugs is not None else [])):
        said = reads.get(when)
        if said is None:
            continue
        left = [b.pressure_while_drawn(p["after"], z, *water) for water in waters]
        known = [one for one in left if one is not None]
        if not known:
            continue
        nearest = min(max(said, min(known)), max(known))  # at rest a regulator may have risen, or not yet
        if abs(said - nearest) > CLASS * p["full scale"] + APART * abs(nearest):
            b.doubt(when, said, known[0])


def lower(p: PartView, b: Lowering) -> None:
    """A tee that the water runs straight through; its joints leak at the line."""
    z = height_in_place(p, b)
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    way = b.orifice(inlet, outlet, loss_of_heads(RUN, QUARTER_INCH))
    compare(p, b, z)
    b.fault(STICKS.name, [("passage", way, 1.0)])  # all runs as before: nothing in the house reads it
    leak_at_joints(b, inlet, z, p["in"], p["tube ends"])


def check(p: PartView) -> list[Finding]:
    """Running water never raises the pressure, and no needle shows more than its dial has."""
    reads = {when: value for when, value in (p["reads"] or {}).items() if value is not None}
    found = []
    if len(reads) == 2 and reads[FILLING] > reads[RESTING]:
        found.append(
            Finding(
                "gauge-turned-round", "warning", p.name,
                f"It is said to show more while filling ({amount(reads[FILLING], 'pressure')}) than at rest "
                f"({amount(reads[RESTING], 'pressure')}): running water only takes pressure away.",
                "Change the two over, or read both again within the same hour: the supply's pressure moves over a day.",
                key="reads",
            )
        )  # fmt: skip
    if any(value > p["full scale"] for value in reads.values()):
        found.append(
            Finding(
                "gauge-off-scale", "warning", p.name,
                f"It is said to show more than its full scale of {amount(p['full scale'], 'pressure')}.",
                "Read the figures on its dial again and write the highest as 'full scale'.", key="reads",
            )
        )  # fmt: skip
    return found


KIND = Kind(
    word="pressure gauge",
    also=("gauge", "manometer", "pressure meter", "dial gauge"),
    section="water",
    role="line",
    summary="A dial in the line that shows the pressure there; its readings are held against the rest of the design.",
    fails="Its needle sticks, and shows it to nobody; its joints weep or blow off.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=(STICKS, *JOINT_FAULTS),
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "back to zero",
            "Shut the water before it, let the pressure out behind it, look at the needle, and open the water again.",
            "The needle falls to its pin and comes back to where it was, without a tap on the glass.",
            6.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Read it at rest and while filling, and write both into the file.", MONTH, "read on"),),
    symbol='<path d="M0 17 H40 M20 17 V14" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<circle cx="20" cy="7.5" r="6.5" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M20 7.5 L24 4" stroke="currentColor" stroke-width="1.5"/>',
    example="gauge: {kind: pressure gauge, after: filters, in: laundry, "
    "reads: {while filling: 3.1 bar, at rest: 3.6 bar}, read on: 2026-04-11}",
    cautions=(
        "Its thread is one more joint under house pressure: hold a dry tissue round it after fitting it.",
        "Take one whose dial ends well above the pressure at night; a needle that was bent once shows too little.",
    ),
    notes=(
        "It is held against the design only where no membrane lies before it: behind one the shut-off decides.",
        (
            "At rest that is the supply's pressure at its height; behind a regulator what that holds, and up to its "
            "rise more. Behind a valve that is shut at rest it shows another."
        ),
        (
            "While filling it is reckoned with the water of both jugs of the first unit behind it, at their "
            "temperature; where no jugs were filled it is not compared."
        ),
        "A reading is doubted that is off by 2.5 % of the full scale and a tenth of what is reckoned (our prior).",
        "Nothing acts on it: a stuck needle changes no run, it hides what other faults would show.",
        "Its own thread counts as one of its tube ends.",
        JOINT_NOTE,
    ),
)

"""A vessel in the top-off line, such as a lime water stirrer: what is topped off takes along what the vessel holds.

So an overdose of water is an overdose of that. Nothing of its chemistry is reckoned: it is told, and counted, when more
goes through it in a day, or in one run of its pump, than the tank bears. It fails by giving too strong a dose after a
refill, by clogging, and at its lid.

Sources: how much a tank bears is common practice without a source (a system usually evaporates about one hundredth of
its water a day, and as much lime water is usual; a multiple of it at once lifts the pH); rates our priors.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, ProofTest, Rate, Source, Upkeep, amount
from dewpond.parts.plumbing import (
    DAY,
    IN,
    JOINT_RATE,
    MONTH,
    PRIOR,
    RUNNING,
    TRADE,
    disc,
)
from dewpond.physics.openings import TUBE_WALL

LITRE_A_DAY = 1e-3 / DAY
STRONG = 3.0  # times as strong as usual, after a refill that was stirred up [1]; our prior, 1.5 to 10
LID = 1e-3  # hole at a lid that does not sit tight [m]; our prior, 0.3 to 3 mm
BLOCKED = 1e6  # loss of its way once it has clogged over that of a clear tube [1]
STOPS = 1e-6  # of its pump's flow that then still comes [1]
BETWEEN_RUNS = 600.0  # runs with a shorter rest between them count as one [s]; our prior

PARAMS = (
    Param(
        "on", "part", "The pump through whose tube it stands.", roles=("line",), has=("flow", "outlet", "to"),
        also=("after", "behind", "fed by"),
    ),
    IN,
    Param("holds", "text", "What the water takes along out of it.", also=("contents", "filled with", "additive")),
    Param(
        "height", "height", "Height of its lid above the floor of that place.",
        default=0.4, low=-2.0, high=4.0, usual=(0.0, 2.5),
        source=Source("a stirrer of that height on the floor of a cabinet", PRIOR, 0.1, 1.5),
    ),
    Param(
        "harmful above", "flow", "What may go through it in a day; left out: a share of the tank's water.",
        default=None, low=0.01 * LITRE_A_DAY, high=1000.0 * LITRE_A_DAY,
        usual=(0.1 * LITRE_A_DAY, 100.0 * LITRE_A_DAY), also=("at most a day", "daily limit", "maximum"),
    ),
    Param(
        "harmful share a day", "fraction", "The share of the tank's water that may go through it in a day; used where "
        "no litres are given.", default=0.03, low=0.001, high=1.0, usual=(0.005, 0.2),
        source=Source("about three times what evaporates from a usual tank", TRADE, 0.01, 0.1), also=("share",),
    ),
    Param(
        "harmful in one run", "volume", "What may go through it in one run of its pump; left out: half of a day's.",
        default=None, low=0.01e-3, high=1.0, usual=(0.05e-3, 0.05), also=("at most a run", "single dose"),
    ),
    Param("filled on", "date", "The day on which it was last filled.", default=None, also=("refilled on",)),
)  # fmt: skip

STIRRED = Fault(
    "too strong after a refill", "latent",
    "It was filled or stirred up lately: what comes out of it is three times as strong, and a third of the litres does "
    "the same harm.",
    "cloudy water at the end of the tube",
    Rate(0.1, "per refill", 3.0, Source("a spoon too many, or stirred while the pump runs", PRIOR, 0.03, 0.3)),
)  # fmt: skip
CLOGS = Fault(
    "clogged", "latent", "What it holds has set hard: nothing comes through it, and the tank is not topped off.",
    "no water at the end of the tube while the pump runs",
    Rate(0.1, "per year", 3.0, Source("lime that cakes in a narrow inlet", PRIOR, 0.03, 0.3)),
)  # fmt: skip
LID_LEAKS = Fault(
    "lid leaks", "initiator", "Its lid does not sit tight: water runs out of it while its pump runs.",
    "a wet ring below its lid", JOINT_RATE,
)  # fmt: skip


def day_s_most(p: PartView, b: Lowering) -> float:
    """What may go through it in a day [m3]."""
    if p["harmful above"] is not None:
        return float(p["harmful above"] * DAY)
    return float(p["harmful share a day"] * b.water_of(b.part(p["on"])["to"]))


def lower(p: PartView, b: Lowering) -> None:
    """Nothing but counts of what its pump delivers, and how it fails; what it takes from the flow is in the pump's."""
    pump, tank = p["on"], b.part(p["on"])["to"]
    lifts, tube = b.delivery(pump)
    day = day_s_most(p, b)
    run = 0.5 * day if p["harmful in one run"] is None else p["harmful in one run"]
    always = b.always(True)
    ended = b.no(b.off_delay(b.flow_above(tube, RUNNING, 0.5 * RUNNING), BETWEEN_RUNS))
    strong = b.any(b.always(False))
    over = []
    for most, begins, when in ((day, b.at_midnight(), "in a day"), (run, ended, "in one run of its pump")):
        third = b.all(strong, b.passed(tube, most / STRONG, begins, always))
        harms = b.any(b.passed(tube, most, begins, always), third)
        b.say(harms, f"{p.name} has given {tank} more {p['holds']} {when} than it bears", kind="harm")
        over.append(harms)
    b.tally("overdose", p.name, b.any(*over))
    b.fault(STIRRED.name, [("force", strong, 1.0)])
    b.fault(CLOGS.name, [("scale", tube, BLOCKED), ("scale", lifts, STOPS)])
    z = b.place_height(p["in"]) + p["height"]
    b.leak(b.outlet(pump), z, p["in"], LID_LEAKS.name, disc(LID), TUBE_WALL)


def check(p: PartView) -> list[Finding]:
    """A run that may bring more than a day."""
    day, run = p["harmful above"], p["harmful in one run"]
    if day is None or run is None or run <= day * DAY:
        return []
    whole = amount(day * DAY, "volume")
    what = f"One run may bring more than a whole day: {amount(run, 'volume')}, and in a day {whole}."
    return [Finding("dosing-run", "warning", p.name, what, "Give less for a run.", key="harmful in one run")]


KIND = Kind(
    word="dosing vessel",
    also=("lime water stirrer", "kalk stirrer", "kalkwasser reactor", "calcium hydroxide stirrer", "reactor"),
    section="water",
    role="line",
    summary="A vessel that the top-off runs through, such as a lime water stirrer: an overdose of water is one of it.",
    fails="It gives too strong a dose after a refill, clogs so that no top-off comes, or leaks at its lid.",
    params=PARAMS,
    ports=(),
    faults=(STIRRED, CLOGS, LID_LEAKS),
    lower=lower,
    check=check,
    symbol='<path d="M12 3 H28 V18 H12 Z M12 6 H28" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M0 15 H12 M28 9 H40" stroke="currentColor" stroke-width="2"/>'
    '<path d="M20 1 V14 M16 14 H24" stroke="currentColor" stroke-width="1.5"/>',
    example="stirrer: {kind: dosing vessel, on: top-off pump, in: study, holds: lime water, harmful above: 3 L/day}",
    tests=(
        ProofTest(
            "jug",
            "Let the top-off run into a jug through it, as long as an ordinary run; look at the water, and hold a dry "
            "tissue round its lid.",
            "It is clear, as much as without it within a fifth, and the tissue stays dry.",
            3.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Rinse out what has caked, before it is filled anew.", MONTH, "filled on"),),
    cautions=(
        "Lime water burns eyes and skin: gloves and goggles for a refill, and nothing acid near it.",
        "What limits the top-off limits this dose too: set “at most” and “per day” of its row by it.",
        "After a refill leave the pump at rest until what was stirred up has settled.",
    ),
    notes=(
        "No chemistry is reckoned: a limit in litres is held against what goes through it, and passing it is told.",
        (
            "Where no litres are given, three hundredths of the tank's water a day are taken, and half of that in a "
            "run (common practice, no source: 1 to 10 % a day). A figure for this tank and what it holds is better."
        ),
        "A day is from midnight to midnight; runs with less than ten minutes between them count as one (our prior).",
        "Water that siphons through its pump counts as well.",
        "Too strong after a refill is three times as strong (our prior, 1.5 to 10), as long as the fault stands.",
        "What it takes from the pump's flow is taken as in the pump's jug already; its own water is not counted.",
        "A lid that leaks is a hole of 1 mm (our prior, 0.3 to 3 mm) behind the pump.",
    ),
)

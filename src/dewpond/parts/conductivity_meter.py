"""A conductivity meter: a cell in a line or in a vessel that tells a controller of too much, or too little, dissolved.

Behind a membrane it shows that this is torn, behind a resin that it is spent, in a tank it is a salinity alarm. It does
not see carbon dioxide, which wears a resin out unseen. Its cell fouls and then reads low for ever, salt creep or a
wrong figure makes it read high, its wire breaks.

Sources: 1 uS/cm as half a milligram a litre is common practice (0.5 for a sodium chloride scale, 0.7 for another one);
rates our priors.
"""

from __future__ import annotations

from collections.abc import Sequence

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, Upkeep
from dewpond.parts.plumbing import MONTH, PRIOR
from dewpond.parts.sensing import CONTACT_STATES, LEAD, WIRE_RATE, WIRED_TO, heard, reading
from dewpond.physics.seawater import density

PPM_OF_CONDUCTIVITY = 5.0  # half a milligram a litre for 1 uS/cm [kg/m3 for 1 S/m]; common practice, 0.47 to 0.71 mg/L
SILENT = 0.95  # of its limit, at which one that speaks above it falls silent again [1]; our prior, 0.8 to 0.99
SALTY_SILENT = 0.99  # the same of a salinity
ROOM = 298.15  # at which a salinity is taken as so much dissolved in a litre [K]
LIMITS = ("limit", "conductivity limit", "salinity limit")
READ = ("read as high when", "read as low when")

PARAMS = (
    Param(
        "reads", "part", "The part behind which its cell sits in the line, or the vessel in which it hangs.",
        roles=("line", "device", "vessel"), looks=True, also=("in", "after", "behind", "measures", "of"),
    ),
    Param(
        "limit", "dissolved solids", "The ppm from which, or below which, it speaks; one limit is given.",
        default=None, low=0.05e-3, high=5.0, usual=(0.5e-3, 1.5), also=("TDS limit", "alarm at", "high above", "ppm"),
    ),
    Param(
        "conductivity limit", "conductivity", "The same, of one that shows uS/cm.",
        default=None, low=0.1e-4, high=10.0, usual=(1e-4, 0.3), also=("EC limit", "uS limit"),
    ),
    Param(
        "salinity limit", "salinity", "The same, of one in a tank that shows ppt.",
        default=None, low=0.5, high=45.0, usual=(5.0, 41.0), also=("ppt limit",),
    ),
    Param(
        "told after", "duration", "How long it must stand beyond its limit until it says so, and back until it is "
        "silent.", default=30.0, low=1.0, high=86400.0, usual=(1.0, 3600.0),
        source=Source("a bubble or a splash in the cell passes meanwhile", PRIOR, 5.0, 300.0), also=("delay",),
    ),
    WIRED_TO,
    Param(
        "contact", "word", "What its contact does: put the cell into tap water and into purified water, and measure.",
        words=("closes when high", "opens when high", "closes when low", "opens when low"),
    ),
    Param("read as high when", "word", "At which contact the input says high.", words=CONTACT_STATES, default=None),
    Param("read as low when", "word", "At which contact the input says low.", words=CONTACT_STATES, default=None),
    LEAD,
)  # fmt: skip

CUPS = "dip its cell into purified water and into tap water: does it show both?"

FOULED = Fault(
    "reads low for ever", "latent", "Its cell is fouled, dry or full of air: it shows next to nothing in any water.",
    CUPS, Rate(0.1, "per year", 3.0, Source("film on small contacts; nearer 0.5 in a tank", PRIOR, 0.03, 0.5)),
)  # fmt: skip
HIGH = Fault(
    "reads high for ever", "latent", "Salt creep, damp in its plug or a wrong figure: it shows much in any water.",
    CUPS, Rate(0.05, "per year", 3.0, Source("nearer 0.2 beside salt water", PRIOR, 0.017, 0.2)),
)  # fmt: skip
WIRE_BROKEN = Fault(
    "wire broken", "latent", "Its wire is cut or its plug is loose: the input finds the contact open for ever.", CUPS,
    WIRE_RATE,
)  # fmt: skip
WIRES_TOUCH = Fault(
    "wires touch", "latent", "Salt or a pinched cable joins its wires: the input finds the contact closed for ever.",
    CUPS,
)  # fmt: skip


def watched(p: PartView) -> str:
    """``low`` or ``high``: the state that the controller is told of."""
    return "low" if p["read as low when"] else "high"


def mark(p: PartView) -> tuple[float, float]:
    """Its limit as dissolved matter [kg/m3], and the share of it at which it falls silent."""
    if p["salinity limit"] is not None:
        return p["salinity limit"] * 1e-3 * density(p["salinity limit"], ROOM), SALTY_SILENT
    if p["conductivity limit"] is not None:
        return p["conductivity limit"] * PPM_OF_CONDUCTIVITY, SILENT
    return p["limit"], SILENT


def lower(p: PartView, b: Lowering) -> None:
    """The strength of the water, contact, wire and reading, each a signal of its own."""
    state = watched(p)
    node, in_vessel = b.water_at(p["reads"])
    limit, silent = mark(p)
    on, off = (limit, silent * limit) if state == "high" else (limit / silent, limit)
    above = b.any(b.concentration_above(node, on, off))
    beyond = above if state == "high" else b.no(above)
    lasts = b.off_delay(b.on_delay(beyond, p["told after"]), p["told after"])
    verb, _, moved_by = p["contact"].split()
    acts = b.any(lasts if moved_by == state else b.no(lasts))
    wire, says = reading(b, acts, verb == "closes", p[f"read as {state} when"])
    b.condition(state, says)
    b.condition("normal", b.no(says))
    much, where = "much" if state == "high" else "little", "in" if in_vessel else "behind"
    b.say(
        heard(b, p["wired to"], says),
        f"{p.name} reports that too {much} is dissolved {where} {p['reads']}",
        f"{p.name} no longer reports that too {much} is dissolved",
        "notice",
    )
    b.fault(FOULED.name, [("force", above, 0.0)])
    b.fault(HIGH.name, [("force", above, 1.0)])
    b.fault(WIRE_BROKEN.name, [("force", wire, 0.0)])
    b.fault(WIRES_TOUCH.name, [("force", wire, 1.0)])


def _one_of(p: PartView, keys: Sequence[str], code: str, wanted: str) -> list[Finding]:
    """A finding unless exactly one of some keys is given."""
    given = [key for key in keys if p[key] is not None]
    if len(given) == 1:
        return []
    each = ", ".join(f'"{key}"' for key in given or keys)
    what = f"{'Several of its limits or readings are given' if given else 'None of these is given'}: {each}."
    return [Finding(code, "error", p.name, what, f"Give one of them: {wanted}.", key=keys[0])]


def check(p: PartView) -> list[Finding]:
    """One limit, and one state that is read."""
    return [
        *_one_of(p, LIMITS, "conductivity-limit", 'ppm in "limit", or what its display shows'),
        *_one_of(p, READ, "conductivity-state", "the first for one that tells of too much, the second of too little"),
    ]


KIND = Kind(
    word="conductivity meter",
    also=("TDS meter", "EC meter", "salinity probe", "salinity meter", "conductivity probe", "TDS probe"),
    section="sensors",
    role="sensor",
    summary="A cell in a line or a vessel that tells a controller of too much, or too little, that is dissolved.",
    fails="Its cell fouls and reads low for ever, or it reads high for ever, or its wire breaks.",
    params=PARAMS,
    ports=(Port("reading", "signal"),),
    faults=(FOULED, HIGH, WIRE_BROKEN, WIRES_TOUCH),
    lower=lower,
    check=check,
    symbol='<path d="M0 15 H40" stroke="currentColor" stroke-width="2"/>'
    '<path d="M15 2 V12 M25 2 V12 M15 2 H25" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M18 8 H22 M20 6 V10" stroke="currentColor"/>',
    example="resin meter: {kind: conductivity meter, reads: resin, limit: 5 ppm, wired to: cellar box, "
    "contact: closes when high, read as high when: closed}",
    tests=(
        ProofTest(
            "two cups",
            "Dip its cell into purified water, then into tap water (one in a tank: into tank water, then into that "
            "with a third of fresh water added), and leave it there for longer than its delay.",
            "It shows next to nothing in the first and the tap water's figure in the second, and its controller says "
            "so.",
            3.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Rinse its cell with purified water, and wipe film and scale off its contacts.", 3.0 * MONTH),),
    cautions=(
        "Carbon dioxide passes the membrane, wears the resin out and shows on no conductivity meter: 0 ppm is not all.",
        "Purified water at rest in a line gains some: let it run for a while before you believe a high figure.",
        "One that has fouled looks like the purest water: a figure that never moves is a reason to test it.",
    ),
    notes=(
        "It reads what is dissolved in the water that came last; before any has come, that is nothing.",
        "1 uS/cm is taken as 0.5 mg/L (common practice, 0.47 to 0.71 by the scale that a meter uses).",
        "Above its limit it falls silent again at 95 %, of a salinity at 99 % (our prior); below it, the same way.",
        "In a line that runs, the water is looked at within a minute of its beginning, then every ten minutes.",
        "A salinity counts at 25 C. What temperature does to a reading is not followed, nor a cell that drifts.",
        "The salt that creeps through a membrane at rest is left out, and so is what a spent resin lets go at first.",
        "Its fitting is no part of the line: count its two tube ends with those of the part that it reads.",
    ),
)

"""A level switch: a float or an optical eye in a vessel that moves a contact at a mark.

Contact sense is two facts: what the contact does at the mark, and how the input of the controller reads it. A float
jams (salt creep, a snail, algae), the window of an optical one fouls, a wire breaks; what a broken wire reads as
follows from the contact.

Sources: industrial level switches fail unseen about once in a million hours (PDS handbook, from memory), three times
that at home; 0.1 to 0.3 a year for float switches that nobody cleans (from memory); optical ones our prior.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Source, Upkeep
from dewpond.parts.plumbing import MONTH, PRIOR
from dewpond.parts.sensing import CONTACT_STATES, FLOAT_RATE, LEAD, OPTICAL_RATE, WIRE_RATE, WIRED_TO, heard, reading

PARAMS = (
    Param("in", "part", "The vessel whose level it watches.", roles=("vessel",)),
    Param("type", "word", "What moves its contact.", words=("float", "optical"), default="float"),
    Param(
        "at", "level", "The mark at which it speaks, for a switch with one mark.", default=None,
        also=("mark", "height", "level"),
    ),
    Param("calls at", "level", "The mark at which it speaks, for one with two marks.", default=None),
    Param("is satisfied at", "level", "The mark at which it falls silent again.", default=None),
    Param(
        "hysteresis", "length", "Between speaking and falling silent, for a switch with one mark.",
        default=3e-3, low=0.0, high=0.1, usual=(0.0, 0.03),
        source=Source("small float or optical switch", PRIOR, 1e-3, 10e-3),
    ),
    WIRED_TO,
    Param(
        "contact", "word", "What its contact does: dip it, lift it, and measure with a meter.",
        words=("closes when low", "opens when low", "closes when high", "opens when high"),
    ),
    Param("read as low when", "word", "At which contact the input says low.", words=CONTACT_STATES, default=None),
    Param("read as high when", "word", "At which contact the input says high.", words=CONTACT_STATES, default=None),
    LEAD,
)  # fmt: skip

DIP = "lift and dip it: does the controller change what it shows?"

FLOAT_LOW = Fault(
    "float stuck low", "latent", "Its float hangs low: it shows a low level whatever the water does.", DIP, FLOAT_RATE
)
FLOAT_HIGH = Fault(
    "float stuck high",
    "latent",
    "Its float hangs high: it shows a high level whatever the water does.",
    DIP,
    FLOAT_RATE,
)
SEES_LOW = Fault(
    "window fouled, shows low", "latent", "Its window is fouled: it sees air where there is water.", DIP, OPTICAL_RATE
)
SEES_HIGH = Fault(
    "window fouled, shows high", "latent", "A film or a drop on its window: it sees water where there is air.", DIP,
    OPTICAL_RATE,
)  # fmt: skip
WIRE_BROKEN = Fault(
    "wire broken", "latent", "Its wire is cut or its plug is loose: the input finds the contact open for ever.", DIP,
    WIRE_RATE,
)  # fmt: skip
WIRES_TOUCH = Fault(
    "wires touch",
    "latent",
    "Salt or a pinched cable joins its wires: the input finds the contact closed for ever.",
    DIP,
)


def watched(p: PartView) -> str:
    """``low`` or ``high``: the state that the controller is told of."""
    return "low" if p["read as low when"] else "high"


def above_mark(p: PartView, b: Lowering) -> int:
    """Signal: the water stands above the mark, with a dead band on the side where the switch falls silent."""
    mark = b.vessel_level(p["in"], p["at"] or p["calls at"])
    low = watched(p) == "low"
    if p["is satisfied at"]:
        silent = b.vessel_level(p["in"], p["is satisfied at"])
    else:
        silent = mark + (p["hysteresis"] if low else -p["hysteresis"])
    return b.level_above(p["in"], max(mark, silent), min(mark, silent))


def lower(p: PartView, b: Lowering) -> None:
    """Level, contact, wire and reading, each a signal of its own, so that each can fail."""
    state = watched(p)
    above = b.any(above_mark(p, b))
    verb, _, moved_by = p["contact"].split()
    acts = above if moved_by == "high" else b.no(above)
    wire, says = reading(b, acts, verb == "closes", p[f"read as {state} when"])
    b.condition(state, says)
    b.condition("normal", b.no(says))
    kind = "note" if state == "low" else "notice"
    b.say(
        heard(b, p["wired to"], says),
        f"{p.name} reports {state} water in {p['in']}",
        f"{p.name} no longer reports {state} water",
        kind,
    )
    stuck = (FLOAT_LOW, FLOAT_HIGH) if p["type"] == "float" else (SEES_LOW, SEES_HIGH)
    for shows_high, fault in enumerate(stuck):
        b.fault(fault.name, [("force", above, float(shows_high))])
    b.fault(WIRE_BROKEN.name, [("force", wire, 0.0)])
    b.fault(WIRES_TOUCH.name, [("force", wire, 1.0)])


def _one_of(p: PartView, first: str, second: str, code: str, wanted: str) -> list[Finding]:
    """A finding unless exactly one of two keys is given."""
    given = [key for key in (first, second) if p[key] is not None]
    if len(given) == 1:
        return []
    what = f'Both "{first}" and "{second}" are given' if given else f'Neither "{first}" nor "{second}" is given'
    return [Finding(code, "error", p.name, f"{what}.", f"Give one of them: {wanted}.", key=first)]


def check(p: PartView) -> list[Finding]:
    """One mark or two, and one state that is read."""
    found = _one_of(
        p, "at", "calls at", "level-switch-mark", '"at" for a switch with one mark, "calls at" for one with two'
    )
    found += _one_of(
        p, "read as low when", "read as high when", "level-switch-state",
        "the first for a switch that tells of low water, the second for one that tells of high water",
    )  # fmt: skip
    calls, satisfied = p["calls at"], p["is satisfied at"]
    if not found and calls is not None and satisfied is not None and calls.measured == satisfied.measured:
        upwards = satisfied.value - calls.value
        if calls.measured == "rim":
            upwards = -upwards
        if upwards == 0.0 or (upwards > 0.0) == (p["read as high when"] is not None):
            found.append(
                Finding(
                    "level-switch-marks",
                    "error",
                    p.name,
                    "Its two marks are the wrong way round: one that tells of low water calls below the mark at which "
                    "it is satisfied, one that tells of high water above it.",
                    "Measure both marks from the same height, and change them over if need be.",
                    key="calls at",
                )
            )
    if p["is satisfied at"] is not None and p["calls at"] is None:
        found.append(
            Finding(
                "level-switch-satisfied",
                "error",
                p.name,
                '"is satisfied at" is given without "calls at".',
                'Give both marks, or only "at".',
                key="is satisfied at",
            )
        )
    return found


KIND = Kind(
    word="level switch",
    also=("float switch", "water level sensor", "level probe"),
    section="sensors",
    role="sensor",
    summary="A float or an optical eye that tells a controller when water stands below or above a mark.",
    fails="It sticks or fouls and shows one level for ever, or its wire breaks; then the controller is told wrong.",
    params=PARAMS,
    ports=(Port("reading", "signal"),),
    faults=(FLOAT_LOW, FLOAT_HIGH, SEES_LOW, SEES_HIGH, WIRE_BROKEN, WIRES_TOUCH),
    lower=lower,
    check=check,
    symbol='<path d="M20 1 V9" stroke="currentColor" stroke-width="1.5"/>'
    '<rect x="14" y="9" width="12" height="6" rx="3" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M2 16 q4 -3 8 0 t8 0 t8 0 t8 0" fill="none" stroke="currentColor"/>',
    example="low mark: {kind: level switch, type: optical, in: big sump, calls at: 232 mm, is satisfied at: 240 mm, "
    "wired to: level box, contact: closes when low, read as low when: closed}",
    tests=(
        ProofTest(
            "dip test",
            "Lift it out of the water, dip it under, and pull its plug; look each time at what the controller shows.",
            "The display changes at once each time, and shows what the design says.",
            MONTH,
        ),
    ),
    upkeep=(Upkeep("Wipe it clean of algae, snails and salt; move the float up and down.", 3.0 * MONTH),),
    cautions=("Its cable hangs over water: give it a drip loop, and keep its power supply above the rim.",),
    notes=(
        "That it has slipped to another height is not followed; move its mark in the design to see what that does.",
        "A mark is passed sharply: waves and a switch that bounces are not followed.",
    ),
)

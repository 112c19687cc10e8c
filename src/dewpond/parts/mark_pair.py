"""A mark pair: one bracket with two floats or optical eyes, which calls from the low mark until the high one.

A latch in it, or in its small relay, remembers the call between the marks: so a pump fills from mark to mark in one run
instead of many. Each of its eyes can stick, each wire break. Stuck, the low eye never calls or calls too soon; stuck,
the high eye never ends the call, and only a limit or another switch stops the pump. What it then does between its marks
hangs on which eye wins when both speak.

Sources: as a level switch, for each eye; what a latch does when both speak, and what a cut wire of an eye shows, is not
known until it is tried.
"""

from __future__ import annotations

from typing import NamedTuple

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Upkeep
from dewpond.parts.plumbing import MONTH
from dewpond.parts.sensing import CONTACT_STATES, FLOAT_RATE, LEAD, OPTICAL_RATE, WIRE_RATE, heard, reading

BAND = 3e-3  # between the two turns of one eye [m]; our prior, 1 to 10 mm
CALLS, RESTS = "it calls", "it does not call"
AIR, WATER = "air", "water"
LOW, HIGH = "at the low mark", "at the high mark"

PARAMS = (
    Param("in", "part", "The vessel whose level it watches.", roles=("vessel",)),
    Param("type", "word", "What its two eyes are.", words=("float", "optical"), default="float"),
    Param(
        "calls at", "level", "The low mark, at which the call begins.",
        also=("low mark", "low", "lower mark", "starts at"),
    ),
    Param(
        "is satisfied at", "level", "The high mark, at which the call ends.",
        also=("high mark", "high", "upper mark", "stops at", "full at"),
    ),
    Param(
        "when both speak", "word", "What it does while its low eye finds air and its high eye water: one of them lies.",
        words=(CALLS, RESTS), default="unknown", unknown=(CALLS, RESTS),
        find_out="Lift its low eye into the air and hold the high one under water: does it call?",
    ),
    Param(
        "a cut wire shows", "word", "What an eye shows to the latch when its wire is cut.",
        words=(AIR, WATER), default="unknown", unknown=(AIR, WATER),
        find_out="Unplug one eye from the bracket's latch, and look whether it then shows air or water.",
    ),
    Param(
        "wired to", "part", "The controller or relay whose input the latch is wired to.", roles=("box",),
        also=("connected to", "input of"),
    ),
    Param(
        "contact", "word", "What its contact does while it calls: let it call, and measure with a meter.",
        words=("closes when low", "opens when low"),
    ),
    Param("read as low when", "word", "At which contact the input says low.", words=CONTACT_STATES),
    LEAD,
)  # fmt: skip

DIP = "lift and dip each eye alone: does the call begin and end?"

HANGS_LOW = Fault(
    "float hangs low", "latent", "That float hangs low: it shows air whatever the water does.", DIP, FLOAT_RATE
)
HANGS_HIGH = Fault(
    "float hangs high", "latent", "That float hangs high: it shows water whatever the water does.", DIP, FLOAT_RATE
)
SEES_AIR = Fault(
    "window fouled, shows air", "latent", "That window is fouled: it sees air where there is water.", DIP, OPTICAL_RATE
)
SEES_WATER = Fault(
    "window fouled, shows water", "latent", "A film or a drop on that window: it sees water where there is air.", DIP,
    OPTICAL_RATE,
)  # fmt: skip
EYE_CUT = Fault(
    "eye's wire broken", "latent", "The wire from that eye to the latch is cut: it shows one thing for ever.", DIP,
    WIRE_RATE,
)  # fmt: skip
WIRE_BROKEN = Fault(
    "wire broken", "latent",
    "Its wire to the box is cut or its plug is loose: the input finds the contact open for ever.", DIP, WIRE_RATE,
)  # fmt: skip
WIRES_TOUCH = Fault(
    "wires touch",
    "latent",
    "Salt or a pinched cable joins its wires: the input finds the contact closed for ever.",
    DIP,
)


class _Eye(NamedTuple):
    """Signals of one eye: it finds water, and what comes of that at the latch; where it is."""

    finds: int
    shows: int
    where: str


def _eyes(p: PartView, b: Lowering) -> tuple[_Eye, _Eye]:
    """The eye that turns to air below the low mark, and the one that turns to water at the high one."""
    low, high = (b.vessel_level(p["in"], p[key]) for key in ("calls at", "is satisfied at"))
    found = []
    for on, off, where in ((low + BAND, low, LOW), (high, high - BAND, HIGH)):
        finds = b.any(b.level_above(p["in"], on, off))
        found.append(_Eye(finds, b.any(finds), where))
    return found[0], found[1]


def lower(p: PartView, b: Lowering) -> None:
    """Two eyes, their wires, the latch, its contact, wire and reading: each can fail by itself.

    The latch lives on the power of the box that it is wired to, and forgets its call without it.
    """
    low, high = _eyes(p, b)
    below = b.no(low.shows) if p["when both speak"] == CALLS else b.all(b.no(low.shows), b.no(high.shows))
    circuit = b.part(p["wired to"]).get("power")
    calls = b.any(b.latch(below, high.shows, b.no(b.circuit(circuit)) if circuit else b.always(False)))
    wire, says = reading(b, calls, p["contact"].startswith("closes"), p["read as low when"])
    b.condition("low", says)
    b.condition("normal", b.no(says))
    b.say(
        heard(b, p["wired to"], says), f"{p.name} calls for water in {p['in']}", f"{p.name} is satisfied", "note",
    )  # fmt: skip
    stuck = (HANGS_LOW, HANGS_HIGH) if p["type"] == "float" else (SEES_AIR, SEES_WATER)
    for eye in (low, high):
        for water, fault in enumerate(stuck):
            b.fault(fault.name, [("force", eye.finds, float(water))], where=eye.where)
        b.fault(EYE_CUT.name, [("force", eye.shows, float(p["a cut wire shows"] == WATER))], where=eye.where)
    b.fault(WIRE_BROKEN.name, [("force", wire, 0.0)])
    b.fault(WIRES_TOUCH.name, [("force", wire, 1.0)])


def check(p: PartView) -> list[Finding]:
    """The low mark lies below the high one, by more than an eye needs to turn."""
    low, high = p["calls at"], p["is satisfied at"]
    if low.measured != high.measured:
        return []
    apart = high.value - low.value if low.measured != "rim" else low.value - high.value
    if apart > BAND:
        return []
    what = (
        "Its low mark does not lie below its high one." if apart <= 0.0 else "Its two marks lie on top of each other."
    )
    return [
        Finding(
            "mark-pair-marks",
            "error",
            p.name,
            what,
            (
                "Measure both marks from the same height; a centimetre and more between them gives one run instead "
                "of many."
            ),
            key="calls at",
        )
    ]


KIND = Kind(
    word="mark pair",
    also=("low and high float", "two-mark switch", "dual float switch", "low/high pair", "double float"),
    section="sensors",
    role="sensor",
    summary="Two eyes on one bracket with a latch: it calls from the low mark until the water is at the high one.",
    fails="An eye sticks or loses its wire, and it never calls, or never ends its call; or its wire to the box breaks.",
    params=PARAMS,
    ports=(Port("reading", "signal"),),
    faults=(HANGS_LOW, HANGS_HIGH, SEES_AIR, SEES_WATER, EYE_CUT, WIRE_BROKEN, WIRES_TOUCH),
    lower=lower,
    check=check,
    symbol='<path d="M20 1 V19" stroke="currentColor" stroke-width="1.5"/>'
    '<rect x="22" y="3" width="10" height="5" rx="2.5" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<rect x="22" y="13" width="10" height="5" rx="2.5" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M2 11 q4 -3 8 0 t8 0 t8 0 t8 0" fill="none" stroke="currentColor"/>',
    example="two marks: {kind: mark pair, type: optical, in: big sump, calls at: 225 mm, is satisfied at: 240 mm, "
    "wired to: level box, contact: closes when low, read as low when: closed}",
    tests=(
        ProofTest(
            "dip each eye",
            "Lift the bracket out: it calls. Dip the low eye alone, then both; lift the high eye alone, then both. "
            "Pull its plug. Look each time at what the controller shows.",
            "It calls with both in the air, goes on calling with the low one under water, ends when both are, and "
            "calls anew only when both are in the air; without its plug it shows what the design says.",
            MONTH,
        ),
    ),
    upkeep=(Upkeep("Wipe both eyes clean of algae, snails and salt; move both floats up and down.", 3.0 * MONTH),),
    cautions=(
        "Its high eye alone ends a run: give the row an `at most`, and the vessel another switch for high water.",
        "Its cable hangs over water: give it a drip loop, and keep its power supply above the rim.",
    ),
    notes=(
        (
            "Low eye stuck in water: it never calls, and the vessel falls until something else tells. High eye "
            "stuck in air: it calls on past its mark, and needs the limit."
        ),
        (
            "Low eye stuck in air: where it calls when both speak, it calls for ever and needs the limit; where "
            "not, it calls anew as soon as the high eye is dry, in short runs at the high mark."
        ),
        (
            "High eye stuck in water: where it calls when both speak, it runs in short runs at the low mark; where "
            "not, it never calls."
        ),
        "Without the power of its box the latch forgets its call, and calls anew only from the low mark.",
        "One cable serves both eyes here only where their wires break one by one; a cable that is torn off is both.",
        "A mark is passed sharply: waves and a switch that bounces are not followed.",
    ),
)

"""An away switch: turned by hand on leaving, so that a row of the matrix keeps the feed shut while nobody is there.

A box knows nothing of who is at home; it knows how this switch stands. It is forgotten on leaving, and worse, on coming
back: then the reservoir is never filled. How often: omissions 0.003 to 0.01 (THERP, from memory), 0.02 (HEART, routine
task, second-hand); wires as other sensors.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest
from dewpond.parts.plumbing import LEFT_BY_HAND, MONTH
from dewpond.parts.sensing import CONTACT_STATES, LEAD, WIRE_RATE, WIRED_TO, heard, reading

JOURNEY, LEAVING, BEDTIME = "for a journey", "on leaving the house", "on leaving and at bedtime"

PARAMS = (
    Param(
        "turned by", "part", "The person who turns it.", roles=("person",), also=("by", "who turns it", "whose"),
    ),
    Param(
        "turned", "word", "When it is turned to away; on coming back, or getting up, it is turned to home again.",
        words=(JOURNEY, LEAVING, BEDTIME), default=JOURNEY, also=("when", "is turned"),
    ),
    WIRED_TO,
    Param(
        "contact", "word", "What its contact does: turn it, and measure with a meter.",
        words=("closes when away", "opens when away"),
    ),
    Param(
        "read as away when", "word", "At which contact the input says away.", words=CONTACT_STATES,
        also=("reads as away when", "away when"),
    ),
    LEAD,
)  # fmt: skip

LOOK = "turn it, and look at what the controller shows"
NOT_TURNED = Fault(
    "not turned on leaving",
    "event",
    "It stands at home, although somebody has left.",
    "a note at the door",
    LEFT_BY_HAND,
)
LEFT_AWAY = Fault(
    "left at away",
    "event",
    "It stands at away, although somebody is back.",
    "a reservoir that only falls",
    LEFT_BY_HAND,
)
WIRE_BROKEN = Fault(
    "wire broken", "latent", "Its wire is cut or its plug is loose: the input finds the contact open for ever.", LOOK,
    WIRE_RATE,
)  # fmt: skip
WIRES_TOUCH = Fault(
    "wires touch", "latent", "A pinched cable joins its wires: the input finds the contact closed for ever.", LOOK
)


def lower(p: PartView, b: Lowering) -> None:
    """How it stands, its wire and the reading, each a signal of its own, so that each can fail."""
    person = p["turned by"]
    left = b.who(person, "travelling")
    if p["turned"] != JOURNEY:
        left = b.any(left, b.no(b.who(person, "at home")))
    if p["turned"] == BEDTIME:
        left = b.any(left, b.no(b.who(person, "awake")))
    away = b.any(left)
    wire, says = reading(b, away, p["contact"] == "closes when away", p["read as away when"])
    b.condition("away", says, meant=True)
    b.condition("at home", b.no(says), meant=True)
    b.say(heard(b, p["wired to"], says), f"{p.name} stands at away", f"{p.name} stands at home")
    b.fault(NOT_TURNED.name, [("force", away, 0.0)])
    b.fault(LEFT_AWAY.name, [("force", away, 1.0)])
    b.fault(WIRE_BROKEN.name, [("force", wire, 0.0)])
    b.fault(WIRES_TOUCH.name, [("force", wire, 1.0)])


KIND = Kind(
    word="away switch",
    also=("holiday switch", "vacation mode", "away mode", "presence switch", "at home switch", "absence switch"),
    section="sensors",
    role="sensor",
    summary="A switch that somebody turns on leaving and on coming back; rows of the matrix ask how it stands.",
    fails="It is forgotten on leaving or on coming back, or its wire breaks.",
    params=PARAMS,
    ports=(Port("reading", "signal"),),
    faults=(NOT_TURNED, LEFT_AWAY, WIRE_BROKEN, WIRES_TOUCH),
    lower=lower,
    symbol='<path d="M4 18 V9 L14 2 L24 9 V18 Z" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M27 12 H37 M33 8 L37 12 L33 16" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="holiday switch: {kind: away switch, turned by: keeper, turned: for a journey, wired to: cellar box, "
    "contact: closes when away, read as away when: closed}",
    tests=(
        ProofTest(
            "turn it",
            "Turn it to away and back while water runs, pull its plug; look each time at what the controller shows.",
            "What should rest meanwhile does, and works again after; the display says what it should.",
            3.0 * MONTH,
        ),
    ),
    cautions=(
        "Hang it where you pass with the key in your hand, and write on it what it does.",
        "Shut the house valve by hand before a journey all the same: a switch in a box holds no water back by itself.",
        "Fill the reservoir before you turn it: while it stands at away, nothing is filled.",
    ),
    notes=(
        "It is turned at the moment of leaving and of coming back, in every run as it should be, but for its faults.",
        "Where several people live there, it follows the one who is named.",
    ),
)

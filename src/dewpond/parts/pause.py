"""A pause that somebody takes on purpose: for feeding, cleaning, a water change. The matrix says what rests meanwhile.

It ends by itself after its time, or by hand; and then it can be forgotten. A pause that is forgotten starves the tank,
or leaves a protection off, with everything else sound.

Sources: forgotten once in 100 times (omission, THERP 0.003 to 0.01 and HEART task E 0.02, from memory).
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, ProofTest, Rate, Source, amount
from dewpond.parts.plumbing import DAY, MONTH, PRIOR

MINUTE = 60.0

PARAMS = (
    Param(
        "lasts", "duration", "How long it usually is.", default=15.0 * MINUTE, low=1.0, high=DAY,
        usual=(MINUTE, 6.0 * 3600.0), source=Source("a feeding", PRIOR, 5.0 * MINUTE, 3600.0),
    ),
    Param(
        "ends by itself after", "duration", "The time after which it ends by itself; left out: only by hand.",
        default=None, low=1.0, high=7.0 * DAY, usual=(MINUTE, DAY),
        also=("timeout", "automatic return", "returns after"),
    ),
)  # fmt: skip

TAKEN = Fault("is taken", "event", "Somebody pauses it, and ends the pause in time.", "a lamp, or a pump that rests")
FORGOTTEN = Fault(
    "is forgotten", "event", "Somebody pauses it and goes away.", "a lamp, or a pump that rests",
    Rate(
        0.01, "each time", 3.0,
        Source("omission: THERP 0.003 to 0.01, HEART task E 0.02 (from memory)", "derived", 0.003, 0.03),
    ),
)  # fmt: skip
NO_RETURN = Fault(
    "does not return", "event", "It was left to end by itself, and its timer does not.", "a lamp, or a pump that rests"
)


def lower(p: PartView, b: Lowering) -> None:
    """A condition for the matrix, true while the pause stands."""
    paused = b.any(b.always(False))
    b.condition("begun", paused, meant=True)
    b.say(paused, f"{p.name} begins", f"{p.name} is over")
    begins = [("force", paused, 1.0)]
    b.fault(TAKEN.name, begins, lasts=min(p["lasts"], p["ends by itself after"] or p["lasts"]))
    if p["ends by itself after"] is None:
        b.fault(FORGOTTEN.name, begins)
    else:
        b.fault(FORGOTTEN.name, begins, lasts=p["ends by itself after"])
        b.fault(NO_RETURN.name, begins)


def check(p: PartView) -> list[Finding]:
    """It must not end by itself before it is over."""
    ends = p["ends by itself after"]
    if ends is None or ends >= p["lasts"]:
        return []
    return [
        Finding(
            "pause-ends-first", "warning", p.name,
            f"It ends by itself after {amount(ends, 'duration')}, and usually lasts {amount(p['lasts'], 'duration')}.",
            "Let it end by itself some time after it is usually over.", key="ends by itself after",
        )
    ]  # fmt: skip


KIND = Kind(
    word="pause",
    also=("feeding pause", "feed mode", "maintenance mode", "service switch", "bypass", "cleaning"),
    section="work",
    role="work",
    summary="A pause that somebody takes on purpose; rows of the matrix say what rests while it is begun.",
    fails="It is forgotten, or does not end by itself as it should.",
    params=PARAMS,
    ports=(),
    faults=(TAKEN, FORGOTTEN, NO_RETURN),
    lower=lower,
    check=check,
    symbol='<path d="M14 4 V16 M26 4 V16" stroke="currentColor" stroke-width="4"/>',
    example="feeding pause: {kind: pause, lasts: 10 min, ends by itself after: 30 min}",
    tests=(
        ProofTest(
            "leave it",
            "Begin the pause, and leave it alone for longer than it may last.",
            "It ends by itself after the time that the design gives, and what rested works again.",
            6.0 * MONTH,
        ),
    ),
    cautions=("A pause should never hold a leak probe or a high mark off, only what fills or doses.",),
    notes=("A pause that is taken comes once in a run; what is forgotten stands to its end unless it ends by itself.",),
)

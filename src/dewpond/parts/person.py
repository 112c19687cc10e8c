"""A person: somebody who may see water, be told of it, and shut the stop tap.

A person is asleep, out or away for most of the year, may not hear a message, and needs time to reach the tap.

Sources: at home 69 % of the time (NHAPS, Klepeis and others 2001, from memory), split by us; a message is missed for
half an hour by one person in ten awake at home, by every second one asleep (our prior).
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, ProofTest, Rate, Source
from dewpond.parts.plumbing import DAY, MONTH, PRIOR

HOUR = 3600.0
MINUTE = 60.0

PARAMS = (
    Param(
        "day", "map", "Hours of an ordinary day; left out for somebody who does not live there and comes when told.",
        default=None,
        fields=(
            Param("at home awake", "duration", "At home and awake.", low=0.0, high=DAY),
            Param("asleep", "duration", "At home and asleep.", low=0.0, high=DAY),
            Param("out", "duration", "Out of the house.", low=0.0, high=DAY),
        ),
    ),
    Param(
        "travelling", "duration", "Away for days on end, together in a year.",
        default=14.0 * DAY, low=0.0, high=366.0 * DAY, trailing=("a year",),
        source=Source("two weeks of holiday", PRIOR, 0.0, 56.0 * DAY),
        also=("away", "holidays", "vacation"), usual=(0.0, 150.0 * DAY),
    ),
    Param(
        "reaches the stop tap in", "duration", "From knowing to having shut it.",
        default=10.0 * MINUTE, low=1.0, high=7.0 * DAY, usual=(20.0, DAY), trailing=("when at home",),
        source=Source("finding shoes, the way and the tap", PRIOR, 2.0 * MINUTE, HOUR),
    ),
    Param(
        "notices water after", "duration", "Time at home and awake until water on a room's floor is seen.",
        default=30.0 * MINUTE, low=0.0, high=7.0 * DAY, usual=(0.0, DAY),
        source=Source("walking past", PRIOR, 5.0 * MINUTE, 6.0 * HOUR),
    ),
    Param(
        "notices water in a tray after", "duration", "The same for water in a tray or cabinet.",
        default=12.0 * HOUR, low=0.0, high=30.0 * DAY, usual=(0.0, 7.0 * DAY),
        source=Source("doors are shut", PRIOR, HOUR, 7.0 * DAY),
    ),
    Param(
        "sees puddles from", "volume", "The least water on a floor that is seen.",
        default=0.5e-3, low=0.0, high=0.1, usual=(0.05e-3, 0.01),
        source=Source("a puddle of two hands' width", PRIOR, 0.1e-3, 5e-3),
    ),
    Param(
        "notices a dead circuit after", "duration", "Time at home and awake until a circuit without power is found.",
        default=30.0 * MINUTE, low=0.0, high=7.0 * DAY, usual=(0.0, DAY),
        source=Source("lights and pumps that stand still", PRIOR, 5.0 * MINUTE, 6.0 * HOUR),
    ),
    Param("shuts", "part", "The valve this person shuts; left out: the first one.", roles=("line",), default=""),
)  # fmt: skip

DEAF = Fault(
    "does not hear the message", "latent", "The phone is muted, elsewhere or flat: messages do not reach this person.",
    "a message sent as a drill, at night too",
    Rate(
        0.3, "per message", 2.0,
        Source("not seen within half an hour: 0.1 awake, 0.5 asleep, 0.3 away", PRIOR, 0.1, 0.5),
    ),
)  # fmt: skip

MUTED = Fault(
    "phone muted for 8 h", "event", "The phone is muted, or in another room, and is looked at after eight hours.",
    "a message sent as a drill, at night too",
    Rate(5.0, "per year", 5.0, Source("a night or a meeting, forgotten; it seldom falls together", PRIOR, 1.0, 50.0)),
    8.0 * HOUR,
)  # fmt: skip
BRUSHES_OFF = Fault(
    "acknowledges, and does nothing", "latent",
    "A message is tapped away, half asleep or from far away: it counts as answered, so that nobody else is told, and "
    "nobody comes.",
    "a drill: whoever answers must be the one who shuts the tap",
    Rate(0.05, "per message", 5.0, Source("no statistics are known to us", PRIOR, 0.01, 0.25)),
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """Where the person is, whether messages are heard, and what it takes to see water and reach the tap."""
    lives_here = p["day"] is not None
    muted, brushes_off = b.any(b.always(False)), b.any(b.always(False))
    hears = b.any(b.no(muted))
    b.person(
        present=b.who(p.name, "at home") if lives_here else b.always(False),
        awake=b.who(p.name, "awake") if lives_here else b.always(False),
        hears=hears,
        brushes_off=brushes_off,
        reach=p["reaches the stop tap in"],
        sees_after=p["notices water after"],
        sees_hidden_after=p["notices water in a tray after"],
        sees_from=p["sees puddles from"],
        sees_dead_after=p["notices a dead circuit after"],
        shuts=p["shuts"],
    )
    b.fault(DEAF.name, [("force", hears, 0.0)])
    b.fault(MUTED.name, [("force", muted, 1.0)])
    b.fault(BRUSHES_OFF.name, [("force", brushes_off, 1.0)])


def check(p: PartView) -> list[Finding]:
    """A day has 24 hours."""
    day = p["day"]
    if day is None or abs(sum(day.values()) - DAY) < MINUTE:
        return []
    hours = sum(day.values()) / HOUR
    return [
        Finding(
            "person-day",
            "error",
            p.name,
            f"The hours of the day add up to {hours:g} h, not to 24 h.",
            "Correct one of the three, so that together they make 24 h.",
            key="day",
        )
    ]


KIND = Kind(
    word="person",
    also=("people", "keeper", "neighbour", "neighbor", "owner"),
    section="people",
    role="person",
    summary="Somebody who may see water or be told of it, and then shuts a valve by hand.",
    fails="Is asleep, out or away, does not hear the message, taps it away, or needs long to reach the tap.",
    params=PARAMS,
    ports=(),
    faults=(DEAF, MUTED, BRUSHES_OFF),
    lower=lower,
    check=check,
    symbol='<circle cx="20" cy="5" r="4" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M11 19 q9 -16 18 0" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="keeper: {day: {at home awake: 7 h, asleep: 8 h, out: 9 h}, travelling: 3 weeks a year, "
    "reaches the stop tap in: 10 min when at home}",
    tests=(
        ProofTest(
            "drill",
            "Without warning, send the message, and time from there until the stop tap is shut.",
            "The tap is shut within the time that the design gives.",
            6.0 * MONTH,
        ),
    ),
    cautions=(
        "Do not step into water while sockets or power strips may stand in it: switch off at the board first.",
        "Whoever may have to shut the tap should have done it once, in daylight.",
    ),
    notes=(
        "A message goes on being sent while its row acts: who can hear it again hears it then.",
        "Who taps messages away still acts on water that is seen, and on an alarm that is heard in the house.",
        "Smelling, hearing and feeling water are not counted, nor a neighbour below who rings at the door.",
        (
            "A day goes by the clock, the same in every run: out from 9:00 on, or earlier where the hours out would "
            "not end by 18:00; asleep from 23:00 on, or earlier where the sleep would not end before leaving; at home "
            "and awake in between (our prior)."
        ),
        "A run begins at 23:00 where it begins asleep, at 9:00 out, at 18:00 at home, at 8:00 travelling.",
    ),
)

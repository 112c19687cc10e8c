"""A fill button: somebody presses it, and for so many minutes its contact says so; then it falls back by itself.

It fills without anybody standing by, and ends the filling with the minutes. It fails as buttons and timers do: it
sticks, its timer does not end, its wire breaks; and as people do: nobody presses it any more. Rates: our priors.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source
from dewpond.parts.clocks import check_times
from dewpond.parts.plumbing import DAY, MONTH, PRIOR, powered
from dewpond.parts.sensing import CONTACT_STATES, LEAD, WIRE_RATE, WIRED_TO, heard, reading

ENDS, GOES_ON = "its time ends all the same", "its time begins anew and again"
HOUR = 3600.0
MOMENT = 1.0  # that a finger needs, and by which a press is told from one that lasts [s]

PARAMS = (
    Param(
        "runs for", "duration", "How long its contact stays over after one press.", low=10.0, high=0.5 * DAY,
        usual=(60.0, 4.0 * HOUR), also=("timer", "minutes", "lasts", "for", "run time"),
    ),
    Param(
        "pressed by", "part", "The person who presses it.", roles=("person",), also=("by", "who presses it", "pressed"),
    ),
    Param(
        "pressed every", "duration", "How often, in whole days: while that person is at home and awake.", default=DAY,
        low=DAY, high=31.0 * DAY, usual=(DAY, 14.0 * DAY), source=Source("once a day", PRIOR, DAY, 7.0 * DAY),
        also=("every", "how often", "interval"),
    ),
    Param(
        "pressed at about", "time of day",
        "The time of day from which that person presses it; who is out or asleep then presses it afterwards.",
        default=19.0 * HOUR, source=Source("back home, and up for some hours", PRIOR),
        also=("at", "at about", "time", "usual time"),
    ),
    Param(
        "while it is held down", "word", "What its timer does when the button sticks down.", words=(ENDS, GOES_ON),
        default="unknown", unknown=(GOES_ON, ENDS),
        find_out="Hold it down for longer than its time: does what it opens shut?",
        also=("held down", "stuck", "when it sticks"),
    ),
    WIRED_TO,
    Param(
        "contact", "word", "What its contact does for that time: press it, and measure with a meter.",
        words=("closes when pressed", "opens when pressed"),
    ),
    Param(
        "read as pressed when", "word", "At which contact the input says pressed.", words=CONTACT_STATES,
        also=("reads as pressed when", "pressed when"),
    ),
    LEAD,
    Param(
        "power", "part", "The power circuit of its timer; left out: it has power whatever happens.", default=None,
        roles=("circuit",), also=("circuit", "plugged into", "powered by"),
    ),
)  # fmt: skip

TRY = "press it, and be there when its time ends"
STUCK = Fault(
    "sticks pressed", "latent", "It is held down for ever: salt, its case, something that leans on it.", TRY,
    Rate(0.02, "per year", 5.0, Source("no statistics are known to us", PRIOR, 0.004, 0.1)),
)  # fmt: skip
RUNS_OVER = Fault(
    "timer does not end", "latent", "Pressed once, its time does not end.", TRY,
    Rate(0.02, "per year", 5.0, Source("as a relay that welds, with its electronics", PRIOR, 0.004, 0.1)),
)  # fmt: skip
DEAD = Fault(
    "nothing follows a press", "latent", "Its contact or timer is dead: pressed, it does nothing.",
    "no water after a press",
    Rate(0.03, "per year", 5.0, Source("no statistics are known to us", PRIOR, 0.006, 0.15)),
)  # fmt: skip
WIRE_BROKEN = Fault(
    "wire broken", "latent", "Its wire is cut or its plug is loose: the input finds the contact open for ever.", TRY,
    WIRE_RATE,
)  # fmt: skip
FORGOTTEN = Fault(
    "nobody presses it", "event", "Nobody presses it any more: illness, a sitter who was not told, a new habit.",
    "a reservoir that only falls",
    Rate(0.2, "per year", 3.0, Source("two weeks of holiday a year, and one slip in some years", PRIOR, 0.05, 1.0)),
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """A wish that comes by the clock, a press by whoever is there, and a timer that it starts."""
    never = b.always(False)
    here = b.all(b.who(p["pressed by"], "at home"), b.who(p["pressed by"], "awake"))
    runs = b.later()
    due = b.clock(p["pressed at about"], MOMENT, p["pressed every"] / DAY)
    wants = b.any(b.latch(due, runs, never))
    down = b.any(b.all(wants, here))
    ends = b.any(b.on_delay(runs, p["runs for"]))
    starts = down
    if p["while it is held down"] == ENDS:
        starts = b.all(down, b.no(b.on_delay(down, MOMENT)))
    live = powered(p["power"] or "", b)
    timer = b.any(b.latch(starts, ends, b.no(live)))
    b.define(runs, timer)
    wire, says = reading(b, timer, p["contact"] == "closes when pressed", p["read as pressed when"])
    b.condition("pressed", says, meant=True)
    b.say(heard(b, p["wired to"], says), f"{p.name} is pressed", f"the time of {p.name} is over")
    b.fault(STUCK.name, [("force", down, 1.0)])
    b.fault(RUNS_OVER.name, [("force", ends, 0.0)])
    b.fault(DEAD.name, [("force", timer, 0.0)])
    b.fault(WIRE_BROKEN.name, [("force", wire, 0.0)])
    b.fault(FORGOTTEN.name, [("force", wants, 0.0)])


def check(p: PartView) -> list[Finding]:
    """It is pressed every so many whole days."""
    return check_times(p, "pressed every")


KIND = Kind(
    word="fill button",
    also=("push button", "button", "timer button", "fill timer", "push-button timer", "timed fill"),
    section="sensors",
    role="sensor",
    summary="A button that somebody presses: for so many minutes its contact says so, and rows of the matrix open a "
    "valve meanwhile.",
    fails="It sticks, its timer does not end, its wire breaks, or nobody presses it any more.",
    params=PARAMS,
    ports=(Port("reading", "signal"),),
    faults=(STUCK, RUNS_OVER, DEAD, WIRE_BROKEN, FORGOTTEN),
    lower=lower,
    check=check,
    symbol='<path d="M6 16 H34 M14 16 V9 H26 V16" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M20 0 V6 M17 4 L20 7 L23 4" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="fill button: {kind: fill button, runs for: 20 min, pressed by: keeper, pressed every: 3 days, "
    "wired to: cellar box, contact: closes when pressed, read as pressed when: closed}",
    tests=(
        ProofTest(
            "watch its end",
            "Press it with a jug under what it opens, and be there when its time ends. Then hold it down for longer.",
            "The water ends at the minute that the design gives; held down, it does what the design says.",
            3.0 * MONTH,
        ),
    ),
    cautions=(
        "Press it only when you stay at home until its time is over.",
        "Its minutes are no level: a higher pressure or warmer water fills more in them. Keep a float behind it.",
        "Tell whoever looks after the tank how often to press it, and what the reservoir should then show.",
    ),
    notes=(
        "Whoever presses it does so at the hour given, or as soon as at home and awake; travelling, nobody does.",
        "The first day is the one in which a run begins. Somebody who comes only when told never presses it.",
        "It is pressed for a moment; pressed again within its time, nothing comes of it.",
    ),
)

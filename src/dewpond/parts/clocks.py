"""What parts share that go by a clock: when their time comes, and what becomes of the clock in a power cut.

A clock that loses its time begins at 0:00 when the power is back, or at the moment of a slip, and nobody sets it right
within a run: its time then comes at another hour, every day. How often: our priors.
"""

from __future__ import annotations

from typing import NamedTuple

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Lowering, Param, PartView, Rate, Source, amount
from dewpond.parts.plumbing import DAY, PRIOR

KEPT, LOST = "kept", "lost"
AT_ONCE = 0.5  # a clock that begins at 0:00 needs so long [s]
WHOLE = 1e-6  # of a day [1]

FROM = Param(
    "on from", "time of day", "The time of day at which its time comes.", also=("from", "starts at", "start", "on at"),
)  # fmt: skip
FOR = Param(
    "for", "duration", "How long it then lasts.", low=1.0, high=DAY - 60.0, usual=(60.0, 0.75 * DAY),
    also=("lasts", "duration", "on for", "run time"),
)  # fmt: skip
EVERY = Param(
    "every", "duration", "After how many days it comes again.", default=DAY, low=DAY, high=31.0 * DAY,
    usual=(DAY, 14.0 * DAY), source=Source("most timers know nothing but the day", PRIOR, DAY, 7.0 * DAY),
    also=("interval", "repeats", "how often"),
)  # fmt: skip
KEEPS = Param(
    "its time in a power cut", "word",
    f"Whether its clock goes on without power ({KEPT}: a battery, or a time signal), or begins at 0:00 with the power "
    f"({LOST}).",
    default="unknown", words=(KEPT, LOST), unknown=(LOST, KEPT),
    find_out="Pull its plug for ten minutes, put it in again, and look whether it still shows the right time.",
    also=("in a power cut", "power reserve", "battery", "keeps its time"),
)  # fmt: skip

STOPPED_RATE = Rate(0.05, "per year", 5.0, Source("no statistics are known to us", PRIOR, 0.01, 0.25))
LOOK = "look at the time it shows, and whether what it switches stands as it should at this hour"
STOPPED_ON = Fault(
    "clock stops while on", "latent",
    "Its clock stands, or somebody has set it to always: its time does not end.", LOOK, STOPPED_RATE,
)  # fmt: skip
STOPPED_OFF = Fault(
    "clock stops while off", "latent",
    "Its clock stands, or somebody has switched it off: its time does not come.", LOOK, STOPPED_RATE,
)  # fmt: skip
JUMPED = Fault(
    "clock jumps to midnight", "latent",
    "Its clock has jumped to 0:00, by a flat battery or a slip of the hand: its time comes at another hour.", LOOK,
    Rate(0.3, "per year", 3.0, Source("power cuts too short to see, summer time, flat cells", PRIOR, 0.1, 1.0)),
)  # fmt: skip
CLOCK_FAULTS = (STOPPED_ON, STOPPED_OFF, JUMPED)

FIRST_DAY = (
    "The first day is the one in which a run begins; with `every: 3 days` its time comes on that one, the fourth, the "
    "seventh. Days have 24 hours: the change to summer time is not followed."
)
AFTER_A_CUT = (
    "A clock that has lost its time begins at 0:00 when the power is back, and stays wrong to the end of the run. One "
    "whose dial stands still in a cut goes on as late as the cut was long: `lost` is the nearest to it."
)
CLOCK_NOTES = (
    FIRST_DAY,
    AFTER_A_CUT,
    "A clock that jumps does so at the moment of the fault; how wrong it then is hangs on the hour.",
)


class Times(NamedTuple):
    """When the time of a part comes: ``begins`` [s after midnight], for ``lasts`` [s], ``every`` so many seconds."""

    begins: float
    lasts: float
    every: float


def times(p: PartView) -> Times:
    """As its keys say."""
    return Times(p[FROM.key], p[FOR.key], p[EVERY.key])


def by_the_clock(b: Lowering, when: Times, live: int, keeps: str) -> int:
    """The signal that its time has come, with all that a clock may do wrong; ``live``: there is power for the clock;
    ``keeps``: KEPT or LOST."""
    jumped, never = b.any(b.always(False)), b.always(False)
    right = b.clock(when.begins, when.lasts, when.every / DAY)
    lost = b.any(jumped, b.latch(b.no(live), never, never)) if keeps == LOST else jumped
    anew = _anew(b, when, b.all(lost, live) if keeps == LOST else lost)
    shows = b.any(b.all(right, b.no(lost)), b.all(anew, lost))
    due = b.any(shows)
    b.fault(STOPPED_ON.name, [("force", due, 1.0)])
    b.fault(STOPPED_OFF.name, [("force", due, 0.0)])
    b.fault(JUMPED.name, [("force", jumped, 1.0)])
    return due


def _anew(b: Lowering, when: Times, runs: int) -> int:
    """The same by a clock that shows 0:00 at the moment from which it ``runs``: its time comes when the clock says so,
    ends, and comes again, for as long as it does."""
    never = b.always(False)
    first = b.on_delay(runs, max(when.begins, AT_ONCE))
    over = b.later()
    now = b.all(first, b.no(over))
    ends, again = b.on_delay(now, when.lasts), b.on_delay(over, when.every - when.lasts)
    b.define(over, b.latch(ends, b.any(again, b.no(first)), never))
    return now


def check_times(p: PartView, key: str = EVERY.key) -> list[Finding]:
    """It comes again after whole days."""
    every = p[key]
    if abs(every / DAY - round(every / DAY)) < WHOLE:
        return []
    return [
        Finding(
            "clock-days", "error", p.name, f"It comes again after {amount(every, 'duration', 3)}: no whole days.",
            f"Write whole days, such as '{key}: 1 day' or '{key}: 3 days'.", key=key,
        )
    ]  # fmt: skip

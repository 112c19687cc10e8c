"""What is told of a way of filling. Volumes [m3], times [s], dissolved matter [kg/m3]."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, NamedTuple

CARRYING: Final = "carrying"
BUTTON: Final = "push-button timed fill"
WINDOW: Final = "window each day"
AT_HOME: Final = "filling only while somebody is home"
NOT_AWAY: Final = "feed shut while travelling"
FROM_MARK: Final = "low-to-high filling"
PERMANENT: Final = "permanent float"
WAYS: Final = (CARRYING, BUTTON, WINDOW, AT_HOME, NOT_AWAY, FROM_MARK, PERMANENT)


# why a house cannot be compared
NO_FLOAT: Final = "no vessel is filled through a float from a supply"
NO_WATER: Final = "no water comes through a float in a fill"
NOT_JOINED: Final = "nothing tops up a tank out of what a float fills"
NOTHING_USABLE: Final = "nothing can be drawn from what a float fills"
NO_NEED: Final = "the tanks need nothing"


class ComparisonError(ValueError):
    """The ways cannot be laid side by side; its text is one of the reasons above."""


class Effort(NamedTuple):
    """What a way asks of people in a week [s]: least, usual, most; all our prior."""

    least: float
    usual: float
    most: float


class Flood(NamedTuple):
    """The worst run with a float that stays open: what fails, who is where, litres on floors [m3], when it was first
    noticed [s] (None: never), and whether water still came at the end of so long a run [s]."""

    fault: str
    who: str
    on_floors: float
    noticed: float | None
    running: bool
    horizon: float


@dataclass(frozen=True)
class Hangs:
    """An answer that nobody gave and on which the litres of a way hang: what was taken, what else was tried, and the
    litres on floors of the worst run then [m3]; ``running`` as in Flood."""

    part: str
    key: str
    taken: Any
    other: Any
    find_out: str
    on_floors: float
    running: bool


class Ended(NamedTuple):
    """What ends a way of filling although nothing fails: ``part`` shuts ``since`` so long after it was begun [s], and
    no water comes until somebody re-arms ``what``.

    counts [m3]: so much has run through it then, waste and all; gives [m3]: what of that comes to a vessel. None where
    it is not by litres. A can trips what counts a draw at once: ``since`` is 0.
    """

    part: str
    what: str
    since: float
    counts: float | None = None
    gives: float | None = None


@dataclass(frozen=True)
class Way:
    """One way of filling in one house.

    name      one of WAYS
    opens     how long the feed is open at a time [s]; infinite: always; 0: never, water is carried
    every     from one opening to the next [s]; 0 where the feed is not opened by the clock
    effort    what it asks of people in a week
    past      what the feed gives past a float that stays open while it is open once, at most, if nothing stops it [m3];
              infinite: without end
    a_day     the same in a day [m3]
    flood     the worst of the runs with a float that stays open, as the file stands; None where no float takes part
    alone     how long the tank is topped up with nobody there, with one chance in twenty of less [s]; infinite: as long
              as supply and unit work
    starts    how often the unit starts in a week
    product   what it makes in a week [m3]
    strength  dissolved matter of that on average, before what stands behind the membrane; None without a membrane
    resin     how long the resin lasts [s], None without resin
    short     it cannot keep up with what evaporates in this season
    hangs     answers that nobody gave and that change what comes onto floors
    ended     what ends this way of filling although nothing fails; past, a_day and alone are then no more than until
              that, and starts, strength and resin tell of nothing
    """

    name: str
    opens: float
    every: float
    effort: Effort
    past: float
    a_day: float
    flood: Flood | None
    alone: float
    starts: float
    product: float
    strength: float | None
    resin: float | None = None
    short: bool = False
    hangs: tuple[Hangs, ...] = ()
    ended: Ended | None = None

"""A limit as data: what bounds it from below and from above, what the file has, and what is advised. SI numbers."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from dewpond.design.checks_top_off import CUT
from dewpond.study.year.model import Calibration

# What a limit is about. Of something that the matrix starts:
RUN, DAY, GAP, WAIT = "run", "day", "gap", "wait"
# Of a vessel:
BAND, CALL, HIGH_MARK, FREEBOARD, STOCK, OVERFLOW, FILL, WINDOW = (
    "band", "call", "high mark", "freeboard", "stock", "overflow", "fill", "window",
)  # fmt: skip
COUNT = "count"  # of a part that counts the water through itself
QUANTITY: Final[Mapping[str, str]] = {
    RUN: "duration", DAY: "volume", GAP: "duration", WAIT: "duration", BAND: "height", CALL: "height",
    HIGH_MARK: "height", FREEBOARD: "height", STOCK: "volume", OVERFLOW: "flow", FILL: "duration", WINDOW: "duration",
    COUNT: "volume",
}  # fmt: skip
LOGGED: Final = 30  # days from which mean and deviation count as known [1]; our prior
WINTER, SUMMER = "winter", "summer"
SEASONS: Final = (WINTER, SUMMER)

NEAR: Final = 0.03  # values that differ by less are the same to a keeper
APART: Final = 1.1  # what is counted or timed is off by less from day to day, in sum; our prior, 1.05 to 1.2
UNSURE: Final = (RUN, DAY, FILL, WINDOW, COUNT)  # what ordinary days must get through, and each is another
OUTSIDE, NUISANCE, INSIDE, ABSENT = "outside", "nuisance", "inside", "absent"


@dataclass(frozen=True)
class Bound:
    """One reason for which a limit may not be smaller, or not larger, than ``value``.

    code     names the formula; the words stand in the report
    figures  what was put into it, SI
    soft     past it nothing is harmed: it costs a nuisance, or a margin
    by       the part, tank or fault that it comes from, where that is another one than the limit's own
    shares   of a sum: what each of several has in it, SI
    """

    code: str
    value: float
    figures: Mapping[str, float] = field(default_factory=dict)
    soft: bool = False
    by: str = ""
    shares: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Limit:
    """One limit in one season.

    low, high  bounds from below and from above
    has        what the file has; endless where it sets no limit; None where the file cannot say, or has no such part
    figures    what else is told of it, SI
    """

    what: str
    low: tuple[Bound, ...]
    high: tuple[Bound, ...]
    has: float | None = None
    figures: Mapping[str, float] = field(default_factory=dict)

    @property
    def quantity(self) -> str:
        """Its quantity, a name of vocabulary.QUANTITIES."""
        return QUANTITY[self.what]

    def lowest(self, soft: bool = False) -> Bound | None:
        """The bound from below that binds, also counting soft ones or not; None: nothing does."""
        return max((b for b in self.low if soft or not b.soft), key=lambda b: b.value, default=None)

    def highest(self, soft: bool = False) -> Bound | None:
        """The same from above."""
        bounds = [b for b in self.high if (soft or not b.soft) and b.value < math.inf]
        return min(bounds, key=lambda b: b.value, default=None)

    @property
    def least(self) -> float:
        """Below this something is harmed, or nothing works."""
        bound = self.lowest()
        return 0.0 if bound is None else bound.value

    @property
    def most(self) -> float:
        """Above this something is harmed."""
        bound = self.highest()
        return math.inf if bound is None else bound.value

    @property
    def free(self) -> float:
        """From here on it costs no nuisance either."""
        bound = self.lowest(soft=True)
        return 0.0 if bound is None else bound.value

    @property
    def top(self) -> float:
        """Up to here it costs no nuisance and no margin either."""
        bound = self.highest(soft=True)
        return math.inf if bound is None else bound.value

    @property
    def clash(self) -> bool:
        """Whether no value does no harm: bounds that all but touch leave no room for what differs from day to day."""
        apart = APART if self.what in UNSURE else 1.0
        return self.least * apart > self.most * (1.0 + 1e-9) or math.isinf(self.least)

    @property
    def strained(self) -> bool:
        """Whether no value is free of nuisance, too."""
        return self.free > self.top

    @property
    def advised(self) -> float | None:
        """The smallest value without a nuisance, else the largest that harms nothing; None: there is none."""
        if self.clash:
            return None
        wanted = min(self.free, self.most) if self.low else self.most  # with nothing known from below
        return wanted if math.isfinite(wanted) else self.least

    @property
    def as_advised(self) -> bool:
        """Whether the file has what is advised, but for rounding, and harms nothing."""
        has, wanted = self.has, self.advised
        return (
            has is not None and wanted is not None and self.standing != OUTSIDE and abs(has - wanted) <= NEAR * wanted
        )

    @property
    def standing(self) -> str:
        """How the file's own value stands to the bounds: OUTSIDE, NUISANCE, INSIDE, or ABSENT."""
        return standing(self, self.has)


def standing(limit: Limit, value: float | None) -> str:
    """How a value stands to the bounds of a limit."""
    if value is None:
        return ABSENT
    if limit.clash or not limit.least <= value <= limit.most:
        return OUTSIDE
    return INSIDE if limit.free <= value <= limit.top else NUISANCE


def all_year(limits: Mapping[str, Limit]) -> Limit:
    """One limit that has the bounds of each season, each named with its season: for a value that nobody changes."""
    first = next(iter(limits.values()))
    low = tuple(b for limit in limits.values() for b in limit.low)
    high = tuple(b for limit in limits.values() for b in limit.high)
    return Limit(first.what, low, high, first.has)


@dataclass(frozen=True)
class Asked:
    """What no file says, and the keeper may.

    away      days for which nobody is there, N [1]; measured: days until somebody at home measures and looks [1]
    drop      how far salinity may fall until then [g/kg]
    varies    standard deviation of a day's top-off, as a share of its mean [1]
    logged    days from which mean and deviation count as known [1]
    cut       a long power cut [s]
    """

    away: int = 14
    measured: float = 7.0
    drop: float = 2.0
    varies: float = 0.15
    logged: int = LOGGED
    cut: float = CUT

    @property
    def unseen(self) -> float:
        """Days for which nobody measures or looks, T [1]: at home, or away if that is longer."""
        return max(self.measured, float(self.away))

    def as_logged(self, measured: Calibration) -> Asked:
        """With the scatter that a log shows, where it has days enough to show one."""
        log = next((one for one in measured.evidence if one.daily is not None), None)
        return self if log is None or log.daily is None else replace(self, varies=log.daily, logged=log.used)


@dataclass(frozen=True)
class Need:
    """Fresh water that a body of water wants in a day [m3]: mean, its low and its high side, and how much one day
    differs from the next. ``known``: the file has it measured, else it is reckoned."""

    mean: float
    low: float
    high: float
    deviation: float
    known: bool

    def __add__(self, other: Need) -> Need:
        """Both together; days are alike for both, since the weather is."""
        return Need(
            self.mean + other.mean, self.low + other.low, self.high + other.high, self.deviation + other.deviation,
            self.known and other.known,
        )  # fmt: skip


NO_NEED: Final = Need(0.0, 0.0, 0.0, 0.0, True)


@dataclass(frozen=True)
class Entry:
    """Where the file has a limit, or would have it: the line and the key."""

    line: int
    key: str
    row: str = ""  # of a row of the matrix, its name
    part: str = ""


@dataclass(frozen=True)
class Ruled:
    """A limit in each season, with what it is of and where the file has it."""

    what: str
    subject: str  # the pump, valve or vessel
    seasons: Mapping[str, Limit]
    entry: Entry | None = None
    parts: tuple[str, ...] = ()  # others that have a say: the sensor, the box

    @property
    def whole(self) -> Limit:
        """All the year."""
        return all_year(self.seasons)

    @property
    def clash(self) -> bool:
        """Whether no value does no harm in some season."""
        return any(limit.clash for limit in self.seasons.values())

    @property
    def by_season(self) -> bool:
        """Whether each season wants a value of its own: no one fits both, or the one that does costs a nuisance that a
        season's own spares. A mark is not moved for that."""
        whole = self.whole
        if self.clash or whole.clash or whole.advised is None:
            return whole.clash and not self.clash
        least = (1.0 + NEAR) * whole.advised
        spared = any(least < b.value <= (limit.advised or 0.0) for limit in self.seasons.values() for b in limit.low)
        return whole.quantity in ("duration", "volume") and whole.free > whole.most and spared

    def told(self, season: str) -> Limit:
        """The limit whose advised value is to be entered in a season: that of all the year, unless each has its own."""
        return self.seasons[season] if self.clash or self.by_season else self.whole

    @property
    def right_for(self) -> str:
        """The one season that the file's value is right for, where each wants its own; else empty."""
        if not self.by_season:
            return ""
        right = [season for season, limit in self.seasons.items() if limit.standing == INSIDE or limit.as_advised]
        return right[0] if len(right) == 1 else ""

    @property
    def outside(self) -> bool:
        """Whether the file's value lies outside its bounds in some season, and is not right for the other one."""
        return not self.right_for and any(limit.standing == OUTSIDE for limit in self.seasons.values())

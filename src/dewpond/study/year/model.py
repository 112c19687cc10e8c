"""What a year is made of, and what comes of it. Flows [m3/s], volumes [m3], days as ordinals of ``datetime.date``."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from dewpond.physics.series import PRIOR_SPREAD
from dewpond.physics.shared import of_sum
from dewpond.study.clocks import Hours
from dewpond.study.outcome import Remark

DAY = 86400.0
ROUGH, USABLE = "rough", "usable"  # what a calibration is worth
RULER, LOG = "ruler", "log"  # what it was made of
FAR = 3.0  # times what is reckoned for its days, or its inverse, from which a measurement is asked about; our prior


class Span(NamedTuple):
    """Low, middle and high of one figure."""

    low: float
    middle: float
    high: float

    def times(self, factor: float) -> Span:
        """The same in another measure."""
        return Span(self.low * factor, self.middle * factor, self.high * factor)


class Reading(NamedTuple):
    """One line of a log: what was read on a day, None where nothing was.

    top_off [m3]: over so many ``days`` up to it; air, water, supply [K]; humidity [1]; salinity [g/kg]; aside: why the
    day says nothing of evaporation (a water change, a pump that stood), empty for an ordinary one.
    """

    day: int
    line: int
    top_off: float | None = None
    days: float = 1.0
    air: float | None = None
    humidity: float | None = None
    water: float | None = None
    supply: float | None = None
    salinity: float | None = None
    aside: str = ""


class Ruler(NamedTuple):
    """A ruler in a vessel whose feed was shut: what left it [m3] in so many seconds up to a day, and the error of the
    two readings [m3]."""

    vessel: str
    volume: float
    error: float
    over: float
    day: int


class Evidence(NamedTuple):
    """One measurement of evaporation over what was reckoned for the same days.

    sort: RULER or LOG; of: the vessel, or the log; factor: measured over reckoned; spread: standard deviation of
    its logarithm; days: that it covers; used: lines of it that count; worth: ROUGH or USABLE; likeness, daily: from
    day to day and of one day over its mean, as the log shows them, None where it does not; whole: a whole year;
    shares: what each tank was reckoned to have of it [1].
    """

    sort: str
    of: str
    factor: float
    spread: float
    days: float
    used: int
    worth: str
    likeness: float | None = None
    daily: float | None = None
    whole: bool = False
    shares: tuple[tuple[str, float], ...] = ()

    @property
    def far(self) -> bool:
        """Whether it lies so far from what is reckoned that it says something else."""
        return not 1.0 / FAR <= self.factor <= FAR


class Running(NamedTuple):
    """A log whose litres look like the total of a meter: the first and the last figure, and what it rises by in a day
    [m3]; from and to which line."""

    first: float
    last: float
    rise: float
    lines: tuple[int, int]


class Trip(NamedTuple):
    """What shut the unit off in the ordinary days of a season: the part, in words, after so long [s]; late: what the
    unit makes in the later half of these days [m3/s]."""

    season: str
    part: str
    text: str
    after: float
    late: float


@dataclass(frozen=True)
class Calibration:
    """What measurements made of the estimate.

    factor, and the spread of its logarithm: of all tanks together, over the year; before: that spread without them;
    alone: that of one tank; tanks, factors, covariance: each tank's own factor, and how their logarithms hang together.
    """

    evidence: tuple[Evidence, ...]
    factor: float
    spread: float
    before: float
    likeness: float
    daily: float
    shy: tuple[str, ...] = ()  # vessels whose ruler says nothing: all that left them evaporates from themselves
    running: Running | None = None  # a log that is left out for it
    alone: float = PRIOR_SPREAD
    tanks: tuple[str, ...] = ()
    factors: tuple[float, ...] = ()
    covariance: tuple[tuple[float, ...], ...] = ()

    @property
    def told_apart(self) -> bool:
        """Whether what was measured tells tanks apart."""
        return len(self.factors) > 1 and max(self.factors) > (1.0 + 1e-6) * min(self.factors)

    def of(self, amounts: Mapping[str, float]) -> tuple[float, float]:
        """The factor on what was reckoned for some tanks, by their names, in any measure, and the spread of its
        logarithm [1]."""
        parts = [amounts.get(tank, 0.0) for tank in self.tanks]
        return of_sum(parts, self.factors, self.covariance) if sum(parts) > 0.0 else (self.factor, self.spread)


@dataclass(frozen=True)
class Month:
    """One month, or one day at the end of a season's curve (``days`` 1).

    number: 1 to 12
    supply, air [K], humidity [1]: means, of the room of the largest open water
    read: how many days the room was really read in this month, where that counts
    evaporation [m3/s]: of all tanks with their sumps, on average
    need [m3]: what has to be put in: that, what a skimmer carries off, what a reservoir loses itself, water changes
    product, waste [m3]: made and wasted by the unit; running [s]: how long it runs; starts [1]
    can [m3]: the most that it can make, within the hours that clocks leave it; endless where that is not known
    fill [s]: an empty reservoir, the slowest of them; endless where no water comes
    slug, load [kg]: dissolved matter that starts let through; and what the resin takes up, as CaCO3
    heat [J]: that evaporation takes away
    lasts: reservoir -> days with the feed shut at the first and at the second of RISKS
    """

    number: int
    days: int
    supply: float
    air: float
    humidity: float
    read: int
    evaporation: Span
    need: Span
    product: Span
    waste: Span
    running: float
    starts: float
    fill: float
    slug: Span
    load: Span
    heat: float
    lasts: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    can: float = math.inf


RISKS = (0.05, 0.01)


@dataclass(frozen=True)
class Reservoir:
    """A vessel that tanks are topped up from. usable [m3]: from where it stands when full down to where nothing is
    drawn; dead [m3]: what lies below that; behind: vessels that it is itself refilled from, and what each can give
    [m3], with the feed shut too."""

    vessel: str
    tanks: tuple[str, ...]
    usable: float
    dead: float
    behind: tuple[tuple[str, float], ...] = ()

    @property
    def whole(self) -> float:
        """What it can give with all that stands behind it [m3]."""
        return self.usable + sum(volume for _, volume in self.behind)


class Exchange(NamedTuple):
    """What a part draws from a vessel of new water for a tank that it takes as much out of.

    flow [m3/s]: on average, while there is some; matter [kg/m3]: dissolved in it; usable [m3]: from where the vessel
    stands down to where nothing is drawn; by_unit: what a membrane makes can come to the vessel.
    """

    part: str
    vessel: str
    tank: str
    flow: float
    matter: float
    usable: float
    by_unit: bool = False

    @property
    def lasts(self) -> float:
        """How long the new water lasts [s]; endless where none is drawn."""
        return self.usable / self.flow if self.flow > 0.0 else float("inf")


@dataclass(frozen=True)
class Due:
    """When a part is due, and by what.

    part, what, every [s]: as its kind says; since: ordinal of its last change, None where the file does not say: then
    counted from ``today``; by: ``water``, ``load`` or empty where only its time counts
    water [m3]: that it serves from new; days: from its change until it is used up, of that; both None without ``by``
    due: the ordinal of the earlier of both; by_time: whether that is its time
    """

    part: str
    what: str
    every: float
    since: int | None
    by: str
    water: Span | None
    days: Span | None
    due: int
    by_time: bool


@dataclass(frozen=True)
class Drift:
    """Where a tank's salinity goes when nobody corrects it.

    volume [m3]; lost [m3/s]: salt water that ordinary days carry off; brought [m3/s], new [g/kg]: what other vessels
    give for it, and its salinity; changed [m3/s]: by water changes; start, month, year [g/kg]: now, after 30 days,
    after a year; unit: days until it has moved by 1 g/kg, None if it does not in ten
    years; read [g/kg per day]: the slope of the salinities that were read, None with too few
    """

    tank: str
    volume: float
    lost: float
    changed: float
    start: float
    month: float
    year: float
    unit: float | None
    read: float | None = None
    brought: float = 0.0
    new: float = 0.0


@dataclass(frozen=True)
class Coil:
    """A part that electricity holds: what it takes [W], and for what share of ordinary days."""

    part: str
    takes: float
    share: float


@dataclass(frozen=True)
class Jugs:
    """What measured jugs changed: product and waste of a fill [m3/s] by the print on the element, and by the jugs."""

    part: str
    rated: tuple[float, float]
    measured: tuple[float, float]


@dataclass(frozen=True)
class Prices:
    """What the keeper pays: water [1/m3] and power [1/J]; None: not priced. ``money``: the word for it."""

    water: float | None = None
    power: float | None = None
    money: str = ""


@dataclass(frozen=True)
class Year:
    """An ordinary year of one installation.

    months: twelve, January first; winter, summer: a day at the coldest and at the warmest point of the year's curve,
    with the design's own figures of the two seasons
    coldest: month 1 to 12; south: the house lies south of the equator; None: its zone does not say
    wet: water gets out in ordinary days; idle: the unit makes next to nothing of what is needed in ordinary days;
    shut: parts that stood shut all through them, with the rows that would open each; heeds: parts by which it matters
    who is there, so that people are taken to be at home; gates: the clocks that let the unit fill
    trips: what shut the unit off in these days, by season, where less than is needed comes afterwards
    broken: seasons whose ordinary days were not run to their end, and how far they came [s]
    more [m3/s]: drawn from the unit beyond what is needed, 0 if that is little
    drains [m3/s]: supply water that ordinary days send past the membranes, by the part that lets it go; long_fill: the
    waste of a long fill for one part made [1], 0 where it is not known
    slug_volume [m3], gas [kg/m3]: taken for water standing on the product side, and for carbon dioxide
    """

    months: tuple[Month, ...]
    winter: Month
    summer: Month
    coldest: int
    south: bool | None
    today: int
    calibration: Calibration
    reservoirs: tuple[Reservoir, ...]
    dues: tuple[Due, ...]
    drifts: tuple[Drift, ...]
    coils: tuple[Coil, ...]
    jugs: tuple[Jugs, ...]
    has_unit: bool
    wet: bool
    idle: bool
    more: float
    gas: Span
    gas_given: bool
    told: tuple[str, ...]  # tanks whose evaporation the file gives without a date
    remarks: tuple[Remark, ...] = ()  # what the fills of both seasons show
    ahead: tuple[str, ...] = ()  # vessels whose ruler has a day that is yet to come
    exchanges: tuple[Exchange, ...] = ()
    drains: Mapping[str, float] = field(default_factory=dict)
    long_fill: float = 0.0
    shut: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    heeds: tuple[str, ...] = ()
    gates: tuple[Hours, ...] = ()
    broken: Mapping[str, float] = field(default_factory=dict)
    trips: tuple[Trip, ...] = ()

    @property
    def ratio(self) -> float:
        """Evaporation in winter over that in summer; endless where none is left in summer."""
        warm = self.summer.evaporation.middle
        return self.winter.evaporation.middle / warm if warm > 0.0 else float("inf")

    @property
    def lacks(self) -> Span:
        """What is needed over the year beyond what the unit can make [m3]; nothing where it feeds no tank."""
        if not self.has_unit or self.idle:
            return Span(0.0, 0.0, 0.0)
        return Span(*(math.fsum(one.need[end] - one.product[end] for one in self.months) for end in range(3)))

    def total(self, of: str) -> float:
        """The sum over the months of a figure that has a span (its middle) or none."""
        figures = (getattr(month, of) for month in self.months)
        return sum(figure.middle if isinstance(figure, Span) else figure for figure in figures)

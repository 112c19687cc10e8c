"""A matrix as data: causes down, effects across, a mark where one acts on the other. All numbers are SI."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from dewpond.design.model import Cause, Term
from dewpond.plant.rows import STOPS

TRIPS, TRIPS_WHILE, PERMITS, TELLS, BYPASS = "T", "t", "P", "M", "B"
RE_ARMED: Final = "re-armed"


def message_key(name: str) -> str:
    """Under which a message stands among the marks of a line."""
    return f"message: {name}"


SensorSort = Literal["contact", "reading", "work", "clock"]
CauseSort = Literal["row", "run", "own"]
EffectSort = Literal["ordered", "own", "message"]


@dataclass(frozen=True)
class Sensor:
    """What a cause asks: a contact that an input reads, what a box makes of pulses or of a figure that it is given,
    work that somebody has begun, or the clock of a box.

    state      the word that it reports, "wet"; every other word means that it does not
    contact    what its contact does, "closes when wet"; empty where it has none
    read_when  at which contact the input takes it for `state`: "closed" or "open"; empty where it has none
    wired_to   the box at which its wire ends, or whose clock it is
    where      place or vessel, `spot` in it, both may be empty
    seen       what the file says of its having been seen to work with purified water: a date, "seen", "never", or empty
    otherwise  the word for the contrary, "dry"
    """

    part: str
    sort: SensorSort
    state: str
    contact: str
    read_when: str
    wired_to: str
    where: str
    spot: str
    seen: str
    otherwise: str

    def is_asked(self, term: Term) -> bool:
        """Whether a condition of a cause is about this."""
        return term.part == self.part and term.word in (self.state, self.otherwise)


@dataclass(frozen=True)
class Box:
    """What carries rows out, and what becomes of them in a restart.

    wait [s]  no order for so long after a restart; program: it has one, so it can hang; not_known: what the file does
    not know of it: "trips", "counts", "hangs" or "without power"
    """

    name: str
    power: str
    keeps_trips: bool
    keeps_counts: bool
    wait: float
    program: bool
    hang_keeps_order: bool
    lets_without_power: bool
    not_known: frozenset[str]


@dataclass(frozen=True)
class Losses:
    """Where an actuator goes when something is lost. `network`: None where no order comes over one.

    not_known: those of "power", "network" that the file answers with "unknown"; the position is then the one taken
    """

    power: str
    signal: str
    network: str | None
    over: str
    through: str
    not_known: frozenset[str]


@dataclass(frozen=True)
class Effect:
    """A column. `stop` and `go` are its two positions in words ("shut", "open"); both empty for a message.

    key     under which it stands among the marks of a line: a message may be called like a part
    boxes   what gives it its order, then what else stands in its lead
    driven  one of them gives it; else all stand in its lead, and it acts while it has power and they let it
    rests   the position without an order
    power   its circuit; `flow` [m3/s] what it delivers, None where the file does not say
    """

    key: str
    name: str
    sort: EffectSort
    stop: str = ""
    go: str = ""
    rests: str = ""
    boxes: tuple[str, ...] = ()
    power: str = ""
    losses: Losses | None = None
    flow: float | None = None
    driven: bool = True


@dataclass(frozen=True)
class Alone:
    """A part that no box and no row has a say in: it is ``acting`` while its circuit ``power`` (empty: none is named)
    has power, else as its ``losses`` say."""

    name: str
    acting: str
    power: str
    losses: Losses


@dataclass(frozen=True)
class Limits:
    """Of a demand: longest run [s], shortest pause between two [s], most in a day [m3]; None where not said."""

    at_most: float | None
    gap: float | None
    per_day: float | None


@dataclass(frozen=True)
class Line:
    """A row of the matrix: one cause and what it does.

    number    as printed: "3", "3.1" for a run of row 3 that is too long, "A1" for what acts by itself
    cause     its conditions; None for a run that is too long and for what acts by itself
    whose     the part that ran too long, or that acts by itself; empty for a row of the file
    level     of what acts by itself at a level: that level above the vessel's bottom [m]; else None
    litres    of what acts by itself once so much has run through it: that volume [m3]; else None
    orders    part -> the position that it gets
    carried   box -> parts whose orders it carries out (none: it only tells); empty for what acts by itself
    marks     key of an effect -> its marks
    not_known whether the file does not know until when it stands; the worse answer is then taken
    """

    number: str
    sort: CauseSort
    id: str
    cause: Cause | None
    whose: str
    where: str
    spot: str
    level: float | None
    lasting: float
    orders: Mapping[str, str]
    carried: Mapping[str, tuple[str, ...]]
    until: str
    rearm_when: str
    limits: Limits
    tells: str | None
    marks: Mapping[str, str]
    not_known: bool = False
    litres: float | None = None

    @property
    def latched(self) -> bool:
        """Whether it stays until somebody re-arms it."""
        return self.until == RE_ARMED

    @property
    def only_asks(self) -> bool:
        """Whether it does no more than let parts act, which a re-arming has no say in: they rest with the cause."""
        return bool(self.orders) and not set(self.orders.values()) & set(STOPS)


@dataclass(frozen=True)
class Matrix:
    """The whole sheet of a design, in the order of its file; what acts by itself stands last.

    sensors: by the name of the part, or that and a state, where a part tells of several things
    """

    title: str
    file: str
    lines: tuple[Line, ...]
    effects: tuple[Effect, ...]
    sensors: Mapping[str, Sensor]
    boxes: tuple[Box, ...]
    alone: tuple[Alone, ...] = ()

    def effect(self, key: str) -> Effect:
        """The column with that key; StopIteration when there is none."""
        return next(effect for effect in self.effects if effect.key == key)

    def asked(self, term: Term) -> str:
        """Under which name the sensor of a condition stands; StopIteration when there is none."""
        return next(name for name, sensor in self.sensors.items() if sensor.is_asked(term))

    def sensor(self, term: Term) -> Sensor:
        """The sensor of a condition; StopIteration when there is none."""
        return self.sensors[self.asked(term)]

    def box(self, name: str) -> Box:
        """The box of that name; StopIteration when there is none."""
        return next(box for box in self.boxes if box.name == name)

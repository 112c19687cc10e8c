"""What is kept of a run, and of a study."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from dewpond.design.model import Design, Unknown
from dewpond.errors import Finding, Level
from dewpond.plant.consequence import Consequence
from dewpond.plant.fed import Fed
from dewpond.study.beats import Beats
from dewpond.study.by_floor import ByFloor
from dewpond.study.flows import Flows
from dewpond.study.locked import Locked

Progress = Callable[[int, int, str], None]  # runs done, runs there will be, what is being done
Usual = tuple[Consequence, Consequence]  # nothing fails: with the answer taken, and with the other one
Apart = Callable[[Consequence, Consequence, Usual], bool]

# An outcome counts as another one from these differences on.
LITRES = 0.1e-3  # on floors [m3]
WASTED = 20e-3  # straight to the drain [m3]
SHARE = 0.05
MOMENT = 600.0  # [s]
SALT = 0.1  # [g/kg]


@dataclass(frozen=True, slots=True)  # a study holds tens of thousands
class Outcome:
    """One run: ``told`` is its consequence without the single moments, which are folded into ``beats``.

    copied_from  label of the single fault whose run this is; None: it was run
    backwards    (part, volume [m3]) that ran back through it
    siphons      (part, volume [m3]) that ran through it while it stood still
    idle         labels of hidden faults that would have met nothing in this run
    locked       protections that have shut a fill for good, in a run in which no water got out
    fed          from where the water of each place came, where a floor has a plan
    floors       what it is on every floor that fits, where a plan has been asked
    """

    told: Consequence
    beats: Beats
    copied_from: str | None = None
    backwards: tuple[tuple[str, float], ...] = ()
    siphons: tuple[tuple[str, float], ...] = ()
    idle: frozenset[str] = frozenset()
    locked: tuple[Locked, ...] = ()
    fed: tuple[Fed, ...] = ()
    floors: ByFloor | None = None

    @property
    def faults(self) -> tuple[str, ...]:
        return self.told.faults

    @property
    def who(self) -> str:
        return self.told.who

    @property
    def each(self) -> tuple[Consequence, ...]:
        """What it is on every floor that was run; the one told where no plan has been asked."""
        return self.floors.told if self.floors else (self.told,)

    @property
    def again(self) -> int:
        """On how many of the floors that were run water begins again by itself after something had stopped it."""
        return sum(told.reopenings > 0 for told in self.each)

    @property
    def lasts(self) -> bool:
        """Whether water runs to the end on any floor."""
        return any(told.still_running for told in self.each)

    def copied(self, faults: tuple[str, ...], order: str, marks: tuple[str, ...] = ()) -> Outcome:
        """The same outcome for a pair whose other fault was never asked. ``marks``: what is to be said of that."""
        source = self.faults[0]
        told = replace(self.told, faults=faults, order=order, marks=marks + self.told.marks)
        return replace(self, told=told, copied_from=source, floors=None)


@dataclass(frozen=True)
class Change:
    """A failure whose outcome hangs on an answer: as it is with the answer taken, and with the other one.

    what  in what they differ, beyond the run in which nothing fails: words of ASPECTS
    """

    taken: Consequence
    other: Consequence
    what: tuple[str, ...]


@dataclass(frozen=True)
class UnknownEffect:
    """An "unknown" tried both ways over all single faults, and in the runs in which nothing fails."""

    part: str
    key: str
    taken: Any
    other: Any
    find_out: str
    changes: tuple[Change, ...]

    @classmethod
    def of(cls, unknown: Unknown, other: Any, changes: list[Change]) -> UnknownEffect:
        return cls(unknown.part, unknown.key, unknown.taken, other, unknown.find_out, tuple(changes))

    @property
    def faults(self) -> tuple[str, ...]:
        """The faults whose outcome it changes, each once."""
        return tuple(dict.fromkeys(" + ".join(change.taken.faults) for change in self.changes if change.taken.faults))


@dataclass(frozen=True)
class TankState:
    """A tank when nothing fails: water that mixes through it [m3], salinity [g/kg] at the start and over the run."""

    tank: str
    volume: float
    start: float
    lowest: float
    highest: float


@dataclass(frozen=True)
class Counts:
    """Runs made, outcomes copied, and runs that there would have been altogether."""

    made: int
    copied: int
    planned: int


@dataclass(frozen=True)
class NotRun:
    """What a study did not come to.

    alone    runs of one fault that are missing
    answers  (part, key) of each "unknown" whose other answer was not tried over all single faults
    pairs    runs of two faults that are missing, as far as foreseen; all of them where none was asked for
    """

    alone: int
    answers: tuple[tuple[str, str], ...]
    pairs: int


def differs(one: Consequence, other: Consequence) -> bool:
    """True if a keeper would call the two outcomes different."""
    return bool(differences(one, other))


def differences(one: Consequence, other: Consequence, usual: Usual | None = None) -> tuple[str, ...]:
    """In what a keeper would call the two outcomes different: words of ASPECTS, in their order.

    usual  the two runs in which nothing fails; what differs by no more than these do is left out
    """
    found = (aspect for aspect, apart in ASPECTS.items() if apart(one, other, (one, one)))
    return tuple(aspect for aspect in found if usual is None or ASPECTS[aspect](one, other, usual))


def _flag(of: Callable[[Consequence], object]) -> Apart:
    """Something that is so or not: another state, unless the runs in which nothing fails change in the same way."""

    def apart(one: Consequence, other: Consequence, usual: Usual) -> bool:
        states = of(one), of(other)
        return states[0] != states[1] and states != (of(usual[0]), of(usual[1]))

    return apart


def _amount(of: Callable[[Consequence], float], least: float, share: float = SHARE) -> Apart:
    """A number: clearly another one, beside what it differs by when nothing fails."""

    def apart(one: Consequence, other: Consequence, usual: Usual) -> bool:
        a, b = of(one), of(other)
        shift = of(usual[1]) - of(usual[0])
        return abs(b - a - shift) > max(least, share * max(a, b))

    return apart


def _time(of: Callable[[Consequence], float | None]) -> Apart:
    """A moment, or never."""
    comes = _flag(lambda told: of(told) is None)
    moved = _amount(lambda told: of(told) or 0.0, MOMENT)

    def apart(one: Consequence, other: Consequence, usual: Usual) -> bool:
        if of(one) is None or of(other) is None:
            return comes(one, other, usual)
        return moved(one, other, usual)

    return apart


def _salinity(one: Consequence, other: Consequence, usual: Usual) -> bool:
    def apart(tank: int) -> bool:
        low = _amount(lambda told: told.tanks[tank].lowest, SALT, 0.0)
        high = _amount(lambda told: told.tanks[tank].highest, SALT, 0.0)
        return low(one, other, usual) or high(one, other, usual)

    return any(apart(tank) for tank in range(len(one.tanks)))


FLOORS, DRAIN, FIRST, NOTICED, STOPPED = "floors", "drain", "first water", "noticed", "stopped"
AIR, EMPTY, SALINITY = "pump air", "vessel empty", "salinity"
_STILL, _ENDS = _flag(lambda told: told.still_running), _time(lambda told: told.stopped)
ASPECTS: Mapping[str, Apart] = {
    FLOORS: _amount(lambda told: told.on_floors, LITRES),
    DRAIN: _amount(lambda told: told.water.to_drain, WASTED),
    FIRST: _time(lambda told: told.first_water),
    NOTICED: _flag(lambda told: told.first_noticed is None),
    STOPPED: lambda one, other, usual: _STILL(one, other, usual) or _ENDS(one, other, usual),
    AIR: _flag(lambda told: told.return_pump_dry is None),
    EMPTY: _flag(lambda told: told.reservoir_empty is None),
    SALINITY: _salinity,
}


def wasted(told: Consequence, usual: float) -> float:
    """What a fault sends straight to the drain [m3], where that is clearly more than ``usual`` [m3]; else 0."""
    more = told.water.to_drain > usual + max(WASTED, SHARE * usual)
    return told.water.to_drain if more and told.faults else 0.0


def worse(pair: Consequence, *lone: Consequence) -> bool:
    """True if two faults together do what they do not add up to alone: clearly more water, water that no longer ends,
    or a tank further from its salinity."""
    added = sum(c.on_floors for c in lone)
    if pair.on_floors > added + max(LITRES, SHARE * added):
        return True
    if pair.still_running and not any(c.still_running for c in lone):
        return True
    for tank, (low, high) in _salt(pair).items():
        others = [_salt(c)[tank] for c in lone]
        if low < min(o[0] for o in others) - SALT or high > max(o[1] for o in others) + SALT:
            return True
    return False


def _salt(told: Consequence) -> dict[str, tuple[float, float]]:
    return {tank.tank: (tank.lowest, tank.highest) for tank in told.tanks}


@dataclass(frozen=True)
class Remark:
    """One thing that runs showed.

    parts    the parts or faults that it is about, in the design's words
    numbers  what was seen, SI, by name: "litres" [m3], "after" [s], "count"
    """

    code: str
    level: Level
    parts: tuple[str, ...]
    numbers: Mapping[str, float]


@dataclass(frozen=True)
class StudyResult:
    """All that a study found. Outcomes: singles first, in the order of the plant, then pairs, by who.

    start      how full the vessels were at first: one of starting.WAYS
    findings   what the reader and the checks object to
    normal     the runs in which nothing fails, one for each way of being there
    finished   False: the study was stopped before its end
    not_run    what it did not come to
    """

    design: Design
    season: str
    who: tuple[tuple[str, float], ...]
    start: str
    flows: Flows
    findings: tuple[Finding, ...]
    remarks: tuple[Remark, ...]
    tanks: tuple[TankState, ...]
    normal: tuple[Outcome, ...]
    failures: tuple[Outcome, ...]
    unknowns: tuple[UnknownEffect, ...]
    counts: Counts
    finished: bool
    not_run: NotRun

"""The lowered design: the kernel's arrays, and what every number in them means in the keeper's words."""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable, Mapping
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any, NamedTuple, TypeVar

from dewpond.parts.open_water import OpenWater
from dewpond.plant.build import Patch
from dewpond.plant.primitives import G_LEVEL, G_PRIMED, G_SIGNAL, Arrays

Found = TypeVar("Found")
DAY = 86400.0
NEVER = 1e30


@dataclass(frozen=True)
class Say:
    """Words for a signal that changes. ``kind``: as in ``parts.lowering.Lowering.say``, of the change to ``when``; the
    way back is a note."""

    true: str
    false: str
    kind: str
    part: str
    when: bool = True


def message_text(name: str) -> str:
    """What a story says when a message is sent."""
    return f"the message “{name}” goes out"


BECAUSE = "because of"  # between an order and its cause, in a story


def is_told(name: str) -> str:
    """What a story says when a person gets a message."""
    return f"{name} is told"


def sees_in(name: str, place: str) -> str:
    """What a story says when a person sees water in a place."""
    return f"{name} sees the water in {place}"


@dataclass(frozen=True)
class PlantFault:
    """A fault tied to primitives. ``label`` is what the keeper types: ``riser: burst, in study``."""

    label: str
    part: str
    name: str
    where: str
    timing: str  # latent, initiator, event, triggered
    what: str
    lasts: float  # [s]; NEVER when it does not end by itself
    sites: float
    patches: tuple[Patch, ...]
    until: int = -1  # a signal that puts an end to it; -1: none does
    trigger: int = -1  # of one that comes by itself, the moment this signal turns true; -1: it has no such moment


def contrary(one: PlantFault, other: PlantFault) -> bool:
    """Whether two faults of one part hold the same thing in two states: stuck open and stuck shut, dead and wet."""
    held = {"low": "high", "high": "low"}
    return one.part == other.part and any(
        number == there and (held.get(what) == kind or (what == kind == "force" and value != wanted))
        for what, number, value in one.patches
        for kind, there, wanted in other.patches
    )


class Onset(NamedTuple):
    """A fault of a scenario: at ``time`` [s], or ``delay`` [s] after something has come about (time < 0).

    ``awaits``: words of the stories, as in Plant.triggers; empty: the fault's own trigger. Words that a plant does not
    know never come about in it. With a time, it is the line that comes ``delay`` before that.
    """

    label: str
    time: float
    awaits: str = ""
    delay: float = 0.0


class Touch(NamedTuple):
    """Where water on a floor touches a probe: the part it belongs to, the place, its threshold, and the signal of that.
    ``measured``: the litres are the keeper's own."""

    part: str
    place: str
    threshold: int
    signal: int
    measured: bool


class Lying(NamedTuple):
    """How water lies on one floor that fits a plan, in the place of what was worked out without one.

    wets   (part, place, litres lying there when the part's probe gets wet [m3]); ``math.inf``: it never does
    holds  (place, what it takes before water goes on [m3])
    leads  (place, the place or the drain that it goes on to from there)
    """

    wets: tuple[tuple[str, str, float], ...] = ()
    holds: tuple[tuple[str, float], ...] = ()
    leads: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class PlaceInfo:
    """A place where water can lie."""

    name: str
    is_floor: bool  # a room; water in a tray or in the drain's mouth is not on a floor yet
    film: float  # [m]
    onward: str = ""  # the place or the drain that takes what it cannot hold; empty: it holds everything
    measured: bool = False  # what it holds before water goes on
    is_drain: bool = False


@dataclass(frozen=True)
class Link:
    """A part's main path, for the table of flows: edge, inlet and outlet node."""

    part: str
    edge: int
    inlet: int
    outlet: int


@dataclass(frozen=True)
class Resident:
    """A person who lives there: the signals of the timetable and the lengths of the day's stretches [s]."""

    name: str
    home: int
    awake: int
    travelling: int
    day: tuple[tuple[str, float], ...]  # (at home | asleep | out, seconds), in the order of the day


class Window(NamedTuple):
    """A stretch of time that comes again by the clock of the house: ``begins`` [s after midnight], ``lasts`` and
    ``every`` [s]."""

    begins: float
    lasts: float
    every: float


class Called(NamedTuple):
    """Somebody whom messages may call: by when that person is there at the latest on an ordinary day [s], the signals
    that such a message arrives, and those of them that are not left for a week."""

    name: str
    within: float
    signals: tuple[int, ...]
    soon: tuple[int, ...]


class Doubt(NamedTuple):
    """A reading that does not fit the rest, as ``Lowering.doubt`` has it."""

    part: str
    what: str
    said: float
    reckoned: float


@dataclass(frozen=True)
class Plant:
    """Everything the engine and the stories need. Immutable; a scenario is laid over a copy of the arrays."""

    arrays: Arrays
    season: str
    parts: tuple[str, ...]  # owner number -> name
    stores: tuple[str, ...]
    vessels: int  # so many of them are vessels; those behind are tanks under pressure, whose level is a head
    tanks: tuple[int, ...]  # stores whose salinity is reported
    bodies: tuple[str, ...]
    places: tuple[PlaceInfo, ...]
    gates: Mapping[int, str]  # gate -> part
    says: Mapping[int, Say]
    trips: tuple[int, ...]  # signals that mean "a protection has acted"
    faults: tuple[PlantFault, ...]
    tallies: Mapping[str, tuple[tuple[int, str], ...]]  # word -> (signal, the vessel or tank that it is true of)
    messages: Mapping[int, str]
    residents: tuple[Resident, ...]
    called: tuple[Called, ...]
    midnight: int
    clocks: Mapping[int, Window]  # signal -> when it is true
    rearms: Mapping[int, str]  # signal -> what somebody re-arms by hand while it is true
    links: tuple[Link, ...]
    water_temperature: float  # [K]
    tank_temperature: float  # [K]
    # what is noticed although nothing fails, by who is where: (text, time [s]); empty where such a run was not made
    noticed_anyway: Mapping[str, tuple[tuple[str, float], ...]]
    # labels of hidden faults that meet nothing in it, the same way
    idle_anyway: Mapping[str, tuple[str, ...]]
    doubts: tuple[Doubt, ...]  # readings that cannot be true as the design stands
    membranes: tuple[tuple[str, int], ...]  # part, product edge
    circuits: tuple[int, ...]  # their signals
    waters: tuple[OpenWater, ...] = ()  # open water, in the air of the season
    touches: tuple[Touch, ...] = ()
    notes: tuple[str, ...] = ()

    @cached_property
    def _known(self) -> dict[Hashable, Any]:
        return {}

    def once(self, key: Hashable, make: Callable[[], Found]) -> Found:
        """What follows from the plant and the ``key`` alone, made once: a study asks the same of thousands of runs."""
        if key not in self._known:
            self._known[key] = make()
        found: Found = self._known[key]
        return found

    def __getstate__(self) -> dict[str, Any]:
        """Without what can be worked out again."""
        return {field.name: getattr(self, field.name) for field in fields(self)}

    @cached_property
    def readers(self) -> Mapping[int, tuple[int, ...]]:
        """Signal -> the signals that have it among their inputs."""
        found: dict[int, list[int]] = {}
        a = self.arrays
        for signal in range(len(a.sig_op)):
            for entry in a.sig_in[a.sig_in_at[signal] : a.sig_in_at[signal + 1]]:
                found.setdefault(entry if entry >= 0 else -1 - entry, []).append(signal)
        return {signal: tuple(dict.fromkeys(readers)) for signal, readers in found.items()}

    @cached_property
    def people(self) -> frozenset[str]:
        """Parts that are persons: those that can do something by hand."""
        return frozenset(say.part for say in self.says.values() if say.kind == "act")

    @cached_property
    def acting(self) -> frozenset[int]:
        """Signals that move a gate, put back a counter, or are told."""
        a = self.arrays
        gates = {
            ref
            for kind, one, two in zip(a.gate_kind, a.gate_ref, a.gate_ref2, strict=True)
            for ref in ((one,) if kind in {G_SIGNAL, G_PRIMED} else (two,) if kind == G_LEVEL and two >= 0 else ())
        }
        told = {*self.says, *self.messages, *(s for pairs in self.tallies.values() for s, _ in pairs)}
        return frozenset(gates | told | {s for s in (*a.cnt_reset, *a.cnt_when) if s >= 0})

    def reading(self, first: Iterable[int], held: Collection[int] = ()) -> frozenset[int]:
        """Signals ``first`` and all that hang on them, but for what goes through a person, or through one ``held``."""
        start, past = frozenset(first), frozenset(held)
        return self.once(("reading", start, past), lambda: self._reading(start, past))

    def _reading(self, first: frozenset[int], held: frozenset[int]) -> frozenset[int]:
        found = set(first)
        waiting = list(found)
        while waiting:
            for reader in self.readers.get(waiting.pop(), ()):
                owner = self.arrays.sig_owner[reader]
                if reader not in found and reader not in held and (owner < 0 or self.parts[owner] not in self.people):
                    found.add(reader)
                    waiting.append(reader)
        return frozenset(found)

    def hanging(self, first: Iterable[int], held: Collection[int] = ()) -> frozenset[int]:
        """Gates that signals ``first`` open and shut, past those that are ``held``.

        A G_PRIMED one is none: what stops a pump lets a siphon run.
        """
        start, past = frozenset(first), frozenset(held)
        return self.once(("hanging", start, past), lambda: self._hanging(start, past))

    def _hanging(self, first: frozenset[int], held: frozenset[int]) -> frozenset[int]:
        a, hangs = self.arrays, self.reading(first, held)
        ruled = (
            (g, a.gate_ref[g] if kind == G_SIGNAL else a.gate_ref2[g])
            for g, kind in enumerate(a.gate_kind)
            if kind in (G_SIGNAL, G_LEVEL)
        )
        return frozenset(g for g, signal in ruled if signal in hangs)

    @cached_property
    def triggers(self) -> Mapping[str, int]:
        """Words of the stories that a fault may wait for -> signal; -1 - number for one that must be false."""
        found = {message_text(name): signal for signal, name in self.messages.items()}
        for signal, say in self.says.items():
            found |= {text: number for text, number in ((say.true, signal), (say.false, -1 - signal)) if text}
        return found

    @cached_property
    def _by_label(self) -> Mapping[str, PlantFault]:
        return {fault.label: fault for fault in self.faults}

    def fault(self, label: str) -> PlantFault:
        """The fault of that label; KeyError when there is none."""
        return self._by_label[label]


@dataclass(frozen=True)
class Scenario:
    """Who is where and what goes wrong when. ``clock``: time of day at the start [s after midnight]; ``lying``: the
    floor it happens on, None where none has a plan."""

    who: str  # at home, asleep, out, travelling
    horizon: float
    onsets: tuple[Onset, ...] = ()
    clock: float = 8 * 3600.0
    lying: Lying | None = None


STARTS = {"at home": 18 * 3600.0, "asleep": 23 * 3600.0, "out": 9 * 3600.0, "travelling": 8 * 3600.0}

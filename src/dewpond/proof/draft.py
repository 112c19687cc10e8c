"""Cuts a machine out of a plant: what a few signals hang on, and questions about them."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import level_of
from dewpond.plant.plant import NEVER as LASTS
from dewpond.plant.plant import Plant, PlantFault
from dewpond.proof.machine import Failing, Machine, Quantity, Span
from dewpond.proof.tables import ALWAYS, NEVER

FORCING = 0.5  # a gate held more open than this is open, and less than this shut
What = tuple[int, int]  # a quantity: kind and of what, as Arrays.thr_kind and thr_ref
MIDNIGHT = 86400.0  # from one to the next [s]


def hanging_on(plant: Plant, wanted: Iterable[int], free: Collection[int] = ()) -> tuple[int, ...]:
    """Signals that those ``wanted`` hang on, at any depth but for what only those that are ``free`` do, themselves
    among them; in the plant's order."""
    a = plant.arrays
    todo, found = list(wanted), set[int]()
    while todo:
        signal = todo.pop()
        if signal in found:
            continue
        found.add(signal)
        if signal in free:
            continue
        ins = a.sig_in[a.sig_in_at[signal] : a.sig_in_at[signal + 1]]
        todo += [entry if entry >= 0 else -1 - entry for entry in ins]
        if a.sig_op[signal] == prim.L_THRESHOLD and a.thr_kind[int(a.sig_arg[signal])] == prim.T_COUNTER:
            counter = a.thr_ref[int(a.sig_arg[signal])]
            todo += [s for s in (a.cnt_reset[counter], a.cnt_when[counter]) if s >= 0]
    return tuple(sorted(found))


def of_people(plant: Plant) -> frozenset[int]:
    """The signals of people."""
    return frozenset(s for s, o in enumerate(plant.arrays.sig_owner) if o >= 0 and plant.parts[o] in plant.people)


@dataclass
class _Moves:
    """What is said of a quantity: while what it rises and falls, and how fast [1/s of its unit]."""

    rises: int = ALWAYS
    falls: int = ALWAYS
    up: tuple[float, float] | None = None
    down: float | None = None


@dataclass
class Draft:
    """A machine under construction: signals ``wanted`` of a plant with all that they hang on, then questions.

    fixed: signals that are taken to have one value, whatever they hang on; loose: signals that change of themselves,
    those of people among them. Entries handed out are positions, or -1 - position for "not".
    """

    plant: Plant
    wanted: Iterable[int]
    fixed: Mapping[int, bool] = field(default_factory=dict)
    loose: Collection[int] = ()

    def __post_init__(self) -> None:
        a = self.plant.arrays
        self._ends = {*self.fixed, *self.loose, *of_people(self.plant)}
        self._numbers = list(hanging_on(self.plant, self.wanted, self._ends))
        self._at = {number: position for position, number in enumerate(self._numbers)}
        self._ops = [self._op(s) for s in self._numbers]
        self._args = [float(self.fixed.get(s, a.sig_arg[s])) for s in self._numbers]
        self._ins = [
            () if s in self._ends else tuple(map(self.at, a.sig_in[a.sig_in_at[s] : a.sig_in_at[s + 1]]))
            for s in self._numbers
        ]
        self._start = [int(self.fixed.get(s, a.sig_start[s])) for s in self._numbers]
        self._gates: dict[int, int] = {}  # gate -> position of the signal "it stands open"
        self._raw: dict[tuple[What, float, float], int] = {}
        self._moves: dict[What, _Moves] = {}
        self._due: dict[int, Span] = {}
        self._sticking: set[int] = set()

    def _op(self, signal: int) -> int:
        if signal in self.fixed:
            return prim.L_CONST
        return prim.L_TIMETABLE if signal in self._ends else self.plant.arrays.sig_op[signal]

    def has(self, number: int) -> bool:
        """Whether a signal of the plant is here."""
        return number in self._at

    def at(self, number: int) -> int:
        """The entry of a signal of the plant, which may be negated; KeyError when it is not here."""
        return self._at[number] if number >= 0 else -1 - self._at[-1 - number]

    # -- questions -----------------------------------------------------------------------------------------------------
    def ask(self, op: int, arg: float, *ins: int) -> int:
        """A signal of its own, made of others by an operation of the logic."""
        self._numbers.append(-1)
        self._ops.append(op)
        self._args.append(arg)
        self._ins.append(ins)
        self._start.append(0)
        return len(self._ops) - 1

    def no(self, entry: int) -> int:
        return -1 - entry

    def any(self, *entries: int) -> int:
        return self.ask(prim.L_VOTE, 1.0, *entries)

    def all(self, *entries: int) -> int:
        return self.ask(prim.L_VOTE, float(len(entries)), *entries)

    def once(self, entry: int, until: int | None = None) -> int:
        """True from when something was so, until something else is."""
        never = self.any()
        return self.ask(prim.L_LATCH, 0.0, entry, never if until is None else until, never)

    def lasting(self, entry: int, seconds: float) -> int:
        """True when something has been so for a time."""
        found = self.ask(prim.L_ON_DELAY, seconds, entry)
        self._due[found] = Span(seconds, seconds)
        return found

    def gate(self, gate: int) -> int:
        """The signal "a gate stands open", with what faults make of it; KeyError when its order is not here."""
        if gate not in self._gates:
            a = self.plant.arrays
            kind = a.gate_kind[gate]
            if kind == prim.G_CONST:
                self._gates[gate] = self.ask(prim.L_CONST, float(a.gate_a[gate] > FORCING))
            else:
                order = a.gate_ref[gate] if kind == prim.G_SIGNAL else a.gate_ref2[gate]
                self._gates[gate] = self.any(self.at(order))
        return self._gates[gate]

    def above(self, what: What, on: float, off: float) -> int:
        """The signal "a quantity stands above a mark", as it truly is, whatever a sensor makes of it."""
        if (what, on, off) not in self._raw:
            self._raw[what, on, off] = self.ask(prim.L_THRESHOLD, -1.0)
        return self._raw[what, on, off]

    # -- what is known of the world ------------------------------------------------------------------------------------
    def moves(
        self,
        what: What,
        *,
        rises: int = ALWAYS,
        falls: int = ALWAYS,
        up: tuple[float, float] | None = None,
        down: float | None = None,
    ) -> None:
        """A quantity moves only while these are so; ``up``: least and largest pace at which it rises then, ``down``:
        the largest at which it falls [its unit per s]; None: no matter how fast."""
        self._moves[what] = _Moves(rises, falls, up, down)

    def timed(self, number: int) -> None:
        """A delay of the plant takes its time, as it does there."""
        seconds = self.plant.arrays.sig_arg[number]
        self._due[self._at[number]] = Span(seconds, seconds)

    def sticks(self, signals: Iterable[int]) -> None:
        """Signals of the plant that a fault holds only as they are: what welds while it is open is not what runs on."""
        self._sticking |= {self._at[s] for s in signals if s in self._at}

    # -- the machine ---------------------------------------------------------------------------------------------------
    def machine(self) -> Machine:
        """What has been drawn up."""
        plant = self.plant
        pulses = [self._at[s] for s in (*plant.rearms, plant.midnight) if s in self._at and s not in self.fixed]
        if plant.midnight in self._at and plant.midnight not in self.fixed:
            self._due.setdefault(self._at[plant.midnight], Span(MIDNIGHT, math.inf))
        turning = [
            position
            for number, position in self._at.items()
            if self._ops[position] == prim.L_TIMETABLE and position not in pulses and number not in plant.circuits
        ]
        return Machine(
            tuple(self._numbers),
            tuple(self._ops),
            tuple(self._args),
            tuple(self._ins),
            tuple(self._start),
            tuple(pulses),
            tuple(turning),
            tuple(self._quantities()),
            tuple(self._failing()),
            dict(self._due),
        )

    def _quantities(self) -> Iterable[Quantity]:
        """What is compared with marks, the thresholds of one quantity together."""
        a = self.plant.arrays
        found: dict[What, list[tuple[int, float, float]]] = {}
        for number, position in self._at.items():
            if self._ops[position] == prim.L_THRESHOLD:
                k = int(a.sig_arg[number])
                found.setdefault((a.thr_kind[k], a.thr_ref[k]), []).append((position, a.thr_on[k], a.thr_off[k]))
        for (what, on, off), position in self._raw.items():
            found.setdefault(what, []).append((position, on, off))
        for what, rows in sorted(found.items()):
            if what[0] == prim.T_COUNTER:
                yield self._counter(what, rows)
            else:
                yield self._level(what, rows)

    def _counter(self, what: What, rows: list[tuple[int, float, float]]) -> Quantity:
        """It goes on while its signal is true, and is put back by another one."""
        a, ref = self.plant.arrays, what[1]
        marks = tuple(sorted({on for _, on, _ in rows}))
        at = [(position, marks.index(on), 0) for position, on, _ in rows]
        moves = self._moves.get(what, _Moves())
        up = _spans((0.0, *marks), moves.up) if moves.up else ()
        resets = self.at(a.cnt_reset[ref]) if a.cnt_reset[ref] >= 0 else NEVER
        return Quantity(*what, marks, tuple(at), 0, self.at(a.cnt_when[ref]), NEVER, resets, up)

    def _level(self, what: What, rows: list[tuple[int, float, float]]) -> Quantity:
        marks = tuple(sorted({mark for _, on, off in rows for mark in (on, off)}))
        a = self.plant.arrays
        value = level_of(a, what[1], a.store_start[what[1]])[0] if what[0] == prim.T_LEVEL else 0.0
        start = sum(mark <= value for mark in marks)
        at = tuple((position, marks.index(on), marks.index(off)) for position, on, off in rows)
        moves = self._moves.get(what, _Moves())
        found = Quantity(*what, marks, at, start, moves.rises, moves.falls, NEVER)
        if not moves.up:
            return found
        below = marks[start - 1] if start else 0.0
        up = _spans((0.0, *marks), moves.up)
        down = tuple((b - a) / moves.down if moves.down else 0.0 for a, b in zip((0.0, *marks), marks, strict=False))
        return found._replace(up=up, down=(*down, 0.0), since=(value - below) / moves.up[1])

    def _failing(self) -> Iterable[Failing]:
        """Faults that have a say here, those that do the same taken together."""
        found: dict[Failing, list[str]] = {}
        for fault in self.plant.faults:
            held, when = self._forced(fault)
            if held:
                until = self._at.get(fault.until, NEVER) if fault.until >= 0 else NEVER
                ends = fault.lasts < LASTS or until >= 0
                found.setdefault(Failing((), held, ends, until, when), []).append(fault.label)
        return [kind._replace(labels=tuple(labels)) for kind, labels in found.items()]

    def _forced(self, fault: PlantFault) -> tuple[tuple[tuple[int, int], ...], tuple[int, int] | None]:
        """What a fault holds here, and when it may begin: what holds a gate as it is begins only while it is so, for a
        valve that does not close has not opened."""
        held: list[tuple[int, int]] = []
        when: tuple[int, int] | None = None
        for what, number, value in fault.patches:
            if what == "force" and number in self._at and number not in self.fixed:
                one = (self._at[number], int(value))
            elif what in ("low", "high") and number in self._gates and (value > FORCING) == (what == "low"):
                one = (self._gates[number], int(what == "low"))
                when = one if self.plant.arrays.gate_kind[number] != prim.G_CONST else when
            else:
                continue
            held.append(one)
            when = one if one[0] in self._sticking else when
        return tuple(held), when


def _spans(marks: tuple[float, ...], pace: tuple[float, float]) -> tuple[Span, ...]:
    """How long it takes from each mark to the next, at a least and a largest pace; none is needed beyond the last."""
    slow, fast = pace
    between = [b - a for a, b in pairwise(marks)]
    return (*(Span(d / fast, d / slow if slow else math.inf) for d in between), Span(0.0, math.inf))

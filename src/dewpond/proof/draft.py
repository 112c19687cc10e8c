"""Cuts a machine out of a plant: what a few signals hang on, and questions about them."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import partial
from itertools import pairwise

from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import level_of
from dewpond.plant.plant import NEVER as LASTS
from dewpond.plant.plant import Plant, PlantFault
from dewpond.proof.machine import Failing, Machine, Quantity, Span
from dewpond.proof.signals import automatic, hanging_on, of_people, order_of
from dewpond.proof.tables import ALWAYS, NEVER

FORCING = 0.5  # a gate that cannot open more than this is shut; one that is held open at all lets water through
What = tuple[int, int]  # a quantity: kind and of what, as Arrays.thr_kind and thr_ref
Takes = Callable[[float, float], Span]
INITIATOR = "initiator"  # timing of a fault that lets water out by itself
MOST_AGAIN = 1  # times that what ends, such as a power cut, comes again by another fault that does the same
MIDNIGHT = 86400.0  # from one to the next [s]
RESTS = (prim.T_POOL, prim.T_LEVEL, prim.T_FLOW, prim.T_CONC)  # what stands still where no water moves
LIFTS = (prim.PUMP, prim.FLOW)


@dataclass
class _Moves:
    """What is said of a quantity: while what it rises and falls, and how long it takes from one height to another."""

    rises: int = ALWAYS  # a position, ALWAYS or NEVER
    falls: int = ALWAYS
    up: Takes | None = None
    down: Takes | None = None


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
        self._openings: dict[int, Span] = {}  # position of the moment at which a clock's time comes -> how far apart
        self._sticking: set[int] = set()
        self._begun: dict[str, int] = {}  # label of a fault -> position of the signal "it has begun"

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
        """The signal "a gate stands open", with what faults make of it; one without an order, such as a float, is taken
        as shut unless it always stands open. KeyError when its order is not here."""
        if gate not in self._gates:
            order = order_of(self.plant, gate)
            if order >= 0:
                self._gates[gate] = self.any(self.at(order))
            else:
                a = self.plant.arrays
                stands = a.gate_kind[gate] == prim.G_CONST and a.gate_a[gate] > FORCING
                self._gates[gate] = self.ask(prim.L_CONST, float(stands))
        return self._gates[gate]

    def above(self, what: What, on: float, off: float) -> int:
        """The signal "a quantity stands above a mark", as it truly is, whatever a sensor makes of it."""
        if (what, on, off) not in self._raw:
            self._raw[what, on, off] = self.ask(prim.L_THRESHOLD, -1.0)
        return self._raw[what, on, off]

    def begun(self, label: str) -> int:
        """The signal "a fault stands"."""
        if label not in self._begun:
            self._begun[label] = self.ask(prim.L_CONST, 0.0)
        return self._begun[label]

    def moved(self, number: int, since: int) -> int:
        """The signal "another one is not what it was when something began"."""
        now = self.at(number)
        before = self.ask(prim.L_HOLD, 0.0, now, since)
        return self.any(self.all(now, self.no(before)), self.all(self.no(now), before))

    def calm(self, through: Collection[int] = ()) -> list[int]:
        """For each delay and each count of time of the plant that is here, the signal "it has not begun, or has
        ended"; and for counts of what comes ``through`` these edges, where water runs."""
        a = self.plant.arrays
        found = []
        for number, position in list(self._at.items()):
            op = self._ops[position]
            if number in self.plant.clocks:
                continue  # it comes again and again
            if op in (prim.L_ON_DELAY, prim.L_OFF_DELAY):
                (first,) = self._ins[position]
                begun = [first, self.no(position)] if op == prim.L_ON_DELAY else [self.no(first), position]
            elif op == prim.L_THRESHOLD and a.thr_kind[int(a.sig_arg[number])] == prim.T_COUNTER:
                counter = a.thr_ref[int(a.sig_arg[number])]
                if a.cnt_edge[counter] >= 0 and a.cnt_edge[counter] not in through:
                    continue  # of a volume: nothing says that water comes
                begun = [self.at(a.cnt_when[counter]), self.no(position), self.no(self.at(a.cnt_reset[counter]))]
            else:
                continue
            found.append(self.no(self.all(*begun)))
        return found

    def marks(self, what: What) -> set[float]:
        """The marks that signals of the plant compare a quantity with here."""
        a = self.plant.arrays
        rows = [int(a.sig_arg[s]) for s, p in self._at.items() if self._ops[p] == prim.L_THRESHOLD]
        return {mark for k in rows if (a.thr_kind[k], a.thr_ref[k]) == what for mark in (a.thr_on[k], a.thr_off[k])}

    # -- what is known of the world ------------------------------------------------------------------------------------
    def moves(
        self,
        what: What,
        *,
        rises: int | bool = True,
        falls: int | bool = True,
        up: Takes | None = None,
        down: Takes | None = None,
    ) -> None:
        """A quantity moves only while these entries are so; True, False: always, never. ``up``, ``down``: how long it
        then takes from a lower value to an upper one, and back; None: it may take any time."""
        self._moves[what] = _Moves(self._while(rises), self._while(falls), up, down)

    def _while(self, entry: int | bool) -> int:
        """An entry as a quantity has it: what is negated gets a signal of its own."""
        if isinstance(entry, bool):
            return ALWAYS if entry else NEVER
        return entry if entry >= 0 else self.all(entry)

    def still(self, kinds: Collection[int] = RESTS) -> None:
        """No water moves: what lies in places, the levels of vessels, what runs in lines and what it carries."""
        many = (prim.T_POOL, len(self.plant.places)), (prim.T_LEVEL, len(self.plant.stores))
        every = {(kind, one) for kind, count in many for one in range(count)}
        for what in sorted(every | set(zip(self.plant.arrays.thr_kind, self.plant.arrays.thr_ref, strict=True))):
            if what[0] in kinds:
                self.moves(what, rises=False, falls=False)

    def timed(self, flow: float = 0.0, *, clocks: bool = True) -> None:
        """Delays of the plant and counts of time take their time, as they do there; counts of a volume that pumps lift
        that of a ``flow`` [m3/s], where there is one. ``clocks``: so does what goes by the clock of the house; else it
        begins and ends at any moment, which only adds behaviour."""
        a = self.plant.arrays
        for number, position in self._at.items():
            if self._ops[position] in (prim.L_ON_DELAY, prim.L_OFF_DELAY):
                self._due[position] = Span(a.sig_arg[number], a.sig_arg[number])
        for counter, edge in enumerate(a.cnt_edge):
            pace = 1.0 if edge < 0 else flow if a.edge_law[edge] in LIFTS else 0.0
            if pace:
                up = partial(_evenly, pace)
                self._moves[prim.T_COUNTER, counter] = _Moves(up=up)
        if clocks:
            self._by_the_clock()

    def _by_the_clock(self) -> None:
        """What is true by the clock begins at a moment of its own and lasts no longer than it may: less where a run
        begins within it. The next one may come by as much sooner."""
        for number, window in self.plant.clocks.items():
            position = self._at.get(number)
            if position is None or number in self._ends:
                continue
            opening = self.ask(prim.L_TIMETABLE, 0.0)
            self._openings[opening] = Span(window.every - window.lasts, math.inf)
            self._ops[position], self._args[position], self._ins[position] = prim.L_OFF_DELAY, window.lasts, (opening,)
            self._due[position] = Span(0.0, window.lasts)

    def sticks(self, signals: Iterable[int]) -> None:
        """Signals of the plant that a fault holds only as they are: what welds while it is open is not what runs on."""
        self._sticking |= {self._at[s] for s in signals if s in self._at}

    # -- the machine ---------------------------------------------------------------------------------------------------
    def machine(self, only: Collection[str] | None = None, settled: int = NEVER) -> Machine:
        """What has been drawn up. ``only``: labels of the faults that may come; None: all that have a say here;
        ``settled`` as in Machine."""
        plant = self.plant
        pulses = [self._at[s] for s in (*plant.rearms, plant.midnight) if s in self._at and s not in self.fixed]
        pulses += self._openings
        self._due |= self._openings
        timed = bool(self._due) or any(moves.up for moves in self._moves.values())
        if timed and plant.midnight in self._at and plant.midnight not in self.fixed:
            self._due[self._at[plant.midnight]] = Span(MIDNIGHT, math.inf)
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
            tuple(self._failing(only, timed)),
            dict(self._due),
            settled,
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
        value = self._at_first(*what)
        start = sum(mark <= value for mark in marks)
        at = tuple((position, marks.index(on), marks.index(off)) for position, on, off in rows)
        moves = self._moves.get(what, _Moves())
        found = Quantity(*what, marks, at, start, moves.rises, moves.falls, NEVER)
        if moves.up is None or moves.down is None:
            return found
        down = (*(moves.down(a, b).low for a, b in pairwise((0.0, *marks))), 0.0)
        since = moves.up(marks[start - 1] if start else 0.0, value).low
        return found._replace(up=_spans((0.0, *marks), moves.up), down=down, since=since)

    def _at_first(self, kind: int, ref: int) -> float:
        """How a quantity stands in the ordinary state: nothing lies anywhere, and nothing has run yet."""
        a = self.plant.arrays
        if kind == prim.T_LEVEL:
            return float(level_of(a, ref, a.store_start[ref])[0])
        in_a_vessel = kind == prim.T_CONC and a.node_kind[ref] == prim.TAP
        return a.body_start[a.store_body[a.node_ref[ref]]] if in_a_vessel else 0.0

    def _failing(self, only: Collection[str] | None, timed: bool) -> Iterable[Failing]:
        """Faults that have a say here, those that do the same taken together."""
        found: dict[Failing, list[str]] = {}
        for fault in self.plant.faults:
            held, when = self._forced(fault)
            if held and (only is None or fault.label in only):
                until = self._at.get(fault.until, NEVER) if fault.until >= 0 else NEVER
                ends = fault.lasts < LASTS or until >= 0
                found.setdefault(Failing((), held, ends, until, when), []).append(fault.label)
        for kind, labels in found.items():
            # what ends may come again, by another of those that do the same; that counts where runs add up
            apart = len(labels) - 1 if kind.ends and timed else 0
            for label in labels[:apart][:MOST_AGAIN]:
                yield kind._replace(labels=(label,))
            yield kind._replace(labels=tuple(labels[min(apart, MOST_AGAIN) :]))

    def _forced(self, fault: PlantFault) -> tuple[tuple[tuple[int, int], ...], tuple[int, int] | None]:
        """What a fault holds here, and when it may begin: what holds a gate as it is begins only while it is so, for a
        valve that does not close has not opened; but for what makes water get out by itself, such as a blocked
        overflow, and for what only hands move, such as a tap that drips."""
        held: list[tuple[int, int]] = [(self._begun[fault.label], 1)] if fault.label in self._begun else []
        when: tuple[int, int] | None = None
        for what, number, value in fault.patches:
            if what == "force" and number in self._at and number not in self.fixed:
                one = (self._at[number], int(value))
            elif number in self._gates and ((what == "low" and value > 0.0) or (what == "high" and value < FORCING)):
                one = (self._gates[number], int(what == "low"))
                order = order_of(self.plant, number)
                stays = order >= 0 and fault.timing != INITIATOR and automatic(self.plant, order)
                when = one if stays else when
            else:
                continue
            held.append(one)
            when = one if one[0] in self._sticking else when
        return tuple(held), when


def _evenly(pace: float, low: float, high: float) -> Span:
    """It takes just so long."""
    return Span((high - low) / pace, (high - low) / pace)


def _spans(marks: tuple[float, ...], takes: Takes) -> tuple[Span, ...]:
    """How long it takes from each mark to the next; beyond the last there is none."""
    return (*(takes(a, b) for a, b in pairwise(marks)), Span(0.0, math.inf))

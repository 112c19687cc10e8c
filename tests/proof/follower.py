"""Goes the way of a run of the engine with the search's own step, and with its bounds on time.

Every change of every signal of a run is written down, and when each level passes each mark of a machine. From one
moment to the next, what changed of itself (water, levels, counts, people, midnights, faults, delays that ended) is put
to the search's step. What it makes of all other signals must be what the engine made of them, no event may come sooner
than the search lets it, and what the clocks of the run show must lie in the zone that the search keeps.
"""

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant, Scenario
from dewpond.plant.trace import Event, Trace
from dewpond.proof import tables as tab
from dewpond.proof.kernel.settling import begin, waits
from dewpond.proof.kernel.walking import bounded, count_clocks, go_on, happen, waited_for
from dewpond.proof.kernel.zones import let_pass, tighten, widen
from dewpond.proof.machine import Machine
from dewpond.proof.search import _work, tables

MOST_ORDERS = 200  # of what comes at one moment, that are tried
TENTHS = 10.0
SLACK = 0.05  # of the engine's times, which are no whole numbers [0.1 s]
HAIR = 1e-7  # beyond a mark, from where on a level may pass it the other way [m]


class LeftError(Exception):
    """The run does what the question takes not to be done: from there on it is none of its ways."""


@dataclass
class Moment:
    """What comes at one time. changed: position of a signal -> its last value; first: to what it changed first; faults:
    number of a class -> whether it stands; marks: quantity and whether it passes its next mark upward."""

    time: float = 0.0
    changed: dict[int, int] = field(default_factory=dict)
    first: dict[int, int] = field(default_factory=dict)
    faults: dict[int, bool] = field(default_factory=dict)
    marks: list[tuple[int, bool]] = field(default_factory=list)


class Follower:
    """Stands in one state of a machine."""

    def __init__(self, plant: Plant, machine: Machine) -> None:
        self.plant, self.m = plant, machine
        self.t = tables(machine)
        self.n = 1 + len(self.t.clk_first)
        self.w = _work(self.t, self.n, 1 + len(machine.faults) // tab.WORD)
        self.at = {number: position for position, number in enumerate(machine.numbers) if number >= 0}
        self.fault = {label: f for f, failing in enumerate(machine.faults) for label in failing.labels}
        self.by_threshold = {row[0]: q for q, quantity in enumerate(machine.quantities) for row in quantity.thresholds}
        self.watched = set[int]()  # quantities whose marks the run itself tells
        self.given = {
            position: machine.args[position] > 0.0
            for number, position in self.at.items()
            if machine.ops[position] == prim.L_CONST and plant.arrays.sig_op[number] != prim.L_CONST
        }
        assert begin(self.t, self.w)
        skipped = {*self.given, *machine.pulses}
        self.engine = {p: self.w.bits[p] for p in self.at.values() if p not in skipped}  # what the run's signals are
        self.shows = [0.0, *(float(v) for v in self.t.clk_first)]  # by clock [0.1 s]
        self.w.zone[:] = self.w.first_zone
        count_clocks(self.t, self.w, self.n)
        let_pass(self.w, self.n)
        assert bounded(self.t, self.w, self.n)
        widen(self.t, self.w, self.n)

    # -- one thing -----------------------------------------------------------------------------------------------------
    def happens(self, kind: int, which: int) -> bool:
        """One event of the search; False where it cannot come now."""
        t, w, n = self.t, self.w, self.n
        count_clocks(t, w, n)
        w.old_lives[0], w.old_on[:], w.old_live[:] = w.lives[0], w.on[:], w.live[:]
        w.old_cells[:], w.old_entry[:] = w.cells[:], w.entry[:]
        w.anew[:] = [0] * len(w.anew)
        c, least = waited_for(t, w, kind, which)
        if c >= 0 and (self.shows[1 + c] < least - SLACK or not tighten(w, n, 0, 1 + c, -least)):
            return False
        if not happen(t, w, kind, which) or not go_on(t, w, n, kind, which):
            return False
        for c in range(1, n):
            if w.on[c] and (not w.old_on[c] or w.new[c]):
                self.shows[c] = 0.0
        return self.lies_within()

    def lies_within(self) -> bool:
        """Whether what the clocks show lies in the zone."""
        w, n = self.w, self.n
        live = [w.live[p] for p in range(w.lives[0])]
        return all(self.shows[i] - self.shows[j] <= w.zone[i * n + j] + SLACK for i in live for j in live)

    def waits_for(self, tenths: float) -> bool:
        """Time passes; False where the search does not let so much pass."""
        w = self.w
        count_clocks(self.t, w, self.n)
        for p in range(1, w.lives[0]):
            if w.running[w.live[p]]:
                self.shows[w.live[p]] += tenths
        return self.lies_within()

    def next_question(self) -> tuple[float, int]:
        """When the next delay that the question alone has is over [0.1 s from now], and its signal; -1 for none."""
        due = [
            (self.t.due_low[i] - self.shows[1 + self.t.signal_clock[i]], i)
            for i in self.t.delay
            if self.m.numbers[i] < 0 and self.t.signal_clock[i] >= 0 and waits(self.t, self.w, i)
        ]
        return min(due, default=(1e30, -1))

    # -- one moment ----------------------------------------------------------------------------------------------------
    def goes(self, tenths: float) -> bool:
        """Time passes, and delays of the question end in it."""
        while True:
            left, signal = self.next_question()
            if left > tenths:
                return self.waits_for(tenths)
            tenths -= left
            if not self.waits_for(left) or not self.happens(tab.DUE, signal):
                return False

    def follows(self, moment: Moment) -> bool:
        """Whether what changed of itself, in some order, makes all signals what they are to be."""
        if any(bool(v) != self.given[p] for p, v in moment.changed.items() if p in self.given):
            raise LeftError
        own: list[tuple[str, int, int]] = [("fault", f, int(on)) for f, on in moment.faults.items()]
        own += [(self._kind(i), i, v) for i, v in moment.first.items() if self._kind(i)]
        own += [("mark", q, int(up)) for q, up in moment.marks]
        back = [("turn", i, v) for i, v in moment.changed.items() if i in self.m.turning]  # what turned twice
        target = self.engine | {p: v for p, v in moment.changed.items() if p in self.engine}
        start = self._kept()
        for order in itertools.islice(itertools.permutations(own), MOST_ORDERS):
            if all(self._does(*one) for one in (*order, *back)) and self._is(target):
                self.engine = target
                return True
            self._back(start)
        return False

    def _kind(self, position: int) -> str:
        """How a signal changes of itself; empty where it does not, or where the marks of its level say it."""
        if position in self.m.pulses:
            return "press"
        if position in self.m.turning:
            return "turn"
        if position in self.t.delay:
            return "clock" if self.m.numbers[position] in self.plant.clocks else "due"
        q = self.by_threshold.get(position, -1)
        if q < 0 or q in self.watched:
            return ""
        return "count" if self.m.quantities[q].kind == prim.T_COUNTER else "level"

    def _is(self, target: dict[int, int]) -> bool:
        return all(self.w.bits[position] == value for position, value in target.items())

    def _kept(self) -> list[list[int] | list[float]]:
        w = self.w
        kept = (w.bits, w.cells, w.entry, w.faults, w.force, w.zone, w.running, w.on, w.live, w.lives, self.shows)
        return [list(one) for one in kept]

    def _back(self, kept: list[list[int] | list[float]]) -> None:
        w = self.w
        mine = (w.bits, w.cells, w.entry, w.faults, w.force, w.zone, w.running, w.on, w.live, w.lives, self.shows)
        for one, old in zip(mine, kept, strict=True):
            one[:] = old  # type: ignore[assignment]

    def _does(self, kind: str, which: int, value: int) -> bool:
        """One thing; True also where it has come of another one already."""
        t, w = self.t, self.w
        if kind == "fault":
            state, when = tab.BEGUN if value else tab.OVER, self.m.faults[which].when
            if value and when is not None and w.bits[when[0]] != when[1]:
                raise LeftError  # what sticks does so as it stands
            return w.faults[which] == state or self.happens(tab.FAIL if value else tab.MEND, which)
        if kind == "mark":
            return self._passes(which, up=value == 1)
        if kind == "press":  # over in the moment that it comes
            return value == 0 or self.happens(tab.PRESS, which)
        if w.bits[which] == value:
            return True
        if kind == "turn":
            return self.happens(tab.TURN, which)
        if kind == "clock":
            (opening,) = self.m.ins[which]
            return self.happens(tab.PRESS, opening) if value else self.happens(tab.DUE, which)
        if kind == "count":  # it may be put back by what comes of it, and only by that
            return value == 0 or self.happens(tab.RISE, self.by_threshold[which])
        if kind == "level":
            q = self.by_threshold[which]
            while w.bits[which] != value:
                if w.cells[q] == (t.q_marks[q] if value else 0) or not self._passes(q, up=value == 1):
                    return False
            return True
        return not waits(t, w, which) or self.happens(tab.DUE, which)

    def _passes(self, q: int, *, up: bool) -> bool:
        """A quantity passes its next mark."""
        moves = self.m.quantities[q].rises if up else self.m.quantities[q].falls
        if moves == tab.NEVER:
            raise LeftError
        runs = moves == tab.ALWAYS or self.w.bits[moves] == 1
        return runs and self.happens(tab.RISE if up else tab.FALL, q)


# -- runs --------------------------------------------------------------------------------------------------------------
def with_marks(plant: Plant, m: Machine) -> tuple[Plant, dict[int, tuple[int, int, bool]]]:
    """The plant with more signals: for each mark of a level that takes its time in the machine, one that comes true
    when the level passes it upward, and one that ends when it does downward. Signal -> (quantity, marks below it,
    upward)."""
    a, signals = plant.arrays, dict[int, tuple[int, int, bool]]()
    kinds, refs, ons, offs = a.thr_kind[:], a.thr_ref[:], a.thr_on[:], a.thr_off[:]
    for q, quantity in enumerate(m.quantities):
        timed = quantity.kind == prim.T_LEVEL and quantity.up
        for below, mark in enumerate(quantity.marks if timed else ()):
            for up, on, off in ((True, mark, mark - HAIR), (False, mark + HAIR, mark)):
                signals[len(a.sig_op) + len(signals)] = q, below, up
                kinds.append(quantity.kind)
                refs.append(quantity.ref)
                ons.append(on)
                offs.append(off)
    more = len(signals)
    arrays = a._replace(
        thr_kind=kinds, thr_ref=refs, thr_on=ons, thr_off=offs,
        sig_op=[*a.sig_op, *[prim.L_THRESHOLD] * more],
        sig_arg=[*a.sig_arg, *(float(len(a.thr_kind) + k) for k in range(more))],
        sig_in_at=[*a.sig_in_at, *[a.sig_in_at[-1]] * more],
        sig_start=[*a.sig_start, *[0] * more], sig_owner=[*a.sig_owner, *[-1] * more],
        sig_log=[2] * (len(a.sig_op) + more),
    )  # fmt: skip
    return replace(plant, arrays=arrays), signals


def groups(trace: Trace, pulses: Iterable[int]) -> Iterator[list[Event]]:
    """What comes at one time, together; while a pulse stands, all that comes until it is over."""
    known = [e for e in trace.events if e.code in (prim.E_SIGNAL, prim.E_FAULT)]
    standing, held, short = set[int](), list[Event](), set(pulses)
    for _, group in itertools.groupby(known, key=lambda e: e.time):
        for event in group:
            held.append(event)
            if event.code == prim.E_SIGNAL and event.ref in short:
                (standing.add if event.value else standing.discard)(event.ref)
        if not standing:
            yield held
            held = []


def followed(plant: Plant, machine: Machine, scenario: Scenario, run: Plant | None = None) -> tuple[int, int]:
    """How many moments of a run the search could follow, and steps of the engine they came in; AssertionError where it
    could not. ``run``: another plant, of which the run is."""
    f = Follower(plant, machine)
    ran, signals = with_marks(run or plant, machine)
    f.watched = {q for q, _, _ in signals.values()}
    trace = engine.run(ran, scenario, compiled=True)
    first = {f.at[s]: v for s, v in enumerate(trace.ordinary) if s in f.at and f.w.bits[f.at[s]] != v}
    assert f.follows(Moment(0.0, first, first)), "the ordinary state"
    count, now = 0, 0.0
    for group in groups(trace, (machine.numbers[p] for p in machine.pulses)):
        moment = moment_of(f, group, scenario, signals)
        told = (group[0].time, [plant.says.get(e.ref, e.ref) for e in group])
        assert f.goes((moment.time - now) * TENTHS), told
        try:
            assert f.follows(moment), told
        except LeftError:
            break
        now = moment.time
        count += 1
    return count, trace.steps


def moment_of(f: Follower, group: list[Event], scenario: Scenario, signals: dict[int, tuple[int, int, bool]]) -> Moment:
    """A group of events as what the machine knows of it."""
    moment = Moment(group[0].time)
    cells = list(f.w.cells)
    for e in group:
        if e.code == prim.E_FAULT:
            label = scenario.onsets[e.ref].label
            if label in f.fault:
                moment.faults[f.fault[label]] = e.value > 0.0
        elif e.ref in signals:
            q, below, _ = signals[e.ref]
            up = e.value > 0.0
            if cells[q] == (below if up else below + 1):
                cells[q] += 1 if up else -1
                moment.marks.append((q, up))
        elif e.ref in f.at:
            moment.changed[f.at[e.ref]] = int(e.value)
            moment.first.setdefault(f.at[e.ref], int(e.value))
    return moment

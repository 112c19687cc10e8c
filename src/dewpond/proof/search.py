"""Every state that a machine can come to with at most so many faults, and the shortest way to what must not be."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from dewpond.plant import primitives as prim
from dewpond.proof import compile as ways
from dewpond.proof import tables as tab
from dewpond.proof.machine import Machine, Span
from dewpond.proof.tables import Found, Tables, Work

if TYPE_CHECKING:
    import numpy as np

MOST_STATES = 300_000
ROOM = 1024  # states to begin with
FACTOR = 4  # by which there is more room each time
AT_A_TIME = 100_000  # steps between two looks at whether to go on
TENTHS = 10.0
NEVER_DUE = -0.1  # in the place of a time after which something is overdue [s]
KINDS = ("press", "turn", "due", "rise", "fall", "fail", "mend")  # in the order of the kernel's numbers
DELAYS = (prim.L_ON_DELAY, prim.L_OFF_DELAY)


class UnsettledError(Exception):
    """The logic does not come to rest: causes that feed each other."""


class Event(NamedTuple):
    """What happens. kind: "press" (a pulse), "turn", "due" (a delay), "rise", "fall" (a quantity), "fail", "mend";
    which: position of the signal, the quantity or the fault."""

    kind: str
    which: int


class Point(NamedTuple):
    """A state: the value of each signal, how many marks of each quantity lie below, how it stands with each fault."""

    bits: tuple[int, ...]
    cells: tuple[int, ...]
    faults: tuple[int, ...]


@dataclass(frozen=True)
class Breach:
    """A state that must not be, by the shortest way there, with a smallest set of faults."""

    faults: tuple[int, ...]
    way: tuple[tuple[Event, Point], ...]
    start: Point


@dataclass(frozen=True)
class Search:
    """What a search found. finished: it ended because no new state appeared; breaches: one for each smallest set of
    faults; depth: events to the state that is furthest off; steps: changes tried."""

    states: int
    depth: int
    steps: int
    finished: bool
    breaches: tuple[Breach, ...]


def search(
    m: Machine,
    bad: int,
    most_faults: int,
    *,
    compiled: bool,
    most_states: int = MOST_STATES,
    heard: Callable[[int], None] | None = None,
) -> Search:
    """Look for states in which the signal ``bad`` is true. ``heard`` is told the number of states now and then; raises
    UnsettledError."""
    if not 0 <= bad < len(m.ops):
        raise ValueError(bad)  # what is compiled reads whatever lies there
    if any(len(q.marks) >= 1 << tab.CELL_BITS for q in m.quantities):
        return Search(0, 0, 0, finished=False, breaches=())  # more than a key tells apart: nothing is said of it
    t = tables(m)
    n = 1 + len(t.clk_first)
    words = max(1, -(-len(m.faults) // tab.WORD))
    w = _work(t, n, words)
    walk = ways.walker(t, w, compiled)
    found = _room(ROOM, len(w.key), n, words)
    while True:
        why = walk(found, n, bad, most_faults, AT_A_TIME)
        states = int(found.counts[tab.N_STATES])
        if why == tab.UNSETTLED:
            raise UnsettledError
        if heard is not None:
            heard(states)
        if why == tab.DONE or (why == tab.ROOM and len(found.parent) >= most_states):
            return _result(m, found, why == tab.DONE)
        if why == tab.ROOM:
            found = _more(found, most_states, compiled)


def tables(m: Machine) -> Tables:
    """The machine as flat arrays."""
    readers: list[list[int]] = [[] for _ in m.ops]
    for signal, ins in enumerate(m.ins):
        for entry in ins:
            mine = readers[entry if entry >= 0 else -1 - entry]
            if signal not in mine:
                mine.append(signal)
    threshold = [-1] * len(m.ops)
    rows = [(q, *row) for q, quantity in enumerate(m.quantities) for row in quantity.thresholds]
    for k, (_, signal, _, _) in enumerate(rows):
        threshold[signal] = k
    clocks: list[tuple[float, float, float]] = []  # (shows at first, longest waited for, longest till overdue)
    signal_clock = [_clock(clocks, [m.due[i]], first=_first(m, i)) if i in m.due else -1 for i in range(len(m.ops))]
    quantity_clock = [
        _clock(clocks, [*q.up, *(Span(low, math.inf) for low in q.down)], q.since) if q.up or q.down else -1
        for q in m.quantities
    ]
    cells = [len(q.marks) + 1 for q in m.quantities]
    f_at, held = _rows([f.forced for f in m.faults])
    in_at, inputs = _rows(m.ins)
    reader_at, reads = _rows(readers)
    free = Span(0.0, math.inf)
    return Tables(*map(list, (
        m.ops, [_need(m, i) for i in range(len(m.ops))], in_at, inputs, reader_at, reads, m.start,
        threshold, [q for q, *_ in rows], [on for _, _, on, _ in rows], [off for *_, off in rows],
        m.pulses, m.turning, [i for i, op in enumerate(m.ops) if op in DELAYS],
        [len(q.marks) for q in m.quantities], [q.start for q in m.quantities],
        [tab.FROM_BELOW if c >= 0 else tab.ANYWHERE for c in quantity_clock],
        [q.rises for q in m.quantities], [q.falls for q in m.quantities], [q.resets for q in m.quantities],
        f_at, [signal for signal, _ in held], [value for _, value in held], [int(f.ends) for f in m.faults],
        [f.until for f in m.faults], [f.when[0] if f.when else tab.ALWAYS for f in m.faults],
        [f.when[1] if f.when else 0 for f in m.faults], signal_clock, quantity_clock,
        [_tenths(first) for first, *_ in clocks], [_tenths(waited) for _, waited, _ in clocks],
        [_tenths(overdue, up=True) for *_, overdue in clocks],
        [_tenths(m.due.get(i, free).low) for i in range(len(m.ops))],
        [_tenths(m.due.get(i, free).high, up=True) for i in range(len(m.ops))],
        _starts(cells), *_cells(m, cells), [m.settled],
    )))  # fmt: skip


def _first(m: Machine, signal: int) -> float:
    """What the clock of a signal shows at first: a pulse may come at once."""
    return m.due[signal].low if signal in m.pulses else 0.0


def _clock(clocks: list[tuple[float, float, float]], spans: Sequence[Span], first: float) -> int:
    waited = max((span.low for span in spans if span.low < math.inf), default=0.0)
    overdue = max((span.high for span in spans if span.high < math.inf), default=NEVER_DUE)
    clocks.append((first, waited, overdue))
    return len(clocks) - 1


def _cells(m: Machine, cells: Sequence[int]) -> tuple[list[int], list[int], list[int]]:
    up = [span for q, n in zip(m.quantities, cells, strict=True) for span in (q.up or [Span(0.0, math.inf)] * n)]
    down = [low for q, n in zip(m.quantities, cells, strict=True) for low in (q.down or [0.0] * n)]
    return [_tenths(s.low) for s in up], [_tenths(s.high, up=True) for s in up], [_tenths(low) for low in down]


def _need(m: Machine, signal: int) -> int:
    op, arg = m.ops[signal], m.args[signal]
    if op == prim.L_TIMETABLE:
        return int(signal in m.turning or signal in m.pulses)
    return int(arg > 0.0) if op in DELAYS else int(arg) if op in (prim.L_VOTE, prim.L_CONST) else 0


def _tenths(seconds: float, *, up: bool = False) -> int:
    """Rounded outward: a lower bound down, an upper one up."""
    if seconds * TENTHS >= tab.ENDLESS:
        return tab.ENDLESS
    return math.ceil(seconds * TENTHS - 1e-6) if up else math.floor(seconds * TENTHS + 1e-6)


def _starts(lengths: Sequence[int]) -> list[int]:
    return [sum(lengths[:k]) for k in range(len(lengths) + 1)]


def _rows(rows: Iterable[Sequence[Any]]) -> tuple[list[int], list[Any]]:
    kept = list(rows)
    return _starts([len(row) for row in kept]), [entry for row in kept for entry in row]


def _ints(values: Sequence[int]) -> np.ndarray:
    import numpy as np

    return np.array(values, dtype=np.int64)


def _work(t: Tables, n: int, words: int) -> Work:
    signals, quantities, faults = len(t.op), len(t.q_marks), len(t.f_ends)
    most = 2 * (len(t.pulse) + len(t.turning) + len(t.delay) + 2 * quantities + 2 * faults)
    first = _first_zone(t, n)
    key = _key_words(_widths(signals, quantities, faults))
    sizes = [signals, quantities, quantities, faults, signals, signals, 1, signals + quantities]
    sizes += [n * n, n * n, key, *[n] * 4, 1, n, n, 1, signals, quantities, quantities, faults, words, most]
    zeros = [[0] * size for size in sizes]
    zeros[9] = first
    return Work(*zeros)


def _first_zone(t: Tables, n: int) -> list[int]:
    """Every clock shows what it does at first."""
    shows = [0, *(int(v) for v in t.clk_first)]
    return [shows[i] - shows[j] for i in range(n) for j in range(n)]


def _widths(signals: int, quantities: int, faults: int) -> list[int]:
    """Bits of the numbers of a state, in their order in a key."""
    return [1] * signals + [tab.CELL_BITS, tab.TWO] * quantities + [tab.TWO] * faults


def _key_words(bits: Sequence[int]) -> int:
    """Words that numbers of so many bits take, none across two of them."""
    words, left = 1, tab.WORD
    for b in bits:
        if b > left:
            words, left = words + 1, tab.WORD
        left -= b
    return words


def _room(states: int, key: int, n: int, words: int) -> Found:
    import numpy as np

    size = 1 << (2 * states - 1).bit_length()
    return Found(
        keys=np.zeros((states, key), dtype=np.int64), zones=np.zeros((states, n * n), dtype=np.int32),
        parent=_ints([0] * states), kind=_ints([0] * states), which=_ints([0] * states), depth=_ints([0] * states),
        hash=_ints([0] * states), alike=_ints([0] * states), table=np.full(size, -1, dtype=np.int64),
        sets=np.zeros((states, words), dtype=np.int64), set_state=_ints([0] * states), counts=_ints([0] * 5),
    )  # fmt: skip


def _more(found: Found, most_states: int, compiled: bool) -> Found:
    """The same with more room, but for no more states than may be."""
    old = len(found.parent)
    n = math.isqrt(found.zones.shape[1])
    more = _room(min(FACTOR * old, most_states), found.keys.shape[1], n, found.sets.shape[1])
    for one, other in zip(found, more, strict=True):
        if one is not found.table:
            other[: len(one)] = one
    ways.place(found, more, compiled=compiled)
    return more


def _result(m: Machine, found: Found, finished: bool) -> Search:
    counts = found.counts
    breaches = []
    start = _point(m, found, 0)
    for r in range(int(counts[tab.N_SETS])):
        steps, s = [], int(found.set_state[r])
        faults = tuple(f for f, state in enumerate(_point(m, found, s).faults) if state != tab.FREE)
        while found.parent[s] >= 0:
            steps.append((Event(KINDS[int(found.kind[s])], int(found.which[s])), _point(m, found, s)))
            s = int(found.parent[s])
        breaches.append(Breach(faults, tuple(reversed(steps)), start))
    states, depth, made = (int(counts[k]) for k in (tab.N_STATES, tab.N_DEPTH, tab.N_STEPS))
    return Search(states, depth, made, finished, tuple(breaches))


def _point(m: Machine, found: Found, s: int) -> Point:
    """A state that was found, taken apart."""
    lengths = _widths(len(m.ops), len(m.quantities), len(m.faults))
    values: list[int] = []
    word = at = 0
    for bits in lengths:
        if at + bits > tab.WORD:
            word, at = word + 1, 0
        values.append((int(found.keys[s, word]) >> at) & ((1 << bits) - 1))
        at += bits
    signals, quantities = len(m.ops), len(m.quantities)
    cells = values[signals : signals + 2 * quantities : 2]
    return Point(tuple(values[:signals]), tuple(cells), tuple(values[signals + 2 * quantities :]))


def warm() -> None:
    """Compile everything once, on the smallest machine there is."""
    nothing = Machine((-1,), (prim.L_CONST,), (0.0,), ((),), (0,), (), (), (), (), {})
    search(nothing, 0, 0, compiled=True)
    ways.place(_room(2, 1, 1, 1), _room(2, 1, 1, 1), compiled=True)


if __name__ == "__main__":
    warm()

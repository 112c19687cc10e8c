"""A piece of the plant's logic that runs by itself: what a few signals hang on, with everything else left free.

Time is left out. A delay that has begun may end at any later moment, in any order with all else; water, levels and
counters may pass their next mark at any moment; a hand may press at any moment. That only adds behaviour.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import level_of
from dewpond.plant.plant import NEVER, Plant, PlantFault

FORCING = 0.5  # a gate held more open than this is open, and less than this shut


class Quantity(NamedTuple):
    """Something that is compared with marks: what and of what (as Arrays.thr_kind, thr_ref), the marks in order, and
    for each threshold its signal and the positions of its upper and its lower mark. ``resets``: signal that puts a
    counter back, and ``counts`` the one while which it goes on; -1 of anything else."""

    kind: int
    ref: int
    marks: tuple[float, ...]
    thresholds: tuple[tuple[int, int, int], ...]
    start: int
    resets: int = -1
    counts: int = -1


class Failing(NamedTuple):
    """Faults that do the same here. labels; forced: signals held at a value; ends: it may be over at some time; until:
    signal with which it is, -1 for none; when: it begins only while this signal has this value; None: at any time."""

    labels: tuple[str, ...]
    forced: tuple[tuple[int, int], ...]
    ends: bool
    until: int
    when: tuple[int, int] | None


@dataclass(frozen=True)
class Machine:
    """Signals in the plant's order, those of questions at the end; an input is a position, or -1 - position for "not".

    numbers     the plant's number of each signal; -1 for those of a question
    start       value of each in the ordinary state
    hands       positions of signals that are true while a hand presses
    clocks      positions of signals that change of themselves: people coming and going, midnight
    """

    numbers: tuple[int, ...]
    ops: tuple[int, ...]
    args: tuple[float, ...]
    ins: tuple[tuple[int, ...], ...]
    start: tuple[int, ...]
    hands: tuple[int, ...]
    clocks: tuple[int, ...]
    quantities: tuple[Quantity, ...]
    faults: tuple[Failing, ...]


class Question(NamedTuple):
    """A signal that is asked about, made of others by an operation of the logic; inputs are the plant's numbers, or
    ``("own", n)`` for the n-th signal of the same question; negated as ("not", input)."""

    op: int
    arg: float
    ins: tuple[object, ...]


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


def machine(
    plant: Plant,
    wanted: Sequence[int],
    questions: Sequence[Question],
    gate: int = -1,
    fixed: Mapping[int, bool] | None = None,
    sticking: Collection[int] = (),
) -> Machine:
    """The machine of signals ``wanted`` and all that they hang on, with ``questions`` about them.

    gate: a gate whose faults hold the first question, its position, open or shut.
    fixed: signals that are taken to have one value, whatever they hang on; those of people change of themselves.
    sticking: signals that a fault holds only as they are: what welds while it is open is not what runs on.
    """
    a = plant.arrays
    held = fixed or {}
    loose = {*held, *of_people(plant)}
    numbers = hanging_on(plant, wanted, loose)
    at = {number: position for position, number in enumerate(numbers)}
    own = len(numbers)

    def entry(number: int) -> int:
        return at[number] if number >= 0 else -1 - at[-1 - number]

    def asked(one: object) -> int:
        if isinstance(one, tuple):
            return -1 - asked(one[1]) if one[0] == "not" else own + int(one[1])
        assert isinstance(one, int)
        return entry(one)

    rows = [[] if s in loose else [entry(n) for n in a.sig_in[a.sig_in_at[s] : a.sig_in_at[s + 1]]] for s in numbers]
    ops = [prim.L_CONST if s in held else prim.L_TIMETABLE if s in loose else a.sig_op[s] for s in numbers]
    ruled = {s: p for s, p in at.items() if s not in held}
    forces = _forcing(ruled, own if gate >= 0 else -1, gate, frozenset(sticking))
    return Machine(
        numbers=(*numbers, *(-1 for _ in questions)),
        ops=(*ops, *(q.op for q in questions)),
        args=(*(float(held.get(s, a.sig_arg[s])) for s in numbers), *(q.arg for q in questions)),
        ins=(*map(tuple, rows), *(tuple(map(asked, q.ins)) for q in questions)),
        start=(*(a.sig_start[s] for s in numbers), *(0 for _ in questions)),
        hands=tuple(at[s] for s in plant.rearms if s in at),
        clocks=tuple(
            at[s]
            for s, op in zip(numbers, ops, strict=True)
            if op == prim.L_TIMETABLE and s not in plant.rearms and s not in plant.circuits
        ),
        quantities=tuple(_quantities(plant, {s: p for s, p in at.items() if s not in loose})),
        faults=tuple(_alike(plant.faults, forces, at)),
    )


def _quantities(plant: Plant, at: Mapping[int, int]) -> Iterable[Quantity]:
    """What is compared with marks, the thresholds of one quantity together."""
    a = plant.arrays
    found: dict[tuple[int, int], list[tuple[int, float, float]]] = {}
    for signal, position in at.items():
        if a.sig_op[signal] == prim.L_THRESHOLD:
            k = int(a.sig_arg[signal])
            found.setdefault((a.thr_kind[k], a.thr_ref[k]), []).append((position, a.thr_on[k], a.thr_off[k]))
    for (kind, ref), rows in sorted(found.items()):
        marks = tuple(sorted({mark for _, on, off in rows for mark in (on, off)}))
        value = level_of(a, ref, a.store_start[ref])[0] if kind == prim.T_LEVEL else 0.0
        thresholds = tuple((position, marks.index(on), marks.index(off)) for position, on, off in rows)
        start = sum(mark <= value for mark in marks)
        counter = kind == prim.T_COUNTER
        resets = at.get(a.cnt_reset[ref], -1) if counter else -1
        yield Quantity(kind, ref, marks, thresholds, start, resets, at[a.cnt_when[ref]] if counter else -1)


Forces = Callable[[PlantFault], tuple[tuple[tuple[int, int], ...], tuple[int, int] | None]]


def _forcing(at: Mapping[int, int], position: int, gate: int, sticking: frozenset[int]) -> Forces:
    """What a fault holds in this machine, and when it may begin: what holds a gate as it is begins only while it is
    so, for a valve that does not close has not opened."""

    def forces(fault: PlantFault) -> tuple[tuple[tuple[int, int], ...], tuple[int, int] | None]:
        held: list[tuple[int, int]] = []
        when: tuple[int, int] | None = None
        for what, number, value in fault.patches:
            if what == "force" and number in at:
                held.append((at[number], int(value)))
                when = (at[number], int(value)) if number in sticking else when
            elif what in ("low", "high") and number == gate >= 0:
                open_, shut = what == "low" and value > FORCING, what == "high" and value < FORCING
                if open_ or shut:
                    held.append((position, int(open_)))
                    when = (position, int(open_))
        return tuple(held), when

    return forces


def _alike(faults: Iterable[PlantFault], forces: Forces, at: Mapping[int, int]) -> Iterable[Failing]:
    """Faults that have a say here, those that do the same taken together."""
    found: dict[Failing, list[str]] = {}
    for fault in faults:
        held, when = forces(fault)
        if held:
            until = at.get(fault.until, -1)
            found.setdefault(Failing((), held, fault.lasts < NEVER or until >= 0, until, when), []).append(fault.label)
    return [kind._replace(labels=tuple(labels)) for kind, labels in found.items()]

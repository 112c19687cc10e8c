"""One step of a machine: something happens, and the logic comes to rest, by the same rules as in the engine."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.proof.machine import Machine

TURNS = 40  # as in the engine: what has not come to rest by then never does
FREE, BEGUN, OVER = range(3)  # how it stands with a fault


class Point(NamedTuple):
    """A state: the value of each signal, where each quantity stands (so many of its marks are below), each fault."""

    bits: tuple[int, ...]
    cells: tuple[int, ...]
    faults: tuple[int, ...]


class Event(NamedTuple):
    """What happens. kind: "press", "turn" (a clock), "due" (a delay), "rise", "fall" (a quantity), "fail", "mend";
    which: position of the signal, the quantity or the fault."""

    kind: str
    which: int


class UnsettledError(Exception):
    """The logic does not come to rest: causes that feed each other."""


def beginning(m: Machine) -> Point:
    """The ordinary state, without faults."""
    bits = list(m.start)
    cells = [quantity.start for quantity in m.quantities]
    for quantity in m.quantities:
        for signal, _, off in quantity.thresholds:
            bits[signal] = int(quantity.start > off)
    return _settled(m, bits, cells, [FREE] * len(m.faults))


def waiting(m: Machine, bits: Sequence[int], signal: int) -> bool:
    """Whether a delay has begun and not ended."""
    first = _input(bits, m.ins[signal][0]) if m.ins[signal] else 0
    if m.ops[signal] == prim.L_ON_DELAY:
        return first == 1 and bits[signal] == 0
    return m.ops[signal] == prim.L_OFF_DELAY and first == 0 and bits[signal] == 1


def events(m: Machine, p: Point, most_faults: int) -> Iterator[Event]:
    """All that may happen next."""
    for signal in m.hands:
        yield Event("press", signal)
    for signal in m.clocks:
        yield Event("turn", signal)
    for signal, op in enumerate(m.ops):
        if op in (prim.L_ON_DELAY, prim.L_OFF_DELAY) and waiting(m, p.bits, signal):
            yield Event("due", signal)
    for number, quantity in enumerate(m.quantities):
        counts = quantity.kind != prim.T_COUNTER or (p.bits[quantity.counts] and not _resets(p.bits, quantity.resets))
        if p.cells[number] < len(quantity.marks) and counts:
            yield Event("rise", number)
        if p.cells[number] > 0 and quantity.kind != prim.T_COUNTER:
            yield Event("fall", number)
    begun = sum(state != FREE for state in p.faults)
    for number, (state, fault) in enumerate(zip(p.faults, m.faults, strict=True)):
        if state == FREE and begun < most_faults and (fault.when is None or p.bits[fault.when[0]] == fault.when[1]):
            yield Event("fail", number)
        if state == BEGUN and fault.ends:
            yield Event("mend", number)


def after(m: Machine, p: Point, event: Event) -> Point:
    """The state after something has happened; raises UnsettledError."""
    bits, cells, faults = list(p.bits), list(p.cells), list(p.faults)
    kind, which = event
    if kind == "press":
        bits[which] = 1
        pressed = _settled(m, bits, cells, faults)
        bits = list(pressed.bits)
        bits[which] = 0
        return _settled(m, bits, list(pressed.cells), list(pressed.faults))
    if kind in ("turn", "due"):
        bits[which] = 1 - bits[which]
    elif kind in ("rise", "fall"):
        cells[which] += 1 if kind == "rise" else -1
    else:
        faults[which] = BEGUN if kind == "fail" else OVER
    return _settled(m, bits, cells, faults)


def _resets(bits: Sequence[int], signal: int) -> bool:
    return signal >= 0 and bits[signal] == 1


def _input(bits: Sequence[int], entry: int) -> int:
    return bits[entry] if entry >= 0 else 1 - bits[-1 - entry]


def _settled(m: Machine, bits: list[int], cells: list[int], faults: list[int]) -> Point:
    for _ in range(TURNS):
        force = {s: v for f, state in zip(m.faults, faults, strict=True) if state == BEGUN for s, v in f.forced}
        compared = _compare(m, bits, cells)
        moved = _logic(m, bits, force, compared)
        put_back = _put_back(m, bits, cells)
        ended = _ended(m, bits, faults)
        if not (moved or put_back or ended):
            return Point(tuple(bits), tuple(cells), tuple(faults))
    raise UnsettledError


def _compare(m: Machine, bits: list[int], cells: list[int]) -> dict[int, int]:
    """What each threshold says, whatever holds its signal."""
    found = {}
    for quantity, cell in zip(m.quantities, cells, strict=True):
        for signal, on, off in quantity.thresholds:
            found[signal] = 1 if cell > on else 0 if cell <= off else bits[signal]
    return found


def _logic(m: Machine, bits: list[int], force: dict[int, int], compared: dict[int, int]) -> bool:
    """Every signal anew until nothing changes, in the order and by the rules of the engine."""
    moved = False
    for _ in range(TURNS):
        changed = False
        for i, op in enumerate(m.ops):
            old = bits[i]
            v = force[i] if i in force else _value(m, bits, compared, i, op)
            if v != old:
                bits[i] = v
                changed = True
        if not changed:
            return moved
        moved = True
    raise UnsettledError


def _value(m: Machine, bits: list[int], compared: dict[int, int], i: int, op: int) -> int:
    ins, old = m.ins[i], bits[i]
    if op == prim.L_VOTE:
        return int(sum(_input(bits, entry) for entry in ins) >= m.args[i])
    if op == prim.L_THRESHOLD:
        return compared[i]
    if op == prim.L_CONST:
        return int(m.args[i])
    if op == prim.L_TIMETABLE:  # of a circuit: it has power but for faults
        return old if i in m.clocks or i in m.hands else m.start[i]
    first = _input(bits, ins[0])
    if op == prim.L_ON_DELAY:  # it becomes true by an event of its own
        return 0 if first == 0 else 1 if m.args[i] <= 0.0 else old
    if op == prim.L_OFF_DELAY:
        return 1 if first == 1 else old
    if op == prim.L_LATCH:
        if _input(bits, ins[2]):
            return 0
        return 1 if first else 0 if _input(bits, ins[1]) else old
    return old if _input(bits, ins[1]) else first


def _put_back(m: Machine, bits: list[int], cells: list[int]) -> bool:
    moved = False
    for number, quantity in enumerate(m.quantities):
        if cells[number] and _resets(bits, quantity.resets):
            cells[number] = 0
            moved = True
    return moved


def _ended(m: Machine, bits: list[int], faults: list[int]) -> bool:
    """Faults that somebody has put right."""
    moved = False
    for number, fault in enumerate(m.faults):
        if faults[number] == BEGUN and fault.until >= 0 and bits[fault.until]:
            faults[number] = OVER
            moved = True
    return moved

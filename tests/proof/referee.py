"""The search once more, in the plainest way and by other means: tuples in a set, every signal anew in every turn.

Written for itself, without time: what has begun may end at any later moment. The states it finds must be those of the
search that the program uses, and as many.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dewpond.plant import primitives as prim
from dewpond.proof.machine import Machine
from dewpond.proof.search import Event, Point, UnsettledError
from dewpond.proof.tables import ALWAYS

TURNS = 40  # as in the engine: what has not come to rest by then never does
FREE, BEGUN, OVER = range(3)  # how it stands with a fault


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
    for signal in m.pulses:
        yield Event("press", signal)
    for signal in m.turning:
        yield Event("turn", signal)
    for signal, op in enumerate(m.ops):
        if op in (prim.L_ON_DELAY, prim.L_OFF_DELAY) and waiting(m, p.bits, signal):
            yield Event("due", signal)
    for number, quantity in enumerate(m.quantities):
        goes_on = _so(p.bits, quantity.rises) and not (quantity.resets >= 0 and p.bits[quantity.resets])
        if p.cells[number] < len(quantity.marks) and goes_on:
            yield Event("rise", number)
        if p.cells[number] > 0 and _so(p.bits, quantity.falls):
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


def _so(bits: Sequence[int], signal: int) -> bool:
    return bits[signal] == 1 if signal >= 0 else signal == ALWAYS


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
        return old if i in m.turning or i in m.pulses else m.start[i]
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
        if cells[number] and quantity.resets >= 0 and bits[quantity.resets]:
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


def states(m: Machine, bad: int, most_faults: int) -> tuple[int, int, frozenset[frozenset[int]]]:
    """How many states there are, how far the last is off, and the smallest sets of faults with which ``bad`` is true;
    states in which it is, or that come with such a set, are not followed further."""
    seen = {beginning(m)}
    row, depth = [*seen], 0
    found: set[frozenset[int]] = set()
    while row:
        later: list[Point] = []
        for point in row:
            begun = frozenset(f for f, state in enumerate(point.faults) if state != FREE)
            if any(faults <= begun for faults in found):
                continue
            if point.bits[bad]:
                found = {faults for faults in found if not begun < faults} | {begun}
                continue
            for event in events(m, point, most_faults):
                new = after(m, point, event)
                if new not in seen:
                    seen.add(new)
                    later.append(new)
        row = later
        depth += bool(row)
    return len(seen), depth, frozenset(found)

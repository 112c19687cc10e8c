"""What signals of a plant hang on, and which are those of people, of messages, of gates and of power."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant


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


def by_hand(plant: Plant) -> tuple[int, ...]:
    """The signals "somebody shuts the water and unplugs the pumps"."""
    return tuple(signal for signal, say in plant.says.items() if say.kind == "act")


def by_the_clock(plant: Plant) -> frozenset[int]:
    """What parts that go by the clock of the house say to other parts: a time switch that it is on, a button that it is
    pressed."""
    a, found = plant.arrays, set[int]()
    parts = {a.sig_owner[clock] for clock in plant.clocks}
    for signal, owner in enumerate(a.sig_owner):
        if owner in parts and any(a.sig_owner[reader] != owner for reader in plant.readers.get(signal, ())):
            found |= {signal} if plant.clocks.keys() & set(hanging_on(plant, [signal])) else set()
    return frozenset(found)


def calls(plant: Plant) -> list[int]:
    """The signals that a message arrives that somebody reads, one after the other."""
    return sorted({signal for one in plant.called for signal in one.signals})


def salty(plant: Plant, signals: Iterable[int], value: bool) -> dict[int, bool]:
    """Those of the signals that tell salty water from purified, all with one value."""
    a = plant.arrays
    marks = (s for s in signals if a.sig_op[s] == prim.L_THRESHOLD)
    return {s: value for s in marks if a.thr_kind[int(a.sig_arg[s])] == prim.T_POOL_SALT}


def beyond(plant: Plant, wanted: Iterable[int], depth: int) -> frozenset[int]:
    """Signals that so many steps lie between, and those ``wanted``: what they hang on further off is left out with
    them when they are taken as free."""
    a = plant.arrays
    row, seen = set(wanted), set(wanted)
    for _ in range(depth):
        ins = (entry for s in row for entry in a.sig_in[a.sig_in_at[s] : a.sig_in_at[s + 1]])
        row = {entry if entry >= 0 else -1 - entry for entry in ins} - seen
        seen |= row
    return frozenset(row)


def order_of(plant: Plant, gate: int) -> int:
    """The signal that moves a gate; -1 where none does."""
    a = plant.arrays
    if a.gate_kind[gate] == prim.G_SIGNAL:
        return a.gate_ref[gate]
    return a.gate_ref2[gate] if a.gate_kind[gate] == prim.G_LEVEL else -1


def of_people(plant: Plant) -> frozenset[int]:
    """The signals of people."""
    return frozenset(s for s, o in enumerate(plant.arrays.sig_owner) if o >= 0 and plant.parts[o] in plant.people)


def automatic(plant: Plant, signal: int) -> bool:
    """Whether something that is measured has a say in a signal, by another way than a person; else only hands, faults
    or power turn it."""
    hangs = hanging_on(plant, [signal], of_people(plant))
    return any(plant.arrays.sig_op[s] == prim.L_THRESHOLD for s in hangs)


def is_power(plant: Plant, label: str) -> bool:
    """Whether a fault takes the power from a circuit."""
    return any(what == "force" and number in plant.circuits for what, number, _ in plant.fault(label).patches)


def power_cuts(plant: Plant) -> tuple[str, ...]:
    """The faults that take the power from a circuit, by their labels."""
    return tuple(fault.label for fault in plant.faults if is_power(plant, fault.label))

"""What follows for certain from signals that are held: which gates are shut, whatever all other signals are."""

from __future__ import annotations

from collections.abc import Mapping

from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant


def shut_gates(plant: Plant, held: Mapping[int, bool]) -> frozenset[int]:
    """Gates that signals ``held`` at a value keep shut, and that are not shut without that."""
    key = ("shut gates", frozenset(held.items()))
    return plant.once(key, lambda: _shut(plant, held) - shut_anyway(plant))


def shut_anyway(plant: Plant) -> frozenset[int]:
    """Gates that are shut whatever all signals are, unless a fault opens them."""
    return plant.once("shut anyway", lambda: _shut(plant, {}))


def known_anyway(plant: Plant) -> frozenset[int]:
    """Signals that have one value whatever all others are, unless a fault turns them."""
    return plant.once("known anyway", lambda: frozenset(_known(plant, {})))


def _shut(plant: Plant, held: Mapping[int, bool]) -> frozenset[int]:
    a, known = plant.arrays, _known(plant, held)
    ruled = (
        (gate, a.gate_ref[gate] if kind == prim.G_SIGNAL else a.gate_ref2[gate])
        for gate, kind in enumerate(a.gate_kind)
        if kind in (prim.G_SIGNAL, prim.G_LEVEL)
    )
    return frozenset(gate for gate, signal in ruled if signal >= 0 and known.get(signal) is False)


def _known(plant: Plant, held: Mapping[int, bool]) -> dict[int, bool]:
    """Signals whose value, once delays have run out, does not depend on anything but those that are held."""
    known = dict(held)
    a = plant.arrays
    grown = True
    while grown:
        grown = False
        for signal, op in enumerate(a.sig_op):
            if signal in known:
                continue
            ins = a.sig_in[a.sig_in_at[signal] : a.sig_in_at[signal + 1]]
            value = _follows(op, a.sig_arg[signal], [_input(known, entry) for entry in ins])
            if value is not None:
                known[signal] = value
                grown = True
    return known


def _input(known: Mapping[int, bool], entry: int) -> bool | None:
    value = known.get(entry if entry >= 0 else -1 - entry)
    return value if entry >= 0 or value is None else not value


def _follows(op: int, arg: float, ins: list[bool | None]) -> bool | None:
    """The value of a signal with these inputs; None where it is open."""
    if op == prim.L_CONST:
        return bool(arg)
    if op == prim.L_VOTE:
        sure, open_ones = ins.count(True), ins.count(None)
        return True if sure >= arg else False if sure + open_ones < arg else None
    if op in (prim.L_ON_DELAY, prim.L_OFF_DELAY):
        return ins[0]
    if op == prim.L_LATCH:
        sets, _, forgets = ins
        return False if forgets else True if sets and forgets is False else None
    if op == prim.L_HOLD:
        return ins[0] if ins[1] is False else None
    return None

"""The state of the logic before a run begins: every signal as those before it have it, with nothing remembered yet.

Signals are worked out one after the other, and some hang on later ones, as a supply does that another part feeds. Begun
from nothing they would see it dead for a moment that never was, and a latch would keep that to the end of the run.
"""

from __future__ import annotations

from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import level_of
from dewpond.plant.primitives import Arrays

MOST_TURNS = 40  # as the kernel allows; what swings for longer is left to it
HAIR = 1e-7  # a delay that is no longer is none [s]
NO_MORE = 1e-9  # above a mark than rounding, whatever is measured


def at_rest(a: Arrays, start: list[int]) -> list[int]:
    """The values of all signals from which a run begins. ``start``: with those of people and clocks laid in."""
    found = list(start)
    above = [_stands_above(a, mark) for mark in range(len(a.thr_kind))]
    for _ in range(MOST_TURNS):
        before = list(found)
        for signal, op in enumerate(a.sig_op):
            ins = [
                found[entry] if entry >= 0 else 1 - found[-1 - entry]
                for entry in a.sig_in[a.sig_in_at[signal] : a.sig_in_at[signal + 1]]
            ]
            found[signal] = _value(op, a.sig_arg[signal], ins, start[signal], above)
        if found == before:
            return found
    return list(start)


def _value(op: int, arg: float, ins: list[int], start: int, above: list[bool]) -> int:
    if op == prim.L_VOTE:
        return int(sum(ins) >= arg)
    if op == prim.L_CONST:
        return int(arg)
    if op == prim.L_THRESHOLD:
        return int(above[int(arg)])
    if op == prim.L_ON_DELAY:
        return int(ins[0] == 1 and arg <= HAIR)
    if op == prim.L_OFF_DELAY:
        return ins[0] or start
    if op == prim.L_HOLD:
        return start if ins[1] else ins[0]
    return start  # what remembers has nothing to remember yet, and people and clocks stand as they were laid


def _stands_above(a: Arrays, mark: int) -> bool:
    """Whether a quantity stands above a mark before anything runs, as the kernel begins."""
    kind, ref = a.thr_kind[mark], a.thr_ref[mark]
    value = 0.0  # no pool, no flow, nothing counted; in a line at rest nothing has come, and it has the room's pressure
    if kind == prim.T_LEVEL:
        value = float(level_of(a, ref, a.store_start[ref])[0])
    elif kind == prim.T_PRESSURE and a.node_kind[ref] == prim.FIXED:
        value = a.node_value[ref]
    elif kind == prim.T_CONC and a.node_kind[ref] in (prim.TAP, prim.SPOUT):
        value = a.body_start[a.store_body[a.node_ref[ref]]]
    return value > a.thr_off[mark] + NO_MORE

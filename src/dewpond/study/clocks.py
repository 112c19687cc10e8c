"""Clocks that have a say in a fill: what a timer gives power to, or lets a row of the matrix open, at set hours only.

A fill is looked at with these held as if their time had come: what is then said of it is true within their time.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.plant import NEVER, Plant


def ruling(plant: Plant, edges: Iterable[int]) -> tuple[int, ...]:
    """Signals of clocks that have a say in what stands on one of the ``edges``."""
    gates = {plant.arrays.edge_gate[edge] for edge in edges}
    return tuple(clock for clock in plant.clocks if plant.hanging((clock,)) & gates)


def held(plant: Plant, clocks: Collection[int], due: bool = True) -> Plant:
    """The plant with some of its clocks standing at an hour at which their time has come, or has not.

    What a time that has come starts, such as minutes that somebody asks for by a button, goes on with it.
    """
    if not clocks:
        return plant
    a = plant.arrays
    start, args = list(a.sig_start), list(a.sig_arg)
    for clock in clocks:
        start[clock] = int(due)
        for signal in plant.reading((clock,)) if due else ():
            if a.sig_owner[signal] == a.sig_owner[clock]:
                start[signal] = 1 if a.sig_op[signal] == prim.L_LATCH else start[signal]
                args[signal] = NEVER if a.sig_op[signal] == prim.L_ON_DELAY else args[signal]
    others = {clock: window for clock, window in plant.clocks.items() if clock not in clocks}
    return replace(plant, arrays=a._replace(sig_start=start, sig_arg=args), clocks=others)


def stays(plant: Plant, clock: int) -> float:
    """How long its time lasts each time that it comes [s], with what it starts."""
    a = plant.arrays
    after = [
        a.sig_arg[signal]
        for signal in plant.reading((clock,))
        if a.sig_owner[signal] == a.sig_owner[clock] and a.sig_op[signal] == prim.L_ON_DELAY
    ]
    return max(plant.clocks[clock].lasts, *after, 0.0)


class Hours(NamedTuple):
    """When the clock of a part lets something happen: for ``stays`` of ``every`` so many seconds."""

    part: str
    stays: float
    every: float


def hours(plant: Plant, clock: int) -> Hours:
    """Those of a clock."""
    return Hours(owner(plant, clock), stays(plant, clock), plant.clocks[clock].every)


def owner(plant: Plant, clock: int) -> str:
    """The part whose clock it is."""
    return plant.parts[plant.arrays.sig_owner[clock]]

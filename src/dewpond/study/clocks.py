"""Clocks that have a say in a fill: what a timer gives power to, or lets a row of the matrix open, at set hours only.

A fill is looked at with these held as if their time had come: what is then said of it is true within their time.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace

from dewpond.plant.plant import Plant


def ruling(plant: Plant, edges: Iterable[int]) -> tuple[int, ...]:
    """Signals of clocks that have a say in what stands on one of the ``edges``."""
    gates = {plant.arrays.edge_gate[edge] for edge in edges}
    return tuple(clock for clock in plant.clocks if plant.hanging((clock,)) & gates)


def held(plant: Plant, clocks: Collection[int], due: bool = True) -> Plant:
    """The plant with some of its clocks standing at an hour at which their time has come, or has not."""
    if not clocks:
        return plant
    start = list(plant.arrays.sig_start)
    for clock in clocks:
        start[clock] = int(due)
    others = {clock: window for clock, window in plant.clocks.items() if clock not in clocks}
    return replace(plant, arrays=plant.arrays._replace(sig_start=start), clocks=others)


def owner(plant: Plant, clock: int) -> str:
    """The part whose clock it is."""
    return plant.parts[plant.arrays.sig_owner[clock]]

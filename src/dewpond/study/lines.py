"""Lines from the supply: which vessels one line fills through their floats, and at the hours of which clock."""

from __future__ import annotations

from dataclasses import dataclass

from dewpond.plant.plant import DAY, Plant
from dewpond.study.clocks import Hours, hours, owner, stays
from dewpond.study.filling import filled_edges, gates_by_clock, island_of


@dataclass(frozen=True)
class Line:
    """Vessels that one line fills through their floats, at the hours of one clock or of none.

    edges  vessel -> the edge that fills it
    clock  signal of the clock without which nothing comes; of several the one that is open for the shortest time
    """

    edges: dict[int, int]
    clock: int | None

    def open_for(self, plant: Plant) -> float | None:
        """For how long of a day its clock lets it run, on average [s]; None without a clock."""
        return None if self.clock is None else _daily(plant, self.clock)

    def times(self, plant: Plant) -> Hours | None:
        """When its clock lets it run; None without a clock."""
        return None if self.clock is None else hours(plant, self.clock)


def lines(plant: Plant, compiled: bool | None = None) -> tuple[Line, ...]:
    """All lines that fill vessels through floats, in the order of their first vessel. ``compiled`` as in engine.run."""
    return plant.once(("lines", compiled), lambda: _lines(plant, compiled))


def _lines(plant: Plant, compiled: bool | None) -> tuple[Line, ...]:
    found: dict[tuple[frozenset[int], int | None], dict[int, int]] = {}
    for edge, store in sorted(filled_edges(plant), key=lambda pair: pair[1]):
        gates = gates_by_clock(plant, edge, compiled)
        clock = min(gates, key=lambda one: _daily(plant, one)) if gates else None
        found.setdefault((island_of(plant, edge), clock), {})[store] = edge
    return tuple(Line(edges, clock) for (_, clock), edges in found.items())


def _daily(plant: Plant, clock: int) -> float:
    return a_day(plant, clock, stays(plant, clock))


def a_day(plant: Plant, clock: int, lasts: float) -> float:
    """What lasts so long each time that a clock's time comes, on an average day [s]."""
    return lasts * DAY / plant.clocks[clock].every


def clock_of(plant: Plant, line: Line) -> str:
    """The part whose clock opens a line; empty without one."""
    return "" if line.clock is None else owner(plant, line.clock)

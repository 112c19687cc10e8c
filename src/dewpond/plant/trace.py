"""What one run leaves behind: events in order, end state, totals. SI numbers and positions in the plant's lists."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from dewpond.plant.plant import Scenario


@dataclass(frozen=True)
class Event:
    """Something that happened; ``ref`` is a position in the list that the code is about."""

    time: float  # [s] from the start
    code: int  # primitives.E_...
    ref: int
    value: float


@dataclass(frozen=True)
class Trace:
    """The outcome of a run.

    volume, pool [m3]: at the end; place_total, place_over, place_taken [m3]: received, passed on, taken by its outlet;
    total: primitives.V_... [m3] and S_... [kg]; salt [kg]; low_conc, high_conc [kg/m3]: extremes of each body; moved
    [m3]: through each edge; flow [m3/s] and pressure [Pa] of the last step; rows: levels of the stores [m], then water
    lying in the places [m3].
    """

    scenario: Scenario
    events: tuple[Event, ...]
    events_lost: int
    listed_until: float  # what merely repeats is among the events up to then [s]; endless if all of it is
    row_time: tuple[float, ...]
    row_value: tuple[tuple[float, ...], ...]
    volume: tuple[float, ...]
    pool: tuple[float, ...]
    place_total: tuple[float, ...]
    place_over: tuple[float, ...]
    place_taken: tuple[float, ...]
    total: tuple[float, ...]
    salt: tuple[float, ...]
    low_conc: tuple[float, ...]
    high_conc: tuple[float, ...]
    spring: tuple[float, ...]
    starts: tuple[float, ...]
    moved: tuple[float, ...]
    flow: tuple[float, ...]
    pressure: tuple[float, ...]
    asked: tuple[int, ...]
    seen: tuple[int, ...]  # by signal: 1 was false at some time, 2 was true, 3 both
    meant: tuple[int, ...]  # the same before a fault turned it
    ordinary: tuple[int, ...]  # by signal: what it was before the first moment, without faults
    least: tuple[float, ...]  # smallest and largest opening of each gate if nothing held it
    most: tuple[float, ...]
    driven: tuple[int, ...]  # by gate: water would have run through it, had a fault not kept it from opening
    signal: tuple[int, ...]
    doubtful: int
    flutter: int  # gates that turned as fast as they could
    wet: bool  # water was getting out at the end
    ended: float  # when it last ended [s]
    steps: int
    solves: int
    end: float

    @cached_property
    def alike(self) -> Mapping[tuple[int, int], tuple[Event, ...]]:
        """(code, ref) -> the events of that sort, in order."""
        found: dict[tuple[int, int], list[Event]] = {}
        for event in self.events:
            found.setdefault((event.code, event.ref), []).append(event)
        return {sort: tuple(events) for sort, events in found.items()}

"""The floors of a design, looked at: every storey with its floors, its leak sites, its probes, and what wets what."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from dewpond.design.model import Design
from dewpond.floor.evidence import evidence_of
from dewpond.floor.fitted import MEMBERS, Fitted, fitted
from dewpond.floor.sites import Probe, Site, probes_of, sites_of
from dewpond.floor.storey import USUAL_CELL, Storey, frame_of, joined, storey
from dewpond.floor.weighing import Weights, weighed
from dewpond.floor.wetting import CAP, RATE, Wetted, WettingTable, table, wetted
from dewpond.parts.base import Kind

MOST_CELLS: Final = 2_000_000  # of one storey; a kernel's memory and a minute's patience are worth no more


@dataclass(frozen=True)
class Asked:
    """How floors are looked at: cell [m], None: as fine as is usual and can be afforded; number of floors; seed; litres
    up to which they are followed [m3]; flow of the leak [m3/s]."""

    cell: float | None = None
    members: int = MEMBERS
    seed: int = 0
    cap: float = CAP
    rate: float = RATE


@dataclass(frozen=True)
class Looked:
    """A storey: its floors, and every leak on them. ``weighed``: the floors after what was poured or rolled on them;
    None: nothing was."""

    fitted: Fitted
    sites: tuple[Site, ...]
    probes: tuple[Probe, ...]
    wetted: tuple[Wetted, ...]
    weighed: Weights | None

    @property
    def weights(self) -> Any:
        """How much each floor is believed, shape (members,), sum 1."""
        count = len(self.fitted.floors)
        return self.weighed.each if self.weighed else np.full(count, 1.0 / count)

    @property
    def storey(self) -> Storey:
        """Its rooms on their grid."""
        return self.fitted.storey

    @property
    def table(self) -> WettingTable:
        """What runs ask."""
        return table(self.fitted, self.wetted, self.probes, self.weights)


@dataclass(frozen=True)
class TooFine:
    """A storey whose cells would be too many: what they would be, and the finest cell that can be afforded [m]."""

    rooms: str
    cells: int
    cell: float
    finest: float


def too_fine(design: Design, asked: Asked) -> TooFine | None:
    """The first storey that cannot be looked at with such cells; None: all can."""
    if asked.cell is None:
        return None
    for plans in joined(design):
        frame = frame_of(plans, asked.cell)
        count = frame.rows * frame.columns
        if count > MOST_CELLS:
            finest = asked.cell * math.sqrt(count / MOST_CELLS)
            return TooFine(", ".join(plan.place for plan in plans), count, asked.cell, finest)
    return None


def look(
    design: Design, kinds: Mapping[str, Kind], asked: Asked,
    wanted: Callable[[Site], bool] | None = None, step: Callable[[int, int], None] | None = None,
) -> tuple[Looked, ...]:  # fmt: skip
    """Every storey of the design that has a plan, in the order of the file.

    ``wanted``: which leaks are spilled, all if left out; ``step``: called with what is done and what there is to do.
    """
    found = []
    storeys = [storey(design, kinds, plans, _cell(plans, asked)) for plans in joined(design)]
    sites = [tuple(site for site in sites_of(design, kinds, one) if not wanted or wanted(site)) for one in storeys]
    total = sum(asked.members * (1 + len(those)) for those in sites)
    done = 0

    def one_more() -> None:
        nonlocal done
        done += 1
        if step:
            step(done, total)

    for one, those in zip(storeys, sites, strict=True):
        floors = fitted(one, asked.members, asked.seed, one_more)
        made = tuple(wetted(floors, site, asked.cap, asked.rate, one_more) for site in those)
        evidence = evidence_of(one)
        believed = weighed([floor.grid for floor in floors.floors], evidence) if evidence else None
        found.append(Looked(floors, those, probes_of(design, kinds, one), made, believed))
    return tuple(found)


def _cell(plans: Any, asked: Asked) -> float:
    """What was asked for, or the usual cell; of a hall so large that this would be too many, a larger one."""
    if asked.cell is not None:
        return asked.cell
    frame = frame_of(plans, USUAL_CELL)
    return USUAL_CELL * max(1.0, math.sqrt(frame.rows * frame.columns / MOST_CELLS))

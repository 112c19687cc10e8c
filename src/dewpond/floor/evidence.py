"""What was poured or rolled on a floor, as a plan has it -> evidence by which its floors are weighed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from dewpond.design.plan import PROBE_OF, FloorPlan, Read, Spot
from dewpond.floor.sites import HEAD
from dewpond.floor.storey import Storey
from dewpond.floor.weighing import HEAD_WETS, Outline, Ran, Reached


def named(number: int, read: Read, place: str) -> str:
    """How a reading is named to the keeper."""
    return f"reading {number} of {place} ({read.by}, line {read.line})"


POURED = ("pour", "marble")  # readings that choose among floors
CUP = "cup"  # tells how thick water stands, and nothing of how a floor lies


def poured_on(storey: Storey) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names of the pours and marbles of a storey that count, and of those that show none of its cells."""
    counted = dict.fromkeys(one.what for one in evidence_of(storey))
    every = [
        named(number, read, plan.place)
        for plan in storey.plans for number, read in enumerate(plan.readings, 1) if read.by in POURED
    ]  # fmt: skip
    return tuple(counted), tuple(one for one in every if one not in counted)


def not_read(storey: Storey) -> tuple[str, ...]:
    """Rooms of a storey of which no height or slope was read, and nothing counts that was poured or rolled."""
    counted = {one.what for one in evidence_of(storey)}
    return tuple(
        plan.place
        for plan in storey.plans
        if not any(
            one.by not in (*POURED, CUP) or named(number, one, plan.place) in counted
            for number, one in enumerate(plan.readings, 1)
        )
    )


def evidence_of(storey: Storey) -> list[Reached | Outline | Ran]:
    """All pours and marbles of a storey, in the order of the file; what shows no cell of it is left out."""
    return [
        one
        for plan in storey.plans
        for number, read in enumerate(plan.readings, 1)
        for one in _evidence(storey, plan, read, named(number, read, plan.place))
    ]


def _evidence(storey: Storey, plan: FloorPlan, read: Read, what: str) -> Iterator[Reached | Outline | Ran]:
    frame = storey.frame
    if read.by == "marble" and _slopes(storey, read["from"]):
        (x1, y1), (x2, y2) = read["from"], read["to"]
        yield Ran((x1 - frame.origin[0], y1 - frame.origin[1]), (x2 - x1, y2 - y1), read["within"], what)
    if read.by != "pour" or storey.of[frame.cell(read["at"])] < 0:
        return
    leak = frame.cell(read["at"])
    probe = read.get("probe")
    if probe:
        cells = _felt(storey, plan, str(probe))
        arrived = read.get("after") is not None
        if cells.any():
            volume = max(read["after"] if arrived else read["poured"], HEAD_WETS)
            yield Reached(leak, cells, volume, what, arrived)
    if read.get("outline"):
        wet = frame.inside(read["outline"]) & (storey.of >= 0)
        if wet.any():
            yield Outline(leak, wet, read["poured"], what)


def _slopes(storey: Storey, spot: Spot) -> bool:
    """Whether there is so much floor about a spot that it has a slope: three cells and more, not all in a line."""
    rows, columns = np.nonzero(storey.frame.near(spot, Ran.over) & (storey.of >= 0))
    return len(rows) > 2 and bool(np.linalg.matrix_rank(np.column_stack([rows, columns, np.ones(len(rows))])) == 3)


def _felt(storey: Storey, plan: FloorPlan, probe: str) -> Any:
    """Cells under a probe, or under the one that belongs to a device; shape (rows, columns)."""
    cells = np.zeros(storey.frame.shape, dtype=bool)
    way: tuple[Spot, ...] = plan.spots.get(f"{PROBE_OF}{probe}") or plan.spots.get(probe) or ()
    if len(way) == 1:
        cells = storey.frame.near(way[0], HEAD)
    elif way:
        cells[tuple(np.array(storey.frame.along(way)).T)] = True
    return cells & (storey.of >= 0)

"""Pours and marbles of a plan: what one floor itself would show speaks for it, and nothing else is made of them."""

from __future__ import annotations

import numpy as np
import pytest

from dewpond.floor.evidence import evidence_of
from dewpond.floor.fitted import Fitted, fitted
from dewpond.floor.sites import probes_of
from dewpond.floor.storey import joined, storey
from dewpond.floor.weighing import Outline, Ran, Reached, weighed
from dewpond.parts import KINDS
from dewpond.study.floors import POOL, Asked, Looked, look, stand_for
from tests.floor.plans import TWO_ROOMS, house

CELL = 0.05


def with_readings(*lines: str) -> str:
    """The plan with readings of the hall."""
    readings = "".join(f"      - {line}\n" for line in lines)
    return TWO_ROOMS.replace("    spots:\n      pan", f"    readings:\n{readings}    spots:\n      pan")


def members(count: int = POOL) -> Fitted:
    design = house(TWO_ROOMS)
    return fitted(storey(design, KINDS, joined(design)[0], CELL), count, 5)


def looked(*lines: str) -> Looked:
    return look(house(with_readings(*lines)), KINDS, Asked(CELL, 20, 5), wanted=lambda site: site.part == "tap")[0]


def weights(*lines: str) -> np.ndarray:
    found = looked(*lines).poured
    assert found is not None
    return found.weights.each


def test_kinds_of_evidence_are_those_that_were_read() -> None:
    lines = (
        "{by: pour, at: 3 m x 1 m, poured: 1 L, probe: hall probe, after: 0.4 L}",
        "{by: pour, at: 3 m x 1 m, poured: 1 L, outline: [2.8 m x 0.8 m, 3.2 m x 0.8 m, 3.2 m x 1.2 m]}",
        "{by: marble, from: 3 m x 1 m, to: 3.4 m x 1 m}",
        "{by: cup, at: 3 m x 1 m, poured: 0.2 L, puddle: 30 cm x 30 cm}",
    )
    design = house(with_readings(*lines))
    found = evidence_of(storey(design, KINDS, joined(design)[0], CELL))
    assert [type(one) for one in found] == [Reached, Outline, Ran]
    assert found[0].volume == pytest.approx(0.4e-3)
    assert found[1].wet.sum() * CELL**2 == pytest.approx(0.08, rel=0.35)
    assert [one.what for one in found] == [f"reading {n} of hall ({by}, line {design.plans[1].readings[n - 1].line})"
                                           for n, by in ((1, "pour"), (2, "pour"), (3, "marble"))]  # fmt: skip


@pytest.mark.slow
def test_probe_that_was_not_reached_speaks_against_floors_that_lead_to_it() -> None:
    floors = members()
    design = house(TWO_ROOMS)
    probe = next(p for p in probes_of(design, KINDS, floors.storey) if p.name == "hall probe")
    leak = floors.storey.frame.cell((2.6, 1.0))
    mask = np.zeros(floors.storey.frame.shape, dtype=bool)
    mask[tuple(np.array(probe.cells).T)] = True
    grids = [floor.grid for floor in floors.floors]
    alone = weighed(grids, [Reached(leak, mask, 1e-3, "by hand", arrived=False)]).each
    found = weights("{by: pour, at: 2.6 m x 1 m, poured: 1 L, probe: hall probe}")
    assert found == pytest.approx(alone)
    assert found.max() > 1.1 / POOL
    assert found.min() < 0.6 / POOL


@pytest.mark.slow
def test_marble_that_ran_as_on_one_floor_speaks_for_it() -> None:
    floors = members()
    heights = floors.floors[3].grid.height
    row, column = floors.storey.frame.cell((3.0, 1.0))
    down = -np.array(
        [heights[row, column + 4] - heights[row, column - 4], heights[row + 4, column] - heights[row - 4, column]]
    )
    down *= 0.4 / np.hypot(*down)
    found = weights(f"{{by: marble, from: 3 m x 1 m, to: {3.0 + down[0]:.3f} m x {1.0 + down[1]:.3f} m}}")
    assert found[3] > 1.0 / POOL
    assert found.sum() == pytest.approx(1.0)


def test_floors_are_believed_alike_where_nothing_was_poured() -> None:
    found = look(house(TWO_ROOMS), KINDS, Asked(CELL, 4, 5), wanted=lambda site: site.part == "tap")[0]
    assert found.poured is None
    assert len(found.fitted.floors) == 4


def test_floors_that_are_told_stand_for_the_pool_by_weight() -> None:
    found = looked("{by: pour, at: 2.6 m x 1 m, poured: 1 L, probe: hall probe, after: 0.3 L}")
    assert found.poured is not None
    assert len(found.fitted.floors) == len(found.poured.chosen) == 20
    assert len(found.poured.pool.floors) == POOL
    for k in range(POOL):
        assert abs(found.poured.chosen.count(k) - 20 * found.poured.weights.each[k]) < 1.0
    assert all(found.fitted.floors[n] is found.poured.pool.floors[k] for n, k in enumerate(found.poured.chosen))
    probe = next(p for p in found.probes if p.name == "hall probe")
    assert probe.place == "hall"


def test_numbers_stand_for_their_weights_to_within_one() -> None:
    """By hand: a half, a quarter, an eighth twice, eight to be chosen."""
    assert stand_for([0.5, 0.25, 0.125, 0.125], 8) == (0, 0, 0, 0, 1, 1, 2, 3)
    assert stand_for([1.0] * 4, 4) == (0, 1, 2, 3)

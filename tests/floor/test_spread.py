"""Water on floors whose answer is known by hand (tests/published/floor.json), and what must hold on every floor."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from skimage.morphology import reconstruction

from dewpond.floor.cells import Grid, level_floor, work_space
from dewpond.floor.compile import spread
from dewpond.floor.spill import Spill, spill

LITRE, MM = 1e-3, 1e-3
FILM = 2.7e-3
ENDLESS = 1e30


@pytest.fixture(scope="module")
def published(repository: Path) -> dict[str, Any]:
    cases = json.loads((repository / "tests" / "published" / "floor.json").read_text("utf-8"))["cases"]
    return {case["id"]: case for case in cases}


def floor_of(height: Any, size: float = 0.02, film: float = FILM, soak: float = 0.0) -> Grid:
    height = np.asarray(height, dtype=float)
    full = np.full(height.shape, film)
    return Grid(size, height, full, np.full(height.shape, soak), np.zeros(height.shape, dtype=bool))


def relief(rows: int, columns: int, seed: int) -> Any:
    """A random floor without ties: waves from a quarter of the floor down to a few cells [m]."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:rows, 0:columns]
    found = np.zeros((rows, columns))
    for wave in range(40):
        length = 4.0 * 1.12**wave
        turn, start = rng.uniform(0.0, 2.0 * math.pi, 2)
        found += 2e-5 * length**0.9 * np.sin((x * math.cos(turn) + y * math.sin(turn)) * 2.0 * math.pi / length + start)
    return found


# -- by hand -----------------------------------------------------------------------------------------------------------
def test_litres_on_a_level_floor_cover_their_area_over_the_film(published: dict[str, Any]) -> None:
    case = published["flat_area"]
    grid = level_floor(0.02, 250, 300, case["inputs"]["e_m"])
    for litres, area in zip(case["inputs"]["V_L"], case["expect"]["area_m2"], strict=True):
        found = spill(grid, (120, 150), litres * LITRE)
        assert found.wet.sum() * grid.area == pytest.approx(area, rel=case["tol_rel"])


def test_puddle_on_a_level_floor_is_round(published: dict[str, Any]) -> None:
    case = published["flat_isotropy"]
    found = spill(level_floor(0.02, 150, 150, FILM), (75, 75))
    for degrees in case["inputs"]["angles_deg"]:
        turn = math.radians(degrees)
        row, column = 75 + round(50 * math.sin(turn)), 75 + round(50 * math.cos(turn))
        radius = 0.02 * math.hypot(row - 75, column - 75)
        assert found.first[row, column] / (math.pi * radius**2 * FILM) == pytest.approx(1.0, abs=case["tol_abs"])


@pytest.mark.parametrize("size", ["0.04", "0.02", "0.01"])
def test_water_at_the_foot_of_a_slope_stands_as_a_wedge(published: dict[str, Any], size: str) -> None:
    case = published["wedge"]
    dx, slope = float(size), case["inputs"]["slope"]
    columns, rows = round(3.0 / dx), round(2.0 / dx)
    height = np.tile(-slope * dx * np.arange(columns), (rows, 1))
    leak = (rows // 2, round(1.0 / dx))
    reach = columns - round(case["inputs"]["Lw_m"] / dx)
    found = spill(floor_of(height, dx), leak)
    run = (2.0 - case["inputs"]["Lw_m"]) * dx * FILM / LITRE
    wedge = found.first[leak[0] + rows // 4, reach] / LITRE
    assert wedge - run == pytest.approx(case["expect"]["V_wedge_L"], rel=case["tol_rel"][size])


def test_tray_holds_its_area_times_rim_and_film(published: dict[str, Any]) -> None:
    case = published["tray_spill"]
    side = round(math.sqrt(case["inputs"]["inner_area_m2"]) / 0.02)
    height = np.zeros((side + 20, side + 20))
    height[9 : side + 11, 9 : side + 11] = case["inputs"]["rim_m"]
    height[10 : side + 10, 10 : side + 10] = 0.0
    found = spill(floor_of(height), (10 + side // 2, 10 + side // 2))
    outside = np.ones(height.shape, dtype=bool)
    outside[9 : side + 11, 9 : side + 11] = False
    first = found.first[outside].min() / LITRE
    rim_cell = 0.02**2 * FILM / LITRE
    assert first - rim_cell == pytest.approx(case["expect"]["first_outside_L"], rel=case["tol_rel"])


def test_two_basins_fill_spill_and_become_one(published: dict[str, Any]) -> None:
    case = published["two_basins_e0"]
    height = np.full((50, 50 + 1 + 25), 0.0)
    height[:, 50] = 0.010
    height[:, 51:] = -0.005
    height[5, 5], height[40, 70] = 0.015, 0.0
    found = spill(floor_of(height, film=0.0), (25, 25))
    expect, told = case["expect"], found.first / LITRE
    assert told[:, 50].min() == pytest.approx(expect["saddle_first_L"], rel=case["tol_rel"])
    assert told[40, 70] == pytest.approx(expect["B_marker_L"], rel=case["tol_rel"])
    assert told[5, 5] == pytest.approx(expect["A_marker_L"], rel=case["tol_rel"])


def test_carpet_takes_up_what_it_soaks(published: dict[str, Any]) -> None:
    case = published["carpet"]
    grid = level_floor(0.02, 100, 100, case["inputs"]["e_m"], case["inputs"]["soak_L_m2"] * LITRE)
    found = spill(grid, (50, 50), case["inputs"]["V_L"] * LITRE)
    assert found.wet.sum() * grid.area == pytest.approx(case["expect"]["area_m2"], rel=case["tol_rel"])


@pytest.mark.parametrize("azimuth", [0, 5, 10, 15, 22.5, 30, 40, 45, 68, 101, 190, 263, 333])
def test_run_keeps_the_direction_of_the_slope(published: dict[str, Any], azimuth: float) -> None:
    """Any plane, also beyond the eighth of a circle that is published. The plain rule errs by up to 45 degrees."""
    case = published["plane_direction"]
    turn, dx, run = math.radians(azimuth), case["inputs"]["dx"], case["inputs"]["run_m"]
    y, x = np.mgrid[-150:151, -150:151]
    height = -case["inputs"]["slope"] * dx * (x * math.cos(turn) + y * math.sin(turn))
    found = spill(floor_of(height, dx), (150, 150))
    rows, columns = np.unravel_index(found.order, found.first.shape)
    far = np.hypot(rows - 150, columns - 150) * dx
    first = int(np.argmax(far >= run))
    assert far[first] >= run
    told = math.degrees(math.atan2(rows[first] - 150, columns[first] - 150))
    assert abs((told - azimuth + 180.0) % 360.0 - 180.0) < case["expect"]["abs_error_deg_max"]


# -- another's method --------------------------------------------------------------------------------------------------
def filled_from_outside(seed: int) -> tuple[Any, Any]:
    """A floor with an open edge, and the level to which water that comes from there rises at each cell."""
    height = np.pad(relief(250, 300, seed), 1, constant_values=-1.0)
    found = spill(floor_of(height, film=0.0), (0, 0))
    level = np.empty(height.size)
    level[found.order] = np.maximum.accumulate(height.ravel()[found.order])
    return height, level.reshape(height.shape)


@pytest.mark.parametrize("seed", range(3))
def test_levels_that_water_from_outside_comes_to_are_those_of_a_filler_of_sinks(
    published: dict[str, Any], seed: int
) -> None:
    """scikit-image, morphological reconstruction by erosion from an open edge: written by others, in another way."""
    height, level = filled_from_outside(seed)
    marks = np.full(height.shape, height.max())
    edge = np.ones(height.shape, dtype=bool)
    edge[1:-1, 1:-1] = False
    marks[edge] = height[edge]
    filled = reconstruction(marks, height, method="erosion")
    assert (filled > height + 1e-6).sum() > 1000  # there is something to fill
    assert np.abs(level - filled).max() <= published["fill_surface"]["tol_abs_m"]


@pytest.mark.slow
def test_levels_are_those_of_a_second_filler_of_sinks(published: dict[str, Any]) -> None:
    """pyflwdir, priority-flood; it keeps single precision, which is 5e-10 m here."""
    from pyflwdir.dem import fill_depressions  # compiles itself for some seconds

    height, level = filled_from_outside(5)
    filled, _ = fill_depressions(height, nodata=-9999.0)
    assert (filled > height + 1e-6).sum() > 1000
    assert np.abs(level - filled).max() <= published["fill_surface"]["tol_abs_m"] + 5e-10


# -- what holds on every floor -----------------------------------------------------------------------------------------
@pytest.mark.parametrize("seed", range(4))
def test_what_lies_there_is_what_was_spilled(seed: int) -> None:
    """Mass, to 1e-9: what stands and what was soaked up, in every wet cell at least a film; first litres never fall."""
    grid = floor_of(relief(120, 150, seed), soak=0.4e-3)
    for litres in (0.5, 5.0, 20.0):
        found = spill(grid, (30 + 15 * seed, 75), litres * LITRE)
        depth = found.depth
        held = float((depth[found.wet] + grid.soak[found.wet]).sum()) * grid.area
        assert held == pytest.approx(litres * LITRE, rel=1e-9)
        # the last cell may hold less than its film
        assert np.sort(depth[found.wet])[1] >= FILM - 1e-12
        assert (np.diff(found.first.ravel()[found.order]) >= 0.0).all()


@pytest.mark.parametrize("leak", [(20, 30), (60, 75), (100, 20), (50, 140)])
def test_floor_that_is_turned_gives_the_same_litres(leak: tuple[int, int]) -> None:
    height = relief(120, 150, 7)
    found = spill(floor_of(height), leak)
    turned = spill(floor_of(np.rot90(height)), (149 - leak[1], leak[0]))
    assert np.array_equal(np.rot90(found.first), turned.first)


@pytest.mark.parametrize("seed", range(3))
def test_both_ways_of_running_it_give_the_same_bytes(seed: int) -> None:
    grid = floor_of(relief(40, 50, seed), soak=1e-4)
    cells = grid.cells()
    one, two = work_space(cells), work_space(cells)
    counts = [spread(cells, x, grid.number(20, 11), 2.0, compiled) for x, compiled in ((one, True), (two, False))]
    assert counts[0] == counts[1] > 100
    for name, mine, other in zip(one._fields, one, two, strict=True):
        if name in ("first", "best", "strayed", "count"):
            assert mine.tobytes() == other.tobytes(), name
    assert one.order[: counts[0]].tobytes() == two.order[: counts[0]].tobytes()


def test_work_space_that_was_used_gives_what_a_fresh_one_does() -> None:
    grid = floor_of(relief(60, 60, 3))
    cells = grid.cells()
    used = work_space(cells)
    for cell in ((5, 5), (30, 40), (59, 0)):
        spread(cells, used, grid.number(*cell), ENDLESS)
    spread(cells, used, grid.number(20, 20), 1.5)
    fresh = work_space(cells)
    spread(cells, fresh, grid.number(20, 20), 1.5)
    assert used.first.tobytes() == fresh.first.tobytes()


def test_nothing_gets_through_a_corner_of_two_walls() -> None:
    height = np.zeros((20, 20))
    for k in range(20):
        height[k, 19 - k] = np.inf
    found = spill(floor_of(height), (0, 0))
    beyond = np.add.outer(np.arange(20), np.arange(20)) > 19
    assert np.isinf(found.first[beyond]).all()
    assert np.isfinite(found.first[~beyond & np.isfinite(height)]).all()


def test_water_that_has_found_a_way_out_wets_no_more() -> None:
    grid = level_floor(0.02, 60, 60, FILM)
    grid.ends[30, 40] = True
    found = spill(grid, (30, 30))
    assert isinstance(found, Spill)
    assert found.first[30, 40] == found.first[np.isfinite(found.first)].max()
    assert found.first[30, 40] == pytest.approx(math.pi * 0.2**2 * FILM, rel=0.05)

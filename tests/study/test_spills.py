"""Figures of a spill: areas and times against closed forms on a level floor."""

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from dewpond.design.reader import read_text
from dewpond.floor.fitted import Fitted, Floor
from dewpond.floor.sites import Probe
from dewpond.floor.wetting import spreads, wetted
from dewpond.parts import KINDS
from dewpond.physics.film import run_time
from dewpond.physics.water import ZERO_CELSIUS, density, surface_tension, viscosity
from dewpond.study import floors, spills
from dewpond.study.floors import Asked, Looked, look, too_fine
from dewpond.study.spills import spilled

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "two_tanks.yaml"
PLAN = """
floors:
  study:
    outline: [0 m x 0 m, 3 m x 3 m]
    openings:
      - {between: [0 m x 0 m, 0 m x 0.6 m], leads to: kitchen}
    spots:
      study probe: 2.1 m x 1.5 m
      riser: 1.5 m x 1.5 m
"""
FILM = 2.7e-3
COARSE = Asked(cell=0.05)


@cache
def looked(members: int = 20, seed: int = 0, leak: str = "riser") -> Looked:
    """The study of two tanks with a plan of it, in cells of 5 cm."""
    design = read_text(EXAMPLE.read_text("utf-8") + PLAN, "two.yaml")
    asked = replace(COARSE, members=members, seed=seed)
    (found,) = look(design, KINDS, asked, lambda site: site.part == leak and site.place == "study")
    return found


def level(members: int = 3) -> Looked:
    """The same floor made level, with one film."""
    found = looked()
    flat = []
    for floor in found.fitted.floors[:members]:
        grid = floor.grid
        height = np.where(np.isfinite(grid.height), 0.0, np.inf)
        even = replace(grid, height=height, film=np.full(grid.shape, FILM), soak=np.zeros(grid.shape))
        flat.append(Floor(even, floor.takes))
    fitted = Fitted(found.storey, tuple(flat), 0, (), {}, 0)
    made = tuple(wetted(fitted, site) for site in found.sites)
    return Looked(fitted, found.sites, found.probes, made, None)


def test_wet_area_on_a_level_floor_is_volume_over_film() -> None:
    """A = V/e; the last cell may be wet or not."""
    (spill,) = spilled(level()).spills
    for volume, wet in zip(spills.VOLUMES[:3], spill.wet, strict=False):
        assert wet.low == wet.high
        assert wet.middle == pytest.approx(volume / FILM, abs=2.0 * 0.05**2)


def test_probe_on_a_level_floor_is_wet_when_the_disc_reaches_it() -> None:
    """V = pi r2 e to the nearest cell under the probe: within a cell of r."""
    (spill,) = spilled(level()).spills
    (probe,) = (one for one in spill.probes if one.name == "study probe")
    low, high = (math.pi * (0.6 + off) ** 2 * FILM for off in (-0.06, 0.06))
    assert low < probe.spread.middle < high


def test_time_to_a_probe_is_litres_over_flow_and_the_run_there() -> None:
    found = level()
    (spill,) = spilled(found).spills
    (probe,) = (one for one in spill.probes if one.name == "study probe")
    room = 20.0 + ZERO_CELSIUS
    capillary = math.sqrt(surface_tension(room) / density(room) / 9.80665)
    rows, columns = zip(spill.made.at[0], found.probes[-1].cells[0], strict=True)
    far = 0.05 * math.hypot(rows[0] - rows[1], columns[0] - columns[1])
    run = run_time(spill.made.rate, spills.FLATTEST, far, capillary, density(room), viscosity(room))
    assert probe.run is not None
    assert probe.run.middle == pytest.approx(run, rel=1e-9)
    assert probe.after.middle == pytest.approx(probe.spread.middle / spill.made.rate + run, rel=1e-9)


def test_a_steeper_way_takes_less_time() -> None:
    """A floor that falls 20 mm/m towards the probe: run_time goes as slope to the power -2/3."""
    found = level(1)
    (floor,) = found.fitted.floors
    right, _ = found.storey.frame.middles()
    tilted = replace(floor.grid, height=np.where(np.isfinite(floor.grid.height), -0.02 * right, np.inf))
    fitted = replace(found.fitted, floors=(Floor(tilted, floor.takes),))
    steep = replace(found, fitted=fitted, wetted=tuple(wetted(fitted, site) for site in found.sites))
    runs = []
    for one in (found, steep):
        (spill,) = spilled(one).spills
        (probe,) = (each for each in spill.probes if each.name == "study probe")
        assert probe.run is not None
        runs.append(probe.run.middle)
    assert runs[0] / runs[1] == pytest.approx(20.0 ** (2.0 / 3.0), rel=1e-6)


def test_first_shares_add_up_and_name_what_has_the_least_litres() -> None:
    (spill,) = spilled(looked()).spills
    assert sum(share for _, share in spill.first) == pytest.approx(1.0)
    least = np.min([one.litres for one in spill.reaches if one.sort != spills.PLACE], axis=0)
    none = sum(share for one, share in spill.first if one is None)
    assert none == pytest.approx(float(np.isinf(least).mean()))


def test_joints_that_take_nothing_are_no_way_out() -> None:
    """A third of the floors have tight joints: there nothing leaves, though water comes to them."""
    text = PLAN + "    joints: [{area: [1.5 m x 1.4 m, 1.6 m x 1.6 m]}]\n"
    design = read_text(EXAMPLE.read_text("utf-8") + text, "two.yaml")
    (found,) = look(design, KINDS, COARSE, lambda site: site.part == "riser" and site.place == "study")
    (spill,) = spilled(found).spills
    (joint,) = (one for one in spill.reaches if one.name == "joint")
    tight = [floor.takes[joint.way] == 0.0 for floor in found.fitted.floors]
    assert sum(tight) == 7
    assert np.isinf(joint.litres[tight]).all()
    assert np.isfinite(joint.litres[~np.array(tight)]).all()


def test_spreads_of_cells_are_those_of_each_cell() -> None:
    rng = np.random.default_rng(3)
    first = rng.random((20, 4, 5))
    first[first > 0.8] = np.inf
    found = spreads(first)
    for row, column in np.ndindex(4, 5):
        values = sorted(first[:, row, column])
        assert tuple(found[:, row, column]) == (values[1], values[10], values[19])  # in the middle of twentieths


def test_members_of_few_are_the_first_of_many() -> None:
    few, many = looked(20).wetted[0], looked(23).wetted[0]
    assert np.array_equal(few.first, many.first[:20])
    assert np.array_equal(few.out, many.out[:20])


def test_parts_that_leak_at_the_same_cells_are_spilled_once() -> None:
    design = read_text(EXAMPLE.read_text("utf-8") + PLAN, "two.yaml")
    calls = []
    (found,) = look(design, KINDS, COARSE, step=lambda done, total: calls.append((done, total)))
    cells = {site.cells for site in found.sites}
    assert len(cells) < len(found.sites)
    assert calls[-1] == (20 * (1 + len(cells)),) * 2
    assert [one.site for one in found.wetted] == list(found.sites)
    assert len(spilled(found).spills) == len(cells)


def test_longest_unseen_is_the_leak_that_worries() -> None:
    """Of two leaks the one farther from the only probe; without any probe the one that wets more."""
    found = looked()
    (site,) = found.sites
    near = replace(site, part="near", cells=(found.probes[-1].cells[0],))
    both = replace(
        found, sites=(near, site), wetted=(wetted(found.fitted, near), *found.wetted), probes=found.probes[-1:]
    )
    assert isinstance(both.probes[0], Probe)
    assert spilled(both).worst.sites == (site,)
    blind = spilled(replace(both, probes=()))
    assert blind.worst.wet[-1].middle == max(one.wet[-1].middle for one in blind.spills)


@pytest.mark.parametrize("members", [20, 200])
def test_finest_cell_that_is_named_can_be_afforded_and_a_tenth_finer_cannot(members: int) -> None:
    design = read_text(EXAMPLE.read_text("utf-8") + PLAN, "two.yaml")
    found = too_fine(design, Asked(cell=1e-3, members=members))
    assert found is not None
    assert found.cells == 3002 * 3002
    assert too_fine(design, Asked(cell=found.finest, members=members)) is None
    assert too_fine(design, Asked(cell=0.9 * found.finest, members=members)) is not None
    assert found.memory == found.cells * members * floors.BYTES

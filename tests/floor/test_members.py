"""What varies from member to member of a floor: its range, its halves, and that a member is its own."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from dewpond.floor.members import (
    JOINTS,
    Range,
    film,
    joints,
    soak,
)
from dewpond.physics.film import ORDINARY_FLOOR, SURFACES, film_thickness

Draw = Callable[[Range, int, int], float]
FILM, TILE_FILM = Range(*ORDINARY_FLOOR), Range(*SURFACES["glazed tile"].film)
NO_SOAK, CARPET_SOAK = Range(*SURFACES["vinyl"].soak), Range(*SURFACES["carpet"].soak)
RANGES = [FILM, TILE_FILM, CARPET_SOAK]


@pytest.mark.parametrize("of", RANGES)
@pytest.mark.parametrize("draw", [film, soak])
def test_half_of_twenty_members_lie_on_either_side_of_the_usual_value(draw: Draw, of: Range) -> None:
    for seed in range(30):
        found = np.array([draw(of, seed, k) for k in range(20)])
        assert ((found >= of.low) & (found <= of.high)).all()
        assert abs(int((found < of.usual).sum()) - 10) <= 1


@pytest.mark.parametrize("draw", [film, soak])
def test_few_members_cover_the_range_evenly(draw: Draw) -> None:
    """Each of ten equal stretches has one to three of twenty members; independent draws leave 1.2 of them empty."""
    for seed in range(30):
        found = [draw(Range(0.0, 0.5, 1.0), seed, k) for k in range(20)]
        counts = np.histogram(found, 10, (0.0, 1.0))[0]
        assert counts.min() >= 1
        assert counts.max() <= 3


def test_member_is_the_same_in_every_order_and_differs_by_seed() -> None:
    forward = [film(FILM, 4, k) for k in range(9)]
    assert forward == [film(FILM, 4, k) for k in reversed(range(9))][::-1]
    assert forward != [film(FILM, 5, k) for k in range(9)]


def test_film_soak_and_joints_hang_not_together() -> None:
    """Over sixty members: film against soak, and the mean of both in each scenario of the joints."""
    evenly = Range(0.0, 0.5, 1.0)
    for seed in range(10):
        films, soaks = ([draw(evenly, seed, k) for k in range(60)] for draw in (film, soak))
        assert abs(float(np.corrcoef(films, soaks)[0, 1])) < 0.2
        for scenario in range(len(JOINTS)):
            for found in (films, soaks):
                assert float(np.mean(found[scenario :: len(JOINTS)])) == pytest.approx(0.5, abs=0.08)


def test_joints_take_the_three_scenarios_in_turn() -> None:
    assert [joints(k) for k in range(4)] == [0.0, pytest.approx(0.2e-3 / 60.0), np.inf, 0.0]
    assert [sum(joints(k) == one for k in range(20)) for one in JOINTS] == [7, 7, 6]


def test_tile_holds_what_its_angles_of_contact_hold() -> None:
    """de Gennes and others (2004), 20, 40 and 60 degrees; clean water at 20 degrees Celsius."""
    angles = np.radians((20.0, 40.0, 60.0))
    assert tuple(TILE_FILM) == pytest.approx([film_thickness(float(one), 2.727e-3) for one in angles], rel=0.02)


def test_surface_that_soaks_up_nothing_does_so_on_every_member() -> None:
    assert {soak(NO_SOAK, 1, k) for k in range(20)} == {0.0}


@pytest.mark.parametrize(
    "of", [Range(-1.0, 0.0, 1.0), Range(2.0, 1.0, 3.0), Range(1.0, 2.0, 1.5), Range(0.0, 1.0, np.inf)]
)
def test_range_that_is_none_is_refused(of: Range) -> None:
    for draw in (film, soak):
        with pytest.raises(ValueError, match="no lowest, usual and highest"):
            draw(of, 0, 0)

"""A cupful on the floor: its film and its angle by hand, and what they are unsure by."""

from __future__ import annotations

import math

import numpy as np
import pytest

from dewpond.floor.cup import Measured, ellipse, film_of_cup
from dewpond.physics.film import film_thickness

LITRE, MM = 1e-3, 1e-3


def test_cupful_spread_by_two_axes_tells_its_film_by_hand() -> None:
    area = ellipse(Measured(0.40, 0.02), Measured(0.30, 0.015))
    assert area.value == pytest.approx(math.pi * 0.03)
    found = film_of_cup(Measured(0.25 * LITRE, 0.0125 * LITRE), area)
    assert found.thickness / MM == pytest.approx(0.25 / (math.pi * 0.03))
    assert found.error / found.thickness == pytest.approx(math.sqrt(3.0) * 0.05)
    assert film_thickness(found.angle, 2.727e-3) == pytest.approx(found.thickness, rel=2e-3)
    assert film_thickness(found.most_angle, 2.727e-3) == pytest.approx(found.thickness + found.error, rel=2e-3)
    assert found.least_angle < found.angle < found.most_angle


def test_error_of_the_film_is_that_of_many_cups() -> None:
    """Second method: drawn errors."""
    rng = np.random.default_rng(4)
    n = 40_000
    volume = 0.2 * LITRE * (1.0 + 0.05 * rng.standard_normal(n))
    across = 0.25 + 0.012 * rng.standard_normal((2, n))
    many = volume / (0.25 * math.pi * across[0] * across[1])
    found = film_of_cup(Measured(0.2 * LITRE, 0.01 * LITRE), ellipse(*[Measured(0.25, 0.012)] * 2))
    assert found.error == pytest.approx(many.std(), rel=0.03)


def test_puddle_thicker_than_water_stands_is_refused() -> None:
    with pytest.raises(ValueError, match="thickness of the puddle"):
        film_of_cup(Measured(1.0 * LITRE, 0.0), Measured(0.18, 0.0))  # 5.56 mm; twice 2.727 mm is 5.45 mm
    thick = film_of_cup(Measured(1.0 * LITRE, 0.0), Measured(0.185, 0.01))
    assert thick.most_angle == pytest.approx(math.pi)
    assert film_of_cup(Measured(0.1 * LITRE, 0.2 * LITRE), Measured(0.1, 0.0)).least_angle == 0.0
    for wrong in ((0.0, 0.1), (1e-3, 0.0), (math.nan, 0.1)):
        with pytest.raises(ValueError, match="no puddle"):
            film_of_cup(Measured(wrong[0], 0.0), Measured(wrong[1], 0.0))
    with pytest.raises(ValueError, match="no area"):
        ellipse(Measured(0.0, 0.0), Measured(0.1, 0.0))

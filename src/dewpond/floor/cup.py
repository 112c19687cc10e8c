"""A measured cupful on the floor: how thick water stands there, and at which angle it meets the floor."""

from __future__ import annotations

import math
from typing import NamedTuple

from dewpond.physics.film import capillary_length, contact_angle
from dewpond.physics.water import ZERO_CELSIUS, density, surface_tension

ROOM = 20.0 + ZERO_CELSIUS  # temperature of water in a cup; a degree more or less is nothing here [K]


class Measured(NamedTuple):
    """A value and its standard deviation, both in the same SI unit."""

    value: float
    error: float


class Film(NamedTuple):
    """What a measured puddle tells: thickness and its standard deviation [m], and the contact angle that follows from
    it, with those of one standard deviation less and more [rad]."""

    thickness: float
    error: float
    angle: float
    least_angle: float
    most_angle: float


def ellipse(length: Measured, width: Measured) -> Measured:
    """Area of a puddle by its longest and its widest way across [m] -> [m2]: pi/4 a b; the errors are independent.

    Raises ValueError where one is not above 0.
    """
    if not (length.value > 0.0 and width.value > 0.0):
        raise ValueError(f"a puddle of {length.value:g} m by {width.value:g} m has no area")
    area = 0.25 * math.pi * length.value * width.value
    return Measured(area, area * math.hypot(length.error / length.value, width.error / width.value))


def thickness(volume: Measured, area: Measured) -> Measured:
    """What a floor takes of a measured volume [m3] that covers so much of it [m2], film and soak together [m].

    Raises ValueError where one is not above 0.
    """
    if not (volume.value > 0.0 and area.value > 0.0):
        raise ValueError(f"{volume.value:g} m3 over {area.value:g} m2 is no puddle")
    taken = volume.value / area.value
    return Measured(taken, taken * math.hypot(volume.error / volume.value, area.error / area.value))


def film_of_cup(volume: Measured, area: Measured) -> Film:
    """Thickness of a puddle and its contact angle, from a measured cupful [m3] and the floor that it covers [m2].

    e = V/A, theta = 2 asin(e / 2a) with the capillary length a, about 2.7 mm. Relative errors add as squares. A cupful
    is thinner at its edge than a large puddle, and e comes out too low by up to 2a over its radius: 5 % at 11 cm, a
    scaling argument of our own. In a hollow water stands deeper, and e comes out too high: pour on the levellest place.
    On carpet it is the film and what the carpet takes up.

    Raises ValueError where volume or area is not above 0, and where the puddle stands thicker than water can, which is
    twice the capillary length.
    Source: de Gennes, Brochard-Wyart, Quere, Capillarity and Wetting Phenomena (2004), chapter 2; puddle's balance.
    """
    taken, error = thickness(volume, area)
    capillary = capillary_length(surface_tension(ROOM), density(ROOM))
    most = 2.0 * capillary
    return Film(
        taken, error, contact_angle(taken, capillary),
        contact_angle(max(taken - error, 0.0), capillary), contact_angle(min(taken + error, most), capillary),
    )  # fmt: skip

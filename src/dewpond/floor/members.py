"""What nobody knows of a floor besides its heights, member by member of an ensemble: film, soak, and what joints take.

A member lies somewhere in the range of each. Half of all members lie below the usual value and half above it, evenly
between it and either end. The members of a seed follow each other by steps of irrational length (Kronecker's sequence):
few of them already cover the range evenly, and a member is the same however many there are. Film and soak of one member
have steps of their own; all films of a floor lie at the same place in their ranges, since it is the water, the dirt and
the cleaner of one home.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np

from dewpond.physics.film import ORDINARY_FLOOR

LITRE_A_MINUTE = 1e-3 / 60.0  # [m3/s]
STRIDES = (0.5 * (math.sqrt(5.0) - 1.0), math.sqrt(2.0) - 1.0)  # of film and of soak: farthest from any fraction [1]


class Range(NamedTuple):
    """Lowest, usual and highest value, in the same unit; 0 or above, and none below the one before."""

    low: float
    usual: float
    high: float


FILM: Final = Range(*ORDINARY_FLOOR)
"""Film on a floor of unknown kind [m]; also on vinyl, varnish and sealed concrete: clean they hold 2.7 to 3.9 mm
(60 to 90 degrees of contact, from memory; varnish to 97, published: Polymers 2021, 13, 3526), dirty or wet before less,
0.5 to 1 mm."""

TILE_FILM: Final = Range(0.95e-3, 1.9e-3, 2.7e-3)
"""Film on glazed tile in a home [m]: 20, 40 and 60 degrees of contact, from memory; we know no published range."""

NO_SOAK: Final = Range(0.0, 0.0, 0.0)
"""Tile, vinyl, varnish, and wood and concrete while water is new there [m3/m2]: bare wood takes 0.1 to 0.3 L/m2 in an
hour and unsealed screed 0.4 to 1.5, from memory, too slowly to delay what a probe sees."""

CARPET_SOAK: Final = Range(4e-3, 5e-3, 10e-3)
"""Carpet with its pad, which drink at once [m3/m2]. Common practice for the pile, from memory for the pad."""

JOINTS: Final = (0.0, 0.2 * LITRE_A_MINUTE, np.inf)
"""What all joints of a floor take to the ceiling below [m3/s]: nothing, a little, all that comes. Nobody can know it:
three scenarios of our own, none likelier than another."""


def film(of: Range, seed: int, member: int) -> float:
    """Film that a surface holds on one member [m]. Raises ValueError where the range is none."""
    return _placed(of, _place(seed, member, 0))


def soak(of: Range, seed: int, member: int) -> float:
    """Water that a surface soaks up on one member [m3/m2]. Raises ValueError where the range is none."""
    return _placed(of, _place(seed, member, 1))


def joints(member: int) -> float:
    """What the joints of one member take [m3/s]; inf: all that comes. Members take the three scenarios in turn."""
    return JOINTS[member % len(JOINTS)]


def _place(seed: int, member: int, which: int) -> float:
    """Where a member lies among all members, 0 to 1; each thing that varies has a start and a step of its own."""
    start = float(np.random.default_rng([seed, which, 2]).random())
    return (start + member * STRIDES[which]) % 1.0


def _placed(of: Range, place: float) -> float:
    if not 0.0 <= of.low <= of.usual <= of.high < np.inf:
        raise ValueError(f"{of.low:g}, {of.usual:g}, {of.high:g} are no lowest, usual and highest value")
    if place < 0.5:
        return of.low + 2.0 * place * (of.usual - of.low)
    return of.usual + (2.0 * place - 1.0) * (of.high - of.usual)

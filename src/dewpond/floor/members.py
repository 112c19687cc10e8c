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

LITRE_A_MINUTE = 1e-3 / 60.0  # [m3/s]
# Of film, soak and roughness: farthest from any fraction [1].
STRIDES = (0.5 * (math.sqrt(5.0) - 1.0), math.sqrt(2.0) - 1.0, math.sqrt(3.0) - 1.0)


class Range(NamedTuple):
    """Lowest, usual and highest value, in the same unit; 0 or above, and none below the one before."""

    low: float
    usual: float
    high: float


JOINTS: Final = (0.0, 0.2 * LITRE_A_MINUTE, np.inf)
"""What all joints of a floor take to the ceiling below [m3/s]: nothing, a little, all that comes. Nobody can know it.
Source: three scenarios of our own, none likelier than another."""


def film(of: Range, seed: int, member: int) -> float:
    """Film that a surface holds on one member [m]. Raises ValueError where the range is none."""
    return _placed(of, place(seed, member, 0))


def soak(of: Range, seed: int, member: int) -> float:
    """Water that a surface soaks up on one member [m3/m2]. Raises ValueError where the range is none."""
    return _placed(of, place(seed, member, 1))


def joints(member: int) -> float:
    """What the joints of one member take [m3/s]; inf: all that comes. Members take the three scenarios in turn."""
    return JOINTS[member % len(JOINTS)]


def place(seed: int, member: int, which: int) -> float:
    """Where a member lies among all members, 0 to 1; each thing that varies has a start and a step of its own."""
    start = float(np.random.default_rng([seed, which, 2]).random())
    return (start + member * STRIDES[which]) % 1.0


def _placed(of: Range, at: float) -> float:
    if not 0.0 <= of.low <= of.usual <= of.high < np.inf:
        raise ValueError(f"{of.low:g}, {of.usual:g}, {of.high:g} are no lowest, usual and highest value")
    if at < 0.5:
        return of.low + 2.0 * at * (of.usual - of.low)
    return of.usual + (2.0 * at - 1.0) * (of.high - of.usual)

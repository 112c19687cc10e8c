"""How rough a floor is taken to be before anything is read of it, by the standard to which it was built.

A standard says what a floor must not exceed, not how rough floors are: its limits are no standard deviations. A
finished floor is taken as rough as ``relief.USUAL``; its limits under a straightedge then lie 25, 5.2 and 2.9 standard
deviations of the sag away, at chords of 0.1, 1 and 4 m. On floors half as high again, where the spread ends, a
straightedge of 4 m shows too much at one place in forty. The others follow from it:

- by another line of the same table each wave is lower by as much as the limit at its own chord: it is the wave of 4 cm
  that makes the sag under 0.1 m, that of 25 cm under 1 m, that of 1.5 m under 4 m. So both lines stand as many standard
  deviations away. Tilt is limited elsewhere, and alike;
- by classes of FF and FL the short waves are as high as gives FF, the long one and the tilt as high as gives FL, on a
  floor that just meets its class, measured as ASTM E1155 does, tilt and all.

A floor laid to a drain is none of these: how it falls is known, and is told by readings. Nor is a level one: on it a
puddle's outline means nothing. All are floors as they were laid: a heavy tank makes a hollow of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

from dewpond.floor.relief import USUAL, Prior, Wave, scaled
from dewpond.parts.base import Source


@dataclass(frozen=True)
class Standard:
    """A floor by its standard. The spread of the source is a factor on all heights [1]: which one holds nobody knows
    before the floor is read. ``slab``: of concrete, by its class."""

    prior: Prior
    source: Source
    slab: bool = False


def _times(long: float, middle: float, short: float, tilt: float) -> Prior:
    """The usual floor with each of its waves, and its tilt, so many times as high."""
    factors = (long, middle, short)
    waves = (Wave(one.height * factor, one.length) for one, factor in zip(USUAL.waves, factors, strict=True))
    return Prior(tuple(waves), USUAL.tilt * tilt)


OLD = "old"

STANDARDS: dict[str, Standard] = {
    "finished": Standard(
        USUAL,
        Source(
            "DIN 18202 table 3 line 3, second-hand: at most 2, 4, 10 mm under 0.1, 1, 4 m; how far below is ours",
            "our prior", 0.5, 1.5,
        ),
    ),
    "raised demand": Standard(
        _times(9.0 / 10.0, 3.0 / 4.0, 1.0 / 2.0, 1.0),
        Source(
            "DIN 18202 table 3 line 4, second-hand: at most 1, 3, 9 mm under 0.1, 1, 4 m; as far below as in line 3",
            "our prior", 0.5, 1.5,
        ),
    ),
    OLD: Standard(
        scaled(USUAL, 2.0),
        Source("no standard: twice as high as a finished floor, tilt and all", "our prior", 0.5, 2.0),
    ),
    "conventional slab": Standard(
        _times(0.98, 2.0, 2.0, 0.98),
        Source("ACI 117-10 table 4.8.5.1, second-hand: FF 20, FL 15 overall, just met", "derived", 0.5, 1.5),
        slab=True,
    ),
    "flat slab": Standard(
        _times(0.59, 1.16, 1.16, 0.59),
        Source("ACI 117-10 table 4.8.5.1, second-hand: FF 35, FL 25 overall, just met", "derived", 0.5, 1.5),
        slab=True,
    ),
    "very flat slab": Standard(
        _times(0.42, 0.9, 0.9, 0.42),
        Source("ACI 117-10 table 4.8.5.1, second-hand: FF 45, FL 35 overall, just met", "derived", 0.5, 1.5),
        slab=True,
    ),
}  # fmt: skip
"""A floor by the word that its keeper knows for it."""


def beside(word: str, rougher: bool) -> tuple[str, ...]:
    """Words for floors of the same sort that are rougher, or smoother, than a word, the nearest first; an old floor is
    of either sort."""
    own = STANDARDS[word]
    sort = {
        other: one.prior.waves[0].height
        for other, one in STANDARDS.items()
        if OLD in (other, word) or one.slab == own.slab
    }
    found = [other for other in sort if (sort[other] > sort[word]) == rougher and other != word]
    return tuple(sorted(found, key=lambda other: abs(sort[other] - sort[word])))

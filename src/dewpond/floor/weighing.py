"""Which of the floors that fit the readings fit a pour test as well, a spill that was seen, or a marble that ran.

Heights tell little of where a puddle lies: outlines on a floor read to less than a millimetre share 40 % of their area
at best with the true one. A cupful poured tells it directly. It cannot move the members of an ensemble as a height
does, since no line leads from litres to heights; it can say which members to believe. Each piece of evidence gives
every member the logarithm of its likelihood, 0 for a member that says just what was seen. Nothing speaks more strongly
for one member against another than a difference of AT_ODDS standard deviations: a test may be a slip.

Members are few, and one test can leave hardly any of them. Where the weights would rest on fewer than LEAST, all that
was seen is taken to a power below 1, to which just so many are left, and the weights are told to be thin: more members
are wanted, not more trust in these.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from dewpond.floor.cells import Cells, Grid, Work, work_space
from dewpond.floor.relief import AT_ODDS
from dewpond.floor.spill import spill_on

LEAST = 3.0  # members on which weights must rest at least; our prior [1]
WORST = -0.5 * AT_ODDS**2  # the logarithm of the likelihood at AT_ODDS standard deviations, beyond which lies a slip
STRAYS = 2.0
"""Factor, of one standard deviation, between litres at which water arrives and those of a member that is right [1].
Source: our own. A film that flows came 0.8 to 1.5 times as late in eight of ten places (one wavy floor, 0.5 L/min), a
factor of 1.3; but so few members stand for the true floor only roughly: taken as 1.3, one arrival foretold a larger
spill worse than taken as 2, with twenty members and with a hundred."""
HEAD_WETS = 3e-5
"""Water that it takes to wet a probe even where it is poured [m3]. Source: our prior, a run of three cells."""
SWERVES = 1.0
"""Standard deviation of the direction of a slope as members stand for it, besides what was misread [rad].
Source: our own; with a
third of it several marbles foretold spills worse than none, since they weigh down members that are right elsewhere."""
AGAINST = 2.5  # difference of two directions, out of 3.14, at which one contradicts the other; our prior [rad]
LOST = -9.0  # the same of an outline, of which a right floor's own is about -3; see Outline [1]
EDGE = 1.5
"""The same for a place at the edge of an outline [1]. Source: our own, see ``Outline``."""
UNSURE_SLOPE = 1e-3
"""Slope of tiles' edges and of waves shorter than a plane laid through a floor can tell [1]. Source: our prior."""


@dataclass(frozen=True)
class Reached:
    """Water that came to a spot, or that did not, by the time that so much had been poured.

    leak    cell where it was poured (row, column)
    spot    shape (rows, columns): the cells any of which shows it when it gets wet, those under a probe or a mark
    volume  poured when it arrived, or in all where it did not [m3]
    what    how it is named to the keeper
    arrived whether it did
    factor  of one standard deviation, above 1: the logarithm of the litres is off by a normal error [1]

    Raises ValueError where no cell shows it, the volume is not above 0, or the factor not above 1.
    """

    leak: tuple[int, int]
    spot: Any
    volume: float
    what: str
    arrived: bool = True
    factor: float = STRAYS

    def __post_init__(self) -> None:
        _poured(self.what, self.spot, self.volume, self.factor)

    @property
    def lost(self) -> float:
        """Log-likelihood below which it contradicts a member."""
        return WORST

    def arrives(self, first: Any) -> Any:
        """Litres at which each member has it arrive, shape (members,) [m3]. ``first``: see ``first_wet``."""
        return np.maximum(first[:, _like(self.spot, first)].min(axis=1), HEAD_WETS)

    def likely(self, first: Any) -> Any:
        """Log-likelihood of each member. ``first``: shape (members, rows, columns), see ``first_wet`` [m3]."""
        from scipy.special import log_ndtr

        late = _lateness(self.arrives(first), self.volume, self.factor)
        return -0.5 * late**2 if self.arrived else log_ndtr(late)


@dataclass(frozen=True)
class Outline:
    """A puddle's outline after so much was poured; all cells are seen: those inside are wet, all others are dry.

    It tells of every cell whether water reached it, but neighbours tell the same, and what lies below all that is known
    of a floor, a ripple of 0.1 mm, makes any single outline another one. So all cells together count as much as if each
    stretch as large as the outline were one that was seen by itself: the sum over cells is divided by the cells inside.
    A member is not blamed for a cell that it wets at hardly more litres, and hardly more for one that stays dry than
    for one that gets wet at three times as many.

    Factor and divisor were chosen on synthetic floors; others are tested. On 60 floors of 4 m x 3 m with twelve heights
    read, a litre and a half poured and a hundred members, shares of what gets wet by 5 L are then those foretold; with
    twice the evidence they are too bold (74 % of what is foretold by 81 %), with half of it too timid. Members as right
    as can be are blamed for much, so an outline contradicts them all only below LOST: of outlines of the floor itself
    none in a hundred did, of outlines that were turned round about half.

    leak, volume, what, factor: see Reached; wet: shape (rows, columns), the cells inside the outline.
    """

    leak: tuple[int, int]
    wet: Any
    volume: float
    what: str
    factor: float = EDGE

    def __post_init__(self) -> None:
        _poured(self.what, self.wet, self.volume, self.factor)

    @property
    def lost(self) -> float:
        """Log-likelihood below which it contradicts a member."""
        return LOST

    def likely(self, first: Any) -> Any:
        """Log-likelihood of each member. ``first``: shape (members, rows, columns), see ``first_wet`` [m3]."""
        from scipy.special import log_ndtr

        wet = _like(self.wet, first)
        found = np.empty(len(first))
        for member, one in enumerate(first):  # one after the other: maps of hundreds of floors are large
            late = _lateness(one.astype(float), self.volume, self.factor)
            each = np.maximum(log_ndtr(np.where(wet, -late, late)), WORST)  # of a cell, no more than of a test
            found[member] = each.sum() / wet.sum()
        return found


@dataclass(frozen=True)
class Ran:
    """The way a marble or a little water ran from a point: down the slope of the floor there.

    The direction is spread about that of the slope (von Mises) by what was misread, and the more the flatter the member
    is there: on one that is level every direction is as likely. It tells little: one marble, or six, made a foretold
    spill 1 to 8 % better. Where it runs before members are drawn, that the floor is level across its way is a reading.

    at      the point (x, y) [m]; way: the direction in which it ran, (x, y) of any length
    error   standard deviation of the direction [rad]
    what    how it is named to the keeper
    over    radius over which it felt the floor: a plane is laid through a member's cells so near [m]

    Raises ValueError where the way has no length, or the error or the radius is not above 0.
    """

    at: tuple[float, float]
    way: tuple[float, float]
    error: float
    what: str
    over: float = 0.15

    def __post_init__(self) -> None:
        if not (math.hypot(*self.way) > 0.0 and self.error > 0.0 and self.over > 0.0):
            raise ValueError(f"{self.what}: a way of some length, an error and a radius above 0 are needed")

    @property
    def lost(self) -> float:
        """Log-likelihood below which it contradicts a member."""
        return self._peak() * (math.cos(AGAINST) - 1.0)

    def _peak(self) -> float:
        """How sure the direction is at best: 1 / variance [1/rad2]."""
        return 1.0 / (self.error**2 + SWERVES**2)

    def likely(self, grids: Sequence[Grid]) -> Any:
        """Log-likelihood of each member."""
        from scipy.special import i0e

        slopes = np.array([self._slope(grid) for grid in grids])
        steep = np.hypot(slopes[:, 0], slopes[:, 1])
        way = np.array(self.way) / math.hypot(*self.way)
        with np.errstate(divide="ignore", invalid="ignore"):
            along = np.where(steep > 0.0, -slopes @ way / steep, 0.0)
            sure = 1.0 / (1.0 / self._peak() + (UNSURE_SLOPE / steep) ** 2)
        return sure * (along - 1.0) + np.log(i0e(self._peak()) / i0e(sure))

    def _slope(self, grid: Grid) -> Any:
        """Of the plane through the cells about the point, along x and y [1]."""
        rows, columns = grid.shape
        y, x = np.meshgrid((np.arange(rows) + 0.5) * grid.size, (np.arange(columns) + 0.5) * grid.size, indexing="ij")
        x, y = x - self.at[0], y - self.at[1]
        near = (np.hypot(x, y) <= self.over) & np.isfinite(grid.height)
        plane = np.column_stack([x[near], y[near], np.ones(near.sum())])
        if near.sum() < 3 or np.linalg.matrix_rank(plane) < 3:
            raise ValueError(f"{self.what}: within {self.over:g} m of the point there is too little floor for a slope")
        return np.linalg.lstsq(plane, grid.height[near], rcond=None)[0][:2]


@dataclass(frozen=True)
class Weights:
    """How much each member of an ensemble is to be believed.

    each      shape (members,), of sum 1
    effective so many members of equal weight would be as good: 1 / sum of squares [1]
    as_read   the same, had all evidence been taken in full
    power     to which the likelihood of all evidence together was taken, 1 where it rests on enough members
    agree     members that nothing contradicts but what is odd
    thin      whether it would have rested on too few: more members are wanted
    odd       names of evidence that contradicts every member; the weights know nothing of it. Either it is a slip, or
              the readings are, or the floor is of another kind than was taken, or members are too few

    Where none agrees and nothing is odd, two pieces of evidence contradict one another on all members.
    """

    each: Any
    effective: float
    as_read: float
    power: float
    agree: int
    thin: bool
    odd: tuple[str, ...]


def first_wet(grids: Sequence[Grid], leak: tuple[int, int], volume: float) -> Any:
    """Spilled when each cell of each member got wet, shape (members, rows, columns) [m3]; inf for more than ``volume``.

    grids: the members, of one shape and size of cell.
    """
    found = np.empty((len(grids), *grids[0].shape), dtype=np.float32)
    work: Work | None = None
    for k, grid in enumerate(grids):
        cells: Cells = grid.cells()
        work = work or work_space(cells)
        found[k] = spill_on(grid, cells, work, leak, volume).first
    return found


def weighed(grids: Sequence[Grid], evidence: Sequence[Reached | Outline | Ran]) -> Weights:
    """Members after a pour test, or several. Of each leak the spills are worked out once, as far as a factor can tell.

    Raises ValueError where a mask has another shape than the members.
    """
    poured = [one for one in evidence if not isinstance(one, Ran)]
    far = {
        leak: max(one.volume * one.factor**AT_ODDS for one in poured if one.leak == leak)
        for leak in {one.leak for one in poured}
    }
    likely = np.array([one.likely(grids) if isinstance(one, Ran) else np.zeros(len(grids)) for one in evidence])
    for leak, volume in far.items():
        first = first_wet(grids, leak, volume)
        for row, one in enumerate(evidence):
            if not isinstance(one, Ran) and one.leak == leak:
                likely[row] = one.likely(first)
    return weigh(
        likely.reshape(len(evidence), len(grids)),
        [one.what for one in evidence],
        [one.lost for one in evidence],
    )


def weigh(likely: Any, named: Sequence[str], lost: Sequence[float]) -> Weights:
    """Members by all evidence together, whose errors have nothing to do with one another.

    likely  shape (evidence, members): logarithms, 0 at best
    named   of each piece of evidence, how it is named; lost: below what it contradicts a member
    """
    fits = likely >= np.reshape(lost, (-1, 1))
    some = fits.any(axis=1)
    odd = tuple(what for what, member in zip(named, some, strict=True) if not member)
    kept = likely[some]
    total = np.maximum(kept, kept.max(axis=1, keepdims=True) + WORST).sum(axis=0)
    agree = int(fits[some].all(axis=0).sum())
    as_read = _effective(_believed(total, 1.0))
    least = min(LEAST, len(total))
    power = _power(total, least) if as_read < least else 1.0
    each = _believed(total, power)
    return Weights(each, _effective(each), as_read, power, agree, as_read < least, odd)


def _believed(total: Any, power: float) -> Any:
    each = np.exp(power * (total - total.max()))
    return each / each.sum()


def _effective(each: Any) -> float:
    return float(1.0 / (each**2).sum())


def _power(total: Any, least: float) -> float:
    """At which so many members are left, from below: the fewer, the higher it is."""
    low, high = 0.0, 1.0
    for _ in range(50):
        middle = 0.5 * (low + high)
        if _effective(_believed(total, middle)) >= least:
            low = middle
        else:
            high = middle
    return low


def _poured(what: str, mask: Any, volume: float, factor: float) -> None:
    if not np.any(mask):
        raise ValueError(f"{what}: no cell is marked")
    if not (0.0 < volume < math.inf and 1.0 < factor < math.inf):
        raise ValueError(f"{what}: a volume above 0 and a factor above 1 are needed, not {volume:g} m3 and {factor:g}")


def _like(mask: Any, first: Any) -> Any:
    found = np.asarray(mask, dtype=bool)
    if found.shape != first.shape[1:]:
        raise ValueError(f"a mask of {found.shape} cells does not fit floors of {first.shape[1:]}")
    return found


def _lateness(first: Any, volume: float, factor: float) -> Any:
    """How much later than seen a member has it, in standard deviations [1]."""
    with np.errstate(divide="ignore"):
        return np.log(first / volume) / math.log(factor)

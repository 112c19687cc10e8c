"""Floors that all agree with what was read of one: an ensemble, since no reading tells a floor cell by cell.

Before anything is read a floor is taken as waves of several lengths and a tilt, of the height that its standard allows
to expect. A reading is a height, or the difference of two; each with its own error. The members are drawn from the
waves, then moved so that they agree with the readings (Matheron): between readings, and below their error, they keep
the waves they were drawn with. A smoothed mean map is no member: water would run on it as on no floor.

Waves of a finished floor: flatness of DIN 18202, table 3, line 3, second-hand; they have a sag of 0.8 mm over a metre
and of 3.4 mm over four metres (standard deviations), and correspond to FF 39, FL 20 of ASTM E1155.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

AT_ODDS = 3.5  # standard deviations by which a reading differs from what all others say, from which it is named; ours
REACH = 4.0  # lengths of a wave beyond which a point of its lattice is felt no more [1]
DATUM = 1.0  # how unsure the height of a level line is [m]


class Wave(NamedTuple):
    """Waves of a floor: standard deviation of the height, and the length over which it stays alike [m]."""

    height: float
    length: float


@dataclass(frozen=True)
class Prior:
    """A floor before anything is read of it: its waves, and the standard deviation of its tilt each way [1]."""

    waves: tuple[Wave, ...]
    tilt: float


class Reading(NamedTuple):
    """What was read: the sum of weights times heights at so many points [m].

    points: (x, y) each [m]; value, error: standard deviation [m]; what: how it is named to the keeper; level: the level
    line above which heights were read, of a difference none.
    """

    points: tuple[tuple[float, float], ...]
    weights: tuple[float, ...]
    value: float
    error: float
    what: str
    level: str = ""


class Odd(NamedTuple):
    """A reading that contradicts the others: what it says, what they say, and how unsure that is, both together [m]."""

    what: str
    value: float
    expected: float
    error: float


@dataclass(frozen=True)
class Ensemble:
    """Floors that agree with the readings. heights: shape (members, rows, columns) [m]; odd: what contradicts."""

    heights: Any
    odd: tuple[Odd, ...]


USUAL = Prior((Wave(4.0e-3, 1.5), Wave(0.6e-3, 0.25), Wave(0.1e-3, 0.04)), 2e-3)
"""Waves and tilt of a finished floor, nothing read. Source: FF 39 and FL 20 of its waves, DIN 18202 second-hand; the
tilt is our prior, 1 to 5 mm/m."""


def scaled(prior: Prior, factor: float) -> Prior:
    """The same floor with waves and tilt so many times as high."""
    return Prior(tuple(Wave(factor * wave.height, wave.length) for wave in prior.waves), factor * prior.tilt)


def height_at(x: float, y: float, value: float, error: float, what: str, level: str = "level line") -> Reading:
    """A height above a level line; nobody knows how high that is, but that it is the same for all its heights."""
    return Reading(((x, y),), (1.0,), value, error, what, level)


def rise_between(
    start: tuple[float, float], end: tuple[float, float], value: float, error: float, what: str
) -> Reading:
    """How much higher the floor is at the end than at the start, as a batten with a level tells."""
    return Reading((start, end), (-1.0, 1.0), value, error, what)


def alike(prior: Prior, one: Any, other: Any) -> Any:
    """Covariance of the heights at points, shapes (n, 2) and (m, 2) [m] -> (n, m) [m2]; tilted about (0, 0)."""
    apart = ((one[:, None, :] - other[None, :, :]) ** 2).sum(axis=-1)
    found = prior.tilt**2 * (one @ other.T)
    for wave in prior.waves:
        found = found + wave.height**2 * np.exp(-0.5 * apart / wave.length**2)
    return found


def ensemble(
    shape: tuple[int, int], size: float, prior: Prior, readings: Sequence[Reading], members: int | Sequence[int],
    seed: int,
) -> Ensemble:  # fmt: skip
    """Floors of ``shape`` (rows, columns) cells of ``size`` [m]; the middle of the first cell is (size/2, size/2).

    The same seed gives the same floors, and the first of many members are those of few. ``members``: how many, or the
    numbers of those that are wanted.
    """
    numbers = range(members) if isinstance(members, int) else members
    rows, columns = shape
    y, x = np.meshgrid((np.arange(rows) + 0.5) * size, (np.arange(columns) + 0.5) * size, indexing="ij")
    cells = np.column_stack([x.ravel(), y.ravel()])
    drawn = np.empty((len(numbers), rows * columns))
    for row, k in enumerate(numbers):
        drawn[row] = _drawn(shape, size, prior, cells, np.random.default_rng([seed, k]))
    if not readings:
        return Ensemble(drawn.reshape(len(numbers), rows, columns), ())
    points, middle = np.array([point for one in readings for point in one.points]), cells.mean(axis=0)
    sums, levels, between = _between(prior, readings, points, middle)
    errors = np.array([one.error for one in readings])
    values = np.array([one.value for one in readings])
    solved = np.linalg.inv(between)
    reach = alike(prior, cells - middle, points - middle) @ sums.T @ solved  # (cells, readings)
    nearest = _nearest(points, shape, size)
    for row, k in enumerate(numbers):
        rng = np.random.default_rng([seed, k, 1])
        said = sums @ drawn[row][nearest] + errors * rng.standard_normal(len(readings))
        said += levels @ rng.standard_normal(levels.shape[1])
        drawn[row] += reach @ (values - said)
    return Ensemble(drawn.reshape(len(numbers), rows, columns), tuple(_odd(readings, values, between)))


def fit(prior: Prior, readings: Sequence[Reading], middle: tuple[float, float]) -> float:
    """How likely readings are on a floor about its ``middle`` [m]: the logarithm, but for a term that is the same for
    all priors."""
    points = np.array([point for one in readings for point in one.points])
    _, _, between = _between(prior, readings, points, np.array(middle))
    values = np.array([one.value for one in readings])
    _, spread = np.linalg.slogdet(between)
    return float(-0.5 * values @ np.linalg.solve(between, values) - 0.5 * spread)


def strain(prior: Prior, readings: Sequence[Reading], middle: tuple[float, float]) -> tuple[float, int]:
    """How far readings lie from what a prior lets expect of a floor about its ``middle`` [m]: the sum of squares in
    standard deviations, which is that number on average, and of how many independent ones. Level lines are free: only
    what heights differ by counts."""
    points = np.array([point for one in readings for point in one.points])
    _, levels, between = _between(prior, readings, points, np.array(middle))
    solved = np.linalg.inv(between - levels @ levels.T)
    values, lines = np.array([one.value for one in readings]), levels / DATUM
    off = values - lines @ np.linalg.lstsq(lines.T @ solved @ lines, lines.T @ solved @ values)[0]
    return float(off @ solved @ off), len(readings) - lines.shape[1]


def _between(prior: Prior, readings: Sequence[Reading], points: Any, middle: Any) -> tuple[Any, Any, Any]:
    """The readings as sums over all their points, how much of each level line is in them [m], and their covariance."""
    sums, levels = _sums(readings, len(points)), DATUM * _levels(readings)
    errors = np.array([one.error for one in readings])
    of_points = alike(prior, points - middle, points - middle)
    return sums, levels, sums @ of_points @ sums.T + levels @ levels.T + np.diag(errors**2)


def _sums(readings: Sequence[Reading], points: int) -> Any:
    """The readings as sums over all their points, shape (readings, points)."""
    sums, at = np.zeros((len(readings), points)), 0
    for row, one in enumerate(readings):
        sums[row, at : at + len(one.weights)] = one.weights
        at += len(one.weights)
    return sums


def _levels(readings: Sequence[Reading]) -> Any:
    """How much of each level line is in each reading, shape (readings, lines)."""
    names = sorted({one.level for one in readings if one.level})
    return np.array([[sum(one.weights) if one.level == name else 0.0 for name in names] for one in readings])


def _nearest(points: Any, shape: tuple[int, int], size: float) -> Any:
    """Number of the cell in which each point lies; of one beyond the edge the nearest."""
    columns = np.clip((points[:, 0] // size).astype(int), 0, shape[1] - 1)
    rows = np.clip((points[:, 1] // size).astype(int), 0, shape[0] - 1)
    return rows * shape[1] + columns


def _drawn(shape: tuple[int, int], size: float, prior: Prior, cells: Any, rng: np.random.Generator) -> Any:
    """A floor drawn from the waves, and a tilt about the middle, flat [m]."""
    tilt = prior.tilt * rng.standard_normal(2)
    found = (cells - cells.mean(axis=0)) @ tilt
    for wave in prior.waves:
        found = found + wave.height * _waves(shape, wave.length / size, rng).ravel()
    return found


def _waves(shape: tuple[int, int], length: float, rng: np.random.Generator) -> Any:
    """Waves of standard deviation 1 whose covariance falls as exp(-d^2 / 2 l^2); ``length``: l, in cells.

    White noise on a lattice of half that length, each point of it spread out as exp(-d^2 / l^2): by Poisson's sum the
    covariance is right to 3e-9.
    """
    along, across = (_spread_out(n, length) for n in shape)
    noise = rng.standard_normal((along.shape[1], across.shape[1]))
    return (across @ (along @ noise).T).T


@lru_cache(maxsize=16)
def _spread_out(cells: int, length: float) -> Any:
    """How much of each point of the lattice is in each of the cells of a row, shape (cells, points), nearly all 0."""
    from scipy.sparse import csr_array

    apart = 0.5 * length
    points = np.arange(-REACH * length, cells + REACH * length + apart, apart)
    off = (np.arange(cells)[:, None] + 0.5 - points[None, :]) / length
    shares = np.where(np.abs(off) <= REACH, np.exp(-(off**2)), 0.0)
    return csr_array(shares / math.sqrt(math.sqrt(0.5 * math.pi) * length / apart))


def _odd(readings: Sequence[Reading], values: Any, between: Any) -> list[Odd]:
    """Readings far from what all the others say of them. The oddest is named and left out, then the next is looked for:
    else its neighbours would be blamed with it."""
    left, found = list(range(len(readings))), list[Odd]()
    while left:
        solved = np.linalg.inv(between[np.ix_(left, left)])
        off = solved @ values[left] / np.diag(solved)  # of each one left out, the inverse tells at once
        unsure = 1.0 / np.sqrt(np.diag(solved))
        k = int(np.argmax(np.abs(off) / unsure))
        if abs(off[k]) <= AT_ODDS * unsure[k]:
            break
        one = readings[left.pop(k)]
        found.append(Odd(one.what, one.value, one.value - float(off[k]), float(unsure[k])))
    return found

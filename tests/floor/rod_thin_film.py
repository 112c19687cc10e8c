"""A measuring rod of our own: a thin film of water that flows, for leaks that may be too fast to be taken as slow.

Between two neighbouring cells water is driven by the difference of their levels and held back by the laminar friction
of a film on the floor (Nusselt); what makes it start and stop is kept (local inertia: Bates, Horritt and Fewtrell 2010,
from memory, with this friction instead of theirs). A dry cell is entered only when a neighbour's level stands a film
above it, as in ``dewpond.floor``; what is wet stays wet. It shares no code with that package, where water comes to one
cell after another, and through eight sides.

It is a rod and no truth. Water may leave a wet cell to the last drop, where real floors hold back what clings to them.
The grid steers what is thinner than the film at an edge: it enters the steeper of two lower neighbours first, so that
slow runs lean towards the axes, on planes of 3 to 20 mm/m by up to 30 degrees at 0.2 L/min and 13 at 1 L/min.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numba
import numpy as np

GRAVITY = 9.80665  # [m/s2]
WATER = 1.0e-6  # kinematic viscosity at 20 degrees Celsius [m2/s]
COURANT = 0.5  # of the way that a wave goes in a step, over the size of a cell [1]
LONGEST = 0.1  # step [s]
SHALLOW = 1e-3  # depth by which a step is measured where all water is shallower [m]
THINNEST = 1e-7  # film that still flows [m]
SOLID = 1e30  # height of what no water enters [m]


class Flowed(NamedTuple):
    """What a leak did: when each cell got wet [s], inf where it stayed dry; how deep it stands [m]; what left [m3]."""

    arrival: Any
    depth: Any
    left: float


class State(NamedTuple):
    """The floor with a solid border: heights, depths [m], arrival [s], whether cells are wet or swallow what comes;
    flows through the sides to the right and below [m2/s]; the share of them for which a cell has water [1]; first and
    last row and column of all water; size of a cell, film [m], viscosity [m2/s]."""

    height: Any
    deep: Any
    arrival: Any
    wet: Any
    swallows: Any
    right: Any
    below: Any
    share: Any
    box: Any
    size: float
    film: float
    viscosity: float


def flow(
    height: Any, size: float, leak: tuple[int, int], rate: float, fed_for: float, until: float, film: float,
    viscosity: float = WATER, ends: Any = None, depth: Any = None,
) -> Flowed:  # fmt: skip
    """Let a leak run on a walled floor.

    height: shape (rows, columns) [m]; size: of a cell [m]; rate: of the leak [m3/s], for so long [s]; until: when to
    look [s]; film: with which a dry cell is entered [m]; ends: cells that swallow what comes; depth: at first [m].
    """
    shape = height.shape
    deep = np.pad(np.zeros(shape) if depth is None else np.asarray(depth, dtype=float), 1)
    wet = deep > 0.0
    wet[leak[0] + 1, leak[1] + 1] = True
    rows, columns = np.nonzero(wet)
    x = State(
        np.pad(np.asarray(height, dtype=float), 1, constant_values=SOLID), deep, np.where(wet, 0.0, np.inf), wet,
        np.pad(np.zeros(shape, dtype=bool) if ends is None else ends, 1), np.zeros(deep.shape), np.zeros(deep.shape),
        np.ones(deep.shape), np.array([rows.min(), rows.max(), columns.min(), columns.max()]), size, film, viscosity,
    )  # fmt: skip
    left = _run(x, leak[0] + 1, leak[1] + 1, rate, fed_for, until)
    return Flowed(x.arrival[1:-1, 1:-1], x.deep[1:-1, 1:-1], left)


@numba.njit
def _run(x: State, row: int, column: int, rate: float, fed_for: float, until: float) -> float:
    """Steps in time until the end; returns what was swallowed [m3]."""
    now, left = 0.0, 0.0
    while now < until:
        step = min(LONGEST, COURANT * x.size / math.sqrt(GRAVITY * _deepest(x)), until - now)
        if now < fed_for:
            step = min(step, fed_for - now)
            x.deep[row, column] += rate * step / (x.size * x.size)
        now += step
        for i in range(x.box[0] - 1, x.box[1] + 1):
            for j in range(x.box[2] - 1, x.box[3] + 1):
                x.right[i, j] = _between(x, i, j, i, j + 1, x.right[i, j], step)
                x.below[i, j] = _between(x, i, j, i + 1, j, x.below[i, j], step)
        _hold_back(x, step)
        left += _move(x, now, step)
    return left


@numba.njit
def _deepest(x: State) -> float:
    found = SHALLOW
    for i in range(x.box[0], x.box[1] + 1):
        for j in range(x.box[2], x.box[3] + 1):
            found = max(found, x.deep[i, j])
    return found


@numba.njit
def _between(x: State, i: int, j: int, k: int, m: int, before: float, step: float) -> float:
    """Flow per width from one cell to its neighbour at the end of a step [m2/s]."""
    if not x.wet[i, j] and not x.wet[k, m]:
        return 0.0
    one, other = x.height[i, j] + x.deep[i, j], x.height[k, m] + x.deep[k, m]
    if not x.wet[k, m] and one - x.height[k, m] < x.film:
        return 0.0
    if not x.wet[i, j] and other - x.height[i, j] < x.film:
        return 0.0
    through = max(one, other) - max(x.height[i, j], x.height[k, m])
    if through < THINNEST:
        return 0.0
    driven = before - GRAVITY * through * step * (other - one) / x.size
    return driven / (1.0 + 3.0 * x.viscosity * step / (through * through))


@numba.njit
def _hold_back(x: State, step: float) -> None:
    """Have no cell give more than it has."""
    for i in range(x.box[0], x.box[1] + 1):
        for j in range(x.box[2], x.box[3] + 1):
            out = max(x.right[i, j], 0.0) + max(x.below[i, j], 0.0)
            out += max(-x.right[i, j - 1], 0.0) + max(-x.below[i - 1, j], 0.0)
            lost = out * step / x.size
            x.share[i, j] = x.deep[i, j] / lost if lost > x.deep[i, j] else 1.0
    for i in range(x.box[0] - 1, x.box[1] + 1):
        for j in range(x.box[2] - 1, x.box[3] + 1):
            x.right[i, j] *= x.share[i, j] if x.right[i, j] > 0.0 else x.share[i, j + 1]
            x.below[i, j] *= x.share[i, j] if x.below[i, j] > 0.0 else x.share[i + 1, j]


@numba.njit
def _move(x: State, now: float, step: float) -> float:
    """Let the water flow; returns what was swallowed [m3]."""
    left = 0.0
    top, bottom, first, last = x.box[0], x.box[1], x.box[2], x.box[3]
    for i in range(top - 1, bottom + 2):
        for j in range(first - 1, last + 2):
            if x.height[i, j] >= SOLID:
                continue
            gain = x.right[i, j - 1] - x.right[i, j] + x.below[i - 1, j] - x.below[i, j]
            x.deep[i, j] = max(x.deep[i, j] + gain * step / x.size, 0.0)
            if gain > 0.0 and not x.wet[i, j]:
                x.wet[i, j] = True
                x.arrival[i, j] = now
                x.box[0], x.box[1] = min(x.box[0], i), max(x.box[1], i)
                x.box[2], x.box[3] = min(x.box[2], j), max(x.box[3], j)
            if x.swallows[i, j]:
                left += x.deep[i, j] * x.size * x.size
                x.deep[i, j] = 0.0
    return left

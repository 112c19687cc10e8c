"""Which of many spots probes should stand at: least litres on average, and least in the worst case.

Everything here is asked of one table: litres on the floor at which a probe at each spot gets wet, by scenario (a leak
on one of the floors that fit the readings). A rope, or a tray with its probe, is a spot like any other, with a column
of its own. Litres beyond a cap are the cap: nobody is told before.

The average is minimised by adding the best spot again and again, then by exchanging one for another as long as that
helps, begun from several first spots. Adding alone reaches 63 % of the best saving (Nemhauser, Wolsey, Fisher 1978,
from memory), and nothing of the kind for litres. The worst case is exact: the least number of spots that see every
scenario by so many litres, a set cover, is asked for at ever closer litres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

LEAST_GAIN = 1e-9  # of the litres that are left: a smaller gain is rounding [1]
STARTS = 20  # spots, the best by themselves, from each of which exchanges begin anew; our prior


@dataclass(frozen=True)
class Placed:
    """Spots, and what they are worth.

    spots     columns of the table, those that stood there before first
    expected  litres on average over the scenarios; worst: in the worst of them
    never     share of the scenarios in which none of them gets wet below the cap [1]
    exact     whether no other choice of so many can be better in what was asked for
    """

    spots: tuple[int, ...]
    expected: float
    worst: float
    never: float
    exact: bool


def worth(litres: Any, spots: Sequence[int], cap: float, weights: Any = None, exact: bool = False) -> Placed:
    """What a choice of spots is worth. ``litres``: shape (scenarios, spots) [any unit of volume]; ``weights`` of the
    scenarios, all alike if left out."""
    table = np.minimum(litres, cap)
    seen = table[:, list(spots)].min(axis=1) if len(spots) else np.full(len(table), float(cap))
    each = _weights(len(table), weights)
    return Placed(tuple(spots), float(seen @ each), float(seen.max()), float(each[seen >= cap].sum()), exact)


def least_expected(litres: Any, number: int, cap: float, weights: Any = None, kept: Sequence[int] = ()) -> Placed:
    """``number`` spots besides those ``kept`` with the least litres on average, as far as exchanges find them.

    Raises ValueError where there are fewer spots than asked for.
    """
    table, each, new = _asked(litres, number, cap, weights, kept)
    there = table[:, list(kept)].min(axis=1) if len(kept) else np.full(len(table), float(cap))
    alone = each @ np.minimum(table[:, new], there[:, None])
    begun = [
        _exchanged(table, there, int(new[k]), number, new, each) for k in np.argsort(alone, kind="stable")[:STARTS]
    ]
    best = min(begun, key=lambda chosen: _mean(table, there, chosen, each)) if number else []
    return worth(litres, (*kept, *best), cap, weights, exact=number <= 1)


def _exchanged(table: Any, there: Any, first: int, number: int, new: Any, each: Any) -> list[int]:
    """So many spots begun with one, the best added again and again, then exchanged for others as long as that helps."""
    chosen = [first]
    while len(chosen) < number:
        chosen.append(_best(table, there, chosen, new, each)[0])
    better = number > 1
    while better:
        better = False
        for place in range(number):
            others = chosen[:place] + chosen[place + 1 :]
            spot, value = _best(table, there, others, new, each)
            if value < _mean(table, there, chosen, each) * (1.0 - LEAST_GAIN):
                chosen[place] = spot
                better = True
    return chosen


def least_worst(litres: Any, number: int, cap: float, weights: Any = None, kept: Sequence[int] = ()) -> Placed:
    """``number`` spots besides those ``kept`` with the least litres in the worst case; no choice has less.

    Of several that are as good in the worst case it tells one. Raises ValueError where there are fewer spots than asked
    for.
    """
    table, _, new = _asked(litres, number, cap, weights, kept)
    there = table[:, list(kept)].min(axis=1) if len(kept) else np.full(len(table), float(cap))
    free = table[:, new]
    steps = np.unique(np.minimum(free, there[:, None]))
    steps = steps[steps >= np.minimum(free.min(axis=1), there).max()]  # no choice does better than all spots together
    low, high, best = 0, len(steps) - 1, list[int]()
    while low < high:
        middle = (low + high) // 2
        found = _cover(free[there > steps[middle]] <= steps[middle], number)
        if found is None:
            low = middle + 1
        else:
            high, best = middle, found
    if not best:
        best = _cover(free[there > steps[low]] <= steps[low], number) or []
    chosen = [int(new[column]) for column in best]
    filled = least_expected(
        litres, number - len(chosen), cap, weights, (*kept, *chosen)
    )  # what is left helps on average
    return worth(litres, filled.spots, cap, weights, exact=True)


def _asked(litres: Any, number: int, cap: float, weights: Any, kept: Sequence[int]) -> tuple[Any, Any, Any]:
    table = np.minimum(np.asarray(litres, dtype=float), cap)
    new = np.setdiff1d(np.arange(table.shape[1]), np.asarray(kept, dtype=int))
    if not 0 <= number <= len(new):
        raise ValueError(f"{number} spots are asked for, and there are {len(new)}")
    return table, _weights(len(table), weights), new


def _weights(number: int, weights: Any) -> Any:
    each = np.ones(number) if weights is None else np.asarray(weights, dtype=float)
    return each / each.sum()


def _mean(table: Any, there: Any, chosen: Sequence[int], each: Any) -> float:
    return float(np.minimum(there, table[:, list(chosen)].min(axis=1)) @ each)


def _best(table: Any, there: Any, others: Sequence[int], new: Any, each: Any) -> tuple[int, float]:
    """The spot that adds most to those that stand there and the ``others``, and the mean that is left."""
    so_far = np.minimum(there, table[:, list(others)].min(axis=1)) if len(others) else there
    left = [spot for spot in new if spot not in others]
    means = each @ np.minimum(table[:, left], so_far[:, None])
    place = int(np.argmin(means))
    return int(left[place]), float(means[place])


def _cover(sees: Any, number: int) -> list[int] | None:
    """At most ``number`` columns of which every row has one; None: there are none such. ``sees``: True and False."""
    if not sees.any(axis=1).all():
        return None
    if not len(sees):
        return []
    rows, columns = _needed(sees)
    small = sees[np.ix_(rows, columns)]
    found = _fewest(small)
    return [int(columns[k]) for k in found] if len(found) <= number else None


def _needed(sees: Any) -> tuple[Any, Any]:
    """Rows and columns that are left when those are taken out that another one makes needless."""
    rows, columns = np.arange(sees.shape[0]), np.arange(sees.shape[1])
    for _ in range(4):
        before = (len(rows), len(columns))
        columns = columns[_not_within(sees[np.ix_(rows, columns)].T)]
        rows = rows[_not_within(~sees[np.ix_(rows, columns)])]
        if (len(rows), len(columns)) == before:
            break
    return rows, columns


def _not_within(sets: Any) -> Any:
    """Which rows are no part of another one; of equal ones the first. ``sets``: True and False."""
    held = sets.astype(np.float32)
    sizes = held.sum(axis=1)
    common = held @ held.T
    within = (common >= sizes[:, None] - 0.5) & (sizes[None, :] >= sizes[:, None] - 0.5)
    equal = within & within.T
    order = np.arange(len(sets))
    loses = (within & ~equal) | (equal & (order[None, :] < order[:, None]))
    np.fill_diagonal(loses, False)
    return ~loses.any(axis=1)


def _fewest(sees: Any) -> list[int]:
    """The fewest columns of which every row has one."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    if sees.shape[1] == 1:
        return [0]
    answer = milp(
        np.ones(sees.shape[1]),
        integrality=np.ones(sees.shape[1]),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(csr_array(sees.astype(float)), 1.0, np.inf),
    )
    if answer.x is None:
        raise ArithmeticError(f"no answer of the set cover: {answer.message}")
    return [int(k) for k in np.flatnonzero(answer.x > 0.5)]

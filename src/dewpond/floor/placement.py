"""Which of many spots probes should stand at: least litres on average, and least in the worst case.

Everything here is asked of one table: litres on the floor at which a probe at each spot gets wet, by scenario (a leak
on one of the floors that fit the readings). A rope, or a tray with its probe, is a spot like any other, with a column
of its own. Litres beyond a cap are the cap: nobody is told before.

The average is minimised by adding the best spot again and again, then by exchanging one for another as long as that
helps, begun from several first spots; of two, every pair that may be the best is tried. Adding alone reaches 63 % of
the best saving (Nemhauser, Wolsey, Fisher 1978, from memory), and nothing of the kind for litres. The worst case is
exact: whether so many spots see every scenario by so many litres, a set cover, is asked for at ever closer litres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

LEAST_GAIN = 1e-9  # of the litres that are left: a smaller gain is rounding [1]
MOST_LOOKED_AT = 200_000  # rows times columns of a set cover, beyond which it is given up; our prior
MOST_BRANCHES = 2_000  # of its search, beyond which it is given up; our prior
NO_SUCH = 2  # how scipy's milp says that nothing answers a question
ABOVE = 1e3  # times the cap is added to what lies above the worst case, so that no exchange gives it up [1]
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
    """``number`` spots besides those ``kept`` with the least litres on average: of one or two no choice has less, of
    more none that exchanges find.

    Raises ValueError where there are fewer spots than asked for.
    """
    free, there, each, new = _asked(litres, number, cap, weights, kept)
    alone = each @ np.minimum(free, there[:, None])
    firsts = np.argsort(alone, kind="stable")
    if number == 2:
        best = _best_pair(free, there, each, firsts, alone)
    else:
        begun = [_exchanged(free, there, [int(first)], number, each) for first in firsts[:STARTS]] if number else [[]]
        best = min(begun, key=lambda chosen: _mean(free, there, chosen, each))
    return worth(litres, (*kept, *(int(new[k]) for k in best)), cap, weights, exact=number <= 2)


def _best_pair(free: Any, there: Any, each: Any, order: Any, alone: Any) -> list[int]:
    """The two with the least mean. Two spare no more than each by itself does: pairs that cannot are left out."""
    table, bare = np.ascontiguousarray(np.minimum(free, there[:, None])[:, order]), float(there @ each)
    spared = bare - alone[order]  # the most first
    best = _exchanged(free, there, [int(order[0])], 2, each)
    most = bare - _mean(free, there, best, each)
    for i in range(len(order) - 1):
        stop = i + 1 + int(np.searchsorted(-spared[i + 1 :], spared[i] - most, side="left"))
        if stop == i + 1:
            break
        means = each @ np.minimum(table[:, i + 1 : stop], table[:, [i]])
        j = int(means.argmin())
        if bare - means[j] > most * (1.0 + LEAST_GAIN):
            most, best = float(bare - means[j]), [int(order[i]), int(order[i + 1 + j])]
    return best


def _exchanged(free: Any, there: Any, begun: Sequence[int], number: int, each: Any) -> list[int]:
    """So many spots begun with some: the best added again and again, then exchanged as long as that helps."""
    chosen = list(begun)
    while len(chosen) < number:
        chosen.append(_best(free, there, chosen, each)[0])
    better = True
    while better:
        better = False
        for place in range(number):
            others = chosen[:place] + chosen[place + 1 :]
            spot, value = _best(free, there, others, each)
            if value < _mean(free, there, chosen, each) * (1.0 - LEAST_GAIN):
                chosen[place] = spot
                better = True
    return chosen


def least_worst(litres: Any, number: int, cap: float, kept: Sequence[int] = ()) -> Placed:
    """``number`` spots besides those ``kept`` with the least litres in the worst case; no choice has less, where the
    answer is exact (else the question was too wide to be searched to its end).

    Of several that are as good in the worst case it tells one that no exchange makes better on average. Raises
    ValueError where there are fewer spots than asked for.
    """
    free, there, each, new = _asked(litres, number, cap, None, kept)
    steps = np.unique(np.minimum(free, there[:, None]))
    steps = steps[steps >= np.minimum(free.min(axis=1), there).max()]  # no choice does better than all spots together
    low, high, best, exact = 0, len(steps) - 1, list[int](), True
    while low < high:
        middle = (low + high) // 2
        found, sure = _cover(free[there > steps[middle]] <= steps[middle], number)
        if found is None:
            low, exact = middle + 1, exact and sure
        else:
            high, best = middle, found
    if not best:
        best = _cover(free[there > steps[low]] <= steps[low], number)[0] or []
    dear, dear_there = (one + ABOVE * cap * (one > steps[low]) for one in (free, there))
    chosen = _exchanged(dear, dear_there, best, number, each) if number else []
    return worth(litres, (*kept, *(int(new[column]) for column in chosen)), cap, exact=exact)


def _asked(litres: Any, number: int, cap: float, weights: Any, kept: Sequence[int]) -> tuple[Any, Any, Any, Any]:
    """Litres of the spots that may be chosen, of those that stay, the weights, and the numbers of the former."""
    table = np.minimum(np.asarray(litres, dtype=float), cap)
    new = np.setdiff1d(np.arange(table.shape[1]), np.asarray(kept, dtype=int))
    if not 0 <= number <= len(new):
        raise ValueError(f"{number} spots are asked for, and there are {len(new)}")
    there = table[:, list(kept)].min(axis=1) if len(kept) else np.full(len(table), float(cap))
    return np.ascontiguousarray(table[:, new]), there, _weights(len(table), weights), new


def _weights(number: int, weights: Any) -> Any:
    each = np.ones(number) if weights is None else np.asarray(weights, dtype=float)
    return each / each.sum()


def _mean(free: Any, there: Any, chosen: Sequence[int], each: Any) -> float:
    return float(_so_far(free, there, chosen) @ each)


def _so_far(free: Any, there: Any, chosen: Sequence[int]) -> Any:
    return np.minimum(there, free[:, list(chosen)].min(axis=1)) if len(chosen) else there


def _best(free: Any, there: Any, others: Sequence[int], each: Any) -> tuple[int, float]:
    """The spot that adds most to those that stand there and the ``others``, and the mean that is left."""
    means = each @ np.minimum(free, _so_far(free, there, others)[:, None])
    means[list(others)] = np.inf
    place = int(np.argmin(means))
    return place, float(means[place])


def _cover(sees: Any, number: int) -> tuple[list[int] | None, bool]:
    """At most ``number`` columns of which every row has one, None where there are none such; and whether that is sure.
    ``sees``: True and False."""
    if not len(sees):
        return [], True
    if number == 0 or not sees.any(axis=1).all():
        return None, True
    found = _one_after_another(sees, number)
    if found is not None or _too_many(sees, number):
        return found, True
    rows, columns = _needed(sees)
    chosen, sure = _so_many(sees[np.ix_(rows, columns)], number)
    return None if chosen is None else [int(columns[k]) for k in chosen], sure


def _one_after_another(sees: Any, number: int) -> list[int] | None:
    """Columns with one for every row, each time the one that most rows still need; None: so many do not reach."""
    left, chosen = sees, list[int]()
    while len(left) and len(chosen) < number:
        chosen.append(int(left.sum(axis=0).argmax()))
        left = left[~left[:, chosen[-1]]]
    return None if len(left) else chosen


def _too_many(sees: Any, number: int) -> bool:
    """Whether no ``number`` columns can do: they do not have so many rows, or more rows than that have no column in
    common, two by two."""
    if int(np.sort(sees.sum(axis=0))[-number:].sum()) < len(sees):
        return True
    left = sees[np.argsort(sees.sum(axis=1), kind="stable")]
    for _ in range(number):
        left = left[~left[:, left[0]].any(axis=1)]
        if not len(left):
            return False
    return True


def _so_many(sees: Any, number: int) -> tuple[list[int] | None, bool]:
    """The same as ``_cover``, by HiGHS."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    if sees.size > MOST_LOOKED_AT:
        return None, False
    each = np.ones(sees.shape[1])
    answer = milp(
        each,
        integrality=each,
        bounds=Bounds(0, 1),
        constraints=[LinearConstraint(csr_array(sees.astype(float)), 1.0, np.inf), LinearConstraint(each, 0, number)],
        options={"node_limit": MOST_BRANCHES},
    )
    if answer.x is not None:
        return [int(k) for k in np.flatnonzero(answer.x > 0.5)], True
    return None, answer.status == NO_SUCH


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

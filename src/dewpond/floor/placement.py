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
TRIES = 3_000  # choices looked at for one figure of the worst case, before the search is given up; our prior
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
        begun = [_exchanged(free, there, int(first), number, each) for first in firsts[:STARTS]] if number else [[]]
        best = min(begun, key=lambda chosen: _mean(free, there, chosen, each))
    return worth(litres, (*kept, *(int(new[k]) for k in best)), cap, weights, exact=number <= 2)


def _best_pair(free: Any, there: Any, each: Any, order: Any, alone: Any) -> list[int]:
    """The two with the least mean. Two spare no more than each by itself does: pairs that cannot are left out."""
    table, bare = np.ascontiguousarray(np.minimum(free, there[:, None])[:, order]), float(there @ each)
    spared = bare - alone[order]  # the most first
    best = _exchanged(free, there, int(order[0]), 2, each)
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


def _exchanged(free: Any, there: Any, first: int, number: int, each: Any) -> list[int]:
    """So many spots begun with one, the best added again and again, then exchanged for others as long as that helps."""
    chosen = [first]
    while len(chosen) < number:
        chosen.append(_best(free, there, chosen, each)[0])
    better = number > 1
    while better:
        better = False
        for place in range(number):
            others = chosen[:place] + chosen[place + 1 :]
            spot, value = _best(free, there, others, each)
            if value < _mean(free, there, chosen, each) * (1.0 - LEAST_GAIN):
                chosen[place] = spot
                better = True
    return chosen


def least_worst(litres: Any, number: int, cap: float, weights: Any = None, kept: Sequence[int] = ()) -> Placed:
    """``number`` spots besides those ``kept`` with the least litres in the worst case; no choice has less, where the
    answer is exact (else the question was too wide to be searched to its end).

    Of several that are as good in the worst case it tells one. Raises ValueError where there are fewer spots than asked
    for.
    """
    free, there, _, new = _asked(litres, number, cap, weights, kept)
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
    chosen = [int(new[column]) for column in best]
    filled = least_expected(
        litres, number - len(chosen), cap, weights, (*kept, *chosen)
    )  # what is left helps on average
    return worth(litres, filled.spots, cap, weights, exact)


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
    search = _Search(TRIES)
    chosen = search.cover(sees[np.ix_(rows, columns)], number)
    return None if chosen is None else [int(columns[k]) for k in chosen], chosen is not None or search.tries > 0


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


class _Search:
    """A search for columns with one for every row: by the row that fewest have, one of its columns after the other."""

    def __init__(self, tries: int) -> None:
        self.tries = tries

    def cover(self, sees: Any, number: int) -> list[int] | None:
        """At most ``number`` columns; None: there are none such, or no tries are left."""
        if not len(sees):
            return []
        self.tries -= 1
        if number == 0 or self.tries <= 0 or _too_many(sees, number):
            return None
        rarest = sees[int(sees.sum(axis=1).argmin())]
        options = np.flatnonzero(rarest)
        if number == 1:
            whole = options[sees[:, options].all(axis=0)]
            return [int(whole[0])] if len(whole) else None
        for column in options[np.argsort(-sees[:, options].sum(axis=0), kind="stable")]:
            rest = self.cover(sees[~sees[:, column]], number - 1)
            if rest is not None:
                return [int(column), *rest]
        return None


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

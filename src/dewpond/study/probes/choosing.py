"""Where so many probes should stand, what those of now are worth, and what a rope or a tray in place of one does."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from dewpond.floor.placement import Placed, least_expected, least_worst, worth
from dewpond.study.probes.model import NOW, POINT, ROPE, TRAY, Cases, Lost, Option, Step

ROUNDS = 4  # of exchanging the one rope or tray and the probes for each other, before it is left at that
STRAYED = 1.1  # times the litres on average that a probe may cost by standing beside its spot; our prior
Heard = Callable[[], None]


class Choosing:
    """Choices among the columns of some cases. ``stay``: numbers of the columns that are kept in every choice."""

    def __init__(self, cases: Cases, stay: Sequence[int], cap: float) -> None:
        self.cases, self.stay, self.cap = cases, tuple(stay), cap
        self.sorts = np.array([one.sort for one in cases.columns])

    def worth(self, columns: Sequence[int]) -> Placed:
        """What some columns are worth together."""
        return worth(self.cases.counted, columns, self.cap)

    def _among(self, sorts: Sequence[str], kept: Sequence[int]) -> list[int]:
        """Numbers of the columns that may be chosen, those kept first."""
        free = [int(k) for k in np.flatnonzero(np.isin(self.sorts, sorts)) if k not in kept]
        return [*kept, *free]

    def average(self, number: int, sorts: Sequence[str] = (POINT, NOW), kept: Sequence[int] | None = None) -> Placed:
        """So many of some sorts besides those kept (None: those that stay) with the least litres on average."""
        there = self.stay if kept is None else tuple(kept)
        among = self._among(sorts, there)
        found = least_expected(self.cases.counted[:, among], number, self.cap, kept=range(len(there)))
        return self._told(found, among)

    def worst(self, number: int) -> Placed:
        """So many probes besides those that stay with the least litres in the worst case."""
        among = self._among((POINT, NOW), self.stay)
        found = least_worst(self.cases.counted[:, among], number, self.cap, range(len(self.stay)))
        return self._told(found, among)

    def drains_watched(self, number: int) -> Placed:
        """So many probes besides those that stay with the least litres on average where water runs on, to the cap, that
        a floor drain takes while none of them feels it; what they are worth is told as of any other choice."""
        among = self._among((POINT, NOW), self.stay)
        found = least_expected(self.cases.litres[:, among], number, self.cap, kept=range(len(self.stay)))
        spots = self._told(found, among).spots
        return replace(self.worth(spots), exact=found.exact)

    def _told(self, found: Placed, among: Sequence[int]) -> Placed:
        return replace(found, spots=tuple(among[k] for k in found.spots))

    def spots(self, sorts: Sequence[str]) -> int:
        """How many columns there are to choose from, besides those that stay."""
        return len(self._among(sorts, self.stay)) - len(self.stay)

    def steps(self, most: int, heard: Heard) -> Iterator[Step]:
        """One probe, two, and so on."""
        for number in range(1, most + 1):
            yield Step(number, self.average(number), self.worst(number), self.crossed(number))
            heard()

    def crossed(self, number: int) -> Placed | None:
        """What so many are worth that are chosen by one half of the floors and judged by the other, in both ways: a
        choice is flattered by the floors that it was made for. None: one half is empty."""
        odd = self.cases.half
        among = self._among((POINT, NOW), self.stay)
        litres = self.cases.counted[:, among]
        shares, judged = [], []
        for judge in (odd, ~odd):
            shares.append(float(judge.mean()))
            if not 0.0 < shares[-1] < 1.0:
                return None
            spots = least_expected(litres[~judge], number, self.cap, kept=range(len(self.stay))).spots
            judged.append(worth(litres[judge], spots, self.cap))
        expected = sum(share * one.expected for share, one in zip(shares, judged, strict=True))
        never = sum(share * one.never for share, one in zip(shares, judged, strict=True))
        return Placed((), expected, max(one.worst for one in judged), never, exact=False)

    def options(self, number: int, heard: Heard) -> Iterator[Option]:
        """One rope or one tray, alone and with probes besides, so many things in all."""
        for sort in (ROPE, TRAY):
            if self.spots((sort,)):
                yield Option(sort, 1, self.average(1, (sort,)))
                if number > 1:
                    yield Option(sort, number, self._beside(sort, number))
            heard()

    def _beside(self, sort: str, number: int) -> Placed:
        """One of a sort with probes besides it: each is chosen anew for the other as long as that helps."""
        best = self.average(number - 1, kept=self.average(1, (sort,)).spots)
        for _ in range(ROUNDS):
            probes = tuple(k for k in best.spots if self.sorts[k] != sort or k in self.stay)
            one = self.average(1, (sort,), kept=probes).spots[-1]
            again = self.average(number - 1, kept=(*self.stay, one))
            if again.expected >= best.expected:
                break
            best = again
        return replace(best, exact=False)

    def stray(self, placed: Placed) -> tuple[float | None, ...]:
        """How far from its spot each new probe may stand before the average is a tenth more: the distance of the
        nearest spot at which it is [cells]; None: of one that stays, and of all that are no points."""
        found: list[float | None] = []
        for column in placed.spots:
            one = self.cases.columns[column]
            if column in self.stay or one.sort != POINT:
                found.append(None)
                continue
            others = [k for k in placed.spots if k != column]
            like = [k for k, two in enumerate(self.cases.columns) if two.sort == POINT and two.storey == one.storey]
            far = np.array([math.dist(self.cases.columns[k].cells[0], one.cells[0]) for k in like])
            there = np.minimum(self.cases.counted[:, others].min(axis=1, initial=np.inf), self.cap)
            means = np.minimum(self.cases.counted[:, like], there[:, None]).mean(axis=0)
            worse = means > STRAYED * placed.expected
            found.append(float(far[worse].min()) if worse.any() else float(far.max()))
        return tuple(found)

    def lost(self) -> Iterator[Lost]:
        """Each probe of the file: what the others are worth without it."""
        there = [int(k) for k in np.flatnonzero(self.sorts == NOW)]
        for column in there:
            yield Lost(self.cases.columns[column].name, self.worth([k for k in there if k != column]))

"""Trials of the limits of a demand: a run too long, the pause between two, the day's most, and power cuts in each."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from dewpond.study.matrix.bench import Force
from dewpond.study.matrix.logic import Limit
from dewpond.study.matrix.model import message_key
from dewpond.study.matrix.planner import PAUSE, SLACK, SOON, Draft, Maker, Planner, cell
from dewpond.study.matrix.trial import Trial

MOST_RUNS: Final = 10  # with more, a clock that is slightly wrong ends the day in another run
OF_LIMIT: Final = 0.7  # a run that is to stay below its limit lasts so much of it [1]


class Run:
    """Trials of the limits of one demand."""

    def __init__(self, planner: Planner, limit: Limit, box: str) -> None:
        self.planner, self.limit, self.box, self.part = planner, limit, box, limit.part
        self.number = limit.rule.line.number
        self.gap = 1.2 * (limit.gap or 0.0)
        self.by_hand = limit.after is not None and limit.after.latched
        self.day = limit.day / limit.flow if limit.day is not None and limit.flow else None

    def makers(self) -> Iterator[Maker]:
        """A run too long, what becomes of it in a power cut, the pause between runs, the day's most."""
        barred = {*self.planner.stops(self.part), *self.planner.demands(self.part)} - {self.number}
        pairs = (self.planner.pair(self.number, one.sensor, (), barred) for one in self.limit.rule.asked)
        pair = next((one for one in pairs if one is not None), None)
        if pair is None:
            return
        self.off, self.on = pair
        if self.limit.at_most is not None:
            yield self._too_long
            yield self._held_button
            yield lambda: self._lock_restart(True)
            yield lambda: self._lock_restart(False)
            yield self._run_restart
        if self.limit.gap is not None:
            yield self._pause
        if self.day is not None:
            yield lambda: self._day(False)
            yield lambda: self._day(True)

    def _again(self, draft: Draft) -> None:
        """The demand ends and comes again, and the pause between two runs passes."""
        draft.go(self.off).go(self.on)
        if self.gap:
            draft.until(self.gap)

    def _until_locked(self, draft: Draft) -> Draft:
        assert self.limit.at_most is not None
        draft.go(self.off).go(self.on)
        if self.day is not None and self.day <= 1.1 * self.limit.at_most < 1.6 * self.day:
            draft.until(
                OF_LIMIT * self.day
            )  # the day ends the run before its limit does, unless it ends itself meanwhile
            draft.do(Force("midnight", "", True))
        before = draft.now
        ended = draft.until(1.2 * self.limit.at_most)
        after = self.limit.after
        if ended and after is not None:
            keys = [self.part, *([message_key(after.tells)] if after.tells else [])]
            shown = [key for key in keys if draft.now[key] != before[key]]
            draft.show(*(cell(after.number, key, fired) for key in shown for fired in (True, False)))
        return draft

    def _too_long(self) -> Trial:
        draft = self._until_locked(Draft(self.planner))
        if self.by_hand:
            draft.press([self.box])
        draft.until(self.gap or PAUSE)
        self._again(draft)
        if self.by_hand:
            draft.go(self.off).press([self.box]).go(self.on)
            if self.gap:
                draft.until(self.gap)
        return draft.go(self.off).trial(f"{self.part} runs too long", self.number)

    def _held_button(self) -> Trial | None:
        if not self.by_hand:
            return None
        draft = self._until_locked(Draft(self.planner).do(Force("button", self.box, True)))
        self._again(draft)
        draft.do(Force("button", self.box, False)).go(self.off).press([self.box])
        return draft.trial(f"{self.part} runs too long, button held", self.number)

    def _lock_restart(self, taped: bool) -> Trial | None:
        if taped and not self.by_hand:
            return None
        draft = self._until_locked(Draft(self.planner))
        if taped:
            draft.go(self.off)
        draft.restart(self.box, taped)
        self._again(draft)
        draft.go(self.off)
        if self.by_hand:
            draft.press([self.box])
        title = f"{self.box} without power after too long a run of {self.part}" + (", button held" if taped else "")
        return draft.trial(title, self.number)

    def _run_restart(self) -> Trial:
        assert self.limit.at_most is not None
        draft = Draft(self.planner).go(self.off).go(self.on)
        draft.until(OF_LIMIT * self.limit.at_most)
        draft.restart(self.box).until(1.2 * self.limit.at_most)
        return draft.go(self.off).trial(f"{self.box} without power in a run of {self.part}", self.number)

    def _pause(self) -> Trial:
        draft = Draft(self.planner).go(self.off).go(self.on)
        draft.until(0.2 * min(self.limit.at_most or self.gap, self.day or self.gap, self.gap))
        self._again(draft)
        return draft.go(self.off).trial(f"the pause between two runs of {self.part}", self.number)

    def _day(self, cut: bool) -> Trial | None:
        """Run after run until the day's most is given; midnight; and once with a power cut half way."""
        assert self.day is not None
        run, done = self._share(2 if cut else 1), not cut
        if run is None:
            return None
        draft = Draft(self.planner).go(self.off)
        for _ in range(2 * MOST_RUNS):
            if draft.go(self.on).until(run):
                break
            draft.go(self.off)
            if not done:
                draft.restart(self.box)
                done = True
            elif self.gap:
                draft.until(self.gap)
        else:
            return None
        draft.until(self.gap or PAUSE)
        draft.do(Force("midnight", "", True))
        return draft.go(self.off).trial(
            f"the most of {self.part} in a day" + (f", {self.box} without power meanwhile" if cut else ""), self.number
        )

    def _share(self, fewest: int) -> float | None:
        """How long to let each run last [s], so that the day's most is given in the middle of the last and no run is
        too long; None where that takes too many."""
        assert self.day is not None
        most = self.limit.at_most
        if fewest == 1 and (most is None or 1.2 * self.day < most):
            return 1.2 * self.day
        for runs in range(2, MOST_RUNS + 1):
            whole = self.day / (runs - 0.5)
            if most is None or whole <= OF_LIMIT * most:
                # What is forced is seen after SOON, and a wait is longer by its tolerance.
                return max(min((whole - SOON) / (1.0 + SLACK), whole - 2.0 * SOON), SOON)
        return None

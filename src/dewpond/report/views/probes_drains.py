"""What a floor drain takes while no probe feels it, in words: beside what probes are worth in litres."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from dewpond.floor.placement import Placed
from dewpond.report.views.shown import joined
from dewpond.study.probes.model import Drained, Probes

DOWN: Final = "down a drain"
RUNS_ON: Final = "nothing then stops that water, and it runs on until somebody looks or the bill comes"
NOT_DOWN: Final = "If water must not run unseen into a drain either"
OTHER_AIM: Final = (
    "The best on average counts what a drain takes as over and done with; this choice counts it as running on, as long "
    "as no probe feels it. Take it where a leak must not run into a drain for weeks."
)
ALONE: Final = "Do not take a probe away for what it spares alone."


class Drains:
    """For one answer."""

    def __init__(self, found: Probes) -> None:
        self.found = found

    @property
    def any(self) -> bool:
        """Whether a floor drain takes water of any leak on any floor."""
        return bool(self.found.drained(()))

    def with_new(self, placed: Placed) -> str:
        """Of probes that are placed anew; nothing where they feel all before a drain has it."""
        lost = self.found.drained(placed.spots)
        return f"With these probes {_takes(lost)}, and no probe ever feels it: {RUNS_ON}." if lost else ""

    def beside(self, watched: Placed) -> str:
        """What a choice leaves to the drains that reckons with them; beside the best on average, which does not."""
        lost = self.found.drained(watched.spots)
        rest = f"Still {_takes(lost)}, and no probe ever feels it." if lost else "Then no drain takes water unseen."
        return f"{OTHER_AIM} {rest}"

    def of_now(self) -> str:
        """Of the probes of the file, and of all but one of them where that is more; nothing where neither is."""
        present = self.found.present
        now = self.found.drained(present.spots) if present is not None else ()
        told = [f"With all of them {_takes(now)}, and no probe ever feels it: {RUNS_ON}."] if now else []
        for one in self.found.lost:
            more = [lost for lost in self.found.drained(one.without.spots) if lost not in now]
            if more and now:
                told.append(f"Without {one.name} it is so with {leaks(more)}.")
            elif more:
                told.append(f"Without {one.name} {_takes(more)}, and no probe ever feels it: {RUNS_ON}.")
        return " ".join([*told, ALONE]) if told else ""


def _takes(lost: Sequence[Drained]) -> str:
    return f"a floor drain takes the water of {leaks(lost)}"


def leaks(lost: Sequence[Drained]) -> str:
    """ "leaks in utility room on 13 to 16 of 20 floors"."""
    return joined([f"leaks in {one.place} {_on(one)}" for one in lost])


def _on(one: Drained) -> str:
    least, most = (round(share * one.floors) for share in (one.least, one.most))
    if least == one.floors:
        return f"on all {one.floors} floors"
    if least == most:
        return f"on {most} of {one.floors} floors"
    return f"on {f'{least} to' if least else 'up to'} {most} of {one.floors} floors"

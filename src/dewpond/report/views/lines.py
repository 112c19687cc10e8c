"""Breaks of the line that nothing automatic ends for good, and what each lets out."""

from __future__ import annotations

from dewpond.report.views import failures
from dewpond.report.views.blocks import Grid
from dewpond.report.views.cures import OF_THE_LINE, group
from dewpond.report.views.drains import SPOONFUL
from dewpond.report.views.shown import Shown
from dewpond.study.outcome import StudyResult

AWAY = "travelling"
MOST = 20  # rows
HOUR = 3600.0


def open_lines(result: StudyResult, shown: Shown) -> tuple[Grid, ...]:
    """Breaks that go on to the end with everybody away, each with its rate from its own run."""
    rows = []
    for outcome in failures.singles(result, AWAY):
        told = outcome.told
        if (
            told.still_running
            and told.first_water is not None
            and group(outcome.faults[0], result.design) in OF_THE_LINE
        ):
            rate = (told.water.off_floors + told.water.lying + told.water.dried) / (told.horizon - told.first_water)
            place = max(told.by_place, key=lambda name: told.by_place[name], default="")
            rows.append(
                (rate, (outcome.faults[0], place, shown.litres(HOUR * rate) if HOUR * rate > SPOONFUL else "drops"))
            )
    if not rows:
        return ()
    rows.sort(key=lambda row: -row[0])
    left = len(rows) - MOST
    more = f"and {left} more, none of which lets out more than the last one shown" if left > 0 else ""
    caption = "Breaks of the line that nothing automatic ends for good: what they let out on average, everybody away"
    head = ("break", "most of it comes to", "an hour")
    return (Grid(caption, head, tuple(row for _, row in rows[:MOST]), (2,), more=more),)

"""Runs of a study made once more for their charts: a study keeps what came of a run, not its levels over time."""

from __future__ import annotations

from collections.abc import Sequence

from dewpond.plant import engine
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.study import drills
from dewpond.study.outcome import Outcome, StudyResult
from dewpond.study.starting import begin

ROWS = 120  # of a chart


def retrace(
    result: StudyResult, outcomes: Sequence[Outcome], compiled: bool = True
) -> tuple[Plant, list[tuple[Outcome, Trace]]]:
    """The plant of a study, and each of some outcomes of single faults with its run. The run is the same as in the
    study but for the rows that are kept of it; ``compiled`` as in engine.run."""
    plant = begin(result.design, result.season, result.start)
    made = []
    for outcome in outcomes:
        (label,) = outcome.faults
        drill = drills.single(plant.fault(label), outcome.who, outcome.told.horizon)
        if outcome.floors is not None:
            drill = drill._replace(lying=outcome.floors.lying)
        made.append((outcome, engine.run(plant, drill.scenario, rows=ROWS, compiled=compiled)))
    return plant, made

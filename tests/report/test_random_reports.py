"""Every face of random designs: pages, lists, drills and studies are written for whatever a keeper describes."""

from __future__ import annotations

import json
import random

import pytest

from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY
from dewpond.report import page, records, terminal
from dewpond.report.views.drill import drill_report
from dewpond.report.views.study import study_report
from dewpond.study import drills
from dewpond.study.drills import Drill
from dewpond.study.study import kept, run_study
from tests.plant.random_designs import random_design


def written(seed: int, parts: int, count: int) -> int:
    """Drills of a random design told on the terminal, as a page and as JSON; returns how many."""
    rng = random.Random(f"told {seed}")
    design = read_text(random_design(seed, parts).text(), "random.yaml")
    plant = lower(design, rng.choice(("winter", "summer")))
    singles = rng.sample(drills.singles(plant, (("at home", DAY), ("travelling", DAY))), count)
    one, two = rng.sample([drill.faults[0] for drill in drills.singles(plant, (("out", DAY),))], 2)
    planned = [drills.normal("asleep", DAY), *singles, Drill((one, two), "as typed", "out", DAY)]
    for drill in planned:
        trace = engine.run(plant, drill.scenario, rows=60, compiled=True)
        outcome = kept(plant, trace, drill.order)
        report = drill_report(design, plant, trace, outcome, None)
        assert terminal.render(report)
        assert page.render(report).rstrip().endswith("</html>")
        told = json.dumps(records.drill(design, plant, trace, outcome, (), "as the file says"), allow_nan=False)
        assert "Infinity" not in told
    return len(planned)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
def test_drills_of_any_design_are_told_by_every_face(seed: int) -> None:
    assert written(seed, 10 + 5 * seed, 4) == 6


@pytest.mark.slow
@pytest.mark.parametrize("seed", [2, 5])
def test_a_study_of_any_design_is_told_by_every_face(seed: int) -> None:
    """Faults alone, half a day at home; every answer to an "unknown" tried."""
    design = read_text(random_design(seed, 16).text(), "random.yaml")
    result = run_study(design, pairs=False, who=(("travelling", 0.25 * DAY), ("at home", 0.25 * DAY)))
    assert result.finished
    report = study_report(result)
    assert terminal.render(report)
    assert "<svg" in page.render(report)
    assert json.loads(json.dumps(records.study(result), allow_nan=False))["failures"]

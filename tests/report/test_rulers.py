"""A ruler that runs do not use is told of. Second method: what went in through the float, less what the vessels
gained."""

from pathlib import Path

from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.consequence import judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY
from dewpond.report.views.rulers import not_used
from dewpond.report.views.shown import shown_in
from dewpond.study.filling import filled_edges
from dewpond.study.ordinary import ordinary

TWO_TANKS = Path("examples/two_tanks.yaml").read_text(encoding="utf-8")
RULER = "overflow: none, measured evaporation: {fell: 24 mm, over: 24 h, on: 2026-11-20}"


def told(text: str) -> tuple[str, ...]:
    design = read_text(text, "ruled.yaml")
    plant = lower(design, "winter")
    trace = engine.run(plant, ordinary(plant, DAY), compiled=None)
    return not_used(design, judge(plant, trace), shown_in("metric"))


def test_a_ruler_is_told_with_what_the_run_evaporates_instead() -> None:
    ruled = TWO_TANKS.replace("overflow: none", RULER, 1)
    assert ruled != TWO_TANKS
    plant = lower(read_text(ruled, "ruled.yaml"), "winter")
    trace = engine.run(plant, ordinary(plant, DAY), compiled=None)
    (text,) = told(ruled)
    gone = sum(plant.arrays.store_start) - sum(trace.volume) + sum(  # what went in and is not there any more
        trace.moved[edge] for edge, _ in filled_edges(plant)
    )  # fmt: skip
    assert f"evaporates {shown_in('metric').litres(gone)} a day" in text
    assert "ruler in reservoir" in text
    assert "“evaporation”" in text
    assert "reef" in text


def test_without_a_ruler_nothing_is_told() -> None:
    assert told(TWO_TANKS) == ()

"""Protections that end the fills for good although no water got out. Second method: the run itself, day by day."""

from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Plant
from dewpond.report import story
from dewpond.report.views.shown import clock, shown_in
from dewpond.study.drills import normal
from dewpond.study.locked import locked
from dewpond.study.study import kept


def house(litres: int) -> Design:
    """The first example with a litre stop before its unit, and a reservoir that is filled from half on."""
    text = Path("examples/first_float.yaml").read_text("utf-8")
    for here, then in {
        "after: stop tap,": "after: litre stop,",
        "  filters:": (
            "  litre stop: {kind: volume limiter, after: stop tap, in: utility room, "
            f"lets through at most: {litres} L}}\n  filters:"
        ),
        "rim: 300 mm, overflow: none}": "rim: 300 mm, overflow: none, starts at: 120 mm}",
    }.items():
        assert text.count(here) == 1
        text = text.replace(here, then)
    return read_text(text, "limited.yaml")


@pytest.fixture(scope="module", params=[20, 500])
def run(request: pytest.FixtureRequest) -> tuple[int, Design, Plant]:
    design = house(request.param)
    return request.param, design, lower(design, "winter")


def test_from_then_on_no_water_comes_until_somebody_re_arms_it(run: tuple[int, Design, Plant]) -> None:
    litres, design, plant = run
    days = [engine.run(plant, normal("travelling", n * DAY).scenario, compiled=None) for n in (8, 9)]
    outcome = kept(plant, days[1], "")
    ending = " ".join(story.ending(outcome, design, shown_in("metric")))
    headline = " ".join(story.unasked([outcome], shown_in("metric")))
    if litres == 500:
        assert locked(plant, days[1]) == outcome.locked == ()
        assert "re-arms" not in ending + headline
        return
    (one,) = outcome.locked
    assert (one.part, one.what, one.vessels) == ("litre stop", "litre stop", ("reservoir",))
    (edge,) = [link.edge for link in plant.links if link.part == "float"][:1]
    assert days[1].moved[edge] == pytest.approx(days[0].moved[edge], abs=1e-6)  # day 9 brought nothing
    assert 0.0 < one.since < DAY
    since = clock(one.since, "travelling")
    assert f"Litre stop stays shut from {since} on: from then on no water comes to reservoir until somebody" in ending
    assert f"litre stop shuts for good on {since} (no water comes until somebody re-arms it)" in headline
    assert headline.index("for good") < headline.index("a reservoir runs empty")

"""Figures that are read together have one unit."""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest

from dewpond.design.model import Design
from dewpond.plant.balance import Balance, Product
from dewpond.plant.plant import DAY
from dewpond.report import page, terminal
from dewpond.report.views import answers, failures, flows
from dewpond.report.views.blocks import Report, Section, Text
from dewpond.report.views.drains import Ground
from dewpond.report.views.shown import Shown, unbroken
from dewpond.study.flows import Flows
from dewpond.study.outcome import Change, Outcome

Make = Callable[..., Outcome]


def test_volumes_of_one_row_share_a_unit(outcome: Make, design: Design) -> None:
    us = Shown("US")
    # by hand: 1 US gal = 3.785 L; 0.9 L = 0.24 US gal, 0.3 L = 0.079 US gal = 10 US fl oz
    assert us.litres(0.9e-3) == "30 US fl oz"
    assert us.litres(0.9e-3, 3.3e-3) == "0.24 US gal"
    assert us.litres(0.3e-3, 3.3e-3) == "10 US fl oz"
    assert us.litres(360.0, 1.0) == us.litres(360.0) == "95000 US gal"
    wasted = Balance(0.0, 0.0, 0.0, 0.1, 0.0, 0.0, 0.0, 0.0)
    row = failures.row(outcome(on_floors=0.9e-3, water=wasted), us, Ground(frozenset(), {"travelling": 0.0}))
    assert (row[0], row[2]) == ("0.24 US gal", "26 US gal")
    sides = [outcome(on_floors=v).told for v in (0.9e-3, 3.3e-3)]
    assert answers.both(Change(*sides, ("floors",)), us) == ("0.24 US gal on floors", "0.87 US gal on floors")
    made = Product("unit", 2.7e-3, 51.0, 0.240, 0.005, True)
    table = Flows("summer", 294.15, (), 1e-5, 1e-6, 9e-6, (), (made,), 3 * DAY)
    assert "makes 0.24 US gal a day, which" in flows.flow_sentences(table, us, 3.3e-3)[-1]
    more = replace(table, products=(made._replace(volume=9.9e-3),))
    said = str(flows.flow_report(replace(design, shown_in="US"), [more, table]))
    assert "makes 0.87 US gal a day, which" in said
    assert "makes 0.24 US gal a day, which" in said


def test_flows_of_all_seasons_share_a_unit(design: Design) -> None:
    # by hand: 0.25 L/h is 6 L/day, 1.8 L/h is 43 L/day
    metric = replace(design, shown_in="metric")
    winter = Flows("winter", 280.15, (), 1.25e-6, 0.25e-3 / 3600.0, 1e-6, (), (), 3 * DAY)
    summer = replace(winter, season="summer", product=1.8e-3 / 3600.0)
    assert "6 L/day become purified water" in str(flows.flow_report(metric, [winter]))
    both = str(flows.flow_report(metric, [winter, summer]))
    assert "0.25 L/h become purified water" in both
    assert "1.8 L/h become purified water" in both


@pytest.mark.parametrize(
    ("volume", "said"), [(0.0, "nothing"), (float("inf"), "endless"), (float("nan"), "unknown"), (1e30, "L")]
)
def test_volumes_and_flows_without_end_or_unknown_are_words(volume: float, said: str) -> None:
    for shown in (Shown("metric"), Shown("US")):
        assert shown.litres(volume) == said or said == "L"
        assert shown.flow(volume)
        assert shown.unit("volume", volume).text
    assert Shown("metric").litres(1e-3, float("nan")) == "1 L"


def test_a_flow_that_is_next_to_nothing_beside_another_has_its_own_unit() -> None:
    """By hand: 0.3 L a day is 0.00021 L a minute."""
    beside, little = 0.17e-3 / 60.0, 0.3e-3 / 86400.0
    assert Shown("metric").flow(little, beside) == "0.3 L/day"
    assert Shown("metric").flow(20.0 * little, beside) == "0.0042 L/min"


@pytest.mark.parametrize(("text", "kept"), [
    ("7 % of the cases", "7~% of the cases"), ("by 1.7 L, then", "by 1.7~L, then"), ("0.2 L/min", "0.2~L/min"),
    ("70 mm x 3.43 m: here", "70~mm x 3.43~m: here"), ("4 cm² wet", "4~cm² wet"), ("2 probes", "2 probes"),
    ("9 to 10 of 20 floors", "9 to 10 of 20 floors"), ("5 min", "5~min"), ("3 minutes", "3 minutes"), ("", ""),
    ("write `at: 1 m x 2 m` at 3 m", "write `at: 1 m x 2 m` at 3~m"),
])  # fmt: skip
def test_no_line_ends_between_a_figure_and_its_unit(text: str, kept: str) -> None:
    assert unbroken(text) == kept.replace("~", "\u00a0")
    assert unbroken(unbroken(text)) == unbroken(text)


def test_terminal_keeps_a_figure_and_its_unit_together_where_there_is_room_and_page_as_well() -> None:
    words = "seen by 7 % and by 12 L of all that was poured at 3.43 m on 95 % of them"
    told = Report("t", "s", (Section("one", "One", (Text(words),)),))
    for width in range(20, 60):
        lines = terminal.render(told, width=width).splitlines()
        assert words in " ".join(lines)
        for line, after in pairwise(lines):
            assert not (line[-1:].isdigit() and after.startswith(("%", "L", "m "))), (width, line)
    assert unbroken(words) in page.render(told)

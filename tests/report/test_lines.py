"""Lines that nothing automatic holds back: the right ones, with the litres an hour that their runs give."""

from __future__ import annotations

import re

import pytest

from dewpond.report.views import lines
from dewpond.report.views.shown import Shown
from dewpond.study.outcome import StudyResult


def test_breaks_ahead_of_the_valve_are_named_with_what_they_let_out(studied: StudyResult, metric: Shown) -> None:
    """By hand: what reached places in the run, over the time from its first water to its end."""
    (grid,) = lines.open_lines(studied, metric)
    told = {o.faults[0]: o.told for o in studied.failures if len(o.faults) == 1 and o.who == "travelling"}
    assert grid.rows
    for fault, place, litres in grid.rows:
        one = told[fault]
        assert one.still_running
        assert "joint" in fault or "burst" in fault
        assert one.first_water is not None
        hours = (one.horizon - one.first_water) / 3600.0
        assert place in one.by_place
        number = float(re.sub(r"[^0-9.]", "", litres))
        unit = 1000.0 if "m³" in litres else 0.001 if "mL" in litres else 1.0
        assert number * unit == pytest.approx(1000.0 * sum(one.by_place.values()) / hours, rel=0.06)
    assert not [fault for fault, *_ in grid.rows if told[fault].stopped is not None]

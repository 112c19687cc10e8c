"""What a year says in words, against its own figures."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from dewpond.design.reader import read
from dewpond.parts import KINDS
from dewpond.report.views.shown import shown_in
from dewpond.report.views.year import wear
from dewpond.study.year.model import Span, Year
from dewpond.study.year.year import year

TODAY = date(2026, 11, 28).toordinal()


@pytest.fixture(scope="module")
def made(repository: Path) -> Year:
    return year(read(repository / "examples" / "first_float.yaml"), KINDS, today=TODAY)


@pytest.mark.parametrize(
    ("slug", "said"), [(0.002, "less than 1 %"), (0.05, "about 4 %"), (0.11, "about 9 %"), (0.5, "about 40 %")]
)
def test_share_of_the_starts_in_the_resin_s_load_is_that_of_its_figures(made: Year, slug: float, said: str) -> None:
    """0.856 of what a start lets through is taken up as calcium carbonate; here of a load of 1 a month."""
    months = tuple(replace(month, slug=Span(slug, slug, slug), load=Span(1.0, 1.0, 1.0)) for month in made.months)
    told = repr(wear(replace(made, months=months), shown_in("metric")))
    assert f"Of what the resin takes up, {said} comes with the unit's starts" in told

"""Reports as one HTML file: needs no network, prints in black and white, fits a phone, works by keyboard and ear."""

from __future__ import annotations

from typing import Any, Final

from dewpond.report import charts
from dewpond.report.drawing.svg import svg
from dewpond.report.views.blocks import Bars, Curves, Report, Schematic
from dewpond.report.views.shown import NOTHING

OPEN_ROWS: Final = 10  # of a table; the others are folded, and printed all the same
FEW_MORE: Final = 4  # rows are not worth a fold
LEVELS: Final = {"error": "Must be put right", "warning": "To act on", "note": "Note"}


def render(report: Report) -> str:
    """The page as text. The same report gives the same bytes."""
    from jinja2 import Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup

    drawn = 0

    def figure(chart: Curves | Bars | Schematic, narrow: bool = False) -> Markup:
        nonlocal drawn
        drawn += 1
        if isinstance(chart, Schematic):
            return Markup(svg(chart, f"f{drawn}", narrow))
        return Markup(charts.svg(chart, f"f{drawn}", narrow))

    env = Environment(
        loader=PackageLoader("dewpond.report", "templates"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
    )
    env.globals["figure"] = figure
    env.globals["levels"] = LEVELS
    env.globals["nothing"] = NOTHING
    env.globals["open_rows"] = OPEN_ROWS
    env.globals["few_more"] = FEW_MORE
    env.tests["kind"] = _is_kind
    return env.get_template("report.html").render(report=report)


def _is_kind(block: Any, name: str) -> bool:
    return type(block).__name__ == name

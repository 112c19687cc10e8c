"""Charts as Vega-Lite dictionaries, and their drawing to SVG. The one module that knows the chart library.

Drawn in black and grey with dashes and marks, so that they say the same on paper. Every spec and mark carries a
description, or is hidden from screen readers; ids are renumbered, since the library counts them on through a process.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from typing import Any, Final

from dewpond.report.views.blocks import Bars, Block, Curves

VL_VERSION: Final = "6.4"
SCHEMA: Final = "https://vega.github.io/schema/vega-lite/v6.json"
FONT: Final = "DejaVu Sans, Verdana, sans-serif"
WIDTH: Final = 620
PHONE: Final = 330  # width of bars on a phone; their labels stand above them
LETTERS: Final = 44  # of a title or a label in a line there
MOST_POINTS: Final = 240  # of one line; long series are thinned
DASHES: Final = ([1, 0], [6, 3], [2, 2], [8, 2, 2, 2], [1, 3], [12, 4])
INKS: Final = ("#12343b", "#7a3e00", "#1d6a8a", "#5b2a66", "#3d6b22", "#8a1c2b")
PATTERNS: Final = {"runs on to the end": "#8a1c2b", "starts again by itself": "#c98a2b", "ends": "#5d7f8c"}
SIGNS: Final = {"runs on to the end": "▸", "starts again by itself": "↻", "ends": "■"}


def curves_spec(chart: Curves, narrow: bool = False) -> dict[str, Any]:
    """Lines over time; each has its own dash, and the legend says which. ``narrow``: for a phone, or two in a row."""
    keep = thinned(len(chart.times))
    values = [
        {"t": round(chart.times[i], 5), "v": round(curve.values[i], 5), "name": curve.name}
        for curve in chart.curves
        for i in keep
    ]
    names = [curve.name for curve in chart.curves]
    scale = {"domain": names}
    drawn = _head(chart.title, chart.description)
    if narrow:
        drawn["config"]["legend"] |= {"columns": 2, "labelLimit": 140}
    return drawn | {
        "width": 0.9 * PHONE if narrow else WIDTH,
        "height": 140 if narrow else 220,
        "data": {"values": values},
        "mark": {"type": "line", "interpolate": "linear", "strokeWidth": 1.8, "description": chart.description},
        "encoding": {
            "x": _across(chart),
            "y": {"field": "v", "type": "quantitative", "title": f"[{chart.unit}]", "scale": {"zero": True}},
            "color": _legend(names, "range", list(INKS)),
            "strokeDash": {"field": "name", "type": "nominal", "title": None, "sort": names,
                           "scale": scale | {"range": [DASHES[i % len(DASHES)] for i in range(len(names))]}},
        },
    }  # fmt: skip


def _across(chart: Curves) -> dict[str, Any]:
    """The horizontal axis: of time in its unit, or of things that have names."""
    if not chart.ticks:
        return {"field": "t", "type": "quantitative", "title": f"{chart.across} [{chart.time_unit}]"}
    names = "[" + ", ".join(f"'{tick}'" for tick in ("", *chart.ticks)) + "]"
    axis = {"values": list(range(1, len(chart.ticks) + 1)), "labelExpr": f"{names}[datum.value]", "labelOverlap": True}
    scale = {"domain": [1, len(chart.ticks)], "nice": False, "zero": False}
    return {"field": "t", "type": "quantitative", "title": chart.across, "axis": axis, "scale": scale}


def _legend(names: list[str], key: str, inks: list[str]) -> dict[str, Any]:
    colours = [inks[i % len(inks)] for i in range(len(names))]
    return {"field": "name", "type": "nominal", "title": None, "sort": names, "scale": {"domain": names, key: colours}}


def bars_spec(chart: Bars, narrow: bool = False) -> dict[str, Any]:
    """Bars on a logarithmic axis: from a spoonful to a swimming pool. A sign before each figure tells its group
    without colour. ``narrow``: for a phone, with the labels above the bars."""
    groups = [g for g in PATTERNS if any(bar.group == g for bar in chart.bars)]
    least = min(bar.value for bar in chart.bars)
    most = max(bar.value for bar in chart.bars)
    values = [
        {"label": b.label, "v": b.value, "from": 0.5 * least, "text": f"{SIGNS[b.group]} {b.shown}", "name": b.group}
        for b in chart.bars
    ]
    labels = [bar.label for bar in chart.bars]
    legend = _legend(groups, "range", [PATTERNS[g] for g in groups]) | {
        "legend": {"orient": "bottom", "labelExpr": _with_sign(groups), "labelLimit": 300},
    }
    axis = None if narrow else {"labelLimit": 280}
    y = {"field": "label", "type": "nominal", "sort": labels, "title": None, "axis": axis}
    down = 8 if narrow else 0
    # fmt: off
    x = {"field": "from", "type": "quantitative",
         "title": f"onto floors, taken by no drain [{chart.unit}], logarithmic",
         "axis": {"labelOverlap": "greedy", "labelSeparation": 8},
         "scale": {"type": "log", "domain": [0.5 * least, (20.0 if narrow else 6.0) * most], "nice": False}}
    # fmt: on
    above: dict[str, Any] = {
        "mark": {"type": "text", "align": "left", "dx": 3, "dy": -7, "fontSize": 11, "limit": PHONE, "aria": False},
        "encoding": {"x": {"value": 0}, "text": {"field": "label"}},
    }
    drawn = _head(chart.title, chart.description) | {
        "width": PHONE if narrow else 420,
        "height": {"step": 36 if narrow else 19},
        "data": {"values": values},
        "encoding": {"y": y},
        "layer": [
            {"mark": {"type": "bar", "height": 12, "yOffset": down, "description": chart.description},
             "encoding": {"x": x, "x2": {"field": "v"}, "color": legend}},
            {"mark": {"type": "text", "align": "left", "dx": 4, "dy": down, "fontSize": 11, "aria": False},
             "encoding": {"x": {"field": "v", "type": "quantitative"}, "text": {"field": "text"}}},
            *([above] if narrow else []),
        ],
    }  # fmt: skip
    if narrow:
        drawn["title"] |= {"text": textwrap.wrap(chart.title, LETTERS)}
        drawn["config"]["legend"] |= {"columns": 1}
    return drawn


def _with_sign(groups: list[str]) -> str:
    """An expression that puts the sign before each word of the legend."""
    text = "datum.label"
    for group in groups:
        text = f"datum.label === '{group}' ? '{SIGNS[group]} {group}' : {text}"
    return text


def _head(title: str, description: str) -> dict[str, Any]:
    axis = {"labelFontSize": 11, "titleFontSize": 12, "titleFontWeight": "normal", "gridColor": "#dddddd",
            "aria": False}  # fmt: skip
    return {
        "$schema": SCHEMA,
        "description": f"{title}. {description}",
        "usermeta": {"embedOptions": {"actions": False}},
        "background": "white",
        "title": {"text": title, "anchor": "start", "fontSize": 13, "fontWeight": "bold", "aria": False},
        "config": {"font": FONT, "axis": axis, "view": {"stroke": "#888888"},
                   "legend": {"labelFontSize": 11, "symbolSize": 120, "symbolStrokeWidth": 1.8, "aria": False,
                              "orient": "bottom", "columns": 3, "labelLimit": 260}},
    }  # fmt: skip


def spec(chart: Curves | Bars, narrow: bool = False) -> dict[str, Any]:
    """The Vega-Lite specification of a chart. ``narrow``: for a phone."""
    return curves_spec(chart, narrow) if isinstance(chart, Curves) else bars_spec(chart, narrow)


def svg(chart: Curves | Bars, prefix: str = "c", narrow: bool = False) -> str:
    """The chart drawn: the same bytes in every process. ``prefix`` keeps ids apart where several stand in one page."""
    import vl_convert

    drawn: str = vl_convert.vegalite_to_svg(spec(chart, narrow), vl_version=VL_VERSION)
    return renumbered(_shorter(drawn), prefix)


def _shorter(drawing: str) -> str:
    """Paths to a tenth of a pixel: nobody sees more, and a page holds many of them."""
    return re.sub(r' d="[^"]+"', lambda path: re.sub(r"(\.\d)\d+", r"\1", path[0]), drawing)


def png(drawing: str, scale: float = 2.0) -> bytes:
    """Any drawing as a picture of points, ``scale`` of them to a pixel of the drawing."""
    import vl_convert

    return bytes(vl_convert.svg_to_png(drawing, scale=scale))


def stacked(charts: Sequence[Block]) -> str:
    """Several charts below each other in one SVG file."""
    drawn = [svg(chart, f"c{i}") for i, chart in enumerate(charts) if isinstance(chart, Curves | Bars)]
    size = re.compile(r'<svg[^>]* width="([\d.]+)" height="([\d.]+)"')
    sizes = [(float(found[1]), float(found[2])) for text in drawn if (found := size.search(text))]
    width, height = max((w for w, _ in sizes), default=1.0), sum(h for _, h in sizes)
    inner, top = [], 0.0
    for text, (_, own) in zip(drawn, sizes, strict=True):
        inner.append(text.replace("<svg", f'<svg y="{top:g}"', 1))
        top += own
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" width="{width:g}" '
    return f'{head}height="{height:g}" role="group">{"".join(inner)}</svg>\n'


def renumbered(drawing: str, prefix: str) -> str:
    """Ids in order of their first appearance, whatever the library has drawn before."""
    names: dict[str, str] = {}

    def new(match: re.Match[str]) -> str:
        return match[1] + names.setdefault(match[2], f"{prefix}-{len(names) + 1}") + match[3]

    return re.sub(r"""(\bid="|url\(#|href="#)([^")]+)("|\))""", new, drawing)


def thinned(length: int) -> list[int]:
    """Positions of at most MOST_POINTS points spread evenly, the first and the last among them."""
    if length <= MOST_POINTS:
        return list(range(length))
    return sorted({round(i * (length - 1) / (MOST_POINTS - 1)) for i in range(MOST_POINTS)})

"""Charts: drawn by the library without complaint, the same bytes each time, described for those who do not see them."""

import subprocess
import sys
import xml.etree.ElementTree as ET

import pytest

from dewpond.report import charts
from dewpond.report.views.blocks import Bar, Bars, Curve, Curves

LEVELS = Curves(
    "Levels", "What somebody hears who does not see.", "h", "cm", tuple(float(n) for n in range(600)),
    (Curve("tub", tuple(float(n % 50) for n in range(600))), Curve("sump", (3.0,) * 600)),
)  # fmt: skip
LITRES = Bars(
    "Litres", "What somebody hears who does not see.", "L",
    (Bar("tap: burst", 340000.0, "340 m³", "runs on to the end"), Bar("ball: stuck", 3.7, "3.7 L", "ends"),
     Bar("box: hangs", 12.0, "12 L", "starts again by itself")),
)  # fmt: skip
BOTH = pytest.mark.parametrize("chart", [LEVELS, LITRES], ids=["curves", "bars"])


@BOTH
def test_spec_names_its_version_and_is_described_at_every_mark(chart: Curves | Bars) -> None:
    spec = charts.spec(chart)
    assert spec["$schema"].endswith("/v6.json")
    assert spec["description"] == f"{chart.title}. {chart.description}"
    assert spec["usermeta"]["embedOptions"]["actions"] is False
    marks = [spec["mark"]] if "mark" in spec else [layer["mark"] for layer in spec["layer"]]
    assert all(mark.get("description") == chart.description or mark.get("aria") is False for mark in marks)
    assert "url" not in str(spec["data"])


@BOTH
@pytest.mark.slow
def test_svg_is_one_tree_that_asks_no_other_host(chart: Curves | Bars) -> None:
    drawn = charts.svg(chart)
    root = ET.fromstring(drawn)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    rest = drawn.replace("http://www.w3.org/", "")
    assert "http" not in rest
    assert "<script" not in drawn


@BOTH
@pytest.mark.slow
def test_svg_has_the_same_bytes_whatever_was_drawn_before(chart: Curves | Bars) -> None:
    first = charts.svg(chart, "x")
    charts.svg(LEVELS)
    assert charts.svg(chart, "x") == first


@pytest.mark.slow
def test_svg_has_the_same_bytes_in_another_process() -> None:
    code = (
        "import sys; from dewpond.report import charts; from dewpond.report.views.blocks import *\n"
        "sys.stdout.reconfigure(encoding='utf-8')\n"
        f"sys.stdout.write(charts.svg({LITRES!r}, 'p'))"
    )
    other = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, text=True, encoding="utf-8")
    assert other.stdout == charts.svg(LITRES, "p")


def test_ids_get_the_prefix_of_their_figure_and_references_follow() -> None:
    drawing = '<a id="clip7"/><b clip-path="url(#clip7)"/><use href="#grad9"/><c id="grad9"/>'
    assert charts.renumbered(drawing, "f2") == (
        '<a id="f2-1"/><b clip-path="url(#f2-1)"/><use href="#f2-2"/><c id="f2-2"/>'
    )


def test_every_line_has_a_dash_of_its_own_and_every_group_a_sign() -> None:
    dashes = charts.spec(LEVELS)["encoding"]["strokeDash"]["scale"]
    assert dashes["domain"] == ["tub", "sump"]
    assert dashes["range"][0] != dashes["range"][1]
    texts = {row["text"][0] for row in charts.spec(LITRES)["data"]["values"]}
    assert texts == set(charts.SIGNS.values())


def test_bars_for_a_phone_have_their_labels_above_them_and_fit_its_width() -> None:
    spec = charts.spec(LITRES, narrow=True)
    assert spec["layer"][0]["encoding"] == charts.spec(LITRES)["layer"][0]["encoding"] | {
        "x": spec["layer"][0]["encoding"]["x"]
    }
    assert spec["encoding"]["y"]["axis"] is None
    root = ET.fromstring(charts.svg(LITRES, narrow=True))
    assert float(root.get("width", "nan")) <= 358.0  # of 390, less 16 on each side
    said = {text for element in root.iter() for text in [element.text] if text}
    assert {bar.label for bar in LITRES.bars} <= said
    lines = ET.fromstring(charts.svg(LEVELS, narrow=True))
    assert float(lines.get("width", "nan")) <= 358.0


def test_long_series_are_thinned_and_keep_their_ends() -> None:
    kept = charts.thinned(10_000)
    assert len(kept) == charts.MOST_POINTS
    assert (kept[0], kept[-1]) == (0, 9_999)
    assert charts.thinned(5) == [0, 1, 2, 3, 4]


def test_stacked_charts_stand_below_each_other_without_overlap() -> None:
    root = ET.fromstring(charts.stacked((LEVELS, LITRES)))
    inner = list(root)
    assert len(inner) == 2
    first, second = (float(one.get("y", "nan")) for one in inner)
    assert first == 0.0
    assert second == pytest.approx(float(inner[0].get("height", "nan")))
    ids = [e.get("id") for e in root.iter() if e.get("id")]
    assert len(ids) == len(set(ids))


def test_axis_of_months_names_each_and_ends_with_the_last() -> None:
    names = ("Jan", "Feb", "Mar")
    chart = Curves("Litres", "said", "", "L", (1.0, 2.0, 3.0), (Curve("waste", (3.0, 2.0, 1.0)),), "month", names)
    across = charts.spec(chart)["encoding"]["x"]
    assert across["title"] == "month"
    assert across["scale"]["domain"] == [1, 3]
    drawn = charts.svg(chart)
    assert all(f">{name}<" in drawn for name in names)
    assert "since the start" not in drawn

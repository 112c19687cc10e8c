"""Maps of floors: edges that enclose what they should, names that stand clear of each other, and the same as text."""

import re
from dataclasses import replace
from functools import cache
from itertools import combinations
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from dewpond.design.reader import read_text
from dewpond.floor.storey import Storey, joined, storey
from dewpond.parts import KINDS
from dewpond.report import charts, page, terminal
from dewpond.report.drawing.contours import area, loops
from dewpond.report.drawing.floor import BROAD, PHONE, parts, svg
from dewpond.report.drawing.floor_plan import extent
from dewpond.report.drawing.layout import text_width
from dewpond.report.drawing.sketch import MOST_LINES, sketch
from dewpond.report.views.blocks import FloorFrame, FloorMap, FloorMark, FloorShape, Report, Section
from dewpond.report.views.floor_shapes import frame_of, ruler_of, shapes_of
from dewpond.report.views.shown import shown_in

SVG = "{http://www.w3.org/2000/svg}"
LETTERED = "Named by letters: "
UP, RIGHT = np.mgrid[0:200, 0:240]
SHAPES = {
    "disc": (RIGHT - 100) ** 2 + (UP - 90) ** 2 < 60**2,
    "ring": ((RIGHT - 100) ** 2 + (UP - 90) ** 2 < 60**2) & ((RIGHT - 100) ** 2 + (UP - 90) ** 2 > 25**2),
    "rectangle": (RIGHT > 10) & (RIGHT < 80) & (UP > 5) & (UP < 30),
    "slanted band": np.abs(3 * RIGHT - 5 * UP) < 40,
    "run of one cell": (UP == 50) & (RIGHT > 20) & (RIGHT < 170),
    "run over corners": (UP == RIGHT) & (RIGHT > 20) & (RIGHT < 170),
    "two apart": ((RIGHT - 60) ** 2 + (UP - 60) ** 2 < 20**2) | ((RIGHT - 160) ** 2 + (UP - 60) ** 2 < 30**2),
    "whole grid": RIGHT >= 0,
}


@pytest.mark.parametrize("name", SHAPES)
def test_edges_enclose_the_area_of_their_cells(name: str) -> None:
    found = loops(SHAPES[name], 0.3, 1.0)
    assert sum(area(line) for line in found) == pytest.approx(SHAPES[name].sum(), rel=0.02)


@pytest.mark.parametrize(("name", "outer", "inner"), [("disc", 1, 0), ("ring", 1, 1), ("two apart", 2, 0)])
def test_an_outer_edge_runs_anticlockwise_and_that_of_a_hole_clockwise(name: str, outer: int, inner: int) -> None:
    areas = [area(line) for line in loops(SHAPES[name], 0.3, 1.0)]
    assert (sum(a > 0 for a in areas), sum(a < 0 for a in areas)) == (outer, inner)


def test_the_edge_of_a_disc_is_its_circle_by_less_than_a_cell() -> None:
    (line,) = loops(SHAPES["disc"], 0.3, 1.0)
    radii = np.hypot(line[:, 0] - 100.5, line[:, 1] - 90.5)  # in corners of cells, whose middles lie half a cell in
    assert np.abs(radii - 60.0).max() < 1.0
    assert len(line) < 120


def test_a_run_over_corners_is_one_line_and_dry_cells_that_touch_by_a_corner_stay_apart() -> None:
    assert len(loops(SHAPES["run over corners"], 0.3, 1.0)) == 1
    holes = np.ones((9, 9), dtype=bool)
    holes[3:5, 3:5] = holes[5:7, 5:7] = False
    assert sorted(area(line) > 0 for line in loops(holes, 0.1, 1.0)) == [False, False, True]


def test_nothing_wet_has_no_edge() -> None:
    assert loops(np.zeros((9, 9), dtype=bool), 0.3, 1.0) == []


def ragged(share: float, rows: int = 176, columns: int = 211, seed: int = 3) -> Any:
    """A field from 0 to 1 that grows to the right, with waves of three sizes, as real shares have."""
    rng = np.random.default_rng(seed)
    up, right = np.mgrid[0:rows, 0:columns]
    waves = sum(
        a * np.sin(right * rng.normal(0, 1 / long) + up * rng.normal(0, 1 / long) + rng.uniform(0, 6))
        for a, long in ((0.15, 40), (0.12, 25), (0.1, 12), (0.06, 6), (0.05, 4))
        for _ in range(4)
    )
    return np.clip(share + right / columns - 0.6 + waves, 0.0, 1.0)


@cache
def two_rooms(rows: int = 176, columns: int = 361) -> FloorMap:
    """Invented: a room with a tray and a kitchen behind a wall."""
    plan = (
        FloorShape("outline", "study", ((0.0, 0.0), (4.2, 0.0), (4.2, 3.5), (0.0, 3.5))),
        FloorShape("outline", "kitchen", ((4.3, 0.0), (7.0, 0.0), (7.0, 3.5), (4.3, 3.5))),
        FloorShape("patch", "carpet", ((2.4, 0.4), (3.8, 0.4), (3.8, 1.4), (2.4, 1.4))),
        FloorShape("furniture", "tank stand", ((0.2, 0.2), (1.4, 0.2), (1.4, 0.6), (0.2, 0.6))),
        FloorShape("rim", "cabinet tray", ((0.3, 0.2), (1.1, 0.2), (1.1, 0.65), (0.3, 0.65))),
        FloorShape("wall", "", ((2.0, 2.0), (2.1, 2.0), (2.1, 3.5), (2.0, 3.5))),
        FloorShape("opening", "to kitchen", ((4.2, 2.0), (4.2, 2.9))),
        FloorShape("opening", "", ((4.3, 2.0), (4.3, 2.9))),
        FloorShape("opening", "way out", ((5.0, 0.0), (5.9, 0.0))),
    )
    rope = tuple((3.0 + 0.02 * k, 0.2) for k in range(50))
    marks = (
        FloorMark("big sump", "leak", ((2.0, 0.4), (2.45, 0.2), (2.45, 0.6), (2.9, 0.4))),
        FloorMark("study probe", "present", ((0.3, 0.7),)),
        FloorMark("rope under the window", "probe", rope),
        FloorMark("1", "best", ((3.9, 3.2),)),
        FloorMark("2", "best", ((4.0, 3.1),)),
        FloorMark("floor drain", "drain", ((6.4, 3.0),)),
        FloorMark("pipe hole", "joint", ((4.1, 0.1),)),
    )
    volumes = (("1 L", 0.1), ("2 L", 0.25), ("5 L", 0.4), ("10 L", 0.55), ("20 L", 0.7))
    shares = tuple((text, ragged(share, rows, columns)) for text, share in volumes)
    contours = tuple((text, share >= 0.5) for text, share in shares)
    frame = FloorFrame((-0.02, -0.02), 3.54 / rows, rows, columns)
    return FloorMap("Water on the floor (invented)", "It runs to the right.", plan, marks, frame, shares, contours)


def crowded() -> FloorMap:
    """Twenty long names in one corner."""
    spots = [(0.2 + 0.11 * (k % 5), 0.2 + 0.11 * (k // 5)) for k in range(20)]
    marks = tuple(FloorMark(f"probe {k} behind the <old> shelf", "probe", (spot,)) for k, spot in enumerate(spots))
    return replace(two_rooms(), marks=marks)


def shaft() -> FloorMap:
    """A place of 30 by 20 cm."""
    frame = FloorFrame((-0.02, -0.02), 0.02, 12, 17)
    wet = np.zeros((12, 17), dtype=bool)
    wet[3:6, 4:9] = True
    plan = (FloorShape("outline", "wall shaft", ((0.0, 0.0), (0.3, 0.0), (0.3, 0.2), (0.0, 0.2))),)
    marks = (FloorMark("riser", "leak", ((0.1, 0.1),)), FloorMark("shaft probe", "probe", ((0.25, 0.05),)))
    return FloorMap("t", "d", plan, marks, frame, (("1 L", wet * 1.0),), (("1 L", wet),), ruler=(0.1, "0.1 m"))


def vessels() -> FloorMap:
    """A tray by a wall with a tank, a sump and a reservoir in it, one over the other; leaks, probes and a door near."""

    def box(kind: Any, name: str, x: float, y: float, right: float, up: float) -> FloorShape:
        return FloorShape(kind, name, ((x, y), (right, y), (right, up), (x, up)))

    plan = (
        box("outline", "den", 0.0, 0.0, 2.4, 2.4),
        box("rim", "saucer", 0.2, 1.6, 1.3, 2.35),
        box("furniture", "big tank", 0.15, 1.65, 1.35, 2.3),
        box("furniture", "sump", 0.25, 1.75, 0.85, 2.2),
        box("furniture", "bucket", 0.9, 1.8, 1.2, 2.2),
        FloorShape("opening", "to hall", ((2.4, 1.2), (2.4, 2.0))),
    )
    marks = (
        FloorMark("sump", "leak", ((0.3, 2.0), (0.8, 2.0), (0.55, 1.8), (0.55, 2.18))),
        FloorMark("bucket", "leak", ((1.0, 1.9), (1.1, 2.1))),
        FloorMark("tube", "leak", ((0.08, 2.3), (0.08, 2.1))),
        FloorMark("saucer probe", "probe", ((0.25, 1.66),)),
        FloorMark("wall probe", "probe", ((1.88, 1.6),)),
        FloorMark("to cellar", "joint", ((0.03, 1.1),)),
    )
    up, right = (0.02 * one for one in np.mgrid[0:122, 0:122])
    far = np.hypot(right - 0.3, up - 2.1)
    contours = tuple((text, far < reach) for text, reach in (("1 L", 0.4), ("5 L", 0.8), ("20 L", 1.2)))
    shares = tuple((text, 1.0 * wet) for text, wet in contours)
    return FloorMap(
        "Vessels (invented)", "d", plan, marks, FloorFrame((-0.02, -0.02), 0.02, 122, 122), shares, contours
    )


CASES = {
    "vessels": vessels(),
    "two rooms": two_rooms(),
    "crowded": crowded(),
    "shaft": shaft(),
    "changed": replace(two_rooms(), changed=two_rooms().shares[2][1] - two_rooms().shares[1][1] - 0.1),
    "plan alone": replace(two_rooms(), shares=(), contours=()),
    "corridor": replace(
        two_rooms(), plan=(FloorShape("outline", "corridor", ((0.0, 0.0), (12.0, 0.0), (12.0, 0.9), (0.0, 0.9))),),
        frame=FloorFrame((-0.02, -0.02), 0.034, 27, 355), shares=(("3 L", ragged(0.4, 27, 355)),), contours=(),
        marks=(),
    ),
}  # fmt: skip
every = pytest.mark.parametrize(
    ("name", "narrow"),
    [pytest.param(name, narrow, id=f"{name}{', narrow' * narrow}") for name in CASES for narrow in (False, True)],
)


@cache
def drawing(name: str, narrow: bool) -> str:
    return svg(CASES[name], "q", narrow)


def written(tree: ElementTree.Element) -> list[tuple[str, str, tuple[float, float, float, float]]]:
    """Class, words and box of every name in the picture: its box by what its letters may take at most, less the slack
    of that estimate."""
    found = []
    for text in tree.iter(f"{SVG}text"):
        lines = text.findall(f"{SVG}tspan")
        if not lines:
            continue
        size = float(text.attrib["font-size"])
        slack = 1.12 if text.get("font-weight") else 1.0
        wide = max(text_width(line.text or "", slack * size) for line in lines)
        x, y = float(lines[0].attrib["x"]), float(lines[0].attrib["y"]) - 0.93 * size
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[text.attrib["text-anchor"]] * wide
        bottom = float(lines[-1].attrib["y"]) + 0.27 * size
        found.append(
            (text.attrib["class"], " ".join(line.text or "" for line in lines), (left, y, left + wide, bottom))
        )
    return found


@every
@pytest.mark.slow
def test_every_name_stands_once_and_on_no_other(name: str, narrow: bool) -> None:
    drawn, tree = CASES[name], ElementTree.fromstring(drawing(name, narrow))
    names = written(tree)
    wanted = [mark.name for mark in drawn.marks] + [shape.label for shape in drawn.plan if shape.label]
    wanted += [text for text, wet in drawn.contours if wet.any()]
    below = " ".join(text.text or "" for text in tree.iter(f"{SVG}text") if text.get("class") == "told")
    lettered = below.removeprefix(LETTERED).removesuffix(".").split("; ") if below else []
    assert len(lettered) <= (22 if name == "crowded" else 6 if name == "vessels" else 2 if narrow else 0)
    assert not lettered or below.startswith(LETTERED)
    letters = [one.split(": ", 1) for one in lettered]
    drawn_letters = [words for sort, words, _ in names if "letter" in sort]
    assert list(dict.fromkeys(drawn_letters)) == [letter for letter, _ in letters]
    shown = [words for sort, words, _ in names if "letter" not in sort]
    shown += [told for letter, told in letters for _ in range(drawn_letters.count(letter))]
    assert sorted(words.replace(" ", "") for words in shown) == sorted(words.replace(" ", "") for words in wanted)
    for (_, one, a), (_, two, b) in combinations(names, 2):
        assert not (a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]), (one, two)
    wide, high = (float(tree.attrib[side]) for side in ("width", "height"))
    assert wide == (PHONE if narrow else BROAD)
    assert all(min(a) >= 0.0 and a[2] <= wide and a[3] <= high for _, _, a in names)


@every
@pytest.mark.slow
def test_no_letter_is_smaller_than_eleven_pixels(name: str, narrow: bool) -> None:
    tree = ElementTree.fromstring(drawing(name, narrow))
    sizes = [float(text.attrib["font-size"]) for text in tree.iter(f"{SVG}text")]
    assert min(sizes) >= 11.0
    assert f"min-width: {tree.attrib['width']}px" in tree.attrib["style"]


@every
@pytest.mark.slow
def test_the_same_map_gives_the_same_bytes_and_few_of_them(name: str, narrow: bool) -> None:
    assert svg(CASES[name], "q", narrow) == drawing(name, narrow)
    assert len(drawing(name, narrow)) < 300_000


@pytest.mark.slow
def test_a_fine_grid_makes_no_large_file() -> None:
    assert len(svg(two_rooms(250, 300))) < 300_000


@pytest.mark.slow
def test_even_a_grid_that_is_all_noise_makes_no_large_file() -> None:
    noise = np.random.default_rng(1).random((250, 300))
    wild = replace(two_rooms(250, 300), shares=(("1 L", noise),), contours=(("1 L", noise > 0.5),))
    assert len(svg(wild)) < 300_000


def test_litres_stand_on_their_line() -> None:
    tree = ElementTree.fromstring(drawing("two rooms", False))
    lines = {
        int(one.attrib["data-contour"]): one.attrib["d"]
        for one in tree.iter(f"{SVG}path")
        if "data-contour" in one.attrib
    }
    names = [one for one in tree.iter(f"{SVG}text") if one.get("class") == "litres"]
    assert len(names) == len(lines) == 5
    every_line = {}
    for one in tree.iter(f"{SVG}path"):
        if "data-contour" in one.attrib:
            every_line.setdefault(int(one.attrib["data-contour"]), []).append(points(one.attrib["d"]))
    for text in names:
        (span,) = text
        at = np.array([float(span.attrib["x"]), float(span.attrib["y"]) - 4.0])
        far = {k: min(distance(at, line) for line in those) for k, those in every_line.items()}
        assert far[int(text.attrib["data-tag"])] == min(far.values()) < 4.0


def points(path: str) -> Any:
    """A closed line "M1 2l3 4 5-6z" as points."""
    numbers = [float(n) for n in re.findall(r"-?\d*\.?\d+", path)]
    return np.cumsum(np.array(numbers).reshape(-1, 2), axis=0)


def distance(at: Any, line: Any) -> float:
    """From a point to the nearest piece of a closed line."""
    a, b = line, np.roll(line, -1, axis=0)
    way = b - a
    share = np.clip(((at - a) * way).sum(axis=1) / np.maximum((way**2).sum(axis=1), 1e-12), 0.0, 1.0)
    return float(np.hypot(*(at - a - share[:, None] * way).T).min())


def test_an_edge_lies_where_the_water_ends() -> None:
    wet = np.zeros((100, 200), dtype=bool)
    wet[20:60, 50:150] = True  # from 0.5 m to 1.5 m to the right, from 0.2 m to 0.6 m up
    room = (FloorShape("outline", "den", ((0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0))),)
    drawn = FloorMap("", "", room, (), FloorFrame((0.0, 0.0), 0.01, 100, 200), (), (("1 L", wet),))
    tree = ElementTree.fromstring(svg(drawn))
    (line,) = [points(one.attrib["d"]) for one in tree.iter(f"{SVG}path") if one.get("class") == "contour"]
    (wall,) = [one.attrib["d"] for one in tree.iter(f"{SVG}path") if one.get("class") == "outline"]
    corners = np.array([float(n) for n in re.findall(r"-?\d*\.?\d+", wall)]).reshape(-1, 2)
    metre = (corners[1, 0] - corners[0, 0]) / 2.0
    left, bottom = corners[0]
    assert [(line[:, 0].min() - left) / metre, (line[:, 0].max() - left) / metre] == pytest.approx([0.5, 1.5], abs=0.01)
    assert [(bottom - line[:, 1].max()) / metre, (bottom - line[:, 1].min()) / metre] == pytest.approx(
        [0.2, 0.6], abs=0.01
    )


@pytest.mark.slow
def test_the_scale_bar_is_as_long_as_it_says() -> None:
    drawn = replace(two_rooms(), ruler=(0.6096, "2 ft"))
    tree = ElementTree.fromstring(svg(drawn))
    (bar,) = [one.attrib["d"] for one in tree.iter(f"{SVG}path") if one.get("class") == "ruler"]
    (words,) = [one.text for one in tree.iter(f"{SVG}text") if one.get("class") == "ruler"]
    (low, high) = extent(drawn)
    assert words == "2 ft"
    long = float(re.search(r"h([\d.]+)", bar)[1])
    assert long == pytest.approx(0.6096 * (BROAD - 60.0) / (high[0] - low[0]), abs=0.02)


@pytest.mark.slow
def test_volumes_that_wet_nothing_on_half_of_the_floors_are_told() -> None:
    dry = replace(two_rooms(), contours=(("0.1 L", np.zeros((176, 361), dtype=bool)), *two_rooms().contours))
    said = " ".join(text.text or "" for text in ElementTree.fromstring(svg(dry)).iter(f"{SVG}text"))
    assert "No spot is wet on half of the floors after 0.1 L." in said


def test_shares_differ_without_colour() -> None:
    tree = ElementTree.fromstring(drawing("two rooms", False))
    drawn = {
        (one.attrib["fill"], one.get("stroke-dasharray", ""))
        for one in tree.iter(f"{SVG}path")
        if one.get("class") == "share"
    }
    assert len(drawn) == len({fill for fill, _ in drawn}) == len({dashes for _, dashes in drawn}) == 3
    patterns = {f"url(#{one.attrib['id']})" for one in tree.iter(f"{SVG}pattern")}
    assert {fill for fill, _ in drawn} <= patterns


def test_ears_are_thought_of_and_names_are_escaped() -> None:
    evil = "<b>\"a\" & 'b'</b>"
    drawn = replace(shaft(), title=evil, description=evil, marks=(FloorMark(evil, "leak", ((0.1, 0.1),)),))
    text = svg(drawn, "z")
    tree = ElementTree.fromstring(text)
    assert "<b>" not in text
    assert (tree.attrib["role"], tree.attrib["aria-labelledby"]) == ("img", "z-t z-d")
    assert [one.text for one in tree if one.get("id") in ("z-t", "z-d")] == [evil, evil]


# --- outlines from a file --------------------------------------------------------------------------------------------

HOUSE = """
format: 1
title: A plan (invented)
supply: {pressure: 3 bar}
places:
  study:   {kind: room, size: 4 m x 3 m, floor: glazed tile}
  kitchen: {kind: room, size: 3 m x 3 m, floor: glazed tile}
  saucer:  {kind: tray, in: study, size: 80 cm x 40 cm, rim: 3 cm}
water:
  tap:       {kind: hand valve, after: supply, in: study}
  reservoir: {kind: reservoir, in: saucer, footprint: 40 cm x 25 cm, rim: 300 mm}
  float:     {kind: float valve, after: tap, fills: reservoir, starts to shut at: 20 cm, quite shut at: 215 mm}
floors:
  study:
    outline: [0 m x 0 m, 4 m x 3 m]
    walls: [[1 m x 2 m, 1.1 m x 3 m]]
    openings:
      - {between: [4 m x 1 m, 4 m x 1.9 m], leads to: kitchen}
      - {between: [0 m x 1 m, 0 m x 1.8 m]}
    furniture:
      - {area: [2 m x 0 m, 3 m x 0.5 m], stands on: feet, what: bench}
    spots:
      saucer: 1 m x 1 m
      reservoir: [0.8 m x 0.9 m, 1.2 m x 1.1 m]
  kitchen:
    outline: [4.1 m x 0 m, 7 m x 3 m]
"""


def house(text: str = HOUSE) -> Storey:
    told = read_text(text, "house.yaml")
    return storey(told, KINDS, joined(told)[0])


def test_outlines_of_a_storey_are_those_of_its_file() -> None:
    shapes = shapes_of(house(), {"reservoir"})
    found = {(one.kind, one.label): one.corners for one in shapes}
    assert len(found) == len(shapes) == 9
    assert found["outline", "kitchen"] == ((4.1, 0.0), (7.0, 0.0), (7.0, 3.0), (4.1, 3.0))
    assert found["wall", ""] == ((1.0, 2.0), (1.1, 2.0), (1.1, 3.0), (1.0, 3.0))
    assert found["furniture", "bench"][2] == (3.0, 0.5)
    assert found["furniture", "reservoir"][0] == (0.8, 0.9)
    assert found["opening", "to kitchen"] == ((4.0, 1.0), (4.0, 1.9))
    assert found["opening", "way out"] == ((0.0, 1.0), (0.0, 1.8))
    assert np.array(found["opening", ""]) == pytest.approx(np.array([(4.1, 1.0), (4.1, 1.9)]))  # in the wall behind
    corner = found["rim", "saucer"]  # 80 x 40 cm about the spot, to within a cell
    assert np.array([corner[0], corner[2]]) == pytest.approx(np.array([(0.6, 0.8), (1.4, 1.2)]), abs=0.02)
    assert {one.label for one in shapes_of(house()) if one.kind == "furniture"} == {"bench"}


def test_a_door_that_both_rooms_tell_of_has_its_words_once() -> None:
    back = "    openings:\n      - {between: [4.1 m x 1 m, 4.1 m x 1.9 m], leads to: study}\n"
    doors = [one for one in shapes_of(house(HOUSE + back)) if one.kind == "opening" and one.corners[0][0] > 1.0]
    assert [(one.label, one.corners[0][0]) for one in doors] == [("to kitchen", 4.0), ("", 4.1)]


def test_the_scale_bar_is_round_in_the_units_of_the_report() -> None:
    frame = frame_of(house())
    assert (frame.origin, frame.size) == (pytest.approx((-0.02, -0.02)), 0.02)
    assert (frame.rows, frame.columns) == (152, 352)
    assert ruler_of(frame, shown_in("metric")) == (1.0, "1 m")
    long, text = ruler_of(frame, shown_in("US"))
    assert (long, text) == (pytest.approx(5 * 0.3048), "5 ft")


# --- faces -----------------------------------------------------------------------------------------------------------


def report(drawn: FloorMap) -> Report:
    return Report("t", "", (Section("floor", "Floor", (drawn,)),))


@pytest.mark.slow
def test_the_page_holds_it_wide_and_narrow_with_ids_of_their_own() -> None:
    text = page.render(report(two_rooms()))
    assert text.count("<svg") == 4  # the large picture and the small ones, broad and narrow
    ids = re.findall(r'\bid="([^"]+)"', text)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]+)\)", text)) <= set(ids)


@pytest.mark.slow
def test_a_picture_of_points_is_made_with_its_letters_and_hatching() -> None:
    made = charts.png(drawing("two rooms", True), 1.0)
    assert made[:8] == b"\x89PNG\r\n\x1a\n"
    assert int.from_bytes(made[16:20], "big") == PHONE
    bare = re.sub(r"<text.*?</text>", "", drawing("two rooms", True), flags=re.DOTALL)
    assert len(charts.png(bare, 1.0)) < 0.9 * len(made)
    assert len(charts.png(re.sub(r"url\(#[^)]+\)", "none", bare), 1.0)) < 0.9 * len(charts.png(bare, 1.0))


def test_a_sketch_shows_walls_doors_leaks_probes_and_shares() -> None:
    wet = np.full((100, 200), np.nan)
    wet[:, :] = 0.0
    wet[:50, :100], wet[:50, 100:], wet[50:, 100:] = 1.0, 0.5, 0.05
    plan = (
        FloorShape("outline", "den", ((0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0))),
        FloorShape("opening", "to hall", ((0.8, 1.0), (1.2, 1.0))),
    )
    marks = (FloorMark("tap", "leak", ((0.5, 0.25),)), FloorMark("mat", "probe", ((1.5, 0.75),)))
    drawn = FloorMap("", "", plan, marks, FloorFrame((0.0, 0.0), 0.01, 100, 200), (("5 L", wet),), ())
    lines = sketch(drawn, 42)
    top, *inner = lines[: next(k for k, line in enumerate(lines) if line.startswith("└"))]
    assert re.fullmatch(r"┌─{14,16} +1 +─{14,16}┐", top)
    assert {len(line) for line in inner} == {42} or {len(line) for line in inner} == {41}
    upper, lower = inner[1], inner[-2]
    assert re.fullmatch(r"│ +\.+│", upper)
    assert re.fullmatch(r"│@+L?@+o+│", lower)
    assert lower.count("@") == pytest.approx(lower.count("o"), abs=2)
    found = {sign: (row, line.index(sign)) for row, line in enumerate(inner) for sign in "LA" if sign in line}
    assert found["L"][0] > found["A"][0]
    assert found["L"][1] < found["A"][1]
    assert {"L tap (water gets out here)", "A mat (a probe)", "1 to hall"} <= set(lines)
    (bar,) = [line for line in lines if line.endswith("| 1 m")]
    assert bar.count("-") + 2 == pytest.approx(21, abs=1)
    assert any(line.startswith("After 5 L") for line in lines)


def test_door_and_drain_lie_over_a_leak_in_a_sketch_and_a_leak_that_is_not_seen_is_told() -> None:
    plan = (
        FloorShape("outline", "den", ((0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0))),
        FloorShape("opening", "to hall", ((0.8, 1.0), (1.2, 1.0))),
    )
    marks = (
        FloorMark("hall as it comes to den", "leak", ((1.0, 1.0),)),
        FloorMark("tap", "leak", ((0.5, 0.25), (1.5, 0.25))),
        FloorMark("gully", "drain", ((0.5, 0.25),)),
        FloorMark("mat", "probe", ((1.5, 0.25),)),
    )
    lines = sketch(FloorMap("", "", plan, marks, FloorFrame((0.0, 0.0), 0.01, 100, 200), (), ()), 42)
    walls = lines[: next(k for k, line in enumerate(lines) if line.startswith("└"))]
    assert " 1 " in walls[0]
    drawn = "".join(walls)
    assert (drawn.count("L"), drawn.count("A"), drawn.count("B")) == (1, 1, 0)
    assert {"1 to hall", "A gully (a drain)", "L of hall as it comes to den lies below 1", "B of mat lies below L"} <= {
        *lines
    }
    assert not any(line.startswith("L of tap") for line in lines)


def test_walls_of_two_rooms_stay_apart_in_a_sketch_and_both_have_the_door() -> None:
    plan = tuple(shape for shape in two_rooms().plan if shape.kind in ("outline", "opening"))
    lines = sketch(replace(two_rooms(), plan=plan, marks=(), shares=(), contours=()), 72)
    assert re.fullmatch(r"┌─+┐┌─+┐", lines[0])
    assert re.fullmatch(r"└─+┘└─+ +2 +─+┘", next(line for line in lines if line.startswith("└")))
    walls = [line.count("│") for line in lines if line.startswith("│")]
    assert set(walls) == {2, 4}
    assert walls.count(2) == pytest.approx(0.9 / 3.5 * len(walls), abs=2)


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("width", [80, 50])
def test_a_sketch_keeps_within_the_terminal(name: str, width: int) -> None:
    plain = terminal.render(report(CASES[name]), width, ascii_only=True)
    assert plain.isascii()
    assert "?" not in plain or name == "crowded"
    assert max(map(len, plain.splitlines())) <= min(width, 78)
    assert sum("#" in line for line in plain.splitlines()) <= MOST_LINES
    assert all(mark.name.split()[0] in plain for mark in CASES[name].marks)


@pytest.mark.parametrize("narrow", [False, True])
@pytest.mark.slow
def test_page_has_the_large_picture_and_the_small_ones_apart(narrow: bool) -> None:
    """Together they show what the one drawing does; their ids differ."""
    both = [ElementTree.fromstring(one) for one in parts(two_rooms(), "q", narrow)]
    whole = ElementTree.fromstring(svg(two_rooms(), "q", narrow))

    def shown(tree: ElementTree.Element, sort: str) -> int:
        return sum(one.get("class") == sort for one in tree.iter())

    for sort, per in (("contour", 0), ("ruler", 0), ("panel", 1), ("share", 1)):
        assert shown(both[per], sort) == shown(whole, sort) > 0
        assert shown(both[1 - per], sort) == 0
    ids = [{one.get("id") for one in tree.iter() if one.get("id")} for tree in both]
    assert not ids[0] & ids[1]
    for tree, own in zip(both, ids, strict=True):
        used = set(re.findall(r"url\(#([^)]+)\)", ElementTree.tostring(tree, "unicode")))
        assert used <= own
        assert float(tree.attrib["width"]) == (PHONE if narrow else BROAD)
    assert len(parts(replace(two_rooms(), shares=(), contours=()), "q", narrow)) == 1


def test_narrow_picture_fits_between_the_margins_of_a_small_screen() -> None:
    """375 px less margins of 16 px on both sides and a scroll bar of 15 px."""
    assert PHONE <= 375 - 2 * 16 - 15

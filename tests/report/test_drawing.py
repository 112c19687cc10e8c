"""The schematic: every part once, nothing on top of anything else, lines level and upright, for any design."""

import random
import re
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.report.drawing.layout import Box, name_lines, note_lines, text_width, wrapped
from dewpond.report.drawing.placed import Placed, place
from dewpond.report.drawing.svg import PHONE, svg
from dewpond.report.views.blocks import Area, Mark, Schematic, Wire
from dewpond.report.views.schematic import in_words, is_area, schematic

SVG = "{http://www.w3.org/2000/svg}"
ROOT = Path(__file__).resolve().parents[2]
FILES = (
    "examples/two_tanks.yaml", "examples/first_float.yaml", "tests/study/small.yaml", "docs/design_file.md",
    "examples/bin_and_branch.yaml", "examples/mixing_day.yaml",
)  # fmt: skip


@cache
def design(name: str) -> Design:
    path = ROOT / name
    if path.suffix == ".yaml":
        return read(path)
    return read_text("\n".join(re.findall(r"```yaml\n(.*?)```", path.read_text("utf-8"), re.DOTALL)), path.name)


def varied(seed: int) -> Design:
    """An example with parts left out, in another order, under other names, and with a room of none or more parts."""
    chance = random.Random(seed)
    whole = design(FILES[seed % len(FILES)])
    parts = [part for part in whole.parts if chance.random() > 0.25 * (seed % 3)] or list(whole.parts[:1])
    if seed % 2:
        chance.shuffle(parts)
    rooms = [part for part in parts if is_area(part)]
    for number in range(chance.randrange(4)):
        if rooms:
            one = chance.choice(rooms)
            parts.append(replace(one, id=f"new {number}", name=f"new {number} " + "W" * chance.randrange(50)))
    if seed % 5 == 0:
        movable = [k for k, part in enumerate(parts) if "in" in part.values and not is_area(part)]
        for k in movable:
            if rooms and chance.random() < 0.5:
                parts[k] = replace(parts[k], values={**parts[k].values, "in": chance.choice(rooms).name})
    return replace(whole, parts=tuple(parts))


FEW = 12  # of 60 varied designs, for the tests that are not slow: each of the files twice
CASES = [(name, design(name), ()) for name in FILES]
CASES += [(f"varied {seed}", varied(seed), (pytest.mark.slow,) if seed >= FEW else ()) for seed in range(60)]
every = pytest.mark.parametrize(
    ("told", "columns"),
    [
        pytest.param(told, columns, id=f"{name}, {columns} columns", marks=marks)
        for name, told, marks in CASES
        for columns in (6, PHONE)
    ],
)


def meet(one: Box, two: Box) -> bool:
    """Whether two boxes share more than an edge."""
    return one.x < two.right and two.x < one.right and one.y < two.bottom and two.y < one.bottom


def holds(outer: Box, inner: Box) -> bool:
    return outer.x <= inner.x and outer.y <= inner.y and inner.right <= outer.right and inner.bottom <= outer.bottom


def lines(placed: Placed) -> list[tuple[int, Box]]:
    """Every straight piece, as a box without breadth, and the number of its path."""
    return [
        (k, Box(min(a[0], b[0]), min(a[1], b[1]), abs(a[0] - b[0]), abs(a[1] - b[1])))
        for k, path in enumerate(placed.paths)
        for a, b in zip(path.points, path.points[1:], strict=False)
    ]


def faults(drawn: Schematic, placed: Placed) -> list[str]:
    """What is wrong with a drawing."""
    found = []
    frames, labels, areas = placed.frames, placed.labels, placed.areas
    whole = Box(0.0, 0.0, placed.wide, placed.high)
    boxes = [("symbol", k, box) for k, box in frames.items()] + [("label", k, box) for k, box in labels.items()]
    for at, (one, k, box) in enumerate(boxes):
        found += [f"{one} {k} meets {two} {j}" for two, j, other in boxes[at + 1 :] if meet(box, other)]
        found += [f"{one} {k} is outside"] * (not holds(whole, box))
        area = drawn.marks[k].area
        found += [f"{one} {k} is outside its place"] * (area >= 0 and not holds(areas[area], box))
        found += [
            f"{one} {k} lies in place {j}"
            for j, other in areas.items()
            if meet(other, box) and not within(drawn, area, j)
        ]
    for k, box in areas.items():
        inside = drawn.areas[k].inside
        found += [f"place {k} is outside"] * (not holds(areas[inside] if inside >= 0 else whole, box))
    names = list(placed.heads.items())
    for at, (k, head) in enumerate(names):
        found += [f"name of place {k} is outside it"] * (not holds(areas[k], head.box))
        found += [f"names of places {k} and {j} meet" for j, other in names[at + 1 :] if meet(head.box, other.box)]
        found += [f"name of place {k} meets {what} {j}" for what, j, box in boxes if meet(head.box, box)]
        found += [
            f"name of place {k} lies in place {j}"
            for j, other in areas.items()
            if meet(other, head.box) and not within(drawn, k, j)
        ]
    pieces = lines(placed)
    for at, (k, line) in enumerate(pieces):
        found += [f"line {k} is slanted"] * (line.wide > 0.0 and line.high > 0.0)
        found += [f"line {k} is outside"] * (not holds(whole, line))
        thick = Box(line.x - 0.1, line.y - 0.1, line.wide + 0.2, line.high + 0.2)
        found += [f"line {k} runs through label {j}" for j, box in labels.items() if meet(thick, box)]
        found += [f"line {k} runs through the name of place {j}" for j, h in placed.heads.items() if meet(thick, h.box)]
        inner = {j: Box(b.x + 0.2, b.y + 0.2, b.wide - 0.4, b.high - 0.4) for j, b in frames.items()}
        found += [f"line {k} runs through symbol {j}" for j, box in inner.items() if meet(thick, box)]
        for j, other in pieces[at + 1 :]:
            if placed.paths[k].net == placed.paths[j].net:
                continue
            level = line.high == other.high == 0.0 and abs(line.y - other.y) < 0.5
            upright = line.wide == other.wide == 0.0 and abs(line.x - other.x) < 0.5
            along = (level and line.x < other.right and other.x < line.right) or (
                upright and line.y < other.bottom and other.y < line.bottom
            )
            found += [f"line {k} lies on line {j}"] * along
    return found


def within(drawn: Schematic, area: int, outer: int) -> bool:
    while area >= 0:
        if area == outer:
            return True
        area = drawn.areas[area].inside
    return False


@every
def test_nothing_lies_on_anything_else(told: Design, columns: int) -> None:
    drawn = schematic(told)
    placed = place(drawn, columns)
    assert faults(drawn, placed) == []
    assert len(placed.paths) == len(drawn.wires)
    for path in placed.paths:
        for mark, point in ((path.wire.start, path.points[0]), (path.wire.end, path.points[-1])):
            box = placed.frames[mark]
            assert box.x <= point[0] <= box.right
            assert box.y <= point[1] <= box.bottom


@every
def test_what_lines_of_one_net_share_is_drawn_once_and_nothing_is_left_out(told: Design, columns: int) -> None:
    placed = place(schematic(told), columns)
    for net in {path.net for path in placed.paths}:
        wanted = [piece for path in placed.paths if path.net == net for piece in pixels(path.points)]
        drawn = [piece for one, points in placed.strokes if one == net for piece in pixels(points)]
        assert len(drawn) == len(set(drawn))
        assert set(drawn) == set(wanted)


def pixels(points: tuple[tuple[float, float], ...]) -> list[tuple[str, int, int]]:
    """The half pixels along a line, level or upright: (which way, across it, along it)."""
    found = []
    for (ax, ay), (bx, by) in pairwise(points):
        way, across, one, other = ("level", ay, ax, bx) if ay == by else ("upright", ax, ay, by)
        found += [(way, round(100 * across), n) for n in range(round(2 * min(one, other)), round(2 * max(one, other)))]
    return found


@every
def test_every_part_is_drawn_once_and_named(told: Design, columns: int) -> None:
    drawn = schematic(told)
    text = svg(drawn, "x", columns == PHONE)
    tree = ElementTree.fromstring(text)
    names = [group.attrib["data-part"] for group in tree.iter(f"{SVG}g") if group.get("class") == "part"]
    assert sorted(names) == sorted(part.name for part in told.parts if not is_area(part))
    places = [rect for rect in tree.iter(f"{SVG}rect") if rect.get("class") == "area"]
    assert len(places) == len(drawn.areas) >= sum(is_area(part) for part in told.parts)
    said = " ".join(t.text or "" for t in tree.iter(f"{SVG}text")).replace(" ", "")
    assert all(one.name.replace(" ", "") in said for one in (*drawn.marks, *drawn.areas))
    assert svg(schematic(told), "x", columns == PHONE) == text


LINES = """
format: 1
title: Lines in a row (invented)
supply: {pressure: 3 bar}
places:
  study:     {kind: room, size: 4 m x 3 m, floor: glazed tile}
  gully:     {kind: waste drain, in: study}
water:
  membrane:  {kind: membrane, after: supply, in: study, rated: 75 gal/day at 50 psi and 25 C}
  waste:     {kind: waste line, waste of: membrane, in: study, to: gully, length: 2 m, ends at: 5 cm}
  break:     {kind: vacuum break, after: membrane, in: study, holds back: reservoir}
  high:      {kind: float valve, after: break, fills: reservoir, starts to shut at: 24 cm, quite shut at: 255 mm}
  low:       {kind: float valve, after: high, fills: reservoir, starts to shut at: 20 cm, quite shut at: 215 mm}
  reservoir: {kind: reservoir, in: study, footprint: 40 cm x 25 cm, rim: 300 mm}
"""


def test_water_is_drawn_where_it_runs_and_not_to_what_a_part_only_looks_at() -> None:
    drawn = schematic(read_text(LINES, "lines.yaml"))
    names = [mark.name for mark in drawn.marks]
    assert {(names[wire.start], names[wire.end], wire.sort) for wire in drawn.wires} == {
        ("supply", "membrane", "water"), ("membrane", "waste", "waste"), ("membrane", "break", "water"),
        ("break", "high", "water"), ("high", "low", "water"), ("low", "reservoir", "water"),
        ("waste", "gully", "waste"),
    }  # fmt: skip


def test_two_tanks_stand_where_the_file_says() -> None:
    drawn = schematic(design(FILES[0]))
    place_of = {mark.name: drawn.areas[mark.area].name if mark.area >= 0 else "" for mark in drawn.marks}
    assert place_of["supply"] == ""
    assert place_of["shut-off"] == place_of["riser"] == place_of["floor drain"] == "laundry"
    for name in ("float", "reservoir", "top-off pump", "small doser", "reservoir low", "tray probe"):
        assert place_of[name] == "cabinet tray"
    assert place_of["reef"] == place_of["high mark"] == "study"
    assert place_of["shaft probe"] == "wall shaft"
    wires = {(drawn.marks[w.start].name, drawn.marks[w.end].name, w.sort) for w in drawn.wires}
    assert {
        ("supply", "stop tap", "water"), ("float", "reservoir", "water"), ("reservoir", "small doser", "water"),
        ("small doser", "lagoon", "water"), ("reef", "big sump", "water"), ("membrane", "floor drain", "waste"),
        ("membrane", "shut-off", "on"), ("high mark", "pump cut-out", "report"), ("cellar box", "feed valve", "order"),
        ("doser cut-out", "small doser", "order"), ("level box", "top-off pump", "order"),
    } <= wires  # fmt: skip
    # water 15, waste 1, on 1, reports 8, orders to what is driven 3, and of the cut-outs 2: counted in the file
    assert len(wires) == len(drawn.wires) == 30
    words = list(in_words(drawn))
    assert "Water runs: riser to float." in words
    assert "Boxes drive: pump cut-out to top-off pump." in words


def test_names_are_escaped() -> None:
    evil = "<b>\"a\" & 'b'</b>"
    drawn = Schematic(evil, evil, (Area(evil, evil),), (Mark(evil, evil, "<path d='M0 0'/>", 0),), ())
    text = svg(drawn)
    assert "<b>" not in text
    tree = ElementTree.fromstring(text)
    (part,) = [group for group in tree.iter(f"{SVG}g") if group.get("class") == "part"]
    assert part.attrib["data-part"] == evil
    assert {title.text for title in tree.iter(f"{SVG}title")} == {evil}


def test_ears_and_phones_are_thought_of() -> None:
    tree = ElementTree.fromstring(svg(schematic(design(FILES[2])), "q"))
    assert (tree.attrib["role"], tree.attrib["aria-labelledby"]) == ("img", "q-t q-d")
    assert {one.get("id") for one in tree if one.get("id")} == {"q-t", "q-d"}
    assert "max-width: 100%" in tree.attrib["style"]
    assert "viewBox" in tree.attrib
    assert place(schematic(design(FILES[2])), PHONE).wide < 360.0


def test_lines_of_a_name_fit_and_lose_nothing() -> None:
    for name in ("W" * 60, "a b " * 15, "shut-off", "漢字" * 30):
        assert all(text_width(line, 11.0) <= 108.0 for line in wrapped(name, 11.0, 108.0))
        assert "".join(wrapped(name, 11.0, 108.0)).replace(" ", "") == name.replace(" ", "")
    mark = Mark("low mark", "in big sump", "")
    assert (name_lines(mark), note_lines(mark)) == (["low mark"], ["in big sump"])


def test_planted_faults_of_a_drawing_are_found() -> None:
    marks = (Mark("a", "", ""), Mark("b", "", ""))
    drawn = Schematic("t", "d", (), marks, (Wire(0, 1, "water"),))
    placed = place(drawn)
    assert faults(drawn, placed) == []
    good = placed.frames[1]
    placed.frames[1] = replace(placed.frames[0], x=placed.frames[0].x + 5)
    assert "symbol 0 meets symbol 1" in faults(drawn, placed)
    placed.frames[1] = good
    (path,) = placed.paths
    placed.paths[0] = replace(path, points=(path.points[0], (path.points[1][0], path.points[1][1] + 9)))
    assert "line 0 is slanted" in faults(drawn, placed)
    placed.paths[0] = replace(path, points=((0.0, placed.labels[0].middle[1]), (90.0, placed.labels[0].middle[1])))
    assert "line 0 runs through label 0" in faults(drawn, placed)


def test_planted_line_through_the_name_of_a_place_is_found() -> None:
    drawn = Schematic("t", "d", (Area("den"),), (Mark("a", "", "", 0), Mark("b", "", "", 0)), (Wire(0, 1, "water"),))
    placed = place(drawn)
    assert faults(drawn, placed) == []
    across = placed.heads[0].box.middle[1]
    placed.paths[0] = replace(placed.paths[0], points=((20.0, across), (150.0, across)))
    assert "line 0 runs through the name of place 0" in faults(drawn, placed)
    placed = place(drawn)
    placed.heads[0] = replace(placed.heads[0], box=placed.frames[1])
    assert {"name of place 0 meets symbol 1"} <= set(faults(drawn, placed))

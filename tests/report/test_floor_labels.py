"""Names on a floor stand in the room of what they name, or a line joins them to it: read back from the SVG."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from dewpond.design.reader import read
from dewpond.parts import KINDS
from dewpond.report.drawing.floor import svg
from dewpond.report.drawing.floor_plan import REACH
from dewpond.report.views.blocks import FloorMap, FloorShape
from dewpond.report.views.floor import floor_map
from dewpond.report.views.probes_map import maps
from dewpond.report.views.shown import Shown
from dewpond.study.floors import Asked, look
from dewpond.study.probes import model
from dewpond.study.probes.probes import probes
from dewpond.study.spills import spilled
from tests.report.test_floor_drawing import CASES, SVG, written

Point = tuple[float, float]
Box = tuple[float, float, float, float]
EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "wet_floor.yaml"
NEAR = 1.6  # a name may reach so far over the middle of a wall's line [px]
COARSE = Asked(cell=0.04, members=20)


@cache
def teal_yard(which: str) -> FloorMap:
    """The example: three rooms, the smallest of them with ten names in it."""
    design = read(EXAMPLE)
    if which == "probes":
        asked = model.Asked(number=3, rope=0.8, tray=(0.3, 0.2))
        (drawn,) = maps(probes(design, KINDS, asked, COARSE), design, Shown("metric"))
        return drawn
    (looked,) = look(design, KINDS, COARSE)
    found = spilled(looked)
    place = "living room" if which == "tube" else "utility room"
    (spill,) = [one for one in found.spills if one.sites[0].part == which and one.place == place]
    return floor_map(design, found, spill)


def drawn_of(name: str) -> FloorMap:
    return CASES[name] if name in CASES else teal_yard(name)


@cache
def read_back(name: str, narrow: bool) -> tuple[list[tuple[str, int, str, Box, list[Point]]], list[list[Point]]]:
    """Class, tag, words, box and joining line of every name, and the corners of every room."""
    drawn = drawn_of(name)
    tree = ElementTree.fromstring(svg(drawn, "q", narrow))
    rooms = [points(path.attrib["d"]) for path in tree.iter(f"{SVG}path") if path.get("class") == "outline"]
    elements = list(tree)
    names = []
    for before, text in pairwise(elements):
        if text.tag == f"{SVG}text" and text.get("data-tag") is not None:
            alone = ElementTree.Element("svg")
            alone.append(text)
            ((sort, words, box),) = written(alone)
            led = points(before.attrib["d"]) if before.get("class") == "leader" else []
            names.append((sort, int(text.attrib["data-tag"]), words, box, led))
    return names, rooms[: sum(shape.kind == "outline" for shape in drawn.plan)]


def points(d: str) -> list[Point]:
    values = [float(value) for value in re.findall(r"-?[\d.]+", d)]
    return list(zip(values[::2], values[1::2], strict=True))


def in_pixels(name: str, narrow: bool, spot: Point) -> Point:
    """By the corners of the first room, in metres and in pixels."""
    shape = next(one for one in drawn_of(name).plan if one.kind == "outline")
    drawn = read_back(name, narrow)[1][0]
    found = []
    for k in (0, 1):
        least, most = (min, max) if k == 0 else (max, min)
        low, high = min(c[k] for c in shape.corners), max(c[k] for c in shape.corners)
        a, b = least(c[k] for c in drawn), most(c[k] for c in drawn)
        found.append(a + (spot[k] - low) / (high - low) * (b - a))
    return found[0], found[1]


def inside(shape: list[Point], spot: Point) -> bool:
    x, y = spot
    crossed = [
        x < x1 + (y - y1) * (x2 - x1) / (y2 - y1)
        for (x1, y1), (x2, y2) in zip(shape, [*shape[1:], shape[0]], strict=True)
        if (y1 > y) != (y2 > y)
    ]
    return sum(crossed) % 2 == 1


def home(rooms: list[list[Point]], spot: Point) -> int:
    """The room in which a spot lies, or the nearest one: what is on a wall lies in no other."""
    for number, room in enumerate(rooms):
        if inside(room, spot):
            return number
    far = [min(to_line(spot, a, b) for a, b in zip(r, [*r[1:], r[0]], strict=True)) for r in rooms]
    return far.index(min(far))


def to_line(spot: Point, one: Point, two: Point) -> float:
    (x, y), (x1, y1), (x2, y2) = spot, one, two
    long = math.dist(one, two)
    along = ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / long**2
    along = min(max(along, 0.0), 1.0)
    return math.dist(spot, (x1 + along * (x2 - x1), y1 + along * (y2 - y1)))


def stands_in(room: list[Point], box: Box) -> bool:
    left, top, right, bottom = box[0] + NEAR, box[1] + NEAR, box[2] - NEAR, box[3] - NEAR
    middles = ((left + right) / 2, top), ((left + right) / 2, bottom)
    return all(inside(room, spot) for spot in ((left, top), (right, top), (left, bottom), (right, bottom), *middles))


def spots_of(name: str, narrow: bool, sort: str, tag: int) -> list[Point]:
    """What a name names: the spots of a mark, the corners of a shape."""
    drawn = drawn_of(name)
    metres = drawn.marks[tag].cells if sort in ("mark", "letter") else drawn.plan[tag].corners
    return [in_pixels(name, narrow, spot) for spot in metres]


NAMES = [*CASES, "stop tap", "tube", "probes"]
every = pytest.mark.parametrize(
    ("name", "narrow"),
    [pytest.param(name, narrow, id=f"{name}{', narrow' * narrow}") for name in NAMES for narrow in (False, True)],
)


@every
@pytest.mark.slow
def test_name_stands_in_the_room_of_what_it_names_or_a_line_joins_them(name: str, narrow: bool) -> None:
    names, rooms = read_back(name, narrow)
    for sort, tag, words, box, led in names:
        if sort in ("litres", "way"):
            continue
        spots = spots_of(name, narrow, sort, tag)
        homes = {tag_of_room(name, tag)} if sort == "outline" else {home(rooms, spot) for spot in spots}
        if any(stands_in(rooms[number], box) for number in homes):
            continue
        assert led, words
        assert math.dist(*led) >= 4.0, words
        start, end = led
        assert box[0] - 9.0 <= end[0] <= box[2] + 9.0, words
        assert box[1] - 1.0 <= end[1] <= box[3] + 1.0, words
        if sort in ("mark", "letter"):
            assert min(math.dist(start, spot) for spot in spots) <= REACH + 6.0, words


def tag_of_room(name: str, tag: int) -> int:
    """Which of the outlines a shape is."""
    return sum(shape.kind == "outline" for shape in drawn_of(name).plan[:tag])


@every
def test_no_name_stands_in_a_room_that_is_not_its_own(name: str, narrow: bool) -> None:
    """One letter may, with its line, where 39 names crowd."""
    names, rooms = read_back(name, narrow)
    strangers, letters = [], 0
    for sort, tag, words, box, _ in names:
        if sort in ("litres", "way"):
            continue
        middle = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        where = [number for number, room in enumerate(rooms) if inside(room, middle)]
        spots = spots_of(name, narrow, sort, tag)
        homes = {tag_of_room(name, tag)} if sort == "outline" else {home(rooms, spot) for spot in spots}
        if where and where[0] not in homes:
            letters += "letter" in sort
            strangers += [] if "letter" in sort else [words]
    assert strangers == []
    assert letters <= (name == "probes")


@pytest.mark.parametrize("narrow", [False, True])
def test_better_places_for_probes_are_named_before_leaks_are(narrow: bool) -> None:
    names, _ = read_back("probes", narrow)
    written_out = {words for sort, _, words, _, _ in names if sort == "mark"}
    better = {mark.name for mark in drawn_of("probes").marks if mark.kind == "best"}
    assert len(better) == 3
    assert better <= written_out


@every
def test_name_of_a_room_stands_in_it(name: str, narrow: bool) -> None:
    names, rooms = read_back(name, narrow)
    for sort, tag, words, box, _ in names:
        if sort == "outline" and name != "crowded":
            assert stands_in(rooms[tag_of_room(name, tag)], box), words


@every
def test_words_of_a_door_do_not_stand_in_the_room_that_they_name(name: str, narrow: bool) -> None:
    names, rooms = read_back(name, narrow)
    drawn = drawn_of(name)
    outlines = [shape.label for shape in drawn.plan if shape.kind == "outline"]
    for sort, tag, words, box, _ in names:
        if sort == "way":
            goes = drawn.plan[tag].label.removeprefix("to ")
            middle = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
            assert not any(inside(rooms[k], middle) for k, label in enumerate(outlines) if label == goes), words


@pytest.mark.parametrize("narrow", [False, True])
def test_no_name_stands_on_a_vessel_that_does_not_hold_what_it_names(narrow: bool) -> None:
    """Rectangles by hand: those of the plan in pixels; a letter may, where all are taken."""
    names, _ = read_back("vessels", narrow)
    things = [
        [in_pixels("vessels", narrow, spot) for spot in shape.corners]
        for shape in drawn_of("vessels").plan if shape.kind in ("rim", "furniture")
    ]  # fmt: skip
    looked_at = 0
    for sort, tag, words, (left, top, right, bottom), _ in names:
        if sort not in ("mark", "rim", "furniture", "outline", "way"):
            continue
        spots = spots_of("vessels", narrow, sort, tag)
        for thing in things:
            low, high = (tuple(pick(corner[k] for corner in thing) for k in (0, 1)) for pick in (min, max))
            holds = all(low[k] - 0.6 <= spot[k] <= high[k] + 0.6 for spot in spots for k in (0, 1))
            meets = left + 3 < high[0] and low[0] < right - 3 and top + 3 < high[1] and low[1] < bottom - 3
            assert holds or not meets, words
            looked_at += meets
    assert looked_at


@pytest.mark.parametrize("narrow", [False, True])
def test_words_of_a_door_do_not_read_as_the_name_of_a_probe(narrow: bool) -> None:
    """In the narrow picture the spot nearest to the door would be right behind the dot of the probe."""
    names, _ = read_back("vessels", narrow)
    (x, y) = in_pixels("vessels", narrow, (1.88, 1.6))
    ((left, top, right, bottom),) = [box for sort, _, _, box, _ in names if sort == "way"]
    assert not (left - 18 < x < right + 18 and top < y < bottom)


@pytest.mark.parametrize("narrow", [False, True])
@pytest.mark.slow
def test_one_name_has_one_letter(narrow: bool) -> None:
    """The sump leaks and is a vessel, in a corner of a large room with all others."""
    drawn = drawn_of("vessels")
    room = FloorShape("outline", "hall", ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)))
    tree = ElementTree.fromstring(svg(replace(drawn, plan=(room, *drawn.plan[1:])), "q", narrow))
    below = " ".join(text.text or "" for text in tree.iter(f"{SVG}text") if text.get("class") == "told")
    told = below.removeprefix("Named by letters: ").removesuffix(".").split("; ")
    named = [one.split(": ")[1] for one in told]
    assert "sump" in named
    assert len(named) == len(set(named))
    letters = ["".join(text.itertext()) for text in tree.iter(f"{SVG}text") if "letter" in text.get("class", "")]
    assert set(letters) == {one.split(": ")[0] for one in told}


@pytest.mark.parametrize("narrow", [False, True])
def test_litres_stand_nearest_to_their_own_line_where_vessels_crowd(narrow: bool) -> None:
    """Circles by hand about the spot of the leak, in metres."""
    names, _ = read_back("vessels", narrow)
    one, two = (in_pixels("vessels", narrow, (x, 0.0))[0] for x in (0.0, 1.0))
    at = in_pixels("vessels", narrow, (0.3 - 0.02, 2.1 - 0.02))
    for sort, tag, words, (left, top, right, bottom), led in names:
        if sort == "litres":
            spot = led[0] if led else ((left + right) / 2, (top + bottom) / 2)
            away = math.dist(spot, at) / (two - one)
            off = [abs(away - reach) for reach in (0.4, 0.8, 1.2)]
            assert off.index(min(off)) == tag, words

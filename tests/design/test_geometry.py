"""Plane geometry of plans: by hand, by closed forms for rectangles, and by trying many spots."""

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.design.geometry import (
    apart,
    box,
    crossing,
    depth,
    extent,
    flat,
    middle,
    overlap,
    reaches_over,
    ring,
    shared,
    sides,
    strays,
)
from dewpond.design.plan import Area, Spot

SQUARE: Area = ((0.0, 0.0), (4.0, 4.0))
ELL: Area = ((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 2.0), (2.0, 5.0), (0.0, 5.0))
TRIANGLE: Area = ((0.0, 0.0), (3.0, 0.0), (0.0, 4.0))
NEAR = 0.05

places = st.floats(0.0, 8.0).map(lambda value: round(value, 2))
lengths = st.floats(0.2, 6.0).map(lambda value: round(value, 2))
rectangles = st.tuples(places, places, lengths, lengths).map(lambda r: ((r[0], r[1]), (r[0] + r[2], r[1] + r[3])))


def moved(area: Area, across: float, up: float) -> Area:
    return tuple((x + across, y + up) for x, y in area)


def turned(area: Area, angle: float) -> Area:
    return tuple(
        (x * math.cos(angle) - y * math.sin(angle), x * math.sin(angle) + y * math.cos(angle)) for x, y in area
    )


def test_rectangle_has_four_corners_and_a_corner_named_again_counts_once() -> None:
    assert ring(SQUARE) == ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0))
    assert ring((*ELL, ELL[0])) == ELL
    assert ring((ELL[0], *ELL)) == ELL
    assert len(sides((*TRIANGLE, TRIANGLE[0]))) == 3


@pytest.mark.parametrize(("area", "covers"), [(SQUARE, 16.0), (ELL, 14.0), (TRIANGLE, 6.0), (ELL[::-1], 14.0)])
def test_extent_is_what_is_worked_out_by_hand(area: Area, covers: float) -> None:
    assert extent(area) == pytest.approx(covers)
    assert extent(turned(moved(ring(area), 30.0, 10.0), 0.7)) == pytest.approx(covers)


@given(st.integers(3, 9), st.floats(0.5, 5.0))
def test_extent_of_a_regular_polygon_is_its_closed_form(corners: int, radius: float) -> None:
    angles = [2.0 * math.pi * k / corners for k in range(corners)]
    area = tuple((radius * math.cos(a), radius * math.sin(a)) for a in angles)
    assert extent(area) == pytest.approx(0.5 * corners * radius**2 * math.sin(2.0 * math.pi / corners))
    assert depth((0.0, 0.0), area) == pytest.approx(radius * math.cos(math.pi / corners))  # of the inscribed circle
    assert crossing(area) is None


@pytest.mark.parametrize(
    ("area", "is_flat"),
    [
        (((1.0, 1.0),), True),
        (((1.0, 1.0), (1.0, 1.0)), True),
        (((1.0, 1.0), (1.0, 3.0)), True),
        (((0.0, 0.0), (1.0, 1.0), (3.0, 3.0)), True),
        (((0.0, 0.0), (3.0, 0.01)), False),
        (TRIANGLE, False),
    ],
)
def test_what_covers_nothing_is_flat(area: Area, is_flat: bool) -> None:
    assert flat(area) == is_flat


@pytest.mark.parametrize(
    ("area", "crosses"),
    [
        (SQUARE, False),
        (ELL, False),
        ((*ELL, ELL[0]), False),
        (((0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0)), True),  # a bow tie
        (((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (2.0, 0.5)), True),  # goes back along its own side
        (((0.0, 0.0), (2.0, 0.0), (4.0, 0.0), (4.0, 2.0)), False),  # a corner on a straight side
        (((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 0.0), (0.0, 4.0)), True),  # touches itself
        (((3.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0), (0.0, 0.0), (2.5, 0.0)), True),  # the last on the first
    ],
)
def test_outline_that_meets_itself_is_found(area: Area, crosses: bool) -> None:
    for k in range(len(area)):
        assert (crossing(area[k:] + area[:k]) is not None) == crosses


def test_stretches_that_cross_are_the_two_diagonals_of_a_bow_tie() -> None:
    found = crossing(((0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0)))
    assert found == (((0.0, 0.0), (4.0, 4.0)), ((4.0, 0.0), (0.0, 4.0)))


@pytest.mark.parametrize(
    ("spot", "deep"),
    [
        ((1.0, 1.0), 1.0),
        ((1.8, 4.0), 0.2),
        ((3.0, 3.0), -1.0),  # in the notch
        ((2.5, 2.5), -0.5),
        ((-3.0, -4.0), -5.0),
        ((0.0, 2.5), 0.0),
        ((2.0, 2.0), 0.0),
    ],
)
def test_depth_in_an_ell_is_what_is_measured_by_hand(spot: Spot, deep: float) -> None:
    assert depth(spot, ELL) == pytest.approx(deep)


@given(rectangles, places, places)
def test_depth_in_a_rectangle_is_its_closed_form(area: Area, x: float, y: float) -> None:
    (left, low), (right, high) = area
    inside = min(x - left, right - x, y - low, high - y)
    outside = math.hypot(max(left - x, 0.0, x - right), max(low - y, 0.0, y - high))
    assert depth((x, y), area) == pytest.approx(inside if inside >= 0.0 else -outside, abs=1e-9)


@pytest.mark.slow
@given(rectangles, rectangles)
def test_width_that_two_rectangles_share_is_the_smaller_side_of_what_they_share(one: Area, other: Area) -> None:
    across = min(one[1][0], other[1][0]) - max(one[0][0], other[0][0])
    up = min(one[1][1], other[1][1]) - max(one[0][1], other[0][1])
    wide, spot = shared(one, other, NEAR)
    if min(across, up) < NEAR:
        assert wide == 0.0
    elif min(across, up) > NEAR + 0.01:
        assert min(across, up) - 0.015 <= wide <= min(across, up) + 1e-9
        assert depth(spot, one) >= 0.5 * wide - 1e-9
        assert depth(spot, other) >= 0.5 * wide - 1e-9
    assert apart(one, other) == (min(across, up) < 0.0)


def test_rooms_that_only_share_a_wall_or_fit_into_a_notch_share_nothing() -> None:
    in_the_notch = ((2.0, 2.0), (4.0, 5.0))
    assert shared(ELL, in_the_notch, NEAR)[0] == 0.0
    assert shared(ELL, moved(in_the_notch, -0.04, -0.04), NEAR)[0] == 0.0
    assert shared(ELL, moved(in_the_notch, -0.2, 0.0), NEAR)[0] == pytest.approx(0.2, abs=0.015)
    crossed = ((1.0, -1.0), (1.3, 6.0))  # no corner of either lies in the other
    assert shared(((0.0, 0.0), (3.0, 5.0)), crossed, NEAR)[0] == pytest.approx(0.3, abs=0.015)
    assert shared(SQUARE, SQUARE, NEAR)[0] == pytest.approx(4.0, abs=0.015)


@pytest.mark.slow
def test_width_shared_by_turned_rooms_is_what_many_spots_find() -> None:
    chance = random.Random(7)
    for _ in range(3):
        one = turned(moved(ring(ELL), -2.0, -2.0), chance.uniform(0.0, 6.3))
        other = moved(turned(ring(TRIANGLE), chance.uniform(0.0, 6.3)), chance.uniform(-1, 1), chance.uniform(-1, 1))
        (left, low), (right, high) = box(one)
        spots = [(left + (right - left) * i / 80, low + (high - low) * j / 80) for i in range(81) for j in range(81)]
        tried = 2.0 * max(min(depth(spot, one), depth(spot, other)) for spot in spots)
        wide, _ = shared(one, other, NEAR)
        assert wide == pytest.approx(tried, abs=0.15)  # spots lie 8 cm apart
        assert wide >= tried - 0.015


def test_what_reaches_over_an_outline_is_measured_at_its_corner_and_at_a_notch() -> None:
    assert reaches_over(((3.5, 0.5), (4.3, 1.0)), ELL, NEAR) == pytest.approx(0.3)
    assert reaches_over(((3.5, 0.5), (4.03, 1.0)), ELL, NEAR) == 0.0
    assert reaches_over(((1.0, 1.0), (1.9, 4.9)), ELL, NEAR) == 0.0
    notched = ((0.0, 0.0), (1.0, 0.0), (1.0, 0.5), (1.4, 0.5), (1.4, 0.0), (3.0, 0.0), (3.0, 2.0), (0.0, 2.0))
    # all four corners lie in the room, and a pier of 40 cm stands in between
    assert reaches_over(((0.5, 0.1), (2.5, 1.0)), notched, NEAR) == pytest.approx(0.4, abs=0.015)


@pytest.mark.parametrize(
    ("line", "far"),
    [
        (((1.0, 0.0), (2.0, 0.0)), 0.0),
        (((1.0, 0.03), (2.0, 0.0)), 0.03),
        (((4.0, 1.0), (3.0, 0.0)), 0.5),
        (((2.0, 5.0), (2.0, 2.0)), 0.0),
        (((0.0, 1.0), (4.0, 1.0)), 1.0),
    ],
)
def test_a_line_strays_from_the_outline_by_what_is_measured_by_hand(line: tuple[Spot, Spot], far: float) -> None:
    assert strays(line, ELL) == pytest.approx(far, abs=0.01)  # spots are tried every 2 cm
    assert depth(middle(line), ELL) >= 0.0


def test_apart_are_areas_without_a_spot_in_common() -> None:
    assert apart(ELL, ((3.0, 3.0), (4.0, 4.0)))
    assert not apart(ELL, ((1.9, 3.0), (4.0, 4.0)))
    assert not apart(ELL, ((0.5, 0.5), (0.6, 0.6)))
    assert not apart(((0.5, 0.5), (0.6, 0.6)), ELL)
    assert not apart(((0.0, 1.0), (5.0, 1.01)), ((1.0, 0.0), (1.01, 5.0)))


def test_share_of_one_area_in_another() -> None:
    """Closed form: half of a square, a quarter of it, and of a triangle the part below half its height (3/4)."""
    square = ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0))
    assert overlap(square, ((1.0, 0.0), (3.0, 2.0))) == pytest.approx(0.5)
    assert overlap(square, ((1.0, 1.0), (3.0, 3.0))) == pytest.approx(0.25)
    assert overlap(square, ((5.0, 5.0), (6.0, 6.0))) == 0.0
    triangle = ((0.0, 0.0), (2.0, 0.0), (1.0, 2.0))
    assert overlap(triangle, ((0.0, 0.0), (2.0, 1.0))) == pytest.approx(0.75, abs=0.02)

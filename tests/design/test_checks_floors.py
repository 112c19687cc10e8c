"""Sound plans of floors draw no objection; small changes that harm nothing draw none either."""

import math
import re
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError, Finding

BAD = Path(__file__).resolve().parent.parent / "bad_designs" / "floor_of_a_tray.yaml"

ROOM = """
  study:
    outline: [0 m x 0 m, 4.2 m x 3.5 m]
    openings: [{between: [1 m x 3.5 m, 1.8 m x 3.5 m], sill: 15 mm, leads to: hall}]
    spots:
      tray: [3.2 m x 0.1 m, 4 m x 0.55 m]
      riser: [0.9 m x 3.5 m, 0 m x 3.4 m, 0.05 m x 0.05 m, 3.3 m x 0.05 m]
      reservoir: [3.5 m x 0.2 m, 3.9 m x 0.5 m]
      tank: [2.5 m x 0.1 m, 3.1 m x 0.5 m]
      probe: 3.3 m x 0.2 m
      pump: 3.6 m x 0.3 m
"""
HALL = """
  hall:
    outline: [0 m x 3.6 m, 2.6 m x 5 m]
    openings:
      - {between: [0 m x 4 m, 0 m x 4.8 m], leads to: laundry}
      - {between: [1 m x 3.6 m, 1.8 m x 3.6 m], sill: 15 mm, leads to: study}
    spots: {riser: [0.1 m x 4.9 m, 1 m x 4.9 m, 1 m x 3.7 m]}
"""
LAUNDRY = """
  laundry:
    outline: [0 m x 0 m, 2.6 m x 2.1 m]
    spots: {gully: 1 m x 1 m, stop tap: 0.1 m x 0 m, feed valve: 0.1 m x 0.1 m, membrane: [0.2 m x 0 m, 0.6 m x 0.2 m],
            check: 0.7 m x 0.1 m, riser: 0.8 m x 0.1 m, low probe: 1.2 m x 1 m}
"""
READINGS = """    readings:
      - {by: water tube, at: 1 m x 2 m, height: 12 mm}
      - {by: laser, at: 1.03 m x 2 m, height: 14 mm}
      - {by: water tube, at: 0.4 m x 0.4 m, height: 0 mm}
      - {by: batten, from: 0.2 m x 1 m, to: 3.2 m x 1 m, rises: -4 mm}
      - {by: phone, from: 1 m x 1 m, to: 1 m x 2 m, angle: 0.2 deg}
      - {by: marble, from: 1 m x 1 m, to: 1.3 m x 1.3 m}
      - {by: cup, at: 2 m x 1 m, poured: 0.25 L, puddle: 40 cm x 30 cm}
      - {by: pour, at: 3.4 m x 0.8 m, poured: 1 L, outline: [3 m x 0.6 m, 3.6 m x 0.6 m, 3.7 m x 1 m, 3.1 m x 1.1 m]}
      - {by: pour, at: 3.4 m x 0.4 m, poured: 1 L, probe: probe, after: 0.4 L}
      - {by: pour, at: 3.4 m x 0.4 m, poured: 0.2 L, probe: probe}
"""


def told(floors: str, *changes: tuple[str, str]) -> tuple[Finding, ...]:
    """What is found in the house of the bad designs with these plans in place of its own."""
    text = BAD.read_text(encoding="utf-8").partition("floors:")[0] + "floors:" + floors
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    try:
        return check(read_text(text, "house.yaml"))
    except DesignError as error:
        return error.findings


def codes(floors: str, *changes: tuple[str, str]) -> list[str]:
    return [finding.code for finding in told(floors, *changes)]


def test_a_house_without_plans_is_as_it_was() -> None:
    assert codes("") == []


@pytest.mark.parametrize(
    "floors",
    [ROOM, HALL, LAUNDRY, ROOM + HALL + LAUNDRY, LAUNDRY + HALL + ROOM, ROOM + READINGS, HALL + ROOM + READINGS],
)
def test_sound_plans_draw_no_objection(floors: str) -> None:
    """A tray with its probe, a door between two rooms, a stair down to a lower one, a floor drain, every reading."""
    assert codes(floors) == []


RECTANGLE = "outline: [0 m x 0 m, 4.2 m x 3.5 m]"
ELL = (
    RECTANGLE,
    "outline: [0 m x 0 m, 4.2 m x 0 m, 4.2 m x 2.4 m, 3 m x 2.4 m, 3 m x 3.5 m, 0 m x 3.5 m]",
)


@pytest.mark.parametrize(
    "change",
    [
        ELL,
        (RECTANGLE, "outline: [0 m x 0 m, 4.2 m x 0 m, 4.2 m x 3.5 m, 0 m x 3.5 m, 0 m x 0 m]"),
        # door posts as corners, a bevelled corner, a room drawn the other way round
        (
            RECTANGLE,
            "outline: [0 m x 0 m, 0 m x 3.5 m, 1 m x 3.5 m, 1.8 m x 3.5 m, 4 m x 3.5 m, 4.2 m x 3.3 m, 4.2 m x 0 m]",
        ),
        ("between: [1 m x 3.5 m, 1.8 m x 3.5 m]", "between: [1 m x 3.53 m, 1.8 m x 3.46 m]"),  # a tape along a wall
        ("pump: 3.6 m x 0.3 m", "pump: 4.23 m x 0.3 m"),
        ("tray: [3.2 m x 0.1 m, 4 m x 0.55 m]", "tray: [3.25 m x 0.1 m, 3.7 m x 0.9 m]"),  # turned by a right angle
        ("tray: [3.2 m x 0.1 m, 4 m x 0.55 m]", "tray: [3.2 m x 0.1 m, 4.02 m x 0.57 m]"),
        ("    spots:\n", "    walls: [[0 m x 2 m, 0.1 m x 2.8 m]]\n    spots:\n"),
        ("    spots:\n", "    joints: [{area: [0 m x 0 m, 4.2 m x 0.01 m], leads to: laundry}]\n    spots:\n"),
        ("    spots:\n", "    hollows: [{under: tank, depth: 3 mm}]\n    spots:\n"),
        ("    spots:\n", "    furniture: [{area: [3.9 m x 3 m, 4.5 m x 3.6 m], stands on: plinth}]\n    spots:\n"),
        ("sill: 15 mm, leads to: hall}", "sill: 15 mm, leads to: hall}, {between: [4.2 m x 1 m, 4.2 m x 1.9 m]}"),
        ("outline: [0 m x 3.6 m, 2.6 m x 5 m]", "outline: [0 m x 3.46 m, 2.6 m x 5 m]"),  # 4 cm: a tape
        ("pump: 3.6 m x 0.3 m", "pump: 3.6 m x 0.3 m\n      low mark: 2.8 m x 0.2 m\n      float: 3.6 m x 0.4 m"),
    ],
)  # fmt: skip
def test_shapes_and_small_differences_that_are_sound_draw_no_objection(change: tuple[str, str]) -> None:
    changes = [change]
    if "3.46 m, 2.6" in change[1]:
        changes.append(("between: [1 m x 3.6 m, 1.8 m x 3.6 m]", "between: [1 m x 3.46 m, 1.8 m x 3.46 m]"))
    if "3.7 m x 0.9 m" in change[1]:
        changes.append(("[3.5 m x 0.2 m, 3.9 m x 0.5 m]", "[3.35 m x 0.2 m, 3.65 m x 0.6 m]"))
    assert codes(ROOM + HALL, *changes) == []


def test_rooms_above_each_other_may_overlap_on_paper() -> None:
    assert codes(ROOM + LAUNDRY) == []
    level = ("floor height: 2.9 m, leads to: hall", "leads to: hall")
    assert "D311" in codes(ROOM + LAUNDRY, level)


def test_two_readings_on_the_two_sides_of_a_step_do_not_contradict() -> None:
    step = "    patches: [{area: [0 m x 3 m, 1 m x 3.5 m], raised by: 30 mm}]\n"
    two = """    readings:
      - {by: water tube, at: 0.5 m x 2.98 m, height: 2 mm}
      - {by: water tube, at: 0.5 m x 3.02 m, height: 32 mm}
"""
    assert codes(ROOM + step + two) == []
    assert codes(ROOM + two) == ["D334"]


@pytest.mark.parametrize(
    ("differ", "found"),
    [(4.9, []), (5.0, ["D334"])],  # 3.5 x the root of 1 mm squared twice: 4.95 mm
)
def test_readings_contradict_from_three_and_a_half_standard_deviations_on(differ: float, found: list[str]) -> None:
    two = f"""    readings:
      - {{by: water tube, at: 2 m x 2 m, height: 2 mm}}
      - {{by: water tube, at: 2 m x 2.04 m, height: {2 + differ} mm}}
"""
    assert codes(ROOM + two) == found


@pytest.mark.parametrize(
    ("floor", "poured", "found"),
    [  # a puddle of 40 cm x 40 cm covers pi/4 x 0.16 m2 = 0.1257 m2: 5.5 mm are 0.69 L
        ("varnished wood", 0.062, ["D355"]),  # film.SURFACES from 1 mm on, and half of it is 0.0628 L
        ("varnished wood", 0.064, []),
        ("varnished wood", 0.64, []),
        ("varnished wood", 0.65, ["D355"]),  # film.SURFACES up to 4.1 mm, and a quarter more is 0.644 L
        ("varnished wood", 0.68, ["D355"]),
        ("varnished wood", 0.70, ["D335"]),
        ("carpet", 0.24, ["D355"]),  # 2 mm: 0.251 L
        ("carpet", 0.26, []),
        ("carpet", 1.56, []),  # 12.5 mm: 1.57 L
        ("carpet", 1.9, ["D355"]),  # its pad takes up to 10 mm more than the 5.5: 1.95 L
        ("carpet", 2.0, ["D335"]),
    ],
)
def test_film_of_a_cup_is_held_against_the_floor(floor: str, poured: float, found: list[str]) -> None:
    cup = f"    readings: [{{by: cup, at: 2 m x 1 m, poured: {poured} L, puddle: 40 cm x 40 cm}}]\n"
    made = ("size: 4.2 m x 3.5 m, floor: varnished wood", f"size: 4.2 m x 3.5 m, floor: {floor}")
    assert [code for code in codes(ROOM + cup, made) if code != "D063"] == found


def test_film_of_a_cup_is_held_against_the_patch_on_which_it_was_poured_and_what_a_litre_covers() -> None:
    cup = "    readings: [{by: cup, at: 2 m x 1 m, poured: 1.2 L, puddle: 40 cm x 40 cm}]\n"  # 9.5 mm
    rug = "    patches: [{area: [1 m x 0.5 m, 3 m x 2 m], floor: carpet}]\n"
    assert codes(ROOM + cup) == ["D335"]
    assert codes(ROOM + rug + cup) == []
    thin = "    readings: [{by: cup, at: 2 m x 1 m, poured: 0.1 L, puddle: 40 cm x 40 cm}]\n"  # 0.8 mm
    assert codes(ROOM + thin) == []
    (finding,) = told(ROOM + rug + thin)
    assert finding.code == "D355"
    assert "from 4 mm to 10 mm is usual on carpet" in finding.what
    thinner = thin.replace("0.1 L", "0.05 L")  # 0.4 mm, and a litre was seen to cover 2 m2
    assert codes(ROOM + thinner) == ["D063", "D355"]
    litre = ("size: 4.2 m x 3.5 m, floor", "a litre covers: 2 m2, size: 4.2 m x 3.5 m, floor")
    assert codes(ROOM + thinner, litre) == ["D063", "D063"]


HEIGHT = "{{by: water tube, at: {}, height: 3 mm}}"


@pytest.mark.parametrize(
    ("spots", "found"),
    [  # the gully is at 1 m x 1 m, in a room of 2.6 m x 2.1 m
        (("0.2 m x 0.2 m", "2.4 m x 0.2 m", "1 m x 0.6 m"), "above"),
        (("0.2 m x 0.2 m", "0.2 m x 1.9 m"), "to the right"),
        (("2.4 m x 0.2 m", "2.4 m x 1.9 m", "1.1 m x 1 m"), "to the left"),
        (("0.2 m x 1.9 m", "2.4 m x 1.9 m"), "below"),
        (("1.9 m x 1 m",), "to the left"),
        (("0.2 m x 1 m", "2.4 m x 1 m"), ""),  # on both sides
        (("0.2 m x 0.2 m", "2.4 m x 0.2 m", "1.2 m x 1.9 m"), ""),
        (("1.05 m x 1 m",), ""),  # at the drain itself
    ],
)
def test_floor_that_was_read_on_one_side_of_its_drain_only_is_told(spots: tuple[str, ...], found: str) -> None:
    lines = "".join(f"      - {HEIGHT.format(spot)}\n" for spot in spots)
    made = told(f"{LAUNDRY}    readings:\n{lines}")
    assert [(one.code, one.level) for one in made] == ([("D354", "note")] if found else [])
    assert all(f"nothing {found}" in one.what for one in made)


def test_drain_by_the_wall_a_puddle_round_it_and_a_floor_of_which_nothing_was_read_draw_no_remark() -> None:
    one = "    readings:\n      - {by: batten, from: 0.9 m x 0.8 m, to: 0.2 m x 0.3 m, rises: 8 mm}\n"
    assert codes(LAUNDRY + one) == ["D354"]
    at_the_wall = ("gully: 1 m x 1 m", "gully: 2.4 m x 1.9 m")
    assert codes(LAUNDRY + one, at_the_wall) == []
    closet = "    walls: [[0 m x 1.2 m, 2.6 m x 2.1 m], [1.2 m x 0 m, 2.6 m x 2.1 m]]\n"
    assert codes(LAUNDRY + closet + one) == []
    round_it = (
        "      - {by: pour, at: 0.9 m x 0.9 m, poured: 1 L, outline: [0.7 m x 0.8 m, 1.3 m x 0.8 m, 1 m x 1.3 m]}\n"
    )
    assert codes(LAUNDRY + one + round_it) == []
    marble = "    readings:\n      - {by: marble, from: 0.2 m x 0.3 m, to: 0.9 m x 0.8 m}\n"
    assert codes(LAUNDRY + marble) == []


@pytest.mark.parametrize("between", [", ", "; ", " to ", " and ", " / "])
def test_spots_without_brackets_are_told_with_the_brackets(between: str) -> None:
    area = f"      tray: 3.2 m x 0.1 m{between}4 m x 0.55 m\n"
    made = told(ROOM.replace("      tray: [3.2 m x 0.1 m, 4 m x 0.55 m]\n", area))
    assert [one.code for one in made] == ["D353"]
    assert "`tray: [3.2 m x 0.1 m, 4 m x 0.55 m]`" in made[0].remedy
    in_braces = LAUNDRY.replace("[0.2 m x 0 m, 0.6 m x 0.2 m]", f"0.2 m x 0 m{between}0.6 m x 0.2 m")
    made = told(in_braces)
    assert [one.code for one in made] == ["D353"]
    assert "`membrane: [0.2 m x 0 m, 0.6 m x 0.2 m]`" in made[0].remedy
    odd = ROOM.replace("      tray: [3.2 m x 0.1 m, 4 m x 0.55 m]\n", "      tray: 3.2 m x 0.1 m, by the wall\n")
    assert codes(odd) == ["D069"]


@pytest.mark.parametrize(
    ("reading", "example"),
    [
        ("by: batten, from: 1 m x 1 m, to: 2 m x 1 m", "`rises: 4 mm`"),
        ("by: laser, at: 1 m x 1 m", "`height: 12 mm`"),
        ("by: phone, from: 1 m x 1 m, to: 2 m x 1 m", "`angle: 0.2 deg`"),
        ("by: cup, at: 1 m x 1 m, puddle: 40 cm x 30 cm", "`poured: 250 mL`"),
        ("by: pour, at: 1 m x 1 m, probe: probe", "`poured: 1 L`"),
    ],
)
def test_examples_of_what_is_missing_in_a_reading_are_of_the_size_that_floors_have(reading: str, example: str) -> None:
    (finding,) = told(f"{ROOM}    readings: [{{{reading}}}]\n")
    assert finding.code == "D040"
    assert example in finding.remedy


@pytest.mark.parametrize(
    ("high", "found"), [("2.1", []), ("2.11", []), ("1.7", ["D310"]), ("2.4", []), ("2.42", ["D310"])]
)
def test_outline_and_size_differ_by_fifteen_percent_at_most(high: str, found: list[str]) -> None:
    """Of 2.1 m: 1.785 m to 2.415 m."""
    room = ("outline: [0 m x 0 m, 2.6 m x 2.1 m]", f"outline: [0 m x 0 m, 2.6 m x {high} m]")
    made = told(LAUNDRY, room)
    assert [one.code for one in made] == found
    assert all("no rectangle" not in one.remedy for one in made)


def test_room_that_is_no_rectangle_is_told_which_size_has_its_area() -> None:
    ell = "outline: [0 m x 0 m, 4.2 m x 0 m, 4.2 m x 2 m, 2.2 m x 2 m, 2.2 m x 3.5 m, 0 m x 3.5 m]"  # 11.7 of 14.7 m2
    made = told(ROOM.replace("[3.2 m x 0.1 m, 4 m", "[3.2 m x 0.1 m, 4 m"), (RECTANGLE, ell))
    assert [one.code for one in made] == ["D310"]
    assert "`size: 4.2 m x 2.79 m`" in made[0].remedy


def pours(*lines: str) -> str:
    """The room with readings by pours, each what comes behind `by: pour`."""
    return ROOM + "    readings:\n" + "".join(f"      - {{by: pour, {line}}}\n" for line in lines)


@pytest.mark.parametrize(
    ("first", "then", "found"),
    [  # one of two factors of 1.3, 3.5 times the root of both squared, is 3.66: 0.3 L may be 1.09 L
        ("poured: 1 L, probe: probe, after: 0.3 L", "poured: 4 L, probe: probe", ["D344"]),
        ("poured: 4 L, probe: probe", "poured: 1 L, probe: probe, after: 0.3 L", ["D344"]),
        ("poured: 1 L, probe: probe, after: 0.3 L", "poured: 1.09 L, probe: probe", []),
        ("poured: 1 L, probe: probe, after: 0.3 L", "poured: 1.11 L, probe: probe", ["D344"]),
        ("poured: 1 L, probe: probe, after: 0.3 L", "poured: 2 L, probe: probe, after: 1.08 L", []),
        ("poured: 1 L, probe: probe, after: 0.3 L", "poured: 2 L, probe: probe, after: 1.11 L", ["D344"]),
        ("poured: 0.3 L, probe: probe", "poured: 4 L, probe: probe, after: 3 L", []),
        ("poured: 4 L, probe: probe", "poured: 0.3 L, probe: probe", []),
        # a probe that is wet at once is wet by 30 mL, which may be 0.11 L
        ("poured: 1 L, probe: probe, after: 0 L", "poured: 0.105 L, probe: probe", []),
        ("poured: 1 L, probe: probe, after: 0 L", "poured: 0.115 L, probe: probe", ["D344"]),
    ],
)
def test_pours_of_one_probe_at_one_spot_contradict_from_three_and_a_half_standard_deviations_on(
    first: str, then: str, found: list[str]
) -> None:
    assert codes(pours(f"at: 2 m x 2 m, {first}", f"at: 2 m x 2 m, {then}")) == found


@pytest.mark.parametrize(
    ("away", "silent", "found"),
    [  # discs of 5.5 mm: (root of 0.3 L + 0.08 m x root of pi 5.5 mm)^2 = 0.775 L, times 3.66 = 2.84 L
        ("2.08", "2.8", []),
        ("2.08", "2.9", ["D344"]),
        ("2.11", "9", []),  # more than a hand's breadth away
    ],
)
def test_pours_beside_each_other_may_differ_by_the_floor_between_them(away: str, silent: str, found: list[str]) -> None:
    first = "at: 2 m x 2 m, poured: 1 L, probe: probe, after: 0.3 L"
    made = pours(first, f"at: {away} m x 2 m, poured: {silent} L, probe: probe")
    assert [code for code in codes(made) if code != "D063"] == found


@pytest.mark.parametrize(
    "between",
    [
        "    walls: [[2.03 m x 1 m, 2.06 m x 3 m]]\n",
        "    patches: [{area: [2.05 m x 1 m, 3 m x 3 m], raised by: 2 cm}]\n",
        "    furniture: [{area: [2.05 m x 1 m, 3 m x 2.5 m], stands on: plinth}]\n",
    ],
)
def test_pours_on_the_two_sides_of_what_water_does_not_cross_do_not_contradict(between: str) -> None:
    two = "at: 2 m x 2 m, poured: 1 L, probe: probe, after: 0.3 L", "at: 2.1 m x 2 m, poured: 4.9 L, probe: probe"
    assert codes(pours(*two)) == ["D344"]
    assert codes(pours(*two).replace("    readings:\n", between + "    readings:\n")) == []


@pytest.mark.parametrize("drawn", ["[3.2 m x 0.1 m, 4 m x 0.55 m]", "3.6 m x 0.325 m"])  # 80 cm x 45 cm about it
def test_pours_in_a_tray_and_beside_it_do_not_contradict(drawn: str) -> None:
    two = "at: 3.22 m x 0.3 m, poured: 1 L, probe: probe, after: 0.3 L", "at: 3.18 m x 0.3 m, poured: 4 L, probe: probe"
    found = codes(pours(*two), ("[3.2 m x 0.1 m, 4 m x 0.55 m]", drawn))
    assert [code for code in found if code != "D351"] == []  # which way a tray of one spot lies


def test_contradicting_pours_are_told_once_each_with_both_readings_and_both_lines() -> None:
    acted, silent = "poured: 1 L, probe: probe, after: 0.3 L", "poured: 4 L, probe: probe"
    made = pours(*(f"at: 2 m x 2 m, {one}" for one in (acted, silent, acted, silent)))
    found = told(made)
    assert [one.code for one in found] == ["D344"] * 3
    begins = found[0].line
    assert begins is not None
    for number, one in enumerate(found, 2):
        assert one.line == begins + number - 2
        assert one.where == f"reading {number}, floor of study"
        other = 2 if number == 3 else 1
        assert f"reading {other} (line {begins + other - 2})" in one.what


def test_other_probes_and_pours_that_contradict_themselves_are_not_held_against_each_other() -> None:
    spots = "      pump: 3.6 m x 0.3 m\n"
    two = pours(
        "at: 3.4 m x 0.4 m, poured: 1 L, probe: probe, after: 0.3 L",
        "at: 3.4 m x 0.4 m, poured: 4 L, probe: low probe",
    )
    assert codes(two.replace(spots, spots + "      low probe: 3.4 m x 0.3 m\n")) == ["D316"]
    more = "at: 2 m x 2 m, poured: 1 L, probe: probe, after: 4.9 L", "at: 2 m x 2 m, poured: 0.3 L, probe: probe"
    assert codes(pours(*more)) == ["D337"]


@pytest.mark.parametrize(
    ("first", "then", "found"),
    [  # 1 m2 may be 0.27 m2, and no less, where as much or more was poured
        ("poured: 2 L, outline: [1 m x 1 m, 2 m x 2 m]", "poured: 2.5 L, outline: [1.2 m x 1.2 m, 1.75 m x 1.7 m]", []),
        (
            "poured: 2 L, outline: [1 m x 1 m, 2 m x 2 m]",
            "poured: 2.5 L, outline: [1.2 m x 1.2 m, 1.7 m x 1.7 m]",
            ["D345"],
        ),
        (
            "poured: 2.5 L, outline: [1.2 m x 1.2 m, 1.7 m x 1.7 m]",
            "poured: 2 L, outline: [1 m x 1 m, 2 m x 2 m]",
            ["D345"],
        ),
        ("poured: 1 L, outline: [1.2 m x 1.2 m, 1.7 m x 1.7 m]", "poured: 2 L, outline: [1 m x 1 m, 2 m x 2 m]", []),
        ("poured: 2 L, outline: [1 m x 1 m, 2 m x 2 m]", "poured: 2.5 L, outline: [1.5 m x 1.5 m]", ["D306"]),
    ],
)
def test_more_water_that_covers_far_less_at_one_spot_is_told(first: str, then: str, found: list[str]) -> None:
    assert codes(pours(f"at: 1.5 m x 1.5 m, {first}", f"at: 1.5 m x 1.5 m, {then}")) == found


@pytest.mark.parametrize(
    ("ends", "after", "found"),
    [  # the probe lies at 3.3 m x 0.2 m, and 10 cm are what its head, its spot and the edge may be off
        ("3.45 m", "", ["D347"]),
        ("3.39 m", "", []),
        ("3.45 m", ", after: 0.5 L", []),
        ("3.21 m", ", after: 0.5 L", []),
        ("3.15 m", ", after: 0.5 L", ["D348"]),
        ("3.15 m", "", []),
    ],
)
def test_probe_that_acted_or_not_is_held_against_the_puddle_that_was_drawn(
    ends: str, after: str, found: list[str]
) -> None:
    outline = f"outline: [2.8 m x 0.02 m, {ends} x 0.5 m]"
    level = ("tray: [3.2 m x 0.1 m, 4 m x 0.55 m]", "tray: 3.6 m x 3 m")
    lies = ("kind: leak probe, in: tray", "kind: leak probe, in: study")
    made = codes(pours(f"at: 3 m x 0.2 m, poured: 0.8 L, probe: probe{after}, {outline}"), level, lies)
    assert [code for code in made if code in ("D347", "D348")] == found
    in_tray = codes(pours(f"at: 3 m x 0.2 m, poured: 0.8 L, probe: probe{after}, {outline}"))
    assert in_tray == [code for code in found if code != "D347"]  # around a tray it may lie, and not come in


SUMP = """  low tank:   {kind: sump, in: tray, footprint: 50 cm x 30 cm, rim: 350 mm, running level: 200 mm,
    rises when the return pump stops: 50 mm, return chamber: 15 cm x 30 cm, return pump needs: 100 mm}
  tank:       {kind"""
TRAY, SIZE = "tray: [3.2 m x 0.1 m, 4 m x 0.55 m]", "size: 80 cm x 45 cm"
NO_IN = (
    ("display tank, in: study", "display tank"),
    ("surface: 60 cm", "drains to: low tank, surface: 60 cm"),
    ("  tank:       {kind", SUMP),
    (
        "      probe: 3.3 m x 0.2 m\n",
        "      low tank: [3.3 m x 0.15 m, 3.8 m x 0.45 m]\n      probe: 3.3 m x 0.2 m\n",
    ),
)


@pytest.mark.parametrize("tray", [TRAY, "tray: 3.6 m x 0.325 m"])  # 80 cm x 45 cm about it is the same
@pytest.mark.parametrize(
    ("reservoir", "found"),
    [
        ("[3.65 m x 0.2 m, 4.05 m x 0.5 m]", []),  # 5 cm past its rim: a tape
        ("[3.66 m x 0.2 m, 4.06 m x 0.5 m]", ["D349"]),
        ("[3.5 m x 0.31 m, 3.9 m x 0.61 m]", ["D349"]),
        ("[2.9 m x 0 m, 4.2 m x 0.7 m]", ["D349"]),  # all round
        ("[4.1 m x 0.2 m, 4.2 m x 0.5 m]", ["D343"]),
        ("[3.3 m x 1 m, 3.7 m x 1.3 m]", ["D343"]),
        ("4.1 m x 0.2 m", ["D343"]),
    ],
)
def test_vessel_that_stands_in_a_tray_is_held_against_its_rim(tray: str, reservoir: str, found: list[str]) -> None:
    moved = ("reservoir: [3.5 m x 0.2 m, 3.9 m x 0.5 m]", f"reservoir: {reservoir}")
    assert [code for code in codes(ROOM, (TRAY, tray), moved) if code != "D351"] == found


@pytest.mark.parametrize(
    ("tank", "found"),
    [
        ("[3.2 m x 0.1 m, 3.9 m x 0.5 m]", []),
        ("[3.16 m x 0.1 m, 4.04 m x 0.58 m]", []),
        ("[3.1 m x 0.1 m, 3.9 m x 0.5 m]", ["D349"]),
        ("[2.4 m x 0.1 m, 3.15 m x 0.5 m]", ["D350"]),
    ],
)
def test_tank_without_a_place_of_its_own_stands_in_the_tray_of_its_sump(tank: str, found: list[str]) -> None:
    moved = ("tank: [2.5 m x 0.1 m, 3.1 m x 0.5 m]", f"tank: {tank}")
    made = codes(ROOM, moved, *NO_IN)
    assert [code for code in made if code in ("D343", "D349", "D350")] == found
    in_the_room = (*NO_IN[1:], ("{kind: display tank,", "{kind: display tank, in: study,"))
    made = codes(ROOM, moved, NO_IN[0], *in_the_room)
    assert [code for code in made if code in ("D343", "D349", "D350")] == []


@pytest.mark.parametrize(
    ("size", "spot", "found", "says"),
    [
        ("80 cm x 45 cm", "3.6 m x 0.3 m", ["D351"], "80 cm to the right x 45 cm up"),
        ("45 cm x 80 cm", "3.6 m x 0.42 m", ["D351"], "45 cm to the right x 80 cm up"),
        ("62 cm x 60 cm", "3.6 m x 0.3 m", [], ""),  # nearly square
        ("80 cm x 45 cm", "3.95 m x 0.3 m", ["D351"], "15 cm over the outline"),
    ],
)
def test_tray_of_one_spot_is_told_which_way_it_is_taken_to_lie(
    size: str, spot: str, found: list[str], says: str
) -> None:
    inside = ("reservoir: [3.5 m x 0.2 m, 3.9 m x 0.5 m]", "reservoir: 3.6 m x 0.3 m")
    probe = ("      probe: 3.3 m x 0.2 m", "      probe: 3.6 m x 0.3 m")
    made = told(ROOM, (TRAY, f"tray: {spot}"), (SIZE, f"size: {size}"), inside, probe)
    assert [one.code for one in made] == found
    assert all(says in one.what for one in made)


def test_note_lists_what_has_no_spot_and_is_told_once_a_plan(repository: Path) -> None:
    text = (
        (repository / "examples" / "two_tanks.yaml").read_text(encoding="utf-8")
        + """
floors:
  laundry:
    outline: [0 m x 0 m, 2.6 m x 2.1 m]
    spots: {floor drain: 1 m x 1 m}
"""
    )
    (finding,) = check(read_text(text, "house.yaml"))
    assert (finding.code, finding.level) == ("D318", "note")
    named = "stop tap, cell valve, probe of cell valve, feed valve, filters, membrane, check, resin, riser"
    assert f": {named}. " in finding.what


def test_a_tray_within_a_tray_and_a_part_called_a_probe_of_something_are_where_they_are() -> None:
    inner = ("  tray:    {kind", "  dish:    {kind: tray, in: tray, size: 20 cm x 20 cm, rim: 20 mm}\n  tray:    {kind")
    probe = ("  probe:     {kind: leak probe, in: tray", "  probe of tank: {kind: leak probe, in: dish")
    spot = (
        "      probe: 3.3 m x 0.2 m",
        "      dish: [3.3 m x 0.2 m, 3.5 m x 0.4 m]\n      probe of tank: 3.3 m x 0.2 m",
    )
    found = codes(ROOM, inner, probe, spot, ("cause: probe wet", "cause: probe of tank wet"))
    assert found == ["D164"]  # and no more than that the tray itself has no probe now


def test_nothing_is_called_absent_where_a_line_could_not_be_read() -> None:
    half = ("  stock:     {kind: level switch", "  stock:     {kind: level swich")
    few = ROOM.replace("      probe: 3.3 m x 0.2 m\n", "")
    assert codes(few) == ["D318"]
    assert "D318" not in codes(few, half)
    assert "D313" in codes(ROOM.replace("pump: 3.6 m", "pump: 36 m"), half)


@pytest.mark.parametrize(
    "broken",
    ["  reservoir:", "  tray:   ", "  study:  ", "  hall:   ", "  gully:  ", "  probe:  ", "  riser:  ", "  laundry:"],
)
def test_plans_of_a_house_of_which_a_part_cannot_be_read_draw_no_false_objection(broken: str) -> None:
    text = BAD.read_text(encoding="utf-8")
    line = text[text.index(f"\n{broken}") + 1 :].partition("\n")[0]
    found = codes(ROOM + HALL + LAUNDRY, (line, line.replace("{kind:", "{colour: blue, kind:")))
    assert "D039" in found
    assert [code for code in found if code >= "D306"] == []
    found = codes(ROOM + HALL + LAUNDRY, (line, line.replace("{kind:", "{kimd:")))
    assert "D037" in found
    assert [code for code in found if code >= "D306"] == []


@pytest.mark.parametrize(
    ("begins", "ends", "says"),
    [  # the other one is drawn from 1 m to 1.8 m; 10 cm are what linings and two measurements are off
        (1.0, 1.8, ()),
        (0.9, 1.7, ()),
        (1.1, 1.9, ()),
        (0.92, 1.88, ()),
        (1.11, 1.91, ("11 cm", "80 cm wide")),
        (1.0, 1.65, ("15 cm", "cm wide")),
        (0.7, 1.5, ("30 cm", "80 cm wide")),
        (1.45, 2.25, ("45 cm", "80 cm wide")),
        (0.2, 0.98, ("82 cm", "do not meet")),
        (1.82, 2.5, ("82 cm", "do not meet")),
        (0.0, 0.3, ("1.5 m", "do not meet")),
    ],
)
def test_door_of_two_rooms_stands_in_both_plans_at_one_place(begins: float, ends: float, says: tuple[str, ...]) -> None:
    """Told once, of the later plan, whichever that is, and however its ends are named."""
    for one, other in ((begins, ends), (ends, begins)):
        back = ("between: [1 m x 3.6 m, 1.8 m x 3.6 m]", f"between: [{one} m x 3.6 m, {other} m x 3.6 m]")
        for plans in (ROOM + HALL, HALL + ROOM):
            found = told(plans, back)
            assert [finding.code for finding in found] == (["D352"] if says else [])
            assert all(words in finding.what for finding in found for words in says)


def test_of_two_doors_each_is_held_against_its_own_and_a_third_leads_nowhere() -> None:
    second = "{between: [2 m x 3.5 m, 2.5 m x 3.5 m], leads to: hall}"
    rooms = ROOM.replace("leads to: hall}]", f"leads to: hall}}, {second}]") + HALL
    back = "      - {between: [2.05 m x 3.6 m, 2.5 m x 3.6 m], leads to: study}\n"
    assert codes(rooms) == []  # one wide opening may be drawn as two, 20 cm apart
    assert codes(rooms.replace("2 m x 3.5 m, 2.5 m x", "3.2 m x 3.5 m, 4 m x")) == ["D324"]
    both = rooms.replace("    spots: {riser: [0.1", back + "    spots: {riser: [0.1")
    assert codes(both) == []
    assert codes(both.replace("2.05 m x 3.6 m, 2.5 m", "2.2 m x 3.6 m, 2.5 m")) == ["D352"]
    assert codes(both.replace("1 m x 3.5 m, 1.8 m x", "0.1 m x 3.5 m, 0.4 m x")) == ["D352"]
    far = rooms.replace("between: [1 m x 3.6 m, 1.8 m x 3.6 m]", "between: [0 m x 3.6 m, 0.6 m x 3.6 m]")
    assert sorted(codes(far)) == ["D341", "D352"]  # of two doors that lead here, one only leads back


def test_sills_of_a_door_that_is_drawn_in_two_places_are_not_held_against_each_other() -> None:
    sill = ("sill: 15 mm, leads to: study", "sill: 40 mm, leads to: study")
    moved = ("between: [1 m x 3.6 m, 1.8 m x 3.6 m]", "between: [1.82 m x 3.6 m, 2.5 m x 3.6 m]")
    assert codes(ROOM + HALL, sill) == ["D346"]
    assert codes(ROOM + HALL, sill, moved) == ["D352"]


@pytest.mark.parametrize(
    ("here", "back", "heights", "found"),
    [  # 3.5 x the root of 2 mm squared twice: 9.9 mm
        ("sill: 15 mm, ", "sill: 24 mm, ", "2.9", []),
        ("sill: 15 mm, ", "sill: 25.1 mm, ", "2.9", ["D346"]),
        ("sill: 25.1 mm, ", "sill: 15 mm, ", "2.9", ["D346"]),
        ("sill: 15 mm, ", "", "2.9", ["D346"]),  # left out, there is none
        ("sill: 40 mm, ", "sill: 20 mm, ", "2.92", []),  # one sill, its floors 20 mm apart
        ("sill: 20 mm, ", "sill: 20 mm, ", "2.92", ["D346"]),
        ("", "", "2.92", []),  # a step without a sill: the higher floor
        ("sill: 5 mm, ", "", "2.92", []),
        ("sill: 120 mm, ", "sill: 20 mm, ", "3", []),
        ("sill: 120 mm, ", "sill: 40 mm, ", "3", ["D346"]),
    ],
)
def test_two_sills_of_one_door_are_held_against_each_other_by_their_tops(
    here: str, back: str, heights: str, found: list[str]
) -> None:
    plans = ROOM.replace("sill: 15 mm, ", here) + HALL.replace("sill: 15 mm, ", back)
    hall = ("floor height: 2.9 m, leads to: laundry", f"floor height: {heights} m, leads to: laundry")
    others = ("D063", "D145")  # of a high sill, and of a floor that leads on to a higher one
    assert [code for code in codes(plans, hall) if code not in others] == found


def test_of_two_sills_of_one_door_both_are_named_with_their_lines() -> None:
    for plans in (ROOM + HALL, HALL + ROOM):
        (finding,) = told(plans.replace("sill: 15 mm, leads to: study", "sill: 30 mm, leads to: study"))
        begins = BAD.read_text(encoding="utf-8").partition("floors:")[0].count("\n") + 1
        doors = [begins + k for k, line in enumerate(plans.split("\n")) if "1.8 m x 3." in line]
        assert finding.line == doors[1]
        assert f"(line {doors[0]})" in finding.what
        assert "15 mm" in finding.what
        assert "30 mm" in finding.what


SPOTS = re.compile(r"-?\d[\d.]* m x \d[\d.]* m")
ANY = st.sampled_from((0.0, 0.01, 0.5, 1.0, 2.6, 3.5, 3.6, 4.2, 100.0)) | st.floats(0.0, 6.0)


@pytest.mark.slow
@given(st.lists(st.tuples(st.integers(0, 10_000), ANY, ANY), min_size=1, max_size=6))
@settings(max_examples=150)
def test_any_spot_put_in_place_of_another_gives_findings_or_a_design(moves: list[tuple[int, float, float]]) -> None:
    floors = ROOM + READINGS + HALL + LAUNDRY
    for which, across, up in moves:
        spots = list(SPOTS.finditer(floors))
        old = spots[which % len(spots)]
        floors = f"{floors[: old.start()]}{across:.3f} m x {up:.3f} m{floors[old.end() :]}"
    lines = floors.count("\n") + BAD.read_text(encoding="utf-8").count("\n")
    for finding in told(floors):
        assert finding.line is not None
        assert 0 < finding.line <= lines
        assert "nan" not in finding.what


def test_a_polygon_of_a_hundred_corners_and_hundreds_of_readings_are_looked_at_in_time() -> None:
    edge = ", ".join(f"{x} m x {y} m" for x, y in comb())
    many = "".join(
        f"      - {{by: water tube, at: {0.1 + 0.1 * (k % 20):.1f} m x {0.3 + 0.05 * (k // 20):.2f} m, height: 2 mm}}\n"
        for k in range(500)
    )
    plan = ROOM.replace("[0 m x 0 m, 4.2 m x 3.5 m]", f"[{edge}]")
    begun = time.perf_counter()
    told(plan + "    readings:\n" + many)
    assert time.perf_counter() - begun < 10.0


@pytest.mark.slow
def test_hundreds_of_pours_at_one_spot_are_looked_at_in_time() -> None:
    """Each against all before it, with a puddle of forty corners and a probe that acted."""
    edge = [(1.5 + 0.5 * math.cos(0.05 * math.pi * k), 1.5 + 0.5 * math.sin(0.05 * math.pi * k)) for k in range(40)]
    outline = ", ".join(f"{x:.3f} m x {y:.3f} m" for x, y in edge)
    many = [f"at: 1.5 m x {1.5 + 1e-4 * k} m, poured: 1 L, outline: [{outline}]" for k in range(250)]
    many += [f"at: 1.5 m x {1.5 + 1e-4 * k} m, poured: 1 L, probe: probe, after: 0.5 L" for k in range(250)]
    begun = time.perf_counter()
    assert codes(pours(*many)) == []
    assert time.perf_counter() - begun < 15.0


def comb() -> list[tuple[float, float]]:
    """An outline with a hundred corners: a rectangle with niches along its upper wall."""
    upper = [(round(4.2 - 0.08 * (k // 2 * 2 + (k % 4 in (1, 2))), 2), 3.5 if k % 4 < 2 else 3.6) for k in range(98)]
    return [(0.0, 0.0), (4.2, 0.0), *upper]

"""Words of pours, marbles and cups: which floors agree, tests that contradict, and what a cup tells by hand."""

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read_text
from dewpond.errors import FINDINGS, FINE
from dewpond.floor.evidence import poured_on
from dewpond.parts import KINDS
from dewpond.report.views.findings import exit_code
from dewpond.report.views.floor_assumed import assumed
from dewpond.report.views.floor_poured import changed, chosen, cups, poured_findings
from dewpond.report.views.shown import Shown
from dewpond.study.floors import Asked, Looked, look
from dewpond.study.moved import Moved, ProbeMoved

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "two_tanks.yaml"
ASKED = Asked(cell=0.05)
METRIC = Shown("metric")
PLAN = """
floors:
  study:
    outline: [0 m x 0 m, 3 m x 3 m]
    patches: [{area: [0 m x 2 m, 1 m x 3 m], floor: carpet}]
    walls: [[2 m x 2 m, 3 m x 3 m]]
    spots: {study probe: 2.1 m x 1.5 m, riser: 1.5 m x 1.5 m}
    readings:
"""
POUR = "{by: pour, at: 1.5 m x 1.5 m, poured: 1 L, probe: study probe, after: 0.8 L}"
MARBLE = "{by: marble, from: 0.5 m x 0.5 m, to: 0.9 m x 0.5 m}"


def looked(*readings: str) -> Looked:
    plan = PLAN + "".join(f"      - {one}\n" for one in readings)
    design: Design = read_text(EXAMPLE.read_text("utf-8") + plan, "two.yaml")
    return look(design, KINDS, ASKED, lambda site: (site.part, site.place) == ("riser", "study"))[0]


def weighing(found: Looked, **what: Any) -> Looked:
    assert found.poured is not None
    return replace(found, poured=replace(found.poured, weights=replace(found.poured.weights, **what)))


def test_floors_that_agree_are_counted_and_named_by_their_readings() -> None:
    found = looked(POUR, MARBLE)
    assert found.poured is not None
    (told,) = chosen(weighing(found, agree=23, thin=False, effective=11.6, odd=()))
    assert told.startswith(
        "Of 200 floors that its flatness allows, 23 agree, some much better than others, with what was poured and how "
        "a marble ran (reading 1 of study (pour, line "
    )
    (none,) = chosen(weighing(found, agree=0, thin=False, effective=59.0, odd=()))
    assert "none agrees in everything with what was poured" in none
    assert "as much as 20 floors" in none
    different = len(set(found.poured.chosen))
    assert f"{different} different ones, which together tell as much as 12 floors that are equally likely." in told


def test_what_contradicts_all_floors_or_one_another_is_to_act_on_and_too_few_is_a_note() -> None:
    found = looked(POUR, MARBLE)
    names = poured_on(found.storey)[0]
    for weights, code, level in (
        ({"odd": names[:1], "agree": 50, "thin": False, "effective": 59.0}, "floor-pour", "warning"),
        ({"odd": (), "agree": 0, "thin": False, "effective": 59.0}, "floor-pours", "warning"),
        ({"odd": (), "agree": 3, "thin": True, "effective": 3.0}, "floor-few", "note"),
        ({"odd": (), "agree": 9, "thin": False, "effective": 12.0}, "floor-rough", "note"),
    ):
        made = list(poured_findings(weighing(found, **weights), "two.yaml"))
        assert [(one.code, one.level) for one in made] == [(code, level)]
        assert exit_code(made) == (FINDINGS if level == "warning" else FINE)
        assert ("`flatness: old` for study" in made[0].remedy) == (code != "floor-rough")
    sound = weighing(found, odd=(), agree=9, thin=False, effective=59.0)
    assert not list(poured_findings(sound, "two.yaml"))


def test_probe_that_was_wet_at_once_at_the_other_end_contradicts_every_floor() -> None:
    found = looked("{by: pour, at: 0.3 m x 0.3 m, poured: 0.5 L, probe: study probe, after: 1 mL}")
    (made,) = poured_findings(found, "two.yaml")
    assert (made.code, made.where) == ("floor-pour", poured_on(found.storey)[0][0])
    assert any("so it does not count" in one for one in chosen(found))


def test_marble_on_what_no_floor_is_does_not_count_and_is_named() -> None:
    """It starts within a wall, farther from the floor than it would feel."""
    found = looked("{by: marble, from: 2.6 m x 2.6 m, to: 2.9 m x 2.6 m}")
    assert found.poured is None
    (told,) = chosen(found)
    assert told.startswith("Reading 1 of study (marble, line ")
    assert "does not count" in told


def test_cup_tells_volume_over_the_area_of_an_ellipse_and_the_angle_of_a_puddle() -> None:
    """By hand: 0.25 L over pi/4 x 0.41 m x 0.30 m; 2 asin(e / 2a) with the capillary length 2.727 mm; 2 x 8.7 %."""
    thick = 0.25e-3 / (0.25 * math.pi * 0.41 * 0.30)
    angle = math.degrees(2.0 * math.asin(thick / (2.0 * 2.727e-3)))
    off = 2.0 * math.sqrt(3.0) * 0.05
    (told,) = cups(looked("{by: cup, at: 1.5 m x 1 m, poured: 0.25 L, puddle: 41 cm x 30 cm}").storey, METRIC)
    low, high = (f"{float(f'{1e3 * thick * (1.0 + s * off):.2g}'):g}" for s in (-1.0, 1.0))
    assert f"tells {1e3 * thick:.2g} mm ({low} to {high}), a contact angle of about {angle:.0f} degrees" in told


def test_cup_on_carpet_tells_no_angle_and_one_in_a_hollow_says_so() -> None:
    carpet, hollow = (
        "{by: cup, at: 0.5 m x 2.5 m, poured: 0.25 L, puddle: 20 cm x 20 cm}",
        "{by: cup, at: 1.5 m x 1 m, poured: 0.25 L, puddle: 22 cm x 20 cm}",
    )
    thick = "{by: cup, at: 1.5 m x 1 m, poured: 0.2 L, puddle: 26 cm x 21 cm}"  # 4.7 mm, and 4.1 mm are taken at most
    found = looked(carpet, hollow, thick)
    told = list(cups(found.storey, METRIC))
    assert told[0].endswith("film and soak together.")
    assert "it lay in a hollow, and this is too high" in told[1]
    assert not any("degrees" in one for one in told[:2])
    assert "degrees. That is thicker than water is taken to stand on such a floor, 4.1 mm at most" in told[2]
    assert [one for one in assumed(found, ASKED, METRIC) if one in told] == told


@pytest.mark.parametrize(
    ("tells", "more", "fewer", "said"),
    [
        (True, 0.44, 0.12, "by a quarter of the floors or more 0.44 m² on more floors and 0.12 m² on fewer floors."),
        (True, 0.0, 0.12, "by a quarter of the floors or more 0.12 m² on fewer floors."),
        (True, 0.0, 0.0, "changes where water from riser in study lies after 2 L, but nowhere by a quarter"),
        (False, 0.44, 0.0, "does not change where water from riser in study lies after 2 L, or no more than chance"),
    ],
)
def test_what_was_changed_is_told_beside_chance(tells: bool, more: float, fewer: float, said: str) -> None:
    moved = Moved(2e-3, np.zeros((2, 2)), more, fewer, 0.18, tells, 100, (ProbeMoved("probe x", 0.45, 0.9),))
    told = list(changed(moved, looked(POUR), "riser in study", METRIC))
    assert said in told[0]
    assert ("0.18 m²" in told[0]) == (tells and more + fewer > 0.0)
    assert told[1] == "By 2 L it now wets probe x on 18 of 20 floors; before, it did on 45 of 100."

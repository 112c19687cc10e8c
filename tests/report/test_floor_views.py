"""Words of floors: counts, dashes and beginnings, findings, what was taken; the map against the figures."""

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read_text
from dewpond.errors import FINDINGS, FINE
from dewpond.floor.evidence import not_read
from dewpond.floor.members import JOINTS
from dewpond.floor.relief import USUAL, Odd, ensemble, scaled
from dewpond.floor.wetting import Spread
from dewpond.parts import KINDS
from dewpond.report import terminal
from dewpond.report.views.blocks import FloorMap, Fold
from dewpond.report.views.findings import exit_code
from dewpond.report.views.floor import floor_findings, floor_map, floor_report
from dewpond.report.views.floor_assumed import assumed, fast
from dewpond.report.views.floor_words import Words
from dewpond.report.views.shown import NOTHING, Shown
from dewpond.study.floors import Asked, look
from dewpond.study.spills import PROBE, WAY_OUT, Reached, Spilled, spilled

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "two_tanks.yaml"
ASKED = Asked(cell=0.05)
METRIC = Shown("metric")
PLAN = """
floors:
  study:
    outline: [0 m x 0 m, 3 m x 2.5 m]
    openings:
      - {between: [0 m x 0 m, 0 m x 0.6 m], leads to: kitchen}
      - {between: [0 m x 1 m, 0 m x 1.6 m], leads to: kitchen}
      - {between: [3 m x 1 m, 3 m x 1.6 m]}
    joints: [{area: [1 m x 1 m, 1.1 m x 1.4 m], leads to: laundry}]
    spots:
      cabinet tray: [2 m x 1.5 m, 2.8 m x 2.1 m]
      tray probe: 2.5 m x 1.8 m
      riser: [1.5 m x 1.5 m, 2.5 m x 1.7 m]
"""


@cache
def design() -> Design:
    return read_text(EXAMPLE.read_text("utf-8") + PLAN, "two.yaml")


@cache
def found() -> Spilled:
    (looked,) = look(design(), KINDS, ASKED)
    return spilled(looked)


def test_shares_are_told_as_counts() -> None:
    words = Words(found(), METRIC)
    assert words.of(0.85) == "17 of 20"
    assert words.on(0.85) == "on 17 of 20 floors"
    assert words.on(1.0) == "on all 20 floors"
    assert words.on(0.0) == "on none of the 20 floors"


def reached(litres: list[float], before: tuple[float, ...], sort: str = PROBE, way: int = -1) -> Reached:
    never = sum(map(math.isinf, litres)) / len(litres)
    spread = Spread(min(litres), sorted(litres)[len(litres) // 2], max(litres), never)
    return Reached("probe x", sort, "study", np.array(litres), spread, before, spread, way)


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (
            reached([1e-3] * 17 + [math.inf] * 3, (0.0, 0.85, 0.85, 0.85, 0.85)),
            "On 17 of 20 floors probe x is wet by 2 L; on 3 of 20 floors not before 60 L.",
        ),
        (reached([1e-3] * 20, (1.0,) * 5), "On all 20 floors probe x is wet by 1 L."),
        (reached([math.inf] * 20, (0.0,) * 5), "Probe x stays dry on all 20 floors up to 60 L."),
        (
            reached([4e-3] * 2 + [math.inf] * 18, (0.0, 0.0, 0.1, 0.1, 0.1)),
            "On 2 of 20 floors probe x is wet by 5 L; on 18 of 20 floors not before 60 L.",
        ),
        (
            reached([40e-3] * 2 + [math.inf] * 18, (0.0,) * 5),
            "On none of the 20 floors probe x is wet by 20 L; on 18 of 20 floors not before 60 L.",
        ),
    ],
)
def test_a_probe_is_told_by_the_least_litres_by_which_half_of_the_floors_have_it(one: Reached, said: str) -> None:
    spill = replace(found().spills[0], reaches=(one,), first=((one, 1.0),))
    assert list(Words(found(), METRIC).told(spill))[1:] == [said]


def test_what_is_never_reached_is_told_in_one_sentence() -> None:
    far = reached([math.inf] * 20, (0.0,) * 5, WAY_OUT, 2)
    spill = replace(found().spills[0], reaches=(far,), first=((None, 1.0),))
    told = list(Words(found(), METRIC).told(spill))
    assert told == [
        "It comes to no probe and to no way out before 60 L.",
        f"On no floor it comes to {Words(found(), METRIC).name(far)} before 60 L.",
    ]


def test_ways_out_are_told_by_where_they_lead_and_apart_by_where_they_are() -> None:
    words = Words(found(), METRIC)
    ways = found().looked.storey.ways_out
    names = [words.name(reached([1.0], (), WAY_OUT, k)) for k in range(len(ways))]
    assert "an opening of study that leads out" in names
    assert "the joint to laundry" in names
    doors = [name for name in names if name.startswith("the opening to kitchen at ")]
    assert len(set(doors)) == 2


def test_what_is_wet_at_once_and_what_never_is_has_no_litres() -> None:
    words = Words(found(), METRIC)
    assert words.litres(1e-9) == "under 50 mL"
    assert words.litres(math.inf) == NOTHING
    assert words.range(Spread(1e-3, math.inf, math.inf, 0.9)) == "from 1 L"
    assert words.range(Spread(math.inf, math.inf, math.inf, 1.0)) == NOTHING


def test_odd_readings_are_to_act_on_and_notes_are_not() -> None:
    assert exit_code(floor_findings(design(), [found()], ASKED)) == FINE
    odd = Odd("reading 4 of study (water tube, line 90)", 20e-3, 8e-3, 1.5e-3)
    looked = found().looked
    slip = replace(found(), looked=replace(looked, fitted=replace(looked.fitted, odd=(odd,))))
    made = floor_findings(design(), [slip], ASKED)
    assert exit_code(made) == FINDINGS
    assert (made[0].where, made[0].level) == (odd.what, "warning")
    assert made[0].what == "It lies 12 mm above what all others let expect, give or take 1.5 mm."


def rooms(*readings: str, flatness: str = "finished") -> Spilled:
    """The study with these readings, and the kitchen beside it, of which nothing was read."""
    read = f"    flatness: {flatness}\n    readings:\n" + "".join(f"      - {one}\n" for one in readings)
    kitchen = "  kitchen:\n    outline: [3.1 m x 0 m, 5 m x 2.5 m]\n"
    plan = PLAN.replace("[3 m x 1 m, 3 m x 1.6 m]", "[3 m x 1 m, 3 m x 1.6 m], leads to: kitchen")
    text = EXAMPLE.read_text("utf-8").replace(
        "leads to: kitchen, floor height: 2.9 m}", "leads to: kitchen, floor height: 0.1 m}"
    )
    made = read_text(text + plan + (read if readings else "") + kitchen, "two.yaml")
    (looked,) = look(made, KINDS, ASKED)
    return spilled(looked)


def heights(times: float) -> list[str]:
    """Twelve heights to a millimetre of a floor that was drawn so many times as rough as a finished one."""
    rng, floor = np.random.default_rng(5), ensemble((25, 30), 0.1, scaled(USUAL, times), (), 1, 5).heights[0]
    return [
        f"{{by: water tube, at: {x / 10:.1f} m x {y / 10:.1f} m, "
        f"height: {1e3 * floor[y, x] + rng.standard_normal():.1f} mm}}"
        for y in (3, 12, 21) for x in (2, 10, 18, 26)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("readings", "named"),
    [
        (heights(1.0), "Nothing was read of kitchen: "),
        (["{by: marble, from: 0.5 m x 0.5 m, to: 0.9 m x 0.5 m}"], "Nothing was read of kitchen: "),
        (["{by: cup, at: 2 m x 1 m, poured: 0.25 L, puddle: 40 cm x 30 cm}"], ""),
        ([], ""),
    ],
)
@pytest.mark.slow
def test_room_of_which_nothing_was_read_is_named_beside_one_that_was(readings: list[str], named: str) -> None:
    found = rooms(*readings)
    made = [one for one in floor_findings(design(), [found], ASKED) if one.code == "floor-not-read"]
    told = [one.what for one in made if one.what.startswith("Nothing was read of k")]
    assert [one.startswith(named) for one in told] == ([True] if named else [])
    assert all(one.level == "note" for one in made)
    assert not_read(found.looked.storey) == (("kitchen",) if named else ("study", "kitchen"))


@pytest.mark.slow
def test_room_that_is_rougher_than_its_word_is_to_act_on_and_the_next_word_is_named() -> None:
    """Three times as rough, an old one fits; ten times, none does, and many readings lie far from the others."""
    (made,) = (one for one in floor_findings(design(), [rooms(*heights(3.0))], ASKED) if one.code == "floor-word")
    assert (made.level, made.where) == ("warning", "floor of study")
    assert "farther apart than “finished” lets expect" in made.what
    assert "write `flatness: old`" in made.remedy
    (none,) = (one for one in floor_findings(design(), [rooms(*heights(10.0))], ASKED) if one.code == "floor-word")
    assert "no word here is rough enough" in none.remedy
    for calm in (rooms(), rooms(*heights(0.5)), rooms(*heights(3.0), flatness="old")):
        assert not [one for one in floor_findings(design(), [calm], ASKED) if one.code == "floor-word"]


@pytest.mark.slow
def test_room_that_is_smoother_than_its_word_is_told_quietly() -> None:
    level = rooms(*heights(0.3), flatness="old")
    assert not [one for one in floor_findings(design(), [level], ASKED) if one.code == "floor-word"]
    said = "The readings of study lie closer together than “old” lets expect; `flatness: finished` agrees with them"
    assert said in " ".join(assumed(level.looked, ASKED, METRIC))
    assert said not in " ".join(assumed(rooms(*heights(1.0)).looked, ASKED, METRIC))


def test_leaks_that_no_probe_feels_on_half_of_the_floors_are_noted_together() -> None:
    (made,) = (one for one in floor_findings(design(), [found()], ASKED) if one.code == "floor-unseen")
    words = Words(found(), METRIC)
    loose = [one for one in found().spills if one.seen.never >= 0.5]
    assert loose
    assert all((words.leak(one) in made.what) == (one in loose) for one in found().spills)
    assert made.level == "note"


def test_leak_that_a_drain_takes_is_not_noted_and_the_drain_is_told() -> None:
    """A drain under the riser: what no probe feels runs away into it."""
    drain = "      gully: [1.2 m x 1.2 m, 1.7 m x 1.7 m]\n"
    text = EXAMPLE.read_text("utf-8").replace("  kitchen:", "  gully: {kind: waste drain, in: study}\n  kitchen:", 1)
    made = read_text(text + PLAN + drain, "two.yaml")
    (looked,) = look(made, KINDS, ASKED, lambda site: site.part == "riser" and site.place == "study")
    drained = spilled(looked)
    (spill,) = drained.spills
    took = next(one for one in spill.reaches if Words(drained, METRIC).name(one) == "the drain “gully”")
    assert spill.held.never == pytest.approx(float(np.isinf(took.litres).mean()))
    assert spill.seen.never > 0.5 > spill.held.never
    assert not [one for one in floor_findings(made, [drained], ASKED) if one.code == "floor-unseen"]
    share = round(20 * (spill.seen.never - spill.held.never))
    said = f"on {share} of 20 floors" if share < 20 else "on all 20 floors"
    assert Words(drained, METRIC).unseen(spill).endswith(f"; {said} a drain takes it, and no probe ever feels it")


def test_only_a_fast_leak_is_warned_of_and_more_mildly_up_to_a_litre_a_minute() -> None:
    """The limits of docs/method.md, where the spill is held against a film that flows."""
    assert fast(Asked(rate=0.5e-3 / 60.0), METRIC) == ""
    for rate in (0.51, 1.0):
        assert "a rough guide only" in fast(Asked(rate=rate * 1e-3 / 60.0), METRIC)
    assert "does not hold" in fast(Asked(rate=1.01e-3 / 60.0), METRIC)


def test_what_was_taken_names_borrowed_spots_joints_and_that_nothing_was_read() -> None:
    told = " ".join(assumed(found().looked, ASKED, METRIC))
    assert "No height or slope was read of this floor" in told
    assert "taken to leak where riser may" in told
    joint = [way.by for way in found().looked.storey.ways_out].index("joint")
    takes = [floor.takes[joint] for floor in found().looked.fitted.floors]
    each = [takes.count(one) for one in JOINTS]
    words = f"nothing (on {each[0]} of the {len(takes)} floors), 0.2 L/min ({each[1]}) and all that comes ({each[2]})"
    assert f"What the joint of study takes nobody knows: {words}" in told
    assert "in cells of 50 mm (yours)" in told
    films = [floor.grid.film[found().looked.storey.of == 0][0] for floor in found().looked.fitted.floors]
    assert f"{1e3 * min(films):.2g} to {1e3 * max(films):.2g} mm of water stands" in told


def test_map_shows_the_shares_of_the_figures() -> None:
    """The area of a contour against the mean of members: between what is wet on all and on any floor."""
    spill = found().worst
    drawn = floor_map(design(), found(), spill)
    assert [label for label, _ in drawn.shares] == ["1 L", "2 L", "5 L", "10 L", "20 L"]
    for (_, share), volume, (_, half) in zip(drawn.shares, found().volumes, drawn.contours, strict=True):
        own = (spill.made.first <= volume).mean(axis=0)
        inside = found().looked.storey.of >= 0
        assert np.array_equal(np.isnan(share), ~inside)
        assert share[inside] == pytest.approx(own[inside])
        assert np.array_equal(half, (own > 0.499) & inside)
    leak = next(mark for mark in drawn.marks if mark.kind == "leak")
    assert len(leak.cells) == len(set(spill.made.at))


def test_other_leaks_are_folded_and_every_leak_is_told() -> None:
    report = floor_report(design(), [found()], ASKED)
    folds = [block for section in report.sections for block in section.blocks if isinstance(block, Fold)]
    assert len(folds) == len(found().spills) - 1
    assert sum(isinstance(block, FloorMap) for section in report.sections for block in section.blocks) == 1


def test_floor_without_a_probe_says_so() -> None:
    looked = found().looked
    blind = spilled(replace(looked, probes=()))
    text = " ".join(terminal.render(floor_report(design(), [blind], ASKED)).split())
    assert "is felt by nothing: no probe has a spot on this floor" in text
    assert "No probe has a spot on it." in text


def test_probe_at_the_leak_feels_it_at_once() -> None:
    spill = replace(found().spills[0], seen=Spread(1e-8, 2e-8, 3e-8, 0.0), held=Spread(1e-8, 2e-8, 3e-8, 0.0))
    said = "on half of the floors the first probe feels it by 50 mL, on nearly all by 50 mL"
    assert Words(found(), METRIC).unseen(spill) == said


def test_us_units_are_used_throughout() -> None:
    text = terminal.render(floor_report(replace(design(), shown_in="US"), [found()], ASKED))
    assert " L " not in text.partition("What this is worth")[0].replace("0.2 L/min", "")
    assert "ft²" in text

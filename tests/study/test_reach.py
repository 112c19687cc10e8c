"""Lengths against the way through the places, what there is to buy, and what holds for any house."""

from pathlib import Path

import pytest

from dewpond.design.reach import sensor_leads, shopping, tubes
from dewpond.design.reader import read, read_text
from dewpond.design.scout import scout
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.report.terminal import render
from dewpond.report.views.flows import flow_report
from dewpond.report.views.shown import shown_in
from dewpond.report.views.sizing import sizing_sections
from dewpond.study.flows import flows
from dewpond.study.sizing import sizing
from tests.plant.random_designs import random_design

ROOMS = """format: 1
title: Rooms (invented)
supply: {{pressure: 4 bar}}
places:
  cellar: {{kind: room, size: 5 m x 3 m, floor: glazed tile}}
  hall: {{kind: room, size: 6 m x 2 m, floor: glazed tile, floor height: 2.5 m, leads to: cellar}}
  loft: {{kind: room, size: 4 m x 4 m, floor: glazed tile, floor height: 5.1 m, leads to: hall}}
  tray: {{kind: tray, in: loft, size: 80 cm x 40 cm, rim: 4 cm}}
water:
  tube: {{kind: tubing, after: supply, length: {length}, through: [{through}], tube ends: 6}}
  ball: {{kind: float valve, after: tube, fills: can, starts to shut at: 280 mm, quite shut at: 300 mm}}
  can: {{kind: reservoir, in: tray, footprint: 30 cm x 40 cm, rim: 400 mm}}
"""


@pytest.mark.parametrize(
    ("through", "rise", "crossing", "crossed"),
    [
        ("cellar, loft", 5.1, 0.0, ()),
        ("cellar, hall, loft", 5.1, 2.0, ("hall",)),
        ("cellar, hall, loft, tray", 5.1, 2.0, ("hall",)),  # the tray stands in the loft, which is not crossed to it
        ("cellar, loft, hall", 7.7, 4.0, ("loft",)),
        ("loft", 0.0, 0.0, ()),
    ],
)
def test_way_of_a_tube_is_counted_from_floor_to_floor(
    through: str, rise: float, crossing: float, crossed: tuple[str, ...]
) -> None:
    """By hand, from the heights and the shorter sides of the rooms."""
    for length, short, tight in (("20 m", False, False), ("0.2 m", rise > 0.0, False)):
        design = read_text(ROOMS.format(length=length, through=through), "rooms.yaml")
        (tube,) = tubes(design, scout(design, KINDS), KINDS)
        assert (tube.rise, tube.crossing, tube.crossed) == (pytest.approx(rise), pytest.approx(crossing), crossed)
        assert (tube.too_short, tube.tight) == (short, tight)


def test_tube_that_must_cut_corners_is_between_the_two() -> None:
    design = read_text(ROOMS.format(length="6 m", through="cellar, hall, loft"), "rooms.yaml")
    (tube,) = tubes(design, scout(design, KINDS), KINDS)
    assert (tube.too_short, tube.tight) == (False, True)


def test_what_there_is_to_buy_is_the_sum_over_the_file(repository: Path) -> None:
    """bin_and_branch, added up by hand: 1.5 + 8 m of 1/4 in, 2 m at the pump, leads of 9 + 9 + 2 m."""
    design = read(repository / "examples" / "bin_and_branch.yaml")
    bought = shopping(design, tubes(design, scout(design, KINDS), KINDS), KINDS)
    assert bought.tubes == {"1/4 in": pytest.approx(9.5), "8x6": pytest.approx(2.0)}
    assert bought.leads == {"": pytest.approx(20.0)}
    assert bought.without == ("low mark", "high mark", "reservoir low")
    assert bought.ends == sum(int(part.get("tube ends") or 0) for part in design.parts) > 40


def test_a_block_adds_an_end_at_its_inlet_and_one_at_each_outlet_to_what_there_is_to_push_in() -> None:
    """6 of the tube, those of the float, and 1 + 4 of a block that does not say how many it has."""
    plain = ROOMS.format(length="20 m", through="cellar, loft")
    block = "  block: {kind: manifold, after: tube, in: loft, outlets: 4}\n  ball: {kind: float valve, after: block,"
    split = plain.replace("  ball: {kind: float valve, after: tube,", block)
    one, two = (shopping(read_text(text, "rooms.yaml"), (), KINDS).ends for text in (plain, split))
    assert two - one == 5


def test_leads_are_set_against_the_height_of_the_room_of_their_box(repository: Path) -> None:
    """two_tanks with the cellar box said to hang in the laundry: probe and mark 2.9 m above its floor, and one beside
    it. A box may hang as high as a ceiling, which is not known: only a room above counts."""
    text = (repository / "examples" / "two_tanks.yaml").read_text("utf-8")
    text = text.replace("cellar box:   {power", "cellar box:   {in: study, power")
    design = read_text(text, "leads.yaml")
    found = {one.part: one for one in sensor_leads(design, scout(design, KINDS), KINDS)}
    assert set(found) == {"tray probe", "study probe", "shaft probe"}
    assert found["shaft probe"].up == pytest.approx(2.9)
    assert found["study probe"].up == pytest.approx(0.0)
    assert (found["shaft probe"].length, found["shaft probe"].too_short) == (4.0, False)
    bare = read(repository / "examples" / "two_tanks.yaml")
    assert {one.up for one in sensor_leads(bare, scout(bare, KINDS), KINDS)} == {None}


# -- any house ---------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("parts", [8, 24])
@pytest.mark.parametrize("seed", range(6))
def test_any_house_loses_what_its_supply_gives_and_makes_no_more_when_weaker_or_colder(seed: int, parts: int) -> None:
    """Along each way lift and losses add up; no case makes more than the file's. Where one vessel alone is filled, none
    fills it faster, but for what denser water gains in falling: vessels side by side take from each other."""
    design = read_text(random_design(seed, parts).text(), "random.yaml")
    plant = lower(design)
    table = flows(plant, compiled=True)
    fits = sizing.size(design, plant, table, compiled=True)
    for budget in fits.budgets:
        assert budget.given == pytest.approx(budget.lift + sum(loss.lost for loss in budget.losses), abs=1.0)
        assert all(loss.lost > -1.0 for loss in budget.losses)
    first, *worse = fits.cases
    for one in worse:
        assert one.product <= first.product * (1.0 + 1e-6) + 1e-12
        if len(one.fills) == 1:
            assert one.fills[0].time >= first.fills[0].time * (1.0 - 1e-3)
    for slam in fits.slams:
        for knock in slam.knocks:
            assert 0.0 <= knock.low <= knock.high
    report = flow_report(design, [table], list(sizing.remarks(fits)), fits)
    text = render(report)
    assert "nan" not in text.split()
    assert max(len(line) for line in text.splitlines()) <= 80


@pytest.mark.parametrize("name", ["first_float", "two_tanks", "bin_and_branch", "mixing_day"])
def test_every_example_has_all_sections_that_apply(repository: Path, name: str) -> None:
    design = read(repository / "examples" / f"{name}.yaml")
    plant = lower(design)
    fits = sizing.size(design, plant, flows(plant))
    found = [section.key for section in sizing_sections(fits, shown_in(design.shown_in))]
    wanted = ["pressure", "what-if", "bores", "leads", "hammer", "ends", "reach"]
    assert found == [key for key in wanted if name != "first_float" or key not in ("leads", "hammer")]

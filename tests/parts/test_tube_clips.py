"""Tube clips: for how many tube ends each fault stands, counted by hand, and that nothing else changes."""

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts import KINDS
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Plant, Scenario

HOUSE = """
format: 1
title: Tube ends with clips (invented)
shown in: metric
supply: {pressure: 3 bar, temperature: {winter: 12 C, summer: 12 C}, dissolved solids: 200 ppm}
places:
  study: {kind: room, size: 4 m x 3 m, floor: glazed tile}
  bath:  {kind: room, size: 3 m x 3 m, floor: glazed tile}
water:
  filters: {kind: pre-filters, after: supply, in: study, tube ends: 6}
  riser:   {kind: tubing, after: filters, length: 2 m, through: [study, bath], tube ends: 4}
  float:   {kind: float valve, after: riser, fills: box, in: bath, starts to shut at: 250 mm, quite shut at: 265 mm}
  box:     {kind: reservoir, in: bath, footprint: 60 cm x 60 cm, rim: 300 mm}
  doser:   {kind: dosing pump, from: box, to: tub, flow: 1 L/h, outlet: 60 cm above floor, driven by: box one}
  tub:     {kind: reservoir, in: bath, footprint: 60 cm x 60 cm, rim: 300 mm, starts at: 100 mm}
CLIPS
controllers:
  box one: {power: circuit}
"""


def plant(*clips: str) -> Plant:
    lines = "\n".join(f"  clips {number}: {{kind: tube clips, {keys}}}" for number, keys in enumerate(clips))
    return lower(read_text(HOUSE.replace("CLIPS", lines), "house.yaml"))


def ends(of: Plant, part: str, fault: str = "joint blows off") -> float:
    """For how many tube ends a fault stands, all places of the part together."""
    return sum(one.sites for one in of.faults if (one.part, one.name) == (part, fault))


@pytest.mark.parametrize(
    ("clips", "filters", "riser"),
    [
        ((), 6.0, 4.0),
        (("on: [filters]",), 6.0 * 0.3, 4.0),
        (("on: [filters, riser]",), 6.0 * 0.3, 4.0 * 0.3),
        (("on: [filters], ends: 3",), 3.0 + 3.0 * 0.3, 4.0),
        (("on: [filters, riser], ends: 5",), 3.0 + 3.0 * 0.3, 2.0 + 2.0 * 0.3),  # half of ten
        (("on: [filters], ends: 20",), 6.0 * 0.3, 4.0),
        (("on: [riser], sort: pipe clips",), 6.0, 4.0 * 0.5),
        (("on: [riser], sort: pipe clips", "on: [riser, filters]"), 6.0 * 0.3, 4.0 * 0.5 * 0.3),
        (("on: [filters], still comes off: 10 %",), 0.6, 4.0),
    ],
)
def test_ends_that_come_off_are_those_without_a_clip_and_a_share_of_the_others(
    clips: tuple[str, ...], filters: float, riser: float
) -> None:
    house = plant(*clips)
    assert ends(house, "filters") == pytest.approx(filters)
    assert ends(house, "riser") == pytest.approx(riser)


def test_weeping_and_all_else_come_as_often_as_before() -> None:
    bare, held = plant(), plant("on: [filters, riser, float, doser]")
    fewer = {one.label for one, other in zip(bare.faults, held.faults, strict=True) if one.sites != other.sites}
    assert fewer == {one.label for one in bare.faults if one.name == "joint blows off"}
    assert len(fewer) > 4


def test_a_kind_that_ties_its_tube_ends_itself_counts_as_well() -> None:
    assert ends(plant("on: [doser]"), "doser") == pytest.approx(0.3 * ends(plant(), "doser")) == pytest.approx(0.6)


@pytest.mark.parametrize(
    ("said", "has"), [("", 5.0), (", tube ends: 3", 3.0)], ids=["left out: inlet and four outlets", "told"]
)
def test_ends_of_a_block_are_those_of_its_inlet_and_its_outlets_unless_they_are_told(said: str, has: float) -> None:
    """Two of them with a lock that three tenths still get past. A random house had found it."""
    block = f"  block:   {{kind: manifold, after: filters, in: study, outlets: 4{said}}}\n  clips: {{kind: tube clips"
    text = HOUSE.replace("after: filters, length", "after: block, length")
    house = lower(read_text(text.replace("CLIPS", f"{block}, on: [block], ends: 2}}"), "house.yaml"))
    assert ends(house, "block") == pytest.approx(has - 2.0 * 0.7)


def test_an_end_that_comes_off_lets_out_as_much_as_before() -> None:
    totals = []
    for house in (plant(), plant("on: [riser]")):
        onset = Onset("riser: joint blows off, in bath", 0.0)
        trace = engine.run(house, Scenario("travelling", 600.0, (onset,), STARTS["travelling"]), compiled=True)
        totals.append(list(trace.place_total))
    assert totals[0] == totals[1]
    assert sum(totals[0]) > 1e-3


def test_every_fault_by_which_a_tube_end_comes_off_is_declared_as_one() -> None:
    for kind in KINDS.values():
        for fault in kind.faults:
            assert fault.tube_end is (fault.name == "joint blows off"), (kind.word, fault.name)


def test_sound_clips_are_not_objected_to() -> None:
    text = HOUSE.replace("CLIPS", "  clips: {kind: tube clips, on: [riser, filters]}")
    assert [one for one in check(read_text(text, "house.yaml")) if "clips" in f"{one.where}{one.what}"] == []


@pytest.mark.parametrize(
    ("keys", "told"),
    [
        ("on: [bath]", "bath"),
        ("on: [rizer]", "riser"),
        ("on: [box]", "Parts that fit here: filters, riser, float, doser."),
        ("on: [riser], ends: 0", "ends"),
        ("on: [riser], sort: locking clips", "collet locks"),
        ("sort: collet locks", "on"),
    ],
)
def test_bad_input_is_told(keys: str, told: str) -> None:
    with pytest.raises(DesignError) as refused:
        plant(keys)
    assert any("clips 0" in one.where and told in f"{one.key} {one.what} {one.remedy}" for one in
               refused.value.findings), refused.value.findings  # fmt: skip

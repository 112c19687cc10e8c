"""A pressure gauge: its readings against hydrostatics and the square law of the filters before it, and whole runs."""

import pytest

from dewpond.design.checks import check
from dewpond.design.model import Design
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.pressure_gauge import KIND
from dewpond.plant import engine
from dewpond.plant.consequence import judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Scenario
from dewpond.report.page import render
from dewpond.report.views.findings import of_remark
from dewpond.report.views.flows import flow_report
from dewpond.report.views.shown import shown_in
from dewpond.study.flows import flows
from dewpond.study.remarks import filling
from tests.parts.recording import sampled

HOUR, BAR = 3600.0, 1e5
HOUSE = """
format: 1
title: A gauge before a unit (invented)
shown in: metric
supply: {{pressure: 3 bar, temperature: {{winter: 12 C, summer: 12 C}}, dissolved solids: 200 ppm, height: 50 cm}}
places:
  attic: {{kind: room, size: 4 m x 3 m, floor: glazed tile, floor height: 5 m}}
  gully: {{kind: waste drain, in: attic}}
water:
  filters:  {{kind: pre-filters, after: supply, in: attic, height: 1 m, bowls: 2, drop of a bowl: 0.3 bar}}
  gauge:    {{kind: pressure gauge, after: filters, in: attic, height: 1 m{reads}}}
  membrane: {{kind: membrane, after: gauge, in: attic, waste to: gully{jugs}}}
{more}
  end:      {{kind: air gap, after: {last}, in: attic, into: box}}
  box:      {{kind: reservoir, in: attic, footprint: 60 cm x 60 cm, rim: 500 mm, starts at: 10 mm}}
"""
JUGS = ", measured: {product: 200 mL/min, waste: 800 mL/min, water: 12 C}"
RATED = ", rated: 75 gal/day at 50 psi and 25 C"
STATIC = 3.0 - 999.5 * 9.80665 * 5.5 / BAR  # the supply stands at 0.5 m, the gauge at 6 m [bar]
LEFT = STATIC - 2 * 0.3  # two bowls at 1 L/min, what both jugs take together


def house(reads: str = "", jugs: str = JUGS, more: str = "", last: str = "membrane") -> Design:
    return read_text(HOUSE.format(reads=reads, jugs=jugs, more=more, last=last), "house.yaml")


def doubts(reads: str, **rest: str) -> list[tuple[str, float]]:
    return [(one.what, one.reckoned / BAR) for one in lower(house(f", reads: {{{reads}}}", **rest)).doubts]


@pytest.mark.parametrize(("off", "told"), [(-1.0, True), (-0.3, False), (0.0, False), (0.3, False), (1.0, True)])
def test_at_rest_it_shows_the_supply_less_its_height_above_it(off: float, told: bool) -> None:
    """Hydrostatics; a tenth of 2.46 bar and 2.5 % of 10 bar make half a bar."""
    found = doubts(f"at rest: {STATIC + off} bar")
    assert [what for what, _ in found] == (["at rest"] if told else [])
    assert all(reckoned == pytest.approx(STATIC, abs=2e-3) for _, reckoned in found)


@pytest.mark.parametrize(("off", "told"), [(-1.0, True), (0.0, False), (1.0, True)])
def test_while_filling_the_filters_take_what_the_square_law_says(off: float, told: bool) -> None:
    found = doubts(f"while filling: {LEFT + off} bar")
    assert [what for what, _ in found] == (["while filling"] if told else [])
    assert all(reckoned == pytest.approx(LEFT, abs=0.01) for _, reckoned in found)


def test_a_fill_in_the_engine_leaves_there_what_it_is_held_against() -> None:
    (row,) = (row for row in flows(lower(house())).rows if row.part == "gauge")
    assert row.inlet / BAR == pytest.approx(STATIC - 0.6 * (row.flow * 60e3) ** 2, abs=2e-3)
    assert row.inlet / BAR == pytest.approx(LEFT, abs=0.1)  # less than the jugs runs, against what lies behind


def test_a_smaller_dial_is_held_more_strictly() -> None:
    off = f", reads: {{at rest: {STATIC + 0.45} bar}}"
    assert lower(house(off)).doubts == ()
    assert [one.what for one in lower(house(f"{off}, full scale: 4 bar")).doubts] == ["at rest"]


def test_without_jugs_it_is_held_against_the_supply_only_at_rest() -> None:
    assert [what for what, _ in doubts("while filling: 0.5 bar, at rest: 0.5 bar", jugs=RATED)] == ["at rest"]


def test_behind_a_membrane_it_is_not_compared() -> None:
    second = (
        "  behind: {kind: pressure gauge, after: membrane, in: attic, reads: {while filling: 9 bar, at rest: 9 bar}}"
    )
    assert lower(house(more=second, last="behind")).doubts == ()


def test_both_remarks_say_what_was_read_and_what_was_reckoned() -> None:
    design = house(", reads: {while filling: 0.6 bar, at rest: 3.9 bar}")
    plant = lower(design)
    table = flows(plant)
    remarks = list(filling(plant, table))
    assert [one.code for one in remarks] == ["S218", "S219"]
    page = render(flow_report(design, [table], remarks)).replace("\N{NO-BREAK SPACE}", " ")
    for words in ("3.9 bar at rest", "2.5 bar would stand", "0.6 bar while filling", "1.9 bar would be left"):
        assert words in page, words


def test_stuck_needle_changes_no_water_and_is_nothing_that_had_to_act() -> None:
    plant = lower(house())
    label = "gauge: needle stuck"
    runs = [
        engine.run(plant, Scenario("travelling", HOUR, onsets, STARTS["travelling"]), compiled=True)
        for onsets in ((), (Onset(label, 0.0),))
    ]
    assert runs[0].total[0] == runs[1].total[0] > 0.05
    assert judge(plant, runs[1]).failed == ()


def test_joint_that_blows_off_lets_out_house_water_and_the_unit_gets_none() -> None:
    """A free outlet of 4.3 mm behind two filters takes all that the supply gives: sqrt(2.46 / 0.6) L/min and less."""
    plant = lower(house())
    onset = Onset("gauge: joint blows off", 0.0)
    trace = engine.run(plant, Scenario("travelling", HOUR, (onset,), STARTS["travelling"]), compiled=True)
    (fallen,) = (total for place, total in zip(plant.places, trace.place_total, strict=True) if place.name == "attic")
    most = (STATIC / 0.6) ** 0.5 * 60e-3
    assert 0.9 * most < fallen < most
    assert trace.volume[0] == pytest.approx(0.6 * 0.6 * 0.01, rel=1e-6)


def test_checks_object_to_readings_that_cannot_be() -> None:
    assert KIND.check is not None
    for reads, codes in (
        ({"while filling": 3e5, "at rest": 4e5}, []),
        ({"while filling": None, "at rest": 4e5}, []),
        ({"while filling": 4e5, "at rest": 3e5}, ["gauge-turned-round"]),
        ({"while filling": 3e5, "at rest": 12e5}, ["gauge-off-scale"]),
    ):
        assert [one.code for one in KIND.check(sampled(KIND, "gauge", {}, {"reads": reads}))] == codes
    found = check(house(", reads: {while filling: 3 bar, at rest: 2 bar}"))
    assert [one.where for one in found if "while filling" in one.what] == ["water: gauge"]


@pytest.mark.parametrize("reads", ["3.1 bar", "{while fillng: 3 bar}", "{at rest: 3 m}", "{at rest: 90 bar}"])
def test_bad_readings_are_told_with_their_key(reads: str) -> None:
    with pytest.raises(DesignError) as refused:
        house(f", reads: {reads}")
    assert any("gauge" in one.where and "reads" in f"{one.where}{one.key}{one.what}" for one in refused.value.findings)


@pytest.mark.parametrize(("ends", "told"), [(0, []), (1, ["gauge: joint weeps", "gauge: joint blows off"])])
def test_a_part_without_tube_ends_has_no_joint_that_leaks(ends: int, told: list[str]) -> None:
    plant = lower(house(f", tube ends: {ends}"))
    assert [fault.label for fault in plant.faults if fault.part == "gauge" and "joint" in fault.name] == told


BARE = "  filters:  {{kind: pre-filters, after: supply,"
HELD = (
    "  reducer:  {{kind: pressure regulator, after: supply, in: attic, height: 1 m, set to: 1.2 bar,\n"
    "             rises at rest by: {rise} bar}}\n" + BARE.replace("after: supply", "after: reducer")
)


def held(at_rest: float, rise: float = 0.3) -> Design:
    """The house with a supply of 9 bar and a regulator, set to 1.2 bar, before the filters."""
    text = HOUSE.replace(BARE, HELD).replace("pressure: 3 bar", "pressure: 9 bar")
    reads = f", reads: {{at rest: {at_rest} bar}}"
    return read_text(text.format(reads=reads, jugs=RATED, more="", last="membrane", rise=rise), "held.yaml")


@pytest.mark.parametrize(
    ("shown", "rise", "told"), [(1.4, 0.3, False), (1.2, 2.0, False), (2.2, 2.0, False), (3.2, 2.0, False),
                                (0.7, 2.0, True), (4.0, 2.0, True), (8.0, 0.3, True)],
)  # fmt: skip
def test_behind_a_regulator_it_shows_what_that_holds_and_up_to_its_rise_more(
    shown: float, rise: float, told: bool
) -> None:
    """By what the regulator's two keys say, not the 9 bar less 5.5 m that stand before it."""
    doubted = lower(held(shown, rise)).doubts
    assert [one.what for one in doubted] == (["at rest"] if told else [])
    assert all(1.15 <= one.reckoned / BAR <= 1.2 + rise + 0.05 for one in doubted)


def test_what_it_is_told_then_names_the_regulator_and_asks_for_no_other() -> None:
    design = held(8.0)
    plant = lower(design)
    (remark,) = (one for one in filling(plant, flows(plant)) if one.code == "S218")
    assert remark.parts == ("gauge", "reducer")
    finding = of_remark(remark, design, shown_in("metric"))
    assert "“reducer”" in finding.what
    assert "reducing valve" not in finding.what + finding.remedy

"""How high a vessel is filled, against the marks of the file: whatever stands in it when a run begins."""

from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.study.full import full_level
from dewpond.study.year.year import year

FIRST = Path("examples/first_float.yaml").read_text("utf-8")
PLAIN = "rim: 300 mm, overflow: none"


def full(text: str) -> float:
    plant = lower(read_text(text, "house.yaml"), "winter")
    return full_level(plant, plant.stores.index("reservoir"))


def written(instead: str) -> str:
    assert FIRST.count(PLAIN) == 1
    return FIRST.replace(PLAIN, instead)


@pytest.mark.parametrize("starts", ["", ", starts at: 30 mm", ", starts at: 290 mm"])
def test_full_is_where_the_float_is_quite_shut_however_full_a_run_begins(starts: str) -> None:
    assert full(written(PLAIN + starts)) == pytest.approx(0.265)


def test_float_above_the_overflow_never_shuts_so_full_is_the_overflow() -> None:
    assert full(written("rim: 300 mm, overflow: {at: 24 cm, bore: 20 mm}, starts at: 30 mm")) == pytest.approx(0.24)


def test_vessel_that_a_switch_fills_is_full_at_its_upper_mark_and_one_that_nothing_fills_as_the_file_says() -> None:
    bare = written(f"{PLAIN}, starts at: 30 mm").replace("fills: reservoir", "fills: bin")
    more = """\
  bin:          {kind: reservoir, in: living room, footprint: 30 cm x 30 cm, rim: 300 mm, overflow: none}
  lift pump:    {kind: top-off pump, from: bin, to: reservoir, flow: 20 L/h, outlet: 42 cm above floor,
                 driven by: small box}
"""
    text = bare.replace("  top-off pump:", f"{more}  top-off pump:", 1)
    assert full(text) == pytest.approx(0.03)
    mark = (
        "  lift mark: {kind: level switch, in: reservoir, calls at: 150 mm, is satisfied at: 220 mm, wired to: "
        "small box, contact: closes when low, read as low when: closed}\n"
    )
    row = "  - {cause: lift mark low, effect: {lift pump: running}, until: cause ends}\n"
    text = text.replace("sensors:\n", f"sensors:\n{mark}", 1).replace("matrix:\n", f"matrix:\n{row}", 1)
    assert full(text) == pytest.approx(0.22)


def test_days_from_full_do_not_hang_on_the_level_that_the_file_begins_at() -> None:
    """By hand: 30 by 30 cm from 265 mm down to 20 mm, where the pump draws air."""
    low, usual = (
        year(read_text(text, "house.yaml"), KINDS, today=739_000)
        for text in (written(f"{PLAIN}, starts at: 30 mm"), FIRST)
    )
    (one,) = low.reservoirs
    assert one.usable == pytest.approx(0.09 * 0.245, rel=1e-6)
    assert low.winter.lasts["reservoir"] == pytest.approx(usual.winter.lasts["reservoir"])


def test_ruler_longer_than_the_level_of_the_file_is_read_from_full() -> None:
    ruled = f"{PLAIN}, measured evaporation: {{fell: 35 mm, over: 24 h, on: 2024-01-15}}"
    low, usual = (
        year(read_text(written(ruled + starts), "house.yaml"), KINDS, today=739_000)
        for starts in (", starts at: 30 mm", "")
    )
    assert low.calibration.evidence[0].factor == pytest.approx(usual.calibration.evidence[0].factor, rel=1e-6)

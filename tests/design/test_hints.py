"""What was meant by a figure that cannot be. The figures are ordinary ones of the trade, no source."""

import pytest

from dewpond import units
from dewpond.design.hints import hint, same_length
from dewpond.design.likeness import nearest
from dewpond.parts import KINDS
from dewpond.parts.base import Param
from dewpond.vocabulary import QUANTITIES


def param(kind: str, *path: str) -> Param:
    params = KINDS[kind].params
    for key in path:
        found = next(one for one in params if one.key == key)
        params = found.fields
    return found


@pytest.mark.parametrize(
    ("where", "typed", "meant"),
    [
        (("house supply", "pressure"), "60 bar", "6 bar or 60 psi"),
        (("house supply", "pressure"), "0.4 bar", "4 bar"),
        (("house supply", "pressure"), "0,4 bar", "4 bar"),
        (("house supply", "pressure"), "3.6 MPa", "0.36 MPa"),
        (("house supply", "temperature", "winter"), "7 F", "70 F or 7 C"),
        (("house supply", "temperature", "summer"), "80 C", "8 C or 80 F"),
        (("house supply", "dissolved solids"), "24000 ppm", "240 ppm or 24 ppm"),
        (("display tank", "volume"), "410 mL", "410 L or 410 US gal"),
        (("display tank", "salinity"), "350 ppt", "35 ppt or 3.5 ppt"),
        (("tubing", "length"), "9.5 mm", "9.5 m or 9.5 ft"),
        (("membrane", "rejection"), "9.8 %", "98 %"),
        (("sump", "rim"), "4000 mm", "400 mm"),
        (("sump", "footprint"), "90 m x 40 m", "90 cm x 40 cm or 90 in x 40 in"),
        (("reservoir", "footprint"), "4 m x 3 m", "4 ft x 3 ft or 0.4 m x 0.3 m"),
        (("reservoir", "footprint"), "4,5 cm x 3 cm", "4,5 ft x 3 ft or 45 cm x 30 cm"),
        (("sump", "footprint"), "9000 m x 4000 m", ""),
        (("house supply", "pressure"), "bar", ""),
        (("house supply", "pressure"), "1/4 bar", ""),
        (("house supply", "pressure"), f"1{'0' * 200} bar", ""),
    ],
)
def test_figure_that_was_meant_is_asked_about(where: tuple[str, ...], typed: str, meant: str) -> None:
    asked = param(*where)
    assert hint(asked, typed, asked.takes) == (f"Did you mean {meant}? " if meant else "")


def spans_a_power_of_ten(param: Param) -> bool:
    """Ten times one figure that the key takes is another one that it takes, in degrees Celsius for temperatures."""
    if param.takes not in {*QUANTITIES, "size"} or param.low is None or param.high is None:
        return False
    zero = 273.15 if param.takes == "temperature" else 0.0
    return param.high - zero >= 10.0 * (param.low - zero)


def test_every_figure_that_a_slip_of_a_power_of_ten_leaves_possible_is_asked_about() -> None:
    inside = [(kind.word, outer, one) for kind in KINDS.values() for outer in kind.params for one in outer.fields]
    every = [(kind.word, one, one) for kind in KINDS.values() for one in kind.params] + inside
    spanning = [(word, outer.key, one) for word, outer, one in every if spans_a_power_of_ten(one)]
    assert len(spanning) >= 50
    silent = {(word, outer, one.key) for word, outer, one in spanning if one.usual is None}
    assert silent == {  # each looked at by the check of its kind, together with other keys
        ("display tank", "salinity", "salinity"),
        *(("person", "day", hours) for hours in ("at home awake", "asleep", "out")),
    }


@pytest.mark.parametrize(
    ("where", "typed"),
    [
        (("reservoir", "footprint"), "40 mm x 30 mm"),
        (("reservoir", "footprint"), "4 m x 3 m"),
        (("reservoir", "rim"), "32 mm"),
        (("top-off pump", "flow"), "1000 L/h"),
        (("top-off pump", "tube length"), "20 m"),
        (("leak probe", "lead"), "60 m"),
        (("check valve", "opens at"), "0.7 bar"),
    ],
)
def test_figure_ten_times_too_large_or_small_is_unusual(where: tuple[str, ...], typed: str) -> None:
    asked = param(*where)
    values = units.parse_pair(typed, "length") if asked.takes == "size" else (units.parse(typed, asked.takes),)
    assert asked.usual is not None
    assert asked.low is not None
    assert asked.high is not None
    assert all(asked.low <= value <= asked.high for value in values), "refused anyway"
    assert not all(asked.usual[0] <= value <= asked.usual[1] for value in values)
    assert hint(asked, typed, asked.takes), "and what was meant is offered"


def test_nobody_is_asked_about_ten_times_the_warmth() -> None:
    """3 C is a cold garage; 30 C would not be meant."""
    assert hint(param("room", "air temperature", "winter"), "3 C", "temperature") == ""


def test_usual_figures_lie_within_the_limits_and_hold_the_default() -> None:
    every = [param for kind in KINDS.values() for outer in kind.params for param in (outer, *outer.fields)]
    usual = [param for param in every if param.usual is not None]
    assert len(usual) >= 60
    for one in usual:
        assert one.usual is not None
        low, high = one.usual
        assert low < high, one.key
        assert one.low is None or low >= one.low, one.key
        assert one.high is None or high <= one.high, one.key
        if isinstance(one.default, float):
            assert low <= one.default <= high, one.key


@pytest.mark.parametrize(
    ("typed", "stored"), [("1/4 in", "1/4 in"), ('1/4"', "1/4 in"), ("0.25 in", "1/4 in"), ("6.35 mm", "1/4 in")]
)
def test_a_tube_may_be_sized_by_its_length_written_otherwise(typed: str, stored: str) -> None:
    assert same_length(typed, param("tubing", "size").words) == stored


@pytest.mark.parametrize("typed", ["0.3 in", "6 mm", "8x6", "thin", "5"])
def test_no_other_length_is_taken_for_a_tube(typed: str) -> None:
    assert same_length(typed, param("tubing", "size").words) == ""


def test_trade_words_of_floors_stand_for_floors_there_are() -> None:
    """Common practice, no source."""
    floor = param("room", "floor")
    assert set(floor.trade.values()) <= set(floor.words)
    assert nearest("Parquet", floor.words, also=floor.trade) == "varnished wood"

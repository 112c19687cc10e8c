"""What was meant by a figure that cannot be. The figures are ordinary ones of the trade, no source."""

import pytest

from dewpond.design.hints import hint
from dewpond.parts import KINDS
from dewpond.parts.base import Param


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
        (("house supply", "pressure"), "3.6 MPa", "0.36 MPa or 3.6 bar"),
        (("house supply", "temperature", "winter"), "7 F", "70 F or 7 C"),
        (("house supply", "temperature", "summer"), "80 C", "8 C or 80 F"),
        (("house supply", "dissolved solids"), "24000 ppm", "240 ppm or 24 ppm"),
        (("display tank", "volume"), "410 mL", "410 L or 410 US gal"),
        (("display tank", "salinity"), "350 ppt", "35 ppt or 3.5 ppt"),
        (("tubing", "length"), "9.5 mm", "9.5 m or 9.5 ft"),
        (("membrane", "rejection"), "9.8 %", "98 %"),
        (("sump", "rim"), "4000 mm", "400 mm"),
        (("sump", "footprint"), "90 m x 40 m", "90 cm x 40 cm or 90 in x 40 in"),
        (("sump", "footprint"), "9000 m x 4000 m", ""),
        (("house supply", "pressure"), "bar", ""),
        (("house supply", "pressure"), "1/4 bar", ""),
        (("house supply", "pressure"), f"1{'0' * 200} bar", ""),
    ],
)
def test_figure_that_was_meant_is_asked_about(where: tuple[str, ...], typed: str, meant: str) -> None:
    asked = param(*where)
    assert hint(asked, typed, asked.takes) == (f"Did you mean {meant}? " if meant else "")


def test_usual_figures_lie_within_the_limits_and_hold_the_default() -> None:
    every = [param for kind in KINDS.values() for outer in kind.params for param in (outer, *outer.fields)]
    usual = [param for param in every if param.usual is not None]
    assert len(usual) >= 15
    for one in usual:
        assert one.usual is not None
        low, high = one.usual
        assert low < high, one.key
        assert one.low is None or low >= one.low, one.key
        assert one.high is None or high <= one.high, one.key
        if isinstance(one.default, float):
            assert low <= one.default <= high, one.key

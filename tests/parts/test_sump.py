import pytest

from dewpond.parts.base import Level, StoreSpec
from dewpond.parts.sump import KIND
from tests.parts.recording import lowered, sampled

SUMP = {
    "in": "study", "bottom": Level(0.1, "floor"), "footprint": (0.9, 0.4), "rim": 0.4,
    "running level": Level(0.24), "rises when the return pump stops": 0.06, "return chamber": (0.15, 0.4),
    "return pump needs": Level(0.12),
}  # fmt: skip


def spec(**given: object) -> StoreSpec:
    keys = {key.replace("_", " "): value for key, value in given.items()}
    return lowered(KIND, {**SUMP, **keys}).vessel("it")


def test_it_stands_and_runs_where_the_design_says() -> None:
    sump = spec()
    assert (sump.bottom, sump.rim, sump.start, sump.place) == (0.1, 0.4, 0.24, "study")


def test_only_the_return_chamber_moves_below_the_baffle_and_all_above_it() -> None:
    sump = spec(baffle=Level(0.3))
    assert sump.volume_at(0.24) - sump.volume_at(0.14) == pytest.approx(0.06 * 0.1)
    assert sump.volume_at(0.38) - sump.volume_at(0.31) == pytest.approx(0.36 * 0.07)
    assert sump.volume_at(0.3) == pytest.approx(0.36 * 0.3)
    assert sump.volume_at(0.4) == pytest.approx(0.36 * 0.4)


def test_four_litres_a_day_fall_67_mm_and_reach_the_pump_in_21_6_hours() -> None:
    """Worked tank of the tank reference, section 4: return chamber of 0.06 m2, 60 mm above what the pump needs."""
    sump = spec(**{"return pump needs": Level(0.18)})
    litres = (sump.volume_at(0.24) - sump.volume_at(0.18)) * 1e3
    assert litres / 4.0 * 24.0 == pytest.approx(21.6)
    fallen = 0.24 - 0.067
    assert sump.volume_at(0.24) - sump.volume_at(fallen) == pytest.approx(4e-3, rel=0.01)


def test_baffle_left_out_stands_20_mm_above_the_running_level_and_always_below_the_rim() -> None:
    assert spec().heights[1] == pytest.approx(0.26)
    assert spec(**{"running level": Level(0.39)}).heights[1] < 0.4


def test_levels_may_count_from_the_rim() -> None:
    assert spec(**{"running level": Level(0.16, "rim")}).start == pytest.approx(0.24)


def test_seam_leaks_from_its_bottom_onto_its_floor() -> None:
    (leak,) = lowered(KIND, SUMP).leaks("seam leaks")
    assert (leak["z"], leak["place"]) == (0.1, "study")


@pytest.mark.parametrize(
    ("given", "codes"),
    [
        ({}, []),
        ({"return chamber": (0.9, 0.5)}, ["sump-chamber"]),
        ({"running level": Level(0.41)}, ["sump-running-level"]),
        ({"running level": Level(0.34)}, ["sump-drain-down"]),
        ({"running level": Level(0.06, "rim")}, ["sump-drain-down"]),
        ({"return pump needs": Level(0.24)}, ["sump-return-pump-needs"]),
        ({"return pump needs": Level(0.0)}, ["sump-return-pump-needs"]),
        ({"return pump needs": Level(0.226)}, ["sump-soon-dry"]),
        ({"return pump needs": Level(0.224)}, []),
        ({"return chamber": (0.95, 0.2)}, ["sump-chamber-sides"]),
        ({"return chamber": (0.2, 0.9)}, []),  # sides the other way about
        ({"baffle": Level(0.45)}, ["sump-baffle"]),
        ({"baffle": Level(0.2)}, ["sump-baffle"]),
        ({"baffle": Level(0.1, "rim")}, []),
    ],
)
def test_marks_that_cannot_be_are_objected_to(given: dict[str, object], codes: list[str]) -> None:
    assert KIND.check is not None
    found = KIND.check(sampled(KIND, "sump", {}, {**SUMP, **given}))
    assert [one.code for one in found] == codes
    bearable = {"sump-drain-down", "sump-soon-dry"} | ({"sump-baffle"} if given.get("baffle") == Level(0.2) else set())
    assert all((one.level == "warning") == (one.code in bearable) for one in found)


def test_level_follows_from_volume_as_volume_from_level() -> None:
    sump = spec(baffle=Level(0.3))
    for level in (0.05, 0.24, 0.3, 0.35, 0.4, 0.5):
        assert sump.level_at(sump.volume_at(level)) == pytest.approx(level)
    assert sump.area_at_rim == pytest.approx(0.36)


def test_bottom_measured_from_itself_is_refused() -> None:
    assert KIND.check is not None
    found = KIND.check(sampled(KIND, "it", {}, {**SUMP, "bottom": Level(0.05, "bottom")}))
    assert [one.code for one in found] == ["bottom-from-itself"]

import math

import pytest

from dewpond.parts.base import Level, settled
from dewpond.parts.reservoir import KIND
from tests.parts.recording import Recording, lowered, sampled

BOX = {"in": "tray", "footprint": (0.4, 0.3), "rim": 0.32, "bottom": Level(0.05, "tray")}


def vessel(**given: object) -> Recording:
    return lowered(KIND, {**BOX, **given})


def overflow(bore: float, shape: str, to: str | None = None) -> Recording:
    return vessel(overflow={"at": Level(0.3), "bore": bore, "to": to, "shape": shape})


def litres_a_minute(asked: Recording, head: float) -> float:
    weir = asked.only("weir")
    return float(min(weir["coefficient"] * head**1.5, weir["full_bore"] * math.sqrt(head)) * 60e3)


def test_level_table_is_that_of_a_box() -> None:
    spec = vessel().vessel("it")
    assert (spec.bottom, spec.rim, spec.place, spec.dissolved) == (0.05, 0.32, "tray", 0.0)
    assert spec.volume_at(0.32) == pytest.approx(38.4e-3)
    assert not spec.tank


@pytest.mark.parametrize(
    ("rim", "given", "start"),
    [
        (0.32, {}, 0.27),
        (0.08, {}, 0.04),
        (0.32, {"starts at": Level(0.1)}, 0.1),
        (0.32, {"starts at": Level(0.9)}, 0.32),
    ],
)
def test_it_starts_below_its_rim_but_not_below_half_unless_told(
    rim: float, given: dict[str, Level], start: float
) -> None:
    assert vessel(rim=rim, **given).vessel("it").start == pytest.approx(start)


def test_it_never_starts_above_its_overflow_and_gives_way_to_the_mark_of_what_fills_it() -> None:
    low = {"at": Level(0.2), "bore": 0.02, "to": None, "shape": "upright pipe"}
    spec = vessel(overflow=low).vessel("it")
    assert spec.start == spec.settles_to == pytest.approx(0.2)
    stops = [("it", 0.19), ("it", 0.15), ("other", 0.01)]
    assert settled({"it": spec}, stops)["it"].start == 0.15
    assert settled({"it": spec}, [("it", 0.3)])["it"].start == pytest.approx(0.2)
    told = vessel(**{"starts at": Level(0.1)}).vessel("it")
    assert settled({"it": told}, stops)["it"].start == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("bore", "head", "expected"),
    [(0.012, 0.005, 1.28), (0.012, 0.010, 1.80), (0.012, 0.020, 2.55), (0.0254, 0.005, 3.10), (0.0254, 0.020, 11.4)],
)
def test_upright_overflow_swallows_what_the_swmm_rule_says(bore: float, head: float, expected: float) -> None:
    """Rows of the hydraulics reference, made with other code from EPA SWMM's bottom-orifice rule."""
    assert litres_a_minute(overflow(bore, "upright pipe"), head) == pytest.approx(expected, rel=0.04)


@pytest.mark.parametrize(("bore", "half", "full"), [(0.012, 0.40, 1.35), (0.020, 1.43, 4.84), (0.032, 4.64, 15.7)])
def test_side_overflow_is_right_when_full_and_a_fifth_too_much_when_half_full(
    bore: float, half: float, full: float
) -> None:
    """Rows of the hydraulics reference: critical depth at a free end, of which 0.8 are taken."""
    asked = overflow(bore, "outlet in the side")
    assert litres_a_minute(asked, bore) == pytest.approx(0.8 * full, rel=0.01)
    assert 0.8 * half < litres_a_minute(asked, 0.5 * bore) < 1.2 * 0.8 * half


def test_overflow_falls_from_its_crest_to_its_drain_or_place_and_may_be_blocked() -> None:
    asked = overflow(0.02, "upright pipe", to="laundry")
    weir = asked.only("weir")
    assert weir["crest"] == pytest.approx(0.35)
    assert asked.by_number("node", weir["b"])["place"] == "laundry"
    assert asked.patches("overflow blocked") == [("high", weir["gate"], 0.0)]
    assert overflow(0.02, "upright pipe").by_number("node", weir["b"])["kind"] == "drain end"


def test_without_overflow_there_is_none_to_block() -> None:
    asked = vessel()
    assert asked.every("weir") == []
    assert "overflow blocked" not in {name for name, _ in asked.tied()}


def test_evaporation_carries_nothing_away_and_ends_at_the_bottom() -> None:
    asked = vessel(evaporation=0.2e-3 / 86400.0)
    flow = asked.only("fixed flow")
    assert (flow["flow"], flow["passage"]) == (0.2e-3 / 86400.0, 0.0)
    gate = asked.by_number("gate", flow["gate"])
    assert 0.0 < gate["shut"] < gate["opened"] < 0.005
    assert vessel().every("fixed flow") == []


def test_empty_is_told_and_counted() -> None:
    asked = vessel()
    level = asked.given_back("level")
    assert asked.by_number("signal", level)["off"] == 0.025
    assert asked.only("tally")["word"] == "reservoir empty"
    assert asked.now(asked.only("tally")["signal"], {level: False}) is True
    assert asked.now(asked.only("say")["signal"], {level: True}) is False


def test_crack_empties_it_through_its_bottom_into_its_place() -> None:
    (leak,) = vessel().leaks("cracks")
    assert (leak["z"], leak["place"]) == (0.05, "tray")


@pytest.mark.parametrize(("at", "codes"), [(0.3, []), (0.32, ["overflow-above-rim"]), (0.0, ["overflow-above-rim"])])
def test_overflow_outside_the_vessel_is_refused(at: float, codes: list[str]) -> None:
    assert KIND.check is not None
    way = {"at": Level(at), "bore": 0.02, "to": None, "shape": "upright pipe"}
    assert [one.code for one in KIND.check(sampled(KIND, "it", {}, {**BOX, "overflow": way}))] == codes


def test_bottom_measured_from_itself_is_refused() -> None:
    assert KIND.check is not None
    found = KIND.check(sampled(KIND, "it", {}, {**BOX, "bottom": Level(0.05, "bottom")}))
    assert [one.code for one in found] == ["bottom-from-itself"]

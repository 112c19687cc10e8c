import math
from collections.abc import Callable
from typing import Any

import pytest

from dewpond.parts.base import Floor
from dewpond.parts.leak_probe import KIND
from dewpond.parts.sensing import first_wet

BASE = {
    "in": "study", "at": "behind the cabinet", "wired to": "box", "contact": "closes when wet",
    "read as wet when": "closed", "seen to work with purified water": "2026-11-02",
}  # fmt: skip


@pytest.mark.parametrize("contact", ["closes when wet", "opens when wet"])
@pytest.mark.parametrize("read", ["closed", "open"])
@pytest.mark.parametrize("wet", [False, True])
def test_reading_is_right_exactly_when_contact_and_input_agree(
    lowered: Callable[..., Any], contact: str, read: str, wet: bool
) -> None:
    bench = lowered(KIND, "probe", {**BASE, "contact": contact, "read as wet when": read})
    agree = (contact, read) in {("closes when wet", "closed"), ("opens when wet", "open")}
    assert bench.now(bench.conditions["wet"], pool=wet) is (wet if agree else not wet)
    assert bench.now(bench.conditions["dry"], pool=wet) is not bench.now(bench.conditions["wet"], pool=wet)


@pytest.mark.parametrize(
    ("contact", "read", "says"), [("closes when wet", "closed", False), ("opens when wet", "open", True)]
)
def test_cut_wire_reads_dry_or_trips(lowered: Callable[..., Any], contact: str, read: str, says: bool) -> None:
    bench = lowered(KIND, "probe", {**BASE, "contact": contact, "read as wet when": read})
    bench.fail("wire cut")
    assert [bench.now(bench.conditions["wet"], pool=wet) for wet in (False, True)] == [says, says]


@pytest.mark.parametrize("fault", ["electrically dead", "moved away", "puddle does not reach it"])
def test_silent_faults_read_dry_in_any_flood(lowered: Callable[..., Any], fault: str) -> None:
    bench = lowered(KIND, "probe", BASE)
    assert bench.now(bench.conditions["wet"], pool=True) is True
    bench.fail(fault)
    assert bench.now(bench.conditions["wet"], pool=True) is False


def test_dead_probe_is_reached_but_one_moved_away_is_not(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "probe", BASE)
    reached = bench.said[0][0]
    bench.fail("electrically dead")
    assert bench.now(reached, pool=True) is True
    bench.fail("moved away")
    assert bench.now(reached, pool=True) is False


def test_salt_splash_reports_water_on_a_dry_floor(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "probe", BASE)
    bench.fail("reports water on a dry floor")
    assert bench.now(bench.conditions["wet"], pool=False) is True


def test_every_declared_fault_is_tied(lowered: Callable[..., Any]) -> None:
    assert set(lowered(KIND, "probe", BASE).faults) == {fault.name for fault in KIND.faults}


@pytest.mark.parametrize(("seen", "salty", "wet"), [
    ("2026-11-02", False, True),
    ("seen", False, True),
    ("never", False, False),
    ("never", True, True),
])  # fmt: skip
def test_probe_never_seen_to_see_purified_water_sees_only_salty_water(
    lowered: Callable[..., Any], seen: str, salty: bool, wet: bool
) -> None:
    bench = lowered(KIND, "probe", {**BASE, "seen to work with purified water": seen})
    assert bench.now(bench.conditions["wet"], pool=True, salty=salty) is wet


def test_left_out_means_unknown_and_the_worse_is_taken_first(lowered: Callable[..., Any]) -> None:
    keys = {key: value for key, value in BASE.items() if not key.startswith("seen")}
    bench = lowered(KIND, "probe", keys)
    assert bench.node("salty") == ("salty", "study", 0.03)
    assert next(p.unknown for p in KIND.params if p.key.startswith("seen")) == ("never", "seen")


def test_measured_litres_decide_and_it_dries_at_half(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "probe", {**BASE, "reached by": 2e-3})
    assert bench.node("pool") == ("pool", "study", 2e-3, 1e-3)


def test_litres_of_a_round_puddle_by_hand(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "probe", {**BASE, "from the likely leak": 0.5})
    assert bench.node("pool")[2] == pytest.approx(math.pi * 0.25 * 2.7e-3)  # 2.1 L


def test_probe_in_a_tray_wets_by_a_third_of_its_film(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "probe", {**BASE, "in": "tray"})
    assert bench.node("pool")[2] * 1e3 == pytest.approx(0.324)  # 0.36 m2 x 2.7 mm / 3


@pytest.mark.parametrize("holds", [0.1e-3, 0.4e-3, 3e-3, math.inf])
def test_default_spot_is_always_reached_before_water_goes_on(holds: float) -> None:
    assert 0.0 < first_wet(Floor(0.06, 2.7e-3, holds), 1.0) <= 0.5 * holds

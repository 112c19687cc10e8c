from collections.abc import Callable
from typing import Any

import pytest

from dewpond.parts.battery_leak_valve import KIND

BASE = {
    "after": "stop tap", "in": "study", "when its probe dries": "stays shut",
    "probe": {"in": "study", "at": "under the unit", "seen to work with purified water": "2026-11-02"},
}  # fmt: skip


def is_open(bench: Any, **facts: Any) -> bool:
    """Whether the valve's gate follows a true signal."""
    edge = bench.edges[0]
    return bench.now(bench.gates[edge[3]].signal, **facts)


def test_one_that_stays_shut_shuts_once_and_for_all(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "cell valve", BASE)
    assert [is_open(bench, pool=wet) for wet in (False, True, False, False)] == [True, False, False, False]


def test_a_hand_opens_it_again_once_its_probe_is_dry(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "cell valve", BASE)
    steps = [(True, False), (True, True), (False, False), (False, True), (False, False)]
    assert [is_open(bench, pool=wet, rearm=hand) for wet, hand in steps] == [False, False, False, True, True]


def test_one_that_opens_again_follows_its_probe(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "cell valve", {**BASE, "when its probe dries": "opens again"})
    assert [is_open(bench, pool=wet) for wet in (False, True, False, True)] == [True, False, True, False]


@pytest.mark.parametrize("drying", ["stays shut", "opens again"])
@pytest.mark.parametrize(
    "fault", ["cells flat", "probe dead", "puddle does not reach its probe", "not re-armed after handling"]
)
def test_latent_faults_leave_it_open_in_a_flood(lowered: Callable[..., Any], drying: str, fault: str) -> None:
    bench = lowered(KIND, "cell valve", {**BASE, "when its probe dries": drying})
    bench.fail(fault)
    assert is_open(bench, pool=True) is True


@pytest.mark.parametrize("drying", ["stays shut", "opens again"])
def test_cells_that_go_flat_while_it_is_shut_leave_it_shut(lowered: Callable[..., Any], drying: str) -> None:
    bench = lowered(KIND, "cell valve", {**BASE, "when its probe dries": drying})
    assert is_open(bench, pool=True) is False
    bench.fail("cells flat")
    assert is_open(bench, pool=False) is False


def test_seized_mechanism_keeps_the_gate_open_whatever_the_probe_says(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "cell valve", BASE)
    assert bench.faults["mechanism seized"] == [("low", bench.edges[0][3], 1.0)]


def test_false_closing_ends_with_its_hour_only_where_it_opens_again(lowered: Callable[..., Any], bench: Any) -> None:
    lowered(KIND, "cell valve", BASE)
    bench.fail("closes for no reason")
    assert is_open(bench, pool=False) is False
    bench.fail()
    assert is_open(bench, pool=False) is False
    assert next(fault.lasts for fault in KIND.faults if fault.name == "closes for no reason") == 3600.0


def test_false_closing_of_one_that_opens_again_ends(lowered: Callable[..., Any], bench: Any) -> None:
    lowered(KIND, "cell valve", {**BASE, "when its probe dries": "opens again"})
    bench.fail("closes for no reason")
    assert is_open(bench, pool=False) is False
    bench.fail()
    assert is_open(bench, pool=False) is True


def test_every_declared_fault_is_tied_or_a_leak_site(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "cell valve", BASE)
    assert {*bench.faults, *(leak[3] for leak in bench.leaks)} == {fault.name for fault in KIND.faults}
    assert {leak[6] for leak in bench.leaks} == {"before the valve", "behind the valve"}
    assert sum(leak[7] for leak in bench.leaks if leak[3] == "joint weeps") == 2


def test_loss_is_that_of_the_given_flow_at_one_bar(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "cell valve", {**BASE, "flow at 1 bar": 6e-3 / 60.0})
    assert bench.edges[0][2] * (6e-3 / 60.0) ** 2 == pytest.approx(1e5)


def test_unknown_habit_is_taken_as_opening_again(lowered: Callable[..., Any]) -> None:
    keys = {key: value for key, value in BASE.items() if key != "when its probe dries"}
    bench = lowered(KIND, "cell valve", keys)
    assert [is_open(bench, pool=wet) for wet in (True, False)] == [False, True]

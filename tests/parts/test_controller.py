from collections.abc import Callable
from typing import Any

import pytest

from dewpond.parts.controller import KIND

GIVEN = {"power": "study circuit", "after a restart": {"trips": "kept", "counts": "cleared"}}


def test_box_gets_memory_hang_rule_and_wait(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "level box", {**GIVEN, "when it hangs": "outputs stopped", "waits after a restart": 300.0})
    box = bench.boxes[0]
    assert (box["keeps_trips"], box["keeps_counts"]) == (True, False)
    assert (box["hang_keeps_order"], box["wait"]) == (False, 300.0)


def test_power_follows_its_circuit_and_death_overrules_it(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "level box", GIVEN)
    powered = bench.boxes[0]["powered"]
    assert [bench.now(powered, circuit=live) for live in (True, False)] == [True, False]
    bench.fail("dies")
    assert bench.now(powered, circuit=True) is False
    circuit = bench.circuit("study circuit")
    assert bench.now(circuit, circuit=True) is True  # its death does not take the circuit with it


def test_hanging_is_not_loss_of_power(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "level box", GIVEN)
    box = bench.boxes[0]
    assert bench.now(box["alive"], circuit=True) is True
    bench.fail("hangs")
    assert bench.now(box["alive"], circuit=True) is False
    assert bench.now(box["powered"], circuit=True) is True


@pytest.mark.parametrize("keys", [{"power": "c"}, {"power": "c", "after a restart": {}}])
def test_unknown_takes_the_worse_answer_first(lowered: Callable[..., Any], keys: dict[str, Any]) -> None:
    box = lowered(KIND, "level box", keys).boxes[0]
    assert (box["keeps_trips"], box["keeps_counts"], box["hang_keeps_order"]) == (False, False, True)

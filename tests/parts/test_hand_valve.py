import math

import pytest

from dewpond.parts.hand_valve import KIND
from tests.parts.recording import lowered


def test_open_valve_passes_its_flow_at_one_bar() -> None:
    asked = lowered(KIND, {"flow at 1 bar": 9e-3 / 60.0})
    assert asked.only("orifice")["k"] * (9e-3 / 60.0) ** 2 == pytest.approx(1e5)


def test_default_flow_is_that_of_1_1_velocity_heads_in_quarter_inch_tube() -> None:
    """Hooper's reduced-trim ball valve; written out here by hand."""
    area = math.pi / 4.0 * 4.318e-3**2
    flow = area * math.sqrt(2.0 * 1e5 / (1000.0 * 1.1))
    assert next(one.default for one in KIND.params if one.key == "flow at 1 bar") == pytest.approx(flow, rel=0.02)


def test_a_person_who_shuts_it_closes_its_gate_and_nobody_leaves_it_open() -> None:
    asked = lowered(KIND)
    gate = asked.by_number("gate", asked.only("orifice")["gate"])
    assert asked.now(gate["signal"], {}) is True
    shut = asked.always(True)
    asked.hands[0](shut)
    assert asked.now(gate["signal"], {}) is False
    assert asked.now(gate["signal"], {shut: False}) is True


def test_half_of_its_joints_leak_where_shutting_it_does_not_help() -> None:
    asked = lowered(KIND, {"tube ends": 2})
    edge = asked.only("orifice")
    sites = {one["where"]: (one["node"], one["sites"]) for one in asked.leaks("joint weeps")}
    assert sites == {"before the valve": (edge["a"], 1.0), "behind the valve": (edge["b"], 1.0)}


def test_not_shutting_fully_leaves_a_quarter_of_a_litre_a_minute_at_four_bar() -> None:
    asked = lowered(KIND)
    edge = asked.only("orifice")
    ((what, gate, opening),) = asked.patches("does not shut fully")
    assert (what, gate) == ("low", edge["gate"])
    assert opening * (4e5 / edge["k"]) ** 0.5 * 60e3 == pytest.approx(0.24, rel=0.02)

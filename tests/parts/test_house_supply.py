from dewpond.parts.house_supply import KIND
from tests.parts.recording import lowered, sampled


def test_node_holds_the_pressure_and_matter_of_the_design() -> None:
    asked = lowered(KIND, {"pressure": 3.6e5, "dissolved solids": 0.24, "height": 0.8})
    node = asked.only("node")
    assert (node["gauge"], node["dissolved"], node["z"]) == (3.6e5, 0.24, 0.8)
    assert asked.only("bind").values == {"port": "out", "node": node.number}


def test_losing_pressure_leaves_none_and_the_night_adds_four_tenths() -> None:
    asked = lowered(KIND)
    node = asked.only("node").number
    assert asked.patches("pressure lost") == [("source", node, 0.0)]
    assert asked.patches("pressure high") == [("source", node, 1.4)]


def test_a_winter_warmer_than_the_summer_is_asked_about() -> None:
    assert KIND.check is not None
    warm = sampled(KIND, "supply", {}, {"temperature": {"winter": 290.15, "summer": 288.15}})
    assert [one.code for one in KIND.check(warm)] == ["supply-seasons"]
    assert KIND.check(sampled(KIND, "supply", {})) == []

from collections.abc import Callable
from typing import Any

from dewpond.parts.power_circuit import KIND


def test_each_fault_takes_the_circuit_and_those_behind_it(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "house power", {"feeds": ("laundry circuit", "study circuit")})
    own, laundry, study = (bench.circuit(name) for name in ("house power", "laundry circuit", "study circuit"))
    assert set(bench.faults) == {fault.name for fault in KIND.faults}
    for fault in KIND.faults:
        assert bench.faults[fault.name] == [("force", signal, 0.0) for signal in (own, laundry, study)]
        bench.fail(fault.name)
        assert [bench.now(signal, circuit=True) for signal in (own, laundry, study)] == [False, False, False]


def test_a_circuit_alone_leaves_others_alone(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "study circuit", {})
    other = bench.circuit("laundry circuit")
    bench.fail("cut for an hour")
    assert bench.now(bench.circuit("study circuit"), circuit=True) is False
    assert bench.now(other, circuit=True) is True


def test_cuts_end_by_themselves_and_trips_do_not() -> None:
    assert {fault.name: fault.lasts for fault in KIND.faults} == {
        "cut for an hour": 3600.0,
        "cut for 9 h": 32400.0,
        "trips until someone comes": None,
    }


def test_only_a_trip_waits_for_somebody_to_switch_the_circuit_on_again(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "study circuit", {})
    assert bench.until == {"trips until someone comes": bench.switched_on("study circuit")}


def test_cuts_add_up_to_1_2_a_year_of_eia() -> None:
    cuts = [fault for fault in KIND.faults if fault.name.startswith("cut")]
    assert sum(fault.rate.median for fault in cuts if fault.rate) == 1.2


def test_trips_of_one_circuit_are_counted_apart() -> None:
    (trip,) = [fault for fault in KIND.faults if not fault.name.startswith("cut")]
    assert trip.rate is not None
    assert trip.rate.source.grade == "our prior"

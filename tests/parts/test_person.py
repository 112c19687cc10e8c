from collections.abc import Callable
from typing import Any

import pytest

from dewpond.parts.person import KIND

DAY = {"at home awake": 7 * 3600.0, "asleep": 8 * 3600.0, "out": 9 * 3600.0}


def test_keeper_is_where_the_timetable_says(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "keeper", {"day": DAY, "reaches the stop tap in": 600.0})
    person = bench.people[0]
    assert bench.nodes[person["present"]] == ("who", "keeper", "at home")
    assert bench.nodes[person["awake"]] == ("who", "keeper", "awake")
    assert (person["reach"], person["sees_after"], person["sees_hidden_after"]) == (600.0, 1800.0, 43200.0)
    assert (person["sees_from"], person["shuts"]) == (0.5e-3, "")


def test_neighbour_is_never_there_by_himself_but_hears(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "neighbour", {"reaches the stop tap in": 7200.0})
    person = bench.people[0]
    assert bench.now(person["present"], who=True) is False
    assert bench.now(person["awake"], who=True) is False
    assert bench.now(person["hears"]) is True


def test_muted_phone_takes_hearing_only(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "keeper", {"day": DAY})
    bench.fail("does not hear the message")
    assert bench.now(bench.people[0]["hears"]) is False
    assert bench.now(bench.people[0]["present"], who=True) is True


def test_message_tapped_away_is_a_fault_of_its_own(lowered: Callable[..., Any]) -> None:
    bench = lowered(KIND, "keeper", {"day": DAY})
    bench.fail("acknowledges, and does nothing")
    assert bench.now(bench.people[0]["brushes_off"]) is True
    assert bench.now(bench.people[0]["hears"]) is True


@pytest.mark.parametrize(("out", "codes"), [(9.0, []), (8.0, ["person-day"]), (10.0, ["person-day"])])
def test_a_day_has_24_hours(view: Callable[..., Any], out: float, codes: Any) -> None:
    part = view(KIND, "keeper", {"day": {**DAY, "out": out * 3600.0}})
    found = KIND.check(part)
    assert [finding.code for finding in found] == codes
    assert all(f"{15 + out:g} h" in finding.what for finding in found)

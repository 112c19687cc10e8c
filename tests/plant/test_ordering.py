"""What happens at one moment is told from cause to effect."""

from pathlib import Path

import pytest

from dewpond.design.reader import read
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.lower import lower
from dewpond.plant.moments import tell
from dewpond.plant.ordering import in_order
from dewpond.plant.plant import STARTS, Onset, Plant, Scenario

HOUR, DAY = 3600.0, 86400.0


@pytest.fixture(scope="module")
def two_tanks(repository: Path) -> Plant:
    return lower(read(repository / "examples" / "two_tanks.yaml"))


def told(plant: Plant, *onsets: Onset, days: float = 2.0, who: str = "travelling") -> Consequence:
    return judge(plant, engine.run(plant, Scenario(who, days * DAY, onsets, STARTS[who]), compiled=True))


def in_turn(said: Consequence, *texts: str) -> None:
    """All of these are told, at one moment, in this order."""
    found = [(m.time, m.text) for m in said.moments]
    places = [next(n for n, (_, text) in enumerate(found) if text.startswith(one)) for one in texts]
    assert places == sorted(places), [found[n] for n in places]
    assert len({found[n][0] for n in places}) == 1


def test_order_comes_before_what_it_stops(two_tanks: Plant) -> None:
    said = told(two_tanks, Onset("small doser: tube split", HOUR))
    in_turn(said, "level box orders top-off pump stopped", "small doser stops")


def test_hand_comes_before_the_pump_it_unplugs(two_tanks: Plant) -> None:
    said = told(
        two_tanks,
        Onset("top-off pump: runs on", 0.0),
        Onset("pump cut-out: contact welded, in the lead of top-off pump", 0.0),
        who="at home",
    )
    in_turn(said, "keeper shuts stop tap by hand", "top-off pump stops")


def test_valve_that_stays_open_is_told_so_after_its_order(two_tanks: Plant) -> None:
    said = told(two_tanks, Onset("riser: burst, in study", HOUR), Onset("feed valve: does not close", 0.0))
    in_turn(said, "cellar box orders feed valve shut", "feed valve is told to shut, and stays open")


def test_fault_comes_after_what_it_waits_for(two_tanks: Plant) -> None:
    late = Onset("cellar box: hangs", -1.0, "feed valve shuts")
    said = told(two_tanks, Onset("riser: burst, in study", HOUR), late)
    in_turn(said, "cellar box orders feed valve shut", "feed valve shuts", "cellar box: hangs")


def test_water_comes_after_the_valve_that_lets_it(two_tanks: Plant) -> None:
    cut = Onset("laundry circuit: cut for an hour", HOUR)
    said = told(two_tanks, Onset("filters: bowl cracks", 1.5 * HOUR), cut)
    found = [m for m in said.moments if m.time == 2.0 * HOUR]
    texts = [m.text for m in found]
    assert (
        texts.index("laundry circuit: cut for an hour is over")
        < texts.index("feed valve opens")
        < texts.index("water gets out")
    )


def test_fault_that_a_loop_leads_back_to_is_told_between_what_led_to_it_and_what_comes_of_it(two_tanks: Plant) -> None:
    """The box orders the valve shut, it shuts, then the power goes: which would shut the valve, too."""
    late = Onset("laundry circuit: cut for an hour", -1.0, "feed valve shuts")
    said = told(two_tanks, Onset("riser: burst, in study", HOUR), late)
    in_turn(
        said, "cellar box orders feed valve shut", "feed valve shuts", "laundry circuit: cut", "laundry circuit loses"
    )


def test_box_that_hangs_while_it_drives_hangs_after_its_order(repository: Path) -> None:
    plant = lower(read(repository / "examples" / "first_float.yaml"))
    said = told(plant, Onset("small box: hangs while it drives top-off pump", -1.0))
    in_turn(said, "low mark reports low water", "top-off pump starts", "small box: hangs while")


@pytest.mark.parametrize(
    "label", ["reservoir: cracks", "riser: burst, in study", "float: stuck open", "top-off pump: runs on"]
)
def test_no_signal_is_told_after_what_hangs_on_it(two_tanks: Plant, label: str) -> None:
    trace = engine.run(two_tanks, Scenario("at home", DAY, (Onset(label, HOUR),), 18.0 * HOUR), compiled=True)
    raw = tell(two_tanks, trace)
    ordered = in_order(two_tanks, trace, raw)
    assert sorted(map(repr, raw)) == sorted(map(repr, ordered))
    signals = [(e.time, e.ref) for e, _ in ordered if e.code == prim.E_SIGNAL]
    for n, (time, ref) in enumerate(signals):
        earlier = [one for when, one in signals[:n] if when == time and one != ref]
        hangs = two_tanks.reading([ref])
        assert not [one for one in earlier if one in hangs and ref not in two_tanks.reading([one])]


def test_who_finds_a_circuit_dead_does_so_before_it_is_live_again(two_tanks: Plant) -> None:
    said = told(two_tanks, Onset("laundry circuit: trips until someone comes", HOUR), who="at home")
    over = next(m for m in said.moments if m.text.endswith("trips until someone comes is over"))
    in_turn(said, "keeper finds laundry circuit without power", over.text, "power is back on laundry circuit")

"""What hangs on a small supply: dead with its circuit, later by its buffer, and for good when it dies itself."""

import pytest

from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.low_voltage_supply import KIND
from dewpond.plant.plant import Plant
from tests.parts.recording import lowered
from tests.plant.houses import HOUR, STOP_ON_WATER, TOP_OFF, Ill, Told, design, plant_of, run

CUT = "box circuit: cut for an hour"
SUPPLY = "  small supply: {kind: low-voltage supply, power: box circuit%s}\n"


def text(*changes: tuple[str, str], keys: str = "", more: str = "", at_rest: str = "shut") -> str:
    """The test house with its box on a small supply, that one on the box circuit; more lines of the section power."""
    words = design(STOP_ON_WATER, TOP_OFF, at_rest=at_rest)
    for old, new in (("box: {power: box circuit", "box: {power: small supply"), *changes):
        assert words.count(old) == 1, old
        words = words.replace(old, new)
    return f"{words}power:\n{SUPPLY % keys}{more}"


def house(*changes: tuple[str, str], keys: str = "", more: str = "", at_rest: str = "shut") -> Plant:
    return plant_of(text(*changes, keys=keys, more=more, at_rest=at_rest))


def told_of(plant: Plant, *ills: Ill, who: str = "travelling", hours: float = 6.0) -> Told:
    return run(plant, who, hours * HOUR, ills, compiled=True)


def dead(told: Told, name: str = "small supply") -> list[tuple[float, int]]:
    return told.changes(name, f"{name} loses power")


# --- alone -----------------------------------------------------------------------------------------------------------


def test_it_asks_for_its_circuit_and_feeds_its_own() -> None:
    asked = lowered(KIND, {"power": "cellar"}, name="small")
    mains, fed = asked.given_back("circuit", name="cellar"), asked.only("feed")["signal"]
    ((what, works, value),) = asked.patches("dies")
    assert (what, value) == ("force", 0.0)
    assert [asked.now(fed, {mains: power, works: sound}) for power in (True, False) for sound in (True, False)] == [
        True, False, False, False,
    ]  # fmt: skip


def test_that_it_dies_is_an_event_that_nobody_puts_right() -> None:
    (dies,) = KIND.faults
    assert (dies.name, dies.timing, dies.lasts) == ("dies", "event", None)
    assert lowered(KIND, {"power": "cellar"}).only("fault")["until"] is None


# --- in a house ------------------------------------------------------------------------------------------------------


def test_all_that_hangs_on_it_is_dead_with_its_circuit_and_comes_back_with_it() -> None:
    told = told_of(house(), Ill(CUT, HOUR, HOUR))
    assert dead(told) == [(0.0, 0), (HOUR, 1), (2.0 * HOUR, 0)]
    assert told.at("box is without power") == [HOUR]
    assert told.at("box has power again and starts") == [2.0 * HOUR]
    assert told.changes("feed valve", "feed valve shuts") == [(0.0, 0), (HOUR, 1), (2.0 * HOUR, 0)]


@pytest.mark.parametrize(
    ("buffer", "changes"),
    [
        ("0 s", [(HOUR, 1), (2.0 * HOUR, 0)]),
        ("45 s", [(HOUR + 45.0, 1), (2.0 * HOUR, 0)]),
        ("20 min", [(HOUR + 1200.0, 1), (2.0 * HOUR, 0)]),
        ("61 min", []),
    ],
)
def test_buffer_bridges_the_beginning_of_a_cut(buffer: str, changes: list[tuple[float, int]]) -> None:
    told = told_of(house(keys=f", buffer: {buffer}"), Ill(CUT, HOUR, HOUR))
    assert dead(told)[1:] == changes
    assert told.changes("feed valve", "feed valve shuts")[1:] == changes


def test_buffer_is_there_again_for_the_next_cut() -> None:
    cuts = [Ill(CUT, hour * HOUR, 0.5 * HOUR) for hour in (1.0, 3.0)]
    told = told_of(house(keys=", buffer: 20 min"), *cuts)
    assert [time for time, off in dead(told) if off] == [HOUR + 1200.0, 3.0 * HOUR + 1200.0]


@pytest.mark.parametrize("keys", ["", ", buffer: 2 h"])
def test_dead_itself_it_stays_dead_whoever_is_at_home(keys: str) -> None:
    told = told_of(house(keys=keys), Ill("small supply: dies", HOUR), who="at home", hours=30.0)
    assert dead(told) == [(0.0, 0), (HOUR, 1)]
    assert told.changes("feed valve", "feed valve shuts") == [(0.0, 0), (HOUR, 1)]


def test_trip_of_the_fuse_before_it_is_put_right_by_whoever_is_at_home() -> None:
    plant = house(more="  box circuit: {}\n")
    told = told_of(plant, Ill("box circuit: trips until someone comes", HOUR), who="at home", hours=30.0)
    (_, off, back) = dead(told)
    assert off == (HOUR, 1)
    assert HOUR < back[0] < 24.0 * HOUR


def test_cut_of_the_whole_house_reaches_what_hangs_on_it() -> None:
    plant = house(more="  house power: {feeds: [box circuit, tank circuit]}\n")
    told = told_of(plant, Ill("house power: cut for an hour", HOUR, HOUR))
    assert dead(told) == [(0.0, 0), (HOUR, 1), (2.0 * HOUR, 0)]


def test_one_supply_behind_another() -> None:
    """24 V from the wall, 12 V from the 24 V: their buffers follow each other."""
    first = "  first: {kind: low-voltage supply, power: box circuit, buffer: 10 min}\n"
    plant = house(("box: {power: small supply", "box: {power: second"),
                  more=first + "  second: {kind: low-voltage supply, power: first, buffer: 5 min}\n")  # fmt: skip
    told = told_of(plant, Ill(CUT, HOUR, HOUR))
    assert dead(told, "first") == [(0.0, 0), (HOUR + 600.0, 1), (2.0 * HOUR, 0)]
    assert dead(told, "second") == [(0.0, 0), (HOUR + 900.0, 1), (2.0 * HOUR, 0)]
    assert dead(told_of(plant, Ill("first: dies", HOUR)), "second") == [(0.0, 0), (HOUR + 300.0, 1)]


def test_valve_pump_and_return_pump_may_hang_on_it_each_alone() -> None:
    """The box stays on its own circuit and goes on giving orders; only what hangs on the small supply is dead."""
    own = ("box: {power: small supply", "box: {power: box circuit")
    drives = "driven by: box}"
    valve = (f"without power: shut, {drives}", "without power: shut, driven by: box, power: small supply}")
    pump = (f"outlet: 45 cm above floor,\n                 {drives}",
            "outlet: 45 cm above floor,\n                 driven by: box, power: small supply}")  # fmt: skip
    tank = ("power: tank circuit", "power: small supply")
    dies = Ill("small supply: dies", HOUR)
    shut = told_of(house(own, valve), dies)
    assert shut.at("feed valve shuts") == [HOUR]
    assert not shut.at("box is without power")
    still, runs = told_of(house(own, pump), dies, hours=72.0), told_of(house(own), dies, hours=72.0)
    assert [t for t in still.at("pump starts") if t > HOUR] == []
    assert [t for t in runs.at("pump starts") if t > HOUR]
    assert told_of(house(own, tank), dies).at("the return pump of reef stops") == [HOUR]


def test_buffer_lets_a_leak_in_a_cut_be_stopped() -> None:
    """A valve that stays as it is, and its box: in the cut nothing shuts it, unless their supply lasts so long."""
    leak = Ill("tube: joint blows off, in study", 1.5 * HOUR)
    ran = {
        keys: told_of(house(keys=keys, at_rest="stays as it is"), Ill(CUT, HOUR, HOUR), leak).consequence
        for keys in ("", ", buffer: 2 h")
    }
    assert ran[""].stopped == pytest.approx(2.0 * HOUR, abs=60.0)
    bridged = ran[", buffer: 2 h"]
    assert bridged.stopped is not None
    assert bridged.stopped < 1.5 * HOUR + 120.0
    assert ran[""].on_floors > 10.0 * bridged.on_floors > 0.0


# --- in a file -------------------------------------------------------------------------------------------------------


def test_a_circuit_that_is_only_named_or_says_no_kind_is_still_a_fuse() -> None:
    parts = read_text(text(more="  house power: {feeds: [box circuit]}\n"), "house.yaml").parts
    kinds = {part.name: part.kind for part in parts}
    assert [kinds[name] for name in ("house power", "box circuit", "tank circuit", "small supply")] == [
        *["power circuit"] * 3, "low-voltage supply",
    ]  # fmt: skip


def test_what_is_plugged_into_it_says_so_itself() -> None:
    """`feeds` of a circuit cuts at once what it names; a supply has its own buffer, and its own `power`."""
    with pytest.raises(DesignError) as told:
        read_text(text(more="  house power: {feeds: [small supply]}\n"), "house.yaml")
    (finding,) = told.value.findings
    assert finding.code == "D062"
    assert "low-voltage supply" in finding.what

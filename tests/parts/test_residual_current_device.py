"""What hangs on a residual-current device: what trips it, what that stops, and when it is switched on again."""

import math

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError, Finding
from dewpond.parts.residual_current_device import KIND
from dewpond.plant.plant import Plant
from tests.parts.recording import lowered
from tests.plant.houses import HOUR, Ill, Told, design, plant_of, run

LITRE = 1e-3
FOUND_AFTER = 1800.0  # a dead circuit is found after half an hour at home: the person's default
FLOOD = Ill("low mark: float stuck low", 0.0)  # the pump fills the sump until that runs over into the study
BURST = Ill("tube: joint blows off, in study", HOUR)
CALL = "{cause: low mark low, effect: {pump: running}}"
ELSEWHERE = "{cause: second probe wet, effect: {feed valve: shut}}"  # so that the valve obeys, and is open
LATE = "{cause: probe wet, lasting: 20 min, effect: {feed valve: shut}, until: re-armed by hand when dry}"
SOCKET = ", socket in: study, wet from: 5 L"


def text(keys: str = "", *rows: str, at_rest: str = "shut", more: str = "", ppm: str = "240 ppm") -> str:
    """The test house with its box, and what that drives, behind the device."""
    words = design(*(rows or (CALL, ELSEWHERE)), at_rest=at_rest).replace("240 ppm", ppm)
    words = words.replace("outlet: 45 cm above floor", "outlet: 55 cm above floor")  # over the rim: nothing runs back
    assert words.count("box: {power: box circuit") == 1
    words = words.replace("box: {power: box circuit", "box: {power: guard")
    return f"{words}power:\n  guard: {{kind: residual-current device, power: box circuit{keys}}}\n{more}"


def house(keys: str = "", *rows: str, at_rest: str = "shut", more: str = "", ppm: str = "240 ppm") -> Plant:
    return plant_of(text(keys, *rows, at_rest=at_rest, more=more, ppm=ppm))


def told_of(plant: Plant, *ills: Ill, who: str = "travelling", hours: float = 30.0) -> Told:
    return run(plant, who, hours * HOUR, ills, compiled=True)


def dead(told: Told, name: str = "guard") -> list[tuple[float, int]]:
    return told.changes(name, f"{name} loses power")[1:]


def errors(words: str) -> list[Finding]:
    """What is wrong with a file, by the reader or else by the checks."""
    try:
        return [f for f in check(read_text(words, "house.yaml")) if f.level == "error"]
    except DesignError as told:
        return list(told.findings)


# --- alone -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("word", ["trips it", "does not trip it"])
def test_its_socket_is_wet_from_the_litres_said_and_dry_again_at_half(word: str) -> None:
    asked = lowered(
        KIND, {"power": "mains", "socket in": "tray", "wet from": 5e-3, "purified water": word}, name="guard"
    )
    (pool,) = (one for one in asked.every("signal") if one["kind"] == "pool")
    assert (pool["place"], pool["on"], pool["off"]) == ("tray", 5e-3, 2.5e-3)
    salty = [one["on"] for one in asked.every("signal") if one["kind"] == "salty"]
    assert salty == ([0.03] if word == "does not trip it" else [])


def test_what_conducts_enough_by_ohms_law() -> None:
    """30 mA at 230 V need 130 uS. Contacts of 1 to 5 cm (area over distance) ask for water of 26 to 130 uS/cm, at
    0.5 mg/L for each 13 to 65 mg/L: the default lies between."""
    (param,) = (one for one in KIND.params if one.key == "trips from")
    siemens = 0.030 / 230.0
    low, high = (siemens / (cell * 1e-2) * 1e4 * 0.5e-3 for cell in (5.0, 1.0))  # S/m -> uS/cm -> kg/m3
    assert low == pytest.approx(0.013, abs=1e-3)
    assert high == pytest.approx(0.065, abs=1e-3)
    assert low < param.default < high
    assert param.source.high == pytest.approx(high, rel=0.02)


def test_only_the_one_that_does_not_trip_is_hidden() -> None:
    assert {fault.name: fault.timing for fault in KIND.faults} == {
        "trips for nothing": "event",
        "does not trip": "latent",
    }


# --- trips for nothing ------------------------------------------------------------------------------------------------
def test_a_trip_for_nothing_lasts_until_somebody_who_is_at_home_finds_it() -> None:
    plant, trip = house(), Ill("guard: trips for nothing", HOUR)
    assert dead(told_of(plant, trip, who="travelling")) == [(HOUR, 1)]
    home = told_of(plant, trip, who="at home")
    assert dead(home) == [(HOUR, 1), (pytest.approx(HOUR + FOUND_AFTER, abs=2.0), 0)]
    assert home.at("box is without power") == [HOUR]


def test_it_is_dead_with_the_circuit_before_it_and_comes_back_with_that() -> None:
    told = told_of(house(), Ill("box circuit: cut for an hour", HOUR, HOUR))
    assert dead(told) == [(HOUR, 1), (2 * HOUR, 0)]
    assert told.at("guard trips") == []


# --- water at the socket ----------------------------------------------------------------------------------------------
def test_a_flood_at_its_socket_stops_the_pump_that_brings_it() -> None:
    """The floor has five litres when it trips, and no more than runs after them: a pump's minute."""
    without, guarded = (told_of(house(keys), FLOOD).consequence for keys in ("", SOCKET))
    assert without.on_floors > 20 * LITRE
    assert guarded.on_floors == pytest.approx(5 * LITRE, abs=1 * LITRE)
    assert guarded.stopped_by is not None
    assert "guard trips" in guarded.stopped_by


def test_the_same_trip_takes_the_box_before_it_has_shut_the_water() -> None:
    """A valve that stays as it is, shut after 20 min of a wet probe: the socket stands in water sooner, box and valve
    are dead, and the water runs on."""
    told = {keys: told_of(house(keys, CALL, LATE, at_rest="stays as it is"), BURST, hours=6.0) for keys in ("", SOCKET)}
    shut, open_ = told[""].consequence, told[SOCKET].consequence
    assert not shut.still_running
    assert told[SOCKET].at("guard trips")[0] < HOUR + 1200.0
    assert open_.still_running
    assert open_.on_floors > 5.0 * shut.on_floors


def test_whoever_shuts_the_tap_then_has_stopped_the_water_and_not_the_trip() -> None:
    plant = house(SOCKET, CALL, LATE, at_rest="stays as it is")
    told = told_of(plant, BURST, who="at home", hours=6.0)
    assert told.at("guard trips")
    assert told.consequence.stopped_by == "keeper shuts stop tap by hand and unplugs the top-off pumps"


def test_a_valve_that_shuts_without_power_is_shut_by_that_trip() -> None:
    told = told_of(house(SOCKET, CALL, LATE), BURST, hours=6.0)
    assert not told.consequence.still_running
    assert told.at("feed valve shuts") == [pytest.approx(told.at("guard trips")[0], abs=1.0)]


def test_one_that_does_not_trip_lets_the_plant_run_on_and_the_danger_is_told() -> None:
    plant, blind = house(SOCKET), Ill("guard: does not trip", 0.0)
    told = told_of(plant, FLOOD, blind)
    assert told.at("guard trips") == []
    assert told.consequence.on_floors == pytest.approx(told_of(house(), FLOOD).consequence.on_floors, rel=1e-3)
    wet = told.at("water stands at the socket of guard in study")[0]
    assert told.at("guard does not cut a current that leaks") == [pytest.approx(wet + 1.0, abs=0.1)]
    assert told_of(plant, FLOOD).at("guard does not cut a current that leaks") == []


@pytest.mark.parametrize(("ppm", "word", "trips"), [
    ("10 ppm", "trips it", True), ("10 ppm", "does not trip it", False), ("240 ppm", "does not trip it", True),
])  # fmt: skip
def test_water_that_hardly_conducts_may_not_trip_it(ppm: str, word: str, trips: bool) -> None:
    plant = house(f"{SOCKET}, purified water: {word}", at_rest="open", ppm=ppm)
    assert bool(told_of(plant, BURST, hours=3.0).at("guard trips")) is trips


def test_who_comes_tries_in_vain_while_the_socket_is_wet_and_it_holds_once_half_has_dried() -> None:
    """A film dries as exp(-t / tau): from five litres to the half of them it takes tau ln 2."""
    plant = house(SOCKET)
    told = told_of(plant, Ill(FLOOD.label, 0.0, 8 * HOUR), who="at home", hours=48.0)
    (tripped, on), (back, off) = dead(told)[:2]
    assert (on, off) == (1, 0)
    (tau,) = (t for place, t in zip(plant.places, plant.arrays.place_tau, strict=True) if place.name == "study")
    assert tripped + FOUND_AFTER < back
    assert back - tripped == pytest.approx(tau * math.log(2.0), rel=0.02)
    assert told.at("guard holds again") == [pytest.approx(back, abs=0.1)]


# --- in a file --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("keys", "found"), [
    (", socket in: study", [("residual-current-socket", "socket in")]),
    (", wet from: 5 L", [("residual-current-socket", "wet from")]),
    (", socket in: nowhere, wet from: 5 L", [("D061", "socket in")]),
    (", socket in: study, wet from: 5 mm", [("D066", "wet from")]),
    (", socket in: study, wet from: 0 L", [("D053", "wet from")]),
    (", socket in: study, wet from: 5 L, purified water: salty", [("D054", "purified water")]),
])  # fmt: skip
def test_what_cannot_be_is_refused_at_its_key(keys: str, found: list[tuple[str, str]]) -> None:
    assert [(f.code, f.key) for f in errors(text(keys))] == found


def test_it_may_not_hang_on_itself() -> None:
    ring = text().replace("power: box circuit}\n", "power: second}\n")
    found = errors(f"{ring}  second: {{kind: residual-current device, power: guard}}\n")
    assert [f.code for f in found] == ["D125"]

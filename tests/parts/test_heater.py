"""A heater: dry it is harmed, cracked it trips what is made for it, stuck it says so; it moves no water."""

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.heater import KIND
from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import level_of
from dewpond.plant.plant import Plant
from dewpond.proof.questions.starving import dries
from tests.plant.houses import HOUR, Ill, Told, design, plant_of, run

DAY = 24 * HOUR
CALL = "{cause: low mark low, effect: {pump: running}}"
LINE = ("  heater: {kind: heater, in: sump, rated: 300 W, must stay under water to: 180 mm, power: %s}\n"
        "sensors:")  # fmt: skip
STANDS_DRY = "heater stands dry with its power on"
LEAKS = "current leaks from heater into the water of sump"
GUARD = "power:\n  guard: {kind: residual-current device, power: tank circuit%s}\n"


def text(power: str = "tank circuit", more: str = "", mark: str = "180 mm") -> str:
    words = design(CALL)
    assert words.count("sensors:") == 1
    return words.replace("sensors:", (LINE % power).replace("180 mm", mark)) + more


def house(power: str = "tank circuit", more: str = "", mark: str = "180 mm") -> Plant:
    return plant_of(text(power, more, mark))


def told_of(plant: Plant, *ills: Ill, who: str = "travelling", hours: float = 72.0) -> Told:
    return run(plant, who, hours * HOUR, ills, compiled=True)


STARVED = Ill("pump: does not run", 0.0)  # nothing tops the sump up any more


# --- dry --------------------------------------------------------------------------------------------------------------
def test_it_stands_dry_when_what_evaporates_has_come_down_to_its_mark() -> None:
    """240 mm to 180 mm in a chamber of 15 cm by 40 cm are 3.6 L: over what the plant's edges let evaporate; by hand."""
    plant = house()
    a = plant.arrays
    edges = zip(a.edge_law, a.edge_p1, a.edge_b, strict=True)
    loss = sum(flow for law, flow, end in edges if law == prim.FLOW and a.node_rkind[end] == prim.R_AIR)
    told = told_of(plant, STARVED)
    assert told.at(STANDS_DRY) == [pytest.approx(0.15 * 0.40 * 0.060 / loss, rel=0.01)]
    assert [m.kind for m in told.consequence.moments if STANDS_DRY in m.text] == ["harm"]


def test_it_is_no_harm_to_be_dry_without_power_or_dead_and_none_under_water() -> None:
    plant = house()
    assert told_of(plant).at(STANDS_DRY) == []
    assert told_of(plant, STARVED, Ill("heater: stuck off", 0.0)).at(STANDS_DRY) == []
    dark = told_of(plant, STARVED, Ill("tank circuit: trips until someone comes", 600.0))
    assert dark.at(STANDS_DRY) == []


def test_it_is_covered_again_above_its_mark_and_a_band() -> None:
    plant = house()
    told = told_of(plant, Ill("pump: does not run", 0.0, 40 * HOUR), hours=60.0)
    (begin,) = told.at(STANDS_DRY)
    (end,) = told.at("heater is under water or off again")
    assert begin < 40 * HOUR < end


def test_its_dryness_is_counted_against_its_vessel_so_that_a_proof_asks_who_is_told() -> None:
    plant = house()
    (dry,) = (one for one in dries(plant) if one.word == "heater dry")
    assert (plant.stores[dry.store], dry.name) == ("sump", "sump")
    assert dry.mark == pytest.approx(0.180)


# --- cracked ----------------------------------------------------------------------------------------------------------
def test_cracked_it_trips_the_device_that_feeds_it_and_takes_the_return_pump_along() -> None:
    plant = plant_of(text("guard", GUARD % "").replace("power: tank circuit}\nsensors", "power: guard}\nsensors")
                     .replace("salinity: 35 ppt,\n                 power: tank circuit", "salinity: 35 ppt,\n"
                              "                 power: guard"))  # fmt: skip
    told = told_of(plant, Ill("heater: cracked", HOUR))
    assert told.at("guard trips: current leaks to earth") == [HOUR]
    assert told.at("the return pump of reef stops") == [HOUR]
    assert told.at(LEAKS) == []


@pytest.mark.parametrize("more", ["", GUARD % ""])
def test_cracked_with_no_such_device_before_it_it_leaks_and_that_is_told_as_harm(more: str) -> None:
    """A device on the same circuit that does not feed it guards nothing."""
    told = told_of(house(more=more), Ill("heater: cracked", HOUR))
    assert told.at("trips") == []
    assert told.at(LEAKS) == [pytest.approx(HOUR + 2.0, abs=0.1)]


def test_a_device_that_does_not_trip_leaves_it_leaking() -> None:
    told = told_of(house("guard", GUARD % ""), Ill("heater: cracked", HOUR), Ill("guard: does not trip", 0.0))
    assert told.at("guard trips") == []
    assert told.at(LEAKS) == [pytest.approx(HOUR + 2.0, abs=0.1)]


def test_of_two_devices_the_inner_one_trips_and_the_outer_one_only_if_it_does_not() -> None:
    two = (GUARD % "").replace("power: tank circuit", "power: outer") + (
        "  outer: {kind: residual-current device, power: tank circuit}\n"
    )
    plant = house("guard", two)
    sound = told_of(plant, Ill("heater: cracked", HOUR))
    assert sound.at("guard trips") == [HOUR]
    assert sound.at("outer trips") == []
    blind = told_of(plant, Ill("heater: cracked", HOUR), Ill("guard: does not trip", 0.0))
    assert blind.at("guard trips") == []
    assert blind.at("outer trips") == [pytest.approx(HOUR + 1.0, abs=0.1)]


def test_behind_a_supply_with_a_battery_it_trips_the_device_before_that() -> None:
    more = (GUARD % "") + "  ups: {kind: uninterruptible supply, power: guard, holds for: 10 min}\n"
    assert told_of(house("ups", more), Ill("heater: cracked", HOUR)).at("guard trips") == [HOUR]


def test_who_is_at_home_finds_it_unplugs_it_and_the_device_holds() -> None:
    told = told_of(house("guard", GUARD % ""), Ill("heater: cracked", HOUR), who="at home", hours=12.0)
    assert told.at("guard holds again") == [pytest.approx(HOUR + 1800.0, abs=2.0)]
    assert told.at("the plug of heater is pulled by hand") == told.at("guard holds again")
    assert len(told.at("guard trips")) == 1
    assert told.at(LEAKS) == []


# --- stuck ------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("fault", "words"), [("stuck on", "heats without end"), ("stuck off", "heats no more")])
def test_stuck_it_says_so_and_moves_no_water(fault: str, words: str) -> None:
    plant = house()
    told, sound = told_of(plant, Ill(f"heater: {fault}", HOUR)), told_of(plant)
    assert told.at(f"heater {words}") == [HOUR]
    levels = [[level_of(plant.arrays, n, v)[0] for n, v in enumerate(one.trace.volume)] for one in (told, sound)]
    assert levels[0] == pytest.approx(levels[1], abs=1e-6)
    assert "not followed" in next(f.what for f in KIND.faults if f.name == fault)


# --- in a file --------------------------------------------------------------------------------------------------------
def test_its_watts_are_read_in_watts_and_kilowatts() -> None:
    words = text()
    for typed, watts in (("300 W", 300.0), ("0.3 kW", 300.0)):
        heater = read_text(words.replace("300 W", typed), "house.yaml").part("heater")
        assert heater["rated"] == pytest.approx(watts)


@pytest.mark.parametrize(("old", "new", "code", "key"), [
    ("300 W", "300", "D068", "rated"),
    ("300 W", "300 V", "D066", "rated"),
    ("300 W", "30 kW", "D053", "rated"),
    ("in: sump, rated", "in: study, rated", "D062", "in"),
    (", must stay under water to: 180 mm", "", "D040", "must stay under water to"),
])  # fmt: skip
def test_what_cannot_be_is_refused_at_its_key(old: str, new: str, code: str, key: str) -> None:
    words = text()
    assert old in words
    with pytest.raises(DesignError) as told:
        read_text(words.replace(old, new), "house.yaml")
    assert [(f.code, f.key) for f in told.value.findings] == [(code, key)]


def test_a_mark_above_the_rim_is_told() -> None:
    found = check(read_text(text(mark="450 mm"), "house.yaml"))
    assert [(f.key, f.level) for f in found if f.code == "D114"] == [("must stay under water to", "error")]

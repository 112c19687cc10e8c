"""Hot water through a mixer tap: who is told, what is harmed, what the door says; and how the thermometer fails."""

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.plant.plant import DAY, Plant
from dewpond.study.matrix.build import build
from tests.plant.houses import HOUR, Ill, Told, plant_of, run

HOUSE = """
format: 1
title: A mixer tap (invented)
supply: {{pressure: 4 bar, temperature: {{winter: {winter}, summer: {summer}}}, dissolved solids: 300 ppm{taken}}}
places:
  laundry:    {{kind: room, size: 3 m x 2 m, floor: glazed tile}}
  drain:      {{kind: waste drain, in: laundry}}
water:
  stop tap:   {{kind: hand valve, after: supply, in: laundry}}
  feed valve: {{kind: solenoid valve, after: stop tap, in: laundry, without power: open, driven by: box}}
  membrane:   {{kind: membrane, after: feed valve, in: laundry, rated: 75 gal/day at 50 psi and 25 C, waste to: drain}}
  shut-off:   {{kind: automatic shut-off, on: membrane, closes at: 0.67}}
  check:      {{kind: check valve, after: membrane, in: laundry}}
  float:      {{kind: float valve, after: check, fills: reservoir, starts to shut at: 250 mm, quite shut at: 265 mm}}
  reservoir:  {{kind: reservoir, in: laundry, footprint: 40 cm x 40 cm, rim: 300 mm, bottom: 2 cm above floor,
               starts at: {level}}}
sensors:
  warmth:     {{kind: feed thermometer, reads: stop tap, wired to: box, {contact}{more}}}
controllers:
  box:        {{power: box circuit, after a restart: {{trips: kept, counts: kept}}, when it hangs: outputs stopped}}
matrix:
  - {{cause: warmth hot, effect: {{feed valve: shut}}, until: re-armed by hand}}
people:
  keeper:     {{day: {{at home awake: 8 h, asleep: 8 h, out: 8 h}}, reaches the stop tap in: 10 min}}
"""
MIXED = ", taken from: mixer tap"
CLOSES = "contact: closes when hot, read as hot when: closed"
OPENS = "contact: opens when hot, read as hot when: open"
HOT = Ill("supply: hot water through the mixer tap", 2.0 * HOUR, HOUR)
SAYS, HARM, SHUTS = "warmth reports hot water behind stop tap", "hot water reaches membrane", "feed valve shuts"


def text(**words: str) -> str:
    usual = {"winter": "8 C", "summer": "18 C", "taken": MIXED, "level": "50 mm", "contact": CLOSES, "more": ""}
    return HOUSE.format(**{**usual, **words})


def house(**words: str) -> Plant:
    return plant_of(text(**words))


def ran(plant: Plant, *ills: Ill) -> Told:
    return run(plant, "travelling", DAY, ills, compiled=True)


# --- hot water -------------------------------------------------------------------------------------------------------


def test_hot_water_is_told_after_its_delay_and_the_feed_is_shut_before_it_harms() -> None:
    """Half a minute for the thermometer, a minute until it has come through to the membrane."""
    told = ran(house(), HOT)
    assert told.at("hot water comes from supply") == [pytest.approx(2.0 * HOUR)]
    assert told.at(SAYS) == [pytest.approx(2.0 * HOUR + 30.0)]
    assert told.at(SHUTS)
    assert not told.at(HARM)
    assert told.at("cold water comes from supply again") == [pytest.approx(3.0 * HOUR)]


def test_without_a_warning_it_reaches_the_membrane_that_makes_water() -> None:
    told = ran(house(), HOT, Ill("warmth: reads cold for ever", 0.0))
    assert told.at(HARM) == [pytest.approx(2.0 * HOUR + 60.0)]
    assert "warmth" in told.consequence.failed


def test_one_that_is_slower_than_the_water_tells_too_late() -> None:
    told = ran(house(more=", told after: 2 min"), HOT)
    assert told.at(HARM)[0] < told.at(SAYS)[0]


def test_membrane_that_stands_is_reached_by_none() -> None:
    """The reservoir is full and the shut-off shut: nothing runs."""
    told = ran(house(level="265 mm"), HOT, Ill("warmth: reads cold for ever", 0.0))
    assert not told.at(HARM)


@pytest.mark.parametrize("taken", ["", ", taken from: cold pipe"])
def test_a_cold_pipe_has_no_hot_water_and_asks_the_plant_for_nothing(taken: str) -> None:
    plant = house(taken=taken)
    assert HOT.label not in {fault.label for fault in plant.faults}
    assert HOT.label in {fault.label for fault in house().faults}
    assert not any(HARM in say.true for say in plant.says.values())


# --- contact and faults ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("contact", "says"), [(CLOSES, False), (OPENS, True)])
def test_a_broken_wire_reads_as_an_open_contact(contact: str, says: bool) -> None:
    plant = house(contact=contact)
    assert bool(ran(plant, Ill("warmth: wire broken", HOUR)).at(SAYS)) is says
    assert bool(ran(plant, HOT, Ill("warmth: wires touch", 0.0)).at(SAYS)) is not says


def test_one_that_reads_hot_shuts_a_cold_feed() -> None:
    told = ran(house(taken=""), Ill("warmth: reads hot for ever", HOUR))
    assert told.at(SAYS) == [pytest.approx(HOUR)]
    assert told.at(SHUTS)


# --- the door --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("summer", "told"), [("18 C", False), ("38 C", False), ("42 C", True), ("45 C", True)])
def test_hot_water_in_the_file_is_asked_about(summer: str, told: bool) -> None:
    found = [one for one in check(read_text(text(summer=summer, taken=""), "h.yaml")) if one.code == "supply-hot"]
    assert bool(found) is told
    assert all(one.level == "warning" and "45 °C" in one.what and one.key == "temperature" for one in found)


def test_a_mixer_tap_is_told_of() -> None:
    codes = {one.code: one.level for one in check(read_text(text(), "h.yaml"))}
    assert codes["supply-mixer-tap"] == "note"
    assert "supply-mixer-tap" not in {one.code for one in check(read_text(text(taken=""), "h.yaml"))}


def test_one_that_speaks_above_what_a_membrane_bears_is_objected_to() -> None:
    late, early = (check(read_text(text(more=f", hot above: {limit}"), "h.yaml")) for limit in ("50 C", "38 C"))
    assert "thermometer-late" in {one.code for one in late}
    assert "thermometer-late" not in {one.code for one in early}


def test_a_contact_that_is_read_the_wrong_way_round_is_found() -> None:
    for contact, wrong in ((CLOSES, False), (OPENS, False), (CLOSES.replace("closed", "open"), True)):
        codes = {one.code for one in check(read_text(text(contact=contact), "h.yaml"))}
        assert ("D104" in codes) is wrong, contact
    codes = {one.code for one in check(read_text(text(contact=OPENS.replace("when: open", "when: closed")), "h.yaml"))}
    assert "D104" in codes


@pytest.mark.parametrize(
    "words",
    [
        {"taken": ", taken from: the moon"}, {"more": ", hot above: 40"}, {"more": ", hot above: 400 C"},
        {"contact": "contact: melts, read as hot when: closed"}, {"summer": "60 C"}, {"more": ", told after: 0 s"},
    ],
)  # fmt: skip
def test_bad_input_is_told(words: dict[str, str]) -> None:
    with pytest.raises(DesignError) as told:
        read_text(text(**words), "h.yaml")
    assert all(finding.where and finding.what and finding.remedy for finding in told.value.findings)


def test_the_matrix_knows_its_contact() -> None:
    (sensor,) = build(read_text(text(), "h.yaml")).sensors.values()
    assert (sensor.sort, sensor.state, sensor.otherwise, sensor.read_when) == ("contact", "hot", "cold", "closed")

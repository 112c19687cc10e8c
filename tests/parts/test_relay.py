"""A relay in the lead of a pump: what its contact does, welded, dead, and without power. Invented houses."""

import pytest

from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Onset, Plant, Scenario
from dewpond.study.drills import usual

# A jar of 20 L above nothing: the pump fills a tub of 60 L to a mark, and the relay cuts it at a higher one.
HOUSE = """
format: 1
title: A relay (invented)
supply: {{pressure: 3 bar, temperature: {{winter: 10 C, summer: 20 C}}, dissolved solids: 200 ppm}}
places:
  room: {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
water:
  tap:  {{kind: hand valve, after: supply, in: room}}
  ball: {{kind: float valve, after: tap, fills: jar, starts to shut at: 400 mm, quite shut at: 420 mm}}
  jar:  {{kind: reservoir, in: room, footprint: 20 cm x 20 cm, rim: 500 mm, overflow: none}}
  pump: {{kind: top-off pump, from: jar, to: tub, flow: 60 L/h, outlet: 90 cm above floor, driven by: box,
          vent hole above the water: present}}
  tub:  {{kind: reservoir, in: room, footprint: 50 cm x 40 cm, rim: 300 mm, overflow: none, starts at: 112 mm,
          evaporation: 1.9 L/day}}
sensors:
  low:  {{kind: level switch, in: tub, at: 110 mm, wired to: box, contact: closes when low, read as low when: closed}}
  high: {{kind: level switch, in: tub, at: 200 mm, wired to: cut-out, contact: opens when high,
          read as high when: open}}
controllers:
  box:     {{power: sockets, after a restart: {{trips: kept, counts: kept}}, when it hangs: keeps last order}}
  cut-out: {{kind: relay, power: {power}, without power: {without}}}
matrix:
  - {{cause: low low, effect: {{pump: running}}, until: cause ends}}
  - {{cause: high high, effect: {{pump: stopped}}, until: cause ends, by: cut-out}}
combination: any stop wins
"""
HANGS = "box: hangs while it drives pump"
WELDED = "cut-out: contact welded, in the lead of pump"
DEAD = "cut-out: does not close, in the lead of pump"


def house(without: str = "cuts the lead", power: str = "sockets") -> Plant:
    return lower(read_text(HOUSE.format(without=without, power=power), "relay.yaml"))


def told(plant: Plant, *labels: str, later: tuple[Onset, ...] = ()) -> Consequence:
    onsets = tuple(usual(plant.fault(label)) for label in labels) + later
    return judge(plant, engine.run(plant, Scenario("travelling", DAY, onsets), compiled=True))


def test_relay_stops_the_pump_of_a_box_that_hangs_and_a_welded_one_does_not() -> None:
    plant = house()
    assert told(plant, HANGS).on_floors == 0.0
    both = told(plant, HANGS, WELDED)
    # From the mark at 110 mm to the rim at 300 mm: 0.5 m x 0.4 m x 0.19 m = 38 L, at 60 L/h. The jar fills up again.
    hung = next(m.time for m in both.moments if m.text.startswith(HANGS))
    assert both.rim_first["tub"] - hung == pytest.approx(38.0 / 60.0 * 3600.0, rel=0.03)
    assert both.on_floors > 0.1
    assert "cut-out" in both.failed


def test_welded_contact_alone_changes_nothing_for_the_box_still_stops_its_pump() -> None:
    plant = house()
    assert told(plant, WELDED).on_floors == 0.0
    assert told(plant, WELDED).reservoir_empty is None


def test_dead_contact_starves_the_tub() -> None:
    alone = told(house(), DEAD)
    assert not any(m.text == "pump starts" for m in alone.moments)
    assert any(m.text == "pump starts" for m in told(house()).moments)


@pytest.mark.parametrize(("without", "starts"), [("cuts the lead", False), ("lets current through", True)])
def test_without_power_for_its_coil_it_does_what_it_was_wired_to_do(without: str, starts: bool) -> None:
    plant = house(without, "coil circuit")
    cut = told(plant, "coil circuit: trips until someone comes", later=())
    late = [m for m in cut.moments if m.text == "pump starts" and m.time > 3600.0]
    assert bool(late) is starts


def test_relay_cannot_hang_and_is_told_of_as_a_part_of_two_faults() -> None:
    own = {f.label for f in house().faults if f.part == "cut-out"}
    assert own == {WELDED, DEAD}

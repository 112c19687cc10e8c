"""A pause of the top-off: taken, forgotten, ended by itself. An invented house."""

import pytest

from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Plant, Scenario
from dewpond.study.drills import usual

HOUSE = """
format: 1
title: A pause (invented)
supply: {{pressure: 3 bar, temperature: {{winter: 10 C, summer: 20 C}}, dissolved solids: 200 ppm}}
places:
  room: {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
water:
  tap:  {{kind: hand valve, after: supply, in: room}}
  ball: {{kind: float valve, after: tap, fills: jar, starts to shut at: 400 mm, quite shut at: 420 mm}}
  jar:  {{kind: reservoir, in: room, footprint: 20 cm x 20 cm, rim: 500 mm, overflow: none}}
  pump: {{kind: top-off pump, from: jar, to: tub, flow: 60 L/h, outlet: 90 cm above floor, driven by: box,
          vent hole above the water: present}}
  tub:  {{kind: reservoir, in: room, footprint: 50 cm x 40 cm, rim: 300 mm, overflow: none, starts at: 111 mm,
          evaporation: 1.9 L/day}}
sensors:
  low:  {{kind: level switch, in: tub, at: 110 mm, wired to: box, contact: closes when low, read as low when: closed}}
controllers:
  box:  {{power: sockets, after a restart: {{trips: kept, counts: kept}}, when it hangs: keeps last order}}
work:
  feeding: {{kind: pause, lasts: 30 min{ends}}}
matrix:
  - {{cause: low low, effect: {{pump: running}}, until: cause ends}}
  - {{cause: feeding begun, effect: {{pump: stopped}}, until: cause ends}}
combination: any stop wins
"""


def house(ends: str = "") -> Plant:
    return lower(read_text(HOUSE.format(ends=ends), "pause.yaml"))


def told(plant: Plant, label: str) -> Consequence:
    return judge(
        plant, engine.run(plant, Scenario("travelling", 2.0 * DAY, (usual(plant.fault(label)),)), compiled=True)
    )


def at(result: Consequence, words: str) -> list[float]:
    return [m.time for m in result.moments if words in m.text]


def test_forgotten_pause_keeps_the_pump_at_rest_for_ever() -> None:
    assert not at(told(house(), "feeding: is forgotten"), "pump starts")
    assert at(told(house(), "feeding: is taken"), "pump starts")


@pytest.mark.parametrize(("fault", "over"), [("is taken", 1800.0), ("is forgotten", 7200.0), ("does not return", None)])
def test_pause_is_over_after_its_own_time_or_when_it_ends_by_itself(fault: str, over: float | None) -> None:
    result = told(house(", ends by itself after: 2 h"), f"feeding: {fault}")
    assert at(result, "feeding begins") == [3600.0]
    assert at(result, "feeding is over") == ([] if over is None else [pytest.approx(3600.0 + over)])
    assert bool(at(result, "pump starts")) is (over is not None)


def test_pause_that_stops_a_pump_is_no_protection_that_acts() -> None:
    result = told(house(), "feeding: is forgotten")
    (order,) = [m for m in result.moments if "box orders pump stopped" in m.text]
    assert order.kind == "note"


def test_fault_that_a_pause_cannot_have_is_not_listed() -> None:
    assert {f.name for f in house().faults if f.part == "feeding"} == {"is taken", "is forgotten"}

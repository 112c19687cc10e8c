"""What carries orders and messages: network, switched socket, heartbeat; and a noise in the house. Invented houses."""

import pytest

from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Onset, Plant, Scenario
from dewpond.study.drills import usual

HOUSE = """
format: 1
title: Links (invented)
supply: {{pressure: 3 bar, temperature: {{winter: 10 C, summer: 20 C}}, dissolved solids: 200 ppm}}
places:
  room: {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
water:
  tap:  {{kind: hand valve, after: supply, in: room}}
  tube: {{kind: tubing, after: tap, length: 4 m, through: [room], tube ends: 2}}
  ball: {{kind: float valve, after: tube, fills: jar, starts to shut at: 400 mm, quite shut at: 420 mm}}
  jar:  {{kind: reservoir, in: room, footprint: 20 cm x 20 cm, rim: 500 mm, overflow: none}}
  pump: {{kind: top-off pump, from: jar, to: tub, flow: 60 L/h, outlet: 90 cm above floor, driven by: box,
          {through}vent hole above the water: present}}
  tub:  {{kind: reservoir, in: room, footprint: 50 cm x 40 cm, rim: 300 mm, overflow: none, starts at: 112 mm,
          evaporation: 1.9 L/day}}
sensors:
  low:   {{kind: level switch, in: tub, calls at: 110 mm, is satisfied at: 120 mm, wired to: box,
           contact: closes when low, read as low when: closed}}
  probe: {{kind: leak probe, in: room, at: low corner, wired to: box, contact: closes when wet,
           read as wet when: closed, seen to work with purified water: 2026-03-01}}
  {noise}
controllers:
  box:    {{power: sockets, after a restart: {{trips: kept, counts: kept}}, when it hangs: keeps last order}}
  router: {{kind: network, power: sockets}}
  socket: {{kind: switched socket, power: sockets, ordered over: router, without orders: {without}}}
matrix:
  - {{cause: low low, effect: {{pump: running}}, until: cause ends}}
  - {{cause: probe wet, effect: {{}}, by: box, tell: leak}}
messages:
  leak:      {{priority: now, path: [box, router, friend]}}
  heartbeat: {{from: [box], every: 15 min, path: [router], missed: 2, watched: outside the house, tell: [friend]}}
people:
  keeper: {{day: {{at home awake: 7 h, asleep: 8 h, out: 9 h}}, notices water after: 5 h, sees puddles from: 50 L}}
  friend: {{reaches the stop tap in: 2 h}}
"""
SOCKET = "through: socket, "
SOUNDER = (
    "horn: {{kind: sounder, in: room, at: by the tap, reached by: 1 L, at night: {night}, "
    "seen to work with purified water: 2026-03-01}}"
)
BURST = "tube: burst, in room"


def house(through: str = "", without: str = "keeps last order", night: str = "") -> Plant:
    noise = SOUNDER.format(night=night).replace("{{", "{").replace("}}", "}") if night else ""
    return lower(read_text(HOUSE.format(through=through, without=without, noise=noise), "links.yaml"))


def told(plant: Plant, *labels: str, who: str = "travelling", days: float = 1.0) -> Consequence:
    onsets = tuple(usual(plant.fault(label)) for label in labels)
    scenario = Scenario(who, days * DAY, onsets, STARTS[who])
    return judge(plant, engine.run(plant, scenario, compiled=True))


def at(result: Consequence, words: str) -> list[float]:
    return [m.time for m in result.moments if words in m.text]


def test_message_waits_until_the_network_is_up_again() -> None:
    plant = house()
    free = told(plant, BURST)
    down = told(plant, BURST, "router: down for 4 h")
    (up,) = at(down, "router works again")
    assert up == pytest.approx(5.0 * 3600.0)
    assert at(down, "“leak” goes out")[0] == pytest.approx(up + 60.0, abs=2.0)  # a minute to be read
    assert at(free, "“leak” goes out")[0] < 3600.0 + 600.0
    assert at(down, "friend is told")[0] == pytest.approx(3600.0 + 1861.0, abs=2.0)  # of the heartbeat, and stays
    assert down.on_floors > 2.0 * free.on_floors  # two hours on the way, after 4 h of silence


def test_missing_heartbeat_is_told_by_somebody_outside_after_as_many_as_may_be_missed() -> None:
    dead = told(house(), "box: dies")
    assert at(dead, "heartbeat stays away")[0] == pytest.approx(2 * 900.0 + 60.0, abs=2.0)
    assert at(dead, "friend is told")
    assert not at(told(house(), "pump: does not run"), "heartbeat")
    silent = told(house(), "router: hung until someone restarts it")
    assert at(silent, "heartbeat stays away")[0] == pytest.approx(3600.0 + 1860.0, abs=2.0)


@pytest.mark.parametrize("label", ["contact welded", "misses the order to stop"])
def test_socket_that_does_not_cut_lets_the_pump_run_over_the_rim(label: str) -> None:
    plant = house(SOCKET)
    ran = told(plant, f"socket: {label}, in the lead of pump")
    begins = at(ran, "pump starts")[0]
    start = 112.0 if label == "contact welded" else 110.0
    # To the rim: 0.5 m x 0.4 m x (300 mm - start), at 60 L/h.
    assert ran.rim_first["tub"] - begins == pytest.approx((300.0 - start) * 0.2 / 60.0 * 3600.0, rel=0.03)


@pytest.mark.parametrize(("without", "floods"), [("keeps last order", True), ("cuts the lead", False)])
def test_network_that_goes_down_while_the_pump_runs(without: str, floods: bool) -> None:
    plant = house(SOCKET, without)
    hung = plant.fault("router: hung until someone restarts it")
    scenario = Scenario("travelling", DAY, (Onset(hung.label, -1.0, "pump starts", 1.0),), STARTS["travelling"])
    result = judge(plant, engine.run(plant, scenario, compiled=True))
    assert bool(result.rim_first.get("tub")) is floods


def test_dead_socket_lets_nothing_run() -> None:
    assert not at(told(house(SOCKET), "socket: dead, in the lead of pump"), "pump starts")


@pytest.mark.parametrize(
    ("night", "who", "hears"),
    [
        ("not heard in the bedroom", "at home", True),
        ("not heard in the bedroom", "asleep", False),
        ("heard in the bedroom", "asleep", True),
        ("heard in the bedroom", "out", False),
        ("heard in the bedroom", "travelling", False),
    ],
)
def test_noise_is_heard_by_whoever_is_in_the_house_and_can(night: str, who: str, hears: bool) -> None:
    plant = house(night=night)
    result = told(plant, BURST, who=who, days=0.2)
    heard = [t for t in at(result, "keeper hears horn") if t < 2.0 * 3600.0]
    assert bool(heard) is hears
    if hears:
        assert at(result, "keeper shuts tap")[0] == pytest.approx(heard[0] + 600.0, abs=1.0)


def test_flat_cells_keep_the_horn_silent_and_it_is_told_as_failed() -> None:
    result = told(house(night="heard in the bedroom"), BURST, "horn: cells flat", who="asleep", days=0.2)
    assert not at(result, "keeper hears horn")
    assert "horn" in result.failed

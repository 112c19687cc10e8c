"""Small designs as text, run with faults that begin and end when a test wants, and read back in the keeper's words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dewpond.design.reader import read_text
from dewpond.plant import compile as ways
from dewpond.plant import primitives as prim
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.engine import read
from dewpond.plant.laying import lay
from dewpond.plant.lower import lower
from dewpond.plant.plant import NEVER, STARTS, Onset, Plant, Scenario
from dewpond.plant.trace import Trace

HOUR = 3600.0

HOUSE = """
format: 1
title: A house for tests (invented)
shown in: metric
zone: Europe/Lisbon
supply:
  pressure: 4 bar
  temperature: {{winter: 8 C, summer: 18 C}}
  dissolved solids: 240 ppm
places:
  laundry:      {{kind: room, size: 3 m x 2 m, floor: glazed tile, drain: floor drain}}
  floor drain:  {{kind: waste drain, in: laundry}}
  study:        {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
water:
  stop tap:     {{kind: hand valve, after: supply, in: laundry}}
  feed valve:   {{kind: solenoid valve, after: stop tap, in: laundry, without power: {at_rest}, driven by: box}}
  tube:         {{kind: tubing, after: feed valve, length: 6 m, through: [laundry, study]}}
  float:        {{kind: float valve, after: tube, fills: reservoir, starts to shut at: 250 mm, quite shut at: 265 mm}}
  reservoir:    {{kind: reservoir, in: study, footprint: 40 cm x 40 cm, rim: 300 mm, bottom: 2 cm above floor,
                 overflow: none}}
  pump:         {{kind: top-off pump, from: reservoir, to: sump, flow: 60 L/h, outlet: 45 cm above floor,
                 driven by: box}}
  sump:         {{kind: sump, in: study, bottom: 10 cm above floor, footprint: 90 cm x 40 cm, rim: 400 mm,
                 running level: 240 mm, rises when the return pump stops: 60 mm, return chamber: 15 cm x 40 cm,
                 return pump needs: 120 mm}}
  reef:         {{kind: display tank, drains to: sump, surface: 120 cm x 60 cm, volume: 410 L, salinity: 35 ppt,
                 power: tank circuit}}
sensors:
  low mark:     {{kind: level switch, type: float, in: sump, calls at: 232 mm, is satisfied at: 240 mm, wired to: box,
                 contact: closes when low, read as low when: closed}}
  high mark:    {{kind: level switch, type: float, in: sump, at: 320 mm, wired to: {high_wired_to},
                 contact: closes when high, read as high when: closed}}
  probe:        {{kind: leak probe, in: study, at: behind the cabinet, wired to: box, contact: closes when wet,
                 read as wet when: closed, seen to work with purified water: 2026-11-02}}
  second probe: {{kind: leak probe, in: laundry, at: under the valve, wired to: box, contact: closes when wet,
                 read as wet when: closed, seen to work with purified water: 2026-11-02}}
controllers:
{controllers}
matrix:
{matrix}
combination: any stop wins
{messages}
people:
{people}
"""
BOX = "  box: {power: box circuit, after a restart: {trips: %s, counts: %s}, when it hangs: %s}"
KEEPER = """  keeper: {day: {at home awake: 7 h, asleep: 8 h, out: 9 h}, travelling: 2 weeks a year,
           reaches the stop tap in: 10 min when at home}"""
STOP_ON_WATER = "{cause: probe wet, effect: {feed valve: shut}, until: re-armed by hand when dry}"
TOP_OFF = "{cause: low mark low, effect: {pump: running}, at most: 4 min a run, until: cause ends}"


def controller(*, trips: str = "kept", counts: str = "kept", hung: str = "keeps last order", more: str = "") -> str:
    """The line of the controller called box; ``more`` goes into its braces."""
    return (BOX % (trips, counts, hung))[:-1] + (f", {more}}}" if more else "}")


def design(
    *rows: str,
    controllers: str = "",
    messages: str = "",
    people: str = KEEPER,
    high_wired_to: str = "box",
    at_rest: str = "shut",
) -> str:
    """The text of the test house with these rows in its matrix."""
    matrix = "\n".join(f"  - {row}" for row in rows)
    return HOUSE.format(
        matrix=matrix, controllers=controllers or controller(), messages=messages, people=people, at_rest=at_rest,
        high_wired_to=high_wired_to,
    )  # fmt: skip


def plant_of(text: str, season: str = "winter") -> Plant:
    return lower(read_text(text, "house.yaml"), season)


@dataclass(frozen=True)
class Ill:
    """A fault of a run, by its label, from ``time`` on for ``lasts`` [s]."""

    label: str
    time: float
    lasts: float = NEVER


@dataclass(frozen=True)
class Told:
    """A run with its plant, to be asked in words."""

    plant: Plant
    trace: Trace

    @property
    def consequence(self) -> Consequence:
        return judge(self.plant, self.trace)

    def at(self, words: str) -> list[float]:
        """Times of the moments whose text holds these words [s]."""
        return [m.time for m in self.consequence.moments if words in m.text]

    def changes(self, part: str, words: str) -> list[tuple[float, int]]:
        """(time, whether so) of what ``words`` say of ``part``; the first is the state at 0 s."""
        (found,) = [(s, words in say.true) for s, say in self.plant.says.items()
                    if say.part == part and (words in say.true or words in say.false)]  # fmt: skip
        signal, straight = found
        seen = [(e.time, int(e.value)) for e in self.trace.events if e.code == prim.E_SIGNAL and e.ref == signal]
        start = 1 - seen[0][1] if seen else self.trace.signal[signal]
        return [(t, v if straight else 1 - v) for t, v in [(0.0, start), *seen]]


def run(
    plant: Plant,
    who: str,
    horizon: float,
    ills: Sequence[Ill] = (),
    *,
    clock: float | None = None,
    compiled: bool = False,
) -> Told:
    """A run of the plant with faults; as the engine does it, but that each fault may end when the test wants."""
    onsets = tuple(Onset(ill.label, ill.time) for ill in ills)
    scenario = Scenario(who, horizon, onsets, STARTS[who] if clock is None else clock)
    arrays = lay(plant, scenario)._replace(fault_end=[ill.lasts for ill in ills])
    state = ways.run_once(arrays, len(plant.parts), horizon, compiled=compiled)
    return Told(plant, read(plant, scenario, state, 0))

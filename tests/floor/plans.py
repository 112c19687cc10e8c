"""Plans of invented houses for tests of floors: small, and with few parts."""

from __future__ import annotations

from dewpond.design.model import Design
from dewpond.design.reader import read_text

HOUSE = """
format: 1
title: A house for floors (invented)
supply: {{pressure: 3.5 bar, temperature: {{winter: 8 C, summer: 16 C}}, dissolved solids: 200 ppm}}
places:
  laundry: {{kind: room, size: 2 m x 2 m, floor: vinyl{laundry}}}
  hall:    {{kind: room, size: 3 m x 2 m, floor: vinyl{hall}}}
  cellar:  {{kind: room, size: 5 m x 5 m, floor: sealed concrete, floor height: -2.5 m}}
  drain:   {{kind: waste drain, in: laundry}}
  pan:     {{kind: tray, in: hall, size: 80 cm x 40 cm, rim: 30 mm}}
water:
  tap:       {{kind: hand valve, after: supply, in: laundry}}
  membrane:  {{kind: membrane, after: tap, in: laundry, rated: 75 gal/day at 50 psi and 25 C, rejection: 96 %,
              waste to: drain, tube ends: 6}}
  riser:     {{kind: tubing, after: membrane, size: 1/4 in, length: 6 m, through: [laundry, hall, pan],
              tube ends: 2}}
  float:     {{kind: float valve, after: riser, fills: reservoir, starts to shut at: 270 mm,
              quite shut at: 285 mm}}
  reservoir: {{kind: reservoir, in: pan, footprint: 40 cm x 30 cm, rim: 320 mm,
              bottom: 5 cm above tray, overflow: none}}
sensors:
  pan probe:  {{kind: leak probe, in: pan, at: corner, wired to: box, contact: closes when wet,
               read as wet when: closed}}
  hall probe: {{kind: leak probe, in: hall, at: corner, wired to: box, contact: closes when wet,
               read as wet when: closed}}
controllers:
  box: {{power: circuit, after a restart: {{trips: kept, counts: kept}}, when it hangs: keeps last order}}
people:
  keeper: {{day: {{at home awake: 7 h, asleep: 8 h, out: 9 h}}, travelling: 3 weeks a year,
           reaches the stop tap in: 10 min when at home}}
floors:
{floors}
"""


def house(floors: str, laundry: str = "", hall: str = "") -> Design:
    """The house with these plans, and these keys more in its rooms."""
    return read_text(HOUSE.format(floors=floors, laundry=laundry, hall=hall), "house.yaml")


TWO_ROOMS = """
  laundry:
    outline: [0 m x 0 m, 2 m x 2 m]
    openings: [{between: [2 m x 0.5 m, 2 m x 1.3 m], sill: 10 mm, leads to: hall}]
    spots:
      tap: 0.3 m x 0.3 m
      membrane: [0.2 m x 1.5 m, 0.6 m x 1.8 m]
      riser: [0.6 m x 1.6 m, 1.9 m x 1.6 m]
  hall:
    outline: [2.1 m x 0 m, 5.1 m x 2 m]
    spots:
      pan: [4 m x 0.2 m, 4.8 m x 0.6 m]
      riser: [2.2 m x 1.6 m, 4.2 m x 1.6 m, 4.2 m x 0.4 m]
      pan probe: 4.1 m x 0.3 m
      hall probe: 2.3 m x 1 m
"""

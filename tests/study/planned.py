"""A plan of a study for the two tanks of the examples, with leaks in a tray and beside it, and two probes."""

from pathlib import Path

from dewpond.design.model import Design
from dewpond.design.reader import read_text

PLAN = """
floors:
  study:
    outline: [0 m x 0 m, 3 m x 2.4 m]
    openings:
      - {between: [1 m x 2.4 m, 1.8 m x 2.4 m], sill: 5 mm, leads to: kitchen}
    furniture:
      - {area: [0.2 m x 0.3 m, 1.4 m x 1 m], stands on: feet, what: tank stand}
    spots:
      cabinet tray: [0.3 m x 0.4 m, 1.3 m x 1 m]
      reservoir: [0.4 m x 0.5 m, 0.8 m x 0.8 m]
      study probe: 0.3 m x 1.2 m
      tray probe: 1.1 m x 0.8 m
      riser: [0 m x 0.1 m, 0.4 m x 0.1 m, 0.4 m x 0.6 m]
    readings:
      - {by: water tube, at: 0.5 m x 1 m, height: 6 mm}
      - {by: water tube, at: 2.5 m x 2 m, height: 2 mm}
      - {by: water tube, at: 2.5 m x 0.5 m, height: 5 mm}
"""
LAUNDRY = """
  laundry:
    outline: [10 m x 0 m, 11.5 m x 1.5 m]
    spots:
      filters: 10.5 m x 0.3 m
      probe of cell valve: 11.2 m x 1.2 m
"""


def planned(repository: Path, plan: str = PLAN) -> Design:
    """The two tanks with a plan."""
    return read_text((repository / "examples" / "two_tanks.yaml").read_text("utf-8") + plan, "planned.yaml")

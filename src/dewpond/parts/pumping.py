"""What the pumps share that lift water from one vessel into another: keys, orders, drawing air, running on or not.

Rates: motor pumps of NUREG/CR-6928 (2020 update, second-hand) doubled; running on our prior.
"""

from __future__ import annotations

from typing import NamedTuple

from dewpond.parts.base import Fault, Level, Lowering, Param, PartView, Rate, Source
from dewpond.parts.plumbing import PRIOR, circuit_of, powered

DRY_BAND = 5e-3  # level above "dry below" at which it draws all it can [m]
NO_MORE = 0.2  # part of that band at which it counts as drawing no more: the last of it is never quite drawn [1]

FROM = Param(
    "from",
    "part",
    "The reservoir it draws from.",
    roles=("vessel",),
    also=("after", "source", "draws from"),
)
TO = Param(
    "to",
    "part",
    "The sump or tank it fills.",
    roles=("vessel",),
    also=("fills", "into", "leads to"),
)
FLOW = Param(
    "flow",
    "flow",
    "What comes out of its tube: a jug and a clock, with the tube where it always is.",
    low=0.1e-3 / 3600.0,
    high=2000e-3 / 3600.0,
    also=("pump rate", "output", "delivers"),
    usual=(0.2e-3 / 3600.0, 600e-3 / 3600.0),
)
OUTLET = Param(
    "outlet",
    "level",
    "Height of the end of its tube, where the water comes out.",
    also=("outlet height", "height", "end of the tube"),
    usual=(0.0, 2.5),
    bare="",
)
DRY_BELOW = Param(
    "dry below",
    "level",
    "Level in the reservoir below which it draws air.",
    also=("draws air below", "inlet", "inlet height"),
    default=Level(0.02, "bottom"),
    source=Source("the height of its inlet", PRIOR, 0.01, 0.04),
)

RUNS_ON = Fault(
    "runs on",
    "latent",
    "It runs although what drives it tells it to stop, as long as it has power: a relay in its lead still cuts that.",
    "the stop test: order it stopped while it runs",
    Rate(0.01, "per year", 5.0, Source("the pump itself, without its sensor and relay", PRIOR, 0.002, 0.05)),
)
DOES_NOT_RUN = Fault(
    "does not run",
    "latent",
    "It does not pump: worn, jammed or burnt out.",
    "a level that only falls",
    Rate(
        0.15,
        "per year",
        3.0,
        Source("motor pump fails to run 8.1e-6 an hour (NUREG/CR-6928, second-hand), times 2", "derived", 0.05, 0.45),
    ),
)


class Drawing(NamedTuple):
    """A pump that runs and where it draws: signals, a node, a level above the vessel's bottom, heights [m]."""

    running: int
    tap: int
    dry: float
    inlet: float  # of the datum
    place: str


def drawing(p: PartView, b: Lowering) -> Drawing:
    """The order, the power and the plug of a pump, what ties it to its vessel, and both faults of its running."""
    source = p["from"]
    below = b.vessel(source)
    order, lead = b.later(), b.later()
    circuit = circuit_of(p, b)
    running = b.all(order, lead, powered(circuit, b), b.plugged())
    dry = b.vessel_level(source, p["dry below"])

    def follow(ordered: int, let: int) -> None:
        b.define(order, ordered)
        b.define(lead, let)

    b.actuator("stopped", "running", circuit, follow)
    b.say(running, f"{p.name} starts", f"{p.name} stops")
    nothing_left = b.no(b.level_above(source, dry + DRY_BAND, dry + NO_MORE * DRY_BAND))
    b.tally("reservoir empty", source, nothing_left)
    b.say(b.all(running, nothing_left), f"{p.name} draws air: {source} is down to its inlet", kind="harm")
    b.fault(RUNS_ON.name, [("force", order, 1.0)])
    b.fault(DOES_NOT_RUN.name, [("force", order, 0.0)])
    return Drawing(running, b.tap(source), dry, below.bottom + dry, p["in"] or below.place)


def under_water(p: PartView, b: Lowering, draws: Drawing, also: int | None = None) -> int:
    """A gate that is open while the inlet is under water, and while the signal ``also`` is true."""
    return b.gate_level(p["from"], draws.dry + DRY_BAND, draws.dry, also=also)

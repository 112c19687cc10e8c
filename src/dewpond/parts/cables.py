"""What parts share that are driven over a thin lead: how long and thick it is, and what the part draws.

Wires: those sold by their American gauge, and by their section in mm2. Resistance:
``physics.electric``.
"""

from __future__ import annotations

import math

from dewpond.parts.base import Param, Source
from dewpond.parts.plumbing import MEMORY, PRIOR
from dewpond.physics.electric import wire_diameter

GAUGES = (28, 26, 24, 22, 20, 18, 16, 14)  # American gauges of thin leads
SECTIONS = ("0.14", "0.25", "0.34", "0.5", "0.75", "1", "1.5", "2.5")  # of flexible leads [mm2]

WIRES: dict[str, float] = {f"{n} AWG": 0.25 * math.pi * wire_diameter(n) * wire_diameter(n) for n in GAUGES} | {
    f"{text} mm2": float(text) * 1e-6 for text in SECTIONS
}
"""Copper in one conductor of each lead [m2]. Source: ASTM B258 (from memory); the section it is sold under."""

CABLE = Param(
    "cable",
    "map",
    "The two-wire lead from what feeds it: its whole length, and what is printed on it.",
    default=None,
    fields=(
        Param("length", "length", "Of the lead, one way.", low=0.1, high=200.0, usual=(0.3, 60.0)),
        Param(
            "gauge",
            "word",
            "Its gauge, or the section of one conductor.",
            words=tuple(WIRES),
            trade={f"AWG {n}": f"{n} AWG" for n in GAUGES},
            also=("size", "section", "thickness", "wire"),
        ),
    ),
    also=("lead", "wire", "wiring"),
)

COIL, MOTOR = "coil", "motor"
USUAL_DRAW = {"power": 8.0, "voltage": 12.0}  # where nobody says [W], [V]; our prior, 3 to 15 W


def draws(key: str) -> Param:
    """The key for what a coil or a motor draws, as printed on it: ``coil: 8 W at 12 V``."""
    return Param(
        key,
        "compound",
        f"What is printed on its {key}: power and voltage.",
        default=None,
        pattern="{power} at {voltage}",
        fields=(
            Param("power", "power", "That it draws.", low=0.05, high=500.0, usual=(0.5, 60.0)),
            Param("voltage", "voltage", "That it is made for.", low=3.0, high=60.0, usual=(5.0, 24.0)),
        ),
        source=Source("left out: 8 W at 12 V, a usual small valve", PRIOR, 3.0, 15.0),
        also=("draws", "consumes"),
    )


CLOSES_IN = Param(
    "closes in",
    "duration",
    "From the moment it begins to shut until it is shut.",
    default=None,
    low=0.002,
    high=60.0,
    usual=(0.005, 10.0),
    source=Source("left out: 10 to 50 ms for a plunger, 0.1 to 1 s for a disc that the water moves", MEMORY, 0.01, 1.0),
    also=("closing time", "shuts in"),
)

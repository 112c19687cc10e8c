"""The leads of what is driven over low voltage: what arrives at its end, and how long a lead may be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from dewpond.design.model import Design
from dewpond.parts.base import Kind, PartView
from dewpond.parts.cables import CABLE, COIL, MOTOR, USUAL_DRAW, WIRES
from dewpond.physics.electric import conductor_resistance, hot_coil_ratio

ADVISED: Final = 0.05  # share of the voltage that a lead should take at most; common practice, no source [1]
TOLERANCE: Final = 0.10  # share that may be missing at a coil; from memory [1]
HOT: Final = 373.15  # a coil held for long, 80 K over the room; from memory [K]
GUIDES: Final = ("24 AWG", "22 AWG", "20 AWG", "18 AWG")  # leads that are at hand; others are told by their section
METRIC: Final = ("0.25 mm2", "0.5 mm2", "0.75 mm2", "1 mm2")
VOLTAGE: Final = "voltage"  # key of a small supply


@dataclass(frozen=True)
class Lead:
    """A part and its lead.

    power [W], voltage [V]: as printed, or taken where ``drawn_told`` is false. length [m], gauge: None where the file
    does not say. gives: voltage of the supply that it hangs on, None where that does not say [V].
    coil: what it drives is a coil, which pulls less when it is hot.
    """

    part: str
    coil: bool
    power: float
    voltage: float
    drawn_told: bool
    length: float | None
    gauge: str | None
    gives: float | None

    @property
    def current(self) -> float:
        """At its own voltage [A]: as much as it draws at most."""
        return self.power / self.voltage

    @property
    def loop(self) -> float:
        """Resistance of both conductors [ohm]; 0 where the lead is not known."""
        if self.length is None or self.gauge is None:
            return 0.0
        return 2.0 * self.length * conductor_resistance(WIRES[self.gauge])

    @property
    def drop(self) -> float:
        """Lost in both conductors at that current [V]."""
        return self.current * self.loop

    @property
    def share(self) -> float:
        """Of its voltage [1]."""
        return self.drop / self.voltage

    @property
    def hot_pull(self) -> float:
        """Current of a coil that is hot over the one it is made for, with its lead [1]."""
        cold = self.voltage / self.current
        return cold / (cold * hot_coil_ratio(HOT) + self.loop)

    def longest(self, gauge: str, share: float) -> float:
        """The longest lead of that gauge that takes no more than a share of the voltage [m]."""
        return share * self.voltage / (2.0 * self.current * conductor_resistance(WIRES[gauge]))


def leads(design: Design, kinds: Mapping[str, Kind]) -> tuple[Lead, ...]:
    """Of all parts that have a coil, or of which the file says what they draw, how they are wired, or that a small
    supply feeds them."""
    found = []
    for part in design.parts:
        keys = {param.key for param in kinds[part.kind].params}
        key = next((one for one in (COIL, MOTOR) if one in keys), "")
        if not key or CABLE.key not in keys:
            continue
        cable, drawn, supply = part.get(CABLE.key) or {}, part.get(key), _supply(part, design, kinds)
        if key == COIL or cable or drawn or supply is not None:
            gives = None if supply is None else supply.get(VOLTAGE)
            taken = drawn or _usual(gives)
            found.append(
                Lead(
                    part.name,
                    key == COIL,
                    taken["power"],
                    taken["voltage"],
                    bool(drawn),
                    cable.get("length"),
                    cable.get("gauge"),
                    gives,
                )
            )
    return tuple(found)


def _usual(gives: float | None) -> dict[str, float]:
    """What is taken to be drawn where nobody says, at the voltage of the supply."""
    return USUAL_DRAW if gives is None else {**USUAL_DRAW, "voltage": gives}


def _supply(part: PartView, design: Design, kinds: Mapping[str, Kind]) -> PartView | None:
    """The small supply that feeds a part, by itself or through its box; None for any other circuit."""
    driver = part.get("driven by")
    name = part.get("power") or (design.part(driver).get("power") if driver else None)
    circuit = design.part(name) if name else None
    if circuit is None or not any(param.key == VOLTAGE for param in kinds[circuit.kind].params):
        return None
    return circuit

"""Which circuits feed which: what one cut puts out together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from dewpond.design.model import Design
from dewpond.parts.base import Kind, PartView

BRIDGES: Final = ("buffer", "holds for")  # keys of a circuit: how long it goes on when the one before it is dead


def feeders(circuit: str, design: Design, kinds: Mapping[str, Kind]) -> list[str]:
    """A circuit, and those without which it is dead, the nearest first."""
    circuits = {part.name: part for part in design.parts if kinds[part.kind].role == "circuit"}
    found = [circuit]
    for name in found:  # grows while it is walked
        own = circuits[name].get("power") if name in circuits else None
        found += [
            other
            for other, part in circuits.items()
            if other not in found and (other == own or name in (part.get("feeds") or ()))
        ]
    return found


def shared_feed(one: str, other: str, design: Design, kinds: Mapping[str, Kind]) -> str:
    """The nearest circuit without which both are dead; empty when there is none."""
    others = feeders(other, design, kinds)
    return next((name for name in feeders(one, design, kinds) if name in others), "")


def buffered(circuit: str, design: Design, kinds: Mapping[str, Kind], seconds: float) -> bool:
    """Whether a circuit goes on for longer [s] when what feeds it is dead."""
    parts = {part.name: part for part in design.parts}
    return any(bridges(parts[name]) > seconds for name in feeders(circuit, design, kinds) if name in parts)


def bridges(circuit: PartView) -> float:
    """How long a circuit goes on when the one before it is dead [s]."""
    return max(float(circuit.get(key) or 0.0) for key in BRIDGES)

"""What parts say of themselves while they are lowered, kept for the matrix and the people."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from dewpond.parts.base import Lead, PartView


@dataclass
class Actuator:
    """What a box can order: its words at rest and when ordered, its circuit, and who takes over the order of what
    drives it and the signal that the others in its lead let it act."""

    part: PartView
    owner: int
    resting: str
    acting: str
    power: str
    follow: Callable[[int, int], None]


@dataclass
class Box:
    """A controller: its signals, what it keeps through a restart and when it hangs, and whether it is ready (it has
    power, and has waited after a restart)."""

    part: PartView
    owner: int
    powered: int
    alive: int
    keeps_trips: bool
    keeps_counts: bool
    hang_keeps_order: bool
    ready: int
    leads: Callable[[Lead], None]  # told of each part in whose lead it stands
    lets_without_power: bool


@dataclass
class Person:
    """Somebody who notices and acts: signals, times [s], and from how much water on [m3]."""

    part: PartView
    owner: int
    present: int
    awake: int
    hears: int
    brushes_off: int
    reach: float
    sees_after: float
    sees_hidden_after: float
    sees_from: float
    sees_dead_after: float
    shuts: str

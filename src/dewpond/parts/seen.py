"""What a part sees of the design while it is lowered: views of parts, vessels, floors, levels. All SI."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any


@dataclass(frozen=True)
class Level:
    """A height and what it is measured from: ``bottom``, ``rim``, ``floor`` or ``tray``."""

    value: float
    measured: str = "bottom"


@dataclass(frozen=True)
class PartView:
    """A part as its kind's lowering sees it: words and SI numbers, nothing of the file."""

    id: str
    name: str
    kind: str
    values: Mapping[str, Any]
    given: frozenset[str]  # keys the keeper wrote; the rest are defaults

    def __getitem__(self, key: str) -> Any:
        return self.values[key]

    def get(self, key: str) -> Any:
        return self.values.get(key)


@dataclass(frozen=True)
class StoreSpec:
    """A vessel: level table above its bottom [m] -> [m3], rim [m], start level [m]."""

    bottom: float  # [m] above the datum
    heights: tuple[float, ...]
    volumes: tuple[float, ...]  # the first may be above 0: water that is there but cannot be drawn
    rim: float  # [m] above the bottom
    start: float  # [m] above the bottom
    dissolved: float  # [kg/m3] at the start
    place: str  # where water over the rim falls
    mixed_with: str = ""  # a vessel that shares its dissolved matter, because water circulates through both
    tank: bool = False  # animals live in it, so its salinity is part of what a failure does
    settles_to: float = 0.0  # up to here its start gives way to the mark of what fills it [m]; 0: its start was told

    @property
    def area_at_rim(self) -> float:
        """Its open top [m2]; the surface of its water where its walls are upright."""
        return (self.volumes[-1] - self.volumes[-2]) / (self.heights[-1] - self.heights[-2])

    def level_at(self, volume: float) -> float:
        """The level at which it holds a volume [m3] -> [m]; as if its walls went on above the rim."""
        row = max(1, sum(held < volume for held in self.volumes[:-1]))
        low, high = self.heights[row - 1], self.heights[row]
        under, over = self.volumes[row - 1], self.volumes[row]
        return low + (volume - under) * (high - low) / (over - under)

    def volume_at(self, level: float) -> float:
        """Water in it at a level above its bottom [m] -> [m3]; the last stretch of the table goes on above its end."""
        row = max(1, sum(height < level for height in self.heights[:-1]))
        low, high = self.heights[row - 1], self.heights[row]
        under, over = self.volumes[row - 1], self.volumes[row]
        return under + (level - low) * (over - under) / (high - low)


@dataclass(frozen=True)
class Lead:
    """A box in the lead of a part that obeys orders: the part, the signal with which the box lets it act, the order
    that arrives in the end, and whether this box gives it (or only takes it away)."""

    part: str
    lets: int
    order: int
    starts: bool


@dataclass(frozen=True)
class Floor:
    """How water lies in a place: its area [m2], thickness of a puddle [m], and what it holds before water goes on [m3]
    (``math.inf``: it goes nowhere); ``ours``: whether those who live in the house see what lies there; ``measured``:
    what it holds was measured, not worked out."""

    area: float
    film: float
    holds: float
    ours: bool = True
    measured: bool = False


def settled(specs: Mapping[str, StoreSpec], stops: Iterable[tuple[str, float]]) -> dict[str, StoreSpec]:
    """Vessels whose start is a guess begin where what fills them stops (vessel, level above its bottom [m]); of
    several that fill one, at the mark of the one that stops first. A mark that the water never reaches says nothing."""
    marks: dict[str, float] = {}
    for vessel, level in stops:
        marks[vessel] = min(marks.get(vessel, level), level)
    return {
        name: replace(spec, start=marks[name]) if 0.0 <= marks.get(name, -1.0) < spec.settles_to else spec
        for name, spec in specs.items()
    }

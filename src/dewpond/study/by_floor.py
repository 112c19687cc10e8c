"""What is kept of a run that was made on many floors, all of which fit the plan of a room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from dewpond.plant.consequence import Consequence
from dewpond.plant.plant import Lying

SAME: Final = 1e-9  # weights that differ by less are the same [1]
Source = tuple[str, str]  # a part and the place in which its water gets out: a leak site of the floor


class AskedFor(NamedTuple):
    """From which leak the water of a place is taken to come. site: None where the plan knows none for it; source: the
    part or place that brings most of it; others: what brings the rest."""

    place: str
    site: Source | None
    source: str
    others: tuple[str, ...]


class ProbeWets(NamedTuple):
    """A probe that water may reach: what lies in its place when it does, by floor [m3], inf: never.

    measured: the keeper has poured and measured, which counts on every floor; litres is empty then.
    """

    part: str
    place: str
    litres: tuple[float, ...]
    measured: bool


@dataclass(frozen=True)
class Group:
    """Floors on which the same happens in the same order: their numbers, their share of the weight [1], the outcome in
    the middle of them, and those with least and most water on floors."""

    members: tuple[int, ...]
    share: float
    told: Consequence
    least: Consequence
    most: Consequence


@dataclass(frozen=True)
class ByFloor:
    """One drill on the floors that fit.

    weights  of all floors, sum 1; ran: numbers of those that were run; every: these are all that have some weight, else
             those on which the probes are reached first and last, which came to the same
    member   number of the floor that is told, lying: that floor
    asked    from which leak the water of each place comes on it
    probes   those that water may reach
    groups   the most likely one first
    least, middle, most  outcomes by the water on floors
    cap      litres up to which floors were followed [m3]
    running, unnoticed   share of the weight on which water runs on to the end, and on which nothing ever notices [1]
    """

    weights: tuple[float, ...]
    ran: tuple[int, ...]
    every: bool
    member: int
    lying: Lying
    asked: tuple[AskedFor, ...]
    probes: tuple[ProbeWets, ...]
    groups: tuple[Group, ...]
    least: Consequence
    middle: Consequence
    most: Consequence
    cap: float
    running: float
    unnoticed: float

    @property
    def alike(self) -> bool:
        """Whether all floors weigh the same, so that they can be counted."""
        return max(self.weights) - min(self.weights) < SAME


def middle_of(values: Sequence[float], weights: Sequence[float]) -> int:
    """Position of the value below and above which half of the weight lies; of two in the middle the lower."""
    half, passed = 0.5 * sum(weights) * (1.0 - SAME), 0.0
    order = sorted(range(len(values)), key=lambda k: values[k])
    for k in order:
        passed += weights[k]
        if passed >= half:
            return k
    return order[-1]


def share_of(chosen: Sequence[bool], weights: Sequence[float]) -> float:
    """Share of the weight of those that are chosen [1]."""
    return sum(weight for taken, weight in zip(chosen, weights, strict=True) if taken) / sum(weights)

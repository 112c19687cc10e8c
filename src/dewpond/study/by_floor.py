"""What is kept of a run that was made on many floors, all of which fit the plan of a room."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from dewpond.plant.consequence import Consequence
from dewpond.plant.moments import NOT_A_FLOOD
from dewpond.plant.plant import Lying
from dewpond.plant.stopping import BEFORE_IT_CAME
from dewpond.study.drained import taken

Source = tuple[str, str]  # a part and the place in which its water gets out: a leak site of the floor


class AskedFor(NamedTuple):
    """From which leak the water of a place is taken to come. site: None where the plan knows none for it; source: the
    part or place that brings most of it; others: what brings the rest; rate: of the leak, on average [m3/s]."""

    place: str
    site: Source | None
    source: str
    others: tuple[str, ...]
    rate: float = 0.0


class ProbeWets(NamedTuple):
    """A probe that water may reach: what lies in its place when it does, by floor [m3], inf: never.

    measured: the keeper has poured and measured, which counts on every floor; litres is empty then.
    """

    part: str
    place: str
    litres: tuple[float, ...]
    measured: bool


class End(NamedTuple):
    """How a run ends, in all that a keeper would see but litres, times and salinities.

    wet         places that get water, trays too; drains: those that take more than a spoonful off a floor
    noticed_by  who or what notices first; known: whether a person ever hears of it
    running     whether water runs to the end, or keeps coming back; stopped_by: what ends it else
    again       whether it begins again after it was ended
    dry, empty  tank whose return pump draws air, and vessel that runs empty
    overdosed   part through which more went than a tank bears; bare: tanks that are empty at the end
    """

    wet: frozenset[str]
    noticed_by: str | None
    known: bool
    running: bool
    stopped_by: str | None
    again: bool
    dry: str | None
    empty: str | None
    overdosed: str | None
    bare: tuple[str, ...]
    drains: frozenset[str] = frozenset()

    @classmethod
    def of(cls, told: Consequence) -> End:
        """Of one run."""
        return cls(
            frozenset(place for place, volume in told.by_place.items() if volume > NOT_A_FLOOD),
            told.noticed_by,
            told.first_known is not None,
            told.still_running,
            told.stopped_by and told.stopped_by.removesuffix(BEFORE_IT_CAME),
            told.reopenings > 0,
            told.return_pump_dry_of,
            told.reservoir_empty_of,
            told.overdosed_by,
            tuple(tank.tank for tank in told.tanks if tank.end is None),
            frozenset(drain for drain, _ in taken(told, told.by_place).values()),
        )


@dataclass(frozen=True)
class Group:
    """Floors on which the same happens in the same order: their numbers, and the outcome on each."""

    members: tuple[int, ...]
    told: tuple[Consequence, ...]


@dataclass(frozen=True)
class ByFloor:
    """One drill on the floors that fit, each as likely as the others.

    count    of all floors; ran: numbers of those that were run: all, or the outer ones, which came to the same: on them
             the probes are reached first and last, and each place takes least and most
    member   number of the floor that is told, see ``branches.most_alike``, of these the one with the middle litres;
             lying: that floor
    asked    from which leak the water of each place comes on it
    probes   those that water may reach
    groups   of the floors that were run, the largest first
    cap      litres up to which floors were followed [m3]
    """

    count: int
    ran: tuple[int, ...]
    member: int
    lying: Lying
    asked: tuple[AskedFor, ...]
    probes: tuple[ProbeWets, ...]
    groups: tuple[Group, ...]
    cap: float

    @property
    def every(self) -> bool:
        """Whether all floors were run."""
        return len(self.ran) == self.count

    @property
    def told(self) -> tuple[Consequence, ...]:
        """The outcomes of all floors that were run."""
        return tuple(one for group in self.groups for one in group.told)

    @property
    def ways(self) -> dict[tuple[str, str], int]:
        """(place, place or drain to which it passes on water) -> on how many floors that were run it does."""
        passed = [(one, to[0]) for told in self.told for one, to in told.onward.items() if to[1] > NOT_A_FLOOD]
        return dict(Counter(passed))

    @property
    def running(self) -> float:
        """Share of the floors on which water runs to the end [1]."""
        return share_of([one.still_running for one in self.told])

    @property
    def unnoticed(self) -> float:
        """Share of the floors on which nobody and nothing ever notices [1]."""
        return share_of([one.first_noticed is None for one in self.told])


def rate_into(place: str, told: Consequence) -> float:
    """How fast water came into a place, on average from the first of all water to the last [m3/s]."""
    last = told.horizon if told.still_running or told.stopped is None else told.stopped
    lasted = last - (told.first_water or 0.0)
    return told.by_place.get(place, 0.0) / lasted if lasted > 0.0 else 0.0


def by_water(told: Sequence[Consequence]) -> tuple[Consequence, Consequence, Consequence]:
    """The outcomes with the least, the middle and the most water on floors."""
    water = [one.on_floors for one in told]
    return told[water.index(min(water))], told[middle_of(water)], told[water.index(max(water))]


def middle_of(values: Sequence[float]) -> int:
    """Position of the value in the middle; of two the lower."""
    return sorted(range(len(values)), key=lambda k: values[k])[(len(values) - 1) // 2]


def share_of(chosen: Sequence[bool]) -> float:
    """Share of those that are chosen [1]."""
    return sum(chosen) / len(chosen)

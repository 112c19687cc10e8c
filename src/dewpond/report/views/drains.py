"""Water that ends in a drain: straight from the plumbing, or off a floor; and what no drain takes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from dewpond.design.model import Design
from dewpond.plant.consequence import Consequence
from dewpond.plant.moments import NOT_A_FLOOD
from dewpond.study import drained
from dewpond.study.outcome import WASTED, Outcome, StudyResult, wasted

SPOONFUL = NOT_A_FLOOD
LARGE = 15.0  # so many times what the membrane makes is clearly more than a membrane wastes [1]; our prior
MOSTLY_DRAWN = 2.0  # what goes to a drain came from the supply, where it is no more than so many times that [1]
STANDING = 0.1  # water does not stand deeper in a room: it leaves by doors, or downwards [m]; our prior
LEAVES = "leaves by doors or into what lies below"


@dataclass(frozen=True)
class Ground:
    """What runs are held against.

    floors  rooms, whose floors people walk on
    usual   who -> what goes straight to the drain in the run in which nothing fails [m3]
    holds   room -> standing water of STANDING over its area [m3]
    """

    floors: frozenset[str]
    usual: Mapping[str, float]
    holds: Mapping[str, float] = field(default_factory=dict)

    @classmethod
    def of(cls, design: Design, normal: Sequence[Outcome] = ()) -> Ground:
        """``normal``: the runs in which nothing fails, as far as they are known."""
        rooms = {name: math.prod(design.part(name)["size"]) * STANDING for name in drained.rooms(design)}
        return cls(frozenset(rooms), {o.who: o.told.water.to_drain for o in normal}, rooms)

    @classmethod
    def under(cls, result: StudyResult) -> Ground:
        """For the outcomes of a study."""
        return cls.of(result.design, result.normal)

    def taken(self, told: Consequence) -> dict[str, tuple[str, float]]:
        """Room -> the drain in its floor, and what that took [m3]."""
        return drained.taken(told, self.floors)

    def undrained(self, told: Consequence) -> float:
        """What came onto floors and was taken by no drain: it lay there, dried, or left by doors or downwards [m3]."""
        return drained.undrained(told, self.floors)

    def most(self, outcome: Outcome) -> float:
        """The same on the worst of the floors that fit [m3]."""
        return max(self.undrained(told) for told in outcome.each)

    def most_taken(self, outcome: Outcome) -> float:
        """What drains take off floors, where that is most [m3]."""
        return max(sum(volume for _, volume in self.taken(told).values()) for told in outcome.each)

    def wetted(self, outcome: Outcome) -> dict[str, int]:
        """Room that gets wet -> on how many of the floors that were run; the oftenest first."""
        found: dict[str, int] = {}
        for told in outcome.each:
            for place, volume in told.by_place.items():
                if place in self.floors and volume > SPOONFUL:
                    found[place] = found.get(place, 0) + 1
        return dict(sorted(found.items(), key=lambda row: -row[1]))

    def lying(self, told: Consequence) -> dict[str, float]:
        """Room -> what it got and did not pass on to another place or a drain [m3]; what dried there is in it."""
        kept = {
            place: volume - told.onward.get(place, ("", 0.0))[1]
            for place, volume in told.by_place.items()
            if place in self.floors
        }
        return {place: volume for place, volume in kept.items() if volume > SPOONFUL}

    def overfull(self, told: Consequence) -> tuple[str, ...]:
        """Rooms that got more than could stand STANDING deep in them, all that dried or went on set aside."""
        kept = {
            place: v - told.onward.get(place, ("", 0.0))[1] - told.water.dried for place, v in told.by_place.items()
        }
        return tuple(place for place, volume in kept.items() if volume > self.holds.get(place, math.inf))

    def wasted(self, told: Consequence) -> float:
        """What goes straight to the drain, where that is clearly more than when nothing fails, else 0 [m3]."""
        usual = self.usual.get(told.who)
        return 0.0 if usual is None else wasted(told, usual)

    def large(self, told: Consequence) -> bool:
        """Whether clearly more goes to the drain than a membrane wastes, where no other run is known; not what comes
        out of the vessels, as old water does that is replaced."""
        drawn, gone = told.water.supply, told.water.to_drain
        made = max(drawn - gone, 0.0)
        return told.who not in self.usual and gone < MOSTLY_DRAWN * drawn and gone > max(LARGE * made, WASTED)

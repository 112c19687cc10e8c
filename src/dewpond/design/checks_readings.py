"""Findings about what was read of a floor: readings that lie elsewhere, that no floor gives, or that contradict."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import combinations
from typing import Final

from dewpond.design import messages_floors as m
from dewpond.design.desk import listed
from dewpond.design.drawn import MOST_CORNERS, NEAR, PROBE, Drawn, check_spots, usable
from dewpond.design.geometry import crossing, depth, extent, flat
from dewpond.design.plan import PROBE_OF, Area, Read, Spot
from dewpond.parts.base import PartView
from dewpond.physics.film import SURFACES
from dewpond.vocabulary import Word

SPREADS: Final = 3.5  # standard deviations by which two readings at one spot do not differ [1]
ONE_SPOT: Final = 0.01  # ends no further apart are one [m]
LONGEST_BATTEN: Final = 6.0  # [m]; our prior
THICKEST: Final = 5.5e-3  # a puddle that nothing wets, 2 a with a = 2.73 mm; de Gennes, Brochard-Wyart, Quere [m]
THINNEST: Final = 0.1e-3  # of water that was poured; our prior, a floor that was wet before holds 0.5 mm [m]
FURTHER: Final = (
    2.0  # times that a cup goes further than water does on such a floor, and is not asked about [1]; our prior:
)
# an ellipse for any shape, a volume by eye, and a floor that is a little damp
DEEPER: Final = 1.25  # the same of how deep it stands [1]; our prior: the same but for the damp
COVERS: Final = "a litre covers"  # key of a room of which it was seen
DEEPEST_HOLLOW: Final = 0.05  # beneath a puddle that was drawn [m]; our prior


def check_readings(drawn: Drawn) -> None:
    """All of them."""
    for number, read in enumerate(drawn.plan.readings, 1):
        _Reading(number, read, drawn).check()
    _contradictions(drawn)


class _Reading:
    def __init__(self, number: int, read: Read, drawn: Drawn) -> None:
        self.number, self.read, self.drawn = number, read, drawn
        self.where = m.READING.format(number=number, where=drawn.where)

    def tell(self, code: str, key: str | None, **words: object) -> None:
        self.drawn.tell(code, self.read.line, key, self.where, **words)

    def check(self) -> None:
        for key, what in (("at", m.READ_HERE), ("from", m.BEGINS), ("to", m.ENDS)):
            if self.read.get(key) is not None:
                check_spots(self.drawn, what, key, self.read.line, (self.read[key],), self.where)
        if self.read.get("from") is not None:
            self._ends(self.read["from"], self.read["to"])
        if self.read.get("puddle") is not None:
            across, up = self.read["puddle"]
            self._film(0.25 * math.pi * across * up, "puddle", 0.0)
        if "poured" in self.read.values and self.read.get("puddle") is None:
            self._pour()

    def _ends(self, start: Spot, end: Spot) -> None:
        length = math.dist(start, end)
        if length <= ONE_SPOT:
            self.tell("D332", "to", spot=self.drawn.at(start))
        elif self.read.get("rises") is not None and length > LONGEST_BATTEN:
            self.tell("D333", "to", length=self.drawn.length(length))

    def _film(self, area: float, key: str, hollow: float) -> None:
        """What was poured, over what it covered [m2]; ``hollow`` what may lie lower there [m]."""
        poured, show = self.read["poured"], self.drawn.house.shown
        film = poured / area
        most = hollow + thickest(self.read["at"], self.drawn)
        puddle = m.A_PUDDLE.format(area=show(area, "area"))
        words = {"poured": show(poured, "volume"), "film": self.drawn.length(two(film)), "drawn": puddle}
        if THINNEST <= film <= most:
            self._usual(film, key, words)
            return
        why = m.TOO_THIN if film < THINNEST else m.TOO_DEEP.format(most=self.drawn.length(most))
        self.tell("D335", key, why=why, **words)

    def _usual(self, film: float, key: str, words: Mapping[str, str]) -> None:
        """The film of a cup [m] against what such a floor holds; a pour runs down a slope and fills hollows."""
        surfaces = [SURFACES[one] for one in _made_of(self.read["at"], self.drawn)]
        if self.read.by != "cup" or not surfaces:
            return
        low = min(one.film[0] + one.soak[0] for one in surfaces)
        high = max(one.film[2] + one.soak[2] for one in surfaces)
        covers = self.drawn.house.views[self.drawn.plan.place].get(COVERS)
        seen = [1e-3 / covers] if isinstance(covers, float) else []
        if not min([low, *seen]) / FURTHER <= film <= max([high, *seen]) * DEEPER:
            length, surface = self.drawn.length, listed(_made_of(self.read["at"], self.drawn))
            self.tell("D355", key, low=length(two(low)), high=length(two(high)), surface=surface, **words)

    def _pour(self) -> None:
        read, show = self.read, self.drawn.house.shown
        outline, probe, after = read.get("outline"), read.get("probe"), read.get("after")
        if outline is not None:
            self._drawn(outline)
        if after is not None and after > read["poured"]:
            self.tell("D337", "after", after=show(after, "volume"), poured=show(read["poured"], "volume"))
        if after is not None and probe is None:
            self.tell("D338", "after")
        elif outline is None and probe is None:
            self.tell("D339", None)
        if probe is not None:
            self._probe(probe, self.drawn.house.views.get(probe))

    def _probe(self, name: str, view: PartView | None) -> None:
        own = view is not None and isinstance(view.get(PROBE), Mapping)
        states = self.drawn.house.found.states.get(name, [])
        if states and not own and Word.WET not in states:
            self.tell("D342", "probe", name=name, states=listed(states))
            return
        spot = f"{PROBE_OF}{name}" if own else name
        if spot not in self.drawn.plan.spots:
            self.tell("D340", "probe", name=spot)

    def _drawn(self, outline: Area) -> None:
        """The puddle whose edge was drawn."""
        at, line = self.read["at"], self.read.line
        if usable(self.drawn, m.PUDDLE, "outline", line, outline, self.where):
            check_spots(self.drawn, m.PUDDLE, "outline", line, outline, self.where)
            far = -depth(at, outline)
            if far > NEAR:
                self.tell("D336", "outline", spot=self.drawn.at(at), far=self.drawn.length(far))
            self._film(extent(outline), "outline", DEEPEST_HOLLOW)


def _contradictions(drawn: Drawn) -> None:
    """Two heights at one spot that differ by far more than either is sure of."""
    heights = [(n, one) for n, one in enumerate(drawn.plan.readings, 1) if one.get("height") is not None]
    for (before, one), (number, other) in combinations(heights, 2):
        if math.dist(one["at"], other["at"]) > NEAR or _level(one["at"], drawn) != _level(other["at"], drawn):
            continue
        spread = math.hypot(one["within"], other["within"])
        differ = abs(one["height"] - other["height"])
        if differ > SPREADS * spread:
            show = drawn.house.shown
            words = {"own": show(other["height"], "height"), "other": show(one["height"], "height"), "number": before}
            words |= {"differ": show(differ, "height"), "expected": show(two(spread), "height")}
            apart = drawn.length(math.dist(one["at"], other["at"]))
            where = m.READING.format(number=number, where=drawn.where)
            drawn.tell("D334", other.line, "height", where, apart=apart, **words)


def _made_of(spot: Spot, drawn: Drawn) -> list[str]:
    """What the floor is made of at a spot, near the edge of a patch of either, as far as the file says it."""
    room = drawn.house.views.get(drawn.plan.place)
    patches = [(depth(spot, one.area), one.surface) for one in drawn.plan.patches if one.surface]
    made = [surface for deep, surface in patches if deep >= -NEAR]
    if all(deep <= NEAR for deep, _ in patches) and room:
        made.insert(0, str(room.get("floor")))
    return [one for one in dict.fromkeys(made) if one in SURFACES]


def thickest(spot: Spot, drawn: Drawn) -> float:
    """The most that water stands at a spot, with what the floor takes up there [m]."""
    return THICKEST + max((SURFACES[one].soak[2] for one in _made_of(spot, drawn)), default=0.0)


def sound(area: Area) -> bool:
    """Whether an area can be reckoned with; ``usable`` tells why not."""
    return len(area) <= MOST_CORNERS and not flat(area) and crossing(area) is None


def two(figure: float) -> float:
    """Two digits of a figure."""
    return float(f"{figure:.1e}")


def _level(spot: Spot, drawn: Drawn) -> float:
    """How much higher than the room a spot lies by the patches."""
    return sum(one.raised for one in drawn.plan.patches if depth(spot, one.area) >= 0.0)

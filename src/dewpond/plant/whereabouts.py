"""Of a house under construction, where its parts are: rooms, heights, and what a season makes of them."""

from __future__ import annotations

from dewpond.parts import KINDS
from dewpond.parts.base import Level, PartView
from dewpond.physics import water
from dewpond.plant.measured import Measured

PLACES = ("place", "drain")


class Whereabouts(Measured):
    """The half of ``parts.lowering.Lowering`` that asks only where something is."""

    season_name: str
    water: float
    rho: float

    def role(self, part: PartView) -> str:
        return KINDS[part.kind].role

    def season(self, name: str, place: str = "") -> float:
        if name == "water":
            return float(self.water)
        if name in ("dissolved", "supply"):
            if self.supply is None:
                return 0.0
            if name == "dissolved":
                return float(self.supply["dissolved solids"])
            return float(self.supply["pressure"] + self.rho * water.G * self._height_of(self.supply))
        key = {"air": "air temperature", "humidity": "air humidity"}[name]
        room = self._room(self.views.get(place or self._place_of(self.current)))
        return float(room[key][self.season_name]) if room else {"air": 295.15, "humidity": 0.5}[name]

    def _room(self, at: PartView | None) -> PartView | None:
        """The room that a place is, or lies in."""
        while at is not None and "air temperature" not in at.values:
            at = self.views.get(str(at.get("in")))
        return at

    def _place_of(self, part: PartView) -> str:
        """Where a part is: itself, if it is a place; what it says; or, of a vessel, what it said of itself."""
        if self.role(part) in PLACES:
            return part.name
        spec = self.specs.get(part.name)
        return str(part.get("in") or (spec.place if spec else ""))

    def _height_of(self, part: PartView) -> float:
        """Height of a part above the datum [m]; one that is in no place stands by the datum itself."""
        return (self.place_height(part["in"]) if part.get("in") else 0.0) + float(part.get("height") or 0.0)

    def part(self, name: str) -> PartView:
        return self.views[name]

    def place_height(self, place: str) -> float:
        part = self.views[place]
        if part.get("floor height") is not None:
            return float(part["floor height"])
        return self.place_height(part["in"]) if part.get("in") else 0.0

    def height(self, part: PartView, level: Level, vessel: str = "") -> float:
        if level.measured in ("bottom", "rim"):
            name = vessel or part.name
            return self.specs[name].bottom + self.vessel_level(name, level)
        place = self._place_of(part) or (self._place_of(self.views[vessel]) if vessel else "")
        if level.measured == "floor":
            room = self._room(self.views.get(place))
            place = room.name if room else place
        return (self.place_height(place) if place in self.views else 0.0) + level.value

    def vessel_level(self, vessel: str, level: Level) -> float:
        spec = self.specs[vessel]
        if level.measured == "rim":
            return spec.rim - level.value
        if level.measured == "bottom":
            return level.value
        return self.height(self.views[vessel], level) - spec.bottom

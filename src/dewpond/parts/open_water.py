"""Water that lies open in a vessel and evaporates: what a part says of it, so that a year can be made of it."""

from __future__ import annotations

from dataclasses import dataclass

from dewpond.physics.evaporation import shah_flux
from dewpond.physics.water import density


@dataclass(frozen=True)
class OpenWater:
    """The open water of one vessel, in the air of one season.

    vessel          the vessel that it evaporates from
    area [m2]       open water; ``lets``: share of it that what covers it leaves [1]
    moved           factor for how much the water is moved [1]
    water [K]       its temperature; ``salinity`` [g/kg]
    air [K]         of its room in this season; ``humidity`` [1]
    told [m3/s]     what the keeper says that evaporates; None: reckoned
    """

    vessel: str
    area: float
    lets: float
    moved: float
    water: float
    salinity: float
    air: float
    humidity: float
    told: float | None = None

    @property
    def reckoned(self) -> float:
        """What evaporates by Shah's law for still water, times movement, cover and area [m3/s]."""
        still = shah_flux(self.water, self.air, self.humidity, self.salinity) / density(self.water)
        return still * self.moved * self.lets * self.area

    @property
    def rate(self) -> float:
        """What evaporates: as told, else as reckoned [m3/s]."""
        return self.reckoned if self.told is None else self.told

"""What the columns of a log of readings may hold."""

from __future__ import annotations

from typing import Final, NamedTuple


class Column(NamedTuple):
    """What a column may hold: quantity, least and most [SI], an example with a unit, and other words for it."""

    quantity: str
    low: float
    high: float
    example: str
    also: str


COLUMNS: Final[dict[str, Column]] = {
    "top-off": Column(
        "volume", 0.0, 0.5, "top-off (L)",
        "top off|topoff|top-up|top up|topped up|topped off|added|water added|refill|refilled|dose|dosed|volume|litres|"
        "liters|gallons",
    ),
    "days": Column("count", 0.2, 60.0, "days", "over days|covers|days covered|span"),
    "air": Column(
        "temperature", 274.15, 313.15, "air (C)", "air temperature|room|room temperature|room temp|air temp"
    ),
    "humidity": Column("humidity", 0.0, 1.0, "humidity (%)", "rh|air humidity|room humidity|relative humidity"),
    "water": Column(
        "temperature", 283.15, 308.15, "water (C)", "tank|tank temperature|water temperature|tank temp|water temp"
    ),
    "supply": Column(
        "temperature", 273.65, 308.15, "supply (C)", "supply temperature|tap|tap water|tap temperature|cold water"
    ),
    "salinity": Column("salinity", 0.0, 42.0, "salinity (ppt)", "salt"),
}  # fmt: skip

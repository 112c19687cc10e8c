"""The only door for units: what people type -> numbers inside the program, and back to text for people."""

from dewpond.units.clock import show_time_of_day, time_of_day
from dewpond.units.showing import ShownUnit, System, in_key_unit, show, shown_unit
from dewpond.units.typed import parse, parse_many, parse_pair

__all__ = [
    "ShownUnit",
    "System",
    "in_key_unit",
    "parse",
    "parse_many",
    "parse_pair",
    "show",
    "show_time_of_day",
    "shown_unit",
    "time_of_day",
]

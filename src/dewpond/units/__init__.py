"""The only door for units: what people type -> numbers inside the program, and back to text for people."""

from dewpond.units.showing import ShownUnit, System, in_key_unit, show, shown_unit
from dewpond.units.typed import parse, parse_many, parse_pair

__all__ = ["ShownUnit", "System", "in_key_unit", "parse", "parse_many", "parse_pair", "show", "shown_unit"]

"""The range a law was fitted on: outside it a number is refused instead of being extrapolated."""

import math


def require(name: str, value: float, low: float, high: float, unit: str) -> None:
    """Refuse a number on which a law was never fitted.

    name: what the number is, for the message.
    value, low, high: the number and the ends of the range, both allowed [unit].
    unit: SI unit of the three.
    Raises ValueError when the value lies outside, or is not a number.

    >>> require("temperature", 350.0, 273.15, 313.15, "K")
    Traceback (most recent call last):
    ValueError: temperature 350 K lies outside 273.15 to 313.15 K, where the law holds
    """
    if not low <= value <= high:
        raise ValueError(f"{name} {value:g} {unit} lies outside {low:g} to {high:g} {unit}, where the law holds")


def require_positive(name: str, value: float, unit: str) -> None:
    """Refuse a number that must be above nothing and finite.

    name: what the number is, for the message.
    value: the number [unit].
    unit: its SI unit.
    Raises ValueError when the value is zero, negative, endless or not a number.

    >>> require_positive("bore", 0.0, "m")
    Traceback (most recent call last):
    ValueError: bore 0 m must be above 0
    """
    if not (value > 0.0 and math.isfinite(value)):
        raise ValueError(f"{name} {value:g} {unit} must be above 0")

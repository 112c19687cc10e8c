"""Where a rising or falling function crosses zero."""

from collections.abc import Callable


def bisect(function: Callable[[float], float], low: float, high: float) -> float:
    """Crossing of zero between two ends, halved down to the last bit.

    Some 60 halvings: slow, but it cannot fail on a continuous function, and its answer depends on nothing but its
    arguments.

    function: continuous on low to high, with opposite signs (or zero) at the two ends.
    low, high: the ends [unit of the argument].
    Returns the crossing [unit of the argument].
    Raises ValueError when both ends have the same sign.
    Source: bisection, any numerical analysis text.

    >>> round(bisect(lambda x: x * x - 2.0, 0.0, 2.0), 12)
    1.414213562373
    """
    at_low, at_high = function(low), function(high)
    if at_low == 0.0:
        return low
    if at_high == 0.0:
        return high
    if (at_low > 0.0) == (at_high > 0.0):
        raise ValueError(f"no change of sign between {low:g} and {high:g}")
    while True:
        middle = 0.5 * (low + high)
        if middle in (low, high):
            return middle
        at_middle = function(middle)
        if at_middle == 0.0:
            return middle
        if (at_middle > 0.0) == (at_low > 0.0):
            low = middle
        else:
            high = middle

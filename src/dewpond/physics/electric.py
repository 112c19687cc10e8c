"""Cables and solenoid coils."""

import math

from dewpond.physics.ranges import require, require_positive

COPPER_RESISTIVITY = 1.7241e-8
"""Annealed copper at 20 degrees Celsius [ohm.m]. Source: International Annealed Copper Standard."""

COPPER_COEFFICIENT = 0.00393
"""Rise of copper's resistance per kelvin, at 20 degrees Celsius [1/K]. Source: IACS (from memory)."""

COPPER_REFERENCE = 293.15


def wire_diameter(gauge: int) -> float:
    """Diameter of a solid wire by its American gauge.

    d = 0.005 in * 92^((36 - n)/39)

    gauge: AWG number, 0 to 40; 2/0 and thicker are outside [1].
    Returns the diameter [m].
    Raises ValueError outside the range.
    Source: ASTM B258 (from memory).

    >>> round(wire_diameter(22) * 1e3, 3)
    0.644
    """
    require("wire gauge", gauge, 0, 40, "AWG")
    return 0.005 * 0.0254 * math.pow(92.0, (36 - gauge) / 39.0)


def conductor_resistance(section: float) -> float:
    """Resistance of a metre of copper at 20 degrees Celsius.

    R/L = rho / A

    section: copper of one conductor, above 0 [m2].
    Returns the resistance [ohm/m].
    Raises ValueError when the section is not above 0.
    Source: IACS.

    >>> round(conductor_resistance(0.5e-6) * 1e3, 1)
    34.5
    """
    require_positive("section", section, "m2")
    return COPPER_RESISTIVITY / section


def wire_resistance(gauge: int) -> float:
    """Resistance of a metre of solid copper wire at 20 degrees Celsius.

    R/L = rho / (pi d^2 / 4)

    gauge: AWG number, 0 to 40 [1].
    Returns the resistance [ohm/m]; stranded wire has 2 to 4 % more (from memory).
    Raises ValueError outside the range.
    Source: IACS; within 0.05 % of the printed table for 18 to 28 AWG.

    >>> round(wire_resistance(22) * 304.8, 2)
    16.14
    """
    diameter = wire_diameter(gauge)
    return conductor_resistance(0.25 * math.pi * diameter * diameter)


def loop_resistance(gauge: int, length: float) -> float:
    """Resistance of a two-wire cable, there and back.

    R = 2 L (R/L)

    gauge: AWG number, 0 to 40 [1].
    length: of the cable, one way, 0 or more [m].
    Returns the resistance at 20 degrees Celsius [ohm].
    Raises ValueError outside the range.
    Source: Ohm's law; both conductors count.

    >>> round(loop_resistance(22, 10.0), 3)
    1.059
    """
    require("cable length", length, 0.0, math.inf, "m")
    return 2.0 * length * wire_resistance(gauge)


def cable_drop(gauge: int, length: float, current: float) -> float:
    """Voltage lost in a two-wire cable.

    dU = I R, both conductors. Usual advice: under 5 % of the supply (common practice, no source).

    gauge: AWG number, 0 to 40 [1].
    length: of the cable, one way [m].
    current: [A].
    Returns the drop [V].
    Raises ValueError outside the range.
    Source: Ohm's law.

    >>> round(cable_drop(22, 10.0, 0.8), 3)
    0.847
    """
    return current * loop_resistance(gauge, length)


def hot_coil_ratio(temperature: float) -> float:
    """Resistance of a copper coil over its resistance at 20 degrees Celsius.

    R/R20 = 1 + 0.00393 (T - 293.15). At a held voltage the current falls by the same ratio, so a valve pulls in worst
    when its coil is hot.

    temperature: of the coil, 233.15 to 473.15 [K].
    Returns the ratio [1].
    Raises ValueError outside the range.
    Source: IACS (from memory).

    >>> round(hot_coil_ratio(373.15), 3)
    1.314
    """
    require("coil temperature", temperature, 233.15, 473.15, "K")
    return 1.0 + COPPER_COEFFICIENT * (temperature - COPPER_REFERENCE)


def lifting_force(pressure: float, seat_diameter: float) -> float:
    """Force of the water on a closed valve seat.

    F = p (pi/4) d^2

    pressure: across the seat [Pa].
    seat_diameter: 0 or more [m].
    Returns the force that coil, spring or float must hold or lift [N].
    Source: F = p A.

    >>> round(lifting_force(4e5, 3e-3), 2)
    2.83
    """
    return pressure * 0.25 * math.pi * seat_diameter * seat_diameter


def largest_seat(force: float, pressure: float) -> float:
    """Widest seat that a given force can lift against a pressure.

    d = [4 F / (pi p)]^0.5

    force: 0 or more [N].
    pressure: above 0 [Pa].
    Returns the diameter [m].
    Raises ValueError when the pressure is not above 0.
    Source: F = p A.

    >>> round(largest_seat(15.0, 1e6) * 1e3, 2)
    4.37
    """
    require_positive("pressure", pressure, "Pa")
    return math.sqrt(4.0 * force / (math.pi * pressure))

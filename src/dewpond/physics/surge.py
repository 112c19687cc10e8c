"""Pressure waves in tubes, and how much water a tube or an air bubble takes up."""

import math

from dewpond.physics.ranges import require, require_positive
from dewpond.physics.water import ATMOSPHERE

WATER_BULK_MODULUS = 2.19e9
"""Stiffness of water at 20 degrees Celsius [Pa]. Source: handbook value (from memory)."""


def wave_speed(
    bore: float,
    wall: float,
    youngs_modulus: float,
    poisson_ratio: float,
    water_density: float,
    bulk_modulus: float = WATER_BULK_MODULUS,
) -> float:
    """Speed of a pressure wave in a thick-walled tube that cannot move lengthwise.

    a = {(K/rho) / [1 + (K D)/(E e) c]}^0.5, c = (2 e/D)(1 + nu) + D/(D + e) (1 - nu^2)

    bore, wall: inside diameter D and wall thickness e, above 0 [m].
    youngs_modulus: of the wall, above 0; polyethylene 0.3e9 to 0.6e9 [Pa].
    poisson_ratio: of the wall, 0 to 0.5; polyethylene 0.45 [1].
    water_density: [kg/m3].
    bulk_modulus: of the water [Pa].
    Returns the speed [m/s].
    Raises ValueError outside the range.
    Source: Wylie and Streeter, Fluid Transients (from memory).

    >>> round(wave_speed(4.318e-3, 1.016e-3, 0.4e9, 0.45, 998.2))
    262
    """
    require_positive("bore", bore, "m")
    require_positive("wall", wall, "m")
    require("Poisson ratio", poisson_ratio, 0.0, 0.5, "1")
    shape = 2.0 * wall / bore * (1.0 + poisson_ratio) + bore / (bore + wall) * (1.0 - poisson_ratio * poisson_ratio)
    softness = 1.0 + bulk_modulus * bore / (youngs_modulus * wall) * shape
    return math.sqrt(bulk_modulus / water_density / softness)


def joukowsky_surge(water_density: float, wave: float, velocity_change: float) -> float:
    """Pressure rise when water is stopped faster than the wave runs to the far end and back.

    dp = rho a dv

    water_density: [kg/m3].
    wave: speed of the pressure wave [m/s].
    velocity_change: how much the water is slowed [m/s].
    Returns the rise [Pa].
    Source: Joukowsky 1898.

    >>> joukowsky_surge(1000.0, 1200.0, 1.0)
    1200000.0
    """
    return water_density * wave * velocity_change


def slow_closing_surge(water_density: float, length: float, velocity_change: float, closing_time: float) -> float:
    """Pressure rise when a valve closes evenly and much slower than the wave runs.

    dp = rho L dv / t

    water_density: [kg/m3].
    length: of the moving column [m].
    velocity_change: how much the water is slowed [m/s].
    closing_time: longer than 2 L over the wave speed [s].
    Returns the rise [Pa].
    Raises ValueError when the closing time is not above 0.
    Source: momentum of a rigid column.

    >>> slow_closing_surge(1000.0, 5.0, 1.0, 0.5)
    10000.0
    """
    require_positive("closing time", closing_time, "s")
    return water_density * length * velocity_change / closing_time


def tube_volume(bore: float, length: float) -> float:
    """Water that stands in a tube.

    V = (pi/4) D^2 L

    bore: inside diameter [m].
    length: [m].
    Returns the volume [m3].
    Source: geometry.

    >>> round(tube_volume(4.318e-3, 1.0) * 1e6, 1)
    14.6
    """
    return 0.25 * math.pi * bore * bore * length


def tube_compliance(
    bore: float, outside_diameter: float, length: float, youngs_modulus: float, poisson_ratio: float
) -> float:
    """Water that a sealed tube takes up for each pascal, by widening.

    dV/dp = V (2/E) [(Do^2 + Di^2) / (Do^2 - Di^2) + nu]

    bore, outside_diameter: Di and Do, Do above Di [m].
    length: [m].
    youngs_modulus: of the wall, above 0 [Pa].
    poisson_ratio: 0 to 0.5 [1].
    Returns the compliance [m3/Pa]; the water itself gives a hundredth of it.
    Raises ValueError when the tube has no wall.
    Source: Lame, open-ended thick cylinder.

    >>> round(tube_compliance(4.318e-3, 6.35e-3, 10.0, 0.3e9, 0.45) * 2.7e5 * 1e6, 2)
    0.84
    """
    require_positive("wall", outside_diameter - bore, "m")
    require_positive("Young's modulus", youngs_modulus, "Pa")
    outer2, inner2 = outside_diameter * outside_diameter, bore * bore
    shape = (outer2 + inner2) / (outer2 - inner2) + poisson_ratio
    return tube_volume(bore, length) * 2.0 / youngs_modulus * shape


def bubble_uptake(bubble_volume: float, pressure_rise: float) -> float:
    """Water that a trapped air bubble makes room for.

    dV = V0 dp / (p0 + dp)

    bubble_volume: of the bubble at atmospheric pressure [m3].
    pressure_rise: above the atmosphere, 0 or more [Pa].
    Returns the volume taken up [m3].
    Source: Boyle's law at 101325 Pa.

    >>> round(bubble_uptake(100e-6, 2.7e5) * 1e6, 1)
    72.7
    """
    return bubble_volume * pressure_rise / (ATMOSPHERE + pressure_rise)

"""Pure water at one atmosphere: density, viscosity, surface tension."""

import math

from dewpond.physics.ranges import require

G = 9.80665
"""Standard gravity [m/s2]. Source: defined, 3rd General Conference on Weights and Measures 1901."""

ATMOSPHERE = 101325.0
"""Standard atmosphere [Pa]. Source: defined."""

ZERO_CELSIUS = 273.15
"""0 degrees Celsius [K]. Source: defined."""

COLDEST, WARMEST = 273.15, 313.15
"""Ends of the range in which the density polynomial was fitted [K]."""

VISCOSITY_FIT = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))


def celsius_1968(temperature: float) -> float:
    """Temperature on the scale of 1968, in which the older equations of sea water are written.

    t68 = 1.00024 t90

    temperature: on today's scale ITS-90 [K].
    Returns degrees Celsius on IPTS-68 [1]; the two scales differ by 0.006 at 25 degrees Celsius.
    Source: Saunders 1990, WOCE Newsletter 10 (from memory); the same factor stands in the TEOS-10 manual.

    >>> round(celsius_1968(298.15), 3)
    25.006
    """
    return 1.00024 * (temperature - ZERO_CELSIUS)


def density(temperature: float) -> float:
    """Density of pure water at one atmosphere.

    Polynomial of the fifth degree in t68 (standard mean ocean water), the first term of EOS-80.

    temperature: 273.15 to 313.15 [K].
    Returns the density [kg/m3]; within 0.001 % of IAPWS-95.
    Raises ValueError outside the range.
    Source: Bigg 1967, as adopted in UNESCO Technical Papers in Marine Science 44 (1983).

    >>> round(density(293.15), 2)
    998.21
    """
    require("water temperature", temperature, COLDEST, WARMEST, "K")
    t = celsius_1968(temperature)
    return 999.842594 + t * (
        6.793952e-2 + t * (-9.095290e-3 + t * (1.001685e-4 + t * (-1.120083e-6 + t * 6.536332e-9)))
    )


def viscosity(temperature: float) -> float:
    """Dynamic viscosity of pure water at one atmosphere.

    mu = 1e-6 [280.68 x^-1.9 + 511.45 x^-7.7 + 61.131 x^-19.6 + 0.45903 x^-40], x = T/300

    The short fit 2.414e-5 * 10^(247.8/(T-140)) of many handbooks is 1.1 % low at 5 degrees Celsius, hence this one.

    temperature: 273.15 to 313.15 [K].
    Returns the viscosity [Pa.s]; within 0.01 % of IAPWS R12-08 at the rows of the check file.
    Raises ValueError outside the range.
    Source: IAPWS SR6-08(2011), liquid water at 0.1 MPa (Patek et al. 2009); coefficients from memory, confirmed by
    the R12-08 rows of the check file.

    >>> round(viscosity(298.15) * 1e6, 1)
    890.0
    """
    require("water temperature", temperature, COLDEST, WARMEST, "K")
    x = temperature / 300.0
    return 1e-6 * sum(a * math.pow(x, b) for a, b in VISCOSITY_FIT)


def surface_tension(temperature: float) -> float:
    """Surface tension of pure water against air.

    sigma = 0.2358 t^1.256 (1 - 0.625 t), t = 1 - T/647.096. Detergent and dirt lower it.

    temperature: 273.15 to 313.15 [K] here; the fit itself reaches the critical point.
    Returns the surface tension [N/m].
    Raises ValueError outside the range.
    Source: IAPWS R1-76(2014); constants from memory, confirmed by 72.74 mN/m at 20 degrees Celsius.

    >>> round(surface_tension(293.15) * 1e3, 2)
    72.74
    """
    require("water temperature", temperature, COLDEST, WARMEST, "K")
    t = 1.0 - temperature / 647.096
    return 0.2358 * math.pow(t, 1.256) * (1.0 - 0.625 * t)


def head_pressure(height: float, water_density: float) -> float:
    """Pressure of a standing column.

    p = rho g h

    height: of the column, negative when the point lies above the level [m].
    water_density: above 0 [kg/m3].
    Returns the pressure [Pa].
    Source: hydrostatics.

    >>> round(head_pressure(1.0, 998.207))
    9789
    """
    return water_density * G * height

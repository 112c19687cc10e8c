"""Sea water: density, hydrometer and conductivity readings, and the two scales of salinity.

Salinity is grams of salt per kilogram of sea water throughout; the older laws are written in practical salinity, which
is smaller by 0.5 %, and convert inside.
"""

import math

from dewpond.physics.ranges import require
from dewpond.physics.roots import bisect
from dewpond.physics.water import ZERO_CELSIUS, celsius_1968
from dewpond.physics.water import density as fresh_density

GLASS_EXPANSION = 25e-6
"""Volume expansion of a hydrometer's soda glass [1/K]. Source: handbook value (from memory)."""

FOUR_CELSIUS = ZERO_CELSIUS + 4.0
SIXTY_FAHRENHEIT = ZERO_CELSIUS + 140.0 / 9.0
"""The two old reference temperatures of hydrometers [K]; many are made for 25 degrees Celsius instead."""

MOST_SALT = 42.0
"""Highest salinity for which the laws hold [g/kg]."""

STANDARD_CONDUCTIVITY = 4.2914
"""Conductivity of sea water of salinity 35 at 15 degrees Celsius, IPTS-68 [S/m].
Source: PSS-78, Culkin and Smith 1980."""

LEAST_CONDUCTING = 2.0
"""Lowest salinity for which the practical scale is defined [g/kg]."""

RATIO_A = (0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081)
RATIO_B = (0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144)
WARMTH_C = (0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9)


def absolute_salinity(practical_salinity: float) -> float:
    """Salt in a kilogram of standard sea water.

    S_A = (35.16504/35) S_P

    practical_salinity: on the scale of PSS-78, 0 to 42 [1].
    Returns the salinity [g/kg]. Artificial salt differs a little in its ions: show no more than one decimal.
    Source: TEOS-10 manual (IOC, SCOR and IAPSO 2010).

    >>> round(absolute_salinity(35.0), 5)
    35.16504
    """
    return practical_salinity * (35.16504 / 35.0)


def practical_salinity(salinity: float) -> float:
    """Salinity on the practical scale: absolute_salinity turned round.

    S_P = (35/35.16504) S_A

    salinity: 0 to 42 [g/kg].
    Returns the practical salinity [1].
    Source: TEOS-10 manual (IOC, SCOR and IAPSO 2010).

    >>> round(practical_salinity(35.16504), 6)
    35.0
    """
    return salinity * (35.0 / 35.16504)


def density(salinity: float, temperature: float) -> float:
    """Density of sea water at one atmosphere.

    rho = rho_0 + b S + c S^1.5 + d S^2, S practical salinity, rho_0 of pure water, b and c polynomials in t68

    salinity: 0 to 42 [g/kg].
    temperature: 273.15 to 313.15 [K].
    Returns the density [kg/m3]; within 0.01 kg/m3 of TEOS-10 here.
    Raises ValueError outside the range.
    Source: EOS-80, Millero and Poisson 1981, in UNESCO Technical Papers in Marine Science 44 (1983).

    >>> round(density(35.165, 298.15), 2)
    1023.34
    """
    require("salinity", salinity, 0.0, MOST_SALT, "g/kg")
    t = celsius_1968(temperature)
    s = practical_salinity(salinity)
    b = 8.24493e-1 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)))
    c = -5.72466e-3 + t * (1.0227e-4 + t * -1.6546e-6)
    return fresh_density(temperature) + s * (b + c * math.sqrt(s) + 4.8314e-4 * s)


def salinity_of_density(water_density: float, temperature: float) -> float:
    """Salinity from a density.

    density solved for the salinity

    water_density: between that of pure water and of salinity 42 at this temperature [kg/m3].
    temperature: 273.15 to 313.15 [K].
    Returns the salinity [g/kg].
    Raises ValueError when no salinity from 0 to 42 has this density.
    Source: EOS-80.

    >>> round(salinity_of_density(1023.343, 298.15), 2)
    35.17
    """
    low, high = density(0.0, temperature), density(MOST_SALT, temperature)
    require("density", water_density, low, high, "kg/m3")
    return bisect(lambda s: density(s, temperature) - water_density, 0.0, MOST_SALT)


def hydrometer_reading(salinity: float, temperature: float, glass_reference: float, water_reference: float) -> float:
    """What a floating hydrometer shows.

    r = rho(S, T) / rho_0(T_w) * [1 + 25e-6 (T - T_g)]

    Without the glass term (T = T_g) this is the specific gravity T_g/T_w, as in "25/25".

    salinity: 0 to 42 [g/kg].
    temperature: of the water in which it floats, 273.15 to 313.15 [K].
    glass_reference: T_g, the temperature for which the glass was made: the first of the two on its label [K].
    water_reference: T_w, the temperature of the pure water it compares with: the second [K].
    Returns the reading [1].
    Raises ValueError outside the range.
    Source: law of floating bodies; density by EOS-80.

    >>> round(hydrometer_reading(35.165, 298.15, 298.15, 298.15), 4)
    1.0264
    """
    glass = 1.0 + GLASS_EXPANSION * (temperature - glass_reference)
    return density(salinity, temperature) / fresh_density(water_reference) * glass


def salinity_of_hydrometer(reading: float, temperature: float, glass_reference: float, water_reference: float) -> float:
    """Salinity from a hydrometer's reading.

    hydrometer_reading solved for the salinity. One reading of 1.025 at 25 degrees Celsius means 33.3 g/kg on a 25/25
    scale, 35.7 on 60/60 F and 37.3 on 25/4: the label must be known.

    reading: 1 to 1.035 [1].
    temperature: of the water in which it floats, 273.15 to 313.15 [K].
    glass_reference, water_reference: first and second temperature on its label [K].
    Returns the salinity [g/kg].
    Raises ValueError when no salinity from 0 to 42 gives this reading.
    Source: as hydrometer_reading.

    >>> round(salinity_of_hydrometer(1.025, 298.15, 298.15, 298.15), 1)
    33.3
    """
    glass = 1.0 + GLASS_EXPANSION * (temperature - glass_reference)
    return salinity_of_density(reading * fresh_density(water_reference) / glass, temperature)


def salinity_of_conductivity(conductivity: float, temperature: float, sea_pressure: float = 0.0) -> float:
    """Salinity from conductivity, by the definition of the practical scale.

    Rt = R / (Rp rt), S = sum a_i Rt^(i/2) + (t-15)/(1 + 0.0162 (t-15)) sum b_i Rt^(i/2), R over 4.2914 S/m

    conductivity: as measured, not compensated for temperature [S/m].
    temperature: of the water, 271.15 to 308.15 [K]; the scale's own check values reach 313.15.
    sea_pressure: above the atmosphere; 0 in a tank, and needed by the scale's check values only [Pa].
    Returns the salinity [g/kg].
    Raises ValueError when the answer lies outside 2 to 42: fresher water needs another law.
    Source: PSS-78, UNESCO Technical Papers in Marine Science 44 (1983).

    >>> round(salinity_of_conductivity(5.307, 298.15), 2)
    35.16
    """
    practical = _scale(conductivity / STANDARD_CONDUCTIVITY, celsius_1968(temperature), sea_pressure / 1e4)
    require("salinity", absolute_salinity(practical), LEAST_CONDUCTING, MOST_SALT, "g/kg")
    return absolute_salinity(practical)


def conductivity_of_salinity(salinity: float, temperature: float) -> float:
    """Conductivity of sea water at one atmosphere.

    salinity_of_conductivity turned round

    salinity: 2 to 42 [g/kg].
    temperature: 271.15 to 308.15 [K].
    Returns the conductivity [S/m]; 1 S/m is 10 mS/cm.
    Raises ValueError outside the range.
    Source: PSS-78.

    >>> round(conductivity_of_salinity(35.165, 298.15), 3)
    5.307
    """
    require("salinity", salinity, LEAST_CONDUCTING, MOST_SALT, "g/kg")
    t68 = celsius_1968(temperature)
    ratio = bisect(lambda r: _scale(r, t68, 0.0) - practical_salinity(salinity), 0.01, 4.0)
    return ratio * STANDARD_CONDUCTIVITY


def _scale(ratio: float, t68: float, decibar: float) -> float:
    """Practical salinity from the conductivity ratio, without a check of the range."""
    c0, c1, c2, c3, c4 = WARMTH_C
    warmth = c0 + t68 * (c1 + t68 * (c2 + t68 * (c3 + t68 * c4)))
    depth = decibar * (2.070e-5 + decibar * (-6.370e-10 + decibar * 3.989e-15))
    squeeze = 1.0 + depth / (1.0 + t68 * (3.426e-2 + 4.464e-4 * t68) + (4.215e-1 - 3.107e-3 * t68) * ratio)
    root = math.sqrt(ratio / (squeeze * warmth))
    main = sum(a * root**i for i, a in enumerate(RATIO_A))
    correction = sum(b * root**i for i, b in enumerate(RATIO_B))
    return main + (t68 - 15.0) / (1.0 + 0.0162 * (t68 - 15.0)) * correction

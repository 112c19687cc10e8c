"""Evaporation from open water in a room: air, laws of mass transfer, and the factors a household needs."""

import math
from typing import NamedTuple

from dewpond.physics.ranges import require, require_positive
from dewpond.physics.seawater import MOST_SALT, practical_salinity
from dewpond.physics.water import ATMOSPHERE, ZERO_CELSIUS, G

MASS_RATIO = 0.621945
"""Molar mass of water over that of dry air [1]. Source: ASHRAE Fundamentals 2017, chapter 1."""

DRY_AIR_GAS_CONSTANT = 287.042
"""Gas constant of dry air [J/(kg.K)]. Source: ASHRAE Fundamentals 2017, chapter 1."""

SPREAD = 1.6
"""Divide and multiply an estimate by this until it is calibrated [1]. Source: spread between the published laws,
about 95 % of a log-normal with sigma 0.25 (our own reading)."""


class Factor(NamedTuple):
    """A multiplier on the flux of still open water: usual value and spread [1], and where it comes from."""

    value: float
    low: float
    high: float
    kind: str
    source: str


FACTORS: dict[str, Factor] = {
    "glass-calm": Factor(1.0, 1.0, 1.0, "published", "Shah 2014 is for undisturbed water"),
    "circulated": Factor(1.4, 1.0, 1.7, "published", "Smith, Lof, Jones 1998: pools in use 40-70 % above quiet ones"),
    "strongly moved": Factor(1.7, 1.4, 2.0, "published", "Smith, Lof, Jones 1998: top of the 40-70 %; upper end ours"),
    "glass lid with gaps": Factor(0.25, 0.1, 0.4, "our prior", "common practice, no source"),
    "mesh screen": Factor(0.9, 0.8, 1.0, "our prior", "common practice, no source; the spread is ours"),
    "closed cabinet": Factor(0.5, 0.3, 0.8, "our prior", "common practice, no source; the spread is ours"),
}
"""Factors of movement (one of the first three) and of what covers the water."""


def saturation_pressure(temperature: float) -> float:
    """Saturation pressure of water vapour over liquid water.

    ln p = C8/T + C9 + C10 T + C11 T^2 + C12 T^3 + C13 ln T

    temperature: 273.15 to 373.15 [K].
    Returns the pressure [Pa]; within 0.03 % of the printed tables up to 50 degrees Celsius.
    Raises ValueError outside the range.
    Source: ASHRAE Fundamentals 2017, chapter 1, equation 6 (Hyland and Wexler 1983).

    >>> round(saturation_pressure(298.15), 1)
    3169.2
    """
    require("temperature", temperature, 273.15, 373.15, "K")
    t = temperature
    polynomial = 1.3914993 + t * (-4.8640239e-2 + t * (4.1764768e-5 + t * -1.4452093e-8))
    return math.exp(-5.8002206e3 / t + polynomial + 6.5459673 * math.log(t))


def humidity_ratio(vapour_pressure: float, pressure: float = ATMOSPHERE) -> float:
    """Water vapour carried by a kilogram of dry air.

    W = 0.621945 p / (P - p)

    vapour_pressure: 0 or more, below the pressure [Pa].
    pressure: of the moist air [Pa].
    Returns the ratio [kg/kg]; 0.4 to 0.5 % low at saturation, since air is not quite an ideal gas.
    Source: ASHRAE Fundamentals 2017, chapter 1.

    >>> round(humidity_ratio(saturation_pressure(298.15)), 6)
    0.020081
    """
    return MASS_RATIO * vapour_pressure / (pressure - vapour_pressure)


def dry_air_density(temperature: float, vapour_pressure: float, pressure: float = ATMOSPHERE) -> float:
    """Mass of dry air in a cubic metre of moist air: the density that Shah's law means.

    rho = (P - p) / (R T)

    temperature: [K].
    vapour_pressure: [Pa].
    pressure: of the moist air [Pa].
    Returns the density [kg/m3].
    Source: ideal gas; ASHRAE Fundamentals 2017, chapter 1.

    >>> round(1.0 / dry_air_density(298.15, 0.0), 4)
    0.8446
    """
    return (pressure - vapour_pressure) / (DRY_AIR_GAS_CONSTANT * temperature)


def moist_air_density(temperature: float, vapour_pressure: float, pressure: float = ATMOSPHERE) -> float:
    """True density of moist air, which decides whether it rises.

    rho = (P - 0.378055 p) / (R T)

    temperature: [K].
    vapour_pressure: [Pa].
    pressure: of the moist air [Pa].
    Returns the density [kg/m3].
    Source: ideal gas mixture.

    >>> round(moist_air_density(298.15, 3169.2), 4)
    1.17
    """
    return (pressure - (1.0 - MASS_RATIO) * vapour_pressure) / (DRY_AIR_GAS_CONSTANT * temperature)


def water_activity(salinity: float) -> float:
    """Vapour pressure over sea water as a share of that over pure water.

    a = 1 - 0.000534 S_P, S_P practical salinity

    salinity: 0 to 42 [g/kg].
    Returns the share [1], within 0.0003 of TEOS-10 between 20 and 30 degrees Celsius.
    Raises ValueError outside the range.
    Source: own fit to TEOS-10 (IOC, SCOR and IAPSO 2010).

    >>> round(water_activity(35.165), 4)
    0.9813
    """
    require("salinity", salinity, 0.0, MOST_SALT, "g/kg")
    return 1.0 - 0.000534 * practical_salinity(salinity)


def latent_heat(temperature: float) -> float:
    """Heat that evaporating water takes with it.

    Y = 2.5009e6 - 2360 t, t in degrees Celsius

    temperature: 273.15 to 323.15 [K].
    Returns the heat [J/kg].
    Raises ValueError outside the range.
    Source: straight line through steam-table values (from memory); 2442 kJ/kg at 25 degrees Celsius.

    >>> round(latent_heat(298.15) / 1e3)
    2442
    """
    require("temperature", temperature, 273.15, 323.15, "K")
    return 2.5009e6 - 2360.0 * (temperature - ZERO_CELSIUS)


def vapour_pressures(
    water_temperature: float, air_temperature: float, relative_humidity: float, salinity: float
) -> tuple[float, float]:
    """Vapour pressure at the water's surface and in the room.

    p_w = a p_sat(T_w), p_r = RH p_sat(T_a)

    water_temperature, air_temperature: 273.15 to 373.15 [K].
    relative_humidity: of the room, 0 to 1 [1].
    salinity: of the water, 0 to 42 [g/kg].
    Returns the two pressures [Pa].
    Raises ValueError outside the range.
    Source: definitions.

    >>> [round(p) for p in vapour_pressures(298.15, 295.15, 0.5, 35.165)]
    [3110, 1322]
    """
    require("relative humidity", relative_humidity, 0.0, 1.0, "1")
    at_water = water_activity(salinity) * saturation_pressure(water_temperature)
    return at_water, relative_humidity * saturation_pressure(air_temperature)


def shah_flux(
    water_temperature: float,
    air_temperature: float,
    relative_humidity: float,
    salinity: float,
    pressure: float = ATMOSPHERE,
    constant: float = 35.0,
) -> float:
    """Evaporation from undisturbed water in a still room: the law this program uses.

    the larger of C rho_w (rho_r - rho_w)^(1/3) (W_w - W_r) and 5.0e-5 (p_w - p_r), both in kg/(m2.h); w air saturated
    at the water, r the room's air

    The densities are of dry air in moist air. With true densities the law is 12 to 16 % low here, and nothing at all
    comes out when the air is two degrees warmer than the water.

    water_temperature, air_temperature: 273.15 to 373.15; tried on pools of 7 to 35 degrees Celsius [K].
    relative_humidity: 0 to 1 [1].
    salinity: 0 to 42 [g/kg].
    pressure: of the air [Pa].
    constant: 35 [1]; some editions print 40 for density differences under 0.02 kg/m3.
    Returns the flux, 0 when the room's air is moister than the water's surface [kg/(m2.s)].
    Raises ValueError outside the range.
    Source: Shah, ASHRAE Transactions 120(2), 2014 (constants from memory, confirmed by six published rows).

    >>> round(shah_flux(301.15, 301.15, 0.5, 0.0) * 3600.0, 4)
    0.1357
    """
    at_water, in_room = vapour_pressures(water_temperature, air_temperature, relative_humidity, salinity)
    drive = at_water - in_room
    if drive <= 0.0:
        return 0.0
    over_water = dry_air_density(water_temperature, at_water, pressure)
    buoyancy = max(0.0, dry_air_density(air_temperature, in_room, pressure) - over_water)
    moisture = humidity_ratio(at_water, pressure) - humidity_ratio(in_room, pressure)
    return max(constant * over_water * math.cbrt(buoyancy) * moisture, 5.0e-5 * drive) / 3600.0


def carrier_flux(
    water_temperature: float,
    air_temperature: float,
    relative_humidity: float,
    salinity: float,
    air_speed: float,
    activity: float = 1.0,
) -> float:
    """Evaporation by the old pool equation: an outside view, not for use in tanks.

    E = F (0.089 + 0.0782 v)(p_w - p_r) / Y, pressures in kPa, Y in kJ/kg

    water_temperature, air_temperature: 273.15 to 323.15 [K].
    relative_humidity: 0 to 1 [1].
    salinity: 0 to 42 [g/kg].
    air_speed: over the water, 0 to 3; 0.1 in a room [m/s].
    activity: F, 0.5 residential, 0.74 quiet water (measured), 1 public pool [1].
    Returns the flux, 0 when the room's air is moister than the water's surface [kg/(m2.s)].
    Raises ValueError outside the range.
    Source: Carrier 1918, in the form of Smith, Lof and Jones, ASHRAE Transactions 104(1A), 1998, who measured the 0.74;
    metric constants from ASHRAE Applications (from memory; the imperial original converts to within 1 %).

    >>> round(carrier_flux(298.15, 295.15, 0.5, 35.165, 0.1) * 86400.0, 1)
    6.1
    """
    require("air speed", air_speed, 0.0, 3.0, "m/s")
    at_water, in_room = vapour_pressures(water_temperature, air_temperature, relative_humidity, salinity)
    drive = max(0.0, at_water - in_room)
    return activity * (0.089 + 0.0782 * air_speed) * drive / latent_heat(water_temperature)


def flux_range(
    water_temperature: float, air_temperature: float, relative_humidity: float, salinity: float, moved: float
) -> tuple[float, float, float]:
    """Evaporation of moved water in a room, low, middle and high: before anything is measured.

    Shah's law times F, divided and multiplied by SPREAD

    water_temperature, air_temperature: 273.15 to 323.15 [K].
    relative_humidity: 0 to 1 [1].
    salinity: 0 to 42 [g/kg].
    moved: F, see FACTORS, above 0 [1].
    Returns the three fluxes, in this order [kg/(m2.s)].
    Raises ValueError outside the range.
    Source: shah_flux; the ends: SPREAD.

    >>> [round(x * 86400.0, 1) for x in flux_range(298.15, 295.15, 0.5, 35.165, 1.4)]
    [3.1, 5.0, 7.9]
    """
    require_positive("movement", moved, "1")
    middle = moved * shah_flux(water_temperature, air_temperature, relative_humidity, salinity)
    return middle / SPREAD, middle, middle * SPREAD


def penman_flux(
    water_temperature: float,
    air_temperature: float,
    relative_humidity: float,
    salinity: float,
    air_speed: float,
    still_air: float = 0.5,
) -> float:
    """Evaporation by Penman's wind function, made for lakes: an outside view, not for use in rooms.

    E [mm/day] = 0.26 (a + 0.54 u)(p_w - p_r), pressures in hPa

    water_temperature, air_temperature: 273.15 to 323.15 [K].
    relative_humidity: 0 to 1 [1].
    salinity: 0 to 42 [g/kg].
    air_speed: 2 m above the water, 0 or more [m/s].
    still_air: a, 0.5 (1956, open water) or 1.0 (1948) [1].
    Returns the flux, 0 when the room's air is moister than the water's surface [kg/(m2.s)]; a millimetre is a
    kilogram per square metre.
    Raises ValueError outside the range.
    Source: Penman 1948 and 1956 (constants from memory).

    >>> round(penman_flux(298.15, 295.15, 0.5, 35.165, 0.1) * 86400.0, 1)
    2.6
    """
    require("air speed", air_speed, 0.0, 100.0, "m/s")
    at_water, in_room = vapour_pressures(water_temperature, air_temperature, relative_humidity, salinity)
    return 0.26 * (still_air + 0.54 * air_speed) * max(0.0, at_water - in_room) / 100.0 / 86400.0


def analogy_flux(
    water_temperature: float,
    air_temperature: float,
    relative_humidity: float,
    salinity: float,
    size: float = 0.15,
) -> float:
    """Evaporation into still air by the likeness of heat and mass transfer, an independent control.

    Sh = 0.54 Ra^(1/4), Ra = g (rho_r - rho_w) L^3 / (rho nu D), E = Sh (D/L)(vapour density difference)

    water_temperature, air_temperature: 273.15 to 373.15; the water warmer than the air [K].
    relative_humidity: 0 to 1 [1].
    salinity: 0 to 42 [g/kg].
    size: L, area over perimeter, so that Ra lies in 1e4 to 1e7 [m].
    Returns the flux, 0 when the air over the water does not rise [kg/(m2.s)].
    Raises ValueError outside the range.
    Source: Lloyd and Moran 1974, after Incropera (from memory); D = 2.5e-5 and nu = 1.55e-5 m2/s.

    >>> round(analogy_flux(298.15, 295.15, 0.5, 35.165) * 86400.0, 1)
    3.5
    """
    diffusivity, air_viscosity, vapour_gas_constant = 2.5e-5, 1.55e-5, DRY_AIR_GAS_CONSTANT / MASS_RATIO
    at_water, in_room = vapour_pressures(water_temperature, air_temperature, relative_humidity, salinity)
    light = moist_air_density(water_temperature, at_water)
    heavy = moist_air_density(air_temperature, in_room)
    if heavy <= light or at_water <= in_room:
        return 0.0
    rayleigh = G * (heavy - light) * size**3 / (0.5 * (heavy + light) * air_viscosity * diffusivity)
    vapour_difference = (at_water / water_temperature - in_room / air_temperature) / vapour_gas_constant
    return 0.54 * math.pow(rayleigh, 0.25) * diffusivity / size * vapour_difference

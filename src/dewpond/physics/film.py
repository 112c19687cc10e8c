"""Water on a floor: how thick a puddle stands, how far a litre reaches, how long it takes to dry."""

import math
from typing import Final, NamedTuple

from dewpond.physics.ranges import require, require_positive
from dewpond.physics.water import G

ORDINARY_FLOOR = (1.0e-3, 2.7e-3, 4.0e-3)
"""Thickness of a puddle on a floor of unknown kind: low, usual (60 degrees of contact), high [m].
Source: our own choice from the contact angles of tile, vinyl and varnish."""


class Surface(NamedTuple):
    """What a floor is made of: thickness of a puddle on it, and what it soaks up, each low, usual, high [m]."""

    film: tuple[float, float, float]
    soak: tuple[float, float, float]


_DRY: Final = (0.0, 0.0, 0.0)
SURFACES: Final[dict[str, Surface]] = {
    "glazed tile": Surface((0.95e-3, 1.865378e-3, 2.73e-3), _DRY),
    "vinyl": Surface((1.0e-3, 2.7e-3, 3.9e-3), _DRY),
    "varnished wood": Surface((1.0e-3, 2.7e-3, 4.1e-3), _DRY),
    "sealed concrete": Surface((1.0e-3, 2.7e-3, 3.9e-3), _DRY),
    "bare wood": Surface((1.0e-3, 2.7e-3, 3.9e-3), _DRY),
    "carpet": Surface(_DRY, (4.0e-3, 5.0e-3, 10.0e-3)),
}
"""Floors by name. Source: contact angles of clean water, tile 20 to 60 degrees, the others 60 to 90, from memory, of
polyurethane varnish 84 to 97 (Polymers 2021, 13, 3526, table 7); dirt, detergent and earlier wetting bring all of them
down to 1 mm. Carpet with its pad: pile common practice, foam from memory. Wood and concrete soak too slowly to count
before a probe is reached."""


def capillary_length(surface_tension: float, water_density: float) -> float:
    """Length at which weight and surface tension balance.

    a = [sigma / (rho g)]^0.5

    surface_tension: [N/m].
    water_density: above 0 [kg/m3].
    Returns the length [m].
    Raises ValueError when the density is not above 0.
    Source: de Gennes, Brochard-Wyart, Quere, Capillarity and Wetting Phenomena (2004), chapter 2.

    >>> round(capillary_length(0.0728, 998.2) * 1e3, 3)
    2.727
    """
    require_positive("density", water_density, "kg/m3")
    return math.sqrt(surface_tension / (water_density * G))


def film_thickness(contact_angle: float, capillary: float) -> float:
    """Thickness of a large puddle on a level floor.

    e = 2 a sin(theta/2)

    Dirt, detergent and earlier wetting lower the angle; a floor wet before holds 0.5 to 1 mm.

    contact_angle: of advancing water, 0 to pi [rad].
    capillary: capillary length, about 2.73e-3 [m].
    Returns the thickness [m].
    Raises ValueError outside the range.
    Source: de Gennes, Brochard-Wyart, Quere, Capillarity and Wetting Phenomena (2004), chapter 2, Fig. 2.4.

    >>> round(film_thickness(math.pi / 3.0, 2.727e-3) * 1e3, 2)
    2.73
    """
    require("contact angle", contact_angle, 0.0, math.pi, "rad")
    return 2.0 * capillary * math.sin(0.5 * contact_angle)


def contact_angle(thickness: float, capillary: float) -> float:
    """Contact angle of a large puddle on a level floor, from its thickness: ``film_thickness`` turned round.

    theta = 2 asin(e / 2a)

    thickness: e, 0 to twice the capillary length, more than which no puddle stands [m].
    capillary: capillary length, about 2.73e-3, above 0 [m].
    Returns the angle [rad].
    Raises ValueError outside the range.
    Source: de Gennes, Brochard-Wyart, Quere, Capillarity and Wetting Phenomena (2004), chapter 2, Fig. 2.4.

    >>> round(math.degrees(contact_angle(2.727e-3, 2.727e-3)), 1)
    60.0
    """
    require_positive("capillary length", capillary, "m")
    require("thickness of the puddle", thickness, 0.0, 2.0 * capillary, "m")
    return 2.0 * math.asin(0.5 * thickness / capillary)


def wetted_area(volume: float, thickness: float, soak: float = 0.0) -> float:
    """Floor that a spill covers on a level floor without edges.

    A = V / (e + s)

    volume: spilled, 0 or more [m3].
    thickness: e, of the puddle, above 0 [m].
    soak: s, water that the floor takes up; carpet with its pad 4e-3 to 10e-3, tile nothing [m3/m2].
    Returns the area [m2].
    Raises ValueError when the thickness is not above 0.
    Source: balance of water; soak of carpet is common practice, no source.

    >>> round(wetted_area(1e-3, 2.73e-3), 2)
    0.37
    """
    require_positive("film thickness", thickness, "m")
    return volume / (thickness + soak)


def drying_time(thickness: float, evaporation: float, water_density: float) -> float:
    """Time in which a film on an impervious floor dries.

    t = rho e / E

    thickness: of the film, 0 or more [m].
    evaporation: flux from water at the floor's temperature, above 0 [kg/(m2.s)].
    water_density: [kg/m3].
    Returns the time [s]; a puddle that shrinks from its edge, or soaked wood, takes longer.
    Raises ValueError when nothing evaporates.
    Source: balance of water.

    >>> round(drying_time(2.7e-3, 2.0 / 86400.0, 998.2) / 3600.0)
    32
    """
    require_positive("evaporation", evaporation, "kg/(m2.s)")
    return water_density * thickness / evaporation


def run_width(slope: float, capillary: float) -> float:
    """Width of the run in which a slow leak goes down a slope.

    w = a [2/s]^0.5

    slope: fall over length, above 0 [1].
    capillary: capillary length, about 2.73e-3 [m].
    Returns the width [m], right to a factor of about two.
    Raises ValueError when the floor does not fall.
    Source: balance of weight along the slope and surface tension, a scaling argument of our own.

    >>> round(run_width(1e-3, 2.727e-3), 2)
    0.12
    """
    require_positive("slope", slope, "1")
    return capillary * math.sqrt(2.0 / slope)


def run_time(
    flow: float, slope: float, length: float, capillary: float, water_density: float, water_viscosity: float
) -> float:
    """Time that a laminar run of a leak takes down a slope.

    h = [3 mu q / (rho g s)]^(1/3), q = Q / w, t = l h / q

    flow: of the leak, above 0 [m3/s].
    slope: fall over length, above 0 [1].
    length: of the way [m].
    capillary: capillary length, about 2.73e-3 [m].
    water_density: [kg/m3].
    water_viscosity: dynamic, above 0 [Pa.s].
    Returns the time [s]; for flows to about 1 L/min, on 20 mm/m to 0.5.
    Raises ValueError when nothing flows or the floor does not fall.
    Source: Nusselt's film, with the width of ``run_width``.

    >>> round(run_time(0.05e-3 / 60.0, 1e-3, 5.0, 2.727e-3, 998.2, 998.2e-6))
    936
    """
    require_positive("flow", flow, "m3/s")
    width = run_width(slope, capillary)
    shared = flow / width
    return length * math.cbrt(3.0 * water_viscosity * shared / (water_density * G * slope)) / shared

"""Holes, weirs, overflows, drops, and the air gaps that keep an outlet out of the water."""

import math
from itertools import pairwise

from dewpond.physics.ranges import require, require_positive
from dewpond.physics.roots import bisect
from dewpond.physics.water import G

THIN_WALL = 0.62
"""Discharge coefficient of a hole in a thin wall [1]. Source: Encyclopaedia Britannica 11th ed., 0.60-0.62."""

TUBE_WALL = 0.70
"""Discharge coefficient of a hole in a tube wall [1], between a thin plate (0.62) and a short tube (0.82, from memory):
our own choice, spread 0.62 to 0.82."""

FRANCIS = 1.84
"""Coefficient of a sharp-crested weir [m^0.5/s]. Source: Francis, 3.33 in feet and seconds (from memory)."""

SWMM_WEIR = 0.414
"""Weir coefficient of an opening's rim, on (2g)^0.5 [1]. Source: EPA SWMM 5 reference manual, bottom orifice."""

INCH = 0.0254

HARKINS_BROWN = (
    (0.30, 0.7256), (0.35, 0.7011), (0.40, 0.6828), (0.45, 0.6669), (0.50, 0.6515), (0.55, 0.6362), (0.60, 0.6250),
    (0.65, 0.6171), (0.70, 0.6093), (0.75, 0.6032), (0.80, 0.6000), (0.85, 0.5992), (0.90, 0.5998), (0.95, 0.6034),
    (1.00, 0.6098), (1.05, 0.6179), (1.10, 0.6280), (1.15, 0.6407), (1.20, 0.6535),
)  # fmt: skip
"""Radius over the cube root of the drop's volume [1], part of Tate's volume that falls [1].
Source: Harkins and Brown 1919, J. Am. Chem. Soc. 41, 499 (from memory)."""


def hole_flow(pressure_difference: float, diameter: float, discharge_coefficient: float, water_density: float) -> float:
    """Flow through a hole under a held pressure.

    Q = Cd (pi/4) d^2 (2 dp / rho)^0.5

    The feeding tube must be able to give it: see pipes.hole_as_loss.

    pressure_difference: across the hole, either sign [Pa].
    diameter: 0 or more [m].
    discharge_coefficient: 0.5 to 1 [1].
    water_density: above 0 [kg/m3].
    Returns the flow with the sign of the pressure difference [m3/s].
    Source: Torricelli; coefficients after Encyclopaedia Britannica 11th ed., Hydraulics.

    >>> round(hole_flow(4e5, 1e-3, 0.62, 999.1) * 60e3, 3)
    0.827
    """
    area = 0.25 * math.pi * diameter * diameter
    size = discharge_coefficient * area * math.sqrt(2.0 * abs(pressure_difference) / water_density)
    return math.copysign(size, pressure_difference)


def falling_head_time(
    surface: float, hole_area: float, discharge_coefficient: float, from_height: float, to_height: float
) -> float:
    """Time in which an upright vessel drains through a hole from one level to a lower one.

    t = 2 A / (Cd a (2g)^0.5) (h1^0.5 - h2^0.5)

    surface: horizontal area of the water, constant over the height, above 0 [m2].
    hole_area: above 0 [m2].
    discharge_coefficient: 0.5 to 1 [1].
    from_height, to_height: levels above the hole, from_height >= to_height >= 0 [m].
    Returns the time [s].
    Raises ValueError when the levels are the wrong way round or an area is not above 0.
    Source: Torricelli's law integrated; any hydraulics text.

    >>> round(falling_head_time(0.12, 1e-5, 0.62, 0.25, 0.0))
    4370
    """
    require_positive("surface", surface, "m2")
    require_positive("hole area", hole_area, "m2")
    require("lower level", to_height, 0.0, from_height, "m")
    scale = 2.0 * surface / (discharge_coefficient * hole_area * math.sqrt(2.0 * G))
    return scale * (math.sqrt(from_height) - math.sqrt(to_height))


def drop_volume(wetted_radius: float, surface_tension: float, water_density: float) -> float:
    """Volume of a drop that falls off a wetted round end.

    V = F 2 pi r sigma / (rho g), F after Harkins and Brown by r / V^(1/3)

    Off a 1/4 in tube it is about 0.09 mL, a third of the household figure of 0.25 mL: counting drops needs a spoon.

    wetted_radius: outer radius of the wetted end, 1 to 7 mm for water [m].
    surface_tension: [N/m].
    water_density: [kg/m3].
    Returns the volume [m3].
    Raises ValueError where the table ends.
    Source: Tate's law with Harkins and Brown 1919 (table from memory).

    >>> round(drop_volume(3.175e-3, 0.07274, 998.2) * 1e6, 3)
    0.09
    """
    ideal = 2.0 * math.pi * wetted_radius * surface_tension / (water_density * G)

    def excess(fraction: float) -> float:
        return _fraction_that_falls(wetted_radius / math.cbrt(fraction * ideal)) - fraction

    low, high = HARKINS_BROWN[0][0], HARKINS_BROWN[-1][0]
    require("wetted radius over the cube root of the drop", wetted_radius / math.cbrt(0.65 * ideal), low, high, "1")
    return ideal * bisect(excess, 0.55, 0.80)


def _fraction_that_falls(ratio: float) -> float:
    for (left, at_left), (right, at_right) in pairwise(HARKINS_BROWN):
        if ratio <= right:
            return at_left + (at_right - at_left) * (ratio - left) / (right - left)
    return HARKINS_BROWN[-1][1]


def weir_flow(width: float, head: float, contractions: int = 0) -> float:
    """Flow over a sharp-crested weir.

    Q = 1.84 (b - 0.1 n H) H^1.5

    width: of the crest, above 0 [m].
    head: still level above the crest; no flow below it. Best above 30 mm; thinner sheets cling, and the scatter is 20 %
    and more [m].
    contractions: number of ends where the sheet leaves a wall behind, 0 to 2 [1].
    Returns the flow [m3/s].
    Source: Francis formula, USBR Water Measurement Manual, chapter 7 (from memory).

    >>> round(weir_flow(0.30, 0.02) * 60e3, 1)
    93.7
    """
    if head <= 0.0:
        return 0.0
    return FRANCIS * max(0.0, width - 0.1 * contractions * head) * head * math.sqrt(head)


def weir_head(flow: float, width: float, coefficient: float = FRANCIS) -> float:
    """Head over a sharp-crested weir without end contractions that carries a flow.

    H = [Q / (C b)]^(2/3)

    flow: 0 or more [m3/s].
    width: above 0 [m].
    coefficient: 1.84, or (2/3) Cd (2g)^0.5 [m^0.5/s].
    Returns the head [m].
    Raises ValueError when the width is not above 0.
    Source: Francis formula turned round.

    >>> round(weir_head(3.0 / 3600.0, 0.30) * 1e3, 2)
    13.16
    """
    require_positive("weir width", width, "m")
    return math.pow(flow / (coefficient * width), 2.0 / 3.0)


def weir_flow_kindsvater_carter(width: float, head: float, crest_height: float) -> float:
    """Flow over a rectangular notch in a wide wall, the laboratory's formula.

    Q = 0.554 (1 - 0.0035 H/P) (b + 2.5 mm) g^0.5 (H + 0.1 mm)^1.5

    width: of the notch, above 0.15 m and at most a fifth of the channel [m].
    head: level above the crest, above 30 mm [m].
    crest_height: crest above the floor, above 0.1 m and half the head [m].
    Returns the flow [m3/s].
    Raises ValueError outside the range: no aquarium weir reaches it, and this stands here as a check on weir_flow.
    Source: Kindsvater and Carter 1957, after Blevins 1984, as given in the fluids documentation.

    >>> round(weir_flow_kindsvater_carter(1.0, 0.2, 0.5), 5)
    0.15546
    """
    require("notch width", width, 0.15, math.inf, "m")
    require("head", head, 0.03, 2.0 * crest_height, "m")
    require("crest height", crest_height, 0.1, math.inf, "m")
    shape = 0.554 * (1.0 - 0.0035 * head / crest_height)
    return shape * (width + 0.0025) * math.sqrt(G) * math.pow(head + 0.0001, 1.5)


def standpipe_flow(bore: float, head: float, discharge_coefficient: float = 0.6) -> float:
    """What an open upright overflow pipe swallows.

    weir on the rim, 0.414 (2g)^0.5 pi D H^1.5, up to H = (Cd/0.414) D/4; above it Cd A (2 g H)^0.5

    The two meet without a jump. Real small pipes scatter by 20 to 30 %.

    bore: above 0 [m].
    head: level above the lip; no flow below it [m].
    discharge_coefficient: 0.5 to 1 [1].
    Returns the flow [m3/s].
    Source: EPA SWMM 5 reference manual, bottom orifice.

    >>> round(standpipe_flow(25.4e-3, 5e-3) * 60e3, 1), round(standpipe_flow(25.4e-3, 20e-3) * 60e3, 1)
    (3.1, 11.4)
    """
    if head <= 0.0:
        return 0.0
    if head <= standpipe_transition(bore, discharge_coefficient):
        return SWMM_WEIR * math.sqrt(2.0 * G) * math.pi * bore * head * math.sqrt(head)
    return discharge_coefficient * 0.25 * math.pi * bore * bore * math.sqrt(2.0 * G * head)


def standpipe_transition(bore: float, discharge_coefficient: float = 0.6) -> float:
    """Head at which an open upright overflow pipe stops being a weir.

    Hc = (Cd/0.414) D/4

    bore: above 0 [m].
    discharge_coefficient: 0.5 to 1 [1].
    Returns the head above the lip [m].
    Source: EPA SWMM 5 reference manual, bottom orifice.

    >>> round(standpipe_transition(25.4e-3) * 1e3, 1)
    9.2
    """
    return discharge_coefficient / SWMM_WEIR * 0.25 * bore


def side_outlet_flow(bore: float, head: float) -> float:
    """What a short level overflow pipe in a vessel's side swallows while its crown is dry.

    0.8 Q, Q from critical flow: head = y + A/(2 T), Q = (g A^3 / T)^0.5, y depth, A area, T width of the stream

    bore: above 0 [m].
    head: still level above the lowest point of the opening, up to the crown; no flow below 0 [m].
    Returns the flow [m3/s].
    Raises ValueError when the head is above the crown: the pipe then gulps, and no law of this kind holds.
    Source: critical depth at a free end, any open-channel text; the factor 0.8 for losses is our own.

    >>> round(side_outlet_flow(20e-3, 10e-3) * 60e3, 1)
    1.1
    """
    if head <= 0.0:
        return 0.0
    require("head over the side outlet", head, 0.0, bore, "m")

    def section(angle: float) -> tuple[float, float, float]:
        """Depth, area and width of the stream, from the half angle that the wetted arc spans."""
        depth = 0.5 * bore * (1.0 - math.cos(angle))
        area = 0.25 * bore * bore * (angle - math.sin(angle) * math.cos(angle))
        return depth, area, bore * math.sin(angle)

    def excess(angle: float) -> float:
        depth, area, width = section(angle)
        return depth + 0.5 * area / width - head

    _, area, width = section(bisect(excess, 1e-4, math.pi - 1e-4))
    return 0.8 * math.sqrt(G * area * area * area / width)


def self_venting_flow(bore: float, froude: float = 0.3) -> float:
    """Flow up to which an upright drain swallows without gulping air.

    Q = Fr A (g D)^0.5

    bore: above 0 [m].
    froude: 0.3 [1].
    Returns the flow [m3/s].
    Source: Simpson 1968, Hills 1983 (from memory); Perry's d(in) = 0.92 Q(gpm)^0.4 agrees within 3 %.

    >>> round(self_venting_flow(25.4e-3) * 60e3, 2)
    4.55
    """
    return froude * 0.25 * math.pi * bore * bore * math.sqrt(G * bore)


def air_gap_us(effective_opening: float, near_walls: bool = False) -> float:
    """Least height of an outlet over the rim, in the form used in the United States.

    twice the effective opening, at least 25.4 mm; near walls three times, at least 38.1 mm

    Local codes decide; this only shows what the rule would ask.

    effective_opening: above 0 [m].
    near_walls: whether one wall stands closer than 3 openings, or two walls closer than 4.
    Returns the height [m].
    Raises ValueError when the opening is not above 0.
    Source: US FDA Food Code 5-202.13 (twice, 1 in); Wisconsin SPS 382 note (walls); 1.5 in for small openings near a
    wall after ASME A112.1.2 (from memory).

    >>> air_gap_us(4.318e-3)
    0.0254
    """
    require_positive("effective opening", effective_opening, "m")
    if near_walls:
        return max(3.0 * effective_opening, 1.5 * INCH)
    return max(2.0 * effective_opening, INCH)


def air_gap_european(bore: float, feeds: int = 1) -> float:
    """Least height of an outlet over the spill-over level, in the European form.

    the greater of 20 mm and twice the bore; the bores of several feeds add up

    Local codes decide; this only shows what the rule would ask.

    bore: inside diameter of each feed, above 0 [m].
    feeds: how many discharge there, 1 or more [1].
    Returns the height [m].
    Raises ValueError when the bore is not above 0.
    Source: Building Services Handbook on BS EN 1717, worked example 40 mm for one 20 mm tap and 80 mm for two.

    >>> air_gap_european(0.020), air_gap_european(0.020, feeds=2)
    (0.04, 0.08)
    """
    require_positive("bore", bore, "m")
    return max(0.020, 2.0 * bore * feeds)

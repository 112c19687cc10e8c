"""The reverse-osmosis membrane, its waste restrictor and hydraulic shut-off: flows and quality."""

import math

from dewpond.physics.ranges import require, require_positive
from dewpond.physics.roots import bisect

REFERENCE_TEMPERATURE = 298.15
"""Temperature at which membranes are rated [K]. Source: ASTM D4516 (second-hand)."""

RATED_FEED = 0.25
"""Strength of the water at which membranes for a household are usually rated [kg/m3]. Source: from memory."""

RATED_RECOVERY = 0.15
"""Product over feed flow at which they are [1]. Source: from memory."""

SHUT_OFF_RATIO = (0.5, 2.0 / 3.0, 0.7)
"""Product pressure over feed pressure at which a hydraulic shut-off closes: low, usual, high [1].
Source: two thirds is common practice, no source; the spread is from memory."""

STANDSTILL_VOLUME = (15e-6, 30e-6, 50e-6)
"""Water on the product side that reaches feed strength while the unit stands: low, usual, high [m3].
Source: none, our own estimate; only the mechanism is known."""


def temperature_factor(temperature: float) -> float:
    """Factor on the product flow: 1 at 25 degrees Celsius, below 1 in colder water.

    TCF = exp[U (1/298 - 1/(273 + t))], t in degrees Celsius, U = 3020 up to 25 and 2640 above

    The printed formula counts from 273, not 273.15; so does this. Charts of makers differ by some 10 % in the cold
    (1.03^(t-25) gives 0.642 at 10 degrees), and some print the reciprocal.

    temperature: of the feed water, 273.15 to 318.15 [K].
    Returns the factor [1].
    Raises ValueError outside the range.
    Source: design equations of a membrane manufacturer's technical manual.

    >>> round(1.0 / temperature_factor(283.15), 3)
    1.711
    """
    require("feed temperature", temperature, 273.15, 318.15, "K")
    constant = 3020.0 if temperature <= REFERENCE_TEMPERATURE else 2640.0
    return math.exp(constant * (1.0 / 298.0 - 1.0 / (temperature - 0.15)))


def osmotic_pressure(concentration: float, temperature: float) -> float:
    """Osmotic pressure of salt water, counted as sodium chloride.

    pi [kPa] = 0.2654 C T / (1000 - C/1000), C in mg/L

    concentration: dissolved matter, 0 to 70 [kg/m3].
    temperature: [K].
    Returns the pressure [Pa]; 300 mg/L make about 0.24 bar.
    Raises ValueError outside the range.
    Source: ASTM D4516 (constants from memory); within 1 % of van 't Hoff at 2 g/L.

    >>> round(osmotic_pressure(0.3, 298.15))
    23746
    """
    require("concentration", concentration, 0.0, 70.0, "kg/m3")
    return 265.4e3 * concentration * temperature / (1000.0 - concentration)


def average_feed_concentration(feed_concentration: float, recovery: float) -> float:
    """Mean strength of the water along the feed side of a membrane.

    C = Cf ln[1/(1 - Y)] / Y, Cf itself when Y is 0

    feed_concentration: at the inlet [kg/m3].
    recovery: product over feed flow, 0 or more and below 1 [1].
    Returns the concentration [kg/m3].
    Raises ValueError outside the range.
    Source: ASTM D4516 (from memory).

    >>> round(average_feed_concentration(0.25, 0.15), 4)
    0.2709
    """
    require("recovery", recovery, 0.0, 1.0 - 1e-9, "1")
    if recovery < 1e-9:
        return feed_concentration
    return -feed_concentration * math.log1p(-recovery) / recovery


def net_driving_pressure(
    feed_pressure: float,
    product_pressure: float,
    feed_concentration: float,
    recovery: float,
    rejection: float,
    temperature: float,
    channel_drop: float = 0.0,
) -> float:
    """Pressure that really drives water through the membrane.

    NDP = Pf - dP/2 - Pp - (pi_feed - pi_product)

    feed_pressure, product_pressure: gauge, at the membrane; lift and throttling valves count in the product's [Pa].
    feed_concentration: dissolved matter in the feed [kg/m3].
    recovery: product over feed flow, 0 or more and below 1 [1].
    rejection: share of the dissolved matter held back, 0 to 1 [1].
    temperature: [K].
    channel_drop: pressure lost along the feed side; nothing worth counting in a small element [Pa].
    Returns the pressure, negative when water would go backwards [Pa].
    Source: structure of ASTM D4516-19a (second-hand).

    >>> round(net_driving_pressure(3.45e5, 0.0, 0.25, 0.15, 0.98, 298.15) / 1e5, 2)
    3.24
    """
    strength = average_feed_concentration(feed_concentration, recovery)
    osmotic = osmotic_pressure(strength, temperature) - osmotic_pressure((1.0 - rejection) * strength, temperature)
    return feed_pressure - 0.5 * channel_drop - product_pressure - osmotic


def permeability(
    product_flow_seen: float,
    feed_pressure: float,
    product_pressure: float,
    feed_concentration: float,
    recovery: float,
    rejection: float,
    temperature: float,
) -> float:
    """Permeability of the whole element at 25 degrees Celsius, from a rating or from a measurement.

    a = Q / (TCF NDP)

    product_flow_seen: rated flow, or the jug's [m3/s].
    feed_pressure, product_pressure: gauge, at that flow [Pa].
    feed_concentration: of the rating point or of the tap water [kg/m3].
    recovery: of the rating point, often 0.15; by jugs product over product and waste [1].
    rejection: 0 to 1 [1].
    temperature: of the rating point, or of the water when the jugs were filled [K].
    Returns the permeability [m3/(s.Pa)].
    Raises ValueError when nothing drives the water there, so that the flow cannot be true.
    Source: as net_driving_pressure.

    >>> rated = permeability(75 * 3.785412e-3 / 86400, 50 * 6894.757, 0.0, 0.25, 0.15, 0.98, 298.15)
    >>> round(rated * 1e5 * 3.6e6, 2)
    3.65
    """
    driving = net_driving_pressure(
        feed_pressure, product_pressure, feed_concentration, recovery, rejection, temperature
    )
    require_positive("net driving pressure", driving, "Pa")
    return product_flow_seen / (temperature_factor(temperature) * driving)


def permeability_by_jugs(
    product: float,
    waste: float,
    feed_pressure: float,
    product_pressure: float,
    feed_concentration: float,
    rejection: float,
    temperature: float,
) -> float:
    """Permeability of the whole element from jugs of product and waste filled at the same time.

    permeability with Y = product / (product + waste)

    product, waste: flows into the two jugs, above 0 [m3/s].
    feed_pressure, product_pressure: gauge, while the jugs filled [Pa].
    feed_concentration: of the tap water [kg/m3].
    rejection: 0 to 1 [1].
    temperature: of the water [K].
    Returns the permeability at 25 degrees Celsius [m3/(s.Pa)].
    Raises ValueError when a flow is not above 0, or nothing drives the water.
    Source: as net_driving_pressure.

    >>> jugs = permeability_by_jugs(175e-6 / 60, 720e-6 / 60, 3.6e5, 0.0, 0.24, 0.98, 287.15)
    >>> round(jugs * 1e5 * 3.6e6, 2)
    4.55
    """
    require_positive("product flow", product, "m3/s")
    require_positive("waste flow", waste, "m3/s")
    recovery = product / (product + waste)
    return permeability(product, feed_pressure, product_pressure, feed_concentration, recovery, rejection, temperature)


def product_flow(
    element_permeability: float,
    feed_pressure: float,
    product_pressure: float,
    waste_flow: float,
    feed_concentration: float,
    rejection: float,
    temperature: float,
) -> float:
    """Product flow of an element whose waste flow is given.

    Q = a TCF NDP(Y), Y = Q / (Q + Qw), solved together

    element_permeability: at 25 degrees Celsius, above 0 [m3/(s.Pa)].
    feed_pressure, product_pressure: gauge, at the membrane [Pa].
    waste_flow: through the restrictor, above 0 [m3/s].
    feed_concentration: [kg/m3].
    rejection: 0 to 1 [1].
    temperature: [K].
    Returns the flow; negative when the product side drives water back, then with the feed's own strength [m3/s].
    Raises ValueError when the waste flow is not above 0.
    Source: as net_driving_pressure.

    >>> a = permeability(75 * 3.785412e-3 / 86400, 50 * 6894.757, 0.0, 0.25, 0.15, 0.98, 298.15)
    >>> round(product_flow(a, 3.45e5, 0.147e5, 0.8e-3 / 60, 0.3, 0.98, 283.15) * 3.6e6, 2)
    6.55
    """
    require_positive("waste flow", waste_flow, "m3/s")
    conductance = element_permeability * temperature_factor(temperature)

    def excess(flow: float) -> float:
        driving = net_driving_pressure(
            feed_pressure, product_pressure, feed_concentration, flow / (flow + waste_flow), rejection, temperature
        )
        return conductance * driving - flow

    without_recovery = excess(0.0)
    if without_recovery <= 0.0:
        return without_recovery
    return bisect(excess, 0.0, without_recovery)


def restrictor_constant(flow: float, pressure_difference: float) -> float:
    """Constant of a waste restrictor from one measured flow.

    k = Q / dp^0.5

    flow: through it, above 0 [m3/s].
    pressure_difference: across it, above 0 [Pa].
    Returns k [m3/(s.Pa^0.5)].
    Raises ValueError when either is not above 0.
    Source: orifice law; a capillary, turbulent at these flows, rather follows dp^0.57.

    >>> round(restrictor_constant(0.8e-3 / 60, 3.45e5) * 1e8, 2)
    2.27
    """
    require_positive("waste flow", flow, "m3/s")
    require_positive("pressure difference", pressure_difference, "Pa")
    return flow / math.sqrt(pressure_difference)


def restrictor_flow(constant: float, pressure_difference: float) -> float:
    """Flow through a waste restrictor; the water's temperature hardly matters, so cold water wastes more per litre.

    Q = k dp^0.5

    constant: of restrictor_constant [m3/(s.Pa^0.5)].
    pressure_difference: across it, either sign [Pa].
    Returns the flow with the sign of the pressure difference [m3/s].
    Source: orifice law.

    >>> round(restrictor_flow(2.27e-8, 3.45e5) * 60e3, 2)
    0.8
    """
    return math.copysign(constant * math.sqrt(abs(pressure_difference)), pressure_difference)


def rejection_at_flux(rated_rejection: float, flux_fraction: float) -> float:
    """Rejection of an element that works at a part of its rated flux.

    R = J / (J + B), B from the rated point: R = x / (x + (1 - R0)/R0)

    rated_rejection: R0, above 0 and at most 1 [1].
    flux_fraction: x, flux over rated flux, 0 or more [1].
    Returns the rejection; 0 when nothing flows [1].
    Raises ValueError outside the range.
    Source: solution-diffusion without polarisation, e.g. Baker, Membrane Technology and Applications (from memory).

    >>> round(rejection_at_flux(0.98, 0.2), 3)
    0.907
    """
    require("rated rejection", rated_rejection, 1e-6, 1.0, "1")
    if flux_fraction <= 0.0:
        return 0.0
    return flux_fraction / (flux_fraction + (1.0 - rated_rejection) / rated_rejection)


def waste_concentration(feed_concentration: float, product_concentration: float, recovery: float) -> float:
    """Strength of the waste water.

    C = (Cf - Y Cp) / (1 - Y)

    feed_concentration, product_concentration: [kg/m3].
    recovery: 0 or more and below 1 [1].
    Returns the concentration [kg/m3].
    Raises ValueError outside the range.
    Source: balance of dissolved matter.

    >>> round(waste_concentration(0.3, 0.006, 0.2), 4)
    0.3735
    """
    require("recovery", recovery, 0.0, 1.0 - 1e-9, "1")
    return (feed_concentration - recovery * product_concentration) / (1.0 - recovery)


def batch_concentration(
    volume: float, starts: float, standstill_volume: float, feed_concentration: float, steady_concentration: float
) -> float:
    """Mean strength of the product of some hours, with one slug of feed strength for every start.

    C = Cs + n V0 (Cf - Cs) / V, at most Cf

    After half an hour at rest the water on the product side has reached feed strength; waiting longer adds nothing.

    volume: of product in all, above 0 [m3].
    starts: number of starts after a standstill [1].
    standstill_volume: on the product side, see STANDSTILL_VOLUME [m3].
    feed_concentration, steady_concentration: of the feed, and of the product of a long run [kg/m3].
    Returns the concentration [kg/m3].
    Raises ValueError when the volume is not above 0.
    Source: own model; the mechanism is common practice, no source.

    >>> round(batch_concentration(1e-3, 1, 30e-6, 0.300, 0.006) * 1e3, 1)
    14.8
    """
    require_positive("product volume", volume, "m3")
    slug_share = min(1.0, starts * standstill_volume / volume)
    return steady_concentration + slug_share * (feed_concentration - steady_concentration)


def shut_off_point(feed_pressure: float, ratio: float) -> tuple[float, float]:
    """Where a hydraulic shut-off closes: product pressure, and flow left just before.

    Pp = r Pf, Q/Q0 = 1 - r (osmotic pressure neglected)

    feed_pressure: gauge [Pa].
    ratio: r, 0 to 1 [1].
    Returns the product pressure [Pa], which every joint behind the membrane must stand, and the share of full flow [1].
    Raises ValueError outside the range.
    Source: linear driving pressure.

    >>> shut_off_point(4e5, 0.5)
    (200000.0, 0.5)
    """
    require("shut-off ratio", ratio, 0.0, 1.0, "1")
    return ratio * feed_pressure, 1.0 - ratio

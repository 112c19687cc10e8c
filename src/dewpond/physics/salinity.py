"""How a tank's salinity moves when water comes, goes and evaporates.

Work in mass: with volumes the change comes out 2.6 % too large, for salt water is denser than fresh. Salinity may be
given on any scale that starts at 0 [S]; the answer is on the same scale.
"""

import math

from dewpond.physics.ranges import require, require_positive


def after_fresh_water(salinity: float, mass: float, fresh_mass: float) -> float:
    """Salinity after fresh water was added, or evaporated.

    S = S0 m / (m + dm)

    salinity: before [S].
    mass: of the water before, above 0 [kg].
    fresh_mass: added; negative for water that evaporated [kg].
    Returns the salinity after [S].
    Raises ValueError when no water would be left.
    Source: balance of salt.

    >>> round(after_fresh_water(35.0, 307.0, 9.97), 2)
    33.9
    """
    require_positive("mass left", mass + fresh_mass, "kg")
    return salinity * mass / (mass + fresh_mass)


def fresh_water_to_reach(salinity: float, target: float, mass: float) -> float:
    """Fresh water that brings a tank from one salinity to another.

    dm = m (S0/S1 - 1)

    salinity: before [S].
    target: after, above 0 [S].
    mass: of the water before, above 0 [kg].
    Returns the mass to add; negative for water that must evaporate [kg].
    Raises ValueError when the target is not above 0.
    Source: balance of salt.

    >>> round(fresh_water_to_reach(35.0, 30.0, 307.0), 1)
    51.2
    """
    require_positive("target salinity", target, "S")
    return mass * (salinity / target - 1.0)


def loss_replaced_by_fresh(salinity: float, mass: float, lost_mass: float) -> float:
    """Salinity after salt water was lost little by little and fresh water held the level.

    S = S0 exp(-L/m)

    salinity: before [S].
    mass: of the water in the tank, above 0 [kg].
    lost_mass: salt water lost in all, 0 or more [kg].
    Returns the salinity after [S].
    Raises ValueError when the mass is not above 0.
    Source: balance of salt, well mixed.

    >>> round(loss_replaced_by_fresh(35.0, 300.0, 12.0), 2)
    33.63
    """
    require_positive("mass", mass, "kg")
    return salinity * math.exp(-lost_mass / mass)


def overflow_washout(salinity: float, mass: float, free_mass: float, fresh_mass: float) -> tuple[float, float]:
    """Salinity and loss when fresh water goes on running into a tank that fills and then overflows.

    up to the brim S0 m/(m + dm); beyond it S0 m/(m + F) exp[-(dm - F)/(m + F)]

    salinity: before [S].
    mass: of the water before, above 0 [kg].
    free_mass: F, water that still fits below the rim, 0 or more [kg].
    fresh_mass: dm, fresh water in all, 0 or more [kg].
    Returns the salinity after [S] and the water that ran over the rim [kg].
    Raises ValueError outside the range.
    Source: balance of salt, well mixed.

    >>> [round(x, 2) for x in overflow_washout(35.0, 300.0, 40.0, 100.0)]
    [25.89, 60.0]
    """
    require_positive("mass", mass, "kg")
    require("free mass", free_mass, 0.0, math.inf, "kg")
    if fresh_mass <= free_mass:
        return after_fresh_water(salinity, mass, fresh_mass), 0.0
    spilled = fresh_mass - free_mass
    return after_fresh_water(salinity, mass, free_mass) * math.exp(-spilled / (mass + free_mass)), spilled


def constant_rates(
    salinity: float,
    mass: float,
    inflow: float,
    inflow_salinity: float,
    outflow: float,
    evaporation: float,
    time: float,
) -> tuple[float, float]:
    """Salinity and mass after a time of steady inflow, outflow and evaporation: the exact solution.

    m(t) = m0 + r t, r = q_in - q_out - e; with a = q_in - e and x = ln(1 + r t/m0)/r (t/m0 when r is 0)
    S(t) = S0 exp(-a x) + q_in S_in [1 - exp(-a x)]/a

    salinity: at the start [S].
    mass: at the start, above 0 [kg].
    inflow: 0 or more [kg/s].
    inflow_salinity: of the inflow as a whole; for several, their mean by mass [S].
    outflow: of tank water, 0 or more [kg/s].
    evaporation: of pure water, 0 or more [kg/s].
    time: 0 or more, before the tank is empty [s].
    Returns the salinity [S] and the mass [kg] after the time.
    Raises ValueError when the tank would be empty before.
    Source: balance of salt and water, well mixed; linear equation of the first order.

    >>> [round(x, 3) for x in constant_rates(35.0, 300.0, 0.0, 0.0, 0.0, 4.0 / 86400.0, 5 * 86400.0)]
    [37.5, 280.0]
    """
    net = inflow - outflow - evaporation
    mass_after = mass + net * time
    require_positive("mass", mass, "kg")
    require_positive("mass left", mass_after, "kg")
    growth = net * time / mass
    stretch = time / mass * (math.log1p(growth) / growth if growth != 0.0 else 1.0)
    turned_over = (inflow - evaporation) * stretch
    share = -math.expm1(-turned_over) / turned_over if turned_over != 0.0 else 1.0
    return salinity * math.exp(-turned_over) + inflow * inflow_salinity * stretch * share, mass_after

"""Deionising resin: what it holds, and how many litres it lasts."""

from dewpond.physics.ranges import require_positive

CACO3_PER_EQUIVALENT = 0.05004
"""Calcium carbonate that counts for one mole of charge [kg/mol]. Source: molar mass 100.09 g over 2."""

NEW_RESIN = 457.0
"""Capacity of new mixed bed [mol/m3 of charge], 10,000 grain/ft3. Source: common practice, no source."""

REGENERATED_RESIN = 412.0
"""Capacity of regenerated mixed bed [mol/m3 of charge], 9,000 grain/ft3. Source: common practice, no source."""


def ionic_load(salt_concentration: float, carbon_dioxide: float) -> float:
    """What a litre of water asks of the resin, counted as calcium carbonate.

    load = 0.856 C(NaCl) + 1.137 C(CO2)

    Carbon dioxide passes the membrane, and no conductivity meter shows it.

    salt_concentration: dissolved matter counted as sodium chloride [kg/m3].
    carbon_dioxide: dissolved gas [kg/m3].
    Returns the load [kg/m3 as CaCO3].
    Source: ratio of equivalent masses, 50.04/58.44 and 50.04/44.01.

    >>> round(ionic_load(0.010, 0.010) * 1e3, 2)
    19.93
    """
    return 0.856 * salt_concentration + 1.137 * carbon_dioxide


def resin_lasts(capacity: float, resin_volume: float, load: float) -> float:
    """Water that a bed of resin purifies before it is spent.

    V = q Vr 50.04 g/mol / load

    A spent mixed bed does not merely stop: it lets weakly held matter go in a pulse (from memory).

    capacity: of the resin as charge, see NEW_RESIN [mol/m3].
    resin_volume: [m3].
    load: of ionic_load, above 0 [kg/m3 as CaCO3].
    Returns the volume of water [m3].
    Raises ValueError when the load is not above 0.
    Source: arithmetic; 1 eq/L is 21.87 kilograin/ft3 and 50.04 g/L after Michaud, WC&P International, March 2011.

    >>> round(resin_lasts(NEW_RESIN, 0.65e-3, 0.010) * 1e3)
    1486
    """
    require_positive("load", load, "kg/m3")
    return capacity * CACO3_PER_EQUIVALENT * resin_volume / load

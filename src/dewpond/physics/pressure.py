"""What raises, holds and stores pressure in a water line: regulator, booster pump, tank with a cushion of air."""

import math

from dewpond.physics.ranges import require, require_positive
from dewpond.physics.water import ATMOSPHERE

LOCKING_FLOW = 0.05e-3 / 60.0
"""Flow below which a pressure regulator begins to press its seat tight [m3/s].
Source: none, our own estimate: a twentieth of a litre a minute."""


def regulated_pressure(flow: float, held: float, rises: float, droop: float, locking: float = LOCKING_FLOW) -> float:
    """Pressure that a direct-acting pressure regulator holds behind it while its valve throttles.

    p = held - droop Q + rises max(0, 1 - Q / locking)

    flow: through it, 0 or more [m3/s].
    held: what its spring is set to, as a gauge behind it shows at a small flow [Pa].
    rises: how much more stands there at rest, until the seat is tight, 0 or more [Pa].
    droop: what the pressure falls by with the flow, 0 or more [Pa/(m3/s)].
    locking: flow below which it begins to rise, above 0 [m3/s].
    Returns the gauge pressure; the regulator gives no more than its open valve lets through [Pa].
    Raises ValueError when an argument is out of its range.
    Source: droop and lock-up of a spring-loaded regulator, both as straight lines: common practice, no source.

    >>> round(regulated_pressure(1e-3 / 60.0, 3.0e5, 0.3e5, 0.1e5 * 60e3) / 1e5, 2)
    2.9
    >>> regulated_pressure(0.0, 3.0e5, 0.3e5, 0.1e5 * 60e3)
    330000.0
    """
    require("flow", flow, 0.0, 1.0, "m3/s")
    require_positive("locking flow", locking, "m3/s")
    return held - droop * flow + rises * max(0.0, 1.0 - flow / locking)


def head_at_rest(adds: float, flow: float, most: float) -> float:
    """What a pump adds when nothing flows, from what it adds at one flow and the most that it gives.

    H0 = H / (1 - (Q/Qm)^2), for the curve H = H0 (1 - (Q/Qm)^2)

    adds: pressure that it adds at ``flow``, above 0 [Pa].
    flow: 0 or more, below ``most`` [m3/s].
    most: flow at which it adds nothing, above 0 [m3/s].
    Returns the pressure [Pa].
    Raises ValueError when an argument is out of its range.
    Source: the quadratic pump curve of EPANET's single-point and three-point curves with exponent 2.

    >>> head_at_rest(3e5, 1.0, 2.0)
    400000.0
    """
    require_positive("pressure added", adds, "Pa")
    require_positive("greatest flow", most, "m3/s")
    require("flow", flow, 0.0, most * (1.0 - 1e-9), "m3/s")
    return adds / (1.0 - (flow / most) * (flow / most))


def cushion_volume(shell: float, precharge: float, gauge: float) -> float:
    """Water in a tank whose bladder of air was pumped up while it was empty.

    V = Vs (1 - (p0 + A) / (p + A)), nothing below the precharge

    shell: volume of the whole tank, above 0 [m3].
    precharge: gauge pressure of the air with no water in it, 0 or more [Pa].
    gauge: pressure of the water [Pa].
    Returns the volume of water [m3].
    Raises ValueError when an argument is out of its range.
    Source: Boyle's law, air at one temperature; A = 101325 Pa.

    >>> round(cushion_volume(12e-3, 0.5e5, 2.5e5) * 1e3, 2)
    6.83
    """
    require_positive("volume of the tank", shell, "m3")
    require("precharge", precharge, 0.0, math.inf, "Pa")
    if gauge <= precharge:
        return 0.0
    return shell * (1.0 - (precharge + ATMOSPHERE) / (gauge + ATMOSPHERE))


def cushion_pressure(shell: float, precharge: float, volume: float) -> float:
    """Gauge pressure of a tank with a cushion of air that holds so much water: the other way round.

    p = (p0 + A) Vs / (Vs - V) - A

    shell: volume of the whole tank, above 0 [m3].
    precharge: gauge pressure of the air with no water in it [Pa].
    volume: of the water, 0 or more and below ``shell`` [m3].
    Returns the pressure [Pa].
    Raises ValueError when an argument is out of its range.
    Source: as cushion_volume.

    >>> round(cushion_pressure(12e-3, 0.5e5, 6.83e-3) / 1e5, 2)
    2.5
    """
    require_positive("volume of the tank", shell, "m3")
    require("volume", volume, 0.0, shell * (1.0 - 1e-9), "m3")
    return (precharge + ATMOSPHERE) * shell / (shell - volume) - ATMOSPHERE

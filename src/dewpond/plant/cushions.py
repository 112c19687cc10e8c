"""A tank under pressure as a store of the kernel: its level is the head of its pressure, its table Boyle's law.

So its water is held and moved as that of any vessel, to the last drop, and steps are as fine as its litres ask for.
"""

from __future__ import annotations

from dewpond.physics.pressure import cushion_volume
from dewpond.physics.water import ATMOSPHERE, G

GIVES = 1e-10  # what bladder and shell give way before the air does: 10 mL for each bar [m3/Pa]; our prior, 1 to 30 mL
RATIO = 1.06  # of the pressures of two rows, absolute: a straight line between them misses 0.05 % of the tank
HIGHEST = 25e5  # no house comes there [Pa]


def table(shell: float, precharge: float, rho: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Heads [m] and volumes [m3] of a tank of ``shell`` [m3] whose air stood at ``precharge`` [Pa] while it was empty.

    It can be sucked empty, to the pressure of nothing. No row lies at that of the room: a step ends at every row.
    """
    gauges, absolute = [-ATMOSPHERE], precharge + ATMOSPHERE
    while absolute - ATMOSPHERE < HIGHEST:
        gauges.append(absolute - ATMOSPHERE)
        absolute *= RATIO
    volumes = (GIVES * (gauge + ATMOSPHERE) + cushion_volume(shell, precharge, gauge) for gauge in gauges)
    return tuple(gauge / (rho * G) for gauge in gauges), tuple(volumes)

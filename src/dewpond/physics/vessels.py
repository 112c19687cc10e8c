"""Closed forms for tanks, sumps and return chambers: volumes, and times until something happens."""

import math

from dewpond.physics.ranges import require, require_positive
from dewpond.physics.water import G


def horizontal_cylinder_volume(radius: float, length: float, depth: float) -> float:
    """Water in a lying cylinder with flat ends.

    V = L {R^2 acos[(R - h)/R] - (R - h)(2 R h - h^2)^0.5}

    radius, length: above 0 [m].
    depth: of the water, 0 to twice the radius [m].
    Returns the volume [m3].
    Raises ValueError outside the range.
    Source: circular segment, geometry.

    >>> round(horizontal_cylinder_volume(0.15, 0.6, 0.10) * 1e3, 3)
    12.375
    """
    require_positive("radius", radius, "m")
    require("depth", depth, 0.0, 2.0 * radius, "m")
    below_axis = radius - depth
    half_width = math.sqrt(depth * (2.0 * radius - depth))
    # The angle by atan2: acos loses half its digits near the crown and the bottom.
    return length * (radius * radius * math.atan2(half_width, below_axis) - below_axis * half_width)


def fall_rate(surface: float, loss: float) -> float:
    """How fast a level falls. All of a system's evaporation shows in its return chamber.

    dh/dt = -Q/A, given as a positive number

    surface: of the chamber that shows the loss, above 0 [m2].
    loss: evaporation or leak [m3/s].
    Returns the rate [m/s].
    Raises ValueError when the surface is not above 0.
    Source: continuity.

    >>> round(fall_rate(0.06, 4e-3 / 86400.0) * 86400e3, 1)
    66.7
    """
    require_positive("surface", surface, "m2")
    return loss / surface


def time_to_volume(volume: float, inflow: float, loss: float) -> float:
    """Time until a net flow has filled, or emptied, a volume.

    t = V / |q - E|

    Three uses: free volume of a sump under an endless top-off (until it overflows); the same less the drain-down volume
    (until a power cut would make it overflow); a return chamber without top-off (until its pump draws air).

    volume: 0 or more [m3].
    inflow: 0 or more [m3/s].
    loss: evaporation or leak, 0 or more [m3/s].
    Returns the time; endless when the two flows are equal [s].
    Raises ValueError when the volume is negative.
    Source: continuity.

    >>> round(time_to_volume(0.06 * 0.060, 0.0, 4e-3 / 86400.0) / 3600.0, 1)
    21.6
    """
    require("volume", volume, 0.0, math.inf, "m3")
    net = abs(inflow - loss)
    return volume / net if net > 0.0 else math.inf


def drain_down_volume(
    display_surface: float, weir_head: float, siphon_depth: float, pipe_volume: float, box_volume: float
) -> float:
    """Water that falls into the sump when the return pump stops.

    V = A (h_w + d_s) + V_pipe + V_box

    display_surface: [m2].
    weir_head: of the running overflow, see openings.weir_head [m].
    siphon_depth: how far below the overflow's crest the return nozzle can draw before it takes air [m].
    pipe_volume, box_volume: water in the pipes and in the overflow box [m3].
    Returns the volume [m3].
    Source: continuity.

    >>> round(drain_down_volume(0.72, 0.01316, 0.025, 0.74e-3, 3e-3) * 1e3, 1)
    31.2
    """
    return display_surface * (weir_head + siphon_depth) + pipe_volume + box_volume


def fill_cycle(surface: float, band: float, pump_flow: float, evaporation: float) -> tuple[float, float]:
    """Run and pause of a top-off that fills from a low mark to a high one.

    run = A b / (q - E), pause = A b / E

    surface: of the chamber with the two marks, above 0 [m2].
    band: between the marks, above 0 [m].
    pump_flow: above the evaporation [m3/s].
    evaporation: above 0 [m3/s].
    Returns the run and the pause [s].
    Raises ValueError outside the range; a pump weaker than the evaporation never ends its run.
    Source: continuity.

    >>> [round(t) for t in fill_cycle(0.06, 0.010, 60e-3 / 3600.0, 4e-3 / 86400.0)]
    [36, 12960]
    """
    require_positive("surface", surface, "m2")
    require_positive("band", band, "m")
    require_positive("evaporation", evaporation, "m3/s")
    require_positive("pump flow less evaporation", pump_flow - evaporation, "m3/s")
    volume = surface * band
    return volume / (pump_flow - evaporation), volume / evaporation


def vortex_submergence(inlet_diameter: float, flow: float) -> float:
    """Depth of an inlet below the water at which no vortex draws air.

    S = D (1 + 2.3 F), F = v / (g D)^0.5

    Made for pumping stations; strainers and baffles of aquaria get by with 30 to 50 mm (common practice, no source).

    inlet_diameter: of the open inlet, or of the strainer around it, above 0 [m].
    flow: 0 or more [m3/s].
    Returns the depth [m].
    Raises ValueError when the diameter is not above 0.
    Source: ANSI/HI 9.8 (formula second-hand).

    >>> round(vortex_submergence(0.100, 3.0 / 3600.0) * 1e3)
    125
    """
    require_positive("inlet diameter", inlet_diameter, "m")
    velocity = flow / (0.25 * math.pi * inlet_diameter * inlet_diameter)
    return inlet_diameter * (1.0 + 2.3 * velocity / math.sqrt(G * inlet_diameter))

"""Flow through tubes, fittings, valves and siphons."""

import math

from dewpond.physics.ranges import require, require_positive
from dewpond.physics.roots import bisect
from dewpond.physics.water import head_pressure

DRAWN_PLASTIC = 1.5e-6
"""Roughness of drawn plastic tube [m]. Source: Moody's value for drawn tubing (from memory)."""

SHARP_ENTRY = 0.5
"""Loss coefficient of a sharp-edged entry from a vessel [1]. Source: four handbooks, after the fluids documentation."""

FREE_OUTLET = 1.0
"""Velocity head carried away at a tube's open end [1]. Source: Bernoulli."""

FITTINGS: dict[str, tuple[float, float]] = {
    "elbow": (800.0, 0.40),
    "sharp elbow": (1000.0, 1.15),
    "tee, straight through": (200.0, 0.10),
    "tee, into the branch": (500.0, 0.70),
    "ball valve": (500.0, 0.15),
    "needle or angle valve": (1500.0, 4.0),
    "swing check": (1500.0, 1.5),
}
"""K1 and Kinf of each kind of fitting [1]: screwed elbow, mitred elbow, screwed tees, reduced-trim ball valve, globe
valve, swing check valve. No table for push-in fittings is known; these are their nearest relatives.
Source: Hooper 1981, Chemical Engineering 88(17), 96-100."""


def reynolds(flow: float, bore: float, water_density: float, water_viscosity: float) -> float:
    """Reynolds number of the flow in a round tube.

    Re = 4 rho |Q| / (pi mu D)

    flow: either direction [m3/s].
    bore: inside diameter, above 0 [m].
    water_density: [kg/m3].
    water_viscosity: dynamic, above 0 [Pa.s].
    Returns the Reynolds number [1], never negative.
    Source: definition.

    >>> round(reynolds(0.2e-3 / 60.0, 4.318e-3, 999.7, 1.3059e-3))
    752
    """
    return 4.0 * water_density * abs(flow) / (math.pi * water_viscosity * bore)


def friction_factor(reynolds_number: float, relative_roughness: float) -> float:
    """Darcy friction factor of a round tube, one continuous formula from laminar to turbulent.

    f = 8 [(8/Re)^12 + (A + B)^-1.5]^(1/12),
    A = {2.457 ln 1/[(7/Re)^0.9 + 0.27 e/D]}^16, B = (37530/Re)^16

    Below Re 100 the second term is under the last digit, and f is 64/Re. Between 2000 and 4000 no law is certain:
    tests and other laws lie up to 30 % away.

    reynolds_number: above 0 [1].
    relative_roughness: roughness over bore, 0 to 0.05 [1].
    Returns the Darcy factor [1].
    Source: Churchill 1977, Chemical Engineering 84(24), 91-92; agrees with the same formula in the library fluids.

    >>> round(friction_factor(1e5, 1e-4), 5)
    0.01846
    """
    if reynolds_number < 100.0:
        return 64.0 / reynolds_number
    # Products instead of integer powers: the plant's compiled kernel repeats them, and both must agree to the last bit.
    laminar = 8.0 / reynolds_number
    laminar2 = laminar * laminar
    laminar4 = laminar2 * laminar2
    rough = 2.457 * math.log(1.0 / (math.pow(7.0 / reynolds_number, 0.9) + 0.27 * relative_roughness))
    rough2 = rough * rough
    rough4 = rough2 * rough2
    rough8 = rough4 * rough4
    between = 37530.0 / reynolds_number
    between2 = between * between
    between4 = between2 * between2
    between8 = between4 * between4
    turbulent = math.pow(rough8 * rough8 + between8 * between8, -1.5)
    return 8.0 * math.pow(laminar4 * laminar4 * laminar4 + turbulent, 1.0 / 12.0)


def friction_factor_epanet(reynolds_number: float, relative_roughness: float) -> float:
    """Darcy friction factor by the three laws of the EPANET engine, for comparison with that engine only.

    64/Re below 2000; Swamee-Jain f = 0.25 / [log10(e/(3.7 D) + 5.74/Re^0.9)]^2 from 4000; Dunlop's cubic between.

    reynolds_number: above 0 [1].
    relative_roughness: roughness over bore, 0 to 0.01 [1].
    Returns the Darcy factor [1].
    Source: EPANET 2.2 user manual, appendix D; Dunlop 1991 for the cubic (constants from memory, confirmed by
    the engine's head losses in the tests).

    >>> round(friction_factor_epanet(5000.0, 3.474e-4), 5)
    0.03829
    """
    if reynolds_number <= 2000.0:
        return 64.0 / reynolds_number
    y2 = relative_roughness / 3.7 + 5.74 / math.pow(max(reynolds_number, 4000.0), 0.9)
    y3 = -0.8685889638065 * math.log(y2)
    fa = 1.0 / (y3 * y3)
    if reynolds_number >= 4000.0:
        return fa
    fb = fa * (2.0 - 0.00514214965799 / (y2 * y3))
    r = reynolds_number / 2000.0
    x1 = 7.0 * fa - fb
    x2 = 0.128 - 17.0 * fa + 2.5 * fb
    x3 = -0.128 + 13.0 * fa - 2.0 * fb
    x4 = 0.032 - 3.0 * fa + 0.5 * fb
    return x1 + r * (x2 + r * (x3 + r * x4))


def fitting_loss(fitting: str, reynolds_number: float, bore: float) -> float:
    """Loss coefficient of a fitting, larger in small bores and slow flow.

    K = K1/Re + Kinf (1 + 25.4 mm/D)

    fitting: a key of FITTINGS.
    reynolds_number: above 0 [1].
    bore: inside diameter of the tube, above 0 [m].
    Returns K, to be multiplied by the velocity head [1].
    Raises KeyError for a fitting that the table does not hold.
    Source: Hooper 1981 (two-K method), screwed fittings standing in for push-in ones: no better table is known.

    >>> round(fitting_loss("elbow", 1e4, 4.318e-3), 2)
    2.83
    """
    k1, k_infinite = FITTINGS[fitting]
    return k1 / reynolds_number + k_infinite * (1.0 + 0.0254 / bore)


def tube_pressure_drop(
    flow: float,
    bore: float,
    length: float,
    loss_sum: float,
    water_density: float,
    water_viscosity: float,
    roughness: float = DRAWN_PLASTIC,
) -> float:
    """Pressure lost along a round tube with fittings.

    dp = (f L/D + sum K) rho v |v| / 2

    flow: either direction [m3/s].
    bore: true inside diameter, above 0; never the nominal size [m].
    length: 0 or more [m].
    loss_sum: sum of the loss coefficients, 0 or more [1].
    water_density: [kg/m3].
    water_viscosity: dynamic [Pa.s].
    roughness: of the wall [m].
    Returns the drop in the direction of positive flow, with the sign of the flow [Pa].
    Raises ValueError when the bore is not above 0.
    Source: Darcy-Weisbach with friction_factor.

    >>> round(tube_pressure_drop(2e-3 / 60.0, 4.318e-3, 10.0, 12.0, 998.2, 1.0016e-3) / 1e3)
    221
    """
    require_positive("bore", bore, "m")
    if flow == 0.0:
        return 0.0
    factor = friction_factor(reynolds(flow, bore, water_density, water_viscosity), roughness / bore)
    velocity = 4.0 * flow / (math.pi * bore * bore)
    return (factor * length / bore + loss_sum) * 0.5 * water_density * velocity * abs(velocity)


def tube_flow(
    pressure_difference: float,
    bore: float,
    length: float,
    loss_sum: float,
    water_density: float,
    water_viscosity: float,
    roughness: float = DRAWN_PLASTIC,
) -> float:
    """Flow that a pressure difference drives through a round tube with fittings.

    tube_pressure_drop solved for the flow. A tube that ends in the open needs FREE_OUTLET in its loss sum.

    pressure_difference: inlet less outlet, either sign [Pa].
    bore: above 0 [m].
    length: 0 or more [m].
    loss_sum: 0 or more; above 0 when the length is 0 [1].
    water_density, water_viscosity, roughness: [kg/m3], [Pa.s], [m].
    Returns the flow with the sign of the pressure difference [m3/s].
    Raises ValueError when nothing resists the flow.
    Source: as tube_pressure_drop.

    >>> round(tube_flow(4e5, 4.318e-3, 5.0, 10.0, 999.1, 1.1376e-3) * 60e3, 2)
    3.82
    """
    require_positive("bore", bore, "m")
    if length <= 0.0 and loss_sum <= 0.0:
        raise ValueError("a tube needs a length or a loss coefficient, else its flow has no bound")
    drive = abs(pressure_difference)
    if drive == 0.0:
        return 0.0
    # Friction is never below the laminar law and never negative: either alone bounds the flow from above.
    bounds = []
    if length > 0.0:
        bounds.append(math.pi * bore**4 * drive / (128.0 * water_viscosity * length))
    if loss_sum > 0.0:
        bounds.append(0.25 * math.pi * bore * bore * math.sqrt(2.0 * drive / (water_density * loss_sum)))

    def excess(flow: float) -> float:
        return tube_pressure_drop(flow, bore, length, loss_sum, water_density, water_viscosity, roughness) - drive

    # The small margin keeps the bound on the far side of the answer where only one of the two resists.
    return math.copysign(bisect(excess, 0.0, min(bounds) * (1.0 + 1e-9)), pressure_difference)


def hole_as_loss(bore: float, hole_diameter: float, discharge_coefficient: float) -> float:
    """Loss coefficient, on the tube's velocity head, of a hole at the end of the tube.

    K = [D^2 / (Cd d^2)]^2

    Added to a tube's loss sum it solves the hole and the tube that feeds it together, as they must be: alone, an
    orifice of the bore of a 1/4 in tube passes four times what five metres of that tube can feed.

    bore: of the feeding tube, above 0 [m].
    hole_diameter: above 0 [m].
    discharge_coefficient: 0.5 to 1 [1]; 1 with the hole as wide as the bore is a tube blown off its fitting.
    Returns the loss coefficient, the outlet's velocity head included [1].
    Raises ValueError outside the range.
    Source: the orifice law written on the velocity in the tube.

    >>> hole_as_loss(4e-3, 4e-3, 1.0)
    1.0
    """
    require_positive("bore", bore, "m")
    require_positive("hole diameter", hole_diameter, "m")
    require("discharge coefficient", discharge_coefficient, 0.5, 1.0, "1")
    ratio = bore * bore / (discharge_coefficient * hole_diameter * hole_diameter)
    return ratio * ratio


def valve_pressure_drop(flow: float, flow_at_1_bar: float, water_density: float) -> float:
    """Pressure lost in a valve of known Kv.

    dp = 1 bar (Q/Q1)^2 rho / (1000 kg/m3)

    flow: either direction [m3/s].
    flow_at_1_bar: the valve's Kv as a flow, that is Kv in m3/h over 3600, above 0 [m3/s].
    water_density: [kg/m3].
    Returns the drop with the sign of the flow [Pa].
    Raises ValueError when the Kv is not above 0.
    Source: IEC 60534 (definition of Kv).

    >>> round(valve_pressure_drop(1e-3 / 60.0, 0.15 / 3600.0, 1000.0))
    16000
    """
    require_positive("flow at 1 bar", flow_at_1_bar, "m3/s")
    ratio = flow / flow_at_1_bar
    return 1e5 * ratio * abs(ratio) * water_density / 1000.0


def valve_flow(pressure_difference: float, flow_at_1_bar: float, water_density: float) -> float:
    """Flow through a valve of known Kv.

    Q = Q1 [dp / 1 bar * 1000 kg/m3 / rho]^0.5

    pressure_difference: inlet less outlet, either sign [Pa].
    flow_at_1_bar: Kv in m3/h over 3600 [m3/s].
    water_density: above 0 [kg/m3].
    Returns the flow with the sign of the pressure difference [m3/s].
    Source: IEC 60534 (definition of Kv).

    >>> round(valve_flow(1e5, 0.15 / 3600.0, 1000.0) * 3600.0, 3)
    0.15
    """
    size = flow_at_1_bar * math.sqrt(abs(pressure_difference) / 1e5 * 1000.0 / water_density)
    return math.copysign(size, pressure_difference)


def siphon_flow(
    level_difference: float, bore: float, length: float, loss_sum: float, water_density: float, water_viscosity: float
) -> float:
    """Flow through a primed tube between two levels.

    tube_flow under rho g h

    level_difference: source level less the outlet end, or less the receiving level when the outlet is submerged [m].
    bore, length: of the whole tube, the rise to the crest included [m].
    loss_sum: with SHARP_ENTRY and FREE_OUTLET [1].
    water_density, water_viscosity: [kg/m3], [Pa.s].
    Returns the flow, negative when water runs back [m3/s].
    Source: Bernoulli with friction.

    >>> round(siphon_flow(0.1, 4e-3, 2.5, 3.0, 998.2, 1.0016e-3) * 3.6e6, 1)
    8.4
    """
    pressure = head_pressure(level_difference, water_density)
    return tube_flow(pressure, bore, length, loss_sum, water_density, water_viscosity)


def siphon_keeps_flowing(
    source_level: float, outlet_end: float, receiving_level: float | None = None, vent_height: float | None = None
) -> bool:
    """Whether water goes on running through a primed tube after the pump has stopped.

    It does while the source stands above the outlet end (or above the receiving level, where that covers the outlet),
    unless air enters at a point above the source level. An air gap at the outlet changes nothing.

    source_level, outlet_end: heights over one datum [m].
    receiving_level: level around the outlet; None when the outlet hangs in air [m].
    vent_height: height of a hole or siphon break in the tube; None without one [m].
    Returns True when it flows.
    Source: hydrostatics.

    >>> siphon_keeps_flowing(1.0, 0.8), siphon_keeps_flowing(1.0, 0.8, vent_height=1.1)
    (True, False)
    """
    if vent_height is not None and vent_height > source_level:
        return False
    lower = outlet_end if receiving_level is None else max(outlet_end, receiving_level)
    return source_level > lower

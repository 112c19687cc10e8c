"""What the pumps share whose rollers squeeze a soft tube: worn rollers, joints before the pump, the tube behind it."""

from __future__ import annotations

from dewpond.parts.base import Lowering
from dewpond.parts.plumbing import JOINT_BLOWS_OFF, JOINT_WEEPS, TUBES, WEEP, disc, loss_of_heads, loss_of_hole

BORE = TUBES["6x4"][1]  # of the tube behind it [m]; our prior
LENGTH = 2.0  # [m]; our prior, 1 to 5 m
GAP = 0.3e-3  # hole that a worn roller leaves [m]; our prior, 0.1 to 1 mm
HEADS = 3.0  # velocity heads lost on the way in [1]; our prior


def way_in(b: Lowering, tap: int, z: float, under_water: int) -> int:
    """The node before the rollers at a height [m], to which water comes while the inlet is ``under_water``."""
    inlet = b.junction(z)
    b.orifice(tap, inlet, loss_of_heads(HEADS, BORE), under_water)
    return inlet


def past_the_rollers(b: Lowering, fault: str, running: int, inlet: int, joint: int, z: float) -> None:
    """Shut by the rollers; worn, a small hole, once the pump has run and as long as the tube stays full."""
    behind, gap = b.junction(z), b.gate_leak()
    b.orifice(inlet, behind, loss_of_heads(HEADS, BORE), b.gate_primed(running))
    b.orifice(behind, joint, loss_of_hole(disc(GAP)), gap)
    b.fault(fault, [("low", gap, 1.0)])


def joints_before(b: Lowering, inlet: int, z: float, place: str, draws_water: int, ends: float, where: str) -> None:
    """A joint that has blown off before the pump lets the vessel out, and the pump draws air."""
    b.leak(inlet, z, place, JOINT_WEEPS.name, disc(WEEP), where=where, sites=ends)
    off = b.gate_leak()
    b.orifice(inlet, b.open_end(z, place), loss_of_hole(disc(BORE)), off)
    b.fault(JOINT_BLOWS_OFF.name, [("low", off, 1.0), ("high", draws_water, 0.0)], where, ends)

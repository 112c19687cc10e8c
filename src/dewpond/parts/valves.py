"""What valves share: what they let through, the joints at their two sides, and how one obeys a controller."""

from __future__ import annotations

from dewpond.parts.base import Lowering, Param, PartView, Source
from dewpond.parts.plumbing import circuit_of, leak_at_joints, powered
from dewpond.vocabulary import Word

SHUT, OPEN, STAYS = str(Word.SHUT), str(Word.OPEN), str(Word.STAYS_AS_IT_IS)


def flow_at_1_bar(default: float, span: tuple[float, float], usual: tuple[float, float], source: Source) -> Param:
    """The key for what a valve lets through: its default, what is allowed and what is usual [m3/s at 1 bar]."""
    return Param(
        "flow at 1 bar",
        "flow",
        "What it lets through when open, at a pressure difference of 1 bar (a Kv of 1 m3/h is 16.7 L/min).",
        default=default,
        low=span[0],
        high=span[1],
        usual=usual,
        source=source,
    )


BALL_FLOW = flow_at_1_bar(
    12e-3 / 60.0,
    (0.5e-3 / 60.0, 200e-3 / 60.0),
    (2e-3 / 60.0, 100e-3 / 60.0),
    Source(
        "quarter-turn ball valve in 1/4 in tube, 1.1 velocity heads after Hooper 1981",
        "derived",
        6e-3 / 60.0,
        20e-3 / 60.0,
    ),
)


def leak_on_both_sides(p: PartView, b: Lowering, inlet: int, outlet: int, z: float) -> None:
    """Tie the joint faults of a valve at height ``z`` [m]: half of its tube ends before it, half behind it."""
    half = 0.5 * p["tube ends"]
    leak_at_joints(b, inlet, z, p["in"], half, where="before the valve")
    leak_at_joints(b, outlet, z, p["in"], half, where="behind the valve")


def obeys(p: PartView, b: Lowering, resting: str, acting: str) -> tuple[int, int]:
    """Make the part obey its controller: the signals of the order ``acting``, and that there is power for it."""
    circuit = circuit_of(p, b)
    order, live = b.later(), b.any(powered(circuit, b))
    b.actuator(resting, acting, circuit, lambda ordered, let: b.define(order, b.all(ordered, let)))
    return order, live

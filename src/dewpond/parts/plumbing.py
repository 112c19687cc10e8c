"""What the parts that water runs through share: sizes of tube, joints and how they leak, common keys."""

from __future__ import annotations

import math

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Level, Lowering, Param, PartView, Rate, Source
from dewpond.physics.openings import TUBE_WALL
from dewpond.physics.water import G

PRIOR = "our prior"
TRADE = "common practice, no source"
MEMORY = "from memory"

WATER = 1000.0  # density for constants of valves and holes [kg/m3]; nothing here is known to 0.3 %
DAY = 86400.0
MONTH = 30.0 * DAY
YEAR = 365.0 * DAY

TUBES: dict[str, tuple[float, float]] = {
    "1/4 in": (6.35e-3, 4.318e-3),
    "3/8 in": (9.525e-3, 6.35e-3),
    "1/2 in": (12.7e-3, 9.525e-3),
    "6x4": (6.0e-3, 4.0e-3),
    "8x6": (8.0e-3, 6.0e-3),
}
"""Outside diameter and bore of each size of tube [m]: the name is the outside.
Source: catalogue sizes (from memory)."""

TUBE_SOURCE = Source("bores of catalogue sizes; the size a tube is sold under is its outside", MEMORY)

QUARTER_INCH = TUBES["1/4 in"][1]
BEARS_HEAT = 318.15  # that a membrane bears at most, 45 C by most sheets; from memory, 40 to 45 C [K]
RUNNING = 1e-6 / 60.0  # what counts as water that runs: a millilitre a minute [m3/s]
HOT_AFTER = 60.0  # until hot water has come through the tubes before it [s]; our prior
WEEP = 0.2e-3  # hole that lets out about 2 L/h at 4 bar [m]
PIN_HOLE = 0.5e-3  # [m]

FEED_SIDE, BEHIND_RESTRICTOR = "feed side", "behind its restrictor"
"""Ports of a unit that are for no `after`: inside its housing, and where its waste has passed the restrictor."""

AFTER = Param(
    "after",
    "part",
    "The part it follows, as the water runs.",
    roles=("source", "line", "device", "vessel"),
    also=("from", "fed by", "behind", "follows"),
    joins="out",
)
IN = Param(
    "in",
    "place",
    "The place it stands in; its leaks wet that place first.",
    also=("place", "room", "location", "where"),
)
IN_IF_ELSEWHERE = Param("in", "place", "The place it stands in; the place of its vessel when left out.", default=None)
IN_IF_KNOWN = Param(
    "in",
    "place",
    "The place it hangs in; left out: not known.",
    default=None,
    also=("place", "room", "location", "where"),
)
HEIGHT = Param(
    "height",
    "height",
    "Its height above the floor of that place.",
    default=0.5,
    low=-2.0,
    high=4.0,
    usual=(-0.5, 2.5),
    source=Source("half a metre: one of many; it only shifts pressures by its own height", PRIOR, 0.0, 1.5),
)
BOTTOM = Param(
    "bottom",
    "level",
    "Height of its bottom above the floor or the tray it stands on.",
    default=Level(0.0, "floor"),
    source=Source("it stands on the floor", TRADE, 0.0, 0.5),
    also=("base height", "stands at"),
    usual=(0.0, 2.0),
    bare="",
)
DRIVEN_BY = Param(
    "driven by",
    "part",
    "The controller or relay whose orders it obeys; left out: it acts whenever its circuit has power, as what is "
    "plugged straight into a timer does.",
    default=None,
    roles=("box",),
    also=("controlled by", "switched by"),
)
THROUGH = Param(
    "through",
    "part",
    "The switched socket that its orders pass on their way; left out: the controller's own output feeds it.",
    default=None,
    roles=("link",),
    has=("ordered over",),
    also=("via", "plugged into", "socket"),
)
BEARS = Param(
    "bears at most",
    "pressure",
    "Highest pressure it is made for, as printed on it or on its sheet.",
    default=None,
    low=1e5,
    high=40e5,
    usual=(4e5, 21e5),
    source=Source(
        "left out: 120 psi, the class of push-in joints, filter bowls and small valves", MEMORY, 6.9e5, 10.3e5
    ),
    also=("maximum pressure", "rated pressure", "pressure rating", "max pressure"),
)
BRASS = "brass"


def wetted(usual: str | None) -> Param:
    """The key for what water touches in a valve; ``usual``: what is taken where nothing is said, None for nothing."""
    return Param(
        "wetted parts",
        "word",
        "What the water touches in it. Purified water eats brass, and takes copper and zinc along.",
        default=usual,
        words=("plastic", "stainless steel", BRASS),
        source=Source("bodies of most small electric valves", TRADE) if usual else None,
        also=("body", "material", "made of"),
    )


POWER = Param(
    "power",
    "part",
    "The power circuit, or the supply plugged into one, that feeds it; left out: that of what drives it.",
    default=None,
    roles=("circuit",),
)


def tube_ends(default: int) -> Param:
    """The key that counts the tube ends pushed into a part."""
    return Param(
        "tube ends",
        "count",
        "How many tube ends are pushed into it: count them, each can leak.",
        default=default,
        low=0,
        high=60,
        usual=(0, 40),
        source=Source("one at each side of the water's way", TRADE, 1.0, 60.0),
    )


def ends_of(p: PartView) -> int:
    """How many tube ends are pushed into a part: what it says; left out at one that parts the water, one at its inlet
    and one at each outlet; none at a part that knows no such key."""
    told, outlets = p.get("tube ends"), p.get("outlets")
    if told is None:
        return 0 if outlets is None else int(outlets) + 1
    return int(told)


WELDED_RATE = Rate(
    0.005, "per year", 5.0, Source("within its rating; 0.05 for an inductive load above it", PRIOR, 0.001, 0.05)
)

JOINT_RATE = Rate(
    0.001,
    "per joint-year",
    5.0,
    Source(
        "smallest joint leak of HyRAM+ (Sandia) 3.5e-5 a year times 30 for home work; and 1.9 water claims per 100 "
        "house-years (Insurance Information Institute), a quarter of them joints (GDV), on about 100 joints, times 20",
        "derived",
        2e-4,
        5e-3,
    ),
)

LEFT_BY_HAND = Rate(
    0.01,
    "per use",
    3.0,
    Source(
        "omissions 0.003 to 0.01 (THERP, from memory), 0.02 (HEART, routine task, second-hand)", "derived", 0.003, 0.03
    ),
)

JOINT_WEEPS = Fault(
    "joint weeps",
    "initiator",
    "A tube end is not quite tight: a thin trickle, about a jugful in half an hour at full pressure.",
    "a dry tissue held round each joint",
    JOINT_RATE,
)
JOINT_BLOWS_OFF = Fault(
    "joint blows off",
    "initiator",
    "A tube end slips out of its joint: all that the tube can give runs out, and what is behind it gets none.",
    "water on the floor; pull at every tube end after fitting it",
    tube_end=True,
)
JOINT_FAULTS = (JOINT_WEEPS, JOINT_BLOWS_OFF)

JOINT_NOTE = (
    "A weeping joint is a hole of 0.2 mm, a tube blown off is its full bore, both with a discharge coefficient of 0.7 "
    "(our prior, 0.62 to 0.82)."
)


def disc(diameter: float) -> float:
    """Area of a round opening [m] -> [m2]."""
    return 0.25 * math.pi * diameter * diameter


def leak_at_joints(
    b: Lowering, node: int, z: float, place: str, ends: float, bore: float = QUARTER_INCH, where: str = ""
) -> None:
    """Tie both joint faults at a node: ``ends`` tube ends of a ``bore`` [m] at height ``z`` [m], over ``place``."""
    b.leak(node, z, place, JOINT_WEEPS.name, disc(WEEP), TUBE_WALL, where, ends)
    b.leak(node, z, place, JOINT_BLOWS_OFF.name, disc(bore), TUBE_WALL, where, ends, cuts=True)


def loss_of_flow(flow: float, pressure: float) -> float:
    """k of ``dp = k Q^2`` [Pa/(m3/s)2] from one known flow [m3/s] at a pressure difference [Pa]."""
    return pressure / (flow * flow)


def loss_of_hole(area: float, discharge_coefficient: float = TUBE_WALL) -> float:
    """k of ``dp = k Q^2`` [Pa/(m3/s)2] of a hole [m2]: the orifice law."""
    effective = discharge_coefficient * area
    return WATER / (2.0 * effective * effective)


def loss_of_heads(heads: float, bore: float) -> float:
    """k of ``dp = k Q^2`` [Pa/(m3/s)2] of a number of velocity heads in a ``bore`` [m]."""
    area = disc(bore)
    return heads * WATER / (2.0 * area * area)


def tell_heat(b: Lowering, edge: int, what: str) -> None:
    """Have it told as a harm when hot water of the supply has come through an edge for a while; ``what``: in words."""
    hot = b.hot_water()
    if hot is not None:
        b.say(b.on_delay(b.all(hot, b.flow_above(edge, RUNNING, 0.5 * RUNNING)), HOT_AFTER), what, kind="harm")


def left_running(b: Lowering, fault: str, says: str) -> int:
    """A signal that a fault makes true until somebody comes and puts an end to it by hand; ``says``: what is told
    then."""
    left, ended = b.any(b.always(False)), b.later()
    b.hand_shut(lambda signal: b.define(ended, signal), run_to=False)
    b.fault(fault, [("force", left, 1.0)])
    b.say(b.all(left, ended), says, kind="stop")
    return b.all(left, b.no(ended))


def repeats(b: Lowering, every: float, lasts: float, stands: int | None = None) -> int:
    """A clock of its own: true for ``lasts`` [s] at the end of each ``every`` [s]; it stays as it is while ``stands``.

    A delay that feeds itself: the pause runs while it is false, and the end of the pause brings the next turn.
    """
    on = b.later()
    turns = b.off_delay(b.on_delay(b.no(on), every - lasts), lasts)
    b.define(on, turns if stands is None else b.hold(turns, stands))
    return on


def drain_gates(b: Lowering, to: str | None) -> list[int]:
    """Gates of what ends in a drain: open while that takes water; and, where it is one of the design, a second one
    that is open while it backs up and sends the water over the floor of its room."""
    backed = b.backed_up(to) if to else None
    if backed is None:
        return [b.gate_signal(b.always(True))]
    return [b.gate_signal(b.no(backed)), b.gate_signal(backed)]


def height_in_place(p: PartView, b: Lowering) -> float:
    """Height of a part above the datum [m]."""
    return b.place_height(p["in"]) + float(p["height"])


def supply_pressure_at(b: Lowering, z: float) -> float:
    """Gauge pressure of a resting supply at a height [m] -> [Pa]."""
    return b.season("supply") - WATER * G * z


def circuit_of(p: PartView, b: Lowering) -> str:
    """Name of the circuit that feeds a driven part: its own, else that of its driver; empty when neither says."""
    driver = p["driven by"]
    return str(p.get("power") or (b.part(driver).get("power") if driver else "") or "")


def driven(p: PartView, b: Lowering) -> int:
    """Signal that what drives a part has power and works; always, where nothing does."""
    return b.listens(p["driven by"]) if p["driven by"] else b.always(True)


def powered(name: str, b: Lowering) -> int:
    """Signal that is true while the circuit has power; always, when no circuit is named."""
    return b.circuit(name) if name else b.always(True)


def above_bottom(level: Level, rim: float) -> float | None:
    """A level as metres above its vessel's bottom, where the vessel alone tells; None when a floor must be known."""
    return {"bottom": level.value, "rim": rim - level.value}.get(level.measured)


def check_bottom(p: PartView) -> list[Finding]:
    """The bottom of a vessel is measured from what it stands on."""
    if p["bottom"].measured in ("floor", "tray"):
        return []
    return [
        Finding(
            "bottom-from-itself",
            "error",
            p.name,
            "The height of its bottom is not measured from the floor or the tray it stands on.",
            "Write for instance 'bottom: 5 cm above floor' or 'bottom: 5 cm above tray'.",
            key="bottom",
        )
    ]

"""A pressure tank with a bladder of air on the product side: it stores purified water under pressure.

Nothing goes in below the air's precharge; above it the air is pressed together (Boyle). So the unit runs in long turns
instead of many short ones, and a tap behind it runs fast. But all it holds comes out at once where the line behind the
membrane leaks: litres in minutes. It fails by its bladder (waterlogged: no air, no water to give), at its valve and its
joints, and rarely by its shell. Precharge of small tanks: common practice, no source. Rates: our priors.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, Upkeep
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    HEIGHT,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MONTH,
    PRIOR,
    QUARTER_INCH,
    TRADE,
    WEEP,
    disc,
    height_in_place,
    leak_at_joints,
    loss_of_flow,
    loss_of_heads,
    supply_pressure_at,
    tube_ends,
)
from dewpond.parts.valves import flow_at_1_bar
from dewpond.physics.membrane import SHUT_OFF_RATIO

HEADS = 0.7  # past the tee on which it hangs (Hooper 1981, tee run in 4.3 mm)
SHELL = 3e-6  # area of a hole that rust has made [m2]; our prior, 0.3 to 30 mm2
NO_PRIOR = "no statistics are known to us"

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "volume",
        "volume",
        "Volume of the whole tank, as on its label; water fills about half of it.",
        low=0.2e-3,
        high=0.3,
        usual=(2e-3, 0.1),
        also=("size", "capacity", "holds", "shell volume"),
    ),
    Param(
        "precharge",
        "pressure",
        "Pressure of its air, at its air valve, while the tank is empty of water.",
        default=0.5e5,
        low=0.0,
        high=4e5,
        usual=(0.2e5, 2.5e5),
        find_out="Shut its feed, let it run out, and put a tyre gauge on its air valve.",
        source=Source("small tanks leave the works with 5 to 8 psi", TRADE, 0.3e5, 1.4e5),
        also=("air pressure", "pre-charge", "air charge"),
    ),
    Param(
        "stands at",
        "pressure",
        "Pressure in it when a story begins: a gauge at rest. Left out: two thirds of the supply's.",
        default=None,
        low=0.0,
        high=10e5,
        usual=(0.3e5, 6e5),
        also=("pressure", "starts at"),
    ),
    flow_at_1_bar(
        6e-3 / 60.0,
        (0.5e-3 / 60.0, 100e-3 / 60.0),
        (1e-3 / 60.0, 60e-3 / 60.0),
        Source("a tank's ball valve with a metre of 1/4 in tube", PRIOR, 3e-3 / 60.0, 20e-3 / 60.0),
    ),
    BEARS,
    tube_ends(3),
    Param("precharge checked on", "date", "When its air was measured last, with no water in it.", default=None),
)

FAULTS = (
    Fault(
        "bladder burst",
        "latent",
        "Its bladder has burst or its air is gone: it is full of water, takes none and gives none.",
        "knock on it: full from top to bottom; water at its air valve; the unit starts for every glass",
        Rate(0.05, "per year", 3.0, Source("five to fifteen years are said of them; " + NO_PRIOR, PRIOR, 0.015, 0.15)),
    ),
    Fault(
        "valve leaks",
        "initiator",
        "The valve on top of it weeps at its stem or its thread: a thin trickle.",
        "a dry tissue round the valve",
        Rate(0.005, "per year", 5.0, Source(NO_PRIOR, PRIOR, 0.001, 0.025)),
    ),
    Fault(
        "shell rusts through",
        "initiator",
        "Its shell has a hole: all it holds runs out at once, and what the unit makes after it.",
        "rust at its foot or round its seam",
        Rate(0.001, "per year", 5.0, Source(NO_PRIOR, PRIOR, 2e-4, 5e-3)),
    ),
    *JOINT_FAULTS,
)


def lower(p: PartView, b: Lowering) -> None:
    """The line goes past a tee, and on its side the tank hangs; one whose bladder has burst is shut off from it."""
    z, place = height_in_place(p, b), p["in"]
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    stands = p["stands at"]
    if stands is None:
        stands = SHUT_OFF_RATIO[1] * max(supply_pressure_at(b, z), 0.0)
    tank = b.cushion(z, p["volume"], p["precharge"], float(stands))
    b.orifice(inlet, outlet, loss_of_heads(HEADS, QUARTER_INCH))
    springs = b.gate_signal(b.always(True))
    b.orifice(outlet, tank, loss_of_flow(p["flow at 1 bar"], 1e5), springs)
    b.fault("bladder burst", [("high", springs, 0.0)])
    b.leak(tank, z, place, "valve leaks", disc(WEEP))
    b.leak(tank, z, place, "shell rusts through", SHELL)
    leak_at_joints(b, outlet, z, place, p["tube ends"])


def check(p: PartView) -> list[Finding]:
    """With as much air as it stands at, no water goes in."""
    if p["stands at"] is None or p["stands at"] > p["precharge"]:
        return []
    what = "It stands at no more than its precharge, so that it holds no water."
    remedy = "Measure its air with the tank empty, and the pressure behind the membrane while nothing runs."
    return [Finding("bladder-empty", "warning", p.name, what, remedy, key="stands at")]


KIND = Kind(
    word="bladder tank",
    also=("pressure tank", "RO tank", "accumulator", "expansion tank", "storage tank under pressure"),
    section="water",
    role="line",
    summary="A closed tank with a cushion of air, which keeps litres of purified water under pressure behind the unit.",
    fails="Its bladder bursts, and it gives nothing; or it leaks, and all it holds is out within minutes.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "litres",
            "Let the unit fill it until the waste stops. Shut the feed, and let it run out into a bucket behind it.",
            "As many litres as the last time, within a fifth.",
            12.0 * MONTH,
        ),
        ProofTest(
            "dry tissue",
            "Wipe its valve and tube ends dry while it is full, and hold a dry tissue against each.",
            "The tissue stays dry, and its foot shows no rust.",
            6.0 * MONTH,
        ),
    ),
    upkeep=(
        Upkeep(
            "With its feed shut and the tank run empty, measure its air at the air valve and pump it up again.",
            12.0 * MONTH,
            "precharge checked on",
        ),
    ),
    symbol='<path d="M0 17 H40 M20 17 V14" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M12 14 V5 Q20 -1 28 5 V14 Z M12 8 Q20 13 28 8" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="pressure tank: {kind: bladder tank, after: check, in: laundry, volume: 12 L, precharge: 0.5 bar, "
    "stands at: 2.5 bar}",
    cautions=(
        "It stays under pressure when water and power are off: let it run out before you open a joint behind the unit.",
        "Full it weighs as much as its water: on the floor, not on a shelf.",
        "Pump its air up by hand, with no water in it, and never beyond what is printed on it.",
        "A valve before the membrane does not stop what it holds: a leak behind it wants a valve behind it.",
    ),
    notes=(
        "Its air keeps its temperature (Boyle); read off a table whose straight stretches miss 0.05 % of the tank.",
        "Before the air gives way, bladder and shell take 10 mL for each bar (our prior, 1 to 30 mL).",
        "It begins at what it stands at, in every run; left out, at two thirds of the supply's pressure.",
        "A burst bladder is taken as waterlogged; one that has lost some air is a lower figure in `precharge`.",
        "A hole in its shell is 3 mm2 (our prior, 0.3 to 30 mm2). Purified water that stands in it keeps its quality.",
        JOINT_NOTE,
    ),
)

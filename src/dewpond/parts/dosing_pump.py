"""A peristaltic pump: rollers squeeze a soft tube, and push the water in it along.

What it gives hangs on its speed alone, not on the height. Stopped, a roller still squeezes its tube: no siphon runs
through it, and an air gap or a vent hole is not needed. It wears instead: a roller or a tube grown soft no longer
shuts, and water runs through by gravity; the tube splits where it is squeezed, and what is pumped falls below. It
fails by running on and by not running like any other pump. Sources: how it works, common practice; rates of motor pumps
NUREG/CR-6928 (2020 update, second-hand) doubled; of its tube and rollers none are known to us.
"""

from __future__ import annotations

from dataclasses import replace

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Source, Upkeep
from dewpond.parts.cables import CABLE, MOTOR, draws
from dewpond.parts.plumbing import (
    DRIVEN_BY,
    IN_IF_ELSEWHERE,
    JOINT_FAULTS,
    JOINT_NOTE,
    MONTH,
    POWER,
    PRIOR,
    THROUGH,
    YEAR,
    disc,
    leak_at_joints,
    tube_ends,
)
from dewpond.parts.pumping import (
    DOES_NOT_RUN,
    DRY_BELOW,
    FLOW,
    FROM,
    OUTLET,
    RUNS_ON,
    TO,
    drawing,
    under_water,
)
from dewpond.parts.rollers import BORE, LENGTH, joints_before, past_the_rollers, way_in
from dewpond.physics.pipes import FREE_OUTLET, SHARP_ENTRY

BEFORE, BEHIND = "before the pump", "behind the pump"

PARAMS = (
    FROM,
    TO,
    IN_IF_ELSEWHERE,
    replace(FLOW, low=0.01e-3 / 3600.0, high=300e-3 / 3600.0, usual=(0.05e-3 / 3600.0, 30e-3 / 3600.0)),
    replace(OUTLET, also=("outlet height", "end of the tube")),
    Param(
        "height",
        "height",
        "Its height above the floor of the place it stands in; left out: as low as the inlet in its reservoir.",
        default=None,
        low=-2.0,
        high=4.0,
        usual=(0.0, 2.0),
        source=Source("left out: so low that all water above the inlet can run down to it", PRIOR, 0.0, 1.5),
    ),
    DRY_BELOW,
    DRIVEN_BY,
    THROUGH,
    POWER,
    CABLE,
    draws(MOTOR),
    tube_ends(2),
    Param("tube changed on", "date", "When the tube between its rollers was changed last.", default=None),
)

FAULTS = (
    RUNS_ON,
    DOES_NOT_RUN,
    Fault(
        "tube split",
        "initiator",
        "The tube that its rollers squeeze has split: what it pumps falls where it stands.",
        "water or salt below the pump head; a level that only falls",
    ),
    Fault(
        "rollers worn",
        "latent",
        "A roller no longer shuts its tube: stopped, it lets water run through by gravity, either way.",
        "stop it with the end of its tube held low over a jug: no drop may follow",
    ),
    *JOINT_FAULTS,
)


def lower(p: PartView, b: Lowering) -> None:
    """A flow that nothing but its order decides, the way past a worn roller, and what may leak before and behind it."""
    draws = drawing(p, b)
    z = draws.inlet if p["height"] is None else b.place_height(draws.place) + p["height"]
    joint = b.port("out", z)
    draws_water = under_water(p, b, draws, also=draws.running)
    b.fixed_flow(draws.tap, joint, p["flow"], draws_water)
    out = b.height(p, p["outlet"], p["to"])
    b.tube(joint, b.spout(p["to"], out), BORE, LENGTH, SHARP_ENTRY + FREE_OUTLET)
    inlet = way_in(b, draws.tap, z, under_water(p, b, draws))
    past_the_rollers(b, "rollers worn", draws.running, inlet, joint, z)
    b.leak(joint, z, draws.place, "tube split", disc(BORE))
    half = 0.5 * p["tube ends"]
    joints_before(b, inlet, z, draws.place, draws_water, half, BEFORE)
    leak_at_joints(b, joint, z, draws.place, half, BORE, BEHIND)


KIND = Kind(
    word="dosing pump",
    also=("doser", "peristaltic pump", "peristaltic", "metering pump", "hose pump", "roller pump"),
    section="water",
    role="line",
    summary="A slow pump whose rollers squeeze a soft tube; it gives the same at any height and shuts when it stops.",
    fails="It runs on, does not run, its tube splits, its joints leak, or its worn rollers let water run through.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    tests=(
        ProofTest(
            "jug",
            "Pump into a jug for ten minutes, with the tube's end at its usual height.",
            "Within a tenth of the last time.",
            6.0 * MONTH,
        ),
        ProofTest(
            "hold it low",
            "Let it run, stop it, and hold the end of its tube over a jug, lower than the water in the reservoir.",
            "Not a drop follows in ten minutes, and nothing is wet below the pump head.",
            6.0 * MONTH,
        ),
    ),
    upkeep=(
        Upkeep("Change the tube between its rollers: it hardens, and splits there first.", YEAR, "tube changed on"),
    ),
    symbol='<path d="M0 16 H12 M28 16 H40" stroke="currentColor" stroke-width="2"/>'
    '<path d="M12 16 V10 a8 8 0 0 1 16 0 V16" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<circle cx="16" cy="10" r="2.5" fill="currentColor"/><circle cx="24" cy="10" r="2.5" fill="currentColor"/>',
    example="small doser: {kind: dosing pump, from: reservoir, to: lagoon, flow: 1.2 L/h, outlet: 118 cm above floor, "
    "driven by: level box}",
    cautions=(
        "Unplug it before you put a finger near its rollers.",
        "Set it where a split tube drips into a tray with a probe: nothing else shows it while the pump runs.",
        "With the end of its tube under water, a split tube or an open joint draws the tank back.",
    ),
    notes=(
        "Its flow is that of the jug at any height, until its inlet is dry; that it slowly gives less is not followed.",
        "Worn rollers leave a hole of 0.3 mm (our prior, 0.1 to 1 mm), open once the pump has run.",
        "Nothing runs back into a reservoir whose water is below the inlet.",
        "A split is as wide as its tube and lies behind the roller.",
        "The tube behind it has a bore of 4 mm and is 2 m long (our prior): that decides nothing but how leaks share.",
        "Half of the tube ends are counted before the pump, half behind it.",
        "With a tube end off before it, the pump draws air, and the reservoir runs out as far down as the pump stands.",
        JOINT_NOTE,
    ),
)

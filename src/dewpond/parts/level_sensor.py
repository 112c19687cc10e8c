"""A level sensor: it reads how high the water stands, by the echo of sound or by the pressure at its foot.

The marks are no part of it: they are set in its box, and move together when it drifts. It fails by drifting, and by one
reading for ever: foam, condensation or a wall throws the sound back too early, a lost echo or a leaking tube reads
empty, a blocked tube keeps the reading it had. What its box makes of a broken wire is a matter of how it was set.

Sources: drift and false echoes, our priors; heights of water of some decimetres at home are known to a centimetre. How
often small sensors of these sorts fail at home is not known to us.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, Upkeep
from dewpond.parts.plumbing import MONTH, PRIOR
from dewpond.parts.sensing import LEAD, WIRE_RATE, heard

SOUND, PRESSURE = "ultrasonic", "pressure"
EMPTY, FULL = "empty", "full"
LEAST = 1e-3  # a mark that has drifted below the bottom lies there [m]

PARAMS = (
    Param("in", "part", "The vessel whose level it reads.", roles=("vessel",)),
    Param(
        "type", "word", "What it reads the level by.", words=(SOUND, PRESSURE),
        trade={"sonar": SOUND, "ultrasound": SOUND, "acoustic": SOUND, "hydrostatic": PRESSURE, "air tube": PRESSURE,
               "bubbler": PRESSURE},
    ),
    Param(
        "calls at", "level",
        (
            "The mark set in its box at which it speaks: of low water where it lies below the other one, else of "
            "high water."
        ),
        also=("mark", "low mark", "threshold", "starts at"),
    ),
    Param(
        "is satisfied at", "level", "The mark set in its box at which it falls silent again.",
        also=("high mark", "full at", "stops at"),
    ),
    Param(
        "drifts by", "length", "How far its reading is off once it has drifted.",
        default=0.015, low=1e-3, high=0.5, usual=(3e-3, 0.1),
        source=Source("warm air, an ageing cell, air lost from a tube: a centimetre or two", PRIOR, 5e-3, 0.05),
        also=("drift", "error", "accuracy"),
    ),
    Param(
        "without its wire", "word", "What its box reads when its wire is cut or its plug is out.",
        words=(EMPTY, FULL), default="unknown", unknown=(EMPTY, FULL),
        find_out="Pull its plug, and look what level the box shows after a minute.",
        also=("when unplugged", "wire broken reads", "fault reading"),
    ),
    Param(
        "wired to", "part", "The controller that reads it, and in which its marks are set.", roles=("box",),
        also=("connected to", "input of"),
    ),
    LEAD,
)  # fmt: skip

COMPARE = "hold a ruler beside it: does its box show that level?"
DRIFT_RATE = Rate(0.1, "per year", 3.0, Source("each way; seldom set anew", PRIOR, 0.03, 0.3))

HIGH = Fault(
    "drifts high", "latent", "It reads more water than there is: both marks have moved down.", COMPARE, DRIFT_RATE
)
LOW = Fault("drifts low", "latent", "It reads less water than there is: both marks have moved up.", COMPARE, DRIFT_RATE)
FOAM = Fault(
    "false echo, reads full", "latent",
    "Foam, a drop on its face or a wall throws the sound back: it reads full for ever.", COMPARE,
    Rate(0.2, "per year", 3.0, Source("wet air over a warm sump; foam of a skimmer", PRIOR, 0.07, 0.6)),
)  # fmt: skip
LOST = Fault(
    "echo lost, reads empty", "latent", "Its face is fouled or it looks aside: no echo comes back, and it reads empty.",
    COMPARE, Rate(0.1, "per year", 3.0, Source("salt on its face, a knock", PRIOR, 0.03, 0.3)),
)  # fmt: skip
TUBE_LEAKS = Fault(
    "tube leaks, reads empty", "latent", "Its tube has a leak: the air in it is gone, and it reads empty for ever.",
    COMPARE, Rate(0.1, "per year", 3.0, Source("a joint of a thin air tube", PRIOR, 0.03, 0.3)),
)  # fmt: skip
TUBE_BLOCKED = Fault(
    "tube blocked, keeps its reading", "latent", "Salt, slime or a kink shuts its tube: it shows what it showed then.",
    COMPARE,
    Rate(0.05, "per year", 3.0, Source("salt at the water line, a snail, a thing set on the tube", PRIOR, 0.017, 0.15)),
)  # fmt: skip
WIRE_BROKEN = Fault(
    "wire broken", "latent", "Its wire is cut or its plug is loose: its box reads one level for ever.",
    "pull its plug: what level does the box show?", WIRE_RATE,
)  # fmt: skip


def tells(p: PartView) -> str:
    """``low`` or ``high``: the state that it reports, by which of its marks lies above."""
    calls, satisfied = p["calls at"], p["is satisfied at"]
    upwards = satisfied.value - calls.value
    return "low" if (upwards if calls.measured != "rim" else -upwards) > 0.0 else "high"


def _above(p: PartView, b: Lowering) -> int:
    """Signal: by its reading the water stands above its marks, which a drift moves by ``drifts by``."""
    calls, satisfied = (b.vessel_level(p["in"], p[key]) for key in ("calls at", "is satisfied at"))
    on, off = max(calls, satisfied), min(calls, satisfied)
    up, down = b.any(b.always(False)), b.any(b.always(False))

    def at(shift: float) -> int:
        return b.level_above(p["in"], max(on + shift, 2.0 * LEAST), max(off + shift, LEAST))

    b.fault(HIGH.name, [("force", up, 1.0)])
    b.fault(LOW.name, [("force", down, 1.0)])
    drift = p["drifts by"]
    return b.any(b.all(at(0.0), b.no(up), b.no(down)), b.all(at(-drift), up), b.all(at(drift), down))


def lower(p: PartView, b: Lowering) -> None:
    """The level as it reads it, held by what ails it, and what its box makes of that and of its wire."""
    state, pressure, frozen = tells(p), p["type"] == PRESSURE, b.any(b.always(False))
    above = _above(p, b)
    reads = b.any(b.hold(above, frozen) if pressure else above)
    arrives = b.any(reads)
    says = b.any(arrives if state == "high" else b.no(arrives))
    b.condition(state, says)
    b.condition("normal", b.no(says))
    b.say(
        heard(b, p["wired to"], says),
        f"{p.name} reads {state} water in {p['in']}",
        f"{p.name} no longer reads {state} water",
        "note" if state == "low" else "notice",
    )
    if pressure:
        b.fault(TUBE_LEAKS.name, [("force", reads, 0.0)])
        b.fault(TUBE_BLOCKED.name, [("force", frozen, 1.0)])
    else:
        b.fault(LOST.name, [("force", reads, 0.0)])
        b.fault(FOAM.name, [("force", reads, 1.0)])
    b.fault(WIRE_BROKEN.name, [("force", arrives, float(p["without its wire"] == FULL))])


def check(p: PartView) -> list[Finding]:
    """Two marks, apart."""
    calls, satisfied = p["calls at"], p["is satisfied at"]
    found = []
    if calls.measured != satisfied.measured:
        found.append(
            Finding(
                "level-sensor-marks", "error", p.name, "Its two marks are not measured from the same height.",
                "Measure both from the bottom, from the rim or from the floor.", key="is satisfied at",
            )
        )  # fmt: skip
    elif calls.value == satisfied.value:
        found.append(
            Finding(
                "level-sensor-marks", "error", p.name, "Its two marks are one height.",
                "Set the mark at which it is satisfied above the other one if it is to tell of low water, below it "
                "if of high water.",
                key="is satisfied at",
            )
        )  # fmt: skip
    return found


KIND = Kind(
    word="level sensor",
    also=("ultrasonic sensor", "sonar sensor", "pressure sensor", "level transmitter", "hydrostatic sensor"),
    section="sensors",
    role="sensor",
    summary="A sensor that reads how high the water stands, by sound or by pressure; the marks are set in its box.",
    fails="It drifts and takes both marks along, or reads empty, full or the same for ever; or its wire breaks.",
    params=PARAMS,
    ports=(Port("reading", "signal"),),
    faults=(HIGH, LOW, FOAM, LOST, TUBE_LEAKS, TUBE_BLOCKED, WIRE_BROKEN),
    lower=lower,
    check=check,
    symbol='<rect x="15" y="1" width="10" height="5" rx="1" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M17 8 q3 2 6 0 M15 10.5 q5 3 10 0" fill="none" stroke="currentColor"/>'
    '<path d="M2 16 q4 -3 8 0 t8 0 t8 0 t8 0" fill="none" stroke="currentColor"/>',
    example="sump level: {kind: level sensor, type: ultrasonic, in: big sump, calls at: 230 mm, "
    "is satisfied at: 240 mm, wired to: level box}",
    tests=(
        ProofTest(
            "ruler test",
            "Hold a ruler beside it at two heights of water, a low one and a high one, and compare with what its box "
            "shows. Then pull its plug for a minute.",
            (
                "Both readings lie within half a centimetre of the ruler; without its plug the box shows what the "
                "design says."
            ),
            3.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Wipe its face dry and clean, or blow its tube through; compare it with a ruler.", 3.0 * MONTH),),
    cautions=(
        "One reading for both the call and the cut is one thing that fails: stop the pump by a switch of another sort.",
        "Its cable hangs over water: give it a drip loop, and keep its power supply above the rim.",
    ),
    notes=(
        (
            "It tells of low water where it calls below the mark at which it is satisfied, of high water where it "
            "calls above it. A second pair of marks of the same sensor, written as a part of its own, fails apart "
            "from it here."
        ),
        "A drift is there from the beginning and all at once, by `drifts by`; how it grows is not followed.",
        "Foam, a lost echo, a leaking or blocked tube last to the end of the run.",
        "That its box finds a reading out of range and says so is not followed, nor that it averages over seconds.",
    ),
)

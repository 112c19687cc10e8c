"""A vacuum break (siphon break): a small one-way air inlet at the high point of a line.

As long as the line is under pressure it is shut. When the line would suck, it lets air in, and water that stands lower
than the break is no longer drawn back over it: a leak before it does not empty the vessel behind. It fails by sticking
shut (nobody sees it, and the siphon runs) and by dripping whenever the line is under pressure. Heights above the
highest water, 6 in for an atmospheric break and 12 in for one under pressure: US model codes, from memory. Rates: as
a check valve, our prior.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, amount
from dewpond.parts.plumbing import (
    AFTER,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MEMORY,
    MONTH,
    PRIOR,
    TUBE_SOURCE,
    TUBES,
    WEEP,
    disc,
    leak_at_joints,
    loss_of_heads,
    tube_ends,
)
from dewpond.physics.openings import TUBE_WALL

HEADS = 2.0  # velocity heads through its body [1]; our prior, 1 to 5
BAND = 1e-3  # level over the break within which it comes to hold water instead of air [m]
ABOVE_ALL = 0.15  # least height above the rim of the vessel behind it [m]; from memory, 0.15 to 0.3

PARAMS = (
    AFTER,
    IN,
    Param(
        "holds back", "part", "The vessel behind it, whose water must not be drawn back.", roles=("vessel",),
        also=("protects", "vessel"),
    ),
    Param(
        "above its rim", "height", "How far it sits above the rim of that vessel.", default=0.2, low=-1.0, high=4.0,
        usual=(0.0, 2.5), source=Source("6 to 12 in above the highest water in US model codes", MEMORY, 0.15, 0.3),
    ),
    Param(
        "size", "word", "The size of tube it is made for: inches outside, or millimetres outside x inside.",
        default="1/4 in", words=tuple(TUBES), source=TUBE_SOURCE, also=("diameter", "outside diameter"),
    ),
    tube_ends(2),
)  # fmt: skip

FAULTS = (
    Fault(
        "sticks shut", "latent",
        "Scale or salt holds its air inlet shut: water is drawn back over it as if it were not there.",
        "with the line shut off and open at its lower end, its inlet must hiss and the water must stay",
        Rate(0.05, "per year", 5.0, Source("as a check valve; no statistics are known to us", PRIOR, 0.01, 0.25)),
    ),
    Fault(
        "drips", "initiator", "Its air inlet does not seal: it drips whenever the line is under pressure.",
        "a dry tissue held under its inlet while the line is under pressure",
        Rate(0.05, "per year", 5.0, Source("as a check valve; no statistics are known to us", PRIOR, 0.01, 0.25)),
    ),
    *JOINT_FAULTS,
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """Forward freely; back only while the water behind it stands above it, or when it sticks."""
    spec, bore = b.vessel(p["holds back"]), TUBES[p["size"]][1]
    at = spec.rim + p["above its rim"]
    z, k = spec.bottom + at, loss_of_heads(HEADS, bore)
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    b.check(inlet, outlet, 0.0, k, holds=False)
    back = b.gate_level(p["holds back"], at + BAND, at) if at < spec.rim else b.gate_leak()
    b.orifice(inlet, outlet, k, back)
    b.fault("sticks shut", [("low", back, 1.0)])
    b.leak(outlet, z, p["in"], "drips", disc(WEEP), TUBE_WALL)
    leak_at_joints(b, outlet, z, p["in"], p["tube ends"], bore)


def check(p: PartView) -> list[Finding]:
    """It sits above all water behind it."""
    above = p["above its rim"]
    if above >= ABOVE_ALL:
        return []
    where = f"{amount(above, 'height')} above" if above >= 0.0 else f"{amount(-above, 'height')} below"
    return [
        Finding(
            "vacuum-break-low",
            "warning",
            p.name,
            f"It sits {where} the rim of the vessel it holds back; {amount(ABOVE_ALL, 'height')} to "
            f"{amount(2.0 * ABOVE_ALL, 'height')} above all water is usual. Water that stands above it goes on running "
            "back, and splashes that reach it salt it up.",
            "Lead the line up in a loop and put it at the top of that loop.",
            key="above its rim",
        )
    ]


KIND = Kind(
    word="vacuum break",
    also=("siphon break", "vacuum breaker", "anti-siphon valve", "air inlet valve", "pipe interrupter"),
    section="water",
    role="line",
    summary="A one-way air inlet at the high point of a line: where the line would suck, it lets in air.",
    fails="It sticks shut, so that water is drawn back after all, or drips while the line is under pressure.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "let it suck",
            "Shut the line, open it at a joint lower than the vessel behind it, and hold a jug under the joint.",
            "Its inlet hisses, the tube runs empty, and no more follows.",
            6.0 * MONTH,
        ),
    ),
    symbol='<path d="M0 16 H40 M20 16 V9" fill="none" stroke="currentColor" stroke-width="2"/>'
    '<path d="M12 9 H28 M20 1 V7 M16 4 L20 8 L24 4" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="break: {kind: vacuum break, after: riser, in: study, holds back: reservoir, above its rim: 20 cm}",
    cautions=(
        "It drips one day: put it where that is seen and does no harm, never above a power strip.",
        "An atmospheric one sticks when the line behind it is shut for days: ask for one made for standing pressure.",
        "Between dirty water and the drinking water of the house rules ask for listed devices: check with a plumber.",
    ),
    notes=(
        "It lets water back while that stands above it in the vessel it names; of other vessels it lets back none.",
        "A line that runs downhill behind it runs as if no air came in: somewhat too fast.",
        "It holds no pressure behind it, so that a shut-off needs its check valve all the same.",
        "In the tube of a pump the hole above the water does the same: see `vent hole above the water` there.",
        "A dripping one is a hole of 0.2 mm (our prior), about 2 L/h at 4 bar.",
        JOINT_NOTE,
    ),
)

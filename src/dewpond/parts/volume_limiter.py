"""A volume limiter: a stand-alone valve in the feed that shuts after so many litres in one draw.

It needs neither probe nor network: a wheel counts what comes through, a draw is over once nothing has run for a while,
and a draw that is too large shuts it until somebody arms it by hand. So it bounds every flood behind it, wherever that
comes to lie, at its setting. It fails by not shutting, by shutting too soon, by staying shut, by a seat that leaks, and
it never counts what runs more slowly than its wheel turns: a drip is none of its business.

Sources: our priors throughout; no statistics of such valves are known to us.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, Upkeep, amount
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    DAY,
    HEIGHT,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MONTH,
    PRIOR,
    YEAR,
    height_in_place,
    loss_of_flow,
    tube_ends,
    wetted,
)
from dewpond.parts.valves import flow_at_1_bar, leak_on_both_sides

LITRE_A_MINUTE = 1e-3 / 60.0
SPRING, CELLS = "a spring", "cells"
SEAT_LEAK = 0.005  # opening of a seat that leaks: about 6 L/h at 4 bar [1]; our prior, 0.0005 to 0.02
TOO_SOON = 1.0 / 3.0  # of its litres, at which one shuts that shuts too soon [1]; our prior, 0.1 to 0.8
RESTS = 0.7  # of the flow that turns its wheel, at which that stands still again [1]; our prior

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "lets through at most", "volume", "The litres in one draw after which it shuts: as set on it.",
        low=0.1e-3, high=5.0, usual=(1e-3, 0.5), also=("limit", "setting", "shuts after", "litres", "volume"),
    ),
    Param(
        "draw ends after", "duration", "How long nothing must run until a draw is over and it counts anew.",
        default=60.0, low=1.0, high=DAY, usual=(5.0, 3600.0),
        find_out="Draw half its litres, wait, draw half again and a little more: did it shut? Try with a longer wait.",
        source=Source("a minute", PRIOR, 10.0, 600.0), also=("pause", "resets after"),
    ),
    Param(
        "least flow", "flow", "What must run for its wheel to turn: it never counts what is slower.",
        default=0.05 * LITRE_A_MINUTE, low=0.5e-3 * LITRE_A_MINUTE, high=10.0 * LITRE_A_MINUTE,
        usual=(2e-3 * LITRE_A_MINUTE, 2.0 * LITRE_A_MINUTE),
        find_out="Let a thin stream run into a jug, thinner each time, until its pointer stands still.",
        source=Source("small wheel with a spring behind it", PRIOR, 0.01 * LITRE_A_MINUTE, 0.5 * LITRE_A_MINUTE),
        also=("starts at", "minimum flow"),
    ),
    Param(
        "works by", "word", "What shuts it: a spring that the water has wound up, or a motor on cells.",
        words=(SPRING, CELLS), default=SPRING, also=("powered by", "type"),
    ),
    Param(
        "cells fitted", "date", "The day its cells were last changed; for one that works by cells.", default=None,
        also=("batteries fitted", "battery changed", "cells changed"),
    ),
    flow_at_1_bar(
        10.0 * LITRE_A_MINUTE, (0.5 * LITRE_A_MINUTE, 200.0 * LITRE_A_MINUTE),
        (LITRE_A_MINUTE, 60.0 * LITRE_A_MINUTE),
        Source("small valve with a wheel before it", PRIOR, 4.0 * LITRE_A_MINUTE, 20.0 * LITRE_A_MINUTE),
    ),
    BEARS,
    wetted(None),
    tube_ends(2),
)  # fmt: skip

DRAW_TEST = "let more than its litres run into the drain: does it shut?"

DOES_NOT_SHUT = Fault(
    "does not shut", "latent", "Its wheel or its seat sticks: it stays open, whatever has run.", DRAW_TEST,
    Rate(0.03, "per year", 5.0, Source("scale and dirt; a valve that nobody moves", PRIOR, 0.006, 0.15)),
)  # fmt: skip
FLAT = Fault(
    "cells flat", "latent", "Its cells are flat: it stays as it is, mostly open.", DRAW_TEST,
    Rate(0.1, "per year", 3.0, Source("cells that nobody changes in time", PRIOR, 0.03, 0.3)),
)  # fmt: skip
SOON = Fault(
    "shuts too soon", "latent", "It shuts after a third of its litres: its setting has slipped.",
    "it shuts in an ordinary fill",
    Rate(0.03, "per year", 5.0, Source("a dial that was touched, a worn spring", PRIOR, 0.006, 0.15)),
)  # fmt: skip
STUCK_SHUT = Fault(
    "stuck shut", "latent", "It does not open any more.", "no water behind it",
    Rate(0.02, "per year", 5.0, Source("no statistics are known to us", PRIOR, 0.004, 0.1)),
)  # fmt: skip
SEAT_LEAKS = Fault(
    "seat leaks", "latent", "Shut, it lets some litres an hour through.",
    "let it shut, and catch what comes out behind it for ten minutes",
    Rate(0.03, "per year", 5.0, Source("dirt on a small seat", PRIOR, 0.006, 0.15)),
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """A gate that shuts once so much has gone through it, in a draw that nothing has broken off; armed by hand."""
    z = height_in_place(p, b)
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    shut = b.later()
    gate = b.gate_signal(b.no(shut))
    edge = b.orifice(inlet, outlet, loss_of_flow(p["flow at 1 bar"], 1e5), gate)
    turns = b.any(b.flow_above(edge, p["least flow"], RESTS * p["least flow"]))
    over = b.no(b.off_delay(turns, p["draw ends after"]))
    most = p["lets through at most"]
    full = b.any(b.passed(edge, most, over, turns))
    slipped, cells = b.any(b.always(False)), b.any(b.always(True))
    early = b.all(slipped, b.passed(edge, TOO_SOON * most, over, turns))
    acts = b.all(b.any(full, early), cells)
    tripped = b.latch(acts, b.rearm(p.name), b.always(False))
    b.define(shut, tripped)
    b.say(full, f"as much as {p.name} lets through in one draw has run", kind="reached")
    b.say(tripped, f"{p.name} shuts: so much has run in one draw", f"{p.name} is open again", "trip")
    b.say(b.all(full, b.no(tripped)), f"{p.name} has let through more than its litres, and does nothing", kind="silent")
    b.fault(DOES_NOT_SHUT.name, [("low", gate, 1.0)])
    if p["works by"] == CELLS:
        b.fault(FLAT.name, [("force", cells, 0.0)])
    b.fault(SOON.name, [("force", slipped, 1.0)])
    b.fault(STUCK_SHUT.name, [("high", gate, 0.0)])
    b.fault(SEAT_LEAKS.name, [("low", gate, SEAT_LEAK)])
    leak_on_both_sides(p, b, inlet, outlet, z)


def check(p: PartView) -> list[Finding]:
    """What it never sees, in litres a day; and cells where there are none."""
    hides = amount(p["least flow"] * DAY, "volume")
    found = [
        Finding(
            "limiter-blind", "note", p.name,
            f"It never counts what runs more slowly than its wheel turns: up to {hides} a day, such as a drip.",
            "Lay a probe where a drip would lie: this valve does not end it.", key="least flow",
        )
    ]  # fmt: skip
    if p["cells fitted"] and p["works by"] != CELLS:
        what = 'A day is given on which its cells were fitted, and it is said to work by a spring: "works by".'
        found.append(Finding("limiter-cells", "warning", p.name, what, "Correct one of the two.", key="works by"))
    return found


KIND = Kind(
    word="volume limiter",
    also=("volume-limiting shut-off", "flow limiter", "litre stop", "volumetric shut-off", "overflow stop"),
    section="water",
    role="device",
    summary="A stand-alone valve that shuts after so many litres in one draw, until somebody arms it by hand.",
    fails="It does not shut, shuts too soon, stays shut or leaks at its seat; what runs slowly it never counts.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=(DOES_NOT_SHUT, FLAT, SOON, STUCK_SHUT, SEAT_LEAKS, *JOINT_FAULTS),
    lower=lower,
    check=check,
    symbol='<path d="M4 6 L36 18 V6 L4 18 Z" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<circle cx="20" cy="4.5" r="3.5" fill="none" stroke="currentColor"/>'
    '<path d="M20 4.5 V2 M20 12 V8" fill="none" stroke="currentColor"/>',
    example="litre stop: {kind: volume limiter, after: stop tap, in: laundry, lets through at most: 60 L}",
    tests=(
        ProofTest(
            "draw too much",
            "Open a tube behind it over a drain or into cans, and let run until it shuts; measure what came, wait ten "
            "minutes, and arm it again by hand.",
            "It shuts within a tenth of its setting, and then not a drop follows.",
            6.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Change its cells, if it has any; arm it once by hand so that it moves.", YEAR, "cells fitted"),),
    cautions=(
        "Set it above the largest ordinary draw, waste water included: else it shuts in the middle of a fill.",
        "It guards only what lies behind it, and only until somebody arms it: look for the leak before you do.",
        "After it has shut, the reservoir runs empty and the tank dries down, and it tells nobody.",
    ),
    notes=(
        "A draw is over when less than its least flow has run for so long (our prior: a minute).",
        "Its wheel stands still again at seven tenths of the flow that turns it (our prior).",
        "What has run while its wheel stands still is not counted. Armed again only by hand, never within a run.",
        "One that shuts too soon does so at a third of its litres (our prior, a tenth to four fifths).",
        "With flat cells it is taken to stand open.",
        "Half of the tube ends are counted before the valve, half behind it.",
        JOINT_NOTE,
    ),
)

"""A battery leak valve: a probe, cells and a valve in one, which shuts by itself and tells nobody.

It needs neither mains nor network, and fails unseen: flat cells leave it as it is, its mechanism seizes after years at
rest, its probe corrodes or lies where no water comes, or it was not armed again after it had been handled. Some open
again by themselves when the probe dries, and let the next litres out.

Sources: cells Miller, Bhattacharya and Levy, J. Sci. Res. Reports 5(3), 2015; handling between HEART tasks F and E
(Williams 1988, from public codings); the rest our priors. Together about one in five untested ones does nothing, which
is what battery smoke alarms do (21 % did not work in fires large enough, NFPA 2007-2011, second-hand).
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, Upkeep
from dewpond.parts.cables import CLOSES_IN
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
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
from dewpond.parts.sensing import (
    DISTANCE,
    NO_REACH_RATE,
    PROBE_DEAD_RATE,
    REACHED_BY,
    SEEN,
    SEES_FROM,
    conducts,
    tell_silence,
    touched,
)
from dewpond.parts.valves import leak_on_both_sides

HOUR = 3600.0
LITRE_A_MINUTE = 1e-3 / 60.0
STAYS, OPENS = "stays shut", "opens again"

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "flow at 1 bar", "flow", "What it lets through when open, at a pressure difference of 1 bar.",
        default=8.0 * LITRE_A_MINUTE, low=0.5 * LITRE_A_MINUTE, high=200.0 * LITRE_A_MINUTE,
        usual=(LITRE_A_MINUTE, 60.0 * LITRE_A_MINUTE),
        source=Source("small valve for 1/4 in tube, a Kv near 0.5", PRIOR, 4.0 * LITRE_A_MINUTE, 15.0 * LITRE_A_MINUTE),
    ),
    Param(
        "probe", "map", "Its own probe, and where that lies.",
        fields=(
            Param("in", "place", "The place on whose floor it lies."),
            Param("at", "text", "The spot, so that another person finds it."),
            REACHED_BY,
            DISTANCE,
            SEEN,
            SEES_FROM,
        ),
    ),
    Param(
        "cells fitted", "date", "The day its cells were last changed.", default=None,
        also=("batteries fitted", "battery changed", "cells changed"),
    ),
    Param(
        "when its probe dries", "word", "Whether it stays shut until it is armed by hand, or opens by itself.",
        words=(STAYS, OPENS), default="unknown", unknown=(OPENS, STAYS),
        find_out="Wet its probe, let it shut, dry the probe, and wait an hour: does water run again?",
    ),
    CLOSES_IN,
    BEARS,
    wetted(None),
    tube_ends(2),
)  # fmt: skip

TRIP_TEST = "wet its probe: does it shut, and does the water stop?"

FLAT = Fault(
    "cells flat", "latent", "Its cells are flat: it stays as it is, mostly open.", TRIP_TEST,
    Rate(
        2.0, "years, scale of a Weibull life of shape 3, with 3 % dead early", 1.6,
        Source(
            "Miller and others 2015: 2 of 60 alkaline cells dead within 3 months, 2 more in two years; drain of a "
            "valve differs", "derived", 1.2, 3.2,
        ),
    ),
)  # fmt: skip
SEIZED = Fault(
    "mechanism seized", "latent", "After years at rest it does not move any more: it stays open.", TRIP_TEST,
    Rate(0.02, "per year", 5.0, Source("spring and seal at rest", PRIOR, 0.004, 0.1)),
)  # fmt: skip
PROBE_DEAD = Fault(
    "probe dead", "latent", "Its probe is corroded or its wire is broken: it finds no water.", TRIP_TEST,
    PROBE_DEAD_RATE,
)  # fmt: skip
NO_REACH = Fault(
    "puddle does not reach its probe", "latent", "The floor leads the water past the spot where its probe lies.",
    "pour water where a leak would be: does it reach the probe?", NO_REACH_RATE,
)  # fmt: skip
NOT_ARMED = Fault(
    "not re-armed after handling", "latent", "Left open and not armed after a test or new cells: it does nothing.",
    "look at its lever or lamp",
    Rate(0.01, "per handling", 3.0, Source("HEART tasks F (0.003) to E (0.02)", "derived", 0.003, 0.03)),
)  # fmt: skip
STRAY = Fault(
    "closes for no reason", "event", "A splash or salt creep bridges its probe for an hour: it shuts on a dry floor.",
    "no water where there should be some",
    Rate(0.05, "per year", 3.0, Source("nearer 0.5 where salt water splashes (from memory)", PRIOR, 0.017, 0.5)), HOUR,
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """Probe, cells, armed spring and valve: each a signal or a gate of its own, so that each can fail."""
    z = height_in_place(p, b)
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    probe = p["probe"]
    at_spot = touched(b, probe["in"], probe["reached by"], probe["from the likely leak"])
    sees = conducts(b, probe["in"], probe[SEEN.key], probe["sees water from"])
    finds = b.all(at_spot, sees)
    cells, armed = b.any(b.always(True)), b.any(b.always(True))
    if p["when its probe dries"] == STAYS:
        acts = b.all(finds, armed, cells)
        tripped = b.latch(acts, b.rearm(p.name), b.always(False))
    else:
        acts = b.all(finds, armed)
        tripped = b.hold(acts, b.no(cells))
    gate = b.gate_signal(b.no(tripped))
    b.orifice(inlet, outlet, loss_of_flow(p["flow at 1 bar"], 1e5), gate)
    b.say(at_spot, f"the water in {probe['in']} reaches the probe of {p.name}", kind="reached")
    b.say(tripped, f"{p.name} shuts", f"{p.name} opens again by itself", "trip")
    wet = f"the probe of {p.name} in {probe['in']} lies wet and the valve does nothing"
    tell_silence(b, at_spot, sees, tripped, wet, f"probe: {SEEN.key}")
    b.fault(FLAT.name, [("force", cells, 0.0)])
    b.fault(SEIZED.name, [("low", gate, 1.0)])
    b.fault(PROBE_DEAD.name, [("force", finds, 0.0)])
    b.fault(NO_REACH.name, [("force", at_spot, 0.0)])
    b.fault(NOT_ARMED.name, [("force", armed, 0.0)])
    b.fault(STRAY.name, [("force", acts, 1.0)])
    leak_on_both_sides(p, b, inlet, outlet, z)


KIND = Kind(
    word="battery leak valve",
    also=("leak stop valve", "stand-alone leak valve", "water stop"),
    section="water",
    role="device",
    summary="A stand-alone valve with its own probe and cells: it shuts the water when its probe gets wet.",
    fails="Flat cells, a seized mechanism or a probe that stays dry leave it open; it tells nobody, neither way.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=(FLAT, SEIZED, PROBE_DEAD, NO_REACH, NOT_ARMED, STRAY, *JOINT_FAULTS),
    lower=lower,
    symbol='<path d="M4 6 L36 18 V6 L4 18 Z" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M20 12 V5 M14 5 H26 V1 H14 Z" fill="none" stroke="currentColor"/>',
    example="cell valve: {kind: battery leak valve, after: stop tap, in: laundry, "
    "probe: {in: laundry, at: under the unit}, cells fitted: 2026-03-01, when its probe dries: stays shut}",
    tests=(
        ProofTest(
            "trip test",
            "With the water running, wet its probe; see it shut; open a tube behind it over a bucket for ten minutes; "
            "dry the probe, wait, and arm it again by hand.",
            "It shuts within a minute, less than a glass runs into the bucket, and it is armed afterwards.",
            3.0 * MONTH,
        ),
        ProofTest(
            "spill test",
            "Pour water, litre by litre, where a leak would be, and count until it shuts. Mop up, and arm it again.",
            "It shuts within the litres that the design gives for it.",
            YEAR,
        ),
    ),
    upkeep=(Upkeep("Change its cells, on another day than those of any second one.", YEAR, "cells fitted"),),
    cautions=(
        "It guards only what lies behind it: joints before it, and water already in a reservoir, go on running out.",
        "It tells nobody: after it has shut, the reservoir runs empty and the tank dries down.",
    ),
    notes=(
        "Armed again only by hand, and never within a run.",
        "That it stands open while it is not armed is assumed.",
        "Half of the tube ends are counted before the valve, half behind it.",
        JOINT_NOTE,
    ),
)

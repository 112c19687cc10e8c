"""A water alarm that only makes a noise: a probe, cells and a sounder in one. It stops nothing.

It helps while somebody is within hearing. It fails as other probes with cells do: flat, corroded, or in a dry spot.

Sources: cells and probe as for a battery leak valve (Miller, Bhattacharya and Levy, J. Sci. Res. Reports 5(3), 2015;
our priors); whether a sleeper wakes is not known to us.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, ProofTest, Rate, Source, Upkeep
from dewpond.parts.plumbing import MONTH, YEAR
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

WAKES, DOES_NOT = "heard in the bedroom", "not heard in the bedroom"

PARAMS = (
    Param("in", "place", "The place on whose floor it lies.", also=("place", "room", "location", "where")),
    Param("at", "text", "The spot, so that another person finds it."),
    REACHED_BY,
    DISTANCE,
    SEEN,
    SEES_FROM,
    Param(
        "at night", "word", "Whether it is heard where people sleep, doors shut.", words=(WAKES, DOES_NOT),
        default="unknown", unknown=(DOES_NOT, WAKES),
        find_out="Wet it while somebody lies in bed with the doors shut: is it heard?",
    ),
    Param(
        "cells fitted", "date", "The day its cells were last changed.", default=None,
        also=("batteries fitted", "battery changed", "cells changed"),
    ),
)  # fmt: skip

TEST = "wet its probe: does it sound?"
FLAT = Fault(
    "cells flat", "latent", "Its cells are flat: it stays silent.", TEST,
    Rate(
        2.0, "years, scale of a Weibull life of shape 3, with 3 % dead early", 1.6,
        Source("Miller and others 2015: 2 of 60 alkaline cells dead within 3 months", "derived", 1.2, 3.2),
    ),
)  # fmt: skip
DEAD = Fault(
    "probe dead", "latent", "Its probe is corroded: it finds no water.", TEST,
    PROBE_DEAD_RATE,
)  # fmt: skip
NO_REACH = Fault(
    "puddle does not reach it", "latent", "The floor leads the water past the spot where it lies.",
    "pour water where a leak would be: does it reach the probe?", NO_REACH_RATE,
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """Probe and cells; the noise is for whoever is at home."""
    at_spot = touched(b, p["in"], p["reached by"], p["from the likely leak"])
    sees = conducts(b, p["in"], p[SEEN.key], p["sees water from"])
    finds, cells = b.all(at_spot, sees), b.any(b.always(True))
    sounds = b.all(finds, cells)
    b.sounds(sounds, p["at night"] == WAKES)
    b.say(at_spot, f"the water in {p['in']} reaches {p.name}", kind="reached")
    b.say(sounds, f"{p.name} sounds", f"{p.name} falls silent")
    tell_silence(b, at_spot, sees, sounds, f"{p.name} in {p['in']} lies wet and stays silent", SEEN.key)
    b.fault(FLAT.name, [("force", cells, 0.0)])
    b.fault(DEAD.name, [("force", finds, 0.0)])
    b.fault(NO_REACH.name, [("force", at_spot, 0.0)])


KIND = Kind(
    word="sounder",
    also=("water alarm", "alarm", "buzzer", "beeper", "siren", "leak alarm"),
    section="sensors",
    role="device",
    summary="A probe with a noise of its own: it warns whoever is at home, and stops nothing.",
    fails="Its cells are flat, its probe is dead or in a dry spot, or nobody is within hearing.",
    params=PARAMS,
    ports=(),
    faults=(FLAT, DEAD, NO_REACH),
    lower=lower,
    symbol='<path d="M8 7 H14 L24 2 V18 L14 13 H8 Z" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M28 5 q6 5 0 10" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="under the sink: {kind: sounder, in: laundry, at: behind the unit, at night: not heard in the bedroom}",
    tests=(
        ProofTest(
            "wet test",
            "Wet its probe with a few drops of the water it shall find, once by day and once with somebody in bed.",
            "It sounds at once, and is heard where the design says so.",
            3.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Change its cells, on another day than those of any leak valve.", YEAR, "cells fitted"),),
    cautions=("It does nothing while nobody is at home.",),
    notes=("It is heard by everybody at home and awake, whatever room they are in.",),
)

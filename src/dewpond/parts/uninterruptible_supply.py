"""A supply with a battery, between the mains and what must not go dead with them: boxes, network, a valve that shuts.

It feeds what hangs on it from its battery for a while after the mains have gone, then it is dead, and it comes back
with them. Its battery ages unseen, and then it holds for nothing; that shows when the mains go, or when somebody pulls
its plug. For hours after a cut its battery is empty or half empty.

Sources: lead batteries in such supplies are changed every 3 to 5 years (trade habit, from memory); how often one is
worn out unseen, and how often the supply itself dies, our priors. No statistics at home are known to us.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, Upkeep
from dewpond.parts.plumbing import MEMORY, MONTH, PRIOR, YEAR

HOUR = 3600.0

PARAMS = (
    Param(
        "power", "part", "The power circuit that it is plugged into.", roles=("circuit",),
        also=("circuit", "plugged into", "powered by"),
    ),
    Param(
        "holds for", "duration",
        "How long it feeds what hangs on it once its own circuit is dead, with its battery full.",
        low=0.0, high=14.0 * 86400.0, usual=(60.0, 86400.0), unknown=(0.0, 0.5 * HOUR),
        find_out="Pull its plug with everything on it, and take the time until the first lamp goes out.",
        also=("runtime", "backup time", "buffer", "battery lasts", "autonomy"),
    ),
    Param(
        "recharges in", "duration", "How long the mains must be back until its battery counts as full again.",
        default=8.0 * HOUR, low=60.0, high=7.0 * 86400.0, usual=(HOUR, 48.0 * HOUR),
        source=Source("small ones with a lead battery need 4 to 12 h", MEMORY, 2.0 * HOUR, 24.0 * HOUR),
        also=("recharge time", "charges in", "charging time"),
    ),
    Param(
        "battery fitted", "date", "The day its battery was last changed.", default=None,
        also=("battery changed", "cells fitted", "new battery"),
    ),
)  # fmt: skip

PLUG_TEST = "pull its plug: does all that hangs on it go on, and for how long?"
WORN_OUT = Fault(
    "battery worn out", "latent",
    "Its battery holds nothing any more: what hangs on it is dead as soon as the mains go.", PLUG_TEST,
    Rate(
        0.15, "per year", 3.0,
        Source("a lead battery lasts 3 to 5 years, and few are changed in time", PRIOR, 0.05, 0.45),
    ),
)  # fmt: skip
DIES = Fault(
    "dies", "event", "It gives nothing any more, mains or not, until somebody takes it out of the way; nobody does "
    "within the run.",
    "everything that hangs on it is dark, and other things on the same circuit have power",
    Rate(0.03, "per year", 3.0, Source("a supply that runs day and night", PRIOR, 0.01, 0.09)),
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """A circuit of its own: it has power while the one before it has, or while its battery holds, and it works."""
    mains, works, good = b.circuit(p["power"]), b.any(b.always(True)), b.any(b.always(True))
    holds = b.all(good, b.no(_drained(p, b, mains)))
    b.feed(p.name, b.all(b.any(mains, holds), works))
    b.leaks_to_earth(p["power"], b.earth_leakage(p.name))
    b.say(b.circuit(p.name), f"power is back on {p.name}", f"{p.name} loses power")
    b.say(
        b.all(b.no(mains), holds, works),
        f"{p.name} goes on from its battery",
        f"{p.name} no longer runs on its battery",
    )
    b.fault(WORN_OUT.name, [("force", good, 0.0)])
    b.fault(DIES.name, [("force", works, 0.0)])


def _drained(p: PartView, b: Lowering, mains: int) -> int:
    """Its battery has given all it holds since it was full: cuts add up until the mains were back for long enough."""
    if p["holds for"] == 0.0:
        return b.always(True)
    return b.timed(b.no(mains), p["holds for"], b.on_delay(mains, p["recharges in"]))


KIND = Kind(
    word="uninterruptible supply",
    also=("UPS", "battery backup", "uninterruptible power supply", "backup battery", "power bank"),
    section="power",
    role="circuit",
    summary="A supply with a battery that goes on for a while when the mains are gone; other parts name it in `power` "
    "as they would a power circuit.",
    fails="Its battery is worn out and holds for nothing, which shows only in a cut; or it dies itself, mains or not.",
    params=PARAMS,
    ports=(Port("out", "signal", must_join=False),),
    faults=(WORN_OUT, DIES),
    lower=lower,
    symbol='<path d="M2 10 H8 M32 10 H38" stroke="currentColor" stroke-width="1.5"/>'
    '<rect x="8" y="2" width="24" height="16" rx="2" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M14 10 H18 M18 5 V15 M22 7.5 V12.5 M22 10 H26" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="box supply: {kind: uninterruptible supply, power: study circuit, holds for: 40 min, "
    "battery fitted: 2025-04-12}",
    tests=(
        ProofTest(
            "pull its plug",
            "With everything on it, pull its plug, look at what goes on, and take the time until it gives up. Put the "
            "plug in again, and leave it alone for a day.",
            "Boxes, network and messages go on without a break for as long as the design says; the rest stands still.",
            3.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Change its battery, whatever its lamp says.", 4.0 * YEAR, "battery fitted"),),
    cautions=(
        (
            "Hang on it what watches and shuts: the boxes, the network that carries their messages, the supply of a "
            "valve that needs power to shut. A box that lives on while its network is dead tells nobody."
        ),
        (
            "Never hang on it what brings water or heat: a pump that fills would go on in a cut, and a heater or a "
            "return pump empties it in minutes."
        ),
        "A valve that shuts without power stays open while this holds: then what shuts it must hang on it, too.",
        "It gives mains voltage with its plug pulled: switch it off before you work on what hangs on it.",
        "Stand it above water that can spray or rise; a swollen or hot battery goes out of the house.",
    ),
    notes=(
        "It takes over without a gap; some let a box restart in the moment of the change.",
        (
            "What was drawn in several cuts adds up; it counts as full again only once the mains were back for as "
            "long as `recharges in` without a break, so a battery that is half charged counts as not charged at all."
        ),
        "Its time is taken as that with all that hangs on it: less hangs on it, it holds longer.",
        "Once dead it stays dead to the end of the run.",
    ),
)

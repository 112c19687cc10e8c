"""A power circuit: what hangs on one fuse or one residual-current device, and goes dead together.

It fails by a cut, short or long, that ends by itself, and by a trip that lasts until somebody resets it.

Sources: United States, 1.4 cuts a year of all kinds in 2017, 1.0 without major events, about two hours each without
them (EIA); Europe 9 to 371 minutes a year by country (CEER, 2016). How they divide into short and long is our prior.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source
from dewpond.parts.plumbing import MONTH

HOUR = 3600.0

PARAMS = (
    Param(
        "feeds", "parts", "Other circuits that go dead with this one: those behind the house's main switch.",
        roles=("circuit",), has=("feeds",), default=(),
    ),
)  # fmt: skip

CUTS = "1.2 sustained cuts a year (EIA: 1.4 in 2017, 1.0 without major events), "
SHORT = Fault(
    "cut for an hour", "event", "The power is away for an hour and comes back by itself.", "clocks that blink",
    Rate(0.9, "per year", 2.0, Source(CUTS + "three of four of them short", "derived", 0.2, 2.0)), HOUR,
)  # fmt: skip
LONG = Fault(
    "cut for 9 h", "event", "The power is away for nine hours and comes back by itself.", "clocks that blink",
    Rate(0.3, "per year", 3.0, Source(CUTS + "one of four of them long", "derived", 0.05, 1.0)), 9.0 * HOUR,
)  # fmt: skip
TRIP = Fault(
    "trips until someone comes", "event",
    "A fuse or residual-current device drops out, until somebody at home finds out and switches it on again.",
    "everything on this circuit is dead, and the neighbours have light",
    Rate(
        0.2, "per year", 5.0,
        Source("salt and damp in plugs and pumps; counted apart from cuts of the grid, no statistics are known to us",
               "our prior", 0.04, 1.0),
    ),
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """The circuit's own signal, and those of the circuits behind it."""
    dead = [("force", b.circuit(name), 0.0) for name in b.circuits_behind(p.name)]
    b.say(b.circuit(p.name), f"power is back on {p.name}", f"{p.name} loses power")
    for fault in (SHORT, LONG):
        b.fault(fault.name, dead)
    b.fault(TRIP.name, dead, until=b.switched_on(p.name))


KIND = Kind(
    word="power circuit",
    also=("socket", "fuse", "breaker", "outlet", "mains circuit"),
    section="power",
    role="circuit",
    usual=True,
    summary="One fuse or residual-current device with all that hangs on it.",
    fails="It is cut for an hour or for a night, or it trips and stays dead until somebody resets it.",
    params=PARAMS,
    ports=(Port("out", "signal", must_join=False),),
    faults=(SHORT, LONG, TRIP),
    lower=lower,
    symbol='<path d="M2 10 H12 M28 10 H38 M12 10 L26 3" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="house power: {kind: power circuit, feeds: [laundry circuit, study circuit]}",
    tests=(
        ProofTest(
            "test button",
            "Press the test button of the residual-current device, look at what stands still, and switch it on again.",
            "All that should stop stops; after switching on, nothing fills or pumps that was shut off before.",
            6.0 * MONTH,
        ),
    ),
    cautions=("Work on fixed wiring is for a licensed electrician in most places.",),
    notes=(
        "A circuit that is only named, and not described, fails by itself; a cut of the whole house needs `feeds`.",
    ),
)

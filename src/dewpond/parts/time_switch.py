"""A time switch: a timer in a socket, which gives power to what is plugged into it at set hours and no longer.

With it a filling ends by the clock, whatever a float does. It fails by its clock, which stops or is wrong, and by its
contact, which welds shut or burns open. Rates: contacts as a relay's; of the clocks of such timers none are known.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source
from dewpond.parts.clocks import (
    CLOCK_FAULTS,
    CLOCK_NOTES,
    EVERY,
    FOR,
    FROM,
    KEEPS,
    by_the_clock,
    check_times,
    times,
)
from dewpond.parts.plumbing import MONTH, PRIOR, WELDED_RATE

PARAMS = (
    Param(
        "power", "part", "The power circuit that it is plugged into.", roles=("circuit",),
        also=("circuit", "plugged into", "powered by"),
    ),
    FROM,
    FOR,
    EVERY,
    KEEPS,
)  # fmt: skip

WELDED = Fault(
    "contact welded", "latent", "Its contact is welded shut: what it feeds has power at all hours.",
    "look at an hour at which it is off whether what it feeds has power",
    WELDED_RATE,
)  # fmt: skip
OPEN = Fault(
    "contact burnt", "latent", "Its contact or its drive is dead: what it feeds never has power.",
    "look within its time whether what it feeds has power",
    Rate(0.01, "per year", 5.0, Source("no statistics are known to us", PRIOR, 0.002, 0.05)),
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """A circuit of its own: it has power while the one before it has, and its time has come."""
    before = b.circuit(p["power"])
    contact = b.any(by_the_clock(b, times(p), before, p[KEEPS.key]))
    b.feed(p.name, b.all(before, contact))
    b.say(b.circuit(p.name), f"{p.name} switches on", f"{p.name} switches off")
    b.fault(WELDED.name, [("force", contact, 1.0)])
    b.fault(OPEN.name, [("force", contact, 0.0)])


KIND = Kind(
    word="time switch",
    also=("timer", "plug-in timer", "timer socket", "outlet timer", "time clock", "timed socket"),
    section="power",
    role="circuit",
    switches=True,
    summary="A timer in a socket: what names it in `power` has power at set hours and no longer.",
    fails="Its clock stops, is wrong, or loses its time in a power cut; its contact welds or burns.",
    params=PARAMS,
    ports=(Port("out", "signal", must_join=False),),
    faults=(*CLOCK_FAULTS, WELDED, OPEN),
    lower=lower,
    check=check_times,
    symbol='<circle cx="14" cy="10" r="8" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M14 5 V10 L18 13 M24 14 H28 L36 8 M36 14 H40" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="fill timer: {kind: time switch, power: laundry circuit, on from: 06:30, for: 30 min, every: 1 day, "
    "its time in a power cut: kept}",
    tests=(
        ProofTest(
            "see it end",
            "Be there when its time ends, and look at what it feeds. Pull its plug for ten minutes, put it in again, "
            "and look at the time it shows.",
            "What it feeds stands still at the minute that the design gives; its clock shows the right time.",
            3.0 * MONTH,
        ),
    ),
    cautions=(
        "A timer that feeds a pump or a heater must be made for that current; a light timer welds.",
        "Hang it above any water that can spray or rise, with a drip loop in each lead.",
        "Choose an hour at which somebody is at home and awake, and stays so until its time is over.",
        "It is no protection against a burst: within its time water runs as if it were not there.",
    ),
    notes=(
        *CLOCK_NOTES,
        (
            "A valve that is shut without power and plugged into it is open only within its time: all of it, or, "
            "where a box drives it, while that lets it."
        ),
    ),
)

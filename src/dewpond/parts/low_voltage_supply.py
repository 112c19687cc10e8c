"""A small supply that is plugged in and gives 12 or 24 V: to controllers, valves and pumps.

It goes dead with the circuit it is plugged into, at once or after the time that a battery or a large capacitor in it
bridges. It fails by dying: its capacitors dry out in the warmth. That is seen at once, for all that hangs on it is
dead, but nobody is taken to have a spare one at hand. Rates: no statistics of such supplies are known to us.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Source
from dewpond.parts.plumbing import MONTH, TRADE

PARAMS = (
    Param(
        "power",
        "part",
        "The power circuit that it is plugged into.",
        roles=("circuit",),
        also=("circuit", "plugged into", "powered by"),
    ),
    Param(
        "buffer",
        "duration",
        "How long it goes on feeding what hangs on it when its own circuit is dead.",
        default=0.0,
        low=0.0,
        high=14.0 * 86400.0,
        usual=(0.0, 86400.0),
        find_out="Pull its plug with everything on it, and take the time until the first lamp goes out.",
        source=Source(
            "a plain one stops within a second; with a battery it takes minutes to hours", TRADE, 0.0, 14400.0
        ),
        also=("backup time", "bridges", "battery lasts", "hold-up time"),
    ),
    Param(
        "voltage",
        "voltage",
        "What it gives, as printed on it; left out: what hangs on it is taken to be made for it.",
        default=None,
        low=3.0,
        high=60.0,
        usual=(5.0, 24.0),
        also=("output", "gives"),
    ),
)

DIES = Fault(
    "dies",
    "event",
    "It gives nothing any more, until somebody puts another in its place; nobody does within the run.",
    "everything that hangs on it is dark, and other things on the same circuit have power",
)


def lower(p: PartView, b: Lowering) -> None:
    """A circuit of its own: it has power while the one before it has or its buffer lasts, and it works itself."""
    before, works = b.circuit(p["power"]), b.any(b.always(True))
    bridged = b.off_delay(before, p["buffer"]) if p["buffer"] > 0.0 else before
    b.feed(p.name, b.all(bridged, works))
    b.say(b.circuit(p.name), f"power is back on {p.name}", f"{p.name} loses power")
    b.fault(DIES.name, [("force", works, 0.0)])


KIND = Kind(
    word="low-voltage supply",
    also=("power supply", "power adapter", "plug-in supply", "wall adapter", "12 V supply", "24 V supply"),
    section="power",
    role="circuit",
    summary="A plug-in supply of 12 or 24 V with all that hangs on it; other parts name it in `power` as they would a "
    "power circuit.",
    fails="It is dead when its circuit is dead, at once or after its buffer; and it dies itself, until it is replaced.",
    params=PARAMS,
    ports=(Port("out", "signal", must_join=False),),
    faults=(DIES,),
    lower=lower,
    symbol='<path d="M2 7 H10 M2 13 H10 M30 10 H38" stroke="currentColor" stroke-width="1.5"/>'
    '<rect x="10" y="2" width="20" height="16" rx="2" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M14 7 H26 M14 12 H17 M18.5 12 H21.5 M23 12 H26" stroke="currentColor"/>',
    example="valve supply: {kind: low-voltage supply, power: laundry circuit, buffer: 0 s}",
    tests=(
        ProofTest(
            "pull its plug",
            "Pull its plug, write down what stands still and after how long, and put it in again.",
            "All that names it in the file stands still and nothing else does; each valve and pump does as written.",
            6.0 * MONTH,
        ),
    ),
    cautions=(
        "Hang it above water that can spray or rise, its lead in a loop below it, behind a residual-current device.",
        "What guards against water and what can bring it should not hang on the same small supply.",
        "Add up what hangs on it: the currents of all that can run at once, and a quarter more.",
    ),
    notes=(
        "It is not followed that its voltage sags when too much hangs on it, or that it hums along half dead.",
        "Its buffer is taken as full at the beginning of every cut; a battery that has aged is not.",
        "Once dead it stays dead to the end of the run.",
    ),
)

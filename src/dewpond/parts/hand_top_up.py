"""A hand top-up: somebody pours fresh water in day by day, as before there was a top-off that does it.

The sitter, or whoever was told years ago. The automatic then pumps less, and hides it; what is poured in above what
evaporates stays: the water rises, and its salinity falls by V / (V + surplus). How often: our prior.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Rate, Source
from dewpond.parts.plumbing import DAY, PRIOR

PARAMS = (
    Param("into", "part", "The sump or tank into which it is poured.", roles=("vessel",), also=("of", "in", "fills")),
    Param(
        "a day", "volume", "What is poured in a day.", default=5e-3, low=0.05e-3, high=0.2, usual=(0.2e-3, 0.03),
        source=Source("a watering can", PRIOR, 1e-3, 0.01), also=("litres", "amount", "volume"),
    ),
    Param(
        "dissolved solids", "dissolved solids", "Of the water poured: tap water has more.", default=0.0, low=0.0,
        high=2.0, source=Source("purified water", PRIOR, 0.0, 0.5), also=("TDS",), usual=(0.0, 1.2),
    ),
)  # fmt: skip

ON_TOP = Fault(
    "on top of the automatic", "event",
    "Somebody pours fresh water in day by day, beside the top-off that does it already.",
    "a top-off that hardly runs, a sump that stands higher, a salinity that falls",
    Rate(
        0.1, "each time somebody else looks after the tank", 3.0,
        Source("an instruction that nobody took back", PRIOR, 0.03, 0.3),
    ),
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """An even stream into the vessel while it goes on."""
    spec = b.vessel(p["into"])
    pours = b.any(b.always(False))
    can = b.source(0.0, spec.bottom + spec.rim, p["dissolved solids"])
    b.fixed_flow(can, b.tap(p["into"]), p["a day"] / DAY, b.gate_signal(pours))
    b.say(pours, f"somebody begins to pour water into {p['into']} day by day")
    b.fault(ON_TOP.name, [("force", pours, 1.0)])


KIND = Kind(
    word="hand top-up",
    also=("manual top-off", "sitter", "topping up by hand", "watering can"),
    section="work",
    role="work",
    summary="Somebody tops up by hand, out of habit or on an old instruction.",
    fails="It is done on top of the automatic: the water rises, and its salinity falls.",
    params=PARAMS,
    ports=(),
    faults=(ON_TOP,),
    lower=lower,
    symbol='<path d="M6 8 L10 18 H20 L24 8 Z M24 9 L36 3 M32 3 L38 6" fill="none" stroke="currentColor" '
    'stroke-width="1.5"/><path d="M36 9 V11 M36 14 V16" stroke="currentColor"/>',
    example="sitter: {kind: hand top-up, into: big sump, a day: 5 L}",
    cautions=(
        "Tell whoever looks after the tank what not to do, in writing, beside the tank: no water by hand.",
        "Measure the salinity before and after every time away.",
    ),
    notes=("It is poured as an even stream, and goes on to the end of a run.",),
)

"""A controller: a box with inputs and outputs that carries out rows of the matrix.

It fails by hanging (its outputs freeze, or stop) and by dying; worst in the moment in which it drives something, for
an order that freezes then is never taken back. After a power cut it starts again, and may have forgotten what it had
tripped and counted.

Sources: hang or crash 0.1 a year, our prior; fail positions are not known until they are tried with a plug.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lead, Lowering, Param, PartView, Port, ProofTest, Rate, Source
from dewpond.parts.plumbing import IN_IF_KNOWN, MONTH, PRIOR

KEPT, CLEARED = "kept", "cleared"
FREEZES = "keeps last order"
MEMORY = (KEPT, CLEARED)

PARAMS = (
    IN_IF_KNOWN,
    Param(
        "power", "part", "The power circuit that its plug hangs on, or the supply that feeds it.", roles=("circuit",),
        also=("circuit", "plugged into", "powered by"),
    ),
    Param(
        "after a restart", "map", "What it remembers when power comes back.",
        default="unknown", unknown=({"trips": CLEARED, "counts": CLEARED}, {"trips": KEPT, "counts": KEPT}),
        find_out="Let it trip, end the cause, pull its plug and put it in again: is it still tripped?",
        fields=(
            Param(
                "trips", "word", "What it had tripped stays tripped (kept), or is forgotten (cleared).",
                words=MEMORY, default="unknown", unknown=(CLEARED, KEPT),
                find_out="Wet a probe, see the trip, dry the probe, pull the controller's plug and put it in again.",
            ),
            Param(
                "counts", "word", "Run times and litres of the day go on (kept), or begin again (cleared).",
                words=MEMORY, default="unknown", unknown=(CLEARED, KEPT),
                find_out="Let a run limit be half used, pull the plug, put it in again, and time the rest.",
            ),
        ),
    ),
    Param(
        "waits after a restart", "duration", "How long it gives no order after power is back.",
        default=0.0, low=0.0, high=86400.0, source=Source("none, unless it was set so", PRIOR, 0.0, 600.0),
        also=("restart delay", "delay"), usual=(0.0, 3600.0),
    ),
    Param(
        "when it hangs", "word", "What its outputs do when its program stops.",
        words=(FREEZES, "outputs stopped"), default="unknown", unknown=(FREEZES, "outputs stopped"),
        find_out="Ask its maker whether a watchdog restarts it; without one, take it that outputs stay as they are.",
    ),
)  # fmt: skip

HANGS = Fault(
    "hangs", "latent", "Its program has stopped: it sees nothing, orders nothing new, and tells nobody.",
    "a heartbeat that is missed, or a display that no longer changes",
    Rate(0.1, "per year", 5.0, Source("hang or crash, unseen for a week without a watchdog", PRIOR, 0.02, 0.5)),
)  # fmt: skip
HANGS_DRIVING = Fault(
    "hangs while it drives", "triggered",
    "Its program has stopped in the moment in which it gave that order, and takes it back no more.",
    "a heartbeat that is missed; a pump that does not stop",
    joint=" ",
)  # fmt: skip
DIES = Fault(
    "dies",
    "latent",
    "It or its power supply has failed: it gives no power to anything.",
    "a dark display; a missed heartbeat",
)


def _may_hang_driving(lead: Lead, alive: int, b: Lowering) -> None:
    if lead.starts:
        b.fault(HANGS_DRIVING.name, [("force", alive, 0.0)], where=lead.part, trigger=lead.order)


def lower(p: PartView, b: Lowering) -> None:
    """Power and life as signals of their own; the plant does the rest."""
    memory = p["after a restart"]
    powered = b.any(b.circuit(p["power"]))
    alive = b.any(b.always(True))
    b.box(
        powered,
        alive,
        keeps_trips=memory["trips"] == KEPT,
        keeps_counts=memory["counts"] == KEPT,
        hang_keeps_order=p["when it hangs"] == FREEZES,
        wait=p["waits after a restart"],
        leads=lambda lead: _may_hang_driving(lead, alive, b),
    )
    b.say(powered, f"{p.name} has power again and starts", f"{p.name} is without power")
    b.fault(HANGS.name, [("force", alive, 0.0)])
    b.fault(DIES.name, [("force", powered, 0.0)])


KIND = Kind(
    word="controller",
    also=("control box", "box", "computer"),
    section="controllers",
    role="box",
    usual=True,
    summary="A box that reads sensors and gives orders to valves and pumps by the rows of the matrix.",
    fails="It hangs, with outputs as they were (a pump then runs on) or stopped; it dies; or it forgets in a power cut "
    "what it had tripped.",
    params=PARAMS,
    ports=(Port("inputs", "signal", must_join=False), Port("outputs", "signal", must_join=False)),
    faults=(HANGS, HANGS_DRIVING, DIES),
    lower=lower,
    symbol='<rect x="6" y="2" width="28" height="16" rx="2" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M11 7 H29 M11 12 H21" stroke="currentColor"/>',
    example="cellar box: {kind: controller, power: laundry circuit, after a restart: {trips: kept, counts: kept}, "
    "when it hangs: keeps last order}",
    tests=(
        ProofTest(
            "restart test",
            "Wet a probe so that it trips; dry the probe; pull the controller's plug for a minute and put it in again.",
            "The valve is still shut and the pump still stopped, and it asks to be re-armed by hand.",
            6.0 * MONTH,
        ),
    ),
    cautions=(
        "Mount it higher than any water can spray or rise, with drip loops in all cables.",
        "Feed it through a residual-current device (RCD, GFCI).",
    ),
    notes=("Wires between two controllers, and what they do when one breaks, are not part of this kind yet.",),
)

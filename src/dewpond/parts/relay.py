"""A relay: a coil that closes or opens a contact in the lead of a pump or a valve, wired straight to a switch or probe.

It has no program, so it cannot hang, and it works while every controller hangs; it tells nobody and remembers nothing.
It fails by its contact welding shut (current then always flows) and by its contact or coil failing open. What it does
without power is a matter of how it was wired.

Sources: contact welded 0.005 a year within its rating, 0.05 where an inductive load overstrains it, our prior; a coil
or contact that fails open, our prior. No statistics at home are known to us.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lead, Lowering, Param, PartView, Port, ProofTest, Rate, Source
from dewpond.parts.plumbing import IN_IF_KNOWN, MONTH, PRIOR, WELDED_RATE

CUTS, LETS = "cuts the lead", "lets current through"

PARAMS = (
    IN_IF_KNOWN,
    Param(
        "power", "part", "The power circuit of its coil: what it needs to move its contact.", roles=("circuit",),
        also=("circuit", "coil power", "powered by"),
    ),
    Param(
        "without power", "word", "What its contact does when its coil has no power.",
        words=(CUTS, LETS), default="unknown", unknown=(LETS, CUTS),
        find_out="Let what it switches run, unplug the relay's supply alone, and look whether it goes on.",
        also=("when unpowered", "power off"),
    ),
)  # fmt: skip

WELDED = Fault(
    "contact welded", "latent",
    "Its contact is welded shut: current flows to that part, whatever the relay is told.",
    "the cut test: let the part run and lift the switch that cuts it",
    WELDED_RATE,
)  # fmt: skip
DEAD = Fault(
    "does not close", "latent",
    "Its coil is dead or its contact burnt: no current flows to that part.",
    "the part does not run any more",
    Rate(0.01, "per year", 5.0, Source("no statistics are known to us", PRIOR, 0.002, 0.05)),
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """Rows of the matrix carried out at once, by wire; each lead has a contact of its own."""
    powered = b.any(b.circuit(p["power"]))

    def contact(lead: Lead) -> None:
        where = f"in the lead of {lead.part}"
        b.fault(WELDED.name, [("force", lead.lets, 1.0)], where)
        b.fault(DEAD.name, [("force", lead.lets, 0.0)], where)

    b.box(
        powered,
        b.any(b.always(True)),
        keeps_trips=False,
        keeps_counts=False,
        hang_keeps_order=False,
        wait=0.0,
        leads=contact,
        lets_without_power=p["without power"] == LETS,
    )
    b.say(powered, f"the coil of {p.name} has power again", f"the coil of {p.name} is without power")


KIND = Kind(
    word="relay",
    also=("contactor", "cut-out", "switching relay", "interlock"),
    section="controllers",
    role="box",
    summary="A contact in the lead of a pump or valve, moved by a switch or probe without any program.",
    fails="Its contact welds shut or burns open; without power it does what its wiring makes it do.",
    params=PARAMS,
    ports=(Port("inputs", "signal", must_join=False), Port("outputs", "signal", must_join=False)),
    faults=(WELDED, DEAD),
    lower=lower,
    symbol='<path d="M2 14 H12 L26 6 M28 14 H38" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<rect x="14" y="15" width="12" height="4" fill="none" stroke="currentColor"/>',
    example="pump cut-out: {kind: relay, power: study circuit, without power: cuts the lead}",
    tests=(
        ProofTest(
            "cut test",
            "Let the pump run, and lift the switch that cuts it. Then unplug the relay's own supply while the pump "
            "runs.",
            "The pump stops each time, at once; without the supply it does what the design says.",
            3.0 * MONTH,
        ),
    ),
    cautions=(
        "A pump's motor asks for more than its rating when it starts and stops: choose a contact for motors.",
        "Mains beside water: a closed housing, a residual-current device (RCD, GFCI), and a licensed electrician.",
    ),
    notes=(
        "One relay is taken to have a contact of its own for each part in whose lead it stands.",
        "It acts at once, remembers nothing, and sends no message of its own.",
        (
            "A switch or button whose own contact carries the current of a pump or valve is written with a relay on "
            "their circuit that cuts the lead without power: that contact welds and burns like a relay's."
        ),
    ),
)

"""A switched socket between a controller and what it feeds: ordered by wire, or over the network.

Over the network an order can be late or lost; what the socket then does is a matter of how it was set. Its contact may
weld, and it may die.

Sources: contact welded 0.005 a year within its rating, a wireless command lost 3 times in 100, our priors.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, ProofTest, Rate, Source
from dewpond.parts.plumbing import MONTH, PRIOR, WELDED_RATE

KEEPS, FALLS = "keeps last order", "cuts the lead"

PARAMS = (
    Param(
        "power", "part", "The power circuit that it is plugged into.", roles=("circuit",),
        also=("circuit", "plugged into", "powered by"),
    ),
    Param(
        "ordered over", "part", "The network over which its orders come; left out: by wire.", default=None,
        roles=("link",), also=("network", "radio", "wireless"),
    ),
    Param(
        "without orders", "word", "What it does when its orders stay away: the network is down.",
        words=(KEEPS, FALLS), default="unknown", unknown=(KEEPS, FALLS),
        find_out="Let what it feeds run, switch the network off, and wait an hour: does it stop?",
    ),
)  # fmt: skip

WELDED = Fault(
    "contact welded", "latent", "Its contact is welded shut: what it feeds runs as long as there is power.",
    "order it off while the part runs",
    WELDED_RATE,
)  # fmt: skip
DEAD = Fault("dead", "latent", "It gives no power any more.", "what it feeds does not run")
MISSES = Fault(
    "misses the order to stop", "triggered", "The order to stop is lost on its way: what it feeds runs on.",
    "a message that the part still draws power",
    Rate(0.03, "per demand", 3.0, Source("a wireless command lost or late", PRIOR, 0.01, 0.09)),
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """An order arrives while the network carries it; the contact passes it on while there is power."""
    live = b.circuit(p["power"])
    reaches = b.carried(p["ordered over"]) if p["ordered over"] else None

    def arrive(part: str, order: int) -> int:
        where = f"in the lead of {part}"
        heard = order
        if reaches is not None:
            keeps = p["without orders"] == KEEPS
            heard = b.hold(order, b.no(reaches)) if keeps else b.all(order, reaches)
        contact = b.any(heard)
        b.fault(WELDED.name, [("force", contact, 1.0)], where)
        b.fault(DEAD.name, [("force", contact, 0.0)], where)
        if reaches is not None:
            b.fault(MISSES.name, [("force", contact, 1.0)], where, trigger=b.no(order))
        return b.all(contact, live)

    b.passes_orders(arrive)


KIND = Kind(
    word="switched socket",
    also=("smart plug", "relay socket", "switching outlet", "radio socket", "power bar"),
    section="controllers",
    role="link",
    summary="A socket that a controller switches, by wire or over the network.",
    fails="Its contact welds, it dies, or an order does not reach it.",
    params=PARAMS,
    ports=(),
    faults=(WELDED, DEAD, MISSES),
    lower=lower,
    symbol='<rect x="10" y="2" width="20" height="16" rx="3" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<circle cx="16" cy="10" r="1.5" fill="currentColor"/><circle cx="24" cy="10" r="1.5" fill="currentColor"/>',
    example="pump socket: {kind: switched socket, power: study circuit, ordered over: router, "
    "without orders: cuts the lead}",
    tests=(
        ProofTest(
            "cut test",
            "Let the part run, and order it to stop. Let it run again, and switch the network off.",
            "It stops at once on the order; without the network it does what the design says.",
            3.0 * MONTH,
        ),
    ),
    cautions=(
        "Mains beside water: mount it above any splash, with a drip loop in each lead.",
        "A stop that matters should not travel by radio alone.",
    ),
    notes=(
        "An order that is lost is lost for good in a run; most sockets are told again sooner or later.",
        "It is taken to have a contact of its own for each part that goes through it.",
    ),
)

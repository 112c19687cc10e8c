"""The network of the house: what carries messages out and wireless orders across, until it is down.

It needs power, and it goes down by itself: a provider's fault ends in hours, a router that has hung stays down until
somebody restarts it.

Sources: no statistics are known to us; how often it goes down is our prior.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, ProofTest, Rate, Source
from dewpond.parts.plumbing import MONTH, PRIOR

HOUR = 3600.0

PARAMS = (
    Param(
        "power", "part", "The power circuit of the router; left out: it has power whatever happens.", default=None,
        roles=("circuit",), also=("circuit", "plugged into", "powered by"),
    ),
)  # fmt: skip

SHORT = Fault(
    "down for 4 h", "event", "The network is down for four hours and comes back by itself.",
    "a page that does not load",
    Rate(4.0, "per year", 3.0, Source("a provider's faults and updates", PRIOR, 1.0, 12.0)), 4.0 * HOUR,
)  # fmt: skip
HUNG = Fault(
    "hung until someone restarts it", "event", "The router has hung: nothing passes until somebody pulls its plug.",
    "a page that does not load; a message sent as a drill",
    Rate(1.0, "per year", 3.0, Source("no statistics are known to us", PRIOR, 0.3, 3.0)),
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """It carries while it has power and works."""
    works = b.any(b.always(True))
    carries = b.all(works, b.circuit(p["power"])) if p["power"] else b.any(works)
    b.carries(carries)
    b.say(carries, f"{p.name} works again", f"{p.name} is down: nothing passes it")
    b.fault(SHORT.name, [("force", works, 0.0)])
    b.fault(HUNG.name, [("force", works, 0.0)])


KIND = Kind(
    word="network",
    also=("router", "internet", "wifi", "wireless network", "hub", "access point"),
    section="controllers",
    role="link",
    summary="What carries messages out of the house and wireless orders inside it: router, line and provider.",
    fails="It goes down, alone or with its power; then no message leaves, and no wireless order arrives.",
    params=PARAMS,
    ports=(),
    faults=(SHORT, HUNG),
    lower=lower,
    symbol='<path d="M8 8 q12 -9 24 0 M12 12 q8 -6 16 0" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<circle cx="20" cy="16" r="2" fill="currentColor"/>',
    example="router: {kind: network, power: study circuit}",
    tests=(
        ProofTest(
            "plug test",
            "Pull the router's plug; send a message as a drill; put it in again.",
            "You know what still works without it, and somebody is told that it was away.",
            6.0 * MONTH,
        ),
    ),
    cautions=("A message that must arrive should not depend on the circuit that the water may trip.",),
    notes=("Nobody restarts a hung router in a run. A message that waits for it goes out once it works again.",),
)

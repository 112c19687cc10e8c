"""A small centrifugal pump that lifts purified water from a reservoir into a sump or tank.

A stopped centrifugal pump is an open pipe: once it has run, its tube is full, and water goes on running by itself
towards the lower end (an air gap at the outlet does not stop that; a vent hole above the water does, until it clogs).
It fails by running on, by not running, and at its joints. Rates: motor pumps of NUREG/CR-6928 (2020 update,
second-hand) doubled; running on our prior.
"""

from __future__ import annotations

from dewpond.parts.base import Kind, Lowering, PartView, Port, ProofTest
from dewpond.parts.cables import CABLE, MOTOR, draws
from dewpond.parts.plumbing import (
    DRIVEN_BY,
    IN_IF_ELSEWHERE,
    JOINT_FAULTS,
    JOINT_NOTE,
    MONTH,
    POWER,
    THROUGH,
    TUBES,
    tube_ends,
)
from dewpond.parts.pumping import (
    DOES_NOT_RUN,
    DRY_BELOW,
    FLOW,
    FROM,
    LIFTS,
    OUTLET,
    RUNS_ON,
    TO,
    TUBE,
    TUBE_LENGTH,
    VENT_CLOGGED,
    VENT_HOLE,
    centrifugal,
    drawing,
)

PARAMS = (
    FROM,
    TO,
    IN_IF_ELSEWHERE,
    FLOW,
    OUTLET,
    LIFTS,
    TUBE,
    TUBE_LENGTH,
    VENT_HOLE,
    DRY_BELOW,
    DRIVEN_BY,
    THROUGH,
    POWER,
    CABLE,
    draws(MOTOR),
    tube_ends(2),
)

FAULTS = (RUNS_ON, DOES_NOT_RUN, VENT_CLOGGED, *JOINT_FAULTS)


def lower(p: PartView, b: Lowering) -> None:
    """A centrifugal pump that runs while it is told to."""
    centrifugal(p, b, drawing(p, b), TUBES[p["tube"]][1])


KIND = Kind(
    word="top-off pump",
    also=("pump", "refill pump", "top-up pump", "feed pump"),
    section="water",
    role="line",
    summary="A small pump that replaces what has evaporated, from the reservoir into the sump or tank.",
    fails="It runs on, does not run, leaks at its tube, or water goes on running through it after it has stopped.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    tests=(
        ProofTest(
            "siphon",
            "Let it run, stop it, and watch the outlet. Do it with the reservoir full and the sump as low as it gets.",
            "The stream ends at once, and no more than a few drops follow in ten minutes.",
            6.0 * MONTH,
        ),
        ProofTest(
            "jug",
            "Pump into a jug for a minute, with the tube's end at its usual height.",
            "Within a fifth of the last time.",
            6.0 * MONTH,
        ),
    ),
    symbol='<path d="M0 10 H12 M28 10 H40" stroke="currentColor" stroke-width="2"/>'
    '<circle cx="20" cy="10" r="8" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M16 5 L28 10 L16 15 Z" fill="currentColor"/>',
    example="top-off pump: {kind: top-off pump, from: reservoir, to: big sump, flow: 60 L/h, "
    "outlet: 45 cm above floor, driven by: level box}",
    cautions=(
        "Unplug it before you put a hand into the water; its lead hangs in a loop below its socket.",
        "An outlet above the water does not stop a reservoir that stands higher from running out through the pump.",
        "Point a vent hole into the vessel: it sprays while the pump runs.",
    ),
    notes=(
        "Its curve falls evenly with the square of the flow, through the flow measured and its greatest height.",
        "When the reservoir is below the pump's inlet, nothing runs through the stopped pump either way.",
        "A stopped pump resists as its curve falls (affinity laws); its inlet 3 velocity heads (our prior, 1 to 10).",
        JOINT_NOTE,
    ),
)

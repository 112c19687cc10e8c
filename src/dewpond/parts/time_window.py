"""A time window: the hours at which a box's own clock lets something happen, asked in a row of the matrix.

It is a line in the box's program, not a thing: it fails by the clock of the box, and by a program that is set wrong.
Rates: our priors.
"""

from __future__ import annotations

from dewpond.parts.base import Kind, Lowering, Param, PartView, Port, ProofTest
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
from dewpond.parts.plumbing import MONTH, powered

PARAMS = (
    Param(
        "by the clock of", "part", "The box whose clock it is.", roles=("box",),
        also=("kept by", "clock of", "wired to", "box", "controller"),
    ),
    FROM,
    FOR,
    EVERY,
    KEEPS,
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """A condition for the matrix, true while the box's clock says so."""
    live = powered(str(b.part(p["by the clock of"]).get("power") or ""), b)
    due = by_the_clock(b, times(p), live, p[KEEPS.key])
    b.condition("due", due, meant=True)
    b.say(due, f"{p.name} is due", f"{p.name} is over")


KIND = Kind(
    word="time window",
    also=("schedule", "program", "fill time", "clock condition", "hours"),
    section="sensors",
    role="sensor",
    summary="Hours at which a box's own clock lets something happen; rows of the matrix ask whether it is `due`.",
    fails="The clock of the box stops, is wrong, or loses its time in a power cut.",
    params=PARAMS,
    ports=(Port("reading", "signal"),),
    faults=CLOCK_FAULTS,
    lower=lower,
    check=check_times,
    symbol='<circle cx="20" cy="10" r="9" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M20 4 V10 L25 13" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="morning fill: {kind: time window, by the clock of: cellar box, on from: 06:30, for: 30 min, every: 1 day, "
    "its time in a power cut: kept}",
    tests=(
        ProofTest(
            "see it begin and end",
            "Be there when it begins and when it ends. Pull the plug of its box for ten minutes, put it in again, and "
            "look at the time that the box shows.",
            "What the row runs or opens begins and ends at the minute that the design gives, and the time is right.",
            3.0 * MONTH,
        ),
    ),
    cautions=(
        "Choose hours at which somebody is at home and awake, and stays so until it is over.",
        "A time that ends a filling ends it late where the water runs faster than you reckoned: keep the float.",
    ),
    notes=(
        *CLOCK_NOTES,
        "A box that hangs sees no end of it: what it had opened stays as it does when the box hangs.",
    ),
)

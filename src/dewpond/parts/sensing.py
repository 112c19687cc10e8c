"""What parts that sense share: when a puddle reaches a probe, what its contact does, and how an input reads that."""

from __future__ import annotations

import math

from dewpond.parts.base import Floor, Lowering, Param, Rate, Source
from dewpond.parts.plumbing import PRIOR

STAYS_WET = 0.5  # share of the litres at first wetting below which a probe counts as dry again [1]

REACHED_BY = Param(
    "reached by", "volume", "Litres on the floor of its place until the water touches the probe: pour and measure.",
    default=None, low=1e-6, high=1.0, usual=(0.01e-3, 0.05),
    source=Source(
        "left out: a round puddle from the likely leak to the probe, at most a third of what the whole floor takes and "
        "half of what the place holds before water goes on", PRIOR,
    ),
)  # fmt: skip
DISTANCE = Param(
    "from the likely leak", "length", "How far from the likely leak it lies; used where the litres are not known.",
    default=1.0, low=0.02, high=20.0, usual=(0.05, 5.0), source=Source("an arm's length", PRIOR, 0.3, 3.0),
)  # fmt: skip
SEEN = Param(
    "seen to work with purified water", "date",
    "The day it was last seen to report purified water (not tap water, not a wet finger).",
    default="unknown", unknown=("never", "seen"),
    find_out="Pour a cup of water from the reservoir over the probe, dry it first, and look whether it reports.",
)  # fmt: skip
SEES_FROM = Param(
    "sees water from", "dissolved solids",
    "Dissolved matter at which a probe that does not see purified water sees it.",
    default=0.03, low=0.0, high=1.0, usual=(0.005, 0.2),
    source=Source("between purified water, under 0.02 kg/m3, and tap water, mostly above 0.1", PRIOR, 0.01, 0.1),
)  # fmt: skip

LEAD = Param(
    "lead", "length", "Length of its cable.",
    also=("cable", "cable length", "wire"), default=None, low=0.0, high=100.0, usual=(0.2, 30.0),
)  # fmt: skip

CONTACT_STATES = ("closed", "open")
WIRED_TO = Param(
    "wired to", "part", "The controller or relay whose input it is wired to.", roles=("box",),
    also=("connected to", "input of"),
)  # fmt: skip
WET_CONTACT = (
    Param(
        "contact", "word", "What its contact does: wet it and measure with a meter.",
        words=("closes when wet", "opens when wet"),
    ),
    Param(
        "read as wet when", "word", "At which contact the input says wet.", words=CONTACT_STATES,
        also=("reads as wet when", "wet when"),
    ),
)  # fmt: skip

WIRE_RATE = Rate(
    0.02, "per year", 5.0,
    Source("pets, cleaning, a plug pulled; a resistor at the line's end would show it", PRIOR, 0.004, 0.1),
)  # fmt: skip
FLOAT_RATE = Rate(
    0.03, "per year", 5.0,
    Source(
        "industrial level switch about 1e-6 an hour unseen (PDS handbook, from memory), times 3 at home; where nobody "
        "cleans it 0.1 to 0.3 (from memory)", "derived", 0.006, 0.3,
    ),
)  # fmt: skip
OPTICAL_RATE = Rate(
    0.05, "per year", 3.0,
    Source("film, salt creep, stray light: a wrong state 0.1 times a year, half of it each way", PRIOR, 0.017, 0.15),
)  # fmt: skip
STRAY_RATE = Rate(
    0.05, "per year", 3.0,
    Source("salt splash or creep bridges the probe; nearer 0.5 beside salt water (from memory)", PRIOR, 0.017, 0.5),
)  # fmt: skip
PROBE_DEAD_RATE = Rate(
    0.05, "per year", 3.0, Source("as a leak probe: oxide, dust, a corroded contact", PRIOR, 0.017, 0.15)
)
NO_REACH_RATE = Rate(
    0.1, "for each leak point", 3.0,
    Source("probability; to be replaced by how water spreads on this floor", PRIOR, 0.03, 0.3),
)  # fmt: skip


def first_wet(floor: Floor, distance: float) -> float:
    """Litres in a place until a puddle that starts ``distance`` [m] away touches a probe [m3].

    V = pi d^2 e, the round puddle of film thickness e, but at most a third of what the whole floor takes and half of
    what the place holds before water goes on: in a small place the puddle meets the walls first, and water that has
    found its way out spreads no further.
    """
    puddle = math.pi * distance * distance * floor.film
    return min(puddle, floor.area * floor.film / 3.0, 0.5 * floor.holds)


def touched(b: Lowering, place: str, reached_by: float | None, distance: float) -> int:
    """Signal of its own: the water in ``place`` touches the probe.

    ``reached_by`` [m3] when measured, else worked out from the ``distance`` [m] to the likely leak; where the floor of
    that place has a plan, a run puts the plan's litres in the place of these.
    """
    litres = first_wet(b.floor(place), distance) if reached_by is None else reached_by
    return b.touches(place, litres, STAYS_WET * litres, reached_by is not None)


def conducts(b: Lowering, place: str, seen: str, sees_from: float) -> int:
    """Signal: a probe that is wet in ``place`` sees the water; ``seen`` is a date, ``seen`` or ``never``."""
    return b.pool_salty(place, sees_from) if seen == "never" else b.always(True)


def tell_silence(b: Lowering, at_spot: int, sees: int, acts: int, what: str, key: str) -> None:
    """Have it told when a probe lies wet and nothing comes of it: because it is blind to this water, or although not.

    ``what``: the words for it, such as "the probe in the study lies wet and says nothing"; ``key``: where the design
    says whether it sees purified water.
    """
    blind = f"{what}: it is taken as blind to purified water until it has been seen to work with it (see “{key}”)"
    b.say(b.all(at_spot, b.no(sees)), blind, kind="silent")
    b.say(b.all(at_spot, sees, b.no(acts)), what, kind="silent")


def reading(b: Lowering, acts: int, closes: bool, read_when: str) -> tuple[int, int]:
    """(contact as it arrives, what the input makes of it), both signals of their own.

    ``acts``: the state that moves the contact; ``closes``: that state closes it; ``read_when``: the contact state,
    ``closed`` or ``open``, that the input takes for the state reported.
    """
    wire = b.any(acts if closes else b.no(acts))
    return wire, b.any(wire if read_when == "closed" else b.no(wire))


def heard(b: Lowering, box: str, says: int) -> int:
    """Signal for the words of a sensor: what the box that it is wired to has last heard of it. A box that hangs or has
    no power hears nothing, which is no news of the water."""
    listens = b.listens(box)
    return b.latch(b.all(says, listens), b.all(listens, b.no(says)), b.always(False))

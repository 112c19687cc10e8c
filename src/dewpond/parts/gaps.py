"""What parts share whose water falls freely: how high the fall must be so that nothing can be drawn back.

Rules: United States, twice the effective opening and at least 1 in (FDA Food Code 5-202.13), three times beside a wall
(note of ASME A112.1.2-2012; 1.5 in at least for small openings, from memory); Europe, the greater of 20 mm and twice
the bore (Building Services Handbook on BS EN 1717). Which one counts, and who may build it, the local code says.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Param, PartView, Rate, Source, amount
from dewpond.parts.plumbing import PRIOR, TUBE_SOURCE, TUBES

US, US_WALL, EUROPE = 25.4e-3, 38.1e-3, 20e-3  # least fall, however small the opening [m]
OPENINGS, OPENINGS_WALL = 2.0, 3.0  # and in openings [1]
FREE, WALL = "nothing", "a wall"
FALLS = ("gap", "air gap")  # keys under which parts say how far their water falls

SIZE = Param(
    "size",
    "word",
    "The size of its tube: inches outside, or millimetres outside x inside.",
    default="1/4 in",
    words=tuple(TUBES),
    source=TUBE_SOURCE,
    also=("diameter", "outside diameter"),
)
BESIDE = Param(
    "beside it", "word", "Whether a wall stands nearer to its end than three of its bores.", default=FREE,
    words=(FREE, WALL),
)  # fmt: skip

FALLS_OUT = Rate(
    0.02, "per year", 5.0, Source("as a loose plug: pets, cleaning, the tube's own spring", PRIOR, 0.004, 0.1)
)


def opening(p: PartView) -> float:
    """Bore of its end [m]."""
    return TUBES[p[SIZE.key]][1]


def least(bore: float, wall: bool) -> tuple[float, float]:
    """The least fall in the United States and in Europe [m], for a bore [m]."""
    if wall:
        return max(US_WALL, OPENINGS_WALL * bore), max(EUROPE, OPENINGS * bore)
    return max(US, OPENINGS * bore), max(EUROPE, OPENINGS * bore)


def check_gap(p: PartView, key: str) -> list[Finding]:
    """A fall [m] that is smaller than the greater of the two rules."""
    us, europe = least(opening(p), p[BESIDE.key] == WALL)
    if p[key] >= max(us, europe) - 0.5e-3:
        return []
    falls = f"Its water falls through {amount(p[key], 'height')} of air"
    if p[key] <= 0.0:
        falls = "There is no air between its end and what it ends over"
    return [
        Finding(
            "air-gap-small",
            "warning",
            p.name,
            f"{falls}; the United States want {amount(us, 'height', 3)} here, Europe {amount(europe, 'height')}. Dirty "
            "water that rises can be drawn back.",
            "Fix its end higher above what it ends over, so that it cannot slip down, and check with the local code.",
            key=key,
        )
    ]

"""Clips that hold tube ends: locks under the collets of push-in joints, and pipe clips that fix a tube beside them.

A push-in joint lets go when its collet is pressed in, by a knock, a pull aside or a hand. A lock keeps the collet out;
a pipe clip takes the pull off the joint. Neither helps an end that was never pushed home. They fail by being left off
after work. How much rarer a tube end then comes off is our prior: no statistics are known to us.
"""

from __future__ import annotations

from dewpond.parts.base import Kind, Lowering, Param, PartView, ProofTest, Source, Upkeep
from dewpond.parts.plumbing import MONTH, PRIOR, ends_of

LOCKS, PIPE_CLIPS = "collet locks", "pipe clips"
STILL = {LOCKS: 0.3, PIPE_CLIPS: 0.5}
"""Share of the tube ends that come off which do so in spite of each [1]; our priors, 0.1 to 0.7 and 0.25 to 0.9."""

PARAMS = (
    Param(
        "on", "parts", "The parts whose tube ends they hold.", roles=("line", "vessel", "device"), has=("tube ends",),
        also=("holds", "for", "parts", "secures"),
    ),
    Param(
        "sort", "word", "What they are: locks pushed under the collets, or clips that fix the tube close to its ends.",
        default=LOCKS, words=tuple(STILL), also=("type", "what"),
        trade={
            "locking clips": LOCKS, "collet clips": LOCKS, "retaining clips": LOCKS, "tube clips": LOCKS,
            "saddle clips": PIPE_CLIPS, "pipe brackets": PIPE_CLIPS, "cable clips": PIPE_CLIPS,
        },
    ),
    Param(
        "ends", "count", "How many tube ends have one: count them; left out: every tube end of these parts.",
        default=None, low=1, high=300, usual=(1, 80), also=("how many", "number", "count"),
    ),
    Param(
        "still comes off", "fraction", "Share of the ends that come off which still do with them.", default=None,
        low=0.01, high=1.0, usual=(0.05, 1.0),
        source=Source("left out: 0.3 with collet locks (0.1 to 0.7), 0.5 with pipe clips (0.25 to 0.9)", PRIOR, 0.1,
                      0.9),
    ),
    Param("looked at on", "date", "When every one was last seen in its place.", default=None),
)  # fmt: skip


def secures(p: PartView, b: Lowering) -> dict[str, float]:
    """The same share for each part they are on: those that are fewer than the ends are spread evenly."""
    ends = sum(ends_of(b.part(name)) for name in p["on"])
    if ends == 0:
        return {}
    held = 1.0 if p["ends"] is None else min(p["ends"] / ends, 1.0)
    still = STILL[p["sort"]] if p["still comes off"] is None else p["still comes off"]
    return dict.fromkeys(p["on"], 1.0 - held * (1.0 - still))


def lower(p: PartView, b: Lowering) -> None:
    """They move no water and act on nothing; see ``secures``."""


KIND = Kind(
    word="tube clips",
    also=("collet locks", "collet clips", "locking clips", "retaining clips", "pipe clips", "tube locks"),
    section="water",
    role="line",
    summary="Locks under the collets of push-in joints, or clips that fix a tube: its ends come off less often.",
    fails="They are left off after work. They hold no end that was never pushed home, and stop no weeping.",
    params=PARAMS,
    ports=(),
    faults=(),
    lower=lower,
    secures=secures,
    tests=(
        ProofTest(
            "pull and count",
            "Count them on every part that the file names, and pull at each tube end as if a foot had caught it.",
            "As many as written, and no end moves.",
            6.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Look at every clip, and after any work put each one back.", 6.0 * MONTH, "looked at on"),),
    symbol='<path d="M0 10 H12 M28 10 H40 M12 5 H28 V15 H12 Z" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M8 4 Q5 10 8 16 M32 4 Q35 10 32 16" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="clips: {kind: tube clips, on: [riser, membrane, filters], sort: collet locks, ends: 20}",
    cautions=(
        "Push the tube home first, then the clip on: a clip holds a short end just as badly as none.",
        "Shut the water and let the pressure out before you take a clip off.",
    ),
    notes=(
        "They change how often a tube end comes off, not what it lets out; it weeps and bursts as before.",
        "Where fewer ends have one than there are, each end of these parts is taken to have it with equal chance.",
        "Two sorts on one part both count, as if each held by itself.",
    ),
)

"""The classical mistakes as texts to put into the sound house, and what each of them must bring.

The mistakes, and what planting them must bring: the project's own trial of an exhaustive search (its 18 classical
mistakes, and its table of planted ones). The sets of faults were worked out by hand from the house before they were
looked up in what a proof finds.
"""

from pathlib import Path
from typing import NamedTuple

SOUND = (Path(__file__).parent / "sound.yaml").read_text("utf-8")
Swap = tuple[str, str]  # a text of the sound house, and what stands in its place
Sets = frozenset[frozenset[str]]  # sets of faults, each by the first of those that do the same, leaks as in LEAKS

# -- faults, and of leaks one of those alike ---------------------------------------------------------------------------
CUT, HOUSE_TRIPS = "house power: cut for an hour", "house power: trips until someone comes"
UNIT_HANGS, TANK_HANGS, RUNS_ON = "unit box: hangs", "tank box: hangs", "top-off pump: runs on"
OPEN_VALVE, DEAD, MOVED = "feed valve: does not close", "unit probe: electrically dead", "unit probe: moved away"
STUCK_LOW, LOW_WIRE = "low mark: float stuck low", "low mark: wire broken"
FIRST, SECOND, BETWEEN = (
    "stop tap: joint weeps, before the valve",
    "stop tap: joint weeps, behind the valve",
    "feed valve: joint weeps, before the valve",
)
BOWL, RESIN, PARLOUR, TRAY = (
    "filters: bowl cracks",
    "resin: joint weeps",
    "riser: burst, in parlour",
    "float: stuck open",
)
SEAMS = ("reef: seam leaks", "sump: seam leaks")
OVERFLOW, DRAIN = "reef: display overflow blocked", "standpipe: backs up"
LEAKS = (FIRST, SECOND, BETWEEN, BOWL, RESIN, PARLOUR, TRAY, *SEAMS, OVERFLOW, DRAIN)
NOTHING: Sets = frozenset([frozenset()])  # nothing needs to fail beside


def sets(*names: str | tuple[str, ...]) -> Sets:
    return frozenset(frozenset([one] if isinstance(one, str) else one) for one in names)


# -- mistakes ----------------------------------------------------------------------------------------------------------
BY_RELAY = "cause: high mark high, effect: {top-off pump: stopped}, until: cause ends, by: pump cut-out}"
HIGH_ROW = (f"  - {{id: high water, {BY_RELAY}\n", "")
CELL_VALVE = (
    "{kind: battery leak valve, after: stop tap,   in: wash room, cells fitted: 2026-09-01, when its probe dries: "
    "stays shut,\n                 "
    "probe: {in: wash room, at: lowest corner, seen to work with purified water: 2026-11-02}}"
)
ON_THE_BOX = (
    (
        CELL_VALVE,
        "{kind: solenoid valve, after: stop tap, in: wash room, without power: shut, driven by: unit box}",
    ),
    ("effect: {feed valve: shut, top", "effect: {cell valve: shut, feed valve: shut, top"),
)
OPENS_WET, CLOSES_WET = (
    "contact: opens when wet, read as wet when: open",
    "contact: closes when wet, read as wet when: closed",
)
TRAY_PROBE = "at: front corner, wired to: unit box, "
PROBES = "cause: tray probe wet or parlour probe wet or unit probe wet"
LATCHED, UNLATCHED = "until: re-armed by hand when dry, tell", "until: cause ends, tell"
TOO_LONG = (
    "when a run is too long: {effect: stopped, until: re-armed by hand when the level is normal, tell: level message}"
)
NO_LIMIT = (("at most: 16 min a run, ", ""), (",\n     " + TOO_LONG, ""))
LONG_RUN = (("at most: 16 min a run", "at most: 6 h a run"), ("per day: 6 L", "per day: 60 L"))
KEPT, UNIT_BOX, TANK_BOX = (
    "after a restart: {trips: kept, counts: kept}",
    "  unit box:     {power: wash room circuit, ",
    "  tank box:     {power: parlour circuit, ",
)
RELAY_LETS = (
    "{kind: relay, power: parlour circuit, without power: cuts the lead}",
    "{kind: relay, power: wash room circuit, without power: lets current through}",
)
LASTS_AND_FORGETS = (
    (BY_RELAY, BY_RELAY.replace("high, effect", "high, lasting: 60 s, effect").replace(", by: pump cut-out", "")),
    (TANK_BOX + KEPT, TANK_BOX + KEPT.replace("kept", "cleared", 1)),
)
LOW_TOLD = ("  - {id: low told, cause: low mark low, lasting: 2 h, effect: {}, tell: level message}\n", "")
STOCK_ROW = ("  - {id: stock, cause: stock low low, lasting: 1 h, effect: {}, tell: level message}\n", "")
BEATS = "every: 15 min, path: [router], missed: 2, watched: outside the house, tell: [keeper, neighbour]}"
HEARTBEAT = (f"  heartbeat:     {{from: [unit box, tank box], {BEATS}\n", "")
# An hour and a half of pumping is borne, a second one is not: at once, after a delay and a rest, or after a lock.
OFTEN = "at most: 16 min a run, gap: 20 min, per day: 6 L,"
AT_ONCE = (("low, lasting: 10 s, effect: {top", "low, effect: {top"), (OFTEN, "at most: 90 min a run,"))
RESTED = ((OFTEN, "at most: 90 min a run, gap: 20 min,"),)
NOT_BY_HAND = (
    (OFTEN, "at most: 90 min a run,"),
    ("until: re-armed by hand when the level is normal, tell: level", "until: cause ends, tell: level"),
)
NEARLY_TOO_LONG = {"at once": AT_ONCE, "after a delay and a rest": RESTED, "locked until its cause ends": NOT_BY_HAND}


class Mistake(NamedTuple):
    """rule: what it must break, and ``also`` what may break with it, which hangs on the same; cases: all smallest sets
    of faults with which the rule is broken; pairs: by a leak, the smallest sets that it takes beside since the
    mistake, where that has changed; faults: at most so many, as the rule asks."""

    name: str
    swaps: tuple[Swap, ...]
    rule: str
    also: frozenset[str] = frozenset()
    cases: Sets | None = NOTHING
    pairs: dict[str, Sets] | None = None
    faults: int = 1


MISTAKES = (
    # a reversed probe reads dry while it is wet, so a wet floor is re-armed and a cut wire is silent; and wet while it
    # is dry, so that its message stands from the first moment on, and tells nobody of anything new
    Mistake(
        "probe reversed", ((TRAY_PROBE + OPENS_WET, TRAY_PROBE + "contact: opens when wet, read as wet when: closed"),),
        "IL-01", frozenset({"IL-10", "IL-12", "IL-14", "IL-15"}),
    ),
    Mistake(
        "solenoid opens unpowered", (("without power: shut, driven", "without power: open, driven"),), "IL-02",
        frozenset({"IL-18"}), sets(CUT, HOUSE_TRIPS, "feed valve: coil burnt out"), {},
    ),
    Mistake(
        "relay that lets current through while its own circuit is dead", (RELAY_LETS,), "IL-02",
        cases=sets("wash room circuit: cut for an hour", "wash room circuit: trips until someone comes"),
    ),
    # until the delay is over anew the pump may run, with the water where it was
    Mistake(
        "box forgets in a power cut that the water stood high", LASTS_AND_FORGETS, "IL-11",
        frozenset({"IL-08", "IL-18"}), sets(CUT),
    ),
    Mistake("solenoid not latched", ((LATCHED, UNLATCHED),), "IL-03"),
    Mistake("battery valve not latched", (("probe dries: stays shut", "probe dries: opens again"),), "IL-03"),
    Mistake(
        "both valves behind the filters",
        (
            ("after: stop tap,   in", "after: filters,   in"),
            ("{kind: pre-filters,        after: feed valve", "{kind: pre-filters,        after: stop tap"),
            ("{kind: membrane,           after: filters", "{kind: membrane,           after: feed valve"),
        ),
        "IL-04", cases=sets(SECOND), pairs={BOWL: NOTHING},
    ),
    Mistake(
        "probe of the battery valve in another room", (("probe: {in: wash room", "probe: {in: far room"),), "IL-05",
        cases=sets(BETWEEN), faults=2,
        pairs={
            BETWEEN: NOTHING,
            **dict.fromkeys((BOWL, RESIN, DRAIN), sets(OPEN_VALVE, UNIT_HANGS, DEAD, MOVED)),
            **dict.fromkeys((TRAY, PARLOUR, *SEAMS, OVERFLOW), sets(OPEN_VALVE, UNIT_HANGS)),
        },
    ),
    Mistake(
        "probes tried with tap water only", ((",\n                 seen to work with purified water: 2026-11-02}", "}"),
        (", seen to work with purified water: 2026-11-02}", "}")), "IL-05",
        cases=sets(RESIN, PARLOUR, TRAY), pairs=dict.fromkeys((RESIN, PARLOUR, TRAY), NOTHING),
    ),
    Mistake(
        "second valve on the same box and probes", ON_THE_BOX, "IL-06", cases=None, faults=2,
        pairs={
            BETWEEN: sets("cell valve: does not close", UNIT_HANGS, DEAD, MOVED),
            **dict.fromkeys((BOWL, RESIN, DRAIN), sets(UNIT_HANGS, DEAD, MOVED)),
            **dict.fromkeys((TRAY, PARLOUR, *SEAMS, OVERFLOW), sets(UNIT_HANGS)),
        },
    ),
    Mistake("message never heard", ((", heard after a wetted probe: 2026-11-02}", "}"),), "IL-07"),
    Mistake("message sent from a menu", (("heard after a wetted probe: 2026-11-02}", "heard: 2026-11-02}"),), "IL-07"),
    Mistake("no high switch", (HIGH_ROW,), "IL-08", frozenset({"IL-18"}), sets(RUNS_ON)),
    Mistake("high switch at the rim", (("at: 300 mm", "at: 395 mm"),), "IL-08", frozenset({"IL-18"}), sets(RUNS_ON)),
    Mistake(
        "limit longer than the tank bears, no high switch", (HIGH_ROW, *LONG_RUN), "IL-08", frozenset({"IL-18"}),
        sets(RUNS_ON, STUCK_LOW, LOW_WIRE),
    ),
    Mistake(
        "no end to repeats, no high switch", (HIGH_ROW, *NO_LIMIT), "IL-08b", frozenset({"IL-08", "IL-18"}),
        sets(STUCK_LOW, LOW_WIRE),
    ),
    # 40 mm above where the pump sucks air last 8.7 h at twice the evaporation; the keeper may be out for 9 h
    Mistake(
        "told too late", (("in: sump, at: 160 mm", "in: sump, at: 150 mm"),), "IL-09",
        cases=sets("low mark: float stuck high", "low mark: wires touch"),
    ),
    # what shuts the feed leaves the reservoir empty untold as well
    Mistake("no message of a low reservoir", (STOCK_ROW,), "IL-09", frozenset({"IL-10"})),
    Mistake(
        "box of the valve forgets its trips", ((UNIT_BOX + KEPT, UNIT_BOX + KEPT.replace("kept", "cleared", 1)),),
        "IL-11", cases=sets(CUT), pairs={}, faults=2,
    ),
    Mistake("re-armed while wet", (("re-armed by hand when dry", "re-armed by hand"),), "IL-12"),
    # what starts again above its mark is told low there
    Mistake(
        "limit re-armed blindly", (("re-armed by hand when the level is normal", "re-armed by hand"),), "IL-12",
        cases=sets(STUCK_LOW, LOW_WIRE),
    ),
    Mistake("pause without an end", ((", ends by itself after: 1 h", ""),), "IL-13"),
    Mistake(
        "nobody told of a leak", ((LATCHED, LATCHED.removesuffix(", tell") + "}\n  #"),), "IL-14",
        cases=sets(("cell valve: mechanism seized", BETWEEN)), faults=2,
    ),
    Mistake(
        "cut wire reads dry", ((TRAY_PROBE + OPENS_WET, TRAY_PROBE + CLOSES_WET),), "IL-15",
        cases=sets("tray probe: wire cut"),
    ),
    Mistake("no rest between runs", (("gap: 20 min, ", ""),), "IL-16"),
    Mistake("two boxes on one pump, and no word which wins", (("combination: any stop wins\n", ""),), "IL-17"),
    Mistake(
        "high switch read by the box that hangs", ((", by: pump cut-out}", "}"),), "IL-18", frozenset({"IL-08"}),
        sets(TANK_HANGS),
    ),
)  # fmt: skip


def with_mistakes(*swaps: Swap) -> str:
    """The text of the sound house with texts exchanged; raises KeyError where one is not there."""
    text = SOUND
    for old, new in swaps:
        if old not in text:
            raise KeyError(old)  # no AssertionError, which some tests expect
        text = text.replace(old, new)
    return text

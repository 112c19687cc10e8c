"""Small houses whose matrices show one rule each, and the examples."""

from __future__ import annotations

from dewpond.design.model import Design
from dewpond.design.reader import read_text
from tests.plant.houses import controller, design

EXAMPLES = ("first_float", "two_tanks", "bin_and_branch", "mixing_day", "timer_only")

MORE = """messages:
  leak message: {priority: now, path: [box, keeper]}
  level message: {priority: today, path: [box, keeper]}
work:
  feeding: {kind: pause, lasts: 10 min}
"""
SECOND = (
    "  cut-out: {power: tank circuit, after a restart: {trips: kept, counts: kept}, when it hangs: keeps last order}"
)
TRIP = (
    "{cause: probe wet or second probe wet, lasting: 5 s, effect: {feed valve: shut, pump: stopped}, "
    "until: re-armed by hand when dry, tell: leak message}"
)
LIMITS = (
    "{cause: low mark low, effect: {pump: running}, at most: 40 s a run, gap: 20 s, per day: 2 L, when a run is too "
    "long: {effect: stopped, until: re-armed by hand when the level is normal, tell: level message}}"
)
NEGATED = (
    "{cause: low mark low and probe not wet and second probe dry and feeding not begun, effect: {pump: running}, "
    "at most: 1 h a run}"
)
TOLD = (
    "{cause: low mark low, effect: {pump: running}, at most: 1 h a run, until: re-armed by hand when it is normal, "
    "tell: level message}"
)
# Rows, controllers, at rest: each house shows another part of the rules.
HOUSES: dict[str, tuple[list[str], str, str]] = {
    "trip and limits, all kept": ([TRIP, LIMITS], controller(), "shut"),
    "trip and limits, nothing kept": ([TRIP, LIMITS], controller(trips="cleared", counts="cleared"), "shut"),
    "trips kept, counts not": ([TRIP, LIMITS], controller(counts="cleared"), "shut"),
    "counts kept, trips not": ([TRIP, LIMITS], controller(trips="cleared"), "shut"),
    "waits": ([TRIP, LIMITS], controller(more="waits after a restart: 30 s"), "shut"),
    "limit put back by the cause": (
        ["{cause: low mark low, effect: {pump: running}, at most: 15 s a run}"], controller(), "shut",
    ),
    "the same, forgotten": (
        ["{cause: low mark low, lasting: 4 s, effect: {pump: running}, at most: 15 s a run, tell: level message}"],
        controller(counts="cleared", more="waits after a restart: 10 s"), "shut",
    ),
    "blind re-arming": (
        ["{cause: probe wet, effect: {feed valve: shut}, until: re-armed by hand, tell: leak message}"],
        controller(), "shut",
    ),
    "while it lasts": (["{cause: probe wet, lasting: 8 s, effect: {feed valve: shut}}"], controller(), "shut"),
    "valve that rests open": (
        ["{cause: probe wet, effect: {feed valve: shut}, until: re-armed by hand when dry}"], controller(), "open",
    ),
    "vote": (
        ['{cause: "2 of: probe wet, second probe wet, high mark high", effect: {feed valve: shut}}'],
        controller(), "shut",
    ),
    "negations and all": (
        [NEGATED, "{cause: high mark not normal, effect: {pump: stopped}}"],
        controller(), "shut",
    ),
    "pause": (
        ["{cause: low mark low, effect: {pump: running}, at most: 1 h a run}",
         "{cause: feeding begun, effect: {pump: stopped}}"],
        controller(), "shut",
    ),
    "two boxes": (
        [LIMITS, "{cause: high mark high, effect: {pump: stopped}, by: cut-out, tell: level message}"],
        f"{controller()}\n{SECOND}", "shut",
    ),
    "another box runs it": (
        ["{cause: low mark low, effect: {pump: running}, at most: 30 s a run, by: cut-out}"],
        f"{controller()}\n{SECOND}", "shut",
    ),
    "two demands on one pump": (
        [LIMITS, "{cause: high mark normal, lasting: 3 s, effect: {pump: running}, at most: 25 s a run}"],
        controller(), "shut",
    ),
    "a day's most": (
        ["{cause: low mark low, effect: {pump: running}, at most: 1 h a run, per day: 0.5 L}"], controller(), "shut",
    ),
    "a day's most, forgotten": (
        ["{cause: low mark low, effect: {pump: running}, at most: 1 h a run, per day: 0.5 L}"],
        controller(counts="cleared"), "shut",
    ),
    "a demand whose message is re-armed": ([TOLD], controller(), "shut"),
    "never run": (["{cause: high mark high, effect: {pump: stopped}}"], controller(), "shut"),
    "only told": (["{cause: low mark low, lasting: 6 s, tell: level message}"], controller(), "shut"),
}  # fmt: skip


def house(name: str) -> Design:
    rows, controllers, at_rest = HOUSES[name]
    return read_text(design(*rows, controllers=controllers, messages=MORE, at_rest=at_rest), "house.yaml")

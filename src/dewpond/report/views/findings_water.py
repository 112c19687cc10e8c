"""What runs showed of water that nothing ends, or not in time: onto floors, and straight to a drain."""

from __future__ import annotations

from collections.abc import Sequence

from dewpond.report.views.by_floor_ends import between
from dewpond.report.views.shown import Shown, count, joined
from dewpond.study.outcome import Remark

MOST_NAMED = 6
Words = tuple[str, str, str]  # where, what, remedy; an empty remedy hangs on the parts that are named


def named(labels: Sequence[str]) -> str:
    """Labels, and of many how many more there are."""
    left = len(labels) - MOST_NAMED
    return joined(labels) if left <= 1 else f"{', '.join(labels[:MOST_NAMED])} and {left} more"


def endless(remark: Remark, shown: Shown) -> Words:
    """Faults whose water still runs at the end."""
    number, wet = round(remark.numbers["count"]), round(remark.numbers["floors"])
    some, span = round(remark.numbers.get("some", 0)), shown.duration(remark.numbers["after"])
    by_floor = "" if number == some else f"with {some} of them "
    start = (
        f"With {count(number, 'single fault')} water is still running after {span} with everybody away"
        f"{f' ({by_floor}only on some of the floors that fit)' if some else ''}"
    )
    litres = _litres(remark, shown)
    worst = f"in the worst case {litres} have reached a floor by then"
    if "drained" in remark.numbers:
        worst += " and into no drain"
    if wet == number:
        text = f"{start}; {worst}: {named(remark.parts)}."
    elif wet:
        dry = named(remark.parts[wet:])
        text = (
            f"{start}: with {wet} of them onto a floor; {worst}: {named(remark.parts[:wet])}. With {number - wet} it "
            f"runs into trays or drains only: {dry}."
        )
    else:
        text = f"{start}, into trays or drains only ({litres} on floors): {named(remark.parts)}."
    return "the whole installation", text + _drained(remark, shown), ""


def ended(remark: Remark, shown: Shown) -> Words:
    """Faults whose water is ended after it has flooded a floor."""
    numbers = remark.numbers
    drain = " and no drain" if "drained" in numbers else ""
    return (
        "the whole installation",
        (
            f"With {count(round(numbers['count']), 'single fault')} more than {shown.litres(numbers['flood'])} reach a "
            f"floor{drain} before something ends it, everybody away; with the worst {_litres(remark, shown)}: "
            f"{named(remark.parts)}.{_drained(remark, shown)}"
        ),
        "",
    )


def _litres(remark: Remark, shown: Shown) -> str:
    """What the worst fault brings: where that hangs on the floor, the least and the most."""
    most = remark.numbers["litres"]
    if "least" not in remark.numbers:
        return shown.litres(most)
    return f"{between(remark.numbers['least'], most, shown)} (by how the floor lies)"


def _drained(remark: Remark, shown: Shown) -> str:
    """What hangs on a floor drain."""
    if "drained" not in remark.numbers:
        return ""
    gone = shown.litres(remark.numbers["drained"])
    return f" What a floor drain takes, up to {gone} with one of them as long as it is clear, is not in that."


def wasting(remark: Remark, shown: Shown) -> Words:
    """Faults that send water straight to a drain."""
    number = round(remark.numbers["count"])
    return (
        "the whole installation",
        (
            f"With {count(number, 'single fault')} water runs straight to the drain, no place gets wet, and nobody and "
            f"nothing notices: up to {shown.litres(remark.numbers['litres'])} in "
            f"{shown.duration(remark.numbers['after'])}, when nothing fails {shown.litres(remark.numbers['usual'])}: "
            f"{named(remark.parts)}."
        ),
        (
            "No probe can see it. Look at the waste line while nothing fills: it must stand still. Read the water "
            "meter in the evening and in the morning; shut the feed when you travel."
        ),
    )

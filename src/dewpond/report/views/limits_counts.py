"""Bounds of a part that counts the water through itself, in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from dewpond.report.views.shown import Shown, plain
from dewpond.study.counters import A_DRAW, BY_HAND, MIDNIGHT
from dewpond.study.limits.counts import MARGIN
from dewpond.study.limits.model import NEAR
from dewpond.study.outcome import Remark

Figures = Mapping[str, float]
PUT_BACK = {A_DRAW: "in one draw", MIDNIGHT: "in a day", BY_HAND: "until its count is put back by hand"}


class Says(Protocol):
    """What shows litres and days."""

    def litres(self, volume: float) -> str:
        """A volume [m3]."""

    def days(self, days: float) -> str:
        """A number of days."""


def _count_of(says: Says, f: Figures) -> str:
    """What a count is of."""
    if f["hand"]:
        return f"all that is filled in {says.days(f['days'])}, until somebody puts the count back,"
    if not f["drawn"]:
        return "a day"
    return "the fill of a day, at the hours of its clock," if f["clock"] else "the largest draw of ordinary days"


def _waste(f: Figures) -> str:
    """How much more is counted than arrives."""
    if f["times"] <= 1.0 + NEAR:
        return "as much as arrives"
    times = f["times"]
    return f"{plain(float(f'{times:.2g}'))} parts for one that arrives, the waste water among them"


def ordinary(says: Says, f: Figures, _: str) -> str:
    """Below it nothing works."""
    rare = ""
    if f["usual"] > f["ordinary"]:
        rare = f" where ordinary days exceed it but rarely ({says.litres(f['ordinary'])} in the mean)"
    return (
        f"{_count_of(says, f)} takes so much through it{rare}, {_waste(f)}: below that it trips although nothing is "
        "wrong"
    )


def margin(says: Says, f: Figures, _: str) -> str:
    """What a wheel may be off."""
    rare = ", which ordinary days exceed but rarely" if f["usual"] > f["ordinary"] else ""
    return (
        f"{plain(MARGIN)} times {says.litres(f['usual'])}{rare}: so much may the wheel, and the waste of a warmer or "
        "colder supply, be off (our prior, 1.1 to 1.5)"
    )


def empty(_: Says, f: Figures, __: str) -> str:
    """With everything empty at first."""
    if f["empty"] >= f["at once"]:
        return "while what it fills is empty, so much comes in all the time that there is: below that it trips then"
    return "a fill from empty takes so much through it: below that it trips in the midst of it"


def rim(says: Says, f: Figures, by: str) -> str:
    """With a float that sticks."""
    used = f"the {says.litres(f['used'])} that are missing at least, and " if f["used"] > 0.0 else ""
    if f["space"] <= 0.0:
        return f"{by} has no room left above what shuts it"
    half = "half of what is free" if f["halved"] else "what is free"
    why = "; at a midnight a second count may follow the first" if f["halved"] else ""
    return (
        f"should what shuts {by} stick, {used}{says.litres(f['space'])} up to its rim ({half}) are filled by then, "
        f"{_waste(f)}{why}"
    )


def trips(remark: Remark, shown: Shown) -> tuple[str, str, str]:
    """S235: it acts although nothing fails; where, what, remedy."""
    part, since = remark.parts
    has, back = shown.litres(remark.numbers["has"], digits=3), PUT_BACK[since]
    if "litres" not in remark.numbers:
        what = (
            f"It acts at {has}. In days in which nothing fails, begun as the file says, as much runs through it {back}."
        )
    else:
        takes = shown.litres(remark.numbers["litres"], digits=3)
        what = (
            f"It acts at {has}. While what it fills is empty, as after days away, {takes} run through it {back}, waste "
            "water included: it acts in the midst of that fill."
        )
    way = "`dewpond limits` says what it must let through, and what it may: set its litres between"
    if "litres" in remark.numbers:
        way += (
            ". Where it says that no litres hold a fill from empty too, leave them: after an absence it trips, so "
            "re-arm it then."
        )
    else:
        way += ", or, where no litres will do, change what it names."
    return part, what, way

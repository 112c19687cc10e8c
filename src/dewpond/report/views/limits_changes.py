"""What in the house, or in what the keeper does, would have to change where no value of a limit will do."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from dewpond.study.limits.model import Bound

# By the bound that is in the way.
CHANGE: Final[Mapping[str, str]] = {
    "a run": "a stronger pump",
    "rim": "a larger vessel, a lower running level, or marks nearer to each other",
    "rim of a run": "a larger vessel, or marks nearer to each other",
    "rim in a day": "a larger vessel, or marks nearer to each other",
    "inlet to rim": "a shorter pause, or a larger vessel",
    "drain-down": "a larger sump, a lower running level, or a return nozzle nearer to the surface, so that less drains "
    "down; marks nearer to each other ask for shorter runs",
    "salt of a run": "marks nearer to each other, so that a run brings less, or more water in the tank",
    "starves": "a longer run limit, or a stronger pump",
    "dry": "a deeper return chamber, or an inlet of the return pump that lies lower",
    "dry before": "a deeper return chamber, an inlet of the return pump that lies lower, or a lower rate of "
    "evaporation",
    "half of the room": "a narrower return chamber, or more room below the rim",
    "ripples below": "an inlet of the return pump that lies lower, or a higher running level",
    "waves below": "an inlet of the return pump that lies lower, or a higher running level",
    "room to drain down": "a larger sump, a lower running level, or a return nozzle nearer to the surface, so that "
    "less drains down",
    "below the rim": "a lower mark of what fills it",
    "rim of a fill": "an overflow to a drain, or a float that shuts lower",
    "twice a slow fill": "a timeout for each season",
    "rim of a count": "an overflow to a drain, or a float that shuts lower",
    "room above the float": "an overflow to a drain, a float that shuts lower, or somebody who stays while it fills",
}

MEASURED: Final = (
    "what evaporates measured, since nothing narrows the bounds as much (a ruler in the reservoir for a day, or a log: "
    "docs/year.md)"
)
SHUT: Final = "the feed shut before you leave, so that no more comes than the reservoir holds"
TANK: Final = "a smaller pressure tank"
FLOAT: Final = "a float that shuts lower"
LOWER: Final = "more room below the rim: a lower running level, or a higher rim"
UNSEEN: Final[Mapping[str, str]] = {
    "salt of days": "a deeper fall allowed (--drop), or more water in the tank",
    "space": "a larger sump, a lower running level, or a return nozzle nearer to the surface, so that less drains down",
}


def change(bound: Bound) -> str:
    """What would have to change; empty: nothing is known that would."""
    smaller = TANK if bound.figures.get("gives", 0.0) > 0.0 else ""
    if bound.code not in UNSEEN:
        measured = MEASURED if bound.figures.get("known", 1.0) == 0.0 else ""
        return "; ".join(way for way in (measured, CHANGE.get(bound.code, ""), smaller) if way)
    f, ways = bound.figures, list[str]()
    if not f["known"]:
        ways.append(MEASURED)
    days = int(f["bears"])
    at_most = f", {days} at most," if 0 < days < math.floor(f["days"]) else ""
    if days and not f["parted"]:  # else fewer days bear no more
        if f["away"]:
            home = " and as --measured" if days < f["measured"] else ""  # at home nobody may wait for longer either
            ways.append(
                f"shorter journeys, or somebody who comes to measure and look: give the days{at_most} as --away{home}"
            )
        else:
            ways.append(f"somebody who measures and looks more often: give the days{at_most} as --measured")
    if f["away"] and not f["parted"]:
        ways.append(SHUT)
    return "; ".join([*ways, _room(bound), *([smaller] if smaller else [])])


def _room(bound: Bound) -> str:
    """What would bear more."""
    f = bound.figures
    if bound.code != "space" or f["circulates"]:
        return UNSEEN[bound.code]
    if not f["stock"]:
        return LOWER
    return FLOAT if f["overflow"] else CHANGE["rim of a count"]

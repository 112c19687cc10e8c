"""What a failure comes to on every floor that fits a plan, as a dictionary for --json. See docs/json.md."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from dewpond.study.by_floor import ByFloor, Group, ProbeWets

Json = dict[str, Any]
Number = Callable[[float | None, str], float | None]


def by_floor_record(floors: ByFloor, number: Number) -> Json:
    """One drill on the floors; litres in the unit of their keys, null: never."""
    return {
        "floors_count": len(floors.weights),
        "run_count": len(floors.ran),
        "asked": [
            {
                "place": asked.place, "from": asked.source, "others": list(asked.others),
                "on_plan": asked.site is not None,
            }
            for asked in floors.asked
        ],
        "probes": [_probe(probe, floors, number) for probe in floors.probes],
        "groups": [_group(group, floors.member, number) for group in floors.groups],
        "litres_on_floors_least": number(floors.least.on_floors, "volume"),
        "litres_on_floors_middle": number(floors.middle.on_floors, "volume"),
        "litres_on_floors_most": number(floors.most.on_floors, "volume"),
        "still_running_fraction": number(floors.running, "fraction"),
        "never_noticed_fraction": number(floors.unnoticed, "fraction"),
    }  # fmt: skip


def _probe(probe: ProbeWets, floors: ByFloor, number: Number) -> Json:
    from dewpond.floor.wetting import Spread, spread_of  # it loads what most documents do not need

    spread = Spread(math.nan, math.nan, math.nan, 0.0)
    if probe.litres:
        spread = spread_of(probe.litres, floors.weights)
    return {
        "part": probe.part,
        "place": probe.place,
        "measured": probe.measured,
        "litres_low": number(spread.low, "volume"),
        "litres_middle": number(spread.middle, "volume"),
        "litres_high": number(spread.high, "volume"),
        "never_fraction": number(spread.never, "fraction") if probe.litres else None,
    }


def _group(group: Group, told_of: int, number: Number) -> Json:
    told = group.told
    return {
        "told": told_of in group.members,
        "floors_count": len(group.members),
        "weight_fraction": number(group.share, "fraction"),
        "litres_on_floors_least": number(group.least.on_floors, "volume"),
        "litres_on_floors_middle": number(told.on_floors, "volume"),
        "litres_on_floors_most": number(group.most.on_floors, "volume"),
        "first_noticed_s": number(told.first_noticed, "duration"),
        "stopped_s": number(told.stopped, "duration"),
        "stopped_by": told.stopped_by,
        "still_running": bool(told.still_running),
    }

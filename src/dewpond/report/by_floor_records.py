"""What a failure comes to on every floor that fits a plan, as a dictionary for --json. See docs/json.md."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from dewpond.plant.consequence import Consequence
from dewpond.study.by_floor import ByFloor, Group, ProbeWets, by_water, middle_of

Json = dict[str, Any]
Number = Callable[[float | None, str], float | None]


def by_floor_record(floors: ByFloor, number: Number, stayed: Callable[[Consequence], float]) -> Json:
    """One drill on the floors; litres in the unit of their keys, null: never. ``stayed``: what no drain took [m3]."""
    left = sorted(map(stayed, floors.told))
    least, middle, most = by_water(floors.told)
    return {
        "floors_count": floors.count,
        "run_count": len(floors.ran),
        "asked": [
            {
                "place": asked.place, "from": asked.source, "others": list(asked.others),
                "on_plan": asked.site is not None,
            }
            for asked in floors.asked
        ],
        "probes": [_probe(probe, number) for probe in floors.probes],
        "onward": [
            {"place": place, "to": to, "floors_count": number} for (place, to), number in floors.ways.items()
        ],
        "groups": [_group(group, floors.member, number, stayed) for group in floors.groups],
        "litres_on_floors_least": number(least.on_floors, "volume"),
        "litres_on_floors_middle": number(middle.on_floors, "volume"),
        "litres_on_floors_most": number(most.on_floors, "volume"),
        **_stayed(left, number),
        "still_running_fraction": number(floors.running, "fraction"),
        "never_noticed_fraction": number(floors.unnoticed, "fraction"),
    }  # fmt: skip


def _probe(probe: ProbeWets, number: Number) -> Json:
    from dewpond.floor.wetting import Spread, spread_of  # it loads what most documents do not need

    spread = spread_of(probe.litres) if probe.litres else Spread(math.nan, math.nan, math.nan, math.nan)
    return {
        "part": probe.part,
        "place": probe.place,
        "measured": probe.measured,
        "litres_low": number(spread.low, "volume"),
        "litres_middle": number(spread.middle, "volume"),
        "litres_high": number(spread.high, "volume"),
        "never_fraction": number(spread.never, "fraction"),
    }


def _stayed(left: Sequence[float], number: Number) -> Json:
    """Of volumes in order [m3]."""
    return {
        "litres_stayed_on_floors_least": number(left[0], "volume"),
        "litres_stayed_on_floors_middle": number(left[middle_of(left)], "volume"),
        "litres_stayed_on_floors_most": number(left[-1], "volume"),
    }


def _group(group: Group, told_of: int, number: Number, stayed: Callable[[Consequence], float]) -> Json:
    least, told, most = by_water(group.told)
    return {
        "told": told_of in group.members,
        "floors_count": len(group.members),
        "litres_on_floors_least": number(least.on_floors, "volume"),
        "litres_on_floors_middle": number(told.on_floors, "volume"),
        "litres_on_floors_most": number(most.on_floors, "volume"),
        **_stayed(sorted(map(stayed, group.told)), number),
        "first_noticed_s": number(told.first_noticed, "duration"),
        "stopped_s": number(told.stopped, "duration"),
        "stopped_by": told.stopped_by,
        "still_running": bool(told.still_running),
        "reopenings": max(one.reopenings for one in group.told),
    }

"""Ways of filling as a dictionary for --json. See docs/json.md."""

from __future__ import annotations

from collections.abc import Sequence

from dewpond.design.model import Design
from dewpond.errors import Finding
from dewpond.report.records import Json, document, finding, number
from dewpond.report.views.shown import finite
from dewpond.study.ways.model import Flood, Way
from dewpond.study.ways.ways import House

WEEK = 7.0 * 86400.0


def ways(design: Design, season: str, house: House, rows: Sequence[Way], found: Sequence[Finding] = ()) -> Json:
    """All ways for one season; ``found``: what its fills showed. What has no end, or does not come, is null."""
    return document(
        "ways",
        title=design.title,
        file=design.file,
        season=season,
        findings=[finding(one) for one in found],
        need_litres=number(house.need * 86400.0, "volume"),
        high_need_litres=number(house.high * 86400.0, "volume"),
        usable_litres=number(house.usable, "volume"),
        feed_shut_lasts_s=finite(house.lasts),
        ways=[_way(one) for one in rows],
    )


def _way(way: Way) -> Json:
    return {
        "way": way.name,
        "open_s": finite(way.opens),
        "every_s": finite(way.every),
        "people_s": list(way.effort),
        "past_litres": number(way.past, "volume"),
        "past_in_a_day_litres": number(way.a_day, "volume"),
        "flood": None if way.flood is None else _flood(way.flood),
        "nobody_there_s": finite(way.alone),
        "starts_count": number(way.starts, "fraction"),
        "product_litres": number(way.product, "volume"),
        "before_resin_ppm": number(way.strength, "dissolved solids"),
        "resin_lasts_s": finite(way.resin) if way.resin is not None else None,
        "cannot_keep_up": way.short,
    }


def _flood(flood: Flood) -> Json:
    return {
        "fault": flood.fault,
        "who": flood.who,
        "on_floors_litres": number(flood.on_floors, "volume"),
        "noticed_s": flood.noticed,
        "still_running": flood.running,
        "run_s": flood.horizon,
    }

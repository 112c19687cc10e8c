"""Ways of filling as a dictionary for --json. See docs/json.md."""

from __future__ import annotations

from collections.abc import Sequence

from dewpond.design.model import Design
from dewpond.errors import Finding
from dewpond.report.records import Json, document, finding, number
from dewpond.report.views import answers
from dewpond.report.views.shown import finite, shown_in
from dewpond.study.ways.model import Ended, Flood, Hangs, Way
from dewpond.study.ways.ways import House

WEEK = 7.0 * 86400.0


def ways(design: Design, season: str, house: House, rows: Sequence[Way], found: Sequence[Finding] = ()) -> Json:
    """All ways for one season; ``found``: what its fills showed. What has no end, or does not come, is null."""
    return document(
        "ways",
        design=design.title,
        season=season,
        findings=[finding(one) for one in found],
        need_litres=number(house.need * 86400.0, "volume"),
        high_need_litres=number(house.high * 86400.0, "volume"),
        usable_litres=number(house.usable, "volume"),
        feed_shut_lasts_s=rounded(house.lasts),
        reservoirs=[
            {"vessel": one.vessel, "usable_litres": number(one.usable, "volume"), "lasts_s": rounded(one.lasts)}
            for one in house.stocks
        ],
        ways=[_way(one, design) for one in rows],
    )


def _way(way: Way, design: Design) -> Json:
    return {
        "way": way.name,
        "open_s": rounded(way.opens),
        "every_s": rounded(way.every),
        "people_s": [rounded(one) for one in way.effort],
        "past_litres": number(way.past, "volume"),
        "past_in_a_day_litres": number(way.a_day, "volume"),
        "flood": None if way.flood is None else _flood(way.flood),
        "hangs_on": [_hangs(one, design) for one in way.hangs],
        "nobody_there_s": rounded(way.alone),
        "starts_count": None if way.ended else number(way.starts, "fraction"),
        "product_litres": number(way.product, "volume"),
        "before_resin_ppm": number(way.strength, "dissolved solids"),
        "resin_lasts_s": rounded(way.resin) if way.resin is not None else None,
        "cannot_keep_up": way.short,
        "ended": None if way.ended is None else _ended(way.ended),
    }


def rounded(seconds: float) -> float | None:
    """A time to the second; None where it has no end."""
    return None if finite(seconds) is None else float(round(seconds))


def _hangs(one: Hangs, design: Design) -> Json:
    shown = shown_in(design.shown_in)
    return {
        "part": one.part,
        "key": one.key,
        "taken": answers.value_text(design, one, one.taken, shown),
        "other": answers.value_text(design, one, one.other, shown),
        "on_floors_litres": number(one.on_floors, "volume"),
        "still_running": one.running,
        "find_out": one.find_out,
    }


def _ended(one: Ended) -> Json:
    return {
        "part": one.part,
        "rearm": one.what,
        "since_s": rounded(one.since),
        "counts_litres": None if one.counts is None else number(one.counts, "volume"),
        "gives_litres": None if one.gives is None else number(one.gives, "volume"),
    }


def _flood(flood: Flood) -> Json:
    return {
        "fault": flood.fault,
        "who": flood.who,
        "on_floors_litres": number(flood.on_floors, "volume"),
        "noticed_s": None if flood.noticed is None else rounded(flood.noticed),
        "still_running": flood.running,
        "run_s": flood.horizon,
    }

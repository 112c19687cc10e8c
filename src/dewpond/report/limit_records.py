"""Limits as a dictionary for --json, grouped by their unit. See docs/json.md."""

from __future__ import annotations

import math
from collections.abc import Sequence

from dewpond.errors import Finding
from dewpond.report.records import Json, document, finding, number
from dewpond.report.views.limits_changes import change
from dewpond.report.views.limits_words import Words
from dewpond.report.views.shown import shown_in
from dewpond.study.limits import caps, model
from dewpond.study.limits.limits import Fed, Limits
from dewpond.study.limits.model import Bound, Limit, Ruled
from dewpond.study.year.model import LOG, RULER

UNITS = {"duration": ("times", "s"), "volume": ("volumes", "litres"), "height": ("heights", "mm"),
         "flow": ("flows", "l_per_min")}  # fmt: skip


def limits(found: Limits, fills: Sequence[Finding] = ()) -> Json:
    """All limits of a design; ``fills``: what its fills showed."""
    words = Words(shown_in(found.design.shown_in))
    grouped: dict[str, list[Json]] = {group: [] for group, _ in UNITS.values()}
    for rule in found.rules:
        group, unit = UNITS[model.QUANTITY[rule.what]]
        grouped[group].append(_rule(rule, unit, words))
    asked = found.asked
    known = found.calibration.evidence if found.calibration is not None else ()
    return document(
        "limits",
        design=found.design.title,
        findings=[finding(one) for one in fills],
        asked={
            "away_days_count": asked.away, "measured_every_s": asked.measured * 86400.0,
            "drop_ppt": number(asked.drop, "salinity"), "varies": asked.varies, "cut_s": asked.cut,
        },
        winter_per_summer=number(found.ratio, "fraction"),
        measured_all_year=list(found.fixed),
        rulers=[one.of for one in known if one.sort == RULER],
        log_days_count=next((one.used for one in known if one.sort == LOG), 0),
        measured_per_reckoned=number(found.calibration.factor if found.calibration is not None else 1.0, "fraction"),
        measured_per_reckoned_by_tank=[
            {"tank": tank, "factor": number(factor, "fraction")} for tank, factor in _by_tank(found)
        ],
        fed=[_fed(one) for one in found.fed],
        **grouped,
    )  # fmt: skip


def _by_tank(found: Limits) -> list[tuple[str, float]]:
    known = found.calibration
    return [] if known is None else list(zip(known.tanks, known.factors, strict=True))


def _fed(one: Fed) -> Json:
    feed = one.feed
    return {
        "part": feed.part,
        "line": feed.row.line,
        "vessel": feed.basin.plant.stores[feed.store],
        "vessels_after": [basin.plant.stores[store] for basin, store in feed.along],
        "beside": list(one.beside),
        "seasons": [
            {
                "season": season,
                "weak_l_per_min": number(each.weak, "flow"),
                "strong_l_per_min": number(each.strong, "flow"),
                "need_litres": number(one.needs[season].mean, "volume"),
                "need_low_litres": number(one.needs[season].low, "volume"),
                "need_high_litres": number(one.needs[season].high, "volume"),
                "need_measured": one.needs[season].known,
                "at_cap": _at_cap(one, season),
            }
            for season, each in one.feeds.items()
        ],
    }


def _at_cap(one: Fed, season: str) -> list[Json]:
    """Salinity where the cap is brought every day, the file's or the advised one."""
    rule = next((rule for rule in one.rules if rule.what == model.DAY), None)
    feed, need = one.feeds[season], one.needs[season]
    if rule is None or feed.basin.salinity <= 0.0:
        return []
    cap = feed.row.per_day if feed.row.per_day is not None else rule.told(season).advised
    if cap is None:
        return []
    return [
        {"days_count": days, "salinity_ppt": number(caps.salinity_at_cap(feed, need, cap, days), "salinity")}
        for days in caps.TOLD_AFTER
    ]


def _rule(rule: Ruled, unit: str, words: Words) -> Json:
    entry, quantity = rule.entry, model.QUANTITY[rule.what]
    has = next(iter(rule.seasons.values())).has
    return {
        "limit": rule.what,
        "of": rule.subject,
        "line": entry.line if entry is not None else None,
        "key": entry.key if entry is not None else None,
        f"has_{unit}": number(has, quantity),
        "has_no_limit": has == float("inf"),
        "outside": rule.outside,
        "right_for": rule.right_for,
        "clash_all_year": rule.whole.clash,
        "seasons": [_season(season, limit, unit, words) for season, limit in rule.seasons.items()],
    }


def _season(season: str, limit: Limit, unit: str, words: Words) -> Json:
    quantity = limit.quantity
    way = limit.lowest() if math.isinf(limit.least) else limit.highest()
    return {
        "season": season,
        "standing": limit.standing,
        f"advised_{unit}": number(limit.advised, quantity),
        f"least_{unit}": number(limit.least, quantity),
        f"most_{unit}": number(limit.most, quantity),
        "clash": limit.clash,
        "change": change(way) if way is not None and (limit.clash or limit.free > limit.most) else "",
        "at_least": [_bound(bound, limit, unit, words) for bound in limit.low],
        "at_most": [_bound(bound, limit, unit, words) for bound in limit.high],
    }


def _bound(bound: Bound, limit: Limit, unit: str, words: Words) -> Json:
    return {
        "code": bound.code,
        f"value_{unit}": number(bound.value, limit.quantity),
        "nuisance_only": bound.soft,
        "binds": bound in (limit.lowest(soft=True), limit.highest(soft=True)),
        "why": words.bound(bound),
    }

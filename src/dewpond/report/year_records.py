"""An ordinary year as a dictionary for --json. See docs/json.md."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from dewpond.design.model import Design
from dewpond.errors import Finding
from dewpond.report.records import Json, document, finding, number
from dewpond.report.views.shown import finite
from dewpond.study.year.model import DAY, RISKS, Drift, Due, Evidence, Month, Prices, Span, Year

KWH = 3.6e6  # [J]
MILLIGRAM = 1e6  # in a kilogram


def year(design: Design, made: Year, prices: Prices, found: Sequence[Finding], readings: int) -> Json:
    """All of it."""
    return document(
        "year",
        design=design.title,
        today=date.fromordinal(made.today).isoformat(),
        coldest_month=made.coldest,
        south=made.south,
        findings=[finding(one) for one in found],
        readings_count=readings,
        months=[_month(month) for month in made.months],
        seasons=[
            {"season": season} | _month(month)
            for season, month in (("winter", made.winter), ("summer", made.summer))
        ],
        winter_per_summer=finite(_round(made.ratio)),
        **_measured(made),
        dues=[_due(one) for one in made.dues],
        carbon_dioxide_ppm=number(made.gas.middle, "dissolved solids"),
        carbon_dioxide_given=made.gas_given,
        reservoirs=[
            {"vessel": one.vessel, "tanks": list(one.tanks), "litres": number(one.usable, "volume"),
             "below_litres": number(one.dead, "volume"),
             "behind": [{"vessel": other, "litres": number(more, "volume")} for other, more in one.behind]}
            for one in made.reservoirs
        ],
        exchanges=[
            {"part": one.part, "vessel": one.vessel, "tank": one.tank, "litres": number(one.usable, "volume"),
             "brought_a_day_litres": number(one.flow * DAY, "volume"), "lasts_s": finite(_round(one.lasts)),
             "by_unit": one.by_unit, "not_counted_year_litres": number(one.flow * 365.0 * DAY, "volume"),
             "not_counted_waste_year_litres":
                 number(one.flow * 365.0 * DAY * made.long_fill, "volume") if one.by_unit else None}
            for one in made.exchanges
        ],
        tanks=[_drift(one) for one in made.drifts],
        coils=[
            {"part": one.part, "w": number(one.takes, "power"), "held_share": _round(one.share),
             "year_kwh": _round(one.takes * one.share * 365.0 * DAY / KWH)}
            for one in made.coils
        ],
        evaporation_kwh=_round(made.total("heat") / KWH),
        money=prices.money or None,
        water_cost=_cost(_drawn(made), prices.water),
        evaporation_heat_cost=_cost(made.total("heat"), prices.power),
        **_ordinary(made),
    )  # fmt: skip


def _measured(made: Year) -> Json:
    """What was measured, and what that made of the estimate."""
    known = made.calibration
    return {
        "measured": [_evidence(one) for one in known.evidence],
        "factor": _round(known.factor),
        "spread": _round(known.spread),
        "spread_before": _round(known.before),
        "factor_by_tank": [
            {"tank": tank, "factor": _round(factor), "spread": _round(known.of({tank: 1.0})[1])}
            for tank, factor in zip(known.tanks, known.factors, strict=True)
        ],
        "daily_spread": _round(known.daily),
        "likeness_of_days": _round(known.likeness),
        "rulers_left_out": [*known.shy, *made.ahead],
        "jugs": [
            {
                "part": one.part,
                "rated_product_l_per_min": number(one.rated[0], "flow"),
                "rated_waste_l_per_min": number(one.rated[1], "flow"),
                "product_l_per_min": number(one.measured[0], "flow"),
                "waste_l_per_min": number(one.measured[1], "flow"),
            }
            for one in made.jugs
        ],
    }


def _ordinary(made: Year) -> Json:
    """What ordinary days showed of the unit."""
    return {
        "has_unit": made.has_unit,
        "makes_next_to_nothing": made.idle,
        "stood_shut": [{"part": part, "rows": list(rows)} for part, rows in made.shut.items()],
        "shut_off": [
            {
                "season": one.season, "part": one.part, "what": one.text, "after_s": number(one.after, "duration"),
                "comes_litres": number(one.late * DAY, "volume"),
            }
            for one in made.trips
        ],
        "somebody_at_home_for": list(made.heeds),
        "within_the_time_of": [
            {"part": one.part, "lasts_s": number(one.stays, "duration"), "every_s": number(one.every, "duration")}
            for one in made.gates
        ],
        **_span(made.lacks, "volume", "lacks"),
        "broken_off": [
            {"season": season, "reached_s": number(reached, "duration")} for season, reached in made.broken.items()
        ],
        "water_gets_out": made.wet,
        "drains": [
            {"part": part, "year_litres": number(flow * 365.0 * DAY, "volume")}
            for part, flow in sorted(made.drains.items())
        ],
        "long_fill_waste_ratio": _round(made.long_fill),
        "drawn_beside_litres": number(made.more * 365.0 * DAY, "volume"),
    }  # fmt: skip


def _round(value: float) -> float:
    return float(f"{value:.6g}")


def _drawn(made: Year) -> float:
    """Water that the house pays for in a year [m3]."""
    return made.total("product") + made.total("waste") + sum(made.drains.values()) * 365.0 * DAY


def _cost(amount: float, price: float | None) -> float | None:
    return None if price is None else _round(amount * price)


def _span(span: Span, quantity: str, name: str) -> Json:
    ends = zip(("low", "middle", "high"), span, strict=True)
    return {f"{name}_{end}_litres": number(value, quantity) for end, value in ends}


def _month(month: Month) -> Json:
    return {
        "month": month.number,
        "days": month.days,
        "supply_c": number(month.supply, "temperature"),
        "air_c": number(month.air, "temperature"),
        "humidity": _round(month.humidity),
        "room_read_days": month.read,
        **_span(month.evaporation.times(DAY), "volume", "evaporation_a_day"),
        **_span(month.need, "volume", "put_in"),
        **_span(month.product, "volume", "product"),
        "can_make_litres": number(month.can, "volume"),
        **_span(month.waste, "volume", "waste"),
        "starts_count": _round(month.starts),
        "running_s": _round(month.running),
        "fill_s": finite(_round(month.fill)),
        "standstill_salt_mg": _round(month.slug.middle * MILLIGRAM),
        "resin_load_mg": _round(month.load.middle * MILLIGRAM),
        "heat_w": number(month.heat / month.days / DAY, "power"),
        "lasts": [
            {"vessel": name, "days": [finite(_round(days)) for days in both], "risks": list(RISKS)}
            for name, both in month.lasts.items()
        ],
    }


def _evidence(one: Evidence) -> Json:
    return {"sort": one.sort, "of": one.of or None, "factor": _round(one.factor), "spread": _round(one.spread),
            "days": _round(one.days), "used_count": one.used, "worth": one.worth,
            "tanks": [tank for tank, _ in one.shares]}  # fmt: skip


def _due(one: Due) -> Json:
    days = {} if one.days is None else dict(zip(("low", "middle", "high"), one.days, strict=True))
    water = {} if one.water is None else dict(zip(("low", "middle", "high"), one.water, strict=True))
    return {
        "part": one.part,
        "what": one.what,
        "changed": None if one.since is None else date.fromordinal(one.since).isoformat(),
        "by": one.by or None,
        **{f"serves_{end}_litres": number(water.get(end), "volume") for end in ("low", "middle", "high")},
        **{
            f"lasts_{end}_s": number(days[end] * DAY, "duration") if days else None for end in ("low", "middle", "high")
        },
        "every_s": number(one.every, "duration"),
        "due": date.fromordinal(one.due).isoformat(),
        "due_by_time": one.by_time,
    }


def _drift(one: Drift) -> Json:
    return {
        "tank": one.tank,
        "litres": number(one.volume, "volume"),
        "lost_a_day_litres": number(one.lost * DAY, "volume"),
        "brought_a_day_litres": number(one.brought * DAY, "volume"),
        "brought_ppt": number(one.new, "salinity") if one.brought > 0.0 else None,
        "changed_a_day_litres": number(one.changed * DAY, "volume"),
        "salinity_ppt": number(one.start, "salinity"),
        "after_30_days_ppt": number(one.month, "salinity"),
        "after_a_year_ppt": number(one.year, "salinity"),
        "moved_by_1_ppt_s": None if one.unit is None else number(one.unit * DAY, "duration"),
        "read_ppt_a_month": None if one.read is None else _round(one.read * 30.0),
    }

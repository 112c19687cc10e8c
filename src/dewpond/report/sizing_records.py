"""Sizing and build checks as dictionaries for --json; part of `dewpond.flows`. See docs/json.md."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from dewpond.design.cables import ADVISED, GUIDES, METRIC, TOLERANCE, Lead
from dewpond.study.sizing.hammer import Slam
from dewpond.study.sizing.losses import Budget
from dewpond.study.sizing.open_ends import End
from dewpond.study.sizing.sizing import Sizing
from dewpond.study.sizing.what_if import Case

Json = dict[str, Any]
Number = Callable[[float | None, str], float | None]  # a value inside the program, in the unit of its key


def sizing_record(fits: Sizing, number: Number) -> Json:
    """All of it."""
    return {
        "season": fits.season,
        "daily_litres": number(fits.daily, "volume"),
        "pressures": [_budget(one, number) for one in fits.budgets],
        "cases": [_case(one, fits, number) for one in fits.cases],
        "stretches": [
            {
                "part": one.part, "carries": one.carries, "length_m": number(one.length, "length"),
                "bore_mm": number(one.bore, "bore"), "size": one.size, "other_size": one.other,
                "fill_l_per_min": number(one.fill, "flow"), "other_fill_l_per_min": number(one.other_fill, "flow"),
                "break_l_per_min": number(one.burst, "flow"),
                "other_break_l_per_min": number(one.other_burst, "flow"),
            }
            for one in fits.stretches
        ],
        "servos": [
            {
                "part": one.part, "needs_bar": number(one.needs, "pressure"),
                "makes_bar": number(one.makes, "pressure"),
                "l_per_min": number(one.flow, "flow"), "shut_bar": number(one.shut, "pressure"),
            }
            for one in fits.servos
        ],
        "leads": [_lead(one, number) for one in fits.leads],
        "hammer": [_slam(one, number) for one in fits.slams],
        "ends": [_end(one, number) for one in fits.ends],
        "tubes": [
            {
                "part": one.part, "length_m": number(one.length, "length"), "told": one.told, "size": one.size,
                "rise_m": number(one.rise, "length"), "crossing_m": number(one.crossing, "length"),
                "crosses": list(one.crossed), "too_short": one.too_short, "tight": one.tight,
            }
            for one in fits.tubes
        ],
        "sensor_leads": [
            {"part": one.part, "box": one.box, "length_m": number(one.length, "length"),
             "up_m": number(one.up, "length"), "too_short": one.too_short}
            for one in fits.sensor_leads
        ],
        "to_buy": {
            "tubes_m": {size: number(metres, "length") for size, metres in fits.shopping.tubes.items()},
            "leads_m": {gauge: number(metres, "length") for gauge, metres in fits.shopping.leads.items()},
            "leads_without_length": list(fits.shopping.without),
            "tube_ends_count": fits.shopping.ends,
        },
    }  # fmt: skip


def _budget(one: Budget, number: Number) -> Json:
    return {
        "part": one.part, "vessel": one.vessel, "source": one.source, "given_bar": number(one.given, "pressure"),
        "lift_bar": number(one.lift, "pressure"),
        "losses": [
            {"part": loss.part, "l_per_min": number(loss.flow, "flow"), "takes_bar": number(loss.lost, "pressure"),
             "drives": loss.drives}
            for loss in one.losses
        ],
        "membranes": [
            {
                "part": own.part, "before_bar": number(own.before, "pressure"),
                "behind_bar": number(own.behind, "pressure"), "osmotic_bar": number(own.osmotic, "pressure"),
                "net_bar": number(own.net, "pressure"), "rated_net_bar": number(own.rated, "pressure"),
            }
            for own in one.driven
        ],
    }  # fmt: skip


def _case(one: Case, fits: Sizing, number: Number) -> Json:
    return {
        "supply_bar": number(one.pressure, "pressure"), "supply_c": number(one.water, "temperature"),
        "product_l_per_min": number(one.product, "flow"), "waste_l_per_min": number(one.waste, "flow"),
        "waste_per_product": number(one.waste_ratio, "fraction"),
        "fills": [{"part": f.part, "vessel": f.vessel, "fill_s": number(f.time, "duration")} for f in one.fills],
        "not_reached": list(one.unreached), "shut_off_closes": one.closes,
        "day_fraction": number(fits.duty(one), "fraction"),
    }  # fmt: skip


def _lead(one: Lead, number: Number) -> Json:
    told = one.length is not None
    return {
        "part": one.part, "draws_w": number(one.power, "power"), "made_for_v": number(one.voltage, "voltage"),
        "drawn_told": one.drawn_told, "length_m": number(one.length, "length"), "gauge": one.gauge,
        "drop_v": number(one.drop, "voltage") if told else None,
        "drop_fraction": number(one.share, "fraction") if told else None,
        "hot_pull_fraction": number(one.hot_pull, "fraction") if told and one.coil else None,
        "longest": [
            {
                "gauge": gauge, "advised_m": number(one.longest(gauge, ADVISED), "length"),
                "most_m": number(one.longest(gauge, TOLERANCE), "length"),
            }
            for gauge in (*GUIDES, *METRIC)
        ],
    }  # fmt: skip


def _slam(one: Slam, number: Number) -> Json:
    return {
        "part": one.part, "least_s": number(one.time[0], "duration"), "most_s": number(one.time[1], "duration"),
        "told": one.told, "tube_m": number(one.length, "length"), "bore_mm": number(one.bore, "bore"),
        "tube_told": one.tube_told, "rests_bar": number(one.rests, "pressure"), "joints": list(one.joints),
        "weakest": one.weakest, "bears_bar": number(one.bears, "pressure"), "bears_told": one.bears_told,
        "knocks": [
            {
                "broke": knock.broke, "l_per_min": number(knock.flow, "flow"),
                "m_per_s": number(knock.velocity, "speed"), "low_bar": number(knock.low, "pressure"),
                "high_bar": number(knock.high, "pressure"), "peak_bar": number(one.peak(knock), "pressure"),
            }
            for knock in one.knocks
        ],
    }  # fmt: skip


def _end(one: End, number: Number) -> Json:
    return {
        "part": one.part, "into": one.into, "sort": one.sort, "height_mm": number(one.height, "height"),
        "level_mm": number(one.level, "height"), "gap_mm": number(one.gap, "height"),
        "us_gap_mm": number(one.us, "height") if one.us else None,
        "europe_gap_mm": number(one.europe, "height") if one.europe else None,
        "source": one.passive.source if one.passive else "",
        "siphon": one.passive.flows if one.passive else None,
        "siphon_above_mm": number(one.passive.mark, "height") if one.passive else None,
        "drawn_back": one.back, "held_by": one.holder,
    }  # fmt: skip

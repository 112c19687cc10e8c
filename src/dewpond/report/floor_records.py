"""Floors as a dictionary for --json: figures; the grids themselves are too large for it. See docs/json.md."""

from __future__ import annotations

from collections.abc import Sequence

from dewpond.design.model import Design
from dewpond.floor.evidence import not_read, poured_on
from dewpond.floor.storey import Storey
from dewpond.floor.wetting import Spread
from dewpond.report.records import Json, document, finding, number
from dewpond.report.views.floor import floor_findings
from dewpond.report.views.floor_assumed import assumed
from dewpond.report.views.floor_poured import worth
from dewpond.report.views.floor_words import Words
from dewpond.report.views.shown import shown_in
from dewpond.study.floors import Asked, Poured
from dewpond.study.moved import Moved
from dewpond.study.spills import Reached, Spill, Spilled


def floors(design: Design, found: Sequence[Spilled], asked: Asked) -> Json:
    """All storeys that were looked at."""
    return document(
        "floor",
        design=design.title,
        findings=[finding(one) for one in floor_findings(design, found, asked)],
        asked={
            "cell_mm": number(asked.cell, "height"), "floors_count": asked.members, "seed": asked.seed,
            "l_per_min": number(asked.rate, "flow"), "followed_to_litres": number(asked.cap, "volume"),
        },
        storeys=[_storey(design, one, asked) for one in found],
    )  # fmt: skip


def _storey(design: Design, found: Spilled, asked: Asked) -> Json:
    looked, shown = found.looked, shown_in(design.shown_in)
    frame, fitted = looked.storey.frame, looked.fitted
    words = Words(found, shown)
    return {
        "rooms": [plan.place for plan in looked.storey.plans],
        "trays": [tray.name for tray in looked.storey.trays],
        "cell_mm": number(frame.size, "height"),
        "cells_count": frame.rows * frame.columns,
        "readings_count": fitted.read,
        "odd_readings": [
            {"reading": odd.what, "off_mm": number(odd.value - odd.expected, "height"),
             "error_mm": number(odd.error, "height")}
            for odd in fitted.odd
        ],
        "rooms_not_read": list(not_read(looked.storey)),
        "against_word": [
            {"place": one.place, "flatness": one.word, "rougher": one.rougher, "fits": one.fits or None}
            for one in fitted.judged
        ],
        "poured": _poured(looked.poured, looked.storey),
        "taken": list(assumed(looked, asked, shown)),
        "longest_loose": words.leak(found.worst) if found.spills else None,
        "changed": _changed(found.moved),
        "leaks": [_spill(one, found, words) for one in found.spills],
    }  # fmt: skip


def _poured(poured: Poured | None, storey: Storey) -> Json | None:
    counted, aside = poured_on(storey)
    if poured is None and not aside:
        return None
    weights = poured.weights if poured is not None else None
    return {
        "readings": list(counted),
        "left_out": list(aside),
        "contradict": list(dict.fromkeys(weights.odd)) if weights is not None else [],
        "drawn_count": len(poured.pool.floors) if poured is not None else None,
        "agree_count": weights.agree if weights is not None else None,
        "different_count": len(set(poured.chosen)) if poured is not None else None,
        "worth_count": worth(poured) if poured is not None else None,
        "too_few": weights.thin if weights is not None else None,
    }


def _changed(moved: Moved | None) -> Json | None:
    if moved is None:
        return None
    return {
        "after_litres": number(moved.volume, "volume"),
        "more_m2": number(moved.more, "area"),
        "fewer_m2": number(moved.fewer, "area"),
        "by_chance_m2": number(moved.chance, "area"),
        "more_than_chance": moved.tells,
        "probes": [
            {"probe": one.name, "before_fraction": number(one.before, "fraction"),
             "after_fraction": number(one.after, "fraction")}
            for one in moved.probes
        ],
    }  # fmt: skip


def _spill(spill: Spill, found: Spilled, words: Words) -> Json:
    return {
        "leak": words.leak(spill),
        "parts": [{"part": site.part, "leaks_like": site.like} for site in spill.sites],
        "place": spill.place,
        "first_probe": _litres(spill.seen),
        "probe_or_drain": _litres(spill.held),
        "first": [
            {"what": words.name(one) if one is not None else None, "floors_fraction": number(share, "fraction")}
            for one, share in spill.first
        ],
        "comes_to": [_reached(one, found, words) for one in spill.reaches],
        "wet": [
            {"litres": number(volume, "volume"), "low_m2": number(wet.low, "area"),
             "usual_m2": number(wet.middle, "area"), "high_m2": number(wet.high, "area")}
            for volume, wet in zip(found.volumes, spill.wet, strict=True)
        ],
        "told": list(words.told(spill)),
    }  # fmt: skip


def _litres(spread: Spread) -> Json:
    return {
        "low_litres": number(spread.low, "volume"), "usual_litres": number(spread.middle, "volume"),
        "high_litres": number(spread.high, "volume"), "never_fraction": number(spread.never, "fraction"),
    }  # fmt: skip


def _reached(one: Reached, found: Spilled, words: Words) -> Json:
    way = found.looked.storey.ways_out[one.way] if one.way >= 0 else None
    run = one.run
    return {
        "what": words.name(one),
        "sort": one.sort,
        "place": one.place,
        "leads_to": way.leads_to if way is not None else None,
        **_litres(one.spread),
        "by": [
            {"litres": number(volume, "volume"), "floors_fraction": number(share, "fraction")}
            for volume, share in zip(found.volumes, one.before, strict=True)
        ],
        "after_low_s": number(one.after.low, "duration"),
        "after_usual_s": number(one.after.middle, "duration"),
        "after_high_s": number(one.after.high, "duration"),
        "run_low_s": number(run.low if run else None, "duration"),
        "run_usual_s": number(run.middle if run else None, "duration"),
        "run_high_s": number(run.high if run else None, "duration"),
    }

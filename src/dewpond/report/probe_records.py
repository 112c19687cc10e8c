"""Where probes should stand, as a dictionary for --json. See docs/json.md."""

from __future__ import annotations

from dewpond.design.model import Design
from dewpond.floor.placement import Placed
from dewpond.report.records import Json, document, finding, number
from dewpond.report.views.probes import probes_findings
from dewpond.report.views.probes_words import Words
from dewpond.report.views.shown import shown_in
from dewpond.study.probes.model import Lost, More, Option, Pour, Probes, Spotted, Step


def probes(design: Design, found: Probes) -> Json:
    """The whole answer."""
    words, asked = Words(found, design, shown_in(design.shown_in)), found.asked
    return document(
        "probes",
        design=design.title,
        findings=[finding(one) for one in probes_findings(design, found)],
        asked={
            "probes_count": found.number, "stay": list(asked.stay),
            "barred_m": [[[number(value, "length") for value in spot] for spot in area] for area in asked.barred],
            "rope_m": number(asked.rope, "length"),
            "tray_m": [number(side, "length") for side in asked.tray], "rim_mm": number(asked.rim, "height"),
            "cap_litres": number(asked.cap, "volume"),
        },
        floors_count=max(len(one.fitted.floors) for one in found.looked),
        leaks_count=sum(len(one.wetted) for one in found.looked),
        spots_apart_m=number(found.apart, "length"),
        places_without_plan=list(found.unplanned),
        probes_without_spot=list(found.spotless),
        average=_choice(found.chosen.average, found, words),
        worst_case=_choice(found.chosen.worst, found, words),
        drains_watched=None if found.watched is None else _choice(found.watched, found, words),
        strays_m=[None if far is None else number(far * _size(found, column), "length")
                  for far, column in zip(found.stray, found.chosen.average.spots, strict=True)],
        present=None if found.present is None else _laid(found.present, found, words),
        without=[_lost(one, found, words) for one in found.lost],
        as_many=None if found.same is None else _choice(found.same.average, found, words),
        steps=[_step(one, words) for one in found.steps],
        others=[_option(one, found, words) for one in found.options],
        readings=[_more(one, found, words) for one in found.more.told],
        unclear_reading=None if found.more.unclear is None else {
            **_more(found.more.unclear, found, words), "chance_litres": number(found.more.chance, "volume"),
        },
        tests=[_pour(one, found, words) for one in found.pours],
    )  # fmt: skip


def _size(found: Probes, column: int) -> float:
    return found.looked[found.cases.columns[column].storey].storey.frame.size


def _worth(placed: Placed) -> Json:
    return {
        "average_litres": number(placed.expected, "volume"), "worst_litres": number(placed.worst, "volume"),
        "never_fraction": number(placed.never, "fraction"),
    }  # fmt: skip


def _felt(placed: Placed, words: Words) -> Json:
    return {**_worth(placed), "drained_fraction": number(words.drained(placed), "fraction")}


def _drained(placed: Placed, found: Probes) -> list[Json]:
    return [
        {"place": one.place, "least_fraction": number(one.least, "fraction"),
         "most_fraction": number(one.most, "fraction")}
        for one in found.drained(placed.spots)
    ]  # fmt: skip


def _choice(placed: Placed, found: Probes, words: Words) -> Json:
    return {**_laid(placed, found, words), "exact": placed.exact}


def _laid(placed: Placed, found: Probes, words: Words) -> Json:
    return {
        **_felt(placed, words),
        "drained": _drained(placed, found),
        "spots": [_spot(found.cases.columns[k], found, words) for k in placed.spots],
    }


def _spot(one: Spotted, found: Probes, words: Words) -> Json:
    return {
        "what": one.sort, "probe": one.name, "place": found.looked[one.storey].storey.place_at(one.cells[0]),
        "at_m": [_at(one.storey, cell, found) for cell in one.cells], "where": words.where(one),
    }  # fmt: skip


def _at(storey: int, cell: tuple[int, int], found: Probes) -> list[float | None]:
    return [number(value, "length") for value in found.spot(storey, cell)]


def _lost(one: Lost, found: Probes, words: Words) -> Json:
    return {"probe": one.name, **_felt(one.without, words), "drained": _drained(one.without, found)}


def _step(one: Step, words: Words) -> Json:
    return {
        "probes_count": one.number,
        "average": {**_felt(one.average, words), "exact": one.average.exact},
        "worst_case": {**_felt(one.worst, words), "exact": one.worst.exact},
        "other_floors": None if one.crossed is None else _worth(one.crossed),
    }


def _option(one: Option, found: Probes, words: Words) -> Json:
    return {"laid": one.sort, "things_count": one.number, **_choice(one.placed, found, words)}


def _more(one: More, found: Probes, words: Words) -> Json:
    return {
        "by": one.by, "at_m": _at(one.storey, one.cell, found), "where": words.found_by(one.storey, one.cell),
        "leak": one.leak, "beside": [_spot(found.cases.columns[k], found, words) for k in (one.column,) if k >= 0],
        "saved_litres": number(one.saved, "volume"), "least_litres": number(one.least, "volume"),
        "most_litres": number(one.most, "volume"),
    }  # fmt: skip


def _pour(one: Pour, found: Probes, words: Words) -> Json:
    return {
        "probe": one.probe, "spot": _spot(found.cases.columns[one.column], found, words), "leak": one.leak,
        "place": one.place, "at_m": _at(one.storey, one.cell, found), "where": words.found_by(one.storey, one.cell),
        "poured_litres": number(one.poured, "volume") if one.poured > 0.0 else None,
        "acts_low_litres": number(one.acts.low, "volume"), "acts_litres": number(one.acts.middle, "volume"),
        "acts_high_litres": number(one.acts.high, "volume"), "never_fraction": number(one.acts.never, "fraction"),
        "drained_fraction": number(one.drained, "fraction"),
    }  # fmt: skip

"""Results as dictionaries for --json. Every document names its schema; keys end in their unit. See docs/json.md."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dewpond.design.model import Design
from dewpond.errors import Finding
from dewpond.physics.membrane import STANDSTILL_VOLUME
from dewpond.plant.balance import Product
from dewpond.plant.consequence import Consequence
from dewpond.plant.plant import Plant, PlantFault
from dewpond.plant.trace import Trace
from dewpond.report import story
from dewpond.report.by_floor_records import by_floor_record
from dewpond.report.sizing_records import sizing_record
from dewpond.report.views import answers, findings, matters, rulers
from dewpond.report.views.drains import Ground
from dewpond.report.views.drill import column
from dewpond.report.views.flows import in_file_order
from dewpond.report.views.shown import Shown, finite, shown_in
from dewpond.report.views.sources import Figure
from dewpond.study.flows import Flows
from dewpond.study.outcome import Outcome, Remark, StudyResult, UnknownEffect
from dewpond.study.sizing.sizing import Sizing
from dewpond.units import in_key_unit

Json = dict[str, Any]
SIGNIFICANT = 6  # digits of a number; the program's own, not those of the model
LEAST = 1e-9  # a volume that is smaller is what rounding leaves [m3]


def number(value: float | None, quantity: str) -> float | None:
    """A value inside the program in the unit of its key; None for never and for endless."""
    if value is None or finite(value) is None:
        return None
    if quantity == "volume" and abs(value) < LEAST:
        return 0.0
    return float(f"{in_key_unit(value, quantity):.{SIGNIFICANT}g}")


def document(command: str, **content: Any) -> Json:
    """A document with its schema at the head."""
    return {"schema": f"dewpond.{command}/1", **content}


def finding(one: Finding) -> Json:
    """One finding, as in every document that has some."""
    return {
        "code": one.code, "level": one.level, "where": one.where, "what": one.what, "remedy": one.remedy,
        "file": one.file, "line": one.line, "key": one.key,
    }  # fmt: skip


def check(file: str, found: Sequence[Finding]) -> Json:
    """What the checks object to."""
    return document("check", file=file, findings=[finding(f) for f in found])


def flow_table(table: Flows, design: Design) -> Json:
    """One season's flows. Pressures are gauge pressures; a flow below zero runs backwards."""
    ratio = table.waste_ratio
    return {
        "season": table.season,
        "supply_c": number(table.water, "temperature"),
        "supply_l_per_min": number(table.supply, "flow"),
        "product_l_per_min": number(table.product, "flow"),
        "waste_l_per_min": number(table.waste, "flow"),
        "waste_per_product": number(ratio, "fraction"),
        "links": [
            {
                "part": row.part, "way": row.way, "l_per_min": number(row.flow, "flow"),
                "inlet_bar": number(row.inlet, "pressure"), "outlet_bar": number(row.outlet, "pressure"),
                "running": row.when,
            }
            for row in in_file_order(table, design)
        ],
        "fills": [
            {"part": f.part, "vessel": f.vessel, "litres": number(f.volume, "volume"), "fill_s": finite(f.time),
             "once_full": list(f.once), "clock": hours.part if (hours := table.hours.get(f.vessel)) else "",
             "open_each_time_s": hours.stays if hours else None, "every_s": hours.every if hours else None}
            for f in table.fills
        ],
        "products_over_s": number(table.days, "duration"),
        "water_gets_out": table.wet,
        "at_the_hour_of": list(table.clocks),
        "somebody_at_home_for": list(table.heeds),
        "products": [product(p) for p in table.products],
    }  # fmt: skip


def flows(design: Design, tables: Sequence[Flows], remarks: Sequence[Remark] = (), fits: Sizing | None = None) -> Json:
    """The flows of each season asked for, what they showed, and whether what is built fits."""
    shown = shown_in(design.shown_in)
    found = [finding(findings.of_remark(remark, design, shown)) for remark in remarks]
    return document(
        "flows",
        design=design.title,
        seasons=[flow_table(t, design) for t in tables],
        findings=found,
        sizing=None if fits is None else sizing_record(fits, number),
    )


def failure(
    outcome: Outcome,
    design: Design,
    shown: Shown,
    effects: Sequence[UnknownEffect] = (),
    normal: Sequence[Outcome] = (),
) -> Json:
    """One failure. Times count from the start of the run; None: never. The last three are for its story."""
    told = outcome.told
    return {
        "faults": list(told.faults),
        "order": told.order,
        "who": told.who,
        "horizon_s": told.horizon,
        "litres_on_floors": number(told.on_floors, "volume"),
        "litres_stayed_on_floors": number(Ground.of(design).undrained(told), "volume"),
        "litres_by_place": {place: number(v, "volume") for place, v in told.by_place.items()},
        "passed_on": [
            {"place": place, "to": to, "litres": number(v, "volume")} for place, (to, v) in told.onward.items()
        ],
        "litres_to_drain": number(told.water.to_drain, "volume"),
        "litres_off_floors_to_drain": number(told.water.off_floors, "volume"),
        "litres_from_supply": number(told.water.supply, "volume"),
        "litres_poured_by_hand": number(told.water.poured, "volume"),
        "litres_in_vessels_before": number(told.water.before, "volume"),
        "litres_in_vessels_after": number(told.water.after, "volume"),
        "litres_evaporated": number(told.water.evaporated, "volume"),
        "litres_lying": number(told.water.lying, "volume"),
        "litres_dried": number(told.water.dried, "volume"),
        "first_water_s": number(told.first_water, "duration"),
        "first_noticed_s": number(told.first_noticed, "duration"),
        "noticed_by": told.noticed_by,
        "first_known_s": number(told.first_known, "duration"),
        "stopped_s": number(told.stopped, "duration"),
        "stopped_by": told.stopped_by,
        "reopenings": told.reopenings,
        "still_running": bool(told.still_running),
        "pauses_s": number(told.pauses, "duration"),
        "siphons": [{"part": part, "litres": number(v, "volume")} for part, v in outcome.siphons],
        "salinity_low": min((number(t.lowest, "salinity") or 0.0 for t in told.tanks), default=None),
        "salinity_high": max((number(t.highest, "salinity") or 0.0 for t in told.tanks), default=None),
        "tanks": [_tank_harm(told, i) for i in range(len(told.tanks))],
        "return_pump_dry_s": number(told.return_pump_dry, "duration"),
        "return_pump_dry_of": told.return_pump_dry_of,
        "return_pump_dry_after": told.return_pump_dry_after and told.return_pump_dry_after.text,
        "reservoir_empty_s": number(told.reservoir_empty, "duration"),
        "reservoir_empty_of": told.reservoir_empty_of,
        "overdosed_s": number(told.overdosed, "duration"),
        "overdosed_by": told.overdosed_by,
        "products": [product(p) for p in told.products],
        "messages": [{"at_s": number(time, "duration"), "message": name} for time, name in told.messages],
        "asked": list(told.asked),
        "layers_failed": list(told.failed),
        "layers_unordered": list(told.unordered),
        "marks": list(told.marks),
        "copied_from": outcome.copied_from,
        **({"floors": by_floor_record(outcome.floors, number, Ground.of(design).undrained)} if outcome.floors else {}),
        "story": story.as_text(story.tell(outcome, design, shown, effects, normal)),
    }


def _tank_harm(told: Consequence, position: int) -> Json:
    tank = told.tanks[position]
    return {
        "tank": tank.tank,
        "salinity_low_ppt": number(tank.lowest, "salinity"),
        "salinity_high_ppt": number(tank.highest, "salinity"),
        "salinity_end_ppt": number(tank.end, "salinity"),
        "empty": tank.end is None,
    }


def product(made: Product) -> Json:
    """What a membrane made, and how its starts after a standstill spoil that."""
    low, usual, high = STANDSTILL_VOLUME
    return {
        "part": made.membrane,
        "litres": number(made.volume, "volume"),
        "starts_count": number(made.starts, "count"),
        "feed_ppm": number(made.feed, "dissolved solids"),
        "steady_ppm": number(made.steady, "dissolved solids"),
        "mean_ppm": number(made.mean(usual), "dissolved solids"),
        "mean_low_ppm": number(made.mean(low), "dissolved solids"),
        "mean_high_ppm": number(made.mean(high), "dissolved solids"),
    }


def study(result: StudyResult) -> Json:
    """Everything a study found, pairs included."""
    design, shown = result.design, shown_in(result.design.shown_in)
    every = findings.all_findings(result.findings, result.remarks, design, shown)
    return document(
        "study",
        design=design.title,
        season=result.season,
        start=result.start,
        finished=result.finished,
        not_run={
            "singles_count": result.not_run.alone,
            "answers": [{"part": part, "key": key} for part, key in result.not_run.answers],
            "pairs_count": result.not_run.pairs,
        },
        runs={"made_count": result.counts.made, "copied_count": result.counts.copied},
        matters=list(matters.sentences(result, shown)),
        findings=[finding(f) for f in every],
        flows=flow_table(result.flows, design),
        tanks=[
            {
                "tank": t.tank, "litres": number(t.volume, "volume"), "salinity_ppt": number(t.start, "salinity"),
                "salinity_low_ppt": number(t.lowest, "salinity"), "salinity_high_ppt": number(t.highest, "salinity"),
            }
            for t in result.tanks
        ],
        unknowns=[
            {
                "part": e.part, "key": e.key, "taken": answers.value_text(design, e, e.taken, shown),
                "tried": answers.value_text(design, e, e.other, shown), "find_out": e.find_out,
                "changes": sorted(e.faults),
                "changes_normal": any(not c.taken.faults for c in e.changes),
            }
            for e in result.unknowns
        ],
        assumed=[{"part": a.part, "key": a.key, "value": a.value, "grade": a.grade, "source": a.source}
                 for a in design.assumed],
        rulers_not_used=[text for one in result.normal[:1] for text in rulers.not_used(design, one.told, shown)],
        normal=[failure(o, design, shown, (), result.normal) for o in result.normal],
        failures=[failure(o, design, shown, result.unknowns, result.normal) for o in result.failures],
    )  # fmt: skip


def drill(
    design: Design, plant: Plant, trace: Trace, outcome: Outcome, effects: Sequence[UnknownEffect], start: str
) -> Json:
    """One drill, with the levels of vessels and the litres lying in places over time."""
    stores = len(plant.stores)
    return document(
        "drill",
        design=design.title,
        season=plant.season,
        start=start,
        failure=failure(outcome, design, shown_in(design.shown_in), effects),
        rulers_not_used=list(rulers.not_used(design, outcome.told, shown_in(design.shown_in))),
        times_s=[number(t, "duration") for t in trace.row_time],
        levels_mm={
            n: [number(v, "height") for v in column(trace, i)] for i, n in enumerate(plant.stores[: plant.vessels])
        },
        lying_litres={
            p.name: [number(v, "volume") for v in column(trace, stores + i)] for i, p in enumerate(plant.places)
        },
    )


def faults(design: Design, every: Sequence[PlantFault]) -> Json:
    """The faults that a design can have."""
    rows = [
        {"fault": f.label, "part": f.part, "timing": f.timing, "what": f.what,
         "lasts_s": f.lasts if f.lasts < 1e29 else None}
        for f in every
    ]  # fmt: skip
    return document("drill", design=design.title, faults=rows)


def sources(figures: Sequence[Figure]) -> Json:
    """Every default figure."""
    rows = [
        {"kind": f.kind, "figure": f.what, "value": f.value, "low": f.low, "high": f.high, "grade": f.grade,
         "source": f.source}
        for f in figures
    ]  # fmt: skip
    return document("sources", figures=rows)


def schema(json_schema: Json) -> Json:
    """The JSON Schema of design files, inside a document of ours."""
    return document("schema", json_schema=json_schema)

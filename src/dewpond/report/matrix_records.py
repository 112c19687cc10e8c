"""The matrix as a dictionary for --json. See docs/json.md."""

from __future__ import annotations

from dewpond.design.model import Design
from dewpond.report.records import Json, document, number
from dewpond.report.views import sheet
from dewpond.report.views import vectors as bench
from dewpond.report.views.hands import Step
from dewpond.report.views.shown import Shown, shown_in
from dewpond.report.views.walk import walk
from dewpond.study.matrix.model import Alone, Box, Effect, Line, Matrix, Sensor
from dewpond.study.matrix.trial import Step as Trying
from dewpond.study.matrix.trial import Trial
from dewpond.study.matrix.vectors import Vectors, vectors


def matrix(design: Design, sheet_of: Matrix) -> Json:
    """Causes, effects, what a device must know of sensors and boxes, and the walk."""
    shown, made = shown_in(design.shown_in), walk(design, sheet_of)
    return document(
        "matrix",
        design=sheet_of.title,
        causes=[_cause(line, sheet_of, shown) for line in sheet_of.lines],
        effects=[_effect(effect) for effect in sheet_of.effects],
        sensors=[_sensor(sensor) for sensor in sheet_of.sensors.values()],
        boxes=[_box(box) for box in sheet_of.boxes],
        alone=[_alone(part) for part in sheet_of.alone],
        walk=[_step(step) for step in made.steps],
        vectors=_vectors(vectors(sheet_of), sheet_of, shown),
        not_by_hand=[{"cause": number, "effect": key or None, "why": why} for number, key, why in made.left],
    )


def _cause(line: Line, sheet_of: Matrix, shown: Shown) -> Json:
    cause = line.cause
    marks = ((effect, line.marks[effect.key]) for effect in sheet_of.effects if effect.key in line.marks)
    return {
        "number": line.number,
        "sort": line.sort,
        "id": line.id or None,
        "text": sheet.cause_words(line, sheet_of, shown),
        "need_count": cause.need if cause else None,
        "terms": [{"part": t.part, "word": t.word, "negated": t.negated} for t in cause.terms] if cause else [],
        "whose": line.whose or None,
        "where": line.where or None,
        "spot": line.spot or None,
        "level_mm": number(line.level, "height"),
        "after_litres": number(line.litres, "volume"),
        "lasting_s": number(line.lasting, "duration"),
        "acts_on": [
            {"effect": effect.name, "sort": effect.sort, "mark": mark, "order": line.orders.get(effect.key)}
            for effect, mark in marks
        ],
        "carried_out_by": [{"box": box, "parts": list(parts)} for box, parts in line.carried.items()],
        "until": line.until,
        "re_armed_when": line.rearm_when or None,
        "until_known": not line.not_known,
        "at_most_s": number(line.limits.at_most, "duration"),
        "gap_s": number(line.limits.gap, "duration"),
        "per_day_litres": number(line.limits.per_day, "volume"),
        "tells": line.tells,
    }


def _effect(effect: Effect) -> Json:
    lost = effect.losses
    return {
        "name": effect.name,
        "sort": effect.sort,
        "ordered": effect.stop or None,
        "otherwise": effect.go or None,
        "rests": effect.rests or None,
        "boxes": list(effect.boxes),
        "driven": effect.driven,
        "power": effect.power or None,
        "without_power": lost.power if lost else None,
        "without_signal": (lost.signal or None) if lost else None,
        "without_network": lost.network if lost else None,
        "orders_over": (lost.over or None) if lost else None,
        "through": (lost.through or None) if lost else None,
        "not_known": sorted(lost.not_known) if lost else [],
    }


def _alone(part: Alone) -> Json:
    return {
        "name": part.name, "acts": part.acting, "power": part.power or None, "without_power": part.losses.power,
        "not_known": sorted(part.losses.not_known),
    }  # fmt: skip


def _sensor(sensor: Sensor) -> Json:
    return {
        "part": sensor.part, "sort": sensor.sort, "reports": sensor.state, "contact": sensor.contact or None,
        "read_so_when": sensor.read_when or None, "wired_to": sensor.wired_to or None, "where": sensor.where or None,
        "spot": sensor.spot or None, "seen_with_purified_water": sensor.seen or None,
    }  # fmt: skip


def _box(box: Box) -> Json:
    return {
        "name": box.name, "power": box.power or None, "keeps_trips": box.keeps_trips, "keeps_counts": box.keeps_counts,
        "waits_s": number(box.wait, "duration"), "has_program": box.program,
        "hung_keeps_order": box.hang_keeps_order if box.program else None,
        "lets_without_power": box.lets_without_power, "not_known": sorted(box.not_known),
    }  # fmt: skip


def _step(step: Step) -> Json:
    return {
        "title": step.title, "do": step.do, "expect": step.expect, "put_back": step.put_back or None,
        "caution": step.caution or None, "covers": [{"cause": n, "effect": key} for n, key in step.covers],
    }  # fmt: skip


def _vectors(made: Vectors, sheet_of: Matrix, shown: Shown) -> Json:
    return {
        "tests": [_trial(count, trial, sheet_of, shown) for count, trial in enumerate(made.trials, 1)],
        "not_shown": list(made.not_shown),
        "mistakes_found_count": made.found,
        "mistakes_not_found": [{"where": one.where, "what": one.what} for one in made.unseen],
    }


def _trial(count: int, trial: Trial, sheet_of: Matrix, shown: Shown) -> Json:
    befores = (None, *trial.steps)
    return {
        "title": bench.title_words(count, trial),
        "cause": trial.row or None,
        "shows": list(trial.shows),
        "steps": [_trying(step, before, sheet_of, shown) for step, before in zip(trial.steps, befores, strict=False)],
    }


def _trying(step: Trying, before: Trying | None, sheet_of: Matrix, shown: Shown) -> Json:
    return {
        "text": bench.force_words(step, before is None, sheet_of, shown) or None,
        "force": [{"sort": one.sort, "name": one.name or None, "on": one.on} for one in step.forces],
        "wait_s": number(step.wait, "duration"),
        "tolerance_s": number(step.tolerance, "duration"),
        "expect_text": bench.expect_words(step, before, sheet_of),
        "expect": [{"effect": name, "sort": sort, "is": word} for name, sort, word in bench.expected(step, sheet_of)],
        "tripped": list(step.tripped),
    }

"""A proof as a dictionary for --json. See docs/json.md."""

from __future__ import annotations

from typing import Any

from dewpond.design.model import Design
from dewpond.plant.plant import Plant
from dewpond.proof.story import begin_of, steps
from dewpond.proof.verdicts import Case, Cure, OpenAnswer, Pairs, Proof, Verdict
from dewpond.report.records import Json, document, number
from dewpond.report.views.answers import value_text
from dewpond.report.views.proof import clock, line_of
from dewpond.report.views.proof_cures import stopped
from dewpond.report.views.proof_words import RULES
from dewpond.report.views.shown import Shown, shown_in


def proof(design: Design, plant: Plant, found: Proof) -> Json:
    """Counts, verdicts with their stories, and what lets water run on."""
    shown = shown_in(design.shown_in)
    return document(
        "prove",
        design=design.title,
        most_faults_count=found.most_faults,
        stopped=found.stopped,
        states_count=found.states,
        changes_count=found.steps,
        depth_count=found.depth,
        faults_count=found.faults,
        same=[list(labels) for labels in found.classes],
        verdicts=[_verdict(verdict, plant, shown) for verdict in found.verdicts],
        spills=[_pairs(pair) for pair in found.pairs],
        open=[_open(key, design, shown) for key in found.open],
    )


def _open(key: OpenAnswer, design: Design, shown: Shown) -> Json:
    """A key that the file leaves open, with what each other answer changes."""

    def text(value: Any) -> str:
        return value_text(design, key.unknown, value, shown)

    return {
        "part": key.unknown.part,
        "key": key.unknown.key,
        "line": key.line,
        "written": key.unknown.written,
        "taken": text(key.unknown.taken),
        "find_out": key.unknown.find_out,
        "others": [
            {
                "answer": text(other.answer),
                "whole": other.whole,
                "broken": [
                    {"rule": v.rule, "about": v.about, "faults": [list(labels) for labels in v.cases[0].faults]}
                    for v in other.broken
                ],
                "mended": [{"rule": v.rule, "about": v.about} for v in other.mended],
                "unfinished": [{"rule": v.rule, "about": v.about} for v in other.unfinished],
            }
            for other in key.others
        ],
        "untried": [text(value) for value in key.untried],
    }


def _verdict(verdict: Verdict, plant: Plant, shown: Shown) -> Json:
    words = RULES[verdict.rule]
    return {
        "rule": verdict.rule,
        "mistake": words.title,
        "asks": words.asks,
        "remedy": words.cure,
        "setting": verdict.setting,
        "about": verdict.about,
        "line": verdict.line or None,
        "bears_mm": number(verdict.bears[0], "height") if verdict.bears else None,
        "bears_why": verdict.bears[1] if verdict.bears else None,
        "claimed": list(verdict.claimed),
        "verdict": verdict.verdict,
        "most_faults_count": verdict.most_faults,
        "states_count": verdict.states,
        "depth_count": verdict.depth,
        "cases": [_case(case, plant, shown) for case in verdict.cases],
        "stopped_by": stopped(verdict, shown),
        "cures": [_cure(cure) for cure in verdict.cures],
    }


def _cure(cure: Cure) -> Json:
    return {
        "text": cure.text,
        "line": cure.line,
        "rule_holds": cure.rule_holds,
        "also_broken": [{"rule": rule, "about": about} for rule, about in cure.also_broken],
    }


def _case(case: Case, plant: Plant, shown: Shown) -> Json:
    told = steps(plant, case)
    return {
        "faults": [list(labels) for labels in case.faults],
        "confirmed": case.confirmed,
        "story": [
            {
                "time_s": number(step.time, "duration"),
                "clock": clock(begin_of(told) + step.time),
                "text": line_of(step, shown)[0],
            }
            for step in told
        ],
    }


def _pairs(pair: Pairs) -> Json:
    return {
        "about": pair.about,
        "places": list(pair.places),
        "stopped_by": list(pair.layers),
        "opens_again": list(pair.reopening),
        "claims": [{"line": line} for line in pair.claimed],
        "finished": pair.finished,
        "runs_on_with": [[list(labels) for labels in case.faults] for case in pair.cases],
        "runs_on_confirmed": [case.confirmed for case in pair.cases],
        "untold_with": [[list(labels) for labels in case.faults] for case in pair.untold],
    }

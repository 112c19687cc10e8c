"""Floors: where water of a leak goes, what feels it and when, what leaves where to, and what that is worth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from dewpond.design.model import Design
from dewpond.errors import Finding
from dewpond.floor.wetting import share_wet
from dewpond.parts import KINDS
from dewpond.report.views.blocks import Block, FloorMap, FloorMark, Fold, Grid, Items, Report, Section, Text
from dewpond.report.views.findings import notices
from dewpond.report.views.floor_assumed import HONEST, asked_of, assumed, fast
from dewpond.report.views.floor_known import known_findings
from dewpond.report.views.floor_poured import changed
from dewpond.report.views.floor_shapes import frame_of, outlets_of, ruler_of, shapes_of
from dewpond.report.views.floor_words import ALL, HALF, Words
from dewpond.report.views.shown import NOTHING, count, finite, joined, shown_in
from dewpond.study.floors import Asked
from dewpond.study.spills import PROBE, Spill, Spilled

CURE = (
    "Write another spot for a probe, or a tray that holds this water under one, and ask again: that shows which is "
    "better before anything is moved."
)
NO_PROBE = "Write among the spots of its plan where each probe lies, or where one shall lie."


def floor_findings(design: Design, found: Sequence[Spilled], asked: Asked) -> tuple[Finding, ...]:
    """What is known of the floors, readings that contradict the others first; then what to know of the leaks."""
    shown, file = shown_in(design.shown_in), design.file
    made = list(known_findings(design, [one.looked for one in found]))
    warned = fast(asked, shown)
    if warned:
        made.append(Finding("floor-fast", "note", "the leak", warned, "Ask for a slower leak (--rate).", file))
    for one in found:
        words = Words(one, shown)
        where = f"floor of {one.looked.storey.name}"
        loose = [spill for spill in one.spills if spill.held.never >= HALF]
        if one.spills and not one.looked.probes:
            made.append(Finding("floor-unseen", "note", where, "No probe has a spot on it.", NO_PROBE, file))
        elif loose:
            named = joined([words.leak(spill) for spill in sorted(loose, key=lambda spill: -spill.loose)])
            ends = "no probe feels and no drain takes" if one.drained else "no probe feels"
            what = f"On half of the floors or more {ends} before {words.cap(loose[0])} the water from {named}."
            made.append(Finding("floor-unseen", "note", where, what, CURE, file))
    return tuple(made)


def floor_report(design: Design, found: Sequence[Spilled], asked: Asked) -> Report:
    """The whole answer, storey by storey."""
    shown = shown_in(design.shown_in)
    act = notices(floor_findings(design, found, asked))
    sections = [Section("findings", "What to act on, and to know", act)] if act else []
    for number, one in enumerate(found, 1):
        sections += _Storey(design, one, asked).sections(number)
    worth = (Items((*asked_of(asked, shown), *HONEST)),)
    sections.append(Section("worth", "What this is worth", worth))
    return Report(design.title, f"Water on the floors of {design.file}", tuple(sections))


class _Storey:
    def __init__(self, design: Design, found: Spilled, asked: Asked) -> None:
        self.design, self.found, self.shown, self.asked = design, found, shown_in(design.shown_in), asked
        self.words = Words(found, self.shown)

    def sections(self, number: int) -> Iterator[Section]:
        name = self.found.looked.storey.name
        taken = Items(tuple(assumed(self.found.looked, self.asked, self.shown)))
        if not self.found.spills:
            nothing = Text(f"No part of the file can leak on the floor of {name}.", "lead")
            yield Section(f"floor-{number}", f"Floor of {name}", (nothing,))
            return
        worst = self.found.worst
        blocks: list[Block] = [Text(self._lead(worst), "lead")]
        if len(self.found.spills) > 1:
            blocks.append(self._glance())
        blocks.append(floor_map(self.design, self.found, worst))
        if self.found.moved is not None:
            told = changed(self.found.moved, self.found.looked, self.words.leak(worst), self.shown)
            blocks.append(Items(tuple(told)))
        yield Section(f"floor-{number}", f"Floor of {name}", tuple(blocks))
        others = [
            Fold(f"Water from {self.words.leak(one)}", tuple(self._one(one)))
            for one in self.found.spills if one is not worst
        ]  # fmt: skip
        yield Section(f"leak-{number}", f"Water from {self.words.leak(worst)}", (*self._one(worst), *others))
        yield Section(f"taken-{number}", f"What was taken of the floor of {name}", (taken,))

    def _lead(self, worst: Spill) -> str:
        floors = len(self.found.looked.fitted.floors)
        told = f"{count(len(self.found.spills), 'leak')} on {floors} {self.words.which()}. "
        longest = f"is the longest {self._loose()}: " if len(self.found.spills) > 1 else "is felt like this: "
        if not worst.probes:
            longest = "is felt by nothing: "
        return f"{told}Water from {self.words.leak(worst)} {longest}{self.words.unseen(worst)}."

    def _loose(self) -> str:
        return "unseen by a probe and not taken by a drain" if self.found.drained else "unseen by a probe"

    def _glance(self) -> Grid:
        rows = tuple(
            (self.words.leak(one), self.words.litres(one.seen.middle), self.words.range(one.seen),
             self.words.of(one.seen.never), self.shown.amount(one.wet[-1].middle, "area"),
             *([self.words.of(one.seen.never - one.held.never)] if self.found.drained else []))
            for one in sorted(self.found.spills, key=lambda one: -one.loose)
        )  # fmt: skip
        last = self.shown.litres(self.found.volumes[-1])
        head = ("water from", "a probe feels it by", "on 5 to 95 %", "not at all on", f"wet by {last}",
                *(["a drain has it on"] if self.found.drained else []))  # fmt: skip
        cap = self.words.cap(self.found.spills[0])
        caption = f"All leaks, the longest {self._loose()} first ({NOTHING}: not before {cap})"
        return Grid(caption, head, rows, (1, 2, 3, 4, 5)[: len(head) - 1])

    def _one(self, spill: Spill) -> Iterator[Block]:
        yield Items(tuple(self.words.told(spill)))
        rows = tuple(
            (self.words.name(one), *map(self.words.litres, (one.spread.low, one.spread.middle, one.spread.high)),
             self.words.of(one.spread.never), self.shown.duration(finite(one.after.middle)))
            for one in spill.reaches if one.sort == PROBE or one.spread.never < ALL
        )  # fmt: skip
        head = ("what it comes to", "5 %", "50 %", "95 %", "not on", "after about")
        cap, flow = self.words.cap(spill), self.shown.flow(spill.made.rate)
        caption = (
            f"What must be spilled until it gets there, on 5, 50 and 95 % of the floors ({NOTHING}: not before {cap}), "
            f"and how long half of the floors take at {flow}"
        )
        yield Grid(caption, head, rows, (1, 2, 3, 4, 5))
        areas = tuple(
            (self.shown.litres(volume), *(self.shown.amount(v, "area") for v in (wet.low, wet.middle, wet.high)))
            for volume, wet in zip(self.found.volumes, spill.wet, strict=True)
        )
        yield Grid("How much floor is wet", ("after", "5 %", "50 %", "95 %"), areas, (1, 2, 3))


def floor_map(design: Design, found: Spilled, spill: Spill) -> FloorMap:
    """The floor with the water of one leak on it."""
    shown = shown_in(design.shown_in)
    looked, words = found.looked, Words(found, shown)
    vessels = [part.name for part in design.parts if KINDS[part.kind].role == "vessel"]
    storey, frame = looked.storey, frame_of(looked.storey)
    shares = []
    for volume in found.volumes:
        share = share_wet(spill.made.first, volume)
        shares.append((shown.litres(volume), np.where(storey.of >= 0, share, np.nan)))
    spots = storey.frame.spot
    marks = [FloorMark(words.leak(spill), "leak", tuple(spots(*cell) for cell in dict.fromkeys(spill.made.at)))]
    marks += [FloorMark(one.name, "probe", tuple(spots(*cell) for cell in one.cells)) for one in looked.probes]
    marks += outlets_of(storey)
    title = f"Where water from {words.leak(spill)} lies"
    told = f"On {len(looked.fitted.floors)} {words.which()}: {words.unseen(spill)}."
    contours = tuple((label, np.nan_to_num(share) >= HALF) for label, share in shares)
    plan, ruler = shapes_of(storey, vessels), ruler_of(frame, shown)
    moved = found.moved if found.moved is not None and found.moved.tells and spill is found.worst else None
    altered = moved.changed if moved is not None else None
    return FloorMap(title, told, plan, tuple(marks), frame, tuple(shares), contours, altered, ruler)

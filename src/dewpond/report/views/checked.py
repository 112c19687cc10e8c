"""What a check says, and the list of faults that a design can have."""

from __future__ import annotations

from collections.abc import Sequence

from dewpond.design.model import Design
from dewpond.design.showing import from_the_bottom
from dewpond.errors import Finding
from dewpond.plant.plant import PlantFault
from dewpond.report.views import answers
from dewpond.report.views.blocks import Block, Grid, Report, Section, Text
from dewpond.report.views.findings import notices
from dewpond.report.views.shown import count, shown_in

TIMINGS = {
    "latent": "hidden: stands unseen until it is asked for",
    "initiator": "begins at some moment",
    "event": "comes, and may go by itself",
    "triggered": "hidden: comes the very moment that its part gives an order",
}


def check_report(design: Design, found: Sequence[Finding]) -> Report:
    """A file that could be read: what it holds, and what the checks object to."""
    kinds = dict.fromkeys(p.kind for p in design.parts)
    messages = len(design.messages) + len(design.heartbeats)
    claims = f", {count(len(design.claims), 'claim')}" if design.claims else ""
    holds = Text(
        f"The file describes {count(len(design.parts) - len(design.implied), 'part')} of {count(len(kinds), 'kind')}, "
        f"{count(len(design.rows), 'row')} of the matrix{claims} and {count(messages, 'message')}; "
        f"{count(len(design.assumed), 'figure')} are assumed, {count(len(design.unknowns), 'answer')} unknown."
    )
    heights = from_the_bottom(design)
    told: tuple[Block, ...] = (holds, *_unknowns(design), *((Text(heights),) if heights else ()))
    blocks: tuple[Block, ...] = notices(found) or (Text("The checks object to nothing that they look at."),)
    return Report(design.title, f"Check of {design.file}", (
        Section("holds", "What it holds", told), Section("found", "What was found", blocks),
    ))  # fmt: skip


def _unknowns(design: Design) -> tuple[Block, ...]:
    shown = shown_in(design.shown_in)
    return (answers.open_grid(answers.UNKNOWN, design, design.unknowns, shown),) if design.unknowns else ()


def refused_report(found: Sequence[Finding]) -> Report:
    """A file that cannot be used."""
    file = next((f.file for f in found if f.file), "the file")
    return Report(f"{file} cannot be used yet", f"{count(len(found), 'finding')}, in the order of its lines.", (
        Section("found", "What was found", notices(found)),
    ))  # fmt: skip


def unanswered_report(found: Sequence[Finding], asked: str, file: str) -> Report:
    """A question that a sound file leaves without an answer. ``asked``: what was asked for."""
    sound = "The file itself can be used: `dewpond check` finds no error in it."
    return Report(f"{asked}: no answer for {file}", sound, (
        Section("found", "Why, and what else its fills show", notices(found)),
    ))  # fmt: skip


def fault_report(design: Design, faults: Sequence[PlantFault]) -> Report:
    """The faults of a design, part by part."""
    blocks: list[Block] = [Text("Give one or several to --fault, between quotation marks.", "quiet")]
    for timing, meaning in TIMINGS.items():
        rows = tuple((f.label, f.what) for f in faults if f.timing == timing)
        if rows:
            blocks.append(Grid(f"{timing}: {meaning}", ("fault", "what is wrong"), rows, wide=1))
    return Report(f"{count(len(faults), 'fault')} of {design.title}", design.file, (
        Section("faults", "What can fail", tuple(blocks)),
    ))  # fmt: skip

"""The table of flows: what runs where, at which pressure, and how long a fill takes."""

from __future__ import annotations

import math
from collections.abc import Sequence

from dewpond.design.model import Design
from dewpond.physics.membrane import STANDSTILL_VOLUME
from dewpond.plant.balance import Product
from dewpond.plant.plant import DAY
from dewpond.report import story
from dewpond.report.views import findings
from dewpond.report.views.blocks import Grid, Items, Report, Section, Text
from dewpond.report.views.shown import Shown, count, joined, shown_in
from dewpond.report.views.sizing import NOTES, sizing_sections
from dewpond.study.filling import Fill
from dewpond.study.flows import FlowRow, Flows
from dewpond.study.outcome import Remark
from dewpond.study.sizing.sizing import Sizing

LEAST_SUCTION = 1.0  # less is shown as none [Pa]
SUCTION = (
    "A pressure below 0 is suction: the water in the line pulls. Where it is not tight there, air is drawn in rather "
    "than water pressed out, and an end under water draws that up."
)
ALL = 0.02  # of the supply's water that may be missing where all goes through membranes [1]
ABSURD = 100.0  # parts of waste for one of product: a membrane that makes next to nothing
SAME = 1e-3  # of a clock's time, by which a fill may miss it [1]
OFTEN = 1.5  # times a day from which something is told so
LITRE = 1e-3  # of product, looked at after a start [m3]


def flow_blocks(
    table: Flows, design: Design, shown: Shown, beside: float = 0.0, pace: float = 0.0
) -> tuple[Text | Grid, ...]:
    """One season: sentences first, the table under them. ``pace``: the flow whose unit every season takes [m3/s]."""
    return (*(Text(s) for s in flow_sentences(table, shown, beside, pace)), flow_grid(table, design, shown, pace))


def in_file_order(table: Flows, design: Design) -> list[FlowRow]:
    """The rows in the order in which the file names the parts."""
    order = {part.name: number for number, part in enumerate(design.parts)}
    return sorted(table.rows, key=lambda row: order[row.part])


def flow_sentences(table: Flows, shown: Shown, beside: float = 0.0, pace: float = 0.0) -> list[str]:
    """What a keeper asks first: how fast, how much waste, how long. ``beside``: the most that a membrane makes in a day
    in any season that is told [m3]; ``pace`` as in flow_blocks."""
    pace = pace or table.product
    sentences = [
        (
            f"In {table.season}, with the supply at {shown.temperature(table.water)}, the supply gives "
            f"{shown.flow(table.supply, pace)} while a vessel fills."
        )
    ]
    if table.product > 0.0:
        whole = abs(table.supply - table.product - table.waste) <= ALL * table.supply
        made, lost = (shown.flow(flow, pace) for flow in (table.product, table.waste))
        share = (
            f": about {table.waste_ratio:.1f} parts waste for one part purified" if table.waste_ratio < ABSURD else ""
        )
        begins = "Of that" if whole else "Through the membrane"
        sentences.append(f"{begins}, {made} become purified water and {lost} go to waste{share}.")
    if table.clocks:
        known = all(fill.vessel in table.hours for fill in table.fills)
        only = "" if known else ", and a fill takes so long only if its time lasts so long"
        sentences.append(
            f"That is within the time of {joined(table.clocks)}: at other hours the fill stands still, or runs "
            f"otherwise{only}."
        )
    if table.heeds:
        sentences.append(f"Somebody is taken to be at home, for {heeds(table.heeds)}.")
    for fill in table.fills:
        volume = shown.litres(fill.volume)
        if fill.time == float("inf"):
            sentences.append(f"No water comes through {fill.part}, so {fill.vessel} is never filled.")
        else:
            if fill.once:
                full = "is full, for that lies" if len(fill.once) == 1 else "are full, for those lie"
                first = " and ".join(fill.once)
                sentences.append(f"No water comes through {fill.part} before {first} {full} lower.")
            sentences.append(
                f"From empty to where {fill.part} begins to shut, {fill.vessel} takes {volume}: "
                f"{shown.duration(fill.time)} at {_this_flow(fill)}, and somewhat longer when its water is being used."
                f"{_times(fill, table, shown)}"
            )
    sentences += [text for product in table.products for text in _standstill(product, table, shown, beside)]
    if table.wet:
        sentences.append(
            f"In the {shown.duration(table.days)} looked at water gets out of the plumbing although nothing fails: so "
            "there are no ordinary days to tell of. `dewpond study` says where it comes from."
        )
    return sentences


def heeds(parts: Sequence[str]) -> str:
    """By which parts it matters who is there."""
    return f"{joined(parts)} {'heeds' if len(parts) == 1 else 'heed'} who is there, and water comes only by that"


def _times(fill: Fill, table: Flows, shown: Shown) -> str:
    """How often the time of its clock has to come for a fill."""
    hours = table.hours.get(fill.vessel)
    if hours is None:
        return ""
    number = math.ceil(fill.time / hours.stays - SAME)
    every = "a day" if hours.every == DAY else f"every {shown.duration(hours.every)}"
    gives = f"{hours.part} gives {shown.duration(hours.stays)} {every}"
    if number <= 1:
        return f" That fits into one of its times: {gives}."
    each = f"{count(number, 'day')}" if hours.every == DAY else f"{number} of its times"
    return f" That takes {each}, since {gives}."


def _this_flow(fill: Fill) -> str:
    if not fill.beside:
        return "this flow"
    return f"the flow from {joined(fill.beside)} while that is full (no faster than that is filled once it is empty)"


def _standstill(product: Product, table: Flows, shown: Shown, beside: float) -> list[str]:
    """What each start of a membrane does to its product."""
    days = table.days
    if product.volume <= 0.0 or product.starts <= 0.0:
        return []
    if not product.stood:
        return [story.never_stood(product, days, shown)]
    low, usual, high = (shown.litres(volume) for volume in STANDSTILL_VOLUME)
    first = product._replace(volume=LITRE, starts=1.0)
    text = (
        f"After each standstill the first {usual} or so of {product.membrane} ({low} to {high}; our own estimate) come "
        f"as strong as the water before it, {shown.dissolved(product.feed)} instead of "
        f"{shown.dissolved(product.steady)}: the first {shown.litres(LITRE)} after a start holds about "
        f"{shown.dissolved(first.mean())}."
    )
    if table.wet:
        return [text]
    text += (
        f" In ordinary days it starts about "
        f"{_often(product.starts * DAY / days, shown)} and makes "
        f"{shown.litres(product.volume * DAY / days, beside)} a day, which hold about "
        f"{shown.dissolved(product.mean())} on average ({story.spread(product, shown)})"
    )
    behind = "; what stands behind it takes most of that out, and wears sooner" if product.followed else ""
    return [f"{text}{behind}."]


def _often(a_day: float, shown: Shown) -> str:
    """How often something comes, from how often it comes in a day."""
    if a_day >= OFTEN:
        return f"{shown.count_of(a_day)} times a day"
    days = f"{1.0 / a_day:.2g}"
    return "once a day" if days == "1" or a_day >= 1.0 else f"once in {days} days"


def flow_grid(table: Flows, design: Design, shown: Shown, pace: float = 0.0) -> Grid:
    """Part by part, in the order of the file; ``pace`` as in flow_blocks."""
    rows = []
    for row in in_file_order(table, design):
        name = f"{row.part}, {row.way}" if row.way else row.part
        when = "during a fill" if not row.when else "while it runs" if row.when == row.part else f"{row.when} runs"
        flow = shown.flow(abs(row.flow), pace or table.product) + (" backwards" if row.flow < 0.0 else "")
        rows.append((name, flow, shown.pressure(row.inlet), shown.pressure(row.outlet), when))
    caption = f"Flows and gauge pressures in {table.season} ({count(len(rows), 'row')})"
    sucks = any(min(row.inlet, row.outlet) <= -LEAST_SUCTION for row in table.rows)
    return Grid(
        caption, ("part", "flow", "pressure before", "behind", "when"), tuple(rows), (1, 2, 3),
        more=SUCTION if sucks else "",
    )  # fmt: skip


def flow_report(
    design: Design, tables: Sequence[Flows], remarks: Sequence[Remark] = (), sizing: Sizing | None = None
) -> Report:
    """The flows of each season asked for, and whether what is built fits; ``remarks``: what they showed, said before
    all else."""
    shown = shown_in(design.shown_in)
    found = findings.notices([findings.of_remark(remark, design, shown) for remark in remarks])
    most = max((product.volume * DAY / t.days for t in tables for product in t.products), default=0.0)
    pace = max((table.product for table in tables), default=0.0)
    sections = tuple(Section(t.season, f"In {t.season}", flow_blocks(t, design, shown, most, pace)) for t in tables)
    fits = tuple(sizing_sections(sizing, shown)) if sizing else ()
    first = (Section("findings", "What to act on", found),) if found else ()
    notes = Section("notes", "How these were got", (Items((
        ("Each vessel that a float fills is taken as nearly empty, all else as it stands in the file; vessels that get "
        "nothing then are looked at with the others full, pumps that do not run then when they run."),
        ("What a clock lets run at set hours only is looked at within its time; a tank under pressure where it gives "
        "no more and takes no more, so that a fill has the flow of the unit."),
        ("Pressures are gauge pressures at the height of each joint. Where a membrane's jugs were measured, the flows "
        "rest on them; else on its rating."),
        *(NOTES if sizing else ()),
    )),))  # fmt: skip
    return Report(design.title, f"Flows and fill times of {design.file}", (*first, *sections, *fits, notes))

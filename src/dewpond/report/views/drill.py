"""The report of one drill: the story, the numbers, the levels over time."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from dewpond.design.model import Design
from dewpond.parts import KINDS
from dewpond.plant import primitives as prim
from dewpond.plant.balance import Balance
from dewpond.plant.consequence import broken_off
from dewpond.plant.kernel.vessels import level_of
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.report import story
from dewpond.report.views import cautions, rulers
from dewpond.report.views.blocks import Block, Curve, Curves, Grid, Items, Report, Section, Text
from dewpond.report.views.failures import tank_text
from dewpond.report.views.shown import NOTHING, TO_AND_FRO, Shown, clock, joined, plain, restless, shown_in, times
from dewpond.study.outcome import Outcome, UnknownEffect
from dewpond.study.starting import AS_WRITTEN

RESOLVED = 1e-9  # smaller levels [m] and volumes [m3] are rounding
NOTICED_LEAST = 1e-5  # a place with less water than a spoonful is left out of the chart [m3]


def drill_report(
    design: Design,
    plant: Plant,
    trace: Trace,
    outcome: Outcome,
    effects: Sequence[UnknownEffect] | None,
    start: str = AS_WRITTEN,
) -> Report:
    """One run, told. ``effects``: what other answers to an "unknown" change; None: they were not tried. ``start``: one
    of starting.WAYS."""
    shown = shown_in(design.shown_in)
    told = outcome.told
    sections = [
        Section(
            "story",
            "What happens",
            (
                *_broken(outcome),
                *_unasked(outcome, shown),
                *_warned(outcome),
                story.tell(outcome, design, shown, effects or ()),
                *_unknown(design, outcome, effects),
                *(Text(text, "caution") for text in rulers.not_used(design, told, shown)),
            ),
        ),
        Section("course", "Levels and water over time", course(plant, trace, shown)),
        Section("numbers", "In numbers", (numbers(outcome, design, shown), *balance(told.water, shown))),
        Section("cautions", "Cautions", _cautions(design, outcome)),
    ]
    faults = " + ".join(told.faults) or "nothing fails"
    span, begins = shown.duration(told.horizon), clock(0.0, told.who)
    people = f"{story.WHO_WORDS[told.who]}, for {span} from {begins} on{story.how_full(start)}"
    subtitle = f"{design.title}. Drill of {design.file}, {plant.season}; {people}."
    return Report(f"{faults[0].upper()}{faults[1:]}", subtitle, tuple(s for s in sections if s.blocks))


def _unasked(outcome: Outcome, shown: Shown) -> tuple[Text, ...]:
    """What goes wrong although nothing fails: said before all else."""
    return () if outcome.faults else tuple(Text(text, "lead") for text in story.unasked([outcome], shown))


def _broken(outcome: Outcome) -> tuple[Text, ...]:
    text = (
        "This run was not followed to its end: it took too many steps. What is said of its end is how it stood when it "
        "was broken off, and more may come after that."
    )
    return (Text(text, "lead"),) if broken_off(outcome.told) else ()


def _warned(outcome: Outcome) -> tuple[Text, ...]:
    return (Text(cautions.ELECTRICITY, "caution"),) if outcome.told.on_floors > NOTICED_LEAST else ()


def _unknown(design: Design, outcome: Outcome, effects: Sequence[UnknownEffect] | None) -> tuple[Text, ...]:
    """What has not been tried: answers to "unknown" of parts that had to act."""
    open_ = [f"{u.part}, “{u.key}”" for u in design.unknowns if u.part in outcome.told.asked]
    if effects is None and open_:
        return (
            Text(
                f"Unknown or left out, in parts that had to act: {joined(open_)}. Add --answers to try both ways.",
                "quiet",
            ),
        )
    if effects is not None and not any(e.faults if outcome.faults else e.changes for e in effects) and design.unknowns:
        return (Text("What is unknown or left out changes nothing here: both ways were tried.", "quiet"),)
    return ()


def _cautions(design: Design, outcome: Outcome) -> tuple[Block, ...]:
    names = dict.fromkeys(label.partition(":")[0] for label in outcome.faults)
    texts = cautions.of_parts(design, [n for n in names if any(p.name == n for p in design.parts)])
    return (Text(cautions.ADVICE, "caution"), *((Items(texts),) if texts else ()))


def numbers(outcome: Outcome, design: Design, shown: Shown) -> Grid:
    """The consequence as a table."""
    told = outcome.told
    places = {p.name for p in design.parts if KINDS[p.kind].role == "place"}  # these only lie there
    asked = [name for name in told.asked if name not in places]
    again = TO_AND_FRO if restless(told.reopenings, told.horizon) else times(told.reopenings)
    held = story.held_back(outcome)
    rows = [("water on floors", shown.litres(told.on_floors))]
    rows += [
        (f"received by {place}", f"{shown.litres(v)}{story.passed_on(told, place, shown)}")
        for place, v in told.by_place.items()
        if v > NOTICED_LEAST
    ]
    stopped = clock(told.stopped, told.who) if told.stopped is not None else NOTHING
    rows += [
        ("first water", clock(told.first_water, told.who) if told.first_water is not None else NOTHING),
        ("first noticed", clock(told.first_noticed, told.who) if told.first_noticed is not None else NOTHING),
        ("stopped", "still running at the end" if told.still_running else stopped),
        *([(story.HELD, "; ".join(held))] if held else []),
        *[
            ("stays shut until it is re-armed", f"{one.part}, from {clock(one.since, told.who)} on")
            for one in outcome.locked
        ],
        ("started again by itself", again if told.reopenings else NOTHING),
        ("tank", tank_text(outcome, shown)),
        ("had to act or were looked at", ", ".join(asked) or NOTHING),
        (story.STUCK, ", ".join(story.stuck(told)) or NOTHING),
        (story.UNORDERED, ", ".join(told.unordered) or NOTHING),
    ]
    return Grid("The outcome", ("what", "how much, when"), tuple(rows), wide=1)


def balance(water: Balance, shown: Shown) -> tuple[Block, ...]:
    """Where the water came from and where it went: both sides add up."""
    rows = (
        ("came", "drawn from the supply", water.supply),
        *((("came", "poured in by hand, less what was taken out", water.poured),) if water.poured else ()),
        ("was there", "in the vessels at the start", water.before),
        ("went", "straight to a drain, without lying on a floor", water.to_drain),
        ("went", "from floors and trays into a drain", water.off_floors),
        ("went", "dried from floors and trays", water.dried),
        ("went", "evaporated from the vessels", water.evaporated),
        ("is there", "lies on floors and in trays at the end", water.lying),
        ("is there", "in the vessels at the end", water.after),
    )
    grid = Grid(
        "Where the water came from, and where it went",
        ("", "what", "how much"),
        tuple((side, what, shown.litres(volume)) for side, what, volume in rows),
        (2,),
        wide=1,
    )
    text = Text(
        "What came and was there is what went and is there, but for rounding. Water that ran from one place into the "
        "next was received by both, so the figures of the places do not add up to what lay on floors.", "quiet",
    )  # fmt: skip
    return (grid, text)


def course(plant: Plant, trace: Trace, shown: Shown) -> tuple[Block, ...]:
    """Levels of the vessels, and litres lying in the places, over time."""
    if len(trace.row_time) < 2:
        return ()
    time = shown.unit("duration", trace.row_time[-1])
    times = tuple(time.of(t) for t in trace.row_time)
    levels = [column(trace, i) for i in range(plant.vessels)]
    for e in trace.events:
        if (
            e.code == prim.E_RIM and e.ref < plant.vessels
        ):  # the rows are hours apart: the height that a vessel came to may lie between two
            row = min(bisect_left(trace.row_time, e.time), len(trace.row_time) - 1)
            full, _ = level_of(plant.arrays, e.ref, plant.arrays.store_rim[e.ref])
            levels[e.ref][row] = max(levels[e.ref][row], full)
    pools = {p.name: column(trace, len(plant.stores) + i) for i, p in enumerate(plant.places)}
    wet = {name: values for name, values in pools.items() if max(values) > NOTICED_LEAST}
    blocks: list[Block] = []
    if levels:
        unit = shown.unit("height", max(max(values) for values in levels))
        curves = [
            Curve(name, tuple(unit.of(v) for v in values))
            for name, values in zip(plant.stores[: plant.vessels], levels, strict=True)
        ]
        text = "Level of each vessel above its bottom over time. " + _ends(curves, unit.text)
        blocks.append(Curves("Levels above the bottom", text, time.text, unit.text, times, tuple(curves)))
    if wet:
        unit = shown.unit("volume", max(max(values) for values in wet.values()))
        curves = [Curve(name, tuple(unit.of(v) for v in values)) for name, values in wet.items()]
        text = "Water lying in each place over time, without what has run off or dried. " + _ends(curves, unit.text)
        blocks.append(Curves("Water lying in the places", text, time.text, unit.text, times, tuple(curves)))
    return tuple(blocks)


def column(trace: Trace, number: int) -> list[float]:
    """One column of the rows kept for charts: levels of vessels [m], then water lying in places [m3]. What is below
    the resolution of a run, or below nothing at all through rounding, is 0."""
    return [row[number] if row[number] > RESOLVED else 0.0 for row in trace.row_value]


def _ends(curves: list[Curve], unit: str) -> str:
    each = [
        f"{c.name}: {plain(c.values[0])} {unit} at the start, {plain(c.values[-1])} at the end, at most "
        f"{plain(max(c.values))}"
        for c in curves
    ]
    return "; ".join(each) + "."

"""An ordinary year: what evaporates, what the unit makes and wastes, what wears out, how long a reservoir lasts."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import date

from dewpond.design.model import Design
from dewpond.errors import Finding
from dewpond.physics.evaporation import SPREAD
from dewpond.report.views import year_lacks, year_losses, year_measured
from dewpond.report.views.blocks import Block, Curve, Curves, Grid, Items, Report, Section, Text
from dewpond.report.views.findings import notices
from dewpond.report.views.flows import heeds
from dewpond.report.views.shown import NOTHING, Shown, about, count, joined, shown_in
from dewpond.report.views.year_lacks import MONTHS
from dewpond.report.views.year_losses import days_of
from dewpond.study.year.model import DAY, RISKS, Due, Month, Prices, Span, Year
from dewpond.vocabulary import Word

WHOLE = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
         "December")  # fmt: skip
HOUR = 3600.0
LACKS = "Y007"  # the finding that the unit cannot make what is needed
LONGER_WASTE = 1.1  # waste over that of a long fill, from which it is said why; our prior
ASSUMED_GAS = (
    "Carbon dioxide, which passes the membrane and wears the resin out, is taken as {gas} ({low} to {high}; our prior, "
    "from alkalinity 100 mg/L at pH 7.6): write `carbon dioxide` at the supply, from the supplier's report."
)


def year_report(
    design: Design, year: Year, prices: Prices, found: Sequence[Finding] = (), readings: int = 0, chosen: bool = False
) -> Report:
    """The year of a design. ``found``: what fills, the log and the measurements showed; ``readings``: days that
    were read; ``chosen``: the keeper said which month is the coldest."""
    shown = shown_in(design.shown_in)
    fills = [one for one in found if one.code.startswith("S") or one.code == LACKS]
    paid = [one for one in found if one.where.startswith("--price")]
    read = [one for one in found if one not in fills and one not in paid]
    energy: tuple[Block, ...] = (*notices(paid), *(Text(text) for text in year_losses.energy(year, prices)))
    sections = [
        Section("act", "What to act on", notices(fills)),
        Section("year", "In short", tuple(Text(text) for text in in_short(year, prices, shown))),
        Section("findings", "What was found in the readings", notices(read)),
        Section("months", "Month by month", (month_grid(year, shown), *charts(year, shown))),
        Section("measured", "What it rests on", year_measured.blocks(year, readings, shown)),
        Section("wear", "What is due, and when", wear(year, shown)),
        Section("dry", "With the feed shut", dry(year, shown)),
        Section("salinity", "Salinity", tuple(Text(text) for text in year_losses.salinity(year, shown))),
        Section("energy", "Energy and money", energy),
        Section("notes", "How these were got", (Items(tuple(notes(year, shown, chosen))),)),
    ]
    if not year.winter.evaporation.high > 0.0 and not year.total("need") > 0.0:
        sections = sections[:3]
    subtitle = f"An ordinary year of {design.file}, nothing failing"
    return Report(design.title, subtitle, tuple(section for section in sections if section.blocks))


def span_of(span: Span, shown: Shown, beside: float = 0.0) -> str:
    """ "3.7 L (2.1 L to 4.3 L)" of volumes [m3]."""
    low, middle, high = (shown.litres(volume, max(beside, span.middle)) for volume in span)
    return f"{middle} ({low} to {high})" if low != high else middle


def a_day(month: Month) -> Span:
    """Evaporation of a day [m3]."""
    return month.evaporation.times(DAY)


def whole_year(year: Year, of: str) -> Span:
    """A figure of all months together."""
    return Span(*(math.fsum(getattr(month, of)[end] for month in year.months) for end in range(3)))


# --- first sentences --------------------------------------------------------------------------------------------------


def in_short(year: Year, prices: Prices, shown: Shown) -> Iterator[str]:
    """What a keeper asks first."""
    if not year.winter.evaporation.high > 0.0:
        yield "Nothing evaporates in this design: it has no open tank, its air is too moist, or the file says so."
        return
    winter, summer = a_day(year.winter), a_day(year.summer)
    most = max(winter.high, summer.high)
    yield (
        f"On the coldest days about {span_of(winter, shown, most)} evaporate a day, on the warmest "
        f"{span_of(summer, shown, most)}{_compared(year)}. {_range(year)}"
    )
    yield from _made(year, prices, shown)
    yield from _first_due(year)
    for one in year.reservoirs:
        cold, warm = (month.lasts.get(one.vessel) for month in (year.winter, year.summer))
        if cold and warm:
            yield (
                f"With the feed shut, {year_losses.with_behind(one)} lasts {days_of(min(cold[0], warm[0]))} from full "
                f"in the thirsty season and {days_of(max(cold[0], warm[0]))} in the other, but for one chance in "
                f"{round(1.0 / RISKS[0])}."
            )


def _compared(year: Year) -> str:
    ratio = year.ratio
    if not math.isfinite(ratio) or 0.95 < ratio < 1.05:
        return ""
    if ratio > 1.0:
        return f": {about(ratio)} times as much in winter, for heated air is dry"
    return f": {about(1.0 / ratio)} times as much in summer"


def _range(year: Year) -> str:
    known = year.calibration
    if known.evidence:
        return "The range is what is left unknown after what was measured."
    if year.told:
        return "The middle is the file's own figure, whose season is not known."
    return f"The range is the estimate's own, divide or multiply by {SPREAD:g}: nothing was measured yet."


def _made(year: Year, prices: Prices, shown: Shown) -> Iterator[str]:
    if not year.has_unit:
        yield f"Over the year {span_of(whole_year(year, 'need'), shown)} must be put in."
        return
    if year.idle:
        needed = span_of(whole_year(year, "need"), shown)
        yield f"Over the year {needed} must be put in. {year_lacks.nothing_came(year, shown)}"
        return
    made, lost = whole_year(year, "product"), whole_year(year, "waste")
    yield (
        f"Over the year the unit makes {span_of(made, shown)} and sends {span_of(lost, shown)} to waste: "
        f"{_parts_for_one(lost.middle / made.middle, year.long_fill)}."
    )
    if year_lacks.lacks(year):
        yield year_lacks.in_short(year, shown)
    yield from year_losses.new_water_made(year, prices, shown)
    drained = math.fsum(year.drains.values()) * 365.0 * DAY
    if drained > 0.0:
        told = [f"{shown.litres(flow * 365.0 * DAY)} by {part}" for part, flow in sorted(year.drains.items())]
        yield f"Beside that the house draws, past the membrane: {joined(told)}. That is no waste of the unit's."
    both = Span(*(one + other + drained for one, other in zip(made, lost, strict=True)))
    if prices.water is not None:
        cost = year_losses.money(both, prices.water, prices)
        yield f"The house pays for {span_of(both, shown)} of water: {cost} a year."


def _parts_for_one(ratio: float, long: float) -> str:
    """Parts of waste for one, beside those of a long fill."""
    text = f"{ratio:.2g} parts for one"
    if long > 0.0 and ratio > LONGER_WASTE * long:
        return f"{text}, where a long fill wastes {long:.2g}; short fills, starts and flushes take the rest"
    return text


def _first_due(year: Year) -> Iterator[str]:
    if year.dues:
        first = min(year.dues, key=lambda due: due.due)
        late = first.due < year.today
        yield (
            f"First due is {first.part}, {'since' if late else 'in'} {month_name(first.due)}"
            f"{'' if first.since is not None else ', counted from today, for no date of its last change is given'}."
        )


def month_name(ordinal: int) -> str:
    """ "March 2027"."""
    day = date.fromordinal(ordinal)
    return f"{WHOLE[day.month - 1]} {day.year}"


def short_month(ordinal: int) -> str:
    """ "Mar 2027"."""
    day = date.fromordinal(ordinal)
    return f"{MONTHS[day.month - 1]} {day.year}"


# --- month by month ---------------------------------------------------------------------------------------------------


def month_grid(year: Year, shown: Shown) -> Grid:
    """A row a month, with what a day evaporates and what the month needs."""
    most = max(month.evaporation.high for month in year.months) * DAY
    all_ = max(max(month.waste.middle, month.need.middle) for month in year.months)
    working = year.has_unit and not year.idle
    short = working and year_lacks.lacks(year)
    rows = []
    for month in year.months:
        day = a_day(month)
        low, middle, high = (shown.litres(volume, most) for volume in day)
        row = [
            MONTHS[month.number - 1],
            middle,
            f"{_bare(low)} to {_bare(high)}",
            shown.litres(month.need.middle, all_),
        ]
        if short:
            row.append(shown.litres(month.need.middle - month.product.middle, all_))
        if working:
            hours = month.running / HOUR
            row += [
                shown.litres(month.waste.middle, all_), shown.count_of(month.starts), f"{float(f'{hours:.2g}'):g} h"
            ]  # fmt: skip
        rows.append(tuple(row))
    head = ["month", "a day", "range", "put in"] + ["lacks"] * short + (["waste", "starts", "runs"] if working else [])
    more = (
        "A day: what evaporates from all tanks and sumps. Put in, waste, starts and runs of the unit: in a whole month."
        + " Lacks: of what is to be put in, what the unit cannot make." * short
        if working
        else "A day: what evaporates from all tanks and sumps. Put in: in the whole month."
    )
    right = tuple(range(1, len(head)))
    return Grid("The year, month by month", tuple(head), tuple(rows), right, more=more, whole=True)


def _bare(text: str) -> str:
    """A figure without its unit, which stands beside."""
    return text.partition(" ")[0]


def charts(year: Year, shown: Shown) -> Iterator[Curves]:
    """The band of evaporation, and what the unit makes and wastes."""
    numbers = tuple(float(month.number) for month in year.months)
    most = max(month.evaporation.high for month in year.months) * DAY
    unit = shown.unit("volume", most)
    band = tuple(
        Curve(name, tuple(unit.of(month.evaporation[end] * DAY) for month in year.months))
        for end, name in ((2, "high"), (1, "middle"), (0, "low"))
    )
    across = "month of the year"
    text = "What evaporates a day in each month: low, middle and high."
    yield Curves("Evaporation a day", text, "", f"{unit.text} a day", numbers, band, across, MONTHS)
    if year.has_unit and not year.idle:
        unit = shown.unit("volume", max(month.waste.middle for month in year.months))
        pair = tuple(
            Curve(name, tuple(unit.of(getattr(month, of).middle) for month in year.months))
            for name, of in (("waste", "waste"), ("purified", "product"))
        )
        text = "What the unit makes and what it wastes in each month."
        yield Curves("Made and wasted in a month", text, "", unit.text, numbers, pair, across, MONTHS)


# --- what is due ------------------------------------------------------------------------------------------------------


def wear(year: Year, shown: Shown) -> tuple[Block, ...]:
    """The parts that are changed, each with when and why."""
    if not year.dues:
        return ()
    rows = tuple((due.part, _serves(due, shown), _changed(due), short_month(due.due), _by(due)) for due in year.dues)
    blocks: list[Block] = [Grid("Parts that are changed", ("part", "serves", "changed", "due", "by"), rows)]
    undated = [due.part for due in year.dues if due.since is None]
    if undated:
        today = date.fromordinal(year.today).isoformat()
        blocks.append(Text(
            f"Of {joined(undated)} no change is known: what they still serve is counted from today, {today}, as if "
            "they were new. Write `changed on` with the day of the last one."
        ))  # fmt: skip
    if any(due.by == "load" for due in year.dues):
        low, middle, high = year.gas
        if not year.gas_given:
            told = {"gas": shown.dissolved(middle), "low": shown.dissolved(low), "high": shown.dissolved(high)}
            blocks.append(Text(ASSUMED_GAS.format(**told), "quiet"))
        slug, load = whole_year(year, "slug").middle, whole_year(year, "load").middle
        if load > 0.0 and slug > 0.0:
            share = min(0.856 * slug / load, 1.0)
            blocks.append(Text(
                f"Of what the resin takes up, {_percent(share)} comes with the unit's starts: "
                "after each standstill its first water is as strong as the tap's. Fewer, longer fills spare the resin."
            ))  # fmt: skip
    return tuple(blocks)


def _percent(share: float) -> str:
    """A share in no more digits than it deserves, and none of them a nought that stands for some."""
    if share < 0.01:
        return "less than 1 %"
    return f"about {round(100.0 * share, -1 if share >= 0.2 else 0):.0f} %"


def _serves(due: Due, shown: Shown) -> str:
    return span_of(due.water, shown) if due.water is not None else NOTHING


def _changed(due: Due) -> str:
    return date.fromordinal(due.since).isoformat() if due.since is not None else str(Word.UNKNOWN)


def _by(due: Due) -> str:
    if due.by_time or due.days is None:
        return f"its time ({count(round(due.every / DAY / 30.0), 'month')})"
    low, high = (round(days / 30.4) for days in (due.days.low, due.days.high))
    span = f"{low} to {high} months" if low != high else count(max(low, 1), "month")
    return f"its litres ({span})" if due.by == "water" else f"its load ({span})"


# --- with the feed shut -----------------------------------------------------------------------------------------------


def dry(year: Year, shown: Shown) -> tuple[Block, ...]:
    """How long each reservoir lasts, and each vessel of new water."""
    new = tuple(Text(text) for text in (*year_losses.refilled(year, shown), *year_losses.new_water(year, shown)))
    if not year.reservoirs:
        return (Text("No vessel stands before the tank: with the feed shut its own water is all there is."), *new)
    rows, still = [], []
    for one in year.reservoirs:
        if one.vessel not in {**year.winter.lasts, **year.summer.lasts}:
            still.append(Text(
                f"Nothing leaves {one.vessel} in ordinary days, so it does not run empty with the feed shut; it has "
                f"{shown.litres(one.whole)} to use."
            ))  # fmt: skip
            continue
        cold, warm = (month.lasts.get(one.vessel, (math.inf, math.inf)) for month in (year.winter, year.summer))
        rows.append((
            one.vessel, shown.litres(one.whole), *(days_of(d) for d in cold), *(days_of(d) for d in warm),
        ))  # fmt: skip
    if not rows:
        return (*still, *new)
    ends = [f"1 in {round(1.0 / risk)}" for risk in RISKS]
    head = ("vessel", "to use", f"winter, {ends[0]}", ends[1], f"summer, {ends[0]}", ends[1])
    grid = Grid("How long it lasts from full, but for so many chances", head, tuple(rows), (1, 2, 3, 4, 5))
    text = (
        "Days resemble each other: a dry week is dry all week, so reckoning day by day would promise more. Fill it, "
        "shut the house valve and go: then no more than what stands in it can come."
    )
    return grid, Text(text, "quiet"), *still, *new


# --- notes ------------------------------------------------------------------------------------------------------------


def notes(year: Year, shown: Shown, chosen: bool) -> Iterator[str]:
    """What was assumed."""
    coldest = WHOLE[year.coldest - 1]
    if chosen:
        why = "as asked for"
    elif year.south is None:
        why = "as in the north, for the file's zone names no place; `--coldest` says another month"
    else:
        why = f"for the file's zone lies in the {'south' if year.south else 'north'}; `--coldest` says another month"
    yield (
        f"Between the winter and the summer figures of the file the year is taken as a smooth wave (one harmonic), "
        f"coldest in the middle of {coldest}, {why}. Supply and rooms turn together; months have their true length."
    )
    yield (
        "Evaporation: middle is Shah's law times the movement of the water, low and high that divided and multiplied "
        f"by {SPREAD:g} until something is measured, for so far published laws lie apart; times all open water, covers "
        "and cabinets by the factors that `dewpond sources` prints."
    )
    if year.has_unit and not year.idle:
        yield (
            "Waste and starts for each litre are those of some ordinary days run in the water of each season, and "
            "follow the water's temperature between; the unit runs as long as its product takes while it makes some."
        )
        yield (
            f"Each start lets through {shown.litres(30e-6)} as strong as the tap's water ({shown.litres(15e-6)} to "
            f"{shown.litres(50e-6)}; our own estimate)."
        )
    yield from year_lacks.broken(year, shown)
    if year.heeds and not year.idle:
        yield f"In ordinary days people are taken to be at home by their day, for {heeds(year.heeds)}."
    if year.more > 0.0:
        yield (
            f"In ordinary days the unit makes {shown.litres(year.more * DAY)} a day more than evaporates: something "
            "else draws on it. `dewpond flows` shows where it goes; it is not in these months."
        )
    if year.wet:
        yield (
            "In ordinary days water gets out although nothing fails, so no year is ordinary here: `dewpond study` says "
            "where it comes from."
        )
    if year.told:
        yield (
            f"Runs of `drill` and `study` take the file's own evaporation of {joined(year.told)} for both seasons; "
            "here it is the mean of the year."
        )
    yield (
        "Not counted: lamps and fans over the water, air conditioning, holidays of the keeper, splash and salt creep, "
        "and water for mixing that no water change with `every` asks for."
    )

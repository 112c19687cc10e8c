"""Ways of filling side by side: two tables, then what each needs, what can still go wrong with it, and its trade."""

from __future__ import annotations

import math
from collections.abc import Sequence

from dewpond.design.model import Design
from dewpond.errors import Finding
from dewpond.report.views import answers
from dewpond.report.views.blocks import Grid, Items, Report, Section, Text
from dewpond.report.views.findings import notices
from dewpond.report.views.shown import NOTHING, Shown, joined, shown_in
from dewpond.report.views.ways_told import TOLD
from dewpond.study.ways.model import (
    AT_HOME,
    BUTTON,
    CARRYING,
    FROM_MARK,
    NOT_AWAY,
    PERMANENT,
    WINDOW,
    Ended,
    Flood,
    Hangs,
    Way,
)  # fmt: skip
from dewpond.study.ways.ways import CAN, House

DAY = 86400.0
DRY = 1e-5  # less on the floors is none [m3]
ENDLESS = "no end"
HOUR, LEAST_DAYS = 3600.0, 0.95  # [s]; what rounds to a whole day is told in days [1]


SHORT = {
    CARRYING: "carrying",
    BUTTON: "push-button",
    WINDOW: "window each day",
    AT_HOME: "while home",
    NOT_AWAY: "not on journeys",
    FROM_MARK: "low to high",
    PERMANENT: "permanent float",
}


HOW = (
    (
        "Only when the feed is open differs from row to row; the house is taken as the file describes it, with all the "
        "protections that it has."
    ),
    (
        "“Past it” is what the feed gives in the time for which it is open, if nothing stops it. “On "
        "floors” is the "
        "worst run of each fault that leaves a float open, with people wherever that way lets them be: 14 days when "
        "travelling, else one day. Where several vessels hang on one unit, one float that stays open gets all that "
        "it makes, and a timed fill lasts for what all of them need."
    ),
    (
        "An answer that the file leaves open is tried both ways where its part had to act in a worst run; what changes "
        "those litres is named under the table and at its way."
    ),
    (
        "Minutes are our prior, with what they depend on: 5 to 20 min for a can of 20 L, 1 to 4 min to press and "
        "look, half a "
        "minute to 2 min to open and shut a valve, 1 to 5 min for a look at the reservoir once a week. What upkeep "
        "and tests "
        "of the protections ask is not in them."
    ),
    (
        "Timed fills last a quarter longer than the high need of this season takes; a fill from mark to mark is half "
        "of what the "
        "reservoir can give, and may last 1.75 times as long as it takes in this season (our prior)."
    ),
    (
        "A stop that somebody has to re-arm may trip in ordinary days, begun as the file says (low to high: in one "
        "fill). Where it does, litres past a float, and how long nobody has to be there, are those until then, and "
        "starts and resin tell of nothing."
    ),
    (
        "Every way is taken to make what this season needs. How often the unit starts for it, and so the water before "
        "the resin, is that of 14 days run with nobody there; a float that throttles starts the unit more often than "
        "one that snaps. So the resin lasts the longer the weaker that water is."
    ),
    ("Hours that the file itself gives the feed, by a timer or a clock, are held open: each way opens it by itself."),
)


def ways_report(
    design: Design, season: str, house: House, rows: Sequence[Way], found: Sequence[Finding] = ()
) -> Report:
    """All ways for one season; ``found``: what its fills showed, said before all else."""
    shown = shown_in(design.shown_in)
    first = Section(
        "ways",
        f"Ways of filling, in {season}",
        (*_lead(house, shown), _people(rows), _floors(rows, shown), *_open_answers(rows, design), _unit(rows, shown)),
    )
    each = tuple(
        Section(f"way-{number}", way.name.capitalize(), _about(way, house, design, shown))
        for number, way in enumerate(rows)
    )
    notes = Section("notes", "How these were got", (Items(HOW),))
    act = (Section("findings", "What to act on", notices(found)),) if found else ()
    return Report(design.title, f"Ways of filling for {design.file}", (*act, first, *each, notes))


def _lead(house: House, shown: Shown) -> tuple[Text, ...]:
    need, high = shown.litres(house.need * DAY), shown.litres(house.high * DAY, house.need * DAY)
    return (
        Text(f"The tanks need about {need} a day in this season, up to {high}. {_held(house, shown)}"),
        Text(
            "None of these is the right one for every house: read what each asks of you, and what it can put on a "
            f"floor. Where {ENDLESS} is told, the tank is topped up as long as supply, unit and that way work."
        ),
    )


def _held(house: House, shown: Shown) -> str:
    """What the reservoirs hold, and how long each lasts."""
    if len(house.stocks) == 1:
        return (
            "What can be drawn from the vessels that the unit fills, and from those that they are pumped on into, "
            f"{shown.litres(house.usable)}, lasts {days(house.lasts)} with the feed shut (one chance in twenty that it "
            "ends sooner)."
        )
    each = joined(
        [f"{one.vessel} lasts {days(one.lasts)} with {shown.litres(one.usable)}" for one in house.stocks]
    )  # fmt: skip
    return (
        f"With the feed shut {each}, with what each is refilled from (one chance in twenty that it ends sooner): "
        f"{house.first.vessel} is empty first, and “nobody there” is told of that one."
    )


def days(seconds: float) -> str:
    """A stretch of days [s], to the tenth while it is short, below a day in hours; endless in words."""
    if math.isinf(seconds):
        return ENDLESS
    if seconds < LEAST_DAYS * DAY:
        return f"{seconds / HOUR:.2g} h" if seconds >= HOUR else f"{round(seconds / 60.0)} min"
    number = seconds / DAY
    said = f"{number:.1f}" if number < 10.0 and round(number, 1) % 1.0 else f"{number:.0f}"
    return f"{said} days" if said != "1" else "1 day"


def _people(rows: Sequence[Way]) -> Grid:
    """What each asks of people."""
    cells = tuple((SHORT[way.name], minutes(way), days(way.alone), _open(way)) for way in rows)
    return Grid("What each asks of people", ("way", "min a week", "nobody there", "feed open"), cells, (1, 2))


def _unit(rows: Sequence[Way], shown: Shown) -> Grid:
    """What each asks of the unit."""
    head = ["way", "starts a week", "before the resin"]
    cells = [
        [
            SHORT[way.name],
            shown.count_of(way.starts) if way.product > 0.0 and way.ended is None else NOTHING,
            shown.dissolved(way.strength) if way.strength is not None else NOTHING,
        ]
        for way in rows
    ]
    if any(way.resin is not None for way in rows):
        head.append("resin lasts")
        for row, way in zip(cells, rows, strict=True):
            row.append(_months(way.resin))
    return Grid("What each asks of the unit", tuple(head), tuple(map(tuple, cells)), tuple(range(1, len(head))))


def _floors(rows: Sequence[Way], shown: Shown) -> Grid:
    """What a float that stays open can do."""
    head = ["way", "past it", "on floors"]
    cells = [[SHORT[way.name], _past(way, shown), _either(way, shown)] for way in rows]
    if any(way.ended for way in rows):
        head.append("trips by itself")
        for row, way in zip(cells, rows, strict=True):
            row.append(_tripped(way, shown))
    return Grid(
        "What a float that stays open can do", tuple(head), tuple(map(tuple, cells)), tuple(range(1, len(head)))
    )


def _open_answers(rows: Sequence[Way], design: Design) -> tuple[Text | Items, ...]:
    """Which answers the litres on floors hang on, each once."""
    once = {(one.part, one.key): one for way in rows for one in way.hangs}
    if not once:
        return ()
    each = [f"{one.part}, “{one.key}” ({answers.said(design, one)}): {one.find_out}" for one in once.values()]
    text = "Litres on floors hang on what the file does not know; after “or”: with the other answer."
    return Text(text, "caution"), Items(tuple(each))


def minutes(way: Way) -> str:
    """What it asks of people in a week, with its spread."""
    least, usual, most = (max(round(one / 60.0), 1) for one in way.effort)
    return f"{usual} ({least} to {most})"


def _months(seconds: float | None) -> str:
    if seconds is None:
        return NOTHING
    months = seconds / (30.4 * DAY)
    return "over 3 years" if months > 36.0 else f"{months:.2g} months"


def _open(way: Way) -> str:
    if way.opens == 0.0:
        return "never"
    if math.isinf(way.opens):
        return "always" if way.name == PERMANENT else "but on journeys"
    length = opening(way.opens)
    if way.name == FROM_MARK:
        return f"at most {length} a fill"
    if way.every <= 0.0:
        return f"at most {length}"
    return f"{length} a day" if way.every <= DAY else f"{length} in {days(way.every)}"


def opening(seconds: float) -> str:
    """How long a timer is set to, as it stands on its dial."""
    minutes_ = round(seconds / 60.0)
    hours, rest = divmod(minutes_, 60)
    return f"{minutes_} min" if hours == 0 else f"{hours} h {rest} min" if rest else f"{hours} h"


def _past(way: Way, shown: Shown) -> str:
    if way.opens == 0.0:
        return "none"
    if way.ended is not None and way.ended.gives is not None:
        return shown.litres(way.past)
    if math.isinf(way.past):
        return f"{shown.litres(way.a_day)} a day"
    once = shown.litres(way.past)
    return f"{once} each day" if way.name == WINDOW else once


def _tripped(way: Way, shown: Shown) -> str:
    """When, and after how much."""
    if way.ended is None:
        return NOTHING
    when = "in a can" if way.name == CARRYING else "in a fill" if way.name == FROM_MARK else _day(way.ended)
    return when if way.ended.counts is None else f"{when}, at {shown.litres(way.ended.counts)}"


def _day(one: Ended) -> str:
    return f"day {int(one.since // DAY) + 1}"


def _ends(way: Way, one: Ended, shown: Shown) -> str:
    """That it comes to an end although nothing fails."""
    when = {
        CARRYING: "while a can is filled",
        FROM_MARK: f"{shown.duration(one.since)} after a fill has begun",
    }.get(way.name, f"on {_day(one)}")
    much = ""
    if one.counts is not None and one.gives is not None:
        much = (
            f", once {shown.litres(one.counts)} have run through it, waste and all (about {shown.litres(one.gives)} of "
            "that arrive)"
        )
    rearm = "it" if one.what == one.part else one.what
    return (
        f"In this way of filling {one.part} trips {when} although nothing fails{much}: from then on no water comes "
        f"until somebody re-arms {rearm}."
    )


def _onto(flood: Flood | Hangs | None, shown: Shown) -> str:
    if flood is None or flood.on_floors < DRY:
        return "none"
    return shown.litres(flood.on_floors) + (" and more" if flood.running else "")


def _either(way: Way, shown: Shown) -> str:
    """With what was taken, or with the other answer of what changes most."""
    told = [_onto(way.flood, shown)]
    if way.flood is not None and way.hangs:
        here = way.flood.on_floors
        told.append(_onto(max(way.hangs, key=lambda one: abs(one.on_floors - here)), shown))
    return " or ".join(dict.fromkeys(told))


def _worst(flood: Flood, shown: Shown) -> str:
    """The worst run in one sentence."""
    if flood.on_floors < DRY:
        return "With the house as the file has it, no water reached a floor in any of these runs."
    seen = (
        f"nobody and nothing notices in {days(flood.horizon)}"
        if flood.noticed is None
        else f"it is noticed after {shown.duration(flood.noticed)}"
    )
    who = {"travelling": "everybody is travelling", "out": "everybody is out"}.get(flood.who, f"people are {flood.who}")
    return (
        f"With the house as the file has it, the worst run ({flood.fault}; {who}) puts {_onto(flood, shown)} on "
        f"floors, and {seen}."
    )


def _hang(way: Way, design: Design, shown: Shown) -> tuple[Text, ...]:
    """What the other answers make of the worst run."""
    return tuple(
        Text(
            f"That is with “{one.key}” of {one.part} taken as “{answers.value_text(design, one, one.taken, shown)}”; "
            f"with “{answers.value_text(design, one, one.other, shown)}” the worst run puts {_onto(one, shown)} on "
            "floors.", "caution",
        )
        for one in way.hangs
    )  # fmt: skip


def _about(way: Way, house: House, design: Design, shown: Shown) -> tuple[Text | Items, ...]:
    """One way in words."""
    said = TOLD[way.name]
    lead = [Text(_ends(way, way.ended, shown), "caution")] if way.ended else [Text(_trade(way, house, shown), "lead")]
    blocks: list[Text | Items] = [*lead]
    if way.short:
        blocks.append(Text("In this season it cannot keep up with what evaporates on a usual day.", "caution"))
    if way.flood is not None:
        blocks += [Text(_worst(way.flood, shown)), *_hang(way, design, shown)]
        if way.ended is not None:
            blocks.append(
                Text(
                    f"That is with {way.ended.part} tripped, as it trips without any fault: once somebody "
                    "re-arms it, or it lets more through, a float that stays open has more behind it.",
                    "caution",
                )
            )
    blocks += [Text(f"It needs {said.needs}."), Text("What can still go wrong:"), Items(said.wrong)]
    return tuple(blocks)


def _every(way: Way) -> str:
    said = days(way.every)
    return "every day" if said == "1 day" else f"every {said}"


def _trade(way: Way, house: House, shown: Shown) -> str:
    """Both sides in one sentence."""
    past, lasts = shown.litres(way.past) if math.isfinite(way.past) else "", days(house.lasts)
    a_day = shown.litres(way.a_day)
    first = house.first.vessel if len(house.stocks) > 1 else "the reservoir"
    if way.name == CARRYING:
        cans = way.product / CAN
        return (
            f"No water under pressure ends in the room, and somebody carries about {cans:.1f} cans a week, at the "
            f"latest "
            f"{_every(way)}."
        )
    if way.name == BUTTON:
        return f"One press gives {past} and no more, and somebody has to press {_every(way)} at the latest."
    if way.name == WINDOW:
        return f"No day gives more than {past}, and with a float that stays open every day gives as much."
    if way.name == AT_HOME:
        return (
            f"Water runs only while somebody can see it, up to {past} in one stay, and {first} has to last alone "
            f"({lasts}) whenever nobody is there."
        )
    if way.name == NOT_AWAY:
        return f"On a journey no water can come, for {lasts} {first} lasts, and on all other days {a_day} can."
    if way.name == FROM_MARK:
        return (
            f"The unit starts seldom and a fill that fails gives {past} too much at most, and it stands and falls "
            f"with two "
            "switches and a clock that have to be tried."
        )
    return f"Nobody has to think of it, and a float that stays open gives {a_day} a day until something else stops it."

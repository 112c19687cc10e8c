"""How a failure ends on the floors that fit the plan of a room: as it is told, and otherwise, in words.

Floors are counted so that those of a sentence add up to all, or to the others that were named before.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dewpond.plant.consequence import Consequence
from dewpond.report.views.drains import SPOONFUL, Ground
from dewpond.report.views.shown import NOTHING, Shown, joined
from dewpond.study.by_floor import ByFloor, End
from dewpond.study.outcome import LITRES, MOMENT, Outcome

MOST = 3  # other ends that are told
FEW = 2  # things in which they differ that are told at first
SINGLY = 3  # so few others are told one by one
UNLIKE = 2.0  # litres that are so many times what is told are named at first; our prior
FIRST = 0  # who notices it and what stops it, before all else
IN_ORDER, OTHERWISE = "by the same steps in the same order", "in another order or by other steps"
SOON = 1.0  # sooner is told as at once [s]
AGAIN = "it starts again"
DROP = 1e-6  # less is not told in figures [m3]


def headline(outcome: Outcome, shown: Shown, ground: Ground) -> list[str]:
    """On how many floors it ends as it is told, and what differs on the others; nothing where all end alike."""
    floors = outcome.floors
    if floors is None or not floors.every:
        return []
    own = End.of(outcome.told)
    others = [told for told in floors.told if End.of(told) != own]
    alike = [told for told in floors.told if End.of(told) == own]
    so = f"So it goes on {on(len(alike), floors)}{_unlike(outcome.told, alike, shown, ground)}."
    if not others:
        return [so] if _unlike(outcome.told, alike, shown, ground) else []
    rest = "the other one" if len(others) == 1 else f"the other {len(others)}"
    wet = f"{_wet(others, shown, ground)}{_instead(outcome.told, others, shown, ground)}"
    lasts = own.running and all(told.still_running for told in others)
    too = "; it runs on to the end there, too" if lasts else ""
    return [f"{so} On {rest} {_differ(own, others)}: {wet}{too} (see below)."]


def _unlike(told: Consequence, alike: Sequence[Consequence], shown: Shown, ground: Ground) -> str:
    """What comes onto floors where it ends as told, if it is far from what is told."""
    volumes, own = [ground.undrained(one) for one in alike], ground.undrained(told)
    low, high = min(volumes), max(volumes)
    if high - low <= LITRES or (high <= UNLIKE * own and own <= UNLIKE * low):
        return ""
    return f", but with {between(low, high, shown)} {onto(alike, ground)} (told is {shown.litres(own)})"


def _differ(own: End, others: Sequence[Consequence]) -> str:
    """In what other runs end otherwise: all of few of them one by one, where they differ much; else as in _together."""
    texts = _together(own, others)
    each = dict.fromkeys(End.of(told) for told in others)
    if len(texts) <= FEW or len(others) > SINGLY or len(each) == 1:
        return joined(texts)
    most = [sorted(_differences(end, own), key=lambda found: found[0])[:FEW] for end in each]
    ways = [joined([_with(text, which) for _, text, which in found]) for found in most]
    return f"either {', or '.join(ways)}"


def _with(text: str, which: str) -> str:
    return f"{text}{f' ({which})' if which else ''}"


def _together(own: End, others: Sequence[Consequence]) -> list[str]:
    """Who notices it and what stops it, then what else, as far as there is room; each with the number of them unless it
    is all."""
    found: dict[tuple[int, str], list[str]] = {}
    for told in others:
        for rank, text, which in _differences(End.of(told), own):
            found.setdefault((rank, text), []).append(which)
    texts: list[str] = []
    for (rank, text), each in sorted(found.items(), key=lambda item: (item[0][0], -len(item[1]))):
        if rank > FIRST and len(texts) >= FEW:
            break
        which = joined([one for one in dict.fromkeys(each) if one], "or")
        comma = "," if text.endswith(", too") else ""
        how_many = "" if len(each) == len(others) else f"{comma} on {len(each)} of them"
        texts.append(f"{_with(text, which)}{how_many}")
    return texts


def _differences(end: End, own: End) -> Iterator[tuple[int, str, str]]:
    """The same of one end: how much it matters (least first), in what, and by whom or what."""
    if end.noticed_by is None and own.noticed_by is not None:
        yield FIRST, "nobody and nothing notices it", ""
    elif end.noticed_by != own.noticed_by:
        yield FIRST, f"it is noticed{' otherwise' if own.noticed_by else ''}", end.noticed_by or ""
    if end.running and not own.running:
        yield FIRST, "it runs on to the end", ""
    elif end.running != own.running:
        yield FIRST, "it stops", end.stopped_by or ""
    elif end.stopped_by != own.stopped_by:
        yield FIRST, "it stops otherwise", end.stopped_by or ""
    restarts = end.again and not own.again and not end.running  # what runs on has not ended
    if restarts:
        yield FIRST, AGAIN, ""
    more, less = sorted(end.wet - own.wet), sorted(own.wet - end.wet)
    if more:
        yield FIRST + 1, f"water comes to {joined(more)}{', too' if own.wet else ''}", ""
    besides = [text for text in _besides(end, own) if not (restarts and text == AGAIN)]
    yield from ((FIRST + 1, text, "") for text in [*_drained(end, own), *besides])
    if less:
        yield FIRST + 2, f"{joined(less)} {'stays' if len(less) == 1 else 'stay'} all but dry", ""


def _drained(end: End, own: End) -> list[str]:
    """Which drains in floors take water, where that are others than those that are told."""
    more, less = sorted(end.drains - own.drains), sorted(own.drains - end.drains)
    found = [f"{joined(more)} {'takes' if len(more) == 1 else 'take'} water"] if more else []
    return [*found, f"{joined(less)} {'takes' if len(less) == 1 else 'take'} none"] if less else found


def _instead(own: Consequence, others: Sequence[Consequence], shown: Shown, ground: Ground) -> str:
    """What came onto floors in the run that is told, where it is another volume than in all others."""
    volumes, there = [ground.undrained(told) for told in others], ground.undrained(own)
    low, high = min(volumes), max(volumes)
    alike = shown.litres(there) in (shown.litres(low), shown.litres(high))
    if alike or low - LITRES <= there <= high + LITRES:
        return ""
    return f", instead of {shown.litres(there)}{' that no drain takes' if ground.taken(own) else ''}"


def _wet(told: Sequence[Consequence], shown: Shown, ground: Ground) -> str:
    """What comes onto floors in some runs, and into no drain; of drops that they are no more."""
    volumes = [ground.undrained(one) for one in told]
    most = max(volumes)
    if most > SPOONFUL:
        return f"{between(min(volumes), most, shown)} come {onto(told, ground)}"
    if max(one.on_floors for one in told) > SPOONFUL:
        rest = (
            f"no more than {shown.litres(most)} stays on floors" if most > DROP else "next to nothing stays on floors"
        )
        return f"{rest}, a drain takes the rest"
    return hardly(most, shown)


def hardly(volume: float, shown: Shown) -> str:
    """What comes onto floors, of a spoonful or less [m3]."""
    return f"{a_little(volume, shown)} onto floors" if volume > 0.0 else "no floor gets wet"


def a_little(volume: float, shown: Shown) -> str:
    """ "no more than 3 mL comes", of a spoonful or less, but not of nothing."""
    return f"no more than {shown.litres(volume)} comes" if volume > DROP else "no more than some drops come"


def ends(floors: ByFloor, shown: Shown, ground: Ground) -> list[str]:
    """On how many floors it ends as it is told, and how on the others."""
    if not floors.every:
        outer = "those on which each probe is reached first and last, and places take least and most"
        return [
            f"Of {floors.count} floors only the outer {len(floors.ran)} were run, {outer}: they bring nearly the same."
        ]
    found: dict[End, list[Consequence]] = {}
    for group in floors.groups:
        for told in group.told:
            found.setdefault(End.of(told), []).append(told)
    story = next(group for group in floors.groups if floors.member in group.members)
    own = End.of(story.told[story.members.index(floors.member)])
    same = sum(End.of(told) == own for told in story.told)
    others = len(found[own]) - same
    by_the_way = f": on {same} {IN_ORDER}, on {others} {OTHERWISE}" if others else ""
    if len(found) == 1:
        alike = "it ends alike" if others else "the same happens, in the same order"
        return [f"On {on(floors.count, floors)} {alike}{by_the_way}.", *_noticed("By floor", found[own], shown)]
    texts = [f"On {on(len(found[own]), floors)} it ends as told here{by_the_way}."]
    texts += _noticed("Where it ends so,", found[own], shown)
    rows = sorted(((end, runs) for end, runs in found.items() if end != own), key=lambda row: -len(row[1]))
    rest = floors.count - len(found[own])
    for end, runs in rows[:MOST]:
        words = "; ".join([*_end(end, own, runs, shown, ground), *_besides(end, own)])
        which = f"{len(runs)} of the other {rest}" if len(rows) > 1 else f"the other {'one' if rest == 1 else rest}"
        texts.append(f"On {which}: {words}.")
    left = sum(len(runs) for _, runs in rows[MOST:])
    if left:
        texts.append(f"On the last {left} of the other {rest} in yet other ways.")
    return texts if len(rows) == 1 else [*texts, *_lasting(floors)]


def _noticed(where: str, told: Sequence[Consequence], shown: Shown) -> list[str]:
    """When runs that end alike are noticed, where that differs."""
    when = waits(told)
    if not when or when[-1] - when[0] <= MOMENT:
        return []
    return [f"{where} it is first noticed {_after(told, shown)}."]


def _lasting(floors: ByFloor) -> list[str]:
    """On how many floors it runs on, and is never noticed, where several ends come to that or not."""
    shares = (
        (floors.running, "it runs on to the end on"),
        (floors.unnoticed, "nobody and nothing ever notices on"),
    )
    told = [f"{text} {number(share, floors)}" for share, text in shares if 0.0 < share < 1.0]
    return [f"Of all {floors.count} floors {', and '.join(told)}."] if told else []


def _end(end: End, own: End, told: Sequence[Consequence], shown: Shown, ground: Ground) -> list[str]:
    """What runs that end alike come to: litres, when it is noticed, what ends it. ``own``: the end of the story."""
    found = [_wet(told, shown, ground)]
    if end.wet and end.wet != own.wet:
        found.append(f"water in {joined(sorted(end.wet))}")
    if end.noticed_by is None:
        found.append("noticed by nobody and nothing")
    else:
        by = f" ({end.noticed_by})" if end.noticed_by != own.noticed_by else ""
        found.append(f"first noticed {_after(told, shown)}{by}")
    found += _drained(end, own)
    found.append("still running at the end" if end.running else f"stopped: {end.stopped_by or NOTHING}")
    return [*found, *dict.fromkeys(mark for one in told for mark in one.marks)]


def _besides(end: End, own: End) -> list[str]:
    """In what else an end is another one than that which is told."""
    words = (
        (end.known != own.known, "a person hears of it" if end.known else "no person hears of it"),
        (end.again != own.again, AGAIN if end.again else "it does not start again"),
        (end.dry != own.dry, f"{f'the return pump of {end.dry}' if end.dry else 'no return pump'} draws air"),
        (end.empty != own.empty, f"{end.empty or 'no vessel'} is all but empty"),
        (
            end.overdosed != own.overdosed,
            f"{'' if end.overdosed else 'no '}more goes through {end.overdosed or own.overdosed} than the tank bears",
        ),
        (end.bare != own.bare, f"{joined(end.bare) or 'no tank'} is empty at the end"),
    )
    return [text for other, text in words if other]


def waits(told: Sequence[Consequence]) -> list[float]:
    """From the first water to the first notice in each run that is noticed, the shortest first [s]."""
    noticed = ((one.first_noticed, one.first_water or 0.0) for one in told)
    return sorted(max(notice - water, 0.0) for notice, water in noticed if notice is not None)


def _after(told: Sequence[Consequence], shown: Shown) -> str:
    """How long after the first water: "4.4 to 29 min after the first water"."""
    when = waits(told)
    first, last = when[0], when[-1]
    if last < SOON:
        return "with the first water"
    least, most = shown.duration(first), shown.duration(last)
    return f"{f'up to {most}' if first < SOON else span(least, most)} after the first water"


def onto(told: Sequence[Consequence], ground: Ground) -> str:
    """Where water comes to that no drain takes."""
    return "onto floors and into no drain" if any(ground.taken(one) for one in told) else "onto floors"


def between(low: float, high: float, shown: Shown) -> str:
    """ "5 to 60 L", of volumes [m3]."""
    return span(shown.litres(low, high), shown.litres(high))


def span(least: str, most: str) -> str:
    """ "5 to 60 L" from "5 L" and "60 L"; one figure where both read the same."""
    if least == most:
        return most
    value, _, unit = least.rpartition(" ")
    return f"{value if most.endswith(' ' + unit) else least} to {most}"


def number(share: float, floors: ByFloor) -> int:
    """Of the floors, from their share [1]."""
    return round(share * floors.count)


def on(many: int, floors: ByFloor) -> str:
    """ "17 of 20 floors"."""
    return f"all {floors.count} floors" if many == floors.count else f"{many} of {floors.count} floors"

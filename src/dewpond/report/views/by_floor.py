"""What a failure comes to on every floor that fits the plan of a room, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from dewpond.design.model import Design
from dewpond.floor.wetting import FAST
from dewpond.plant.consequence import Consequence
from dewpond.report.views.drains import SPOONFUL, Ground
from dewpond.report.views.shown import NOTHING, Shown, count, joined
from dewpond.study.by_floor import AskedFor, ByFloor, End, ProbeWets, middle_of
from dewpond.study.outcome import LITRES, MOMENT, Outcome, StudyResult

MOST = 3  # other ends that are told
ROUND = (1.0, 2.0, 5.0)  # litres are asked for at these and their tens
REACHED = 0.8  # share of the floors on which a probe is to be reached by the litres that are named [1]
WIDE = 1.0  # by which a salinity differs from floor to floor before it is told [g/kg]; a refractometer's; our prior
OTHERWISE = "in another order or by other steps"


def sentences(outcome: Outcome, design: Design, shown: Shown, ground: Ground) -> list[str]:
    """From which leak the floors are asked, when each probe is reached, what comes on the other floors."""
    floors = outcome.floors
    if floors is None:
        return []
    found = [text for asked in floors.asked for text in _asked(asked)]
    found += [*_onward(floors, design), *_unnamed(floors, design)]
    found += [text for asked in floors.asked for text in _fast(asked.place, outcome.told, shown)]
    found += [_probe(probe, floors, design, shown) for probe in floors.probes]
    return [*found, *_ends(floors, shown, ground), *_range(floors, shown, ground)]


def headline(outcome: Outcome, shown: Shown, ground: Ground) -> list[str]:
    """On how many floors it ends as it is told, and how much water comes on the others; nothing where all end alike."""
    floors = outcome.floors
    if floors is None or not floors.every:
        return []
    own = End.of(outcome.told)
    others = [told for told in floors.told if End.of(told) != own]
    if not others:
        return []
    volumes = [ground.undrained(told) for told in others]
    wet = f"{_between(min(volumes), max(volumes), shown)} {_onto(others, ground)}"
    running = sum(told.still_running for told in others)
    lasting = f", and on {running} of them it runs on to the end" if running else ""
    number = len(floors.told) - len(others)
    text = (
        f"So it goes on {_on(number, floors)}; on the other {len(others)} it ends otherwise, with "
        f"{wet if max(volumes) > SPOONFUL else 'no floor wet'}{lasting} (see below)."
    )
    return [text]


def litres(outcome: Outcome, shown: Shown, ground: Ground) -> str | None:
    """ "5 to 60 L by floor", of the water that no drain took; None where it is the same on all floors."""
    if outcome.floors is None:
        return None
    volumes = [ground.undrained(told) for told in outcome.floors.told]
    low, high = min(volumes), max(volumes)
    return f"{_between(low, high, shown)} by floor" if high - low > LITRES else None


def runs_on(outcome: Outcome) -> str | None:
    """ "never on 3 of 20 floors", of when it stops; None where that is the same on all floors."""
    floors = outcome.floors
    if floors is None or not 0.0 < floors.running < 1.0:
        return None
    return f"never on {_on(_number(floors.running, floors), floors)}"


def of_study(result: StudyResult, shown: Shown) -> list[str]:
    """How a study has run faults on floors, and with how many of them the floor decides."""
    floors = [outcome.floors for outcome in result.failures if outcome.floors]
    if not floors:
        return []
    rooms = joined([plan.place for plan in result.design.plans])
    pairs = any(len(outcome.faults) > 1 for outcome in result.failures)
    unsure = sum(0.0 < one.unnoticed < 1.0 for one in floors)
    lasting = sum(0.0 < one.running < 1.0 for one in floors)
    fast = sum(
        any(_rate(asked.place, outcome.told) > FAST for asked in outcome.floors.asked)
        for outcome in result.failures
        if outcome.floors
    )
    texts = [
        f"Of {rooms} there is a plan, which many floors fit.",
        f"In {count(len(floors), 'run')} of one fault water comes there: what happens on most floors is told.",
        "“By floor” stand the least and the most.",
        f"In {unsure} of them it hangs on the floor whether anything ever notices, in {lasting} whether it ends.",
    ]
    if fast:
        texts.append(
            f"In {fast} of them it comes faster than {shown.flow(FAST)}: then it spreads farther and in another way "
            "than is told here, and may run past a probe or a drain."
        )
    if pairs:
        texts.append("Two faults are run on one floor: that on which one of them alone is told.")
    return [" ".join(texts)]


def _rate(place: str, told: Consequence) -> float:
    """How fast water came into a place, on average from the first of all water to the last [m3/s]."""
    last = told.horizon if told.still_running or told.stopped is None else told.stopped
    lasted = last - (told.first_water or 0.0)
    return told.by_place.get(place, 0.0) / lasted if lasted > 0.0 else 0.0


def _onward(floors: ByFloor, design: Design) -> list[str]:
    """Where water goes on to from each place, where that is not the same on all floors, or not as the file says."""
    ways: dict[str, dict[str, int]] = {}
    for told in floors.told:
        for place, (to, volume) in told.onward.items():
            if volume > SPOONFUL:
                counts = ways.setdefault(place, {})
                counts[to] = counts.get(to, 0) + 1
    found = []
    for place, counts in ways.items():
        said = next((str(part.get("leads to") or "") for part in design.parts if part.name == place), "")
        each = [f"to {to} on {_on(number, floors)}" for to, number in sorted(counts.items(), key=lambda row: -row[1])]
        if len(each) > 1 or (said and said not in counts):
            other = f", not to {said}" if said and said not in counts else ""
            found.append(f"By the plan, what {place} cannot hold goes on {joined(each)}{other}.")
    return found


def _unnamed(floors: ByFloor, design: Design) -> list[str]:
    """Rooms that pass on water and have a way out behind which the file has nothing: runs do not know that way."""
    passed = {place for told in floors.told for place, (_, volume) in told.onward.items() if volume > SPOONFUL}
    return [
        f"{plan.place} also has a way out behind which the file tells nothing. Where water comes to it first, a run "
        "sends it on as the rest of the file says: if you want to know, name what lies there."
        for plan in design.plans
        if plan.place in passed and not all(way.leads_to for way in (*plan.openings, *plan.joints))
    ]


def _fast(place: str, told: Consequence, shown: Shown) -> list[str]:
    rate = _rate(place, told)
    if rate <= FAST:
        return []
    text = (
        f"Water comes into {place} at about {shown.flow(rate)}, faster than floors are reckoned for "
        f"({shown.flow(FAST)}): it spreads farther and in another way than is told here, and may run past a probe or a "
        "drain."
    )
    return [text]


def _between(low: float, high: float, shown: Shown) -> str:
    """ "5 to 60 L", of volumes [m3]."""
    return _span(shown.litres(low, high), shown.litres(high))


def _span(least: str, most: str) -> str:
    """ "5 to 60 L" from "5 L" and "60 L"; one figure where both read the same."""
    if least == most:
        return most
    number, _, unit = least.rpartition(" ")
    return f"{number if most.endswith(' ' + unit) else least} to {most}"


def _number(share: float, floors: ByFloor) -> int:
    return round(share * floors.count)


def _on(number: int, floors: ByFloor) -> str:
    """ "17 of 20 floors"."""
    return f"all {floors.count} floors" if number == floors.count else f"{number} of {floors.count} floors"


def _asked(asked: AskedFor) -> list[str]:
    others = f" Water comes there from {joined(asked.others)} as well." if asked.others else ""
    if asked.site is None:
        return [
            f"In {asked.place} no plan tells where water from {asked.source} runs: a round puddle is taken.{others}"
        ]
    if asked.others:
        sources = joined([asked.source, *asked.others])
        most = f"the floor is asked as for {asked.source}, which brings most of it"
        return [f"In {asked.place} water comes from {sources}; {most}."]
    return []


def fits(design: Design) -> str:
    """What floors fit: "floors that fit your readings"."""
    return "fit your readings" if any(plan.readings for plan in design.plans) else "fit the plan"


def _probe(probe: ProbeWets, floors: ByFloor, design: Design, shown: Shown) -> str:
    if probe.measured:
        return f"{probe.part} in {probe.place}: the litres that were poured and measured count on every floor."
    reached = sorted(value for value in probe.litres if math.isfinite(value))
    far = f"even with {shown.litres(floors.cap)}"
    water = f"the water in {probe.place}"
    if not reached:
        return f"On none of {floors.count} floors that {fits(design)} does {water} reach {probe.part}, {far}."
    by = _named(reached, floors.count)
    number = _on(sum(value <= by for value in reached), floors)
    text = f"On {number} that {fits(design)} {water} reaches {probe.part} before it is {shown.litres(by)}"
    never = floors.count - len(reached)
    return f"{text}; on {never} never, {far}." if never else f"{text}."


def _named(reached: Sequence[float], number: int) -> float:
    """A round volume by which a probe is reached on most of so many floors, or on all on which it is at all [m3].
    ``reached``: there, the least first."""
    at = reached[min(math.ceil(REACHED * number - 1e-9), len(reached)) - 1]
    tens = 10.0 ** math.floor(math.log10(max(at, SPOONFUL)))
    return next(step * tens for step in (*ROUND, 10.0) if step * tens >= at * (1.0 - 1e-9))


def _ends(floors: ByFloor, shown: Shown, ground: Ground) -> list[str]:
    """On how many floors it ends as it is told, and how on the others."""
    if not floors.every:
        return ["The floors on which each probe is reached first and last bring the same: the others were not run."]
    ends: dict[End, list[Consequence]] = {}
    for group in floors.groups:
        for told in group.told:
            ends.setdefault(End.of(told), []).append(told)
    story = next(group for group in floors.groups if floors.member in group.members)
    own = End.of(story.told[story.members.index(floors.member)])
    others = len(ends[own]) - sum(End.of(told) == own for told in story.told)
    by_the_way = f"; on {others} of them {OTHERWISE}" if others else ""
    if len(ends) == 1:
        alike = "it ends alike" if others else "the same happens, in the same order"
        return [f"On all {floors.count} floors {alike}{by_the_way}.", *_noticed("By floor", ends[own], shown)]
    rows = sorted(((end, runs) for end, runs in ends.items() if end != own), key=lambda row: -len(row[1]))
    texts = [f"On {_on(len(ends[own]), floors)} it ends as told here{by_the_way}."]
    texts += _noticed("Where it ends so,", ends[own], shown)
    for end, runs in rows[:MOST]:
        words = "; ".join([*_end(end, own, runs, shown, ground), *_besides(end, own)])
        texts.append(f"On {_on(len(runs), floors)} otherwise: {words}.")
    left = sum(len(runs) for _, runs in rows[MOST:])
    if left:
        texts.append(f"On {_on(left, floors)} otherwise again.")
    return texts if len(rows) == 1 else [*texts, *_lasting(floors)]


def _noticed(where: str, told: Sequence[Consequence], shown: Shown) -> list[str]:
    """When runs that end alike are noticed, where that differs."""
    waits = _waits(told)
    if not waits or waits[-1] - waits[0] <= MOMENT:
        return []
    return [f"{where} it is first noticed {_after(told, shown)} after the first water."]


def _lasting(floors: ByFloor) -> list[str]:
    """On how many floors it runs on, and is never noticed, where several ends come to that or not."""
    shares = (
        (floors.running, "It runs on to the end on"),
        (floors.unnoticed, "Nobody and nothing ever notices on"),
    )
    return [f"{text} {_on(_number(share, floors), floors)}." for share, text in shares if 0.0 < share < 1.0]


def _end(end: End, own: End, told: Sequence[Consequence], shown: Shown, ground: Ground) -> list[str]:
    """What runs that end alike come to: litres, when it is noticed, what ends it. ``own``: the end of the story."""
    volumes = [ground.undrained(one) for one in told]
    wet = f"{_between(min(volumes), max(volumes), shown)} {_onto(told, ground)}"
    found = [wet if max(volumes) > SPOONFUL else "no floor gets wet"]
    if end.wet and end.wet != own.wet:
        found.append(f"water in {joined(sorted(end.wet))}")
    if end.noticed_by is None:
        found.append("noticed by nobody and nothing")
    else:
        by = f" ({end.noticed_by})" if end.noticed_by != own.noticed_by else ""
        found.append(f"first noticed {_after(told, shown)} after the first water{by}")
    found.append("still running at the end" if end.running else f"stopped: {end.stopped_by or NOTHING}")
    return [*found, *dict.fromkeys(mark for one in told for mark in one.marks)]


def _besides(end: End, own: End) -> list[str]:
    """In what else an end is another one than that which is told."""
    words = (
        (end.known != own.known, "a person hears of it" if end.known else "no person hears of it"),
        (end.again != own.again, "it starts again" if end.again else "it does not start again"),
        (end.dry != own.dry, f"{f'the return pump of {end.dry}' if end.dry else 'no return pump'} draws air"),
        (end.empty != own.empty, f"{end.empty or 'no vessel'} is all but empty"),
        (
            end.overdosed != own.overdosed,
            f"{'' if end.overdosed else 'no '}more goes through {end.overdosed or own.overdosed} than the tank bears",
        ),
        (end.bare != own.bare, f"{joined(end.bare) or 'no tank'} is empty at the end"),
    )
    return [text for other, text in words if other]


def _waits(told: Sequence[Consequence]) -> list[float]:
    """From the first water to the first notice in each run that is noticed, the shortest first [s]."""
    noticed = ((one.first_noticed, one.first_water or 0.0) for one in told)
    return sorted(max(notice - water, 0.0) for notice, water in noticed if notice is not None)


def _after(told: Sequence[Consequence], shown: Shown) -> str:
    waits = _waits(told)
    return _span(shown.duration(waits[0]), shown.duration(waits[-1]))


def _onto(told: Sequence[Consequence], ground: Ground) -> str:
    return "onto floors and into no drain" if any(ground.taken(one) for one in told) else "onto floors"


def _range(floors: ByFloor, shown: Shown, ground: Ground) -> list[str]:
    """How far floors differ in litres, and in the salinity of tanks."""
    volumes = [ground.undrained(told) for told in floors.told]
    low, middle, high = min(volumes), volumes[middle_of(volumes)], max(volumes)
    found = []
    if high - low > LITRES:
        found.append(
            f"By floor {_between(low, high, shown)} come {_onto(floors.told, ground)}, {shown.litres(middle)} in the "
            f"middle of {count(len(floors.ran), 'floor')}."
        )
    for same in zip(*(told.tanks for told in floors.told), strict=True):
        for which, values in (("lowest", [one.lowest for one in same]), ("highest", [one.highest for one in same])):
            if max(values) - min(values) > WIDE:
                reach = _span(shown.salinity(min(values)), shown.salinity(max(values)))
                found.append(f"By floor the {which} salinity of {same[0].tank} is {reach}.")
    return found

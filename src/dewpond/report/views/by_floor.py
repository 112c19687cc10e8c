"""What a failure comes to on every floor that fits the plan of a room, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from dewpond.design.model import Design
from dewpond.report.views.drains import SPOONFUL, Ground
from dewpond.report.views.shown import NOTHING, Shown, count, joined
from dewpond.study.by_floor import AskedFor, ByFloor, Group, ProbeWets, share_of
from dewpond.study.outcome import LITRES, Outcome, StudyResult

MOST = 3  # other ends that are told
ROUND = (1.0, 2.0, 5.0)  # litres are asked for at these and their tens
REACHED = 0.8  # share of the floors on which a probe is to be reached by the litres that are named [1]


def sentences(outcome: Outcome, design: Design, shown: Shown, ground: Ground) -> list[str]:
    """From which leak the floors are asked, when each probe is reached, what comes on the other floors."""
    floors = outcome.floors
    if floors is None:
        return []
    found = [text for asked in floors.asked for text in _asked(asked)]
    found += [_probe(probe, floors, design, shown) for probe in floors.probes]
    return [*found, *_groups(floors, shown, ground), *_range(floors, shown, ground)]


def litres(outcome: Outcome, shown: Shown, ground: Ground) -> str | None:
    """ "5 to 60 L by floor", of the water that no drain took; None where it is the same on all floors."""
    if outcome.floors is None:
        return None
    values = [ground.undrained(told) for told in (outcome.floors.least, outcome.floors.most)]
    if max(values) - min(values) <= LITRES:
        return None
    return f"{_between(min(values), max(values), shown)} by floor"


def runs_on(outcome: Outcome) -> str | None:
    """ "never on 3 of 20 floors", of when it stops; None where that is the same on all floors."""
    floors = outcome.floors
    if floors is None or not 0.0 < floors.running < 1.0:
        return None
    return f"never on {_on(floors.running, floors)}"


def of_study(result: StudyResult) -> list[str]:
    """How a study has run faults on floors, and with how many of them the floor decides."""
    floors = [outcome.floors for outcome in result.failures if outcome.floors]
    if not floors:
        return []
    rooms = joined([plan.place for plan in result.design.plans])
    pairs = any(len(outcome.faults) > 1 for outcome in result.failures)
    unsure = sum(0.0 < one.unnoticed < 1.0 for one in floors)
    lasting = sum(0.0 < one.running < 1.0 for one in floors)
    texts = [
        f"Of {rooms} there is a plan, which many floors fit.",
        f"In {count(len(floors), 'run')} of one fault water comes there: the middle outcome of all floors is told.",
        "“By floor” stand the least and the most.",
        f"In {unsure} of them it hangs on the floor whether anything ever notices, in {lasting} whether it ends.",
    ]
    if pairs:
        texts.append("Two faults are run on one floor: that on which one of them alone has the middle outcome.")
    return [" ".join(texts)]


def _between(low: float, high: float, shown: Shown) -> str:
    """ "5 to 60 L"; one figure where both read the same."""
    least, most = shown.litres(low, high), shown.litres(high)
    if least == most:
        return most
    number, _, unit = least.rpartition(" ")
    return f"{number if most.endswith(' ' + unit) else least} to {most}"


def _on(share: float, floors: ByFloor) -> str:
    """ "17 of 20 floors", or their share of the weight."""
    if share >= 1.0 - 1e-9:
        return f"all {len(floors.weights)} floors"
    if floors.alike:
        return f"{round(share * len(floors.weights))} of {len(floors.weights)} floors"
    return f"floors with {share:.0%} of the weight"


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
    reached = [value for value in probe.litres if math.isfinite(value)]
    if not reached:
        dry = f"On none of {len(probe.litres)} floors that {fits(design)} is {probe.part} in {probe.place} reached"
        return f"{dry}, as far as {shown.litres(floors.cap)} were followed."
    by = _named(probe.litres, floors.weights)
    number = _on(share_of([value <= by for value in probe.litres], floors.weights), floors)
    never = share_of([math.isinf(value) for value in probe.litres], floors.weights)
    text = f"On {number} that {fits(design)} {probe.part} in {probe.place} is reached"
    text += f" before {shown.litres(by)} have come there"
    if never <= 0.0:
        return f"{text}."
    return f"{text}; on {_on(never, floors)} never, as far as {shown.litres(floors.cap)} were followed."


def _named(values: Sequence[float], weights: Sequence[float]) -> float:
    """A round volume by which a probe is reached on most floors on which it is at all [m3]."""
    order = sorted((value, weight) for value, weight in zip(values, weights, strict=True) if math.isfinite(value))
    passed, at = 0.0, order[-1][0]
    for value, weight in order:
        passed += weight
        if passed >= REACHED:
            at = value
            break
    tens = 10.0 ** math.floor(math.log10(max(at, SPOONFUL)))
    return next(step * tens for step in (*ROUND, 10.0) if step * tens >= at * (1.0 - 1e-9))


def _groups(floors: ByFloor, shown: Shown, ground: Ground) -> list[str]:
    if not floors.every:
        return ["The floors on which each probe is reached first and last bring the same: the others were not run."]
    own = next(group for group in floors.groups if floors.member in group.members)
    if len(floors.groups) == 1:
        return [f"On all {len(floors.weights)} floors the same happens, in the same order."]
    ends: dict[tuple[object, ...], list[Group]] = {}
    for group in floors.groups:
        if group is not own:
            told = group.told
            ends.setdefault((told.first_noticed is None, told.still_running, told.stopped_by), []).append(group)
    rows = sorted(((_share(those), _end(those, shown, ground)) for those in ends.values()), key=lambda row: -row[0])
    texts = [f"on {_on(share, floors)} {text}" for share, text in rows[:MOST]]
    if rows[MOST:]:
        texts.append(f"on {_on(sum(share for share, _ in rows[MOST:]), floors)} otherwise again")
    return [f"So it goes on {_on(own.share, floors)}. In another order, or to another end, it goes {'; '.join(texts)}."]


def _share(groups: Sequence[Group]) -> float:
    return sum(group.share for group in groups)


def _end(groups: Sequence[Group], shown: Shown, ground: Ground) -> str:
    """What some groups come to that end alike: litres, when it is noticed, what ends it."""
    low = min(ground.undrained(group.least) for group in groups)
    high = max(ground.undrained(group.most) for group in groups)
    wet = f"{_between(low, high, shown)} onto floors" if high > SPOONFUL else "no floor gets wet"
    told = groups[0].told
    ends = "still running at the end" if told.still_running else f"stopped: {told.stopped_by or NOTHING}"
    if told.first_noticed is None:
        return f"({wet}, noticed by nobody and nothing, {ends})"
    after = sorted(max((one.told.first_noticed or 0.0) - (one.told.first_water or 0.0), 0.0) for one in groups)
    first, last = shown.duration(after[0]), shown.duration(after[-1])
    when = first if first == last else f"{first} to {last}"
    return f"({wet}, noticed {when} after the first water, {ends})"


def _range(floors: ByFloor, shown: Shown, ground: Ground) -> list[str]:
    low, middle, high = (ground.undrained(told) for told in (floors.least, floors.middle, floors.most))
    found = []
    if high - low > LITRES:
        found.append(
            f"By floor {_between(low, high, shown)} come onto floors, {shown.litres(middle)} in the middle of "
            f"{count(len(floors.ran), 'floor')}."
        )
    if 0.0 < floors.running < 1.0:
        found.append(f"It runs on to the end on {_on(floors.running, floors)}.")
    if 0.0 < floors.unnoticed < 1.0:
        found.append(f"Nobody and nothing ever notices on {_on(floors.unnoticed, floors)}.")
    return found

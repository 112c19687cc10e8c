"""What a failure comes to on every floor that fits the plan of a room, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from dewpond.design.model import Design
from dewpond.floor.members import JOINTS
from dewpond.floor.wetting import FAST, MOSTLY
from dewpond.plant.consequence import Consequence
from dewpond.report.views.by_floor_ends import SOON, between, ends, number, on, onto, span, waits
from dewpond.report.views.drains import SPOONFUL, Ground
from dewpond.report.views.shown import Shown, count, joined
from dewpond.study.by_floor import AskedFor, ByFloor, ProbeWets, middle_of, rate_into
from dewpond.study.outcome import LITRES, Outcome, StudyResult

ROUND = (1.0, 2.0, 5.0)  # litres are asked for at these and their tens
REACHED = 0.8  # share of the floors on which a probe is to be reached by the litres that are named [1]
BY_FLOOR = " by floor"
WIDE = 1.0  # by which a salinity differs from floor to floor before it is told [g/kg]; a refractometer's; our prior


def sentences(outcome: Outcome, design: Design, shown: Shown, ground: Ground) -> list[str]:
    """From which leak the floors are asked, when each probe is reached, what comes on the other floors."""
    floors = outcome.floors
    if floors is None:
        return []
    found = [text for asked in floors.asked for text in _asked(asked)]
    found += [*_onward(floors, design), *_unnamed(floors, design), *_in_part(floors, design, shown)]
    found += [text for asked in floors.asked for text in _fast(asked.place, outcome.told, shown)]
    found += [_probe(probe, floors, design, shown) for probe in floors.probes]
    return [*found, *ends(floors, shown, ground), *_range(floors, shown, ground)]


def litres(outcome: Outcome, shown: Shown, ground: Ground) -> str | None:
    """ "5 to 60 L by floor", of the water that no drain took; None where it is the same on all floors."""
    if outcome.floors is None:
        return None
    return _volumes([ground.undrained(told) for told in outcome.floors.told], shown)


def taken(outcome: Outcome, shown: Shown, ground: Ground) -> str | None:
    """ "0 to 310 L", of what floor drains take; None where it is the same on all floors."""
    volumes = [sum(volume for _, volume in ground.taken(told).values()) for told in outcome.each]
    return _volumes(volumes, shown)


def _volumes(volumes: Sequence[float], shown: Shown) -> str | None:
    """ "5 to 60 L by floor"; None where there is nothing to tell apart."""
    low, high = min(volumes), max(volumes)
    if high - low <= LITRES:
        return None
    text = between(low, high, shown)
    return text if text == shown.litres(high) else f"{text}{BY_FLOOR}"


class Ranged(NamedTuple):
    """When something comes, "11 s to 13 min", and where it never does, "3 of 20 floors", or empty."""

    when: str
    never: str

    def __str__(self) -> str:
        return f"{self.when}, never on {self.never}" if self.never else self.when


def noticed(outcome: Outcome, shown: Shown) -> Ranged | None:
    """When it is noticed after the first water; None where that is the same on all floors, or before any water."""
    floors = outcome.floors
    if floors is None or any((one.first_noticed or math.inf) - (one.first_water or 0.0) < 0.0 for one in floors.told):
        return None
    return _ranged(waits(floors.told), floors.unnoticed, floors, shown)


def stopped(outcome: Outcome, shown: Shown) -> Ranged | None:
    """When it stops after the first water; None where that is the same on all floors."""
    floors = outcome.floors
    if floors is None:
        return None
    ended = [one for one in floors.told if one.stopped is not None and not one.still_running]
    return _ranged(sorted(one.stopped - (one.first_water or 0.0) for one in ended), floors.running, floors, shown)  # type: ignore[operator]


def _ranged(times: Sequence[float], never: float, floors: ByFloor, shown: Shown) -> Ranged | None:
    """Times in order [s], and on how many floors there is none: ``never``, their share [1]."""
    none = on(number(never, floors), floors) if 0.0 < never < 1.0 else ""
    if not times:
        return None
    least, most = shown.duration(times[0]), shown.duration(times[-1])
    when = span(least, most)
    if times[0] < SOON:
        when = f"up to {most}" if times[-1] >= SOON else f"within {shown.duration(SOON)}"
    return Ranged(when, none) if none or least != most else None


def rooms(outcome: Outcome, ground: Ground) -> str:
    """ "in kitchen and lounge (on some floors in landing, too)": every room that gets wet on any floor."""
    found = ground.wetted(outcome)
    always = [room for room, number in found.items() if number == len(outcome.each)]
    some = [room for room, number in found.items() if number < len(outcome.each)]
    if not always:
        return f"on some floors in {joined(some)}"
    return f"in {joined(always)}{f' (on some floors in {joined(some)}, too)' if some else ''}"


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
        any(rate_into(asked.place, outcome.told) > FAST for asked in outcome.floors.asked)
        for outcome in result.failures
        if outcome.floors
    )
    texts = [
        f"Of {rooms} there is a plan, which many floors fit.",
        f"In {count(len(floors), 'run')} of one fault water comes there.",
        "Told is what most floors come to, with the litres in the middle of these.",
        "“By floor” stand the least and the most of all floors that were run.",
        f"In {unsure} of them it hangs on the floor whether anything ever notices, in {lasting} whether it ends.",
    ]
    if fast:
        texts.append(
            f"In {fast} of them it comes faster than {shown.flow(FAST)}: then it spreads farther and in another way "
            "than is told here, and may run past a probe or a drain."
        )
    outer = [one for one in floors if not one.every]
    if outer:
        texts.append(
            f"In {len(outer)} of them not all {outer[0].count} floors were run, but only the outer ones, at most "
            f"{max(len(one.ran) for one in outer)}: those on which probes are reached first and last, and places take "
            "least and most. They came to nearly the same; floors in between may yet differ more."
        )
    if result.unknowns:
        texts.append(
            "Another answer to what is unknown is tried on the floor that is told: on others it may change more."
        )
    if pairs:
        texts.append("Two faults are run on one floor: that on which one of them alone is told.")
    return [" ".join(texts)]


def _onward(floors: ByFloor, design: Design) -> list[str]:
    """Where water goes on to from each place, where that is not the same on all floors, or not as the file says."""
    ways: dict[str, dict[str, int]] = {}
    for (place, to), many in floors.ways.items():
        ways.setdefault(place, {})[to] = many
    found = []
    for place, counts in ways.items():
        said = next((str(part.get("leads to") or "") for part in design.parts if part.name == place), "")
        most_first = sorted(counts.items(), key=lambda row: -row[1])
        each = [f"to {to} on {on(many, floors) if floors.every else 'some floors'}" for to, many in most_first]
        if len(each) > 1 or (said and said not in counts):
            other = f", not to {said}" if said and said not in counts else ""
            found.append(f"By the plan, what {place} cannot hold goes on {joined(each)}{other}.")
    return found


def _unnamed(floors: ByFloor, design: Design) -> list[str]:
    """Rooms that pass on water and have a way out behind which the file has nothing: runs do not know that way."""
    passed = {place for place, _ in floors.ways}
    return [
        f"{plan.place} also has a way out behind which the file tells nothing. Where water comes to it first, a run "
        "sends it on as the rest of the file says: if you want to know, name what lies there."
        for plan in design.plans
        if plan.place in passed and not all(plan.leads)
    ]


def _in_part(floors: ByFloor, design: Design, shown: Shown) -> list[str]:
    """Gaps that may take some of what comes, but not most of it: a run does not part water in two."""
    found = []
    for plan in design.plans:
        rate = max((asked.rate for asked in floors.asked if asked.place == plan.place), default=0.0)
        some = [JOINTS[1] if joint.takes is None else joint.takes for joint in plan.joints]
        if any(0.0 < takes < MOSTLY * rate for takes in some):
            found.append(
                f"A gap of {plan.place} may take some of the {shown.flow(rate)} that come there. A run leaves it out, "
                "since it is less than half: `dewpond floor` tells of it, with `--rate`."
            )
    return found


def _fast(place: str, told: Consequence, shown: Shown) -> list[str]:
    rate = rate_into(place, told)
    if rate <= FAST:
        return []
    text = (
        f"Water comes into {place} at about {shown.flow(rate)}, faster than floors are reckoned for "
        f"({shown.flow(FAST)}): it spreads farther and in another way than is told here, and may run past a probe or a "
        "drain."
    )
    return [text]


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
    soon, never = sum(value <= by for value in reached), floors.count - len(reached)
    text = f"On {on(soon, floors)} that {fits(design)} {water} reaches {probe.part} before it is {shown.litres(by)}"
    later = f"; on {len(reached) - soon} only later" if soon < len(reached) else ""
    return f"{text}{later}; on {never} never, {far}." if never else f"{text}{later}."


def _named(reached: Sequence[float], number: int) -> float:
    """A round volume by which a probe is reached on most of so many floors, or on all on which it is at all [m3].
    ``reached``: there, the least first."""
    at = reached[min(math.ceil(REACHED * number - 1e-9), len(reached)) - 1]
    tens = 10.0 ** math.floor(math.log10(max(at, SPOONFUL)))
    return next(step * tens for step in (*ROUND, 10.0) if step * tens >= at * (1.0 - 1e-9))


def _range(floors: ByFloor, shown: Shown, ground: Ground) -> list[str]:
    """How far floors differ in litres, and in the salinity of tanks."""
    volumes = [ground.undrained(told) for told in floors.told]
    low, middle, high = min(volumes), volumes[middle_of(volumes)], max(volumes)
    found = []
    if high - low > LITRES:
        found.append(
            f"By floor {between(low, high, shown)} come {onto(floors.told, ground)}, {shown.litres(middle)} in the "
            f"middle of {count(len(floors.ran), 'floor')}."
        )
    for same in zip(*(told.tanks for told in floors.told), strict=True):
        for which, values in (("lowest", [one.lowest for one in same]), ("highest", [one.highest for one in same])):
            if max(values) - min(values) > WIDE:
                reach = span(shown.salinity(min(values)), shown.salinity(max(values)))
                found.append(f"By floor the {which} salinity of {same[0].tank} is {reach}.")
    return found

"""What was poured and rolled on a floor, as words: which floors agree with it, what it changed, what a cup tells."""

from __future__ import annotations

import math
from collections.abc import Iterator

from dewpond.design.plan import FloorPlan, Read
from dewpond.errors import Finding
from dewpond.floor.cup import film_of_cup, thickness
from dewpond.floor.evidence import named, poured_on
from dewpond.floor.fitted import cup_of
from dewpond.floor.standards import OLD
from dewpond.floor.storey import Storey
from dewpond.floor.weighing import LEAST
from dewpond.report.views.shown import Shown, about, count, joined, sentence
from dewpond.study.floors import Looked, Poured
from dewpond.study.moved import Moved

NEARLY_ALL = (
    0.8  # share of the floors on which water must have come to a probe before its silence is told; our prior [1]
)
ROUGH = 20.0  # floors below which the ends of a spread are told as rough; our prior [1]


def tests(storey: Storey) -> str:
    """ "what was poured and rolled"."""
    by = {read.by for plan in storey.plans for read in plan.readings}
    said = {"pour": "what was poured", "marble": "how a marble ran"}
    return joined([words for kind, words in said.items() if kind in by])


def chosen(looked: Looked) -> Iterator[str]:
    """How the floors that are told were chosen, and which tests do not count; nothing where there was none."""
    counted, aside = poured_on(looked.storey)
    poured = looked.poured
    if poured is not None:
        weights, pool, told = poured.weights, len(poured.pool.floors), len(poured.chosen)
        fit = "that fit the heights and slopes" if looked.fitted.read else "that its flatness allows"
        agree = [one for one in counted if one not in weights.odd]
        if agree:
            part = " (it counts only in part, as it would leave too few)" if weights.thin else ""
            yield (
                f"Of {pool} floors {fit}, {_agreeing(weights.agree)} with {tests(looked.storey)} ({'; '.join(agree)}). "
                f"The {told} told here were drawn from the {pool} as often as they agree{part}: "
                f"{len(set(poured.chosen))} different ones, which together tell as much as "
                f"{count(worth(poured), 'floor')} that are equally likely."
            )
        if weights.odd:
            odd = list(dict.fromkeys(weights.odd))
            yield f"No floor agrees with {joined(odd, 'or')}, so {'it does' if len(odd) == 1 else 'they do'} not count."
    if aside:
        does = "does" if len(aside) == 1 else "do"
        yield sentence(
            f"{joined(aside)} {does} not count: no water or marble can be where it was seen, on the floor as it is "
            "drawn, or the probe has no spot there"
        )


def _agreeing(agree: int) -> str:
    if not agree:
        return "none agrees in everything"
    return f"{agree} {'agrees' if agree == 1 else 'agree'}, some much better than others,"


def worth(poured: Poured) -> int:
    """As many floors that are equally likely tell as much as those that are told."""
    return min(round(poured.weights.effective), len(poured.chosen))


def poured_findings(looked: Looked, file: str) -> Iterator[Finding]:
    """Tests that contradict every floor, or one another; and tests that leave too few floors."""
    poured = looked.poured
    if poured is None:
        return
    weights, pool = poured.weights, len(poured.pool.floors)
    where, said = f"floor of {looked.storey.name}", tests(looked.storey)
    more = list(_more(looked))
    yield from _silent(poured, file)
    for odd in dict.fromkeys(weights.odd):
        remedy = f"If it is written wrongly, correct it. If not, read heights near there once more{_or(more)}."
        yield Finding("floor-pour", "warning", odd, f"None of {pool} floors agrees with it.", remedy, file)
    if not weights.agree:
        what = f"Of {said} each for itself agrees with some of {pool} floors, but no floor agrees with all."
        remedy = f"One of them contradicts another: see whether one is written wrongly, or try one again{_or(more)}."
        yield Finding("floor-pours", "warning", where, what, remedy, file)
    if not weights.thin and weights.effective < ROUGH:
        what = (
            f"The tests leave as much as {count(worth(poured), 'floor')} that are equally likely: what is told for 5 "
            "and for 95 % of the floors is hardly more than the least and the most of so few."
        )
        remedy = "Take the middle figures, and the share of floors that never, as rough; pour once more elsewhere."
        yield Finding("floor-rough", "note", where, what, remedy, file)
    if weights.thin:
        what = (
            f"Of {pool} floors fewer than {LEAST:.0f} are left by {said}. It was made to count less until "
            f"{LEAST:.0f} are: the shares told are rough."
        )
        remedy = f"See whether it is written rightly, and read heights near there once more{_or(more)}."
        yield Finding("floor-few", "note", where, what, remedy, file)


def _more(looked: Looked) -> Iterator[str]:
    smooth = [plan.place for plan in looked.storey.plans if plan.flatness != OLD and _tested(plan)]
    if smooth:
        yield f"write `flatness: {OLD}` for {joined(smooth, 'or')}, if it may be more uneven than was taken"


def against(looked: Looked, probe: str, shown: Shown) -> str:
    """What the keeper's own pours say of a probe where no floor agrees with them, and what to do; empty where there are
    none such."""
    odd = () if looked.poured is None else looked.poured.weights.odd
    told = []
    for plan in looked.storey.plans:
        for number, read in enumerate(plan.readings, 1):
            name = named(number, read, plan.place)
            if name in odd and str(read.get("probe") or "") == probe:
                after = read.get("after")
                acted = f"did not act by {shown.litres(read['poured'])}"
                told.append(f"it {acted if after is None else f'acted after {shown.litres(after)}'} ({name})")
    if not told:
        return ""
    return (
        f"Your own test says otherwise: {joined(told)}, and no floor agrees with that. So what is told here of {probe} "
        "holds only if that reading is wrong. If it is right, leave the probe where it is, read heights near there "
        f"once more{_or(list(_more(looked)))}, and ask again."
    )


def _tested(plan: FloorPlan) -> bool:
    return any(read.by in ("pour", "marble") for read in plan.readings)


def _silent(poured: Poured, file: str) -> Iterator[Finding]:
    """Pours after which a probe kept silent that nearly all floors would have had reached."""
    pool = len(poured.pool.floors)
    for what, share in poured.silent:
        if share >= NEARLY_ALL:
            told = (
                f"The probe did not act, and on {round(share * pool)} of {pool} floors that fit the heights water had "
                "come to it."
            )
            remedy = (
                "Pour a little of the same water right over the probe. If it keeps silent, it is dead, not connected, "
                "or does not see purified water: then take this reading out, for it says nothing of the floor. If it "
                "acts, the floor is another one there than was read."
            )
            yield Finding("floor-silent", "warning", what, told, remedy, file)


def _or(more: list[str]) -> str:
    return "".join(f", or {one}" for one in more)


def changed(moved: Moved, looked: Looked, leak: str, shown: Shown) -> Iterator[str]:
    """What the tests changed of the leak in the picture; that it is chance, where it is."""
    litres, said, floors = shown.litres(moved.volume), tests(looked.storey), len(looked.fitted.floors)
    where = f"where water from {leak} lies after {litres}"
    ways = [(moved.more, "more"), (moved.fewer, "fewer")]
    unit = shown.unit("area", max(moved.more, moved.fewer, moved.chance))
    parts = [f"{about(unit.of(area))} {unit.text} on {word} floors" for area, word in ways if area > 0.0]
    chance = f"on {about(unit.of(moved.chance))} {unit.text}" if moved.chance > 0.0 else "nowhere"
    if not moved.tells:
        yield f"Knowing {said} does not change {where}, or no more than chance would."
    elif parts:
        yield (
            f"Knowing {said} changes {where}: by a quarter of the floors or more {joined(parts)}. By chance "
            f"alone shares move so far {chance}; all changes together are more than chance."
        )
    else:
        yield f"Knowing {said} changes {where}, but nowhere by a quarter of the floors."
    for probe in moved.probes:
        yield (
            f"By {litres} it now wets {probe.name} on {round(probe.after * floors)} of {floors} floors; before, it did "
            f"on {round(probe.before * moved.pool)} of {moved.pool}."
        )


def cups(storey: Storey, shown: Shown) -> Iterator[str]:
    """What each poured cup tells of how thick water stands."""
    for plan in storey.plans:
        for read in plan.readings:
            if read.by == "cup":
                yield _cup(read, plan.place, storey, shown)


def _cup(read: Read, place: str, storey: Storey, shown: Shown) -> str:
    volume, area = cup_of(read)
    taken, error = thickness(volume, area)
    ground = storey.grounds[int(storey.ground[storey.frame.cell(read["at"])])]
    unit = shown.unit("height", taken)
    low, high = (about(unit.of(max(taken + off * error, 0.0))) for off in (-2.0, 2.0))
    told = f"The cup in {place} (line {read.line}) tells {about(unit.of(taken))} {unit.text} ({low} to {high})"
    if ground.soak[1] > 0.0:
        return f"{told}, film and soak together."
    try:
        film = film_of_cup(volume, area)
    except ValueError:
        return f"{told}. That is thicker than water can stand: it lay in a hollow, and this is too high."
    told += f", a contact angle of about {about(math.degrees(film.angle))} degrees"
    most = ground.film[-1]
    if taken > most:
        told += (
            f". That is thicker than water is taken to stand on such a floor, {about(unit.of(most))} {unit.text} at "
            "most: if it lay in a hollow, this is too high"
        )
    return f"{told}."

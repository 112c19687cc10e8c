"""What was taken of a floor that nobody told: its relief, film, soak and joints, and where parts leak."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from dewpond.floor.members import JOINTS
from dewpond.floor.storey import USUAL_CELL, Storey
from dewpond.floor.wetting import CAP, FAST, LATE, RATE
from dewpond.report.views.floor_poured import chosen, cups
from dewpond.report.views.floor_read import smoother
from dewpond.report.views.shown import Shown, about, count, joined, plain, sentence
from dewpond.study.floors import Asked, Looked

SAME_RATE = 1.0 + 1e-9  # but for rounding
HONEST = (
    (
        "Many floors are told instead of one: a single floor, and the outline of a puddle on it, mean nothing. Even "
        "heights to a millimetre tell an outline badly: on floors made up for a trial the puddle on the smoothed map "
        "shared at most four tenths of its area with the true one. The shares told here count with that."
    ),
    (
        "A pour test should tell more than more heights: pour 1 or 2 L slowly where the leak would be, draw the edge "
        "of the puddle, and write it among the readings (`by: pour`)."
    ),
    (
        "Reckoned is water that comes slowly. Against a film that flows, worked out on twice sixteen made-up floors, "
        "both puddles of 3 L share about 7/10 of the floor that either wets at 0.2 and at 0.5 L/min, half at 1 L/min, "
        "a third at 2, and next to nothing at 10; one floor differs much from another (2/10 to 8/10 at 0.5 L/min)."
    ),
    (
        "That film comes to a spot later than told, with 1.0 to 1.1 times the litres at 0.2 L/min, 1.2 to 1.4 at 0.5, "
        "1.5 to 1.6 at 1 and 2.5 at 2, and wets a quarter to a half more floor. On a floor that is all but level only "
        "the area holds, to a "
        "third. What runs downhill is taken as one cell wide and may pass a probe by."
    ),
    (
        "Times are rough: litres over flow, and to a probe the time of a run straight to it, which is right to a "
        "factor of two."
    ),
    (
        "Not considered: spray, water that follows a tube or a skirting board, a floor that bends under the tank "
        "unless the file tells of a hollow, and what dries meanwhile."
    ),
)  # fmt: skip


def assumed(looked: Looked, asked: Asked, shown: Shown) -> Iterator[str]:
    """Of one storey, a sentence or two for each."""
    yield _relief(looked)
    yield from smoother(looked)
    yield from chosen(looked)
    yield from cups(looked.storey, shown)
    yield from _grounds(looked, shown)
    yield from _borrowed(looked)
    yield from _joints(looked)
    size = looked.storey.frame.size
    cell = shown.amount(size, "length")
    usual = "yours" if asked.cell is not None else "usual" if size == USUAL_CELL else "the finest that can be afforded"
    yield f"The floor is laid out in cells of {cell} ({usual})."


def asked_of(asked: Asked, shown: Shown) -> Iterator[str]:
    """What was asked for, and what was taken where nothing was."""
    grade = "a membrane's product; our prior" if asked.rate == RATE else "yours"
    yield (
        f"Taken: {count(asked.members, 'floor')}, of seed {asked.seed}; a leak of {shown.flow(asked.rate)} ({grade}); "
        f"water is followed to {shown.litres(CAP)}. Your own: --floors, --seed, --rate."
    )


def fast(asked: Asked, shown: Shown) -> str:
    """A warning, milder between the two limits; empty below both."""
    if asked.rate <= LATE * SAME_RATE:
        return ""
    if asked.rate <= FAST * SAME_RATE:
        return (
            f"A leak of {shown.flow(asked.rate)} comes a little faster than what is reckoned here, up to "
            f"{shown.flow(LATE)}: where its water lies is a rough guide only, and to most spots it comes later "
            "than told, by half of the litres and more."
        )
    return (
        f"A leak of {shown.flow(asked.rate)} is faster than what is reckoned here, about {shown.flow(FAST)} at most: "
        "where its water lies does not hold, and it comes to most spots much later than told. How much floor gets wet "
        "holds to a half."
    )


def _relief(looked: Looked) -> str:
    fitted, plans = looked.fitted, looked.storey.plans
    words = joined([f"{plan.place} as one that is “{plan.flatness}”" for plan in plans])
    if not fitted.read:
        return (
            f"No height or slope was read of this floor: it is taken by its flatness alone, {words} (our prior, DIN "
            "18202 or ACI 117 second-hand, see `dewpond sources`), and may be half as rough or half as rough again."
        )
    rough = [factor for factors in fitted.factors.values() for factor in factors]
    return (
        f"{count(fitted.read, 'reading')} of height and slope {'is' if fitted.read == 1 else 'are'} fitted by every "
        f"floor, each to within its own error. Between them the floor is taken by its flatness, {words} (our prior), "
        f"{min(rough):.2g} to {max(rough):.2g} times as rough as that, {np.mean(rough):.2g} on average, as the "
        "readings allow."
    )


def _grounds(looked: Looked, shown: Shown) -> Iterator[str]:
    """Film and soak as they lie on the floors that were made."""
    storey, floors = looked.storey, looked.fitted.floors
    for number in range(len(storey.grounds)):
        there = (storey.ground == number) & (storey.of >= 0)
        if not there.any():
            continue
        cell = tuple(np.argwhere(there)[0])
        places = joined([_part(storey, k, number) for k in np.unique(storey.of[there])])
        film, soak = ([float(getattr(one.grid, key)[cell]) for one in floors] for key in ("film", "soak"))
        told = f"In {places} {_range(film, shown, 'stands')} as a film"
        told += f", and {_range(soak, shown, 'soaks in')}" if max(soak) > 0.0 else ", and nothing soaks in"
        yield f"{told} (drawn from what its surface holds; our prior unless a cup was poured)."


def _part(storey: Storey, place: int, ground: int) -> str:
    whole = bool((storey.ground[storey.of == place] == ground).all())
    return storey.places[place] if whole else f"a part of {storey.places[place]}"


def _range(values: list[float], shown: Shown, verb: str) -> str:
    low, high = min(values), max(values)
    if high <= 0.0:
        return f"nothing {verb}"
    unit = shown.unit("height", high)
    return f"{about(unit.of(low))} to {about(unit.of(high))} {unit.text} of water {verb}"


def _borrowed(looked: Looked) -> Iterator[str]:
    groups: dict[tuple[str, str], list[str]] = {}
    for site in looked.sites:
        if site.like and site.comes:
            yield (
                f"Nothing shows where water that comes from {site.part} drips onto the floor of {site.place}: it is "
                f"taken to do so {site.like}, at another spot on each."
            )
        elif site.like:
            groups.setdefault((site.like, site.place), []).append(site.part)
    for (like, place), parts in groups.items():
        them = "it is" if len(parts) == 1 else "they are"
        where = f"at {like}" if like == "the middle of the floor" else f"where {like} may"
        yield sentence(f"no spot in {place} is given for {joined(parts)}: {them} taken to leak {where}")


def _joints(looked: Looked) -> Iterator[str]:
    open_ = [way for way in looked.storey.ways_out if way.takes is None]
    if open_:
        names = joined(sorted({f"{way.by} of {way.place}" for way in open_}))
        number, floors = looked.storey.ways_out.index(open_[0]), looked.fitted.floors
        counts = [sum(floor.takes[number] == takes for floor in floors) for takes in JOINTS]
        nothing = f"nothing (on {counts[0]} of the {len(floors)} floors)"
        yield (
            f"What the {names} {'takes' if len(open_) == 1 else 'take'} nobody knows: {nothing}, {plain(0.2)} L/min "
            f"({counts[1]}) and all that comes ({counts[2]}) are taken. What leaves there is first seen at the ceiling "
            "below."
        )

"""What was taken of a floor that nobody told: its relief, film, soak and joints, and where parts leak."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from dewpond.floor.storey import USUAL_CELL, Storey
from dewpond.floor.wetting import CAP, FAST, RATE
from dewpond.report.views.shown import Shown, about, count, joined, plain, sentence
from dewpond.study.floors import Asked, Looked

FITTED = ("water tube", "laser", "batten", "phone", "cup")  # readings that every floor fits
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
        "Reckoned is water that comes slowly and spreads as a film, which is right to about 1 L/min on a floor with "
        "some relief; what runs downhill is taken as one cell wide and may pass a probe by."
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
    aside = _not_counted(looked.storey)
    if aside:
        yield aside
    yield from _grounds(looked, shown)
    yield from _borrowed(looked)
    yield from _joints(looked.storey)
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
    """A warning; empty below the limit."""
    if asked.rate <= FAST:
        return ""
    return (
        f"A leak of {shown.flow(asked.rate)} is faster than what is reckoned here, about {shown.flow(FAST)}: its water "
        "runs ahead. How much floor gets wet still holds, where that lies does not."
    )


def _relief(looked: Looked) -> str:
    fitted, plans = looked.fitted, looked.storey.plans
    words = joined([f"{plan.place} as one that is “{plan.flatness}”" for plan in plans])
    if not fitted.read:
        return (
            f"Nothing was read of this floor: it is taken by its flatness alone, {words} (our prior, DIN 18202 or ACI "
            "117 second-hand, see `dewpond sources`), and may be half as rough or half as rough again."
        )
    return (
        f"{count(fitted.read, 'reading')} of height and slope {'is' if fitted.read == 1 else 'are'} fitted by every "
        f"floor, each to within its own error. Between them the floor is taken by its flatness, {words} (our prior)."
    )


def _not_counted(storey: Storey) -> str:
    left = [read for plan in storey.plans for read in plan.readings if read.by not in FITTED]
    if not left:
        return ""
    lines = joined([str(read.line) for read in left])
    return f"Not counted yet: {count(len(left), 'reading')} by {joined(sorted({r.by for r in left}))} (line {lines})."


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
        if site.like:
            groups.setdefault((site.like, site.place), []).append(site.part)
    for (like, place), parts in groups.items():
        them = "it is" if len(parts) == 1 else "they are"
        where = f"at {like}" if like == "the middle of the floor" else f"where {like} may"
        yield sentence(f"no spot in {place} is given for {joined(parts)}: {them} taken to leak {where}")


def _joints(storey: Storey) -> Iterator[str]:
    open_ = [way for way in storey.ways_out if way.takes is None]
    if open_:
        names = joined(sorted({f"{way.by} of {way.place}" for way in open_}))
        yield (
            f"What the {names} {'takes' if len(open_) == 1 else 'take'} nobody knows: nothing, {plain(0.2)} L/min and "
            "all that comes are taken in turn, each on a third of the floors. What leaves there is first seen at the "
            "ceiling below."
        )

"""Does a vessel run dry with nobody told, and does what brings that about also silence who should be told?

A vessel may fall for any reason, or only because a fault has shut its feed. Nothing that has begun in the logic
is still to end when the question is put: what has not told by then never will. Somebody
hears each message that arrives. No water lies anywhere, none runs that is metered, and what it carries stays as it is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.plant import Plant
from dewpond.proof.draft import Draft
from dewpond.proof.machine import Machine, Span
from dewpond.proof.questions.dosing import FALLS, GIVES, Dose, doses, evaporates, ordinary
from dewpond.proof.questions.water import feeds
from dewpond.proof.signals import by_hand, by_the_clock, calls, order_of


class Dry(NamedTuple):
    """A vessel that must not run dry: its store, the word of the tally, whom it concerns, and its lowest mark [m]."""

    store: int
    word: str
    name: str
    mark: float


def dries(plant: Plant) -> Iterator[Dry]:
    """Every vessel of which something is counted when it is empty; its highest such mark."""
    a = plant.arrays
    found: dict[tuple[int, str, str], float] = {}
    for word, pairs in plant.tallies.items():
        for signal, name in pairs:
            for store, mark in _marks_below(plant, signal):
                if plant.stores[store] == name or a.store_body[store] == a.store_body[plant.stores.index(name)]:
                    key = store, word, name
                    found[key] = max(mark, found.get(key, 0.0))
    for (store, word, name), mark in sorted(found.items()):
        yield Dry(store, word, name, mark)


def _marks_below(plant: Plant, signal: int) -> Iterator[tuple[int, float]]:
    """The levels below which a signal becomes true, of those that it hangs on."""
    a = plant.arrays
    todo, seen = [signal], set[int]()
    while todo:
        one = todo.pop()
        if one in seen:
            continue
        seen.add(one)
        if a.sig_op[one] == prim.L_THRESHOLD:
            k = int(a.sig_arg[one])
            if a.thr_kind[k] == prim.T_LEVEL:
                yield a.thr_ref[k], a.thr_off[k]
        ins = a.sig_in[a.sig_in_at[one] : a.sig_in_at[one + 1]]
        todo += [entry if entry >= 0 else -1 - entry for entry in ins]


def _day_s_most(plant: Plant) -> Iterator[int]:
    """The signals "so much has been given today"."""
    a = plant.arrays
    for signal, op in enumerate(a.sig_op):
        k = int(a.sig_arg[signal])
        if op == prim.L_THRESHOLD and a.thr_kind[k] == prim.T_COUNTER and a.cnt_edge[a.thr_ref[k]] >= 0:
            yield signal


def _lives(plant: Plant, store: int, low: float, high: float) -> Span:
    """How long a vessel takes at least to fall from one height [m] to another, by what evaporates from it and from
    those that its pumps fill, but for one run of each."""
    a = plant.arrays
    drawn = [dose for dose in doses(plant) if store in dose.sources]
    volume = volume_of(a, store, high) - volume_of(a, store, low) - sum(_run(plant, dose) for dose in drawn)
    fast = FALLS * sum(evaporates(plant, one) for one in {store, *(dose.store for dose in drawn)})
    return Span(max(volume, 0.0) / fast if fast > 0.0 else math.inf, math.inf)


def _run(plant: Plant, dose: Dose) -> float:
    """What an ordinary run of a pump brings at most [m3]: from where a level calls for it to where that is content."""
    a, bands = plant.arrays, ordinary(plant, dose)
    return max((volume_of(a, dose.store, high) - volume_of(a, dose.store, low) for low, high in bands), default=0.0)


def untold(plant: Plant, dry: Dry, any_cause: bool, timed: bool = False) -> tuple[Machine, int]:
    """The machine of a vessel and of all messages, with the question: it is dry, and no message has been sent.
    ``any_cause``: it may fall for any reason; else only while something that is no level keeps its feed shut.
    ``timed``: what is delayed takes its time."""
    d, empty, falls = _falling(plant, dry, any_cause)
    if timed:
        d.timed(GIVES * max((dose.flow for dose in doses(plant)), default=0.0), clocks=False)
        if not any_cause:
            down = partial(_lives, plant, dry.store)
            d.moves((prim.T_LEVEL, dry.store), rises=False, falls=falls, up=down, down=down)
    told = d.once(d.any(*(d.at(signal) for signal in calls(plant))))
    bad = d.all(empty, d.no(told), *d.calm())
    return d.machine(settled=told), bad


def late(plant: Plant, dry: Dry, harms: bool) -> tuple[Machine, int]:
    """The machine of a vessel and of all messages, with the question: it is dry because something that is no level
    keeps its feed shut, and nobody has been called; ``harms``: so long before that he could be there by then.

    Here all takes its time: the vessel falls by at most twice what evaporates from it and from those that its pumps
    fill, beside one run of each. Who is called is there by ``Called.within``; nobody travels."""
    d, empty, falls = _falling(plant, dry, any_cause=False)
    d.timed(GIVES * max((dose.flow for dose in doses(plant)), default=0.0), clocks=False)
    down = partial(_lives, plant, dry.store)
    d.moves((prim.T_LEVEL, dry.store), rises=False, falls=falls, up=down, down=down)
    told = [(d.once(d.any(*(d.at(s) for s in one.soon))), one.within) for one in plant.called if one.soon]
    called = d.any(*(d.lasting(once, within) if harms else once for once, within in told))
    bad = d.all(empty, d.no(called))
    return d.machine(settled=called), bad


def _falling(plant: Plant, dry: Dry, any_cause: bool) -> tuple[Draft, int, int | bool]:
    """The draft of a vessel and of what is told, the signal "it is dry", and the one while which it falls.

    What goes by the clock of the house may come at any moment, stay, or stay away: a vessel that may fall and never
    rises here would be dry with a clock that keeps its hours as well, only days later."""
    a = plant.arrays
    ways = feeds(plant, dry.store)
    gates = sorted(frozenset().union(*ways))
    orders = [order for order in (order_of(plant, gate) for gate in gates) if order >= 0]
    fixed = dict.fromkeys([*plant.rearms, *by_hand(plant)], False)
    for signal, op in enumerate(a.sig_op):
        if op == prim.L_THRESHOLD and a.thr_kind[int(a.sig_arg[signal])] in (prim.T_POOL, prim.T_POOL_SALT):
            fixed[signal] = False
    if not any_cause:  # what counts as a day's most would have filled it
        fixed |= dict.fromkeys(_day_s_most(plant), False)
    d = Draft(plant, [*calls(plant), *([] if any_cause else orders)], fixed, by_the_clock(plant))
    empty = d.no(d.above((prim.T_LEVEL, dry.store), dry.mark, dry.mark))
    falls: int | bool = True
    if not any_cause:
        fed = d.any(*(d.all(*(d.gate(gate) for gate in sorted(way))) for way in sorted(ways, key=sorted)))
        falls = d.no(fed)
    d.still((prim.T_LEVEL, prim.T_FLOW, prim.T_CONC))
    d.moves((prim.T_LEVEL, dry.store), rises=False, falls=falls)
    return d, empty, falls

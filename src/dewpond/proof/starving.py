"""Does a vessel run dry with nobody told, and does what brings that about also silence who should be told?

A vessel may fall for any reason, or only because a fault has shut its feed. Nothing that has begun in the logic
is still to end when the question is put: what has not told by then never will. Somebody
hears each message that arrives.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant
from dewpond.proof.dosing import GIVES, doses
from dewpond.proof.draft import Draft, by_hand, order_of
from dewpond.proof.machine import Machine
from dewpond.proof.tables import ALWAYS, NEVER
from dewpond.proof.water import feeds


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


def untold(plant: Plant, dry: Dry, any_cause: bool, timed: bool = False) -> tuple[Machine, int]:
    """The machine of a vessel and of all messages, with the question: it is dry, and no message has been sent.
    ``any_cause``: it may fall for any reason; else only while something that is no level keeps its feed shut.
    ``timed``: what is delayed takes its time."""
    a = plant.arrays
    ways = feeds(plant, dry.store)
    gates = sorted(frozenset().union(*ways))
    orders = [order for order in (order_of(plant, gate) for gate in gates) if order >= 0]
    fixed = dict.fromkeys([*plant.rearms, *by_hand(plant)], False)
    for signal, op in enumerate(a.sig_op):
        if op == prim.L_THRESHOLD and a.thr_kind[int(a.sig_arg[signal])] in (prim.T_POOL, prim.T_POOL_SALT):
            fixed[signal] = False
    d = Draft(plant, [*plant.messages, *([] if any_cause else orders)], fixed)
    what = (prim.T_LEVEL, dry.store)
    empty = d.no(d.above(what, dry.mark, dry.mark))
    falls = ALWAYS
    if not any_cause:
        fed = d.any(*(d.all(*(d.gate(gate) for gate in sorted(way))) for way in sorted(ways, key=sorted)))
        falls = d.no(fed)
    for store in range(len(a.store_z)):
        d.moves((prim.T_LEVEL, store), rises=NEVER, falls=falls if store == dry.store else NEVER)
    if timed:
        d.timed(GIVES * max((dose.flow for dose in doses(plant)), default=0.0))
    sent = d.once(d.any(*(d.at(signal) for signal in plant.messages)))
    bad = d.all(empty, d.no(sent), *d.calm())
    return d.machine(), bad

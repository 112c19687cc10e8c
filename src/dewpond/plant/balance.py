"""Where the water of a run came from and where it is at the end; how pure the product of the membranes was."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from dewpond.physics.membrane import STANDSTILL_VOLUME, batch_concentration
from dewpond.plant import primitives as prim
from dewpond.plant.on_floor import onward
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.plant.upstream import upstream

LEAST_PRODUCT = 1e-5  # less product says nothing of its purity [m3]


class Balance(NamedTuple):
    """Volumes [m3]; supply + poured + before = after + to_drain + off_floors + lying + dried + evaporated.

    poured: by hand, less what a hand took out; before, after: in vessels and in what stands under pressure; to_drain:
    without ever lying in a place; off_floors: what went from places into a drain; lying: in places at the end; dried:
    from places; evaporated: from vessels.
    """

    supply: float
    before: float
    after: float
    to_drain: float
    off_floors: float
    lying: float
    dried: float
    evaporated: float
    poured: float = 0.0


class Product(NamedTuple):
    """What a membrane made in a run.

    volume [m3]; starts: after a standstill, see ``starts``; feed, steady [kg/m3]: dissolved matter of the
    water before it, and of its product in a long run; followed: something behind it takes dissolved matter out.
    sound [kg/m3]: its steady product without the faults of the run, 0 if that is the same; spent: parts that take
    nothing out any more, by a fault. turned, opened: what the starts are made of, see ``starts``.
    """

    membrane: str
    volume: float
    starts: float
    feed: float
    steady: float
    followed: bool
    sound: float = 0.0
    spent: tuple[str, ...] = ()
    turned: float = 0.0
    opened: float = 0.0

    @property
    def stood(self) -> bool:
        """Whether more product was made between two starts than can stand: else the membrane never stood still."""
        return self.volume > self.starts * STANDSTILL_VOLUME[1]

    def mean(self, slug: float = STANDSTILL_VOLUME[1]) -> float:
        """Dissolved matter of all its product [kg/m3], with ``slug`` [m3] of feed strength for every start."""
        if self.volume < LEAST_PRODUCT:
            return self.steady
        return batch_concentration(self.volume, self.starts, slug, self.feed, self.steady)


def starts(turned: float, opened: float, made: float) -> float:
    """How often a membrane starts after a standstill while it makes so much [m3].

    turned: how often its shut-off opened; opened: how often its feed was opened after it had been shut. Whoever opens
    the feed may find the shut-off shut as well, so the larger of both, which is the least that it can be. An opening
    that makes less than what stands behind the membrane sends no slug of its own.
    """
    return max(turned, min(opened, made // STANDSTILL_VOLUME[1]))


def _openings(plant: Plant, trace: Trace, edge: int) -> float:
    """How often the feed of a membrane opened after it had been shut: of valves in a row, that which did most often."""
    a = plant.arrays
    gates = {a.edge_gate[one] for one in upstream(plant, edge)}
    by = {a.gate_ref[gate] for gate in gates if gate >= 0 and a.gate_kind[gate] == prim.G_SIGNAL}
    seen = max((sum(e.value > 0.0 for e in trace.alike.get((prim.E_SIGNAL, one), ())) for one in by), default=0)
    return seen * max(trace.end / trace.listed_until, 1.0)


def balance(plant: Plant, trace: Trace) -> Balance:
    """Where the water of a run came from and went to."""
    a = plant.arrays
    off_floors = sum(
        taken + (over if kind == prim.R_DRAIN else 0.0)
        for over, taken, kind in zip(
            trace.place_over, trace.place_taken, onward(plant, trace.scenario.lying).kinds, strict=True
        )
    )
    rest = a.const[0] * a.const[1]
    pressed = sum(
        a.node_value[n] * (trace.spring[n] - rest * a.node_z[n])
        for n, kind in enumerate(a.node_kind)
        if kind == prim.SPRING
    )
    by_hand = {n for n, kind in enumerate(a.node_kind) if kind == prim.FIXED and a.node_value[n] <= 0.0}
    poured = sum(
        moved * ((one in by_hand) - (other in by_hand))
        for moved, one, other in zip(trace.moved, a.edge_a, a.edge_b, strict=True)
    )
    return Balance(
        supply=trace.total[prim.V_SUPPLY] - poured,
        poured=poured,
        before=sum(a.store_start),
        after=sum(trace.volume) + pressed,
        to_drain=max(trace.total[prim.V_DRAIN] - off_floors, 0.0),
        off_floors=off_floors,
        lying=sum(trace.pool),
        dried=trace.total[prim.V_DRIED],
        evaporated=trace.total[prim.V_AIR],
    )


def stages(plant: Plant) -> Mapping[int, int]:
    """Product edge of a membrane -> that of the one whose product it is fed with, also out of a vessel."""
    a = plant.arrays
    edges = {edge for _, edge in plant.membranes}
    beside: dict[int, set[int]] = {}
    for e, (one, other) in enumerate(zip(a.edge_a, a.edge_b, strict=True)):
        if e not in edges:
            beside.setdefault(one, set()).add(other)
            beside.setdefault(other, set()).add(one)
    held: dict[int, set[int]] = {}
    for node, (kind, store) in enumerate(zip(a.node_kind, a.node_ref, strict=True)):
        if kind in (prim.TAP, prim.SPOUT):
            held.setdefault(store, set()).add(node)
    for nodes in held.values():
        for node in nodes:
            beside.setdefault(node, set()).update(nodes)
    found: dict[int, int] = {}
    for edge in edges:
        todo, seen = [a.edge_b[edge]], {a.edge_a[edge], a.edge_b[edge]}
        while todo:
            new = beside.get(todo.pop(), set()) - seen
            seen |= new
            todo += new
        found |= {other: edge for other in edges - {edge} if a.edge_a[other] in seen - {a.edge_a[edge]}}
    return found


def products(plant: Plant, trace: Trace) -> tuple[Product, ...]:
    """What each membrane made. One that is fed with the product of another has that as it is in a long run."""
    a = plant.arrays
    under_pressure = [n for n, kind in enumerate(a.node_kind) if kind == prim.FIXED and a.node_value[n] > 0.0]
    supplied = a.node_conc[under_pressure[0]] if under_pressure else 0.0
    patches = [patch for onset in trace.scenario.onsets for patch in plant.fault(onset.label).patches]
    passes = {number: value for what, number, value in patches if what == "passage"}
    made_by = {edge for _, edge in plant.membranes}
    spent = tuple(plant.parts[a.edge_owner[e]] for e in passes if e not in made_by and a.edge_pass[e] < passes[e])
    before, made_of = plant.once("stages", lambda: stages(plant)), dict[int, Product]()
    for name, edge in sorted(plant.membranes, key=lambda one: _stage(one[1], before)):
        ahead = made_of.get(before.get(edge, -1))  # of two that feed each other the first has the supply's
        feed = supplied if ahead is None else ahead.steady
        node, share = a.edge_a[edge], passes.get(edge, a.edge_pass[edge])
        fed = sum(m for m, end in zip(trace.moved, a.edge_b, strict=True) if end == node and m > 0.0)
        made = max(trace.moved[edge], 0.0)
        strength = feed * fed / (fed - made * (1.0 - share)) if fed > 0.0 else feed
        turned = sum(
            trace.starts[gate]
            for gate in a.isl_gate
            if gate >= 0 and any(g == gate and end == node for g, end in zip(a.edge_gate, a.edge_b, strict=True))
        )
        takes = any(
            passes.get(e, part) < 1.0 and law not in (prim.MEMBRANE, prim.FLOW)
            for e, (part, law) in enumerate(zip(a.edge_pass, a.edge_law, strict=True))
        )
        sound = a.edge_pass[edge] * strength if edge in passes else 0.0
        opened = _openings(plant, trace, edge)
        often = starts(turned, opened, made)
        made_of[edge] = Product(name, made, often, feed, share * strength, takes, sound, spent, turned, opened)
    return tuple(made_of[edge] for _, edge in plant.membranes)


def _stage(edge: int, before: Mapping[int, int]) -> int:
    """How many membranes its water has come through."""
    passed = [edge]
    while passed[-1] in before and before[passed[-1]] not in passed:
        passed.append(before[passed[-1]])
    return len(passed)

"""Which faults a run would have met: had they stood, something in it would have gone otherwise.

A part is asked when its state was consulted where another state would have acted differently. So each hidden fault of
the plant is held against the run: water through what it narrows, an opening that it would have held, a signal that it
would have turned - and then whether that turn could have passed on through the logic to a valve, a pump, a message.
Where this cannot tell it says yes: too much costs a run more, too little would be a mistake.
"""

from __future__ import annotations

from dewpond.plant import primitives as prim
from dewpond.plant.kernel.marks import BOTH, FALSE, TRUE
from dewpond.plant.plant import Plant, PlantFault
from dewpond.plant.trace import Trace

NO_WATER = 1e-9  # a thousandth of a millilitre: what the solver lets by where nothing flows [m3]


def asked(plant: Plant, trace: Trace) -> tuple[str, ...]:
    """Parts that acted or changed in the run, or one of whose hidden faults it would have met; in the plant's order."""
    found = {name for name, acted in zip(plant.parts, trace.asked, strict=True) if acted}
    hidden = (f for f in plant.faults if f.timing == "latent" and f.part not in found)
    found |= {fault.part for fault in hidden if meets(plant, trace, fault)}
    return tuple(name for name in plant.parts if name in found)


def idle(plant: Plant, trace: Trace) -> frozenset[str]:
    """Labels of the hidden faults that the run would not have met, and of those whose moment did not come in it: with
    one of them it is the same run, to the byte."""
    hidden = (f.label for f in plant.faults if f.timing == "latent" and not meets(plant, trace, f, 0.0))
    waiting = (f.label for f in plant.faults if f.timing == "triggered" and not _turned_true(trace, f.trigger))
    return frozenset([*hidden, *waiting])


def meets(plant: Plant, trace: Trace, fault: PlantFault, counts: float = NO_WATER) -> bool:
    """True if the run could have gone otherwise with the fault standing from its first moment; for a fault that did
    stand in it, if it could have gone otherwise without. ``counts``: water up to there is none [m3]; at 0, what the
    solver lets by where nothing flows is water too, for it moves the last digits."""
    stood = any(onset.label == fault.label for onset in trace.scenario.onsets)
    if stood and fault.timing == "latent" and {"low", "high"} <= {what for what, _, _ in fault.patches}:
        # the water takes another way into the same vessel: what matters is whether it came back by that
        return any(_came_back(plant, trace, number, counts) for what, number, _ in fault.patches if what == "low")
    return any(_met(plant, trace, stood, counts, *patch) for patch in fault.patches)


def _met(plant: Plant, trace: Trace, stood: bool, counts: float, what: str, number: int, value: float) -> bool:
    if what == "force":
        return trace.meant[number] != (TRUE if value else FALSE) and _passes_on(plant, trace, number)
    edges = [edge for edge, gate in enumerate(plant.arrays.edge_gate) if gate == number and what in ("low", "high")]
    through = any(abs(trace.moved[edge]) > counts for edge in edges)
    if what == "low":  # an opening that it held, and through which nothing ran, moved nothing
        if stood and edges and all(_beside_a_check(plant, edge) for edge in edges):
            through = _came_back(plant, trace, number, counts)
        return trace.least[number] < value and (through or not stood)
    if what == "high":
        return trace.most[number] > value and (through or (stood and trace.driven[number] > 0))
    if what in ("scale", "passage"):
        return abs(trace.moved[number]) > counts
    return what != "holds" or trace.place_total[number] > 0.0


def _came_back(plant: Plant, trace: Trace, gate: int, counts: float) -> bool:
    """Whether more water ran back through a gate than forth."""
    return any(trace.moved[edge] < -counts for edge, own in enumerate(plant.arrays.edge_gate) if own == gate)


def _beside_a_check(plant: Plant, edge: int) -> bool:
    """Whether water runs forth beside this edge in any case, by a check valve with the same ends."""
    a = plant.arrays
    ends = a.edge_a[edge], a.edge_b[edge]
    return any(law == prim.CHECK and (a.edge_a[e], a.edge_b[e]) == ends for e, law in enumerate(a.edge_law))


def _turned_true(trace: Trace, signal: int) -> bool:
    """Whether a signal came true that had not been so all along."""
    return trace.seen[signal] == BOTH or (trace.seen[signal] == TRUE and not trace.ordinary[signal])


def _passes_on(plant: Plant, trace: Trace, first: int) -> bool:
    """Whether a signal that differs could make anything differ that acts or is told."""
    turned = {first}
    waiting = [first]
    while waiting:
        signal = waiting.pop()
        if signal in plant.acting:
            return True
        for reader in plant.readers.get(signal, ()):
            if reader not in turned and _turns(plant, trace, reader, turned):
                turned.add(reader)
                waiting.append(reader)
    return False


def _turns(plant: Plant, trace: Trace, signal: int, turned: set[int]) -> bool:
    """Whether a signal could have been otherwise if all of ``turned`` had been."""
    a = plant.arrays
    ins = a.sig_in[a.sig_in_at[signal] : a.sig_in_at[signal + 1]]
    if a.sig_op[signal] == prim.L_VOTE:
        others = [_seen(trace, k) for k in ins if _number(k) not in turned]
        fewest = sum(seen == TRUE for seen in others)
        most = sum(seen != FALSE for seen in others)
        need = a.sig_arg[signal]
        return fewest < need <= most + len(ins) - len(others)
    own = trace.seen[signal]
    if a.sig_op[signal] == prim.L_LATCH:
        sets, _, forgets = ins
        if _number(sets) in turned:
            return _seen(trace, forgets) != TRUE
        return own != FALSE or _seen(trace, sets) != FALSE
    if a.sig_op[signal] == prim.L_HOLD:
        source = ins[0]
        if _number(source) in turned:
            return True
        return own == BOTH or _seen(trace, source) != own
    return True


def _number(entry: int) -> int:
    """The signal of an input, which may be negated."""
    return entry if entry >= 0 else -1 - entry


def _seen(trace: Trace, entry: int) -> int:
    """What an input was seen to be, negation counted in."""
    seen = trace.seen[_number(entry)]
    return seen if entry >= 0 or seen == BOTH else BOTH - seen

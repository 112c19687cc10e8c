"""What stands in the way of a story that ends badly, and why it did not act: found from the plant, never guessed.

Figures stand in the texts as ``parts.base.amount`` has them.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from dewpond.parts.base import amount
from dewpond.plant import primitives as prim
from dewpond.plant.feeding import spot
from dewpond.plant.plant import PlantFault
from dewpond.proof.cures.edits import Matter, fills, marks_in, room
from dewpond.proof.cures.of_layers import HIGH
from dewpond.proof.draft import FORCING
from dewpond.proof.questions.dosing import GIVES, Dose
from dewpond.proof.questions.flooding import before
from dewpond.proof.questions.layers import Layer, causes_of, layers, pools_of
from dewpond.proof.questions.water import Spill, onward
from dewpond.proof.signals import hanging_on, order_of
from dewpond.proof.tables import BEGUN
from dewpond.proof.verdicts import ALONE

OF_WATER: Final = ("IL-04", "IL-05", "IL-06", "IL-14")
DRAWN: Final = (prim.PUMP, prim.FLOW)
BEHIND: Final = "stands behind the leak"
SIPHONED: Final = "water may be siphoned through it while it stands still (no heights are looked at)"


def stopped_by(m: Matter) -> tuple[str, ...]:
    """For water that runs on, and for a vessel that is filled too high; nothing for other rules."""
    spill = m.spill() if m.verdict.rule in OF_WATER else None
    if spill is not None and m.case.breach is not None:
        return tuple(_of_water(m, spill))
    dose = m.dose() if m.verdict.bears else None
    return tuple(_of_dose(m, dose)) if dose is not None else ()


def _begun(m: Matter) -> list[PlantFault]:
    """The faults that stand at the end of the first case."""
    machine, breach = m.case.machine, m.case.breach
    assert machine is not None
    assert breach is not None
    end = breach.way[-1][1] if breach.way else breach.start
    return [
        m.plant.fault(failing.labels[0])
        for failing, state in zip(machine.faults, end.faults, strict=True)
        if state == BEGUN
    ]


# -- water -------------------------------------------------------------------------------------------------------------
def _of_water(m: Matter, spill: Spill) -> Iterator[str]:
    """Each valve that shuts by itself, in the order of the file, with its reason."""
    ahead = before(m.plant, spill)
    asked = m.verdict.claimed
    found = [one for one in layers(m.plant) if one.ends_water and (not asked or one.part in asked)]
    order = {part.name: number for number, part in enumerate(m.design.parts)}
    for name in sorted({layer.part for layer in found}, key=lambda part: order[part]):
        mine = [layer for layer in found if layer.part == name]
        if reasons := [why for layer in mine if layer in ahead if (why := _why(m, spill, layer))]:
            yield f"{name}: {' and '.join(dict.fromkeys(reasons))}"
        elif not any(layer in ahead for layer in mine) and (name in asked or not _pumps(m, mine[0].gate)):
            yield f"{name}: {_not_ahead(m, spill, mine[0])}"


def never_stops(m: Matter, spill: Spill, name: str) -> str:
    """Why a part does not stop this water even when nothing else fails; empty where that does not show."""
    mine = [layer for layer in layers(m.plant) if layer.ends_water and layer.part == name]
    ahead = before(m.plant, spill)
    if mine and not any(layer in ahead for layer in mine):
        return _not_ahead(m, spill, mine[0])
    reasons = [_unseen(m, spill, layer) for layer in mine if layer in ahead]
    return " and ".join(dict.fromkeys(reasons)) if all(reasons) else ""


def _pumps(m: Matter, gate: int) -> bool:
    a = m.plant.arrays
    return any(a.edge_law[edge] in DRAWN for edge, own in enumerate(a.edge_gate) if own == gate)


def _not_ahead(m: Matter, spill: Spill, layer: Layer) -> str:
    """Where a valve stands that is not on each way to a leak."""
    if layer.gate in spill.gates:
        return "water comes to the leak by another way as well"
    a = m.plant.arrays
    leak = [spot(m.plant, a.edge_a[edge]) for edge, own in enumerate(a.edge_gate) if own == spill.gate]
    own_edges = [edge for edge, own in enumerate(a.edge_gate) if own == layer.gate]
    if _pumps(m, layer.gate):
        feeds = _behind(m, [spot(m.plant, a.edge_b[edge]) for edge in own_edges])
        return SIPHONED if feeds & set(leak) else "does not stand before the leak"
    inlets = {spot(m.plant, a.edge_a[edge]) for edge in own_edges}
    return BEHIND if inlets & _behind(m, leak) else "does not stand before the leak"


def _behind(m: Matter, todo: list[int]) -> set[int]:
    """The spots to which water goes on from these, with them."""
    a, seen = m.plant.arrays, set[int]()
    while todo:
        here = todo.pop()
        if here not in seen:
            seen.add(here)
            starts = (edge for edge, start in enumerate(a.edge_a) if spot(m.plant, start) == here)
            todo = [*todo, *(spot(m.plant, a.edge_b[edge]) for edge in starts)]
    return seen


def _why(m: Matter, spill: Spill, layer: Layer) -> str:
    """Why a layer before a leak did not stop its water; empty where that does not show."""
    begun, order = _begun(m), order_of(m.plant, layer.gate)
    for fault in begun:
        if any(what == "low" and number == layer.gate and value > FORCING for what, number, value in fault.patches):
            return f"held open by the fault “{fault.label}”"
    return _unseen(m, spill, layer) or _by_fault(m, begun, set(causes_of(m.plant, layer.trip, order)), order)


def _unseen(m: Matter, spill: Spill, layer: Layer) -> str:
    """Why what trips a layer never finds this water; empty where it does."""
    causes = causes_of(m.plant, layer.trip, order_of(m.plant, layer.gate))
    pools = [place for _, place in pools_of(m.plant, causes)]
    wet = [place for place in onward(m.plant, spill.place) if place in pools]
    own = "its probe" if len(pools) == 1 else "its probes"
    if layer.counted and not set(layer.counted) & spill.counted:
        return "so little runs through it that it counts nothing"
    if pools and not wet:
        lie = ", ".join(m.plant.places[place].name for place in pools)
        return f"no water comes to {own} ({'lying in' if len(pools) == 1 else 'they lie in'} {lie})"
    lying, blind = _probes_in(m, causes, wet)
    if lying and lying == blind and not spill.salty:
        names = sorted(lying - {layer.part})
        whose = "its probe" if not names else names[0] if len(names) == 1 else f"each of {', '.join(names)}"
        return f"{whose} lies in this water and does not see it when it is purified, or nobody has tried"
    return ""


def _probes_in(m: Matter, causes: tuple[int, ...], wet: list[int]) -> tuple[set[str], set[str]]:
    """The parts whose probes lie in places, of those that a trip hangs on, and which of them see no purified water."""
    a = m.plant.arrays
    kinds: dict[str, set[int]] = {}
    for signal in causes:
        k, owner = int(a.sig_arg[signal]), a.sig_owner[signal]
        of_pool = a.sig_op[signal] == prim.L_THRESHOLD and a.thr_kind[k] in (prim.T_POOL, prim.T_POOL_SALT)
        if of_pool and a.thr_ref[k] in wet and owner >= 0:
            kinds.setdefault(m.plant.parts[owner], set()).add(a.thr_kind[k])
    return set(kinds), {name for name, own in kinds.items() if prim.T_POOL_SALT in own}


def _by_fault(m: Matter, begun: list[PlantFault], causes: set[int], order: int) -> str:
    """The fault of the case that a trip hangs on, or what carries its order; empty where none does."""
    carried = set(hanging_on(m.plant, [order])) - causes
    for where, words in (
        (causes, "is not told, because of the fault"),
        (carried, "is told and cannot act, because of the fault"),
    ):
        for fault in begun:
            if any(what == "force" and number in where for what, number, _ in fault.patches):
                return f"{words} “{fault.label}”"
    return ""


# -- vessels -----------------------------------------------------------------------------------------------------------
def _of_dose(m: Matter, dose: Dose) -> Iterator[str]:
    """What stops the pumps of a vessel at a level, and what limits their runs, beside what it bears."""
    found = [layer for layer in layers(m.plant) if layer.gate in dose.gates and not layer.by_water]
    bears = amount(dose.bears, "height", 3)
    high = 0
    for layer in found if m.verdict.setting != ALONE else ():
        causes = causes_of(m.plant, layer.trip, order_of(m.plant, layer.gate))
        marks = {on: owner for owner, on, _ in marks_in(m, dose.store, causes) if m.design.part(owner).get(HIGH)}
        if not marks:
            continue
        high += 1
        mark, box = min(marks), m.plant.parts[m.plant.arrays.sig_owner[layer.trip]]
        stops = f"{box}, by {marks[mark]}: it stops the pump at {amount(mark, 'height', 3)}"
        if mark > dose.bears:
            yield f"{stops}, and the vessel bears no more than {bears}"
        else:
            why = _by_fault(m, _begun(m), set(causes), order_of(m.plant, layer.gate))
            yield f"{stops}{f', but {why}' if why else ''}"
    if not high and m.verdict.setting != ALONE:
        yield "no switch for high water stops the pump"
    whole = room(m, dose) / (GIVES * dose.flow)
    takes = f"the vessel bears {amount(whole, 'duration', 3)} of pumping"
    for row in fills(m, dose):
        box = row.by or next(str(m.design.part(part).get("driven by")) for part, _ in row.effects)
        if row.at_most is None:
            yield f"{box}: no longest run is set (`at most`), and {takes}"
            continue
        past = [fault.label for fault in _begun(m) if fault.part in {box, *(part for part, _ in row.effects)}]
        runs = int(whole / row.at_most)
        borne = f": no more than {runs} such run{'s' if runs > 1 else ''}" if runs else ""
        heeds = f"; “{past[0]}” does not heed that" if past else ""
        yield f"{box}: it ends a run after {amount(row.at_most, 'duration', 3)}, and {takes}{borne}{heeds}"

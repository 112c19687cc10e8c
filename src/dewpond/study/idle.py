"""Hidden faults that a run would not have noticed: nothing that they change was used in it.

From these the outcome of a pair may be copied. Saying too little here costs a run; saying too much would be a mistake.
"""

from __future__ import annotations

from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant, PlantFault
from dewpond.plant.trace import Trace


def idle(plant: Plant, trace: Trace) -> frozenset[str]:
    """Labels of hidden faults whose part was not asked in the run and whose patches meet nothing in it.

    That is not enough for a copy: the fault must also change nothing when it stands alone.
    """
    asked = {name for name, was in zip(plant.parts, trace.asked, strict=True) if was}
    return frozenset(
        fault.label
        for fault in plant.faults
        if fault.timing == "latent" and fault.part not in asked and _meets_nothing(plant, trace, fault)
    )


def _meets_nothing(plant: Plant, trace: Trace, fault: PlantFault) -> bool:
    return all(_is_met_by_nothing(plant, trace, what, number) for what, number, _ in fault.patches)


def _is_met_by_nothing(plant: Plant, trace: Trace, what: str, number: int) -> bool:
    """True if the patch of that primitive would not have changed this run."""
    a = plant.arrays
    if what == "force":
        return True  # a signal of a part that was not asked never changed
    if what == "low":
        # Keeping a gate open changes nothing where an order holds it open; one that follows water may be holding it.
        return a.gate_kind[number] == prim.G_SIGNAL and trace.signal[a.gate_ref[number]] == 1
    if what == "high":
        return not any(trace.moved[edge] for edge, gate in enumerate(a.edge_gate) if gate == number)
    if what in ("scale", "passage"):
        return trace.moved[number] == 0.0
    return what == "holds" and trace.place_total[number] == 0.0

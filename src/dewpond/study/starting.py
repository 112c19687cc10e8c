"""How full the vessels are when a run begins: as the file says, just filled, about to call, or after a long power cut.

What fills and what falls is seen in some ordinary days of the plant itself. Matter that is dissolved stays where it is:
a sump that lacks a few litres of fresh water is that much saltier.
"""

from __future__ import annotations

import itertools
from dataclasses import replace

from dewpond.design.checks_top_off import CUT
from dewpond.design.model import Design
from dewpond.plant import engine
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, NEVER, STARTS, Onset, Plant, PlantFault, Scenario
from dewpond.plant.primitives import L_TIMETABLE
from dewpond.study.ordinary import NOBODY, ordinary

AS_WRITTEN, JUST_FILLED, ABOUT_TO_CALL = "as the file says", "just filled", "about to call"
AFTER_A_CUT = "after a long power cut"
WAYS = (AS_WRITTEN, JUST_FILLED, ABOUT_TO_CALL, AFTER_A_CUT)
ORDINARY = 4.0 * DAY  # in so long everything is filled that is filled in turns [s]; our prior
BACK = 1.0  # the power comes back so long after the start of a run [s]
FILLED = 1e-5  # a vessel that gains so much between two rows is being filled [m3]
ROWS = 20_000


def begin(design: Design, season: str, start: str = AS_WRITTEN) -> Plant:
    """The plant of a design as it stands at the start of its runs. ``start``: one of WAYS."""
    plant = lower(design, season)
    if start == AS_WRITTEN:
        return plant
    if start == AFTER_A_CUT:
        return _without_power(plant)
    return _at(plant, _turning(plant, highest=start == JUST_FILLED))


def _at(plant: Plant, volumes: list[float]) -> Plant:
    """The plant with so much in its vessels [m3], and in each body of water the dissolved matter that it had."""
    a = plant.arrays
    conc = list(a.body_start)
    for body in range(len(conc)):
        before, now = (
            sum(v for v, own in zip(held, a.store_body, strict=True) if own == body)
            for held in (a.store_start, volumes)
        )
        conc[body] *= before / now if now > 0.0 else 1.0
    return replace(plant, arrays=a._replace(store_start=volumes, body_start=conc))


def _turning(plant: Plant, highest: bool) -> list[float]:
    """Volumes [m3] of vessels that are filled in turns when they are fullest, or emptiest; of the others as written."""
    a = plant.arrays
    trace = engine.run(plant, ordinary(plant, ORDINARY), rows=ROWS, compiled=None)
    found = list(a.store_start)
    for store in range(len(found)):
        course = [volume_of(a, store, row[store]) for row in trace.row_value]
        gains = [later - earlier for earlier, later in itertools.pairwise(course)]
        last = max((k for k, gain in enumerate(gains) if gain > FILLED), default=-1)
        if last >= 0:  # what only falls from there on is on its way to no fill that was seen
            found[store] = max(course) if highest else min(course[: last + 1])
    return found


def _without_power(plant: Plant) -> Plant:
    """The plant after a night in which every circuit was dead; the power comes back at once."""
    cut = PlantFault(
        "every circuit cut", "", "", "", "event", "", NEVER, 0.0, tuple(("force", c, 0.0) for c in plant.circuits)
    )
    dark = replace(plant, faults=(cut,))
    trace = engine.run(dark, Scenario(NOBODY, CUT, (Onset(cut.label, 0.0),), STARTS[NOBODY]), compiled=None)
    a, back = _at(plant, list(trace.volume)).arrays, _fed_from_outside(plant)
    start = [0 if signal in back else value for signal, value in enumerate(a.sig_start)]
    laid = a._replace(sig_start=start, tt_time=[BACK] * len(back), tt_sig=list(back), tt_value=[1] * len(back))
    return replace(plant, arrays=laid)


def _fed_from_outside(plant: Plant) -> list[int]:
    """Circuits that no other part of the house feeds."""
    return [c for c in plant.circuits if plant.arrays.sig_op[c] == L_TIMETABLE]

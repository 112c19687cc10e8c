"""Floors on which a probe is reached just before, at, or just after its place holds no more: every run comes to its end
in few steps, no water is lost or made, and what is reached with the way out is reached.

The litres are written by hand or drawn by lot round what each place holds; one test spills on a plan.
"""

from __future__ import annotations

import math
import random
from pathlib import Path

import numpy as np
import pytest

from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.balance import balance
from dewpond.plant.lower import lower
from dewpond.plant.on_floor import LEAST, on_floor
from dewpond.plant.plant import Lying, Plant
from dewpond.plant.trace import Trace
from dewpond.study.drills import Drill, usual
from dewpond.study.floors import Asked, look
from tests.floor import plans

LITRE = 1e-3
MOST = 20_000  # steps: three times as many as a fortnight of a weeping joint takes
BLOWS_OFF = "membrane: joint blows off, on its feed side"
LASTS = {"travelling": 14.0 * 86400.0, "at home": 86400.0}
SEEN = ", seen to work with purified water: 2026-11-02"
NEAR = (0.0, 1e-12, 1e-10, 1e-8, 1e-6, 1e-4, 0.01, 1.0)  # of what the place holds, off to either side
HOLDS = (0.0, 1e-7, 1e-6, 0.469e-3, 0.5e-3 * (1.0 - 1e-9), 0.5e-3, 1.0, math.inf)


def text_of(repository: Path, name: str, seen: bool) -> str:
    """A design; where its probes were not ``seen`` to work with purified water, it matters how strong the water is."""
    text = (repository / "examples" / name).read_text(encoding="utf-8")
    assert SEEN in text
    return text if seen else text.replace(SEEN, "")


@pytest.fixture(scope="module")
def teal(repository: Path) -> Plant:
    return lower(read_text(text_of(repository, "wet_floor.yaml", True), "wet_floor.yaml"))


def ran(plant: Plant, lying: Lying, who: str, *labels: str) -> Trace:
    """The run, to its end in few steps, without doubt and with all its water."""
    wanted = Drill(tuple(usual(plant.fault(one)) for one in labels), "", who, LASTS[who], lying=lying)
    trace = engine.run(plant, wanted.scenario, compiled=True, most_steps=MOST)
    assert (trace.end, trace.doubtful) == (LASTS[who], 0), wanted
    made = balance(plant, trace)
    came = made.supply + made.poured + made.before
    went = made.to_drain + made.off_floors + made.evaporated + made.dried + made.lying + made.after
    assert abs(came - went) < 1e-9 * max(1.0, came), wanted
    return trace


def by_lot(plant: Plant, lot: random.Random) -> Lying:
    """What each place holds, and what reaches each probe: mostly as much as its place holds, or next to it."""
    holds = {place.name: lot.choice([*HOLDS, 10.0 ** lot.uniform(-6.0, -1.0)]) for place in plant.places}
    wets = []
    for touch in plant.touches:
        near = holds[touch.place] * (1.0 + lot.choice((-1.0, 1.0)) * lot.choice(NEAR))
        wets.append((touch.part, touch.place, lot.choice([near, near, lot.choice(HOLDS)])))
    return Lying(tuple(sorted(wets)), tuple(sorted(holds.items())))


@pytest.mark.parametrize("holds", [0.46916e-3, 0.48083e-3, 0.4999e-3, 0.5e-3, 0.5001e-3])
@pytest.mark.parametrize("who", LASTS)
def test_a_room_that_holds_just_less_than_a_keeper_sees_does_not_break_a_run_up(
    teal: Plant, who: str, holds: float
) -> None:
    """Somebody sees half a litre. Where the drain took all but 0.469 L, each step was (0.5 - 0.469) L / 3.3 L/min =
    0.56 s, and the run was broken off after 1.1 days."""
    lying = Lying((("unit probe", "utility room", math.inf),), (("utility room", holds),))
    trace = ran(teal, lying, who, BLOWS_OFF)
    assert trace.steps < 1000
    assert trace.place_total[[place.name for place in teal.places].index("utility room")] > 100.0 * LITRE


def test_a_probe_just_past_the_brim_of_its_place_is_touched_by_the_first_drops_of_the_next(teal: Plant) -> None:
    """Once by 1e-14 m3 and, because less than that lies on a dry floor within rounding, by none at all."""
    number = {place.name: k for k, place in enumerate(teal.places)}
    mark = next(touch.threshold for touch in teal.touches if touch.part == "tray probe")
    for holds, beyond in ((LEAST, 1e-8), (LITRE, 1e-8), (LITRE, 1e-5), (LITRE, 0.01)):
        lying = Lying((("tray probe", "stand tray", holds * (1.0 + beyond)),), (("stand tray", holds),))
        a = on_floor(teal, lying)
        assert a.thr_ref[mark] == number["living room"]
        assert a.thr_on[mark] == pytest.approx(max(holds * beyond, LEAST))
        assert 0.0 < a.thr_off[mark] < 0.9 * a.thr_on[mark]
        trace = ran(teal, lying, "at home", "filters: clogged")
        assert max(trace.place_total) == 0.0


def test_a_probe_that_lies_in_the_drain_is_reached_when_the_drain_is_and_no_later() -> None:
    """The litres of cells are kept in single precision: those of ways out once were not, and on half of the floors the
    probe came by 5e-8 of them too late, which is never."""
    spots = plans.TWO_ROOMS.replace("      hall probe: 2.3 m x 1 m\n", "")
    spots = spots.replace(
        "tap: 0.3 m x 0.3 m", "tap: 0.3 m x 0.3 m\n      drain: 1 m x 1 m\n      hall probe: 1 m x 1 m"
    )
    house = plans.HOUSE.replace(
        "hall probe: {{kind: leak probe, in: hall", "hall probe: {{kind: leak probe, in: laundry"
    )
    design = read_text(house.format(floors=spots, laundry=", drain: drain", hall=""), "house.yaml")
    plant = lower(design)
    assert plant.arrays.place_next_kind[[place.name for place in plant.places].index("laundry")] == prim.R_DRAIN
    signal = next(touch.signal for touch in plant.touches if touch.part == "hall probe")
    found = 0
    for one in look(design, KINDS, Asked(0.05, 40)):
        table = one.table
        probe = [p.part for p in table.probes].index("hall probe")
        place = table.places.index("laundry")
        for site, (_, where) in enumerate(table.sites):
            litres, holds = table.litres[site, :, probe], table.holds[site, :, place]
            both = np.isfinite(litres) & np.isfinite(holds) & (where == "laundry")
            assert (litres[both] <= holds[both]).all()
            for wet, full in zip(litres[both], holds[both], strict=True):
                lying = Lying((("hall probe", "laundry", float(wet)),), (("laundry", float(full)),))
                found += 1
                trace = ran(plant, lying, "at home", "tap: joint blows off, behind the valve")
                assert trace.seen[signal] & 2
    assert found > 10


def swept(repository: Path, name: str, seen: bool, seed: int, runs: int) -> int:
    """Runs of faults by lot on floors by lot; the most steps of one."""
    plant = lower(read_text(text_of(repository, name, seen), name))
    lot = random.Random(seed)
    labels = [fault.label for fault in plant.faults]
    most = 0
    for _ in range(runs):
        failing = lot.sample(labels, lot.choice((1, 1, 2)))
        most = max(most, ran(plant, by_lot(plant, lot), lot.choice(tuple(LASTS)), *failing).steps)
    return most


@pytest.mark.parametrize("seen", [True, False], ids=["of any water", "of what conducts"])
def test_runs_on_floors_by_lot_come_to_their_end(repository: Path, seen: bool) -> None:
    assert swept(repository, "wet_floor.yaml", seen, seed=1, runs=5) > 50


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("seen", [True, False], ids=["of any water", "of what conducts"])
@pytest.mark.parametrize("name", ["wet_floor.yaml", "two_tanks.yaml"])
def test_many_runs_on_floors_by_lot_come_to_their_end(repository: Path, name: str, seen: bool, seed: int) -> None:
    assert swept(repository, name, seen, seed=100 + seed, runs=30) > 1000


def test_by_lot_draws_what_lies_at_beside_and_far_from_the_brim(teal: Plant) -> None:
    lot = random.Random(5)
    near = {"at": 0, "below": 0, "above": 0, "far": 0, "first drops": 0}
    for _ in range(300):
        lying = by_lot(teal, lot)
        holds = dict(lying.holds)
        for _, place, wet in lying.wets:
            if not 0.0 < holds[place] < math.inf:
                continue
            off = wet / holds[place] - 1.0
            near["at" if off == 0.0 else "far" if abs(off) > 1e-3 else "above" if off > 0.0 else "below"] += 1
            near["first drops"] += wet <= LEAST
    assert min(near.values()) > 20

"""The faults of a case let loose in the engine, at the moments of its story: whether it comes to the same there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.plant import DAY, NEVER, Onset, Plant, PlantFault, Scenario
from dewpond.plant.trace import Trace
from dewpond.proof.machine import Failing
from dewpond.proof.questions.water import spills
from dewpond.proof.signals import by_hand as hands
from dewpond.proof.signals import calls, order_of
from dewpond.proof.story import BEGIN, Step, steps
from dewpond.proof.verdicts import Case, Check

LASTING = 4.0 * DAY  # that water must run for it to run on: what a vessel holds has run out by then [s]
DRYING = 12.0 * DAY  # in which a vessel falls that loses nothing but what evaporates [s]
SOON = 60.0  # after what came before it in the story a fault comes in the engine [s]
ROWS = 400  # of a run's chart
MOST_RUNS = 3  # that a case is tried in
NOBODY = "nobody comes"
LATENT = "latent"
TRUE = 2  # of Trace.seen: a signal has been true at some time
MOST_RUNS = 3  # that a case is tried in


def tried(plant: Plant, case: Case, *, compiled: bool) -> Case:
    """The case with whether the engine comes to the same. Of faults that do the same to the logic some may not do so to
    the water: they are tried one after the other, and the one that does it stands first then."""
    if case.check is None or case.machine is None:
        return case
    for labels, hidden in itertools.islice(_ways(plant, case), MOST_RUNS):
        one = _led_by(case, labels)
        if replayed(plant, one, hidden=hidden, compiled=compiled):
            return replace(one, confirmed=True)
    return replace(case, confirmed=False)


def _ways(plant: Plant, case: Case) -> Iterator[tuple[tuple[str, ...], bool]]:
    """One fault of each class, and whether those that hide stand from the beginning."""
    for labels in itertools.product(*case.faults):
        if len(labels) > 1 and any(plant.fault(label).timing == LATENT for label in labels):
            yield labels, True
        yield labels, False


def _led_by(case: Case, labels: tuple[str, ...]) -> Case:
    """The case with these faults first in their classes."""

    def led(alike: tuple[str, ...]) -> tuple[str, ...]:
        first = next((label for label in labels if label in alike), alike[0])
        return (first, *(label for label in alike if label != first))

    assert case.machine is not None
    faults: tuple[Failing, ...] = tuple(one._replace(labels=led(one.labels)) for one in case.machine.faults)
    return replace(case, faults=tuple(map(led, case.faults)), machine=replace(case.machine, faults=faults))


def replayed(plant: Plant, case: Case, *, hidden: bool, compiled: bool) -> bool:
    """Whether the engine comes to the same, with the first faults of the classes of a case let loose at the same points
    of the story; ``hidden``: but for those that show only when something is asked of them, which stand from the
    beginning. Nobody is about or comes, but for hands that re-arm as the story says."""
    assert case.check is not None
    told = steps(plant, case)
    leaks = _leaks(plant, case, told)
    nobody = PlantFault(NOBODY, "", "", "", "event", "", NEVER, 1.0, tuple(("force", s, 0.0) for s in hands(plant)))
    onsets, extra, last = [Onset(NOBODY, 0.0)], [nobody], ""
    for step in told:
        if step.kind == "says" and step.text in plant.triggers:
            last = step.text
        label = step.text
        if step.kind == "press":
            press = by_hand(plant, next(s for s, what in plant.rearms.items() if what == step.text))
            label = press.label
            extra += [press] if press not in extra else []
        if step.kind == "fails" and hidden and plant.fault(label).timing == LATENT:
            onsets.append(Onset(label, 0.0))
        elif step.kind in ("fails", "press") and all(onset.label != label for onset in onsets):
            onsets.append(Onset(label, -1.0, last, SOON) if last else Onset(label, step.time))
        elif step.what == "pool" and step.text in leaks:
            onsets.append(Onset(leaks.pop(step.text), step.time))
    logged = {*plant.trips, *(order_of(plant, gate) for gate in plant.gates)}
    log = [2 if signal in logged else level for signal, level in enumerate(plant.arrays.sig_log)]
    house = replace(plant, faults=(*plant.faults, *extra), arrays=plant.arrays._replace(sig_log=log))
    last_at = max((step.time for step in told), default=0.0)  # what is so from the first moment has no story
    horizon = last_at + case.check.lasts
    trace = engine.run(house, Scenario("travelling", horizon, tuple(onsets), BEGIN), rows=ROWS, compiled=compiled)
    return case.check.test(plant, trace)


def _leaks(plant: Plant, case: Case, told: tuple[Step, ...]) -> dict[str, str]:
    """By place in which water lies in the story, a fault that lets it out there, where none of the case does."""
    every = spills(plant)
    mine = {label for labels in case.faults for label in labels[:1]}
    if any(mine.intersection(spill.labels) for spill in every):
        return {}
    places = {step.text for step in told if step.what == "pool"}
    return {
        plant.places[spill.place].name: spill.labels[0]
        for spill in reversed(every)
        if plant.places[spill.place].name in places
    }


def by_hand(plant: Plant, signal: int) -> PlantFault:
    """Somebody presses to re-arm, for a run in the engine."""
    return PlantFault(f"by hand: {plant.rearms[signal]}", "", "", "", "event", "", 2.0, 1.0, (("force", signal, 1.0),))


def runs_on() -> Check:
    """Water gets out to the end of the run."""
    return Check(lambda _, trace: trace.wet, LASTING)


def runs_on_untold() -> Check:
    """Water gets out to the end of the run, and no message has been sent in its first day: later it may be missed
    somewhere else."""
    return Check(lambda plant, trace: trace.wet and _first_call(plant, trace) > DAY, LASTING)


def _first_call(plant: Plant, trace: Trace) -> float:
    """When somebody is first sent a message [s]."""
    sent = (e.time for e in trace.events if e.code == prim.E_SIGNAL and e.ref in calls(plant) and e.value > 0.0)
    return min(sent, default=math.inf)


def reopens(order: int, trip: int) -> Check:
    """A gate's order comes back after its trip has taken it away."""

    def check(_: Plant, trace: Trace) -> bool:
        tripped = shut = False
        for event in trace.events:
            if event.code != prim.E_SIGNAL:
                continue
            tripped |= event.ref == trip and event.value > 0.0
            if event.ref == order:
                if tripped and event.value == 0.0:
                    shut = True
                elif shut and event.value > 0.0:
                    return True
        return False

    return Check(check, LASTING)


def stands_above(store: int, height: float, above: Collection[tuple[int, float]]) -> Check:
    """A vessel stands above a height [m] at some time, with those ``above`` it that drain back into it, each down to a
    height [m], standing as at first: what has come back meanwhile is nothing that a pump has brought."""

    def check(plant: Plant, trace: Trace) -> bool:
        a = plant.arrays
        first = sum(max(a.store_start[upper] - volume_of(a, upper, end), 0.0) for upper, end in above)

        def held(row: Sequence[float]) -> float:
            back = sum(max(volume_of(a, upper, row[upper]) - volume_of(a, upper, end), 0.0) for upper, end in above)
            return float(volume_of(a, store, row[store]) + back - first)

        return any(held(row) > volume_of(a, store, height) for row in trace.row_value)

    return Check(check, LASTING)


def late_told(store: int, mark: float, harms: bool) -> Check:
    """A vessel has stood below a mark [m], and nobody had been called by then; ``harms``: or could be there."""

    def check(plant: Plant, trace: Trace) -> bool:
        dry = next(
            (time for time, row in zip(trace.row_time, trace.row_value, strict=True) if row[store] <= mark), None
        )
        soonest = _first_call(plant, trace) + (min(one.within for one in plant.called) if harms else 0.0)
        return dry is not None and soonest > dry

    return Check(check, DRYING)


def silent() -> Check:
    """Nobody has been sent a message."""
    return Check(lambda plant, trace: _first_call(plant, trace) == math.inf, DAY)


def ever(signal: int) -> Check:
    """A signal has been true at some time."""
    return Check(lambda _, trace: bool(trace.seen[signal] & TRUE), DAY)

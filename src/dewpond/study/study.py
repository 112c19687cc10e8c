"""The whole study of a design: flows, every fault alone and in pairs, unknown answers both ways, and what they show."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from dewpond.design.checks import check
from dewpond.design.model import Design
from dewpond.plant import engine
from dewpond.plant.asked import idle
from dewpond.plant.consequence import in_vain, judge, salinity_of
from dewpond.plant.fed import fed
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.study import drills, remarks
from dewpond.study.beats import fold
from dewpond.study.branches import Branches, in_order, together
from dewpond.study.by_floor import ByFloor
from dewpond.study.drained import rooms
from dewpond.study.drills import WHO, Alone, Drill, Pair
from dewpond.study.flows import flows
from dewpond.study.locked import locked
from dewpond.study.memory import Memory, remembering
from dewpond.study.outcome import (
    Change,
    Counts,
    NotRun,
    Outcome,
    Progress,
    Remark,
    StudyResult,
    TankState,
    UnknownEffect,
    differences,
)
from dewpond.study.starting import AS_WRITTEN, begin
from dewpond.study.workers import RunMany, runner

if TYPE_CHECKING:
    from dewpond.study.ground import Ground

FEW = 300  # runs for which it does not pay to start other processes
ALONE, TOGETHER, ANSWERS = "faults alone", "pairs of faults", "unknown answers"


def run_drill(plant: Plant, drill: Drill, compiled: bool | None) -> Outcome:
    """One run, judged and folded. ``compiled`` as in engine.run."""
    return kept(plant, engine.run(plant, drill.scenario, compiled=compiled), drill.order)


def kept(plant: Plant, trace: Trace, order: str) -> Outcome:
    """What a study keeps of a trace: thousands of moments of pumps that start and stop are folded at once."""
    told = judge(plant, trace, order)
    beats = fold(told.moments)
    back, siphons = (tuple(found(plant, trace)) for found in (remarks.backwards, remarks.siphons))
    unmet: frozenset[str] = idle(plant, trace) if len(told.faults) < 2 else frozenset()  # only pairs are copied
    shut = locked(plant, trace) if told.first_water is None else ()
    came = fed(plant, trace) if trace.scenario.lying is not None else ()
    return Outcome(replace(told, moments=()), beats, None, back, siphons, unmet, shut, came)


def with_usual_notices(plant: Plant, traces: Iterable[Trace]) -> Plant:
    """The plant with what is noticed in it although nothing fails, and what meets nothing then, as these runs show."""
    found, met = {}, {}
    for trace in traces:
        told = judge(plant, trace)
        found[trace.scenario.who] = tuple((m.text, m.time) for m in told.moments if m.kind in ("notice", "found"))
        met[trace.scenario.who] = tuple(sorted(idle(plant, trace)))  # in an order that no process changes
    return replace(plant, noticed_anyway=found, idle_anyway=met)


def run_study(
    design: Design,
    season: str = "winter",
    pairs: bool = True,
    progress: Progress | None = None,
    compiled: bool = True,
    who: tuple[tuple[str, float], ...] = WHO,
    start: str = AS_WRITTEN,
    workers: int = 1,
    memory: Memory | None = None,
) -> StudyResult:
    """Study a checked design in one season ("winter" or "summer").

    pairs     two faults together as well
    progress  called after every run with (runs done, runs there will be, what is being done)
    who       where the people are, and the length of the runs [s]
    start     how full the vessels are at first: one of starting.WAYS
    workers   processes to run on; decides how long it takes, never what comes out
    memory    what earlier studies found; it decides how long this one takes, never what comes out
    A KeyboardInterrupt while faults are being tried ends the study with what is finished.
    """
    plant = begin(design, season, start)
    traces = [engine.run(plant, drills.normal(*w).scenario, compiled=compiled) for w in who]
    normal = tuple(kept(plant, trace, drills.NOTHING_FAILS) for trace in traces)
    table = flows(plant, compiled)
    plant = with_usual_notices(plant, traces)
    finished = True
    planned = foreseen(plant, design, who, pairs)
    with runner(run_drill, compiled, workers if planned > FEW else 1) as anew:
        run = anew if memory is None else remembering(anew, memory)
        book = Book(plant, normal, run, progress, planned, _ground(design))
        try:
            book.run_singles()
            for number, other in answers(design):
                book.try_answer(design, start, number, other)
            if pairs:
                book.run_pairs()
        except KeyboardInterrupt:
            finished = False
    outcomes, found = tuple(book.outcomes), check(design)
    bare = any(finding.code == "D167" for finding in found)
    not_run = book.not_run(design)
    shown: list[Remark] = [
        *remarks.without_faults(plant, traces[0], normal[0], bare),
        *remarks.filling(plant, table),
        *remarks.endless(outcomes, who[0][0], rooms(design)),
        *remarks.ended(outcomes, who[0][0], rooms(design)),
        *remarks.wasting(outcomes, normal, who[0][0]),
        *remarks.unknowns(book.effects),
        *remarks.untried(not_run),
        *remarks.back_flows(outcomes, normal),
        *remarks.doubtful((*normal, *outcomes)),
    ]
    return StudyResult(
        design, season, who, start, table, found, tuple(shown), tank_states(plant, normal[0]), normal, outcomes,
        tuple(book.effects), book.counts(), finished, not_run,
    )  # fmt: skip


def _ground(design: Design) -> Ground | None:
    """The floors of a design that has plans."""
    if not design.plans:
        return None
    from dewpond.study.ground import Plans  # it loads what nobody else needs

    return Plans(design, every=True)


def foreseen(plant: Plant, design: Design, who: tuple[tuple[str, float], ...], pairs: bool) -> int:
    """Runs that there will be: each fault alone with each answer to an "unknown", each pair in one order at least; and
    with each other answer the run in which nothing fails."""
    others = len(answers(design))
    couples = sum(1 for _ in drills.couples(plant)) if pairs else 0
    return len(who) * (len(plant.faults) * (1 + others) + others + couples)


def answers(design: Design) -> list[tuple[int, object]]:
    """(number of the unknown, value) for every value worth a run that was not taken."""
    return [
        (number, value)
        for number, unknown in enumerate(design.unknowns)
        for value in unknown.tried
        if value != unknown.taken
    ]


def tried(
    design: Design, season: str, start: str, number: int, other: object, known: Mapping[Drill, Outcome], run: RunMany
) -> UnknownEffect:
    """Drills whose outcome is known, run once more with the other answer to an "unknown". What changes for a fault is
    what goes beyond the run in which nothing fails, which is run as well where it is not among the known ones."""
    unknown = design.unknowns[number]
    once = dict.fromkeys((drill.who, drill.horizon) for drill in known)
    plant = begin(design.with_unknown(unknown.part, unknown.key, other), season, start)
    plant = with_usual_notices(plant, [engine.run(plant, drills.normal(*w).scenario, compiled=None) for w in once])
    plain = [drills.normal(*where) for where in once if not any(d.who == where[0] and not d.faults for d in known)]
    before = {**known, **(dict(zip(plain, run(begin(design, season, start), plain), strict=True)) if plain else {})}
    after = dict(zip(before, run(plant, tuple(before)), strict=True))
    usual = {d.who: (before[d].told, after[d].told) for d in before if not d.faults}
    changes = []
    for drill in [d for d in before if not d.faults] + [d for d in known if d.faults]:
        one, two = before[drill].told, after[drill].told
        what = differences(one, two, usual[drill.who] if drill.faults else None)
        if what:
            changes.append(Change(one, two, what))
    return UnknownEffect.of(unknown, other, changes)


def tank_states(plant: Plant, normal: Outcome) -> tuple[TankState, ...]:
    """The tanks in the run in which nothing fails."""
    rows = []
    for store, harm in zip(plant.tanks, normal.told.tanks, strict=True):
        body = plant.arrays.store_body[store]
        volume = sum(v for v, b in zip(plant.arrays.store_start, plant.arrays.store_body, strict=True) if b == body)
        start = salinity_of(plant.arrays.body_start[body], plant.tank_temperature)
        rows.append(TankState(harm.tank, volume, start, harm.lowest, harm.highest))
    return tuple(rows)


class Book:
    """The outcomes of a study as they come in, each drill run once."""

    def __init__(
        self, plant: Plant, normal: tuple[Outcome, ...], run: RunMany, progress: Progress | None, planned: int = 0,
        ground: Ground | None = None,
    ) -> None:  # fmt: skip
        """``ground``: the floors that fit the plans of a design; None where it has none."""
        self.plant = plant
        self.branches = Branches(plant, ground) if ground else None
        self.normal = {outcome.who: outcome for outcome in normal}
        self.who = tuple((outcome.who, outcome.told.horizon) for outcome in normal)
        self.run = run
        self.progress = progress
        self.outcomes: list[Outcome] = []
        self.lone: dict[Drill, Outcome] = {}
        self.effects: list[UnknownEffect] = []
        self.made = 0
        self.copied = 0
        self.planned = planned
        self.paired = 0  # runs of two faults that there will be; 0: not yet known

    def counts(self) -> Counts:
        """How many runs were made, copied and planned so far."""
        return Counts(self.made, self.copied, self.planned)

    def not_run(self, design: Design) -> NotRun:
        """What has not been run so far."""
        alone = sum(len(o.faults) == 1 for o in self.outcomes)
        left = [design.unknowns[number] for number, _ in answers(design)[len(self.effects) :]]
        keys = tuple(dict.fromkeys((unknown.part, unknown.key) for unknown in left))
        pairs = self.paired or len(self.who) * sum(1 for _ in drills.couples(self.plant))
        return NotRun(len(self.who) * len(self.plant.faults) - alone, keys, pairs - len(self.outcomes) + alone)

    def _tell(self, what: str) -> None:
        if self.progress is not None:
            self.progress(self.made + self.copied, self.planned, what)

    def _make(self, plant: Plant, wanted: Sequence[Drill], what: str) -> Iterator[Outcome]:
        for outcome in self.run(plant, wanted):
            self.made += 1
            yield outcome
            self._tell(what)

    # -- faults alone --------------------------------------------------------------------------------------------------
    def run_singles(self) -> None:
        """Every fault alone."""
        wanted, planned = drills.singles(self.plant, self.who), self.planned
        found: dict[int, Outcome] = {}
        try:
            found.update(self._alone(wanted))
        finally:  # also of a study that is stopped: what came so far
            more = self.made - len(wanted)  # on floors a drill is run more than once, and what follows is still to come
            self.planned = max(self.planned, planned + more)
            self.lone |= {wanted[number]: found[number] for number in sorted(found)}
            self.outcomes += [found[number] for number in sorted(found)]

    def _alone(self, wanted: Sequence[Drill]) -> Iterator[tuple[int, Outcome]]:
        """Number of a drill and its outcome, as they come."""
        if self.branches is None:
            return enumerate(self._make(self.plant, wanted, ALONE))
        works = [self.branches.branched(drill) for drill in wanted]
        return together(works, lambda those: self._more(those, ALONE))

    def _pairs(self, wanted: Sequence[Drill]) -> Iterator[Outcome]:
        """Runs of two faults; each on the floor on which that of its faults which brings more water by itself has the
        middle outcome."""
        if self.branches is None:
            return self._make(self.plant, wanted, TOGETHER)
        works = [self.branches.followed(drill, self._floor_of(drill)) for drill in wanted]
        return in_order(together(works, lambda those: self._more(those, TOGETHER)))

    def _more(self, drills: Sequence[Drill], what: str) -> Iterator[Outcome]:
        """Runs on floors, of which nobody knows beforehand how many there will be."""
        self.planned = max(self.planned, self.made + self.copied + len(drills))
        return self._make(self.plant, drills, what)

    def _floor_of(self, drill: Drill) -> ByFloor | None:
        alone = [self.lone[drills.single(self.plant.fault(label), drill.who, drill.horizon)] for label in drill.labels]
        branched = [outcome for outcome in alone if outcome.floors]
        return max(branched, key=lambda outcome: outcome.told.on_floors).floors if branched else None

    def try_answer(self, design: Design, start: str, number: int, other: object) -> None:
        """Every fault alone once more, with the other answer to an "unknown"."""

        def run(plant: Plant, wanted: Sequence[Drill]) -> Iterator[Outcome]:
            return self._make(plant, wanted, ANSWERS)

        lone = {
            drill if outcome.floors is None else drill._replace(lying=outcome.floors.lying): outcome
            for drill, outcome in self.lone.items()
        }
        known = {drills.normal(*w): self.normal[w[0]] for w in self.who} | lone
        self.effects.append(tried(design, self.plant.season, start, number, other, known, run))

    # -- pairs ---------------------------------------------------------------------------------------------------------
    def run_pairs(self) -> None:
        """Every two faults, in each order that can differ."""
        copies: list[Outcome | None] = []
        wanted = []  # drills that are no copies
        for pair in (pair for name, horizon in self.who for pair in self.pairs(name, horizon)):
            copies.append(self.copy(pair))
            if copies[-1] is None:
                wanted.append(pair.drill)
        self.planned = self.made + self.copied + len(copies)
        self.paired = len(copies)
        runs = self._pairs(wanted)
        for copy in copies:
            self.outcomes.append(next(runs) if copy is None else copy)
            self.copied += copy is not None

    def pairs(self, who: str, horizon: float) -> Iterator[Pair]:
        """The drills with two faults; needs the outcomes of the faults alone."""
        came, tripped = {}, {}
        for fault in self.plant.faults:
            outcome = self.lone[drills.single(fault, who, horizon)]
            began: float | None = drills.usual(fault).time
            if fault.timing == "triggered":
                came[fault.label] = began = first_beat(outcome, "fault", 0.0)
            tripped[fault.label] = None if began is None else first_beat(outcome, "trip", began)
        alone = Alone(tripped, came)
        for one, other in drills.couples(self.plant):
            yield from drills.pairs(one, other, who, horizon, alone)

    def copy(self, pair: Pair) -> Outcome | None:
        """The outcome of one fault alone, if that run would not have met the other one."""
        labels = pair.drill.labels
        for number, drill in pair.same_as:
            outcome = self.lone[drill]
            if labels[number] in outcome.idle:
                waited = pair.drill.faults[number].time < 0.0
                return outcome.copied(labels, pair.drill.order, (in_vain(labels[number]),) if waited else ())
        return None


def first_beat(outcome: Outcome, kind: str, after: float) -> float | None:
    """When something of a kind first happened from a time on [s]; None: it did not."""
    return next((beat.time for beat in outcome.beats if beat.kind == kind and beat.time >= after), None)

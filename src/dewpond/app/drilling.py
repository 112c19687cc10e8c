"""The command `drill`: which faults, when, for how long; then one run, told."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from itertools import combinations

from dewpond.app import work
from dewpond.design.desk import nearest
from dewpond.design.model import Design
from dewpond.errors import UnitError, UsageError
from dewpond.plant.moments import FAULT_DASH, other_lines
from dewpond.plant.noticing import ALIKE
from dewpond.plant.plant import DAY, Onset, Plant, contrary
from dewpond.plant.trace import Trace
from dewpond.study.by_floor import ByFloor
from dewpond.study.drills import LENGTHS, WAITS, Drill, usual
from dewpond.study.outcome import Outcome, UnknownEffect

ROWS = 400  # of the chart
SHORTEST, LONGEST = 60.0, 366.0 * DAY
TENTHS = 10.0  # limits are shown to a tenth of their unit
OWN_MOMENT = "its own moment"
WHEN = "Give a time, such as '2 h', or 'once ...' with a line of the story."
_AFTER = re.compile(r"^(?:once|(?P<delay>\S.*?) after) (?P<words>\S.*)$", re.IGNORECASE)
NO_LINE = "no line of any story"
GAPS = (1.0, 10.0, 60.0, 600.0)  # a fault comes so long after its line at least [s]; our prior
_COLON = re.compile(r"\s*:\s*")
_TIGHT = re.compile(r"^(\d+(?:\.\d+)?)([A-Za-z]+)$")


def drill(
    file: str,
    labels: tuple[str, ...],
    times: tuple[str, ...],
    who: str,
    span: str | None,
    season: str,
    start: str,
    picture: str | None,
    answers: bool,
    as_json: bool,
) -> int:
    """Run one drill and print it."""
    from dewpond.plant import engine
    from dewpond.report.views.drill import drill_report
    from dewpond.study.starting import begin

    design = work.read_sound(file, as_json, "drill")
    work.may_write(picture, file)
    plant = begin(design, season, start)
    horizon = LENGTHS[who] if span is None else seconds(span, "--for", SHORTEST, LONGEST)
    typed = timed(plant, [named(plant, label) for label in labels], times, horizon)
    onsets = found_times(plant, typed, who, horizon)
    order = "as typed" if len(onsets) > 1 else ""
    run = Drill(onsets, order, who, horizon)
    floors = None
    if design.plans:
        plant, floors = on_every_floor(design, plant, run)
        run = run._replace(lying=floors.lying if floors else None)
    trace = engine.run(plant, run.scenario, rows=ROWS, compiled=None)
    outcome = replace(beside_the_ordinary(plant, trace, order), floors=floors)
    effects = tried_answers(design, season, start, run, typed, outcome) if answers else None
    if picture is not None:
        draw(picture, plant, trace, design.shown_in)
    if as_json:
        from dewpond.report import records

        work.print_json(records.drill(design, plant, trace, outcome, effects or (), start))
    else:
        work.print_report(drill_report(design, plant, trace, outcome, effects, start))
    return 0


def on_every_floor(design: Design, plant: Plant, run: Drill) -> tuple[Plant, ByFloor | None]:
    """The plant with what is noticed in it although nothing fails, and what a drill comes to on every floor that fits
    the plans; None where no water comes onto one."""
    from dewpond.plant import engine
    from dewpond.study.branches import Branches, together
    from dewpond.study.drills import normal
    from dewpond.study.ground import Plans
    from dewpond.study.study import run_drill, with_usual_notices
    from dewpond.study.workers import one_by_one

    usual = engine.run(plant, normal(run.who, run.horizon).scenario, compiled=None)
    plant = with_usual_notices(plant, [usual])
    many = one_by_one(run_drill, compiled=None)
    work = Branches(plant, Plans(design)).branched(run, every=True)
    ((_, outcome),) = together([work], lambda drills: many(plant, drills))
    return plant, outcome.floors


def beside_the_ordinary(plant: Plant, trace: Trace, order: str) -> Outcome:
    """The outcome, with what is noticed although nothing fails left out. The run in which nothing fails is made only as
    far as the first notice needs: a whole one would take as long as the drill itself."""
    from dewpond.plant import engine
    from dewpond.study.drills import normal
    from dewpond.study.study import kept, with_usual_notices

    outcome, seen = kept(plant, trace, order), -1.0
    while trace.scenario.onsets and (outcome.told.first_noticed or 0.0) > seen:
        seen = outcome.told.first_noticed or 0.0
        until = min(seen + 2.0 * ALIKE, trace.scenario.horizon)
        usual = engine.run(plant, normal(trace.scenario.who, until).scenario, compiled=None)
        outcome = kept(with_usual_notices(plant, [usual]), trace, order)
    return outcome


def tried_answers(
    design: Design, season: str, start: str, drill: Drill, typed: list[Onset], outcome: Outcome
) -> tuple[UnknownEffect, ...]:
    """The same drill with every other answer to an "unknown"; what waits for a line comes when that line does then."""
    from dewpond.study.starting import begin
    from dewpond.study.study import answers, run_drill, tried
    from dewpond.study.workers import one_by_one

    run, effects = one_by_one(run_drill, compiled=None), []
    for number, other in answers(design):
        unknown = design.unknowns[number]
        plant = begin(design.with_unknown(unknown.part, unknown.key, other), season, start)
        then = drill._replace(faults=found_times(plant, typed, drill.who, drill.horizon))
        effects.append(tried(design, season, start, number, other, {then: outcome}, run))
    return tuple(effects)


def list_faults(file: str, season: str, as_json: bool) -> int:
    """Print the faults that a design can have."""
    from dewpond.plant.lower import lower
    from dewpond.report.views.checked import fault_report

    design = work.read_sound(file, as_json, "drill")
    faults = lower(design, season).faults
    if as_json:
        from dewpond.report import records

        work.print_json(records.faults(design, faults))
    else:
        work.print_report(fault_report(design, faults))
    return 0


def named(plant: Plant, typed: str) -> str:
    """The label of the fault that was typed. Raises UsageError, naming the nearest one."""
    labels = {_bare(fault.label): fault.label for fault in plant.faults}
    wanted = _bare(typed)
    if wanted in labels:
        return labels[wanted]
    own = [fault.label for fault in plant.faults if _bare(fault.part) == wanted.rstrip(":")]
    if own:
        raise UsageError(f"'{work.short(typed)}' has several faults.", f"Name one of them: {'; '.join(own)}.")
    near = nearest(typed, labels.values(), 0.4)
    question = f"Do you mean '{near}'? " if near else ""
    raise UsageError(f"No fault is called '{work.short(typed)}'.", f"{question}All of them: dewpond drill FILE --list")


def _bare(text: str) -> str:
    """A label without what nobody types alike: capitals and spaces."""
    return _COLON.sub(": ", " ".join(text.split())).casefold()


def timed(plant: Plant, labels: list[str], times: tuple[str, ...], horizon: float) -> list[Onset]:
    """Each fault with its moment: as typed, else as a study takes it."""
    if len(set(labels)) < len(labels):
        raise UsageError("The same fault is given twice.", "Name each --fault once.")
    for one, other in combinations([plant.fault(label) for label in labels], 2):
        if contrary(one, other):
            raise UsageError(
                f"'{one.label}' and '{other.label}' cannot stand together: one part is in one state.",
                "Drill them one after the other.",
            )
    if times and len(times) != len(labels):
        raise UsageError(
            f"Of --fault there are {len(labels)}, of --at {len(times)}.",
            "Give one --at for each --fault, in the same order, or none at all.",
        )
    if not times:
        return [usual(plant.fault(label)) for label in labels]
    return [onset(plant, label, text, horizon) for label, text in zip(labels, times, strict=True)]


def onset(plant: Plant, label: str, text: str, horizon: float) -> Onset:
    """A fault with its typed moment: "2 h", "once feed valve shuts", "10 min after feed valve shuts", or its own."""
    own = plant.fault(label).timing == "triggered"
    if own != (_plain(text) == OWN_MOMENT):
        only = f"“{label}” comes at a moment of its own: when that order is given."
        none = f"“{label}” has no moment of its own."
        raise UsageError(f"--at: {only if own else none}", f"Write --at '{OWN_MOMENT}' for it." if own else WHEN)
    if own:
        return usual(plant.fault(label))
    found = _AFTER.match(" ".join(text.split()))
    if found is None:
        return Onset(label, seconds(text, "--at", 0.0, horizon))
    delay = 0.0 if found["delay"] is None else seconds(found["delay"], "--at", 0.0, horizon)
    words = {_plain(known): known for known in (*other_lines(plant), *plant.triggers)}
    typed = _plain(found["words"].partition(FAULT_DASH)[0])
    if typed == _plain(label):
        raise UsageError(f"--at: “{label}” cannot wait for itself.", WHEN)
    if typed not in words:
        near = nearest(typed, words)
        question = f"Do you mean '{words[near]}'? " if near else ""
        raise UsageError(
            f"--at: nothing in the story reads '{work.short(found['words'])}'.",
            f"{question}Copy a line of the story of a drill as it stands there.",
        )
    return Onset(label, WAITS, words[typed], delay)


def found_times(plant: Plant, onsets: list[Onset], who: str, horizon: float) -> tuple[Onset, ...]:
    """The same with a time for each that waits for a line that no signal stands behind, or more than one, if it comes.

    A run without a fault is the same up to the line that it waits for, so it shows when that comes. The one that is due
    first is placed first, for it may move the lines of the others.
    """
    words = Counter(text for say in plant.says.values() for text in {say.true, say.false})
    by_run = {
        n for n, one in enumerate(onsets) if one.awaits and (one.awaits not in plant.triggers or words[one.awaits] > 1)
    }
    found = [one._replace(awaits=NO_LINE) if n in by_run else one for n, one in enumerate(onsets)]
    while by_run:
        told = _lines(plant, found, who, horizon)
        due = {n: told[onsets[n].awaits] + onsets[n].delay for n in by_run if onsets[n].awaits in told}
        number = min(due, key=lambda n: (due[n], n), default=None)
        if number is None:
            break
        by_run.remove(number)
        for gap in GAPS:  # a line of the run before may not come again if what makes it is cut short at once
            found[number] = onsets[number]._replace(time=max(due[number], due[number] - onsets[number].delay + gap))
            line = _lines(plant, found, who, horizon).get(onsets[number].awaits, horizon)
            if line < found[number].time:
                break
    return tuple(one._replace(awaits=onsets[n].awaits) for n, one in enumerate(found))


def _lines(plant: Plant, onsets: list[Onset], who: str, horizon: float) -> dict[str, float]:
    """When each line of a run is told for the first time [s]; of a fault its label."""
    from dewpond.plant import engine
    from dewpond.plant.moments import tell

    run = Drill(tuple(onsets), "", who, horizon)
    told = tell(plant, engine.run(plant, run.scenario, compiled=None))
    return {m.text.partition(FAULT_DASH)[0]: m.time for _, m in reversed(told)}


def _plain(text: str) -> str:
    """A line of a story without what nobody types alike: capitals, quotation marks, a full stop."""
    return re.sub("[\"'“”]", "", text).rstrip(".").casefold()


def seconds(text: str, option: str, least: float, most: float) -> float:
    """A typed length of time [s], ``least`` to ``most``, both allowed; "14d" is read as "14 d". Raises UsageError."""
    from dewpond.units import parse

    try:
        value = parse(_TIGHT.sub(r"\1 \2", text.strip()), "duration")
    except UnitError as error:
        raise UsageError(f"{option}: {error.what}", error.remedy) from None
    if not least <= value <= most:
        limits = f"{_inward(least, math.ceil)} to {_inward(most, math.floor)}"
        raise UsageError(f"{option}: {text} is out of range.", f"Allowed is {limits}.")
    return value


def _inward(limit: float, rounded: Callable[[float], int]) -> str:
    """A limit [s] as text, rounded towards the inside of the range, so that what is shown is allowed when typed."""
    from dewpond.units import shown_unit

    unit = shown_unit("duration", limit)
    return f"{rounded(unit.of(limit) * TENTHS) / TENTHS:g} {unit.text}"


def draw(path: str, plant: Plant, trace: Trace, system: str) -> None:
    """Write the charts of a drill as one SVG file."""
    from dewpond.report import charts
    from dewpond.report.views.drill import course
    from dewpond.report.views.shown import shown_in

    blocks = course(plant, trace, shown_in(system))
    work.write(path, charts.stacked(blocks))
    work.note(f"The picture: {path}")

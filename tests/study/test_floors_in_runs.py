"""Runs on the floors of a plan: the litres at which a probe is reached are those of a table that was written by hand.

The second method throughout is the water that lies in a place when the run is stopped at the moment of the event.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read_text
from dewpond.floor.sites import Probe
from dewpond.floor.wetting import WettingTable
from dewpond.parts import KINDS
from dewpond.plant import engine
from dewpond.plant.balance import balance
from dewpond.plant.build import PATCHES
from dewpond.plant.consequence import judge
from dewpond.plant.fed import Fed, fed
from dewpond.plant.laying import lay
from dewpond.plant.lower import lower
from dewpond.plant.on_floor import on_floor, onward
from dewpond.plant.plant import Lying, Plant
from dewpond.plant.trace import Trace
from dewpond.report import records, story
from dewpond.report.views import by_floor, by_floor_ends, failures
from dewpond.report.views.drains import Ground as Drains
from dewpond.report.views.shown import Shown
from dewpond.study.branches import Branches, in_order, most_alike, together
from dewpond.study.by_floor import AskedFor, Group, ProbeWets, by_water
from dewpond.study.drills import Drill, usual
from dewpond.study.floors import Asked, look
from dewpond.study.ground import Plans, Tables
from dewpond.study.outcome import Outcome, StudyResult
from dewpond.study.study import run_drill, run_study
from dewpond.study.workers import one_by_one
from tests.floor import plans

HOUR = 3600.0
LITRE = 1e-3
NEVER = math.inf
STUDY, TRAY = ("riser", "study"), ("riser", "cabinet tray")
PROBES = (Probe("study probe", "study probe", "study", ()), Probe("tray probe", "tray probe", "cabinet tray", ()))
BURST, IN_TRAY = "riser: burst, in study", "riser: burst, in cabinet tray"
TRAY_DEAD = "tray probe: electrically dead"

# [site, floor, probe], [site, floor, place], in litres
REACHED = (((0.5, NEVER), (3.0, NEVER), (NEVER, NEVER)), ((2.0, 0.2), (4.0, 1.0), (1.0, NEVER)))
HOLDS = (((NEVER, NEVER),) * 3, ((NEVER, 5.0), (NEVER, 8.0), (NEVER, 6.0)))
ONTO = ((("", ""),) * 3, (("", "study"),) * 3)  # names of places
NEAR = (((0.5, NEVER), (0.6, NEVER), (NEVER, NEVER)), REACHED[1])  # nothing else happens between the first two
SELDOM = (((0.5, NEVER), (NEVER, NEVER), (NEVER, NEVER)), REACHED[1])


def table(reached: object = REACHED, holds: object = HOLDS, onto: object = ONTO) -> Tables:
    litres, holds = (np.array(rows) * LITRE for rows in (reached, holds))
    made = WettingTable((STUDY, TRAY), PROBES, ("study", "cabinet tray"), litres, holds, np.array(onto, dtype=object))
    return Tables([made])


@pytest.fixture(scope="module")
def text(repository: Path) -> str:
    return (repository / "examples" / "two_tanks.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def house(text: str) -> Plant:
    return lower(read_text(text, "two_tanks.yaml"))


def drill(plant: Plant, *labels: str, hours: float = 9.0) -> Drill:
    return Drill(tuple(usual(plant.fault(label)) for label in labels), "", "travelling", hours * HOUR)


def branched(plant: Plant, ground: Tables | Plans, wanted: Drill, every: bool = True) -> Outcome:
    many = one_by_one(run_drill, None)
    ((_, outcome),) = together([Branches(plant, ground).branched(wanted, every)], lambda drills: many(plant, drills))
    return outcome


def runs(plant: Plant, ground: Tables | Plans, wanted: Drill) -> dict[Lying | None, Trace]:
    """Each floor's run in the end, by its figures."""
    found: dict[Lying | None, Trace] = {}

    def run(drills: Sequence[Drill]) -> Iterator[Outcome]:
        for one in drills:
            if one.horizon == wanted.horizon:
                found[one.lying] = engine.run(plant, one.scenario, compiled=None)
            yield run_drill(plant, one, None)

    tuple(together([Branches(plant, ground).branched(wanted, True)], run))
    return found


def on_floors(plant: Plant, ground: Tables, wanted: Drill) -> list[Trace]:
    """The run on each floor of a table, in their order."""
    branches, many = Branches(plant, ground), one_by_one(run_drill, None)
    traces = []
    for member in range(ground.count):
        alone = Tables(
            [
                replace(one, litres=one.litres[:, [member]], holds=one.holds[:, [member]], onto=one.onto[:, [member]])
                for one in ground.tables
            ]
        )
        branches = Branches(plant, alone)
        ((_, outcome),) = together([branches.branched(wanted, True)], lambda drills: many(plant, drills))
        assert outcome.floors is not None
        traces.append(engine.run(plant, wanted._replace(lying=outcome.floors.lying).scenario, compiled=None))
    return traces


def when(plant: Plant, trace: Trace, words: str) -> float | None:
    """When a line is told first [s]."""
    from dewpond.plant.moments import tell

    return next((moment.time for _, moment in tell(plant, trace) if moment.text == words), None)


def lies(plant: Plant, trace: Trace, at: float, place: str) -> float:
    """What lies in a place at a moment of a run: the same run, broken off at the first step that comes so far [m3]."""
    few, many = 0, trace.steps
    while many - few > 1:
        half = (few + many) // 2
        stopped = engine.run(plant, trace.scenario, compiled=None, most_steps=half)
        few, many = (few, half) if stopped.end >= at else (half, many)
    stopped = engine.run(plant, trace.scenario, compiled=None, most_steps=many)
    assert stopped.end == at
    return stopped.pool[[one.name for one in plant.places].index(place)]


def spot(probe: str, place: str) -> str:
    return f"the water in {place} reaches {probe}"


# -- the litres of the table -------------------------------------------------------------------------------------------
def test_a_probe_is_reached_at_the_litres_of_the_table_on_each_floor(house: Plant) -> None:
    for trace, (litres, _) in zip(on_floors(house, table(), drill(house, BURST)), REACHED[0], strict=True):
        at = when(house, trace, spot("study probe", "study"))
        if math.isinf(litres):
            assert at is None
            assert not any(when(house, trace, f"{probe.part} reports water") for probe in PROBES)
        else:
            assert at is not None
            assert lies(house, trace, at, "study") == pytest.approx(litres * LITRE, abs=1e-9)


def test_one_floor_is_one_floor_for_tray_room_and_both_probes(house: Plant) -> None:
    """The tray of each floor holds its own litres, and the study counts from its first water."""
    held = [row[1] for row in HOLDS[1]]
    traces = on_floors(house, table(), drill(house, TRAY_DEAD, IN_TRAY, hours=4.0))
    for trace, holds, (study, tray) in zip(traces, held, REACHED[1], strict=True):
        full = when(house, trace, "cabinet tray holds no more; the water goes on to study")
        first, at = when(house, trace, "first water in study"), when(house, trace, spot("study probe", "study"))
        assert full is not None
        assert first is not None
        assert at is not None
        assert full <= first < at
        assert lies(house, trace, full, "cabinet tray") == pytest.approx(holds * LITRE, abs=1e-9)
        assert lies(house, trace, at, "study") == pytest.approx(study * LITRE, abs=1e-9)
        wet = when(house, trace, spot("tray probe", "cabinet tray"))
        if math.isinf(tray):
            assert wet is None
        else:
            assert wet is not None
            assert lies(house, trace, wet, "cabinet tray") == pytest.approx(tray * LITRE, abs=1e-9)


def test_a_probe_that_is_reached_after_its_place_runs_over_counts_what_went_on(house: Plant) -> None:
    """The tray passes on 5 L; its probe gets wet at 7: when 2 L lie in the study, less nothing that dried."""
    late = (REACHED[0], ((NEVER, 7.0),) * 3)
    trace = on_floors(house, table(late), drill(house, IN_TRAY, hours=4.0))[0]
    at = when(house, trace, spot("tray probe", "cabinet tray"))
    assert at is not None
    assert lies(house, trace, at, "study") == pytest.approx(2.0 * LITRE, abs=1e-9)
    assert lies(house, trace, at, "cabinet tray") == pytest.approx(5.0 * LITRE, rel=1e-9)


def test_litres_that_were_measured_count_on_every_floor(text: str) -> None:
    at = "study probe:  {kind: leak probe, in: study,"
    assert at in text
    plant = lower(read_text(text.replace(at, f"{at} reached by: 1.5 L,"), "measured.yaml"))
    for trace in on_floors(plant, table(), drill(plant, BURST, hours=3.0)):
        reached = when(plant, trace, spot("study probe", "study"))
        assert reached is not None
        assert lies(plant, trace, reached, "study") == pytest.approx(1.5 * LITRE, abs=1e-9)
    outcome = branched(plant, table(), drill(plant, BURST, hours=3.0))
    assert outcome.floors is not None
    assert [(probe.part, probe.measured) for probe in outcome.floors.probes] == [("study probe", True)]
    assert len(outcome.floors.groups) == 1


def test_what_a_place_was_measured_to_hold_stays(text: str) -> None:
    drained = "floor: glazed tile, drain: floor drain"
    lying = Lying((), (("laundry", 1.0 * LITRE), ("cabinet tray", 2.0 * LITRE), ("kitchen", 1.0 * LITRE)))
    for said, holds in (("", 1.0), (", reaches the drain after: 3 L", 3.0)):
        plant = lower(read_text(text.replace(drained, drained + said, 1), "drained.yaml"))
        cap = dict(zip((one.name for one in plant.places), on_floor(plant, lying).place_cap, strict=True))
        assert cap["laundry"] == pytest.approx(holds * LITRE)
        assert cap["cabinet tray"] == pytest.approx(2.0 * LITRE)
        assert cap["kitchen"] == 1e30  # it leads nowhere: what comes stays, whatever a plan shows


def test_on_an_empty_floor_a_run_has_the_same_bytes_as_without_one(house: Plant) -> None:
    wanted = drill(house, BURST, hours=3.0)
    plain, empty = (
        engine.run(house, wanted._replace(lying=lying).scenario, rows=20, compiled=None) for lying in (None, Lying())
    )
    assert repr(replace(empty, scenario=plain.scenario)) == repr(plain)


# -- where it goes on to -----------------------------------------------------------------------------------------------
UNSEEN = (((NEVER, NEVER),) * 3, REACHED[1])
PASSED = (((2.0, NEVER), (3.0, NEVER), (4.0, NEVER)), HOLDS[1])
WHITHER = ((("kitchen", ""), ("laundry", ""), ("floor drain", "")), ONTO[1])


def test_water_goes_on_to_the_place_to_which_each_floor_leads_it(house: Plant) -> None:
    """Second method: what went on is what came less what lies and what dried, place by place."""
    wanted = drill(house, BURST, hours=3.0)
    for member, trace in enumerate(on_floors(house, table(UNSEEN, PASSED, WHITHER), wanted)):
        to, holds = WHITHER[0][member][0], PASSED[0][member][0] * LITRE
        told = judge(house, trace)
        water = balance(house, trace)
        (came,) = {moved for to_, moved in told.onward.values() if to_ == to}
        assert told.onward["study"][0] == to
        lies_there = trace.pool[[one.name for one in house.places].index("study")]
        assert lies_there <= holds * (1.0 + 1e-9)
        assert told.by_place["study"] - lies_there - water.dried - 1e-12 <= came <= told.by_place["study"] - lies_there
        others = {place: volume for place, volume in told.by_place.items() if place != "study" and volume > 1e-9}
        if to == "floor drain":
            assert not others
            assert water.off_floors == pytest.approx(came, rel=1e-12)
            assert told.on_floors == pytest.approx(told.by_place["study"], rel=1e-12)
        else:
            assert others[to] == pytest.approx(came, rel=1e-12)
            assert told.on_floors == pytest.approx(told.by_place["study"], rel=1e-12)  # counted once
            assert [one.sources[0][0] for one in fed(house, trace) if one.place == to] == ["study"]
        assert when(house, trace, f"study holds no more; the water goes on to {to}") is not None or to == "floor drain"
        assert told.on_floors == pytest.approx(water.off_floors + water.lying + water.dried, rel=1e-9)


def test_floors_that_lead_on_to_other_places_are_not_left_out(house: Plant) -> None:
    """Of nine floors that differ in that alone, both ways on are run."""
    litres, holds = np.full((1, 9, 2), NEVER), np.full((1, 9, 2), NEVER)
    holds[0, :, 0] = 2.0 * LITRE
    onto = np.full((1, 9, 2), "", dtype=object)
    onto[0, :, 0] = ["kitchen"] * 6 + ["laundry"] * 3
    ground = Tables([WettingTable((STUDY,), PROBES, ("study", "cabinet tray"), litres, holds, onto)])
    found = branched(house, ground, drill(house, BURST, hours=3.0), every=False).floors
    assert found is not None
    ways = {told.onward["study"][0] for told in found.told}
    assert ways == {"kitchen", "laundry"}


def test_a_tray_whose_outlet_takes_all_keeps_it_on_every_floor(text: str) -> None:
    """Of the outlet a plan knows nothing: water that it takes comes over no rim."""
    tray = "rim: 40 mm}"
    assert tray in text
    plant = lower(read_text(text.replace(tray, "rim: 40 mm, drain: floor drain}", 1), "outlet.yaml"))
    lying = Lying((), (("cabinet tray", 9e-3),), (("cabinet tray", "study"),))
    k = [one.name for one in plant.places].index("cabinet tray")
    laid = on_floor(plant, lying)
    assert laid.place_cap[k] == plant.arrays.place_cap[k] < 9e-3
    assert laid.place_next_kind[k] == plant.arrays.place_next_kind[k]
    assert onward(plant, lying).names[k] == "floor drain"


def test_a_circle_of_two_leaks_is_not_followed(house: Plant) -> None:
    """On one floor water from one leak goes from the study to the kitchen, and from another the other way."""
    lying = Lying((), (("study", 2e-3), ("kitchen", 3e-3)), (("study", "kitchen"), ("kitchen", "study")))
    goes = onward(house, lying)
    names = [one.name for one in house.places]
    assert goes.names[names.index("study")] == "kitchen"
    assert goes.names[names.index("kitchen")] == house.places[names.index("kitchen")].onward
    order = [names[k] for k in goes.order]
    assert order.index("cabinet tray") < order.index("study") < order.index("kitchen")


def test_a_drain_that_backs_up_keeps_nothing_where_the_floor_leads_past_it(text: str) -> None:
    drained = "floor: glazed tile, drain: floor drain"
    assert drained in text
    plant = lower(read_text(text, "drained.yaml"))
    number = [one.name for one in plant.places].index("laundry")
    past = Lying((), (("laundry", 2e-3),), (("laundry", "kitchen"),))
    for lying, keeps in ((None, True), (past, False)):
        wanted = drill(plant, "floor drain: backs up")._replace(lying=lying)
        laid = lay(plant, wanted.scenario)
        patched = [k for kind, k in zip(laid.patch_kind, laid.patch_ref, strict=True) if kind == PATCHES["holds"]]
        assert (number in patched) == keeps


# -- where the water is, and where it comes from -----------------------------------------------------------------------
def test_no_water_is_lost_or_made_on_any_floor(house: Plant) -> None:
    for trace in on_floors(house, table(), drill(house, TRAY_DEAD, IN_TRAY)):
        made = balance(house, trace)
        came = made.supply + made.poured + made.before
        went = made.to_drain + made.off_floors + made.evaporated + made.dried + made.lying + made.after
        assert came == pytest.approx(went, abs=1e-9)


@pytest.mark.parametrize("labels", [(IN_TRAY,), ("float: stuck open", TRAY_DEAD), ("reservoir: cracks", BURST)])
def test_what_fed_a_place_adds_up_to_what_it_received(house: Plant, labels: tuple[str, ...]) -> None:
    """The kernel counts what each place receives by itself; here it is told apart by edges, rims and places."""
    trace = engine.run(house, drill(house, *labels, hours=60.0).scenario, compiled=None)
    received = dict(zip((one.name for one in house.places), trace.place_total, strict=True))
    found = fed(house, trace)
    assert found
    for one in found:
        assert sum(volume for _, volume in one.sources) == pytest.approx(received[one.place], rel=1e-6)
    assert {one.place for one in found} == {name for name, volume in received.items() if volume > 1e-6}


def test_a_vessel_that_runs_over_is_its_own_source(house: Plant) -> None:
    trace = engine.run(house, drill(house, "float: stuck open", TRAY_DEAD, hours=30.0).scenario, compiled=None)
    sources = {one.place: [name for name, _ in one.sources] for one in fed(house, trace)}
    assert sources == {"cabinet tray": ["reservoir"], "study": ["cabinet tray"]}


def test_of_several_sources_the_one_that_brings_most_before_the_probe_is_asked(
    house: Plant, outcome: Callable[..., Outcome]
) -> None:
    """A made-up run: over its whole length the riser brings most, up to the probe the tray does."""
    whole = (
        Fed("cabinet tray", (("riser", 9.0 * LITRE),), None),
        Fed("study", (("riser", 7.0 * LITRE), ("cabinet tray", 2.0 * LITRE)), 4000.0),
    )
    until = (whole[0], Fed("study", (("cabinet tray", 1.5 * LITRE), ("riser", 1.0 * LITRE)), 4000.0))
    wanted = drill(house, BURST)
    made: list[Drill] = []

    def run(drills: Sequence[Drill]) -> Iterator[Outcome]:
        for one in drills:
            made.append(one)
            yield replace(outcome(one), fed=whole if one.horizon == wanted.horizon else until)

    ((_, found),) = together([Branches(house, table()).branched(wanted, True)], run)
    assert [one.horizon for one in made[:2]] == [wanted.horizon, 4000.0]
    assert found.floors is not None
    tray, study = found.floors.asked
    assert (tray.site, tray.others) == (TRAY, ())
    assert (study.site, study.source, study.others) == (TRAY, "cabinet tray", ("riser",))
    wets = {probe: litres for probe, _, litres in found.floors.lying.wets}
    member = found.floors.member
    assert wets == {"study probe": REACHED[1][member][0] * LITRE, "tray probe": REACHED[1][member][1] * LITRE}


def test_where_nothing_goes_on_a_place_keeps_what_it_held_but_no_less_than_was_followed(house: Plant) -> None:
    own = dict(zip((one.name for one in house.places), house.arrays.place_cap, strict=True))["study"]
    assert 0.01 < own < 0.06
    for ground, holds in (
        (Tables(table().tables, cap=60 * LITRE), {"study": 60 * LITRE}),
        (Tables(table().tables, cap=10 * LITRE), {"study": own}),
        (Tables(table().tables, shows=lambda _: False), {}),
    ):
        found = branched(house, ground, drill(house, BURST, hours=2.0)).floors
        assert found is not None
        assert dict(found.lying.holds) == holds


def test_the_sentences_say_whose_water_is_asked_for_and_what_was_measured(house: Plant, text: str) -> None:
    design = read_text(text, "two_tanks.yaml")
    outcome = branched(house, table(NEAR), drill(house, BURST))
    assert outcome.floors is not None

    def told(**changed: object) -> str:
        floors = replace(outcome.floors, **changed)  # type: ignore[type-var]
        shown = Shown("metric")
        return " ".join(by_floor.sentences(replace(outcome, floors=floors), design, shown, Drains.of(design)))

    two = AskedFor("study", STUDY, "riser", ("cabinet tray",))
    assert "In study water comes from riser and cabinet tray; the floor is asked as for riser" in told(asked=(two,))
    assert "no plan tells where water from riser runs" in told(asked=(AskedFor("study", None, "riser", ()),))
    poured = ProbeWets("study probe", "study", (), True)
    assert "study probe in study: the litres that were poured and measured count" in told(probes=(poured,))
    often = ProbeWets("study probe", "study", (0.4e-3, 1.2e-3, NEVER), False)
    words = "On 2 of 3 floors that fit the plan the water in study reaches study probe before it is 2 L"
    assert f"{words}; on 1 never, even with 60 L." in told(probes=(often,))
    never = ProbeWets("study probe", "study", (NEVER,) * 3, False)
    assert "On none of 3 floors that fit the plan does the water in study reach study probe, even" in told(
        probes=(never,)
    )
    assert "On 2 of 3 floors it ends as told here." in told()
    late = ProbeWets("study probe", "study", (*(0.4e-3,) * 8, 1.2e-2, NEVER), False)
    words = "On 8 of 10 floors that fit the plan the water in study reaches study probe before it is 500 mL"
    assert f"{words}; on 1 only later; on 1 never, even with 60 L." in told(probes=(late,), count=10)
    assert "stopped: feed valve shuts" not in told()  # that end is told by the story itself
    assert "noticed by nobody and nothing; still running at the end" in told()


# -- ends, as a keeper sees them ---------------------------------------------------------------------------------------
Kept = tuple[Outcome, Design]


@pytest.fixture(scope="module")
def burst(house: Plant, text: str) -> Kept:
    return branched(house, table(NEAR), drill(house, BURST)), read_text(text, "two_tanks.yaml")


def as_told(burst: Kept, *changed: dict[str, object]) -> str:
    """The sentences of one floor with the run of the story, and one in a group of its own for each change of it."""
    outcome, design = burst
    assert outcome.floors is not None
    told = [outcome.told, *(replace(outcome.told, **change) for change in changed)]
    groups = tuple(Group((k,), (one,)) for k, one in enumerate(told))
    floors = replace(
        outcome.floors, count=len(told), ran=tuple(range(len(told))), member=0, groups=groups, asked=(), probes=()
    )
    return " ".join(by_floor.sentences(replace(outcome, floors=floors), design, Shown("metric"), Drains.of(design)))


def test_another_order_to_the_same_end_is_one_short_sentence(burst: Kept) -> None:
    again = {"stopped_by": f"{burst[0].told.stopped_by}, before it came again"}
    words = (
        "On all 3 floors it ends alike: on 1 by the same steps in the same order, on 2 in another order or by other "
        "steps."
    )
    assert as_told(burst, {}, again) == words
    assert as_told(burst) == "On all 1 floors the same happens, in the same order."


@pytest.mark.parametrize(("changed", "words"), [
    ({"stopped_by": "keeper shuts stop tap by hand"}, "stopped: keeper shuts stop tap by hand."),
    ({"noticed_by": "tray probe reports water"}, "after the first water (tray probe reports water); stopped:"),
    ({"noticed_by": None, "first_noticed": None}, "noticed by nobody and nothing; stopped:"),
    ({"by_place": {"study": 1e-3, "kitchen": 1e-4}}, "water in kitchen and study"),
    ({"still_running": True, "stopped_by": None}, "still running at the end"),
    ({"reopenings": 1}, "it starts again"),
    ({"return_pump_dry_of": "nano"}, "the return pump of nano draws air"),
    ({"reservoir_empty_of": "reservoir"}, "reservoir is all but empty"),
    ({"overdosed_by": "doser"}, "more goes through doser than the tank bears"),
    ({"first_known": None}, "no person hears of it"),
])  # fmt: skip
def test_another_end_is_spelled_out(burst: Kept, changed: dict[str, object], words: str) -> None:
    told = as_told(burst, {}, changed)
    assert (
        "On 2 of 3 floors it ends as told here: on 1 by the same steps in the same order, on 1 in another order or by "
        "other steps."
    ) in told
    assert told.count("On the other one: ") == 1
    assert words in told.partition("On the other one: ")[2]


def test_how_far_floors_differ_on_the_way_to_one_end_is_told_as_a_range(burst: Kept) -> None:
    outcome = burst[0].told
    first, *others = outcome.tanks
    assert outcome.first_water is not None
    later = {"first_noticed": outcome.first_water + 7200.0}
    thin = {"tanks": (first._replace(lowest=25.0), *others)}
    sooner = {"first_noticed": outcome.first_water + 1200.0}
    told = as_told(burst, later, thin, sooner)
    assert "On all 4 floors it ends alike: on 1 by the same steps in the same order, on 3 in another" in told
    waits = sorted([7200.0, 1200.0, (outcome.first_noticed or 0.0) - outcome.first_water])
    assert waits[-1] == 7200.0
    assert f"By floor it is first noticed {Shown('metric').duration(waits[0]).removesuffix(' h')}" in told
    assert "2 h after the first water." in told
    assert f"By floor the lowest salinity of {first.tank} is 25 to {first.lowest:.3g} ppt." in told


def test_many_other_ends_are_not_all_spelled_out(burst: Kept) -> None:
    told = as_told(burst, *({"stopped_by": f"hand {k}"} for k in range(5)), {"still_running": True})
    assert told.count("On 1 of the other 6: ") == 3
    assert "On the last 3 of the other 6 in yet other ways. Of all 7 floors it runs on to the end on 1." in told
    assert "ever notices" not in told
    unnoticed = {"noticed_by": None, "first_noticed": None, "first_known": None, "still_running": True}
    told = as_told(burst, {"stopped_by": "hand"}, unnoticed, unnoticed)
    assert "Of all 4 floors it runs on to the end on 2, and nobody and nothing ever notices on 2." in told


def test_floors_that_are_told_apart_add_up_to_all(burst: Kept) -> None:
    """By hand: 1 as it is told, 1 by other steps, and 1 to 6 others."""
    for count in range(1, 7):
        told = as_told(burst, {}, *({"stopped_by": f"hand {k}"} for k in range(count)))
        alike = re.search(r"On (\d+) of (\d+) floors it ends as told here: on (\d+) by .* order, on (\d+) in", told)
        assert alike is not None
        here, every, same, other = map(int, alike.groups())
        assert (here, every) == (same + other, 2 + count)
        parts = re.findall(r"On (?:the last )?(\d+) of the other (\d+)", told)
        assert sum(int(part) for part, _ in parts) == (0 if count == 1 else count)
        assert {int(rest) for _, rest in parts} <= {every - here}
        assert ("On the other one: " in told) is (count == 1)


def led(burst: Kept, *changed: dict[str, object]) -> str:
    """The first sentence of a run of which one floor is that of the story, and one each has some of it changed."""
    outcome, design = burst
    assert outcome.floors is not None
    told = [outcome.told, *(replace(outcome.told, **change) for change in changed)]
    groups = tuple(Group((k,), (one,)) for k, one in enumerate(told))
    floors = replace(outcome.floors, count=len(told), ran=tuple(range(len(told))), member=0, groups=groups)
    return " ".join(by_floor_ends.headline(replace(outcome, floors=floors), Shown("metric"), Drains.of(design)))


@pytest.mark.parametrize(("changed", "words"), [
    ({"noticed_by": "tray probe reports water"}, "it is noticed otherwise (tray probe reports water): "),
    ({"noticed_by": None, "first_noticed": None}, "nobody and nothing notices it: "),
    ({"still_running": True, "stopped_by": None}, "it runs on to the end: "),
    ({"stopped_by": "keeper shuts stop tap by hand"}, "it stops otherwise (keeper shuts stop tap by hand): "),
    ({"by_place": {"study": 1e-3, "kitchen": 1e-4}}, "water comes to kitchen, too: "),
    ({"by_place": {}}, "study stays all but dry: "),
    ({"reopenings": 1}, "it starts again: "),
    ({"return_pump_dry_of": "nano"}, "the return pump of nano draws air: "),
    ({"first_known": None}, "no person hears of it: "),
    ({"noticed_by": None, "still_running": True, "stopped_by": None, "reopenings": 1, "first_known": None},
     "nobody and nothing notices it and it runs on to the end: "),
])  # fmt: skip
def test_the_first_sentence_names_what_differs(burst: Kept, changed: dict[str, object], words: str) -> None:
    assert led(burst, {}, changed).startswith(f"So it goes on 2 of 3 floors. On the other one {words}")


def test_the_first_sentence_tells_how_many_of_the_others_differ_in_what_and_in_litres(burst: Kept) -> None:
    own = {"on_floors": 20e-3, "by_place": {"study": 20e-3}, "onward": {"study": ("floor drain", 5e-3)}}
    few = {"on_floors": 2e-3, "by_place": {"study": 2e-3}, "onward": {}, "noticed_by": "cat"}
    wet = (replace(burst[0], told=replace(burst[0].told, **own)), burst[1])
    more = few | {"on_floors": 3e-3, "by_place": {"study": 3e-3}, "still_running": True, "stopped_by": None}
    assert led(wet, few, more) == (
        "So it goes on 1 of 3 floors. On the other 2 it is noticed otherwise (cat) and it runs on to the end on 1 of "
        "them: 2 to 3 L come onto floors, instead of 15 L that no drain takes (see below)."
    )
    drop = {"on_floors": 2.4e-6, "by_place": {"study": 2.4e-6}, "onward": {}}
    assert led(wet, drop).endswith(
        "no more than 2.4 mL comes onto floors, instead of 15 L that no drain takes (see below)."
    )
    dry = {"on_floors": 0.0, "by_place": {}, "onward": {}}
    assert led(wet, dry).endswith("no floor gets wet, instead of 15 L that no drain takes (see below).")
    both = (replace(wet[0], told=replace(wet[0].told, still_running=True)), wet[1])
    on = few | {"still_running": True}
    assert led(both, on).endswith("instead of 15 L that no drain takes; it runs on to the end there, too (see below).")
    alike = {"noticed_by": "cat"}
    assert led(wet, alike).endswith("15 L come onto floors and into no drain (see below).")


def test_few_others_that_differ_in_much_are_told_one_by_one(burst: Kept) -> None:
    """Two floors with an end of their own: no count of one stands in the sentence."""
    unseen = {"noticed_by": None, "first_noticed": None, "still_running": True, "stopped_by": None, "first_known": None}
    cat = {"noticed_by": "cat", "stopped_by": "hand", "reopenings": 1}
    told = led(burst, unseen, cat)
    assert "On the other 2 either nobody and nothing notices it and it runs on to the end, or it is noticed " in told
    assert "otherwise (cat) and it stops otherwise (hand): " in told
    assert "on 1 of them" not in told
    four = led(burst, unseen, unseen, cat, cat)
    assert "either" not in four
    assert "nobody and nothing notices it on 2 of them" in four


def test_a_drain_that_takes_water_on_other_floors_only_makes_another_end(burst: Kept) -> None:
    own = {"on_floors": 20e-3, "by_place": {"study": 20e-3}, "onward": {}}
    clear = (replace(burst[0], told=replace(burst[0].told, **own)), burst[1])
    gone = own | {"onward": {"study": ("floor drain", 5e-3)}}
    assert led(clear, gone) == (
        "So it goes on 1 of 2 floors. On the other one floor drain takes water: 15 L come onto floors and into no "
        "drain, instead of 20 L (see below)."
    )
    told = as_told(clear, gone)
    assert "On 1 of 2 floors it ends as told here." in told
    assert "On the other one: 15 L come onto floors and into no drain; first noticed" in told
    assert "; floor drain takes water; stopped: " in told
    drop = own | {"onward": {"study": ("floor drain", 1e-6)}}
    assert led(clear, drop) == ""
    taken = (replace(burst[0], told=replace(burst[0].told, **gone)), burst[1])
    assert "On the other one floor drain takes none: 20 L come onto floors" in led(taken, own)


def test_the_first_sentence_names_litres_that_are_far_from_those_told(burst: Kept) -> None:
    own = {"on_floors": 20e-3, "by_place": {"study": 20e-3}, "onward": {}}
    wet = (replace(burst[0], told=replace(burst[0].told, **own)), burst[1])
    many = {"on_floors": 50e-3, "by_place": {"study": 50e-3}, "onward": {}}
    assert led(wet, many) == "So it goes on all 2 floors, but with 20 to 50 L onto floors (told is 20 L)."
    assert led(wet, many, {**own, "noticed_by": "cat"}).startswith(
        "So it goes on 2 of 3 floors, but with 20 to 50 L onto floors (told is 20 L). On the other one it is noticed "
    )
    more = {"on_floors": 30e-3, "by_place": {"study": 30e-3}, "onward": {}}
    assert led(wet, more) == ""


def test_a_few_drops_are_no_dry_floor(burst: Kept) -> None:
    drop = {"on_floors": 2.4e-6, "by_place": {"study": 2.4e-6}, "onward": {}, "stopped_by": "hand"}
    assert "On the other one: no more than 2.4 mL comes onto floors; first noticed" in as_told(burst, drop)
    less = drop | {"on_floors": 4e-7, "by_place": {"study": 4e-7}}
    assert "On the other one: no more than some drops come onto floors; first noticed" in as_told(burst, less)
    dry = {"on_floors": 0.0, "by_place": {"cabinet tray": 1e-3}, "stopped_by": "hand"}
    assert "On the other one: no floor gets wet; water in cabinet tray; first noticed" in as_told(burst, dry)


def test_litres_that_a_drain_takes_are_in_no_range(burst: Kept) -> None:
    """On one floor ten times as much comes as on the other, and a drain takes all of it but half a litre."""
    few = {"on_floors": 2e-3, "by_place": {"study": 2e-3}, "onward": {}}
    many = {"on_floors": 20e-3, "by_place": {"study": 20e-3}, "onward": {"study": ("floor drain", 19.5e-3)}}
    outcome = replace(burst[0], told=replace(burst[0].told, **few))
    told = as_told((outcome, burst[1]), few, many)
    assert "By floor 0.5 to 2 L come onto floors and into no drain, 2 L in the middle of 3 floors." in told


# -- groups, and which floors are run ----------------------------------------------------------------------------------
def test_floors_with_the_same_story_are_one_group_and_one_of_the_largest_is_told(house: Plant) -> None:
    for reached, groups, runs_on in ((NEAR, [(0, 1), (2,)], 1 / 3), (SELDOM, [(1, 2), (0,)], 2 / 3)):
        found = branched(house, table(reached), drill(house, BURST)).floors
        assert found is not None
        assert [group.members for group in found.groups] == groups
        assert found.member in groups[0]
        assert (found.running, found.unnoticed) == (pytest.approx(runs_on), pytest.approx(runs_on))
        least, middle, most = (one.on_floors for one in by_water(found.told))
        assert least <= middle <= most
        assert least < most
        assert middle == sorted(one.on_floors for one in found.told)[1]


def test_what_most_floors_come_to_is_told_and_not_the_largest_group_of_one_story(
    house: Plant, outcome: Callable[..., Outcome]
) -> None:
    """Seven floors share a story that stops; thirteen run on, each into another room with a story of its own. Of these
    the end that most share, here three of them, and of two ends alike the one with more water."""
    wanted = drill(house, BURST)

    def one(member: int, running: bool, place: str, litres: float) -> tuple[int, Outcome]:
        told = {"still_running": running, "first_noticed": None if running else 60.0, "on_floors": litres * LITRE}
        made = outcome(wanted, by_place={place: litres * LITRE}, **told)
        return member, replace(made, beats=replace(made.beats, lines=made.beats.lines[: member if running else 0]))

    stopped = [one(member, False, "study", 1.0) for member in range(7)]
    alone = [one(7 + k, True, f"room {k}", 100.0 + k) for k in range(10)]
    three = [one(17 + k, True, "cellar", 50.0) for k in range(3)]
    assert most_alike([*stopped, *alone, *three][::-1])[0] >= 17
    assert most_alike([*stopped, *alone]) == [16]  # each end is as frequent: the graver is told


def test_only_the_outer_floors_are_run_where_they_come_to_the_same(
    house: Plant, outcome: Callable[..., Outcome]
) -> None:
    many = tuple((0.5 + 0.1 * member, NEVER) for member in range(9))
    wide = Tables([
        WettingTable((STUDY,), PROBES, ("study", "cabinet tray"), np.array([many]) * LITRE,
                     np.full((1, 9, 2), NEVER), np.full((1, 9, 2), "", dtype=object))
    ])  # fmt: skip
    wanted = drill(house, BURST)
    for lost, ran in ((0.0, (0, 8)), (1.0, tuple(range(9)))):
        made: list[Drill] = []

        def run(drills: Sequence[Drill], lost: float = lost, made: list[Drill] = made) -> Iterator[Outcome]:
            for one in drills:
                made.append(one)
                litres = max((litres for _, _, litres in one.lying.wets if litres < 1.0), default=0.0)  # type: ignore[union-attr]
                came = (Fed("study", (("riser", 1.0),), None),)
                yield replace(outcome(one, on_floors=LITRE * (5.0 + 1e4 * lost * litres)), fed=came)

        ((_, found),) = together([Branches(house, wide).branched(wanted)], run)
        assert found.floors is not None
        assert found.floors.ran == ran
        assert len(made) == 1 + len(ran)
        assert found.told.on_floors == pytest.approx(LITRE * (5.0 + 9.0 * lost) if lost else 5.0 * LITRE)


NINE = range(9)
HELD_LEAST = tuple((NEVER, 0.0 if member == 4 else 5.0 + 0.1 * member) for member in NINE)  # by the tray


@pytest.mark.parametrize(("taken", "ran"), [(0.0, (0, 4, 8)), (4.5, tuple(NINE))])
def test_the_floors_that_matter_in_a_place_further_on_are_run_and_all_where_a_drain_takes_more(
    house: Plant, outcome: Callable[..., Outcome], taken: float, ran: tuple[int, ...]
) -> None:
    """Only on a floor does water come to the tray, which holds least on a floor in the middle; what comes onto floors
    is the same on all, and on that one a drain takes most of it."""
    probed = np.array([tuple((0.5 + 0.1 * member, NEVER) for member in NINE)]) * LITRE
    onto = np.full((1, 9, 2), "study", dtype=object)
    ground = Tables(
        [WettingTable((STUDY,), PROBES, ("study", "cabinet tray"), probed, np.array([HELD_LEAST]) * LITRE, onto)]
    )

    def run(drills: Sequence[Drill]) -> Iterator[Outcome]:
        for one in drills:
            further = one.lying.wets != ()  # type: ignore[union-attr]
            came = (Fed("study", (("riser", 1.0),), None), *((Fed("cabinet tray", (("study", 1.0),), None),) * further))
            least = ("cabinet tray", 0.0) in one.lying.holds  # type: ignore[union-attr]
            onward = {"study": ("floor drain", LITRE * taken)} if least and taken else {}
            yield replace(outcome(one, on_floors=5.0 * LITRE, onward=onward), fed=came)

    ((_, found),) = together([Branches(house, ground).branched(drill(house, BURST))], run)
    assert found.floors is not None
    assert found.floors.ran == ran


def test_works_that_want_the_same_run_share_it() -> None:
    made: list[object] = []

    def run(drills: Sequence[Drill]) -> Iterator[Outcome]:
        made.extend(drills)
        yield from (str(one) for one in drills)  # type: ignore[misc]

    def work(*turns: str) -> Generator[list[str], list[str], list[str]]:
        said: list[str] = []
        for turn in turns:
            said += yield [turn]
        return said

    def works() -> list[Generator[list[str], list[str], list[str]]]:
        return [work("a", "b", "d"), work(), work("a", "c")]

    assert list(together(works(), run)) == [(1, []), (2, ["a", "c"]), (0, ["a", "b", "d"])]  # type: ignore[arg-type]
    assert made == ["a", "b", "c", "d"]
    assert list(in_order(together(works(), run))) == [["a", "b", "d"], [], ["a", "c"]]  # type: ignore[arg-type]


# -- a real plan -------------------------------------------------------------------------------------------------------
PLAN = """
floors:
  study:
    outline: [0 m x 0 m, 4.2 m x 3.5 m]
    openings:
      - {between: [1 m x 3.5 m, 1.8 m x 3.5 m], sill: 5 mm, leads to: kitchen}
    spots:
      cabinet tray: [0.3 m x 0.2 m, 1.1 m x 0.65 m]
      reservoir: [0.4 m x 0.25 m, 0.8 m x 0.55 m]
      study probe: 0.3 m x 0.9 m
      tray probe: 0.35 m x 0.25 m
      riser: [0 m x 1 m, 0.4 m x 1 m, 0.4 m x 0.5 m]
    readings:
      - {by: water tube, at: 1 m x 0.5 m, height: 12 mm}
      - {by: water tube, at: 0.4 m x 0.9 m, height: 2 mm}
      - {by: water tube, at: 3 m x 0.5 m, height: 8 mm}
"""


@pytest.fixture(scope="module")
def planned(text: str) -> Design:
    return read_text(text + PLAN, "planned.yaml")


COARSE = Asked(cell=0.1, members=4)


def test_a_drill_on_a_real_plan_reaches_each_probe_at_the_litres_of_its_floor(planned: Design) -> None:
    plant = lower(planned)
    (storey,) = look(planned, KINDS, COARSE)
    made = storey.table
    probe = next(k for k, one in enumerate(made.probes) if one.part == "study probe")
    expected = made.litres[made.sites.index(STUDY), :, probe]
    outcome = branched(plant, Plans(planned, COARSE), drill(plant, BURST))
    assert outcome.floors is not None
    (told,) = [one for one in outcome.floors.probes if one.part == "study probe"]
    assert told.litres == tuple(expected)
    assert np.isfinite(expected).any()
    found = runs(plant, Plans(planned, COARSE), drill(plant, BURST))
    seen = set()
    for lying, trace in found.items():
        litres = {part: volume for part, _, volume in (lying or Lying()).wets}.get("study probe")
        at = when(plant, trace, spot("study probe", "study"))
        if litres is not None and at is not None:
            seen.add(litres)
            assert lies(plant, trace, at, "study") == pytest.approx(max(litres, 1e-6), abs=1e-9)
    assert seen


JOINT = PLAN.replace("    spots:", "    joints: [{area: [0 m x 1.3 m, 0.1 m x 1.5 m], leads to: laundry}]\n    spots:")
BELOW = """
  laundry:
    outline: [10 m x 0 m, 12.6 m x 2.1 m]
    openings: [{between: [10 m x 0 m, 11 m x 0 m]}]
    spots: {filters: 10.5 m x 0.3 m}
"""


def test_on_each_floor_water_goes_on_to_what_it_reaches_first(text: str) -> None:
    """Second method: the litres of the spill at the joint, if that takes all, and at the door, floor by floor."""
    design = read_text(text + JOINT, "joint.yaml")
    plant = lower(design)
    ground = Plans(design, COARSE)
    outcome = branched(plant, ground, drill(plant, BURST, hours=48.0))
    assert outcome.floors is not None
    (looked,) = look(design, KINDS, COARSE, lambda site: (site.part, site.place) == STUDY)
    (spilled,) = looked.wetted
    by = [way.by for way in looked.storey.ways_out]
    expected = {}
    for member, floor in enumerate(looked.fitted.floors):
        takes = {way: floor.takes[k] for k, way in enumerate(by)}
        litres = {way: spilled.out[member, k] if takes[way] >= spilled.rate else NEVER for k, way in enumerate(by)}
        expected[member] = "laundry" if litres["joint"] < litres["opening"] else "kitchen"
    assert len(set(expected.values())) == 2  # both happen
    told = {
        member: told.onward["study"][0]
        for group in outcome.floors.groups
        for member, told in zip(group.members, group.told, strict=True)
        if told.onward.get("study", ("", 0.0))[1] > 1e-4
    }
    assert set(told.values()) == {"kitchen", "laundry"}
    assert told == {member: expected[member] for member in told}
    words = " ".join(story.ending(outcome, design, Shown("metric")))
    assert "By the plan, what study cannot hold goes on to " in words
    record = records.failure(outcome, design, Shown("metric"))["floors"]["onward"]
    assert sorted((one["to"], one["floors_count"]) for one in record if one["place"] == "study") == sorted(
        (to, list(told.values()).count(to)) for to in set(told.values())
    )


def test_a_joint_takes_a_weep_whole_and_next_to_nothing_of_a_burst(text: str) -> None:
    """Closed form: what lies when the joint is reached is the same at any rate; it takes all of what is no more than
    its own."""
    design = read_text(text + JOINT.replace("leads to: laundry", "takes: 0.15 L/min, leads to: laundry"), "part.yaml")
    ground = Plans(design, COARSE)
    slow, fast = (ground.figures(STUDY, "study", rate * 1e-3 / 60.0) for rate in (0.1, 2.0))
    assert slow is not None
    assert fast is not None
    (looked,) = look(design, KINDS, COARSE, lambda site: (site.part, site.place) == STUDY)
    (spilled,) = looked.wetted
    by = [way.by for way in looked.storey.ways_out].index("joint")
    at = np.array([spilled.lies[member][1][by] for member in range(COARSE.members)])
    first = slow.onto == "laundry"
    assert first.any()
    assert slow.holds[first] == pytest.approx(at[first] - spilled.first.min(axis=(1, 2))[first], rel=1e-5)
    assert set(fast.onto) <= {"kitchen", ""}
    outcome = branched(lower(design), ground, drill(lower(design), BURST, hours=48.0))
    words = " ".join(story.ending(outcome, design, Shown("metric")))
    rate = outcome.floors.asked[0].rate if outcome.floors else 0.0
    assert (rate > 0.3e-3 / 60.0) == ("A gap of study may take some of the" in words)


@pytest.mark.slow
def test_water_that_comes_down_by_a_joint_has_a_spot_on_the_floor_below(text: str) -> None:
    """No key of the study leads to the laundry: only the joint of its plan does."""
    design = read_text(text + JOINT + BELOW, "below.yaml")
    plant = lower(design)
    outcome = branched(plant, Plans(design, COARSE), drill(plant, BURST, hours=48.0))
    assert outcome.floors is not None
    lyings = {one.lying for one in [outcome.floors]}
    assert all(("study", "kitchen") in one.leads or ("study", "laundry") in one.leads for one in lyings)
    ground = Plans(design, COARSE)
    ground.want([("study", "laundry")])
    figures = ground.figures(("study", "laundry"), "laundry")
    assert figures is not None
    found = runs(plant, Plans(design, COARSE), drill(plant, BURST, hours=48.0))
    below = [lying for lying in found if lying and ("study", "laundry") in lying.leads]
    assert below
    assert any("laundry" in dict(lying.holds) for lying in below)


def test_the_story_the_row_and_the_document_tell_of_the_floors(house: Plant, text: str) -> None:
    design = read_text(text, "two_tanks.yaml")
    outcome = branched(house, table(NEAR), drill(house, BURST))
    told = " ".join(story.ending(outcome, design, Shown("metric")))
    assert "On 2 of 3 floors that fit the plan the water in study reaches study probe before it is 1 L" in told
    assert "On the other one: " in told
    assert failures.row(outcome, Shown("metric"), Drains.of(design))[0].endswith("by floor")
    record = records.failure(outcome, design, Shown("metric"))["floors"]
    assert record["floors_count"] == 3
    assert [group["told"] for group in record["groups"]] == [True, False]
    assert record["probes"][0]["never_fraction"] == pytest.approx(1.0 / 3.0, abs=1e-3)
    assert record["still_running_fraction"] == pytest.approx(1.0 / 3.0, abs=1e-3)
    least, middle, most = (record[f"litres_on_floors_{which}"] for which in ("least", "middle", "most"))
    assert least <= middle < most


class Held:
    """A memory that holds all that it was given."""

    def __init__(self) -> None:
        self.known: dict[str, list[tuple[Drill, Outcome]]] = {}

    def recalled(self, plant: str) -> list[tuple[Drill, Outcome]]:
        return self.known.get(plant, [])

    def keep(self, plant: str, found: Sequence[tuple[Drill, Outcome]]) -> None:
        self.known.setdefault(plant, []).extend(found)


SHED = """
floors:
  shed:
    outline: [0 m x 0 m, 3 m x 2 m]
    spots: {tub: [0.3 m x 0.3 m, 0.8 m x 0.7 m], tube: [0.2 m x 0.2 m, 2 m x 0.2 m], probe of leak stop: 1.2 m x 0.5 m}
"""
DAY_AWAY = (("travelling", 86400.0),)


def small(repository: Path, plan: str) -> Design:
    path = repository / "tests" / "study" / "small.yaml"
    return read_text(path.read_text(encoding="utf-8") + plan, "small.yaml")


@pytest.mark.slow
def test_a_study_of_a_design_with_a_plan_gives_ranges_and_without_one_nothing_changes(repository: Path) -> None:
    studied = {plan: run_study(small(repository, plan), pairs=True, who=DAY_AWAY) for plan in ("", SHED)}
    plain = {outcome.faults: outcome for outcome in studied[""].failures}
    assert not any(outcome.fed or outcome.floors for outcome in plain.values())
    assert not any("floors" in one for one in records.study(studied[""])["failures"])
    on_plan = {outcome.faults: outcome for outcome in studied[SHED].failures}
    assert on_plan.keys() == plain.keys()
    alone = [outcome for outcome in on_plan.values() if len(outcome.faults) == 1]
    wet = [outcome for outcome in alone if outcome.floors]
    assert {outcome.faults for outcome in wet} == {
        outcome.faults for outcome in plain.values() if len(outcome.faults) == 1 and "shed" in outcome.told.by_place
        and outcome.told.by_place["shed"] > 1e-6
    }  # fmt: skip
    for outcome in wet:
        assert outcome.floors is not None
        least, _, most = by_water(outcome.floors.told)
        assert least.on_floors <= outcome.told.on_floors <= most.on_floors
    assert not any(outcome.floors for outcome in on_plan.values() if len(outcome.faults) == 2)
    ranged = [outcome for outcome in wet if outcome.floors and outcome.floors.every]
    assert ranged


@pytest.mark.slow
def test_no_more_runs_are_told_than_there_will_be(repository: Path) -> None:
    """On floors a fault is run more than once; with other answers to an "unknown" each is run again."""
    heard: list[tuple[int, int]] = []
    text = (repository / "tests" / "study" / "small.yaml").read_text(encoding="utf-8") + SHED
    design = read_text(text.replace("when its probe dries: stays shut", "when its probe dries: unknown"), "small.yaml")
    made = run_study(
        design, pairs=False, who=DAY_AWAY, progress=lambda done, total, _: heard.append((done, total))
    )  # fmt: skip
    assert made.unknowns
    assert all(done <= total for done, total in heard)
    assert heard[-1][0] == heard[-1][1]


@pytest.mark.slow
def test_what_was_kept_of_one_plan_is_not_taken_for_another(repository: Path) -> None:
    """A memory keeps each run under its floor: a probe that was moved on the plan finds none of them."""
    moved = SHED.replace("1.2 m x 0.5 m", "2.6 m x 1.7 m")
    memory = Held()

    def studied(plan: str, memory: Held | None) -> StudyResult:
        return run_study(small(repository, plan), pairs=False, who=DAY_AWAY, memory=memory)

    first, again, other = (studied(plan, memory) for plan in (SHED, SHED, moved))
    assert first.failures == again.failures == studied(SHED, None).failures
    assert other.failures == studied(moved, None).failures
    assert other.failures != first.failures


# -- a drain that a fault stops ----------------------------------------------------------------------------------------
def test_blocked_drain_is_no_way_out_of_the_plan() -> None:
    """While it is clear the laundry passes on what reaches it; backed up, the room keeps its water and it wells up."""
    drained = plans.TWO_ROOMS.replace("tap: 0.3 m x 0.3 m", "tap: 0.3 m x 0.3 m\n      drain: 1 m x 1 m")
    ground = Plans(plans.house(drained), Asked(0.05, 4))
    blocked = ground.without(frozenset({"drain"}))
    assert (ground.drains, blocked.drains) == ({"drain"}, set())
    assert blocked is ground.without(frozenset({"drain"}))
    assert ground.figures(("drain", "laundry"), "laundry") is None
    clear, kept = (one.figures(("tap", "laundry"), "laundry") for one in (ground, blocked))
    assert clear is not None
    assert kept is not None
    assert (clear.holds <= kept.holds).all()
    assert (clear.holds < kept.holds).any()
    assert blocked.figures(("drain", "laundry"), "laundry") is not None

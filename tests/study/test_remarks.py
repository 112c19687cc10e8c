"""What runs show that no look at the file can: each remark on an installation built to have it."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.asked import idle
from dewpond.plant.consequence import Consequence
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Onset, Plant
from dewpond.plant.trace import Trace
from dewpond.study import drills, remarks
from dewpond.study.beats import Beats
from dewpond.study.drills import Drill
from dewpond.study.flows import flows
from dewpond.study.outcome import Change, Outcome, Remark, UnknownEffect
from dewpond.study.study import kept
from tests.study.floored import floored

Make = Callable[..., Outcome]
AWAY = ("travelling", 3.0 * DAY)


def changed(file: Path, *changes: tuple[str, str]) -> Plant:
    """The plant of a file with some of its text changed."""
    text = file.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return lower(read_text(text, file.name), "winter")


def unfailing(plant: Plant, horizon: float = AWAY[1]) -> list[Remark]:
    trace = engine.run(plant, drills.normal("travelling", horizon).scenario)
    return list(remarks.without_faults(plant, trace, kept(plant, trace, "")))


@pytest.fixture(scope="module")
def small(repository: Path) -> Path:
    return repository / "tests" / "study" / "small.yaml"


@pytest.fixture(scope="module")
def first_float(repository: Path) -> Path:
    return repository / "examples" / "first_float.yaml"


@pytest.mark.slow
def test_sound_installation_draws_no_remark(small: Path, first_float: Path) -> None:
    assert unfailing(changed(small)) == []
    assert unfailing(changed(first_float)) == []


def test_float_whose_mark_is_above_the_rim_floods_without_any_fault(small: Path) -> None:
    plant = changed(small, ("rim: 500 mm", "rim: 390 mm"))
    found = unfailing(plant)
    assert [remark.code for remark in found] == ["S201", "S202"]
    assert found[1].parts == ("tub",)
    room = plant.arrays.store_rim[0] - plant.arrays.store_start[0]
    assert found[0].numbers["after"] == pytest.approx(room / flows(plant).supply, rel=0.02)
    assert found[0].numbers["litres"] > 1e-3


def test_vessel_that_begins_full_to_its_rim_does_not_run_over(small: Path) -> None:
    assert unfailing(changed(small, ("overflow: none", "overflow: none, starts at: 500 mm"))) == []


@pytest.mark.slow
def test_outlet_below_the_reservoirs_water_siphons(first_float: Path) -> None:
    low = ("outlet: 42 cm above floor", "outlet: 10 cm above floor")
    (siphon,) = [r for r in unfailing(changed(first_float, low), 5.0 * 3600.0) if r.code == "S203"]
    assert siphon.parts == ("top-off pump",)
    assert siphon.numbers["litres"] > 1e-3


def test_waste_that_nobody_sees_is_remarked_on_and_waste_into_a_wet_room_is_not(first_float: Path) -> None:
    plant = changed(first_float)

    def run(*labels: str) -> Outcome:
        drill = Drill(tuple(Onset(label, 3600.0) for label in labels), "", "travelling", 2.0 * DAY)
        trace = engine.run(plant, drill.scenario, compiled=True)
        return kept(plant, trace, "")

    normal, waste = run(), run("shut-off: waste water runs on")
    burst = run("filters: joint blows off")
    (remark,) = remarks.wasting([waste, burst, normal], [normal], "travelling")
    assert (remark.code, remark.parts) == ("S209", ("shut-off: waste water runs on",))
    assert remark.numbers["litres"] == pytest.approx(waste.told.water.to_drain)
    assert remark.numbers["litres"] > 10.0 * remark.numbers["usual"]
    assert list(remarks.wasting([burst], [normal], "travelling")) == []


@pytest.mark.slow
def test_reservoir_that_is_never_filled_runs_empty_and_the_return_pump_dry(first_float: Path) -> None:
    plant = changed(first_float)
    drill = drills.single(plant.fault("float: stuck shut"), "travelling", 14.0 * DAY)
    trace = engine.run(plant, drill.scenario)
    codes = [r.parts for r in remarks.without_faults(plant, trace, kept(plant, trace, ""))]
    assert codes == [("return pump dry",), ("reservoir empty",)]


# Without the relay in its lead, the pump that runs on is stopped by nothing before the sump is full.
NO_CUT_OUT = ("effect: {top-off pump: stopped}, until: cause ends, by: pump cut-out", "effect: {}")


def run_with(plant: Plant, label: str, horizon: float = AWAY[1]) -> tuple[Trace, Outcome]:
    trace = engine.run(plant, drills.single(plant.fault(label), "travelling", horizon).scenario)
    return trace, kept(plant, trace, "")


@pytest.mark.slow
def test_pump_that_runs_on_siphons_back_when_it_stops(repository: Path) -> None:
    plant = changed(repository / "examples" / "two_tanks.yaml", NO_CUT_OUT)
    _, outcome = run_with(plant, "top-off pump: runs on")
    assert [part for part, _ in outcome.backwards] == ["top-off pump"]
    assert dict(outcome.backwards) == pytest.approx(dict(outcome.siphons), rel=1e-6)
    (found,) = remarks.back_flows([outcome])
    assert (found.code, found.level, found.parts) == ("S204", "note", ("top-off pump", "top-off pump: runs on"))
    assert found.numbers["litres"] > 5e-3
    worse = replace(outcome, told=replace(outcome.told, faults=("probe: dead",)), backwards=(("top-off pump", 0.5),))
    (found,) = remarks.back_flows([outcome, worse, replace(outcome, backwards=(("top-off pump", 0.1),))])
    assert found.parts == ("top-off pump", "probe: dead", "top-off pump: runs on")
    assert found.numbers["litres"] == 0.5
    # what runs back when nothing fails as well is no doing of the fault
    assert not list(remarks.back_flows([outcome], [replace(outcome, told=replace(outcome.told, faults=()))]))


@pytest.mark.slow
def test_water_that_goes_to_and_fro_with_a_fluttering_shut_off_has_not_run_backwards(first_float: Path) -> None:
    plant = changed(first_float)
    trace, outcome = run_with(plant, "check: lets water back")
    assert max(trace.starts) > 4e4
    assert outcome.backwards == ()
    edge = next(link.edge for link in plant.links if link.part == "check")
    sloshed = remarks.TO_AND_FRO * max(trace.starts)
    assert sloshed > 10 * remarks.SEEN
    for back, told in ((0.9 * sloshed, []), (1.1 * sloshed, [("check", pytest.approx(1.1 * sloshed))])):
        moved = tuple(-back if e == edge else 0.0 for e in range(len(trace.moved)))
        assert remarks.backwards(plant, replace(trace, moved=moved)) == told


@pytest.mark.slow
def test_nothing_ran_backwards_where_gates_were_not_resolved_but_for_siphons(repository: Path) -> None:
    plant = changed(repository / "examples" / "two_tanks.yaml", NO_CUT_OUT)
    trace, _ = run_with(plant, "top-off pump: runs on")
    edges = {link.edge: link.part for link in plant.links}
    moved = tuple(-1.0 if edges.get(edge) == "riser" else 0.0 for edge in range(len(trace.moved)))
    fluttering = replace(trace, moved=moved, flutter=3)
    assert remarks.backwards(plant, fluttering) == []
    assert remarks.backwards(plant, replace(fluttering, flutter=0)) == [("riser", 1.0)]
    assert [part for part, _ in remarks.backwards(plant, replace(trace, flutter=3))] == ["top-off pump"]


@pytest.mark.slow
def test_what_a_siphon_may_have_brought_about_names_it(first_float: Path) -> None:
    plant = changed(first_float, ("outlet: 42 cm above floor", "outlet: 10 cm above floor"))
    trace = engine.run(plant, drills.normal("travelling", 5.0 * 3600.0).scenario)
    told = replace(kept(plant, trace, "").told, first_water=1.0, on_floors=0.1, rim_first={"sump": 2.0},
                   return_pump_dry=3.0, reservoir_empty=4.0)  # fmt: skip
    found = remarks.without_faults(plant, trace, Outcome(told, Beats()))
    assert [(r.code, r.parts) for r in found] == [
        ("S201", ("top-off pump",)),
        ("S202", ("sump", "top-off pump")),
        ("S203", ("top-off pump",)),
        ("S206", ("return pump dry", "top-off pump")),
        ("S206", ("reservoir empty", "top-off pump")),
    ]


def test_faults_that_run_on_are_gathered_with_the_worst_of_them(plant: Plant, outcome: Make) -> None:
    alone = [d for d in drills.singles(plant) if d.who == "travelling"]
    home = [d for d in drills.singles(plant) if d.who == "at home"]
    outcomes = [
        outcome(alone[0], on_floors=0.2, still_running=True),
        outcome(alone[1], on_floors=0.9, still_running=True),
        outcome(alone[2], on_floors=5.0),
        outcome(home[3], on_floors=7.0, still_running=True),
    ]
    (found,) = remarks.endless(outcomes, "travelling")
    assert found == Remark(
        "S200",
        "warning",
        (*alone[1].labels, *alone[0].labels),
        {"litres": 0.9, "after": 14 * DAY, "count": 2, "floors": 2},
    )
    assert list(remarks.endless(outcomes[2:], "travelling")) == []
    gone = {"by_place": {"shed": 9.0, "gully": 0.0}, "onward": {"shed": ("gully", 8.98)}}
    drained = outcome(alone[0], on_floors=9.0, still_running=True, **gone)  # of which 20 L stay
    (found,) = remarks.endless([drained, outcomes[1]], "travelling", frozenset({"shed"}))
    assert found.parts == (*alone[1].labels, *alone[0].labels)
    assert found.numbers["litres"] == pytest.approx(0.9)
    assert found.numbers["drained"] == pytest.approx(8.98)
    tray = outcome(alone[3], still_running=True)  # its water stays in a tray
    (found,) = remarks.endless([tray, *outcomes], "travelling")
    assert found.parts[-1] == alone[3].labels[0]
    assert (found.numbers["count"], found.numbers["floors"]) == (3, 2)


def test_unknown_answer_is_remarked_when_it_decides_something(quiet: Consequence) -> None:
    change = [Change(replace(quiet, faults=("a: b",), who=who), quiet, ()) for who in ("travelling", "at home")]
    deciding = UnknownEffect("valve", "closes at", 0.5, 0.7, "", tuple(change))
    idle_ = replace(deciding, key="opens at", changes=())
    usual = replace(deciding, key="bore", changes=(Change(quiet, quiet, ()),))
    assert list(remarks.unknowns([deciding, idle_, usual])) == [
        Remark("S205", "warning", ("valve", "closes at"), {"count": 1})
    ]


def test_unresolved_runs_are_counted(plant: Plant, outcome: Make) -> None:
    one, other, *_ = drills.singles(plant)
    marked = outcome(one, marks=("doubtful: 3 steps were not resolved",))
    borderline = outcome(other, marks=("borderline: x",))
    assert list(remarks.doubtful([marked, borderline])) == [Remark("S208", "note", one.labels, {"count": 1, "of": 2})]
    assert list(remarks.doubtful([borderline])) == []


# --- hidden faults that meet nothing ---------------------------------------------------------------------------------


def idle_in(plant: Plant, label: str) -> frozenset[str]:
    drill = drills.single(plant.fault(label), *AWAY)
    return idle(plant, engine.run(plant, drill.scenario))


def test_battery_valve_meets_nothing_while_the_floor_is_dry_and_something_when_it_is_wet(plant: Plant) -> None:
    hidden = {f.label for f in plant.faults if f.timing == "latent" and f.part == "leak stop"}
    assert len(hidden) > 3
    dry = idle_in(plant, "ball: stuck shut")
    assert hidden - dry <= {"leak stop: mechanism seized"}
    assert hidden & idle_in(plant, "tube: burst, in shed") == set()


def test_float_never_counts_as_idle(plant: Plant) -> None:
    for label in ("supply: pressure lost", "leak stop: joint weeps, before the valve"):
        assert not any(name.startswith("ball: stuck open") for name in idle_in(plant, label))


def test_floods_that_end_are_remarked_worst_first_and_spills_are_not(plant: Plant, outcome: Make) -> None:
    alone = [d for d in drills.singles(plant) if d.who == "travelling"]
    lots = [
        outcome(alone[0], on_floors=6e-3),
        outcome(alone[1], on_floors=0.4),
        outcome(alone[2], on_floors=0.9, still_running=True),
        outcome(alone[3], on_floors=4e-3),
    ]
    (found,) = remarks.ended(lots, "travelling")
    assert (found.code, found.level, found.parts) == ("S214", "note", (*alone[1].labels, *alone[0].labels))
    assert (found.numbers["litres"], found.numbers["count"]) == (0.4, 2)
    assert list(remarks.ended(lots[2:], "travelling")) == []


def test_what_a_drain_took_is_no_flood(plant: Plant, outcome: Make) -> None:
    alone = [d for d in drills.singles(plant) if d.who == "travelling"]
    gone = {"by_place": {"shed": 9.0, "gully": 0.0}, "onward": {"shed": ("gully", 8.98)}}
    some = outcome(alone[0], on_floors=9.0, **gone)  # of which 20 L stay
    rest = {"by_place": {"shed": 9.0, "gully": 0.0}, "onward": {"shed": ("gully", 8.998)}}
    lots = [some, outcome(alone[1], on_floors=0.4), outcome(alone[2], on_floors=9.0, **rest)]
    (found,) = remarks.ended(lots, "travelling", frozenset({"shed"}))
    assert found.parts == (*alone[1].labels, *alone[0].labels)
    assert found.numbers == {"litres": 0.4, "flood": 5e-3, "count": 2, "drained": pytest.approx(8.98)}


def test_the_worst_is_that_on_the_worst_of_its_floors(plant: Plant, outcome: Make) -> None:
    """Told is the middle of three floors; on one of the others much more comes, and on one it ends."""
    alone = [d for d in drills.singles(plant) if d.who == "travelling"]
    told = outcome(alone[0], on_floors=0.6, still_running=True)
    three = (replace(told.told, on_floors=0.4, still_running=False), told.told, replace(told.told, on_floors=1.6))
    ranged = floored(told, *three)
    steady = outcome(alone[1], on_floors=0.9, still_running=True)
    (found,) = remarks.endless([steady, ranged], "travelling")
    assert found.parts == (*alone[0].labels, *alone[1].labels)
    assert found.numbers == {"litres": 1.6, "least": 0.4, "after": 14 * DAY, "count": 2, "floors": 2, "some": 1}
    ends = floored(replace(told, told=three[0]), *(replace(one, still_running=False) for one in three))
    (found,) = remarks.ended([ends], "travelling")
    assert found.numbers == {"litres": 1.6, "least": 0.4, "flood": 5e-3, "count": 1}


@pytest.mark.slow
def test_a_shut_off_without_rest_in_ordinary_days_is_remarked_on(first_float: Path) -> None:
    plant = changed(first_float)
    trace = engine.run(plant, drills.normal("travelling", 2.0 * DAY).scenario)
    usual = kept(plant, trace, "")
    assert [r for r in remarks.without_faults(plant, trace, usual) if r.code == "S216"] == []
    (product,) = usual.told.products
    restless = replace(usual.told, products=(product._replace(starts=1200.0),))
    (found,) = [r for r in remarks.without_faults(plant, trace, Outcome(restless, Beats())) if r.code == "S216"]
    assert found.parts == (product.membrane,)
    assert found.numbers["count"] == pytest.approx(600.0)


@pytest.mark.slow
def test_a_shut_off_that_flutters_in_ordinary_days_is_remarked_on(first_float: Path) -> None:
    """A feed that sags so much under flow that the shut-off opens again as soon as it has shut."""
    plant = changed(first_float)
    trace = engine.run(plant, drills.normal("travelling", 2.0 * DAY).scenario)
    assert trace.flutter == 0
    fluttering = replace(trace, flutter=1)
    (found,) = [r for r in remarks.without_faults(plant, fluttering, kept(plant, trace, "")) if r.code == "S217"]
    assert found.parts == ("membrane",)
    assert 0.0 < found.numbers["litres"] < 0.1

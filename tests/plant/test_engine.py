"""Whole designs through the engine: both example houses, every single fault, and the same house told otherwise."""

import random
import re
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path

import pytest

from dewpond.design.reader import read, read_text
from dewpond.plant import compile as ways
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.laying import lay
from dewpond.plant.lower import lower
from dewpond.plant.plant import Onset, Plant, Scenario
from tests.plant.nets import balance

EXAMPLES = ("first_float", "two_tanks")
DAY = 86400.0
SECTIONS = ("places", "water", "sensors", "controllers", "power")
AT_REST = "membrane: waste line blocked"
LEAKS = ("burst", "blows off", "stuck open", "cracks", "seam leaks", "runs on")


@pytest.fixture(scope="module", params=EXAMPLES)
def plant(request: pytest.FixtureRequest, repository: Path) -> Plant:
    return lower(read(repository / "examples" / f"{request.param}.yaml"), "winter")


def singles(plant: Plant, who: str, horizon: float) -> Iterator[Scenario]:
    """No fault, then every fault by itself: standing ones from before, the others after an hour."""
    yield Scenario(who, horizon)
    for fault in plant.faults:
        yield Scenario(who, horizon, (Onset(fault.label, 0.0 if fault.timing == "latent" else 3600.0),))


@pytest.mark.slow
def test_every_single_fault_balances_to_1e_9_and_is_followed_to_the_end_without_a_doubt(plant: Plant) -> None:
    tried, doubtful = 0, {}
    for scenario in singles(plant, "travelling", 2.0 * DAY):
        arrays = lay(plant, scenario)
        state = ways.run_once(arrays, len(plant.parts), scenario.horizon, compiled=True)
        lost = balance(arrays, state)
        assert abs(lost.water) < 1e-9 * lost.water_handled, scenario.onsets
        assert abs(lost.salt) < 1e-9 * lost.salt_handled, scenario.onsets
        trace = engine.read(plant, scenario, state, 0)
        if trace.doubtful or trace.events_lost or trace.end != scenario.horizon:
            doubtful[scenario.onsets] = trace.doubtful, trace.events_lost, trace.end
        tried += 1
    assert tried > 60
    assert doubtful == {}


def test_water_that_stands_everywhere_is_no_doubt(repository: Path) -> None:
    """The waste line is blocked and the float shut: nothing flows, under mains pressure. Eight hours are enough."""
    plant = lower(read(repository / "examples" / "two_tanks.yaml"), "winter")
    trace = engine.run(plant, Scenario("travelling", 28_690.0, (Onset(AT_REST, 0.0),)), compiled=True)
    assert trace.doubtful == 0
    assert trace.steps < 2000


@pytest.mark.slow
def test_plain_python_and_compiled_kernel_give_the_same_trace(plant: Plant) -> None:
    rng = random.Random(2)
    labels = [f.label for f in plant.faults if f.timing != "latent"]
    for label in rng.sample(labels, 5):
        scenario = Scenario("travelling", 0.5 * DAY, (Onset(label, 600.0),))
        assert repr(engine.run(plant, scenario, rows=40)) == repr(engine.run(plant, scenario, rows=40, compiled=True))


@pytest.mark.slow
def test_order_of_scenarios_changes_no_byte(plant: Plant) -> None:
    rng = random.Random(3)
    scenarios = rng.sample(list(singles(plant, "out", 1.0 * DAY)), 12)
    first = {s.onsets: repr(engine.run(plant, s, compiled=True)) for s in scenarios}
    again = {s.onsets: repr(engine.run(plant, s, compiled=True)) for s in reversed(scenarios)}
    assert first == again


def shuffled(text: str, seed: int) -> str:
    """The design with the parts of every section dealt anew; a part may run over several lines."""
    rng = random.Random(seed)
    out: list[str] = []
    parts: list[list[str]] = []
    section = ""
    for line in [*text.splitlines(), "end: of file"]:
        if re.match(r"\S", line):
            rng.shuffle(parts)
            out += [one for part in parts for one in part]
            parts = []
            section = line.partition(":")[0]
            out.append(line)
        elif section not in SECTIONS:
            out.append(line)
        elif re.match(r"  \S", line):
            parts.append([line])
        elif parts:
            parts[-1].append(line)
    return "\n".join(out[:-1]) + "\n"


@pytest.mark.slow
@pytest.mark.parametrize("name", EXAMPLES)
def test_shuffled_parts_of_a_design_file_change_no_byte_of_what_follows(name: str, repository: Path) -> None:
    text = (repository / "examples" / f"{name}.yaml").read_text("utf-8")
    straight = read_text(text, "straight")
    for seed in range(3):
        other = read_text(shuffled(text, seed), "shuffled")
        assert [p.name for p in other.parts] != [p.name for p in straight.parts]
        assert sorted(p.name for p in other.parts) == sorted(p.name for p in straight.parts)
        one, two = lower(straight, "winter"), lower(other, "winter")
        labels = [f.label for f in one.faults if any(word in f.name for word in LEAKS)]
        assert len(labels) > 8
        for label in labels:
            scenario = Scenario("travelling", 2.0 * DAY, (Onset(label, 600.0),))
            wanted, seen = (judge(p, engine.run(p, scenario, compiled=True)) for p in (one, two))
            for field in fields(Consequence):
                was, now = getattr(wanted, field.name), getattr(seen, field.name)
                if field.name == "asked":  # told in the order of the file
                    was, now = sorted(was), sorted(now)
                assert repr(now) == repr(was), f"seed {seed}, {label}, {field.name}"


@pytest.mark.slow
def test_half_the_tolerance_changes_litres_by_less_than_a_thousandth_and_no_outcome(plant: Plant) -> None:
    """design.md: less than 0.1 %, and no outcome. A spoonful more or less is let pass."""
    for label in [f.label for f in plant.faults if any(word in f.name for word in LEAKS)]:
        scenario = Scenario("travelling", 3.0 * DAY, (Onset(label, 600.0),))
        usual, finer = (
            judge(plant, engine.run(plant, scenario, compiled=True, tolerance=tolerance)) for tolerance in (1.0, 0.5)
        )
        near = {place: pytest.approx(v, rel=1e-3, abs=1e-5) for place, v in finer.by_place.items()}
        assert usual.by_place == near, label
        assert usual.water.to_drain == pytest.approx(finer.water.to_drain, rel=1e-3, abs=1e-4), label
        assert usual.water.supply == pytest.approx(finer.water.supply, rel=1e-3, abs=1e-4), label
        for one, two in zip(usual.tanks, finer.tanks, strict=True):
            assert (one.lowest, one.highest) == pytest.approx((two.lowest, two.highest), rel=1e-3), label
        for field in ("still_running", "reopenings", "noticed_by", "stopped_by"):
            assert getattr(usual, field) == getattr(finer, field), f"{label}: {field}"


def test_season_changes_the_water_and_not_the_house(repository: Path) -> None:
    design = read(repository / "examples" / "first_float.yaml")
    winter, summer = lower(design, "winter"), lower(design, "summer")
    assert winter.parts == summer.parts
    assert [f.label for f in winter.faults] == [f.label for f in summer.faults]
    assert winter.arrays.const[2] > 1.2 * summer.arrays.const[2]  # colder water is thicker


def test_trace_of_a_run_reads_its_own_numbers(plant: Plant) -> None:
    scenario = Scenario("travelling", DAY)
    trace = engine.run(plant, scenario, rows=30, compiled=True)
    assert trace.end == DAY
    assert len(trace.row_time) <= 30
    assert trace.row_time[0] == 0.0
    assert trace.row_time[-1] == DAY
    assert all(len(row) == len(plant.stores) + len(plant.places) for row in trace.row_value)
    assert list(trace.row_time) == sorted(trace.row_time)
    assert sum(trace.place_total) == 0.0
    assert trace.total[prim.V_SUPPLY] >= 0.0


def test_a_reservoir_begins_at_the_mark_of_its_float_unless_the_file_says_otherwise(repository: Path) -> None:
    plant = lower(read(repository / "examples" / "first_float.yaml"))
    start = plant.arrays.store_start[plant.stores.index("reservoir")]
    assert start == pytest.approx(0.3 * 0.3 * 0.265)  # quite shut at 265 mm, 30 cm x 30 cm, both from the file


def dried_up(text: str) -> float:
    """What evaporates in two days in which nothing fails [m3]."""
    plant = lower(read_text(text, "house.yaml"), "winter")
    return judge(plant, engine.run(plant, Scenario("travelling", 2.0 * 86400.0), compiled=True)).water.evaporated


def test_a_tank_dries_in_the_air_of_its_own_room_wherever_that_stands_in_the_file(repository: Path) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text()
    room = next(line for line in text.splitlines() if line.startswith("  living room:"))
    damp = room.replace("{kind: room,", "{kind: room, air humidity: {winter: 70 %, summer: 70 %},")
    tank = next(line for line in text.splitlines() if "kind: display tank" in line)
    assert "in:" not in tank  # it stands where its sump stands
    dry, wet = dried_up(text), dried_up(text.replace(room, damp))
    assert wet < 0.8 * dry
    first = text.replace(f"{room}\n", "").replace("places:\n", f"places:\n{damp}\n")
    assert first.index(damp) < first.index("  utility room:")
    assert dried_up(first) == wet
    said = text.replace(room, damp).replace(
        tank, tank.replace("kind: display tank,", "kind: display tank, in: living room,")
    )
    said = said.replace(
        "kind: display tank, in: living room,", "kind: display tank, in: living room, bottom: 75 cm above floor,"
    )
    assert dried_up(said) == pytest.approx(wet, rel=1e-9)


def test_a_tube_that_ends_in_a_tank_over_its_sump_is_measured_from_their_floor(repository: Path) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text()
    upstairs = text.replace("living room:  {kind: room,", "living room:  {kind: room, floor height: 3 m,")
    assert upstairs != text
    line = next(line for line in upstairs.splitlines() if "kind: top-off pump" in line)
    into_tank = upstairs.replace(
        line, line.replace("to: sump", "to: reef").replace("42 cm above floor", "130 cm above floor")
    )
    plant = lower(read_text(into_tank, "house.yaml"), "winter")
    pump = plant.parts.index("top-off pump")
    a = plant.arrays
    ends = {
        a.node_z[b] for b, o in zip(a.edge_b, a.edge_owner, strict=True) if o == pump and a.node_kind[b] == prim.SPOUT
    }
    assert ends == {4.3}

"""The matrix as data: who does what to what, with which mark; and truth tables, held against a model of the rows."""

import random
from collections.abc import Mapping
from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.study.matrix import truth
from dewpond.study.matrix.build import build
from dewpond.study.matrix.logic import box_logics
from dewpond.study.matrix.model import Line, Matrix
from dewpond.study.matrix.truth import MOST_ROWS, Table, tables
from tests.plant.houses import controller, design
from tests.report.matrix_houses import HOUSES, MORE, SECOND, TRIP, house
from tests.report.rows_model import BoxModel


@pytest.fixture(scope="module")
def two_tanks(repository: Path) -> Matrix:
    return build(read(repository / "examples" / "two_tanks.yaml"))


def made(*rows: str, controllers: str = "", messages: str = MORE, at_rest: str = "shut") -> Matrix:
    return build(read_text(design(*rows, controllers=controllers, messages=messages, at_rest=at_rest), "house.yaml"))


def line(matrix: Matrix, number: str) -> Line:
    (found,) = [one for one in matrix.lines if one.number == number]
    return found


# --- marks ------------------------------------------------------------------------------------------------------------
def test_marks_of_the_two_tanks_are_those_of_its_rows(two_tanks: Matrix) -> None:
    """By hand, from the rows of examples/two_tanks.yaml."""
    assert {one.number: dict(one.marks) for one in two_tanks.lines} == {
        "1": {"feed valve": "T", "top-off pump": "T", "small doser": "T", "message: leak message": "M"},
        "2": {"top-off pump": "P"},
        "2.1": {"top-off pump": "T", "message: level message": "M"},
        "3": {"top-off pump": "t", "message: level message": "M"},
        "4": {"small doser": "P"},
        "4.1": {"small doser": "T", "message: level message": "M"},
        "5": {"small doser": "t", "message: level message": "M"},
        "6": {"message: level message": "M"},
        "A1": {"cell valve": "T"},
        "A2": {"shut-off": "t"},
        "A3": {"float": "t"},
    }


def test_each_order_is_carried_out_by_the_box_that_drives_the_part_or_by_the_one_the_row_names(
    two_tanks: Matrix,
) -> None:
    assert dict(line(two_tanks, "1").carried) == {
        "cellar box": ("feed valve",), "level box": ("top-off pump", "small doser"),
    }  # fmt: skip
    assert dict(line(two_tanks, "3").carried) == {"pump cut-out": ("top-off pump",)}
    assert dict(line(two_tanks, "6").carried) == {"cellar box": ()}  # where its sensor ends: it only tells
    assert two_tanks.effect("top-off pump").boxes == ("level box", "pump cut-out")


def test_a_pause_is_a_bypass_and_shows_on_what_it_holds_off() -> None:
    matrix = made(
        "{cause: low mark low, effect: {pump: running}, at most: 1 h a run}",
        "{cause: feeding begun, effect: {pump: stopped}}",
        "{cause: probe wet and feeding not begun, effect: {feed valve: shut}, until: re-armed by hand}",
    )
    marks = {one.number: dict(one.marks) for one in matrix.lines if one.sort == "row"}
    assert marks == {"1": {"pump": "PB"}, "2": {"pump": "B"}, "3": {"feed valve": "TB"}}


@pytest.mark.parametrize(
    ("after", "mark", "until"),
    [
        ("", "t", "cause ends"),
        (", when a run is too long: {effect: stopped, until: cause ends}", "t", "cause ends"),
        (", when a run is too long: {effect: stopped, until: re-armed by hand}", "T", "re-armed"),
    ],
)
def test_a_run_too_long_is_a_cause_of_its_own(after: str, mark: str, until: str) -> None:
    matrix = made(f"{{cause: low mark low, effect: {{pump: running}}, at most: 4 min a run{after}}}")
    run = line(matrix, "1.1")
    assert (run.sort, run.whose, dict(run.marks), run.until) == ("run", "pump", {"pump": mark}, until)
    assert (run.limits.at_most, dict(run.orders)) == (240.0, {"pump": "stopped"})


def test_a_message_that_is_called_like_a_part_has_a_column_of_its_own() -> None:
    messages = "messages:\n  pump: {priority: now, path: [box, keeper]}\n"
    matrix = made("{cause: high mark high, effect: {pump: stopped}, tell: pump}", messages=messages)
    assert [(effect.key, effect.sort) for effect in matrix.effects if effect.name == "pump"] == [
        ("pump", "ordered"), ("message: pump", "message"),
    ]  # fmt: skip
    assert dict(line(matrix, "1").marks) == {"pump": "t", "message: pump": "M"}


def test_no_rows_leave_only_what_acts_by_itself(repository: Path) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    start = text.index("matrix:")
    matrix = build(read_text(text[:start] + text[text.index("people:") :], "none.yaml"))
    assert [(one.sort, one.whose) for one in matrix.lines] == [("own", "shut-off"), ("own", "float")]
    assert (matrix.boxes, box_logics(matrix)) == ((), ())


@pytest.mark.parametrize(
    ("written", "power", "known"), [("shut", "shut", True), ("open", "open", True), ("unknown", "shut", False)]
)
def test_position_without_power_is_that_of_the_file_or_said_not_to_be_known(
    written: str, power: str, known: bool
) -> None:
    losses = made(TRIP, at_rest=written).effect("feed valve").losses
    assert losses is not None
    assert (losses.power, losses.signal, "power" not in losses.not_known) == (power, power, known)


def test_order_over_a_network_is_lost_with_it() -> None:
    socket = (
        f"{controller()}\n  router: {{kind: network, power: tank circuit}}\n  socket: {{kind: switched socket, "
        "power: tank circuit, ordered over: router, without orders: keeps last order}"
    )
    text = design("{cause: low mark low, effect: {pump: running}, at most: 4 min a run}", controllers=socket)
    text = text.replace("driven by: box}\n  sump", "driven by: box, through: socket}\n  sump")
    losses = build(read_text(text, "house.yaml")).effect("pump").losses
    assert losses is not None
    assert (losses.network, losses.over, losses.through) == ("keeps last order", "router", "socket")


def test_sensor_keeps_its_two_facts_apart(two_tanks: Matrix) -> None:
    sensor = two_tanks.sensors["high mark"]
    assert (sensor.state, sensor.contact, sensor.read_when) == ("high", "opens when high", "open")


# --- truth tables -----------------------------------------------------------------------------------------------------
ONE_BOX = [name for name, (_, controllers, _) in HOUSES.items() if SECOND not in controllers]


def row_of(table: Table, facts: Mapping[str, bool]) -> str:
    """The result of the one row that fits."""
    (result,) = [result for known, result in table.rows if all(facts[name] == value for name, value in known.items())]
    return result


def expected(of: Design, facts: Mapping[str, bool]) -> dict[str, bool]:
    """What the model of the rows makes of the facts of a table: part -> it gets current, latch -> tripped."""
    model = BoxModel(of, "box")
    says = {}
    for part in of.parts:
        state = next((w for w in ("wet", "low", "high") if part.get(f"read as {w} when")), "begun")
        so = facts.get(f"{part.name} {state}", False)
        says |= {(part.name, state): so, (part.name, {"wet": "dry"}.get(state, "normal")): not so}
    model.first, model.up, model.button = False, 1e9, False
    for number, row in enumerate(of.rows):
        model.stood[number] = 1e9
        model.tripped[number] = facts.get(f"row {number + 1} tripped at box before", False)
        for part, _ in row.effects:
            model.locked[number, part] = facts.get(f"{part} held off by row {number + 1} at box before", False)
    for part in ("pump", "feed valve"):
        for number in range(len(of.rows)):
            model.ran[number, part] = 1e9 if facts.get(f"{part} has run too long now") else 0.0
        model.rested[part] = None if facts.get(f"{part} has rested too short a time") else 1e9
        model.today[part] = 1e9 if facts.get(f"{part} has given its most today") else 0.0
    orders, told = model.scan(says, facts.get("re-arm pressed at box", False), False, 0.0)
    found = orders | told
    if not facts.get("power at box", True):
        found = dict.fromkeys(found, False)
    return found | {f"row {n + 1} tripped at box": tripped for n, tripped in model.tripped.items()}


@pytest.mark.parametrize("name", ONE_BOX)
def test_every_table_is_whole_and_says_what_the_rows_say(name: str) -> None:
    of, rng = house(name), random.Random(f"truth {name}")
    matrix = build(of)
    found = [
        table
        for table in tables(matrix)
        if table.effect not in {one.whose for one in matrix.lines if one.sort == "own"}
    ]
    inputs = sorted({name for table in found for name in table.inputs})
    assert found
    for table in found:
        covered = sum(2 ** (len(table.inputs) - len(known)) for known, _ in table.rows)
        assert covered == 2 ** len(table.inputs)
        assert len(table.rows) <= min(MOST_ROWS, 2 ** len(table.inputs))
    for _ in range(300):
        facts = {name: rng.random() < (0.9 if name.startswith("power") else 0.4) for name in inputs}
        wanted = expected(of, facts)
        for table in found:
            result = row_of(table, facts)
            assert result == table.results[wanted[table.effect]], (table.effect, facts)


def test_table_of_a_vote_by_hand() -> None:
    table = next(t for t in tables(build(house("vote"))) if t.effect == "feed valve")
    told = {tuple(sorted(name for name, so in known.items() if so and name != "power at box")): result
            for known, result in table.rows if known["power at box"]}  # fmt: skip
    assert told == {
        ("probe wet", "second probe wet"): "shut",
        ("high mark high", "probe wet"): "shut",
        ("high mark high", "second probe wet"): "shut",
        ("probe wet",): "open",
        ("second probe wet",): "open",
        (): "open",
    }


def test_what_would_be_too_many_rows_is_told_by_whole_causes_and_then_by_whole_trips(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rows = [
        f"{{cause: {sensor}, effect: {{feed valve: shut}}, until: re-armed by hand}}"
        for sensor in (
            "probe wet or low mark low",
            "second probe wet or low mark low",
            "high mark high or low mark low",
        )
    ]
    matrix = made(*rows)

    def valve(most: int) -> Table:
        monkeypatch.setattr(truth, "MOST_ROWS", most)
        return next(t for t in tables(matrix) if t.effect == "feed valve")

    whole = valve(256)
    assert {"probe wet", "row 1 tripped at box before"} <= set(whole.inputs)
    fewer = valve(len(whole.rows) - 1)
    assert "cause of row 1" in fewer.inputs
    fewest = valve(1)
    assert fewest.inputs == ("power at box", *(f"row {n} tripped at box" for n in (1, 2, 3)))
    assert len(fewest.rows) < len(fewer.rows) < len(whole.rows)


def test_two_boxes_on_one_pump_are_both_asked() -> None:
    table = next(t for t in tables(build(house("two boxes"))) if t.effect == "pump")
    runs = [known for known, result in table.rows if result == "running"]
    assert runs
    for known in runs:
        assert (known["power at box"], known["power at cut-out"], known["high mark high"]) == (True, True, False)

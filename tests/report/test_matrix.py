"""The sheet, the files and the walk: what a person reads, takes along and enters."""

import csv
import io
from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.report import matrix_records, page, terminal
from dewpond.report.export.files import MARKS, files
from dewpond.report.export.structured_text import structured_text
from dewpond.report.export.tables import as_csv, settings_csv
from dewpond.report.views.blocks import Grid
from dewpond.report.views.hands import LONG
from dewpond.report.views.matrix import ACROSS, matrix_report
from dewpond.report.views.sheet import unasked
from dewpond.report.views.shown import Shown
from dewpond.report.views.walk import Walk, walk
from dewpond.study.matrix.build import build
from dewpond.study.matrix.model import Matrix
from dewpond.study.matrix.truth import tables
from tests.plant.houses import controller, design
from tests.plant.random_designs import random_design
from tests.report.matrix_houses import EXAMPLES, HOUSES, MORE, TRIP, house


def example(repository: Path, name: str) -> Design:
    return read(repository / "examples" / f"{name}.yaml") if name in EXAMPLES else house(name)


def told(of: Design) -> str:
    return " ".join(terminal.render(matrix_report(of, build(of))).split())


def walked(of: Design) -> tuple[Matrix, Walk]:
    matrix = build(of)
    return matrix, walk(of, matrix)


def records(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def grids_of(of: Design, caption: str) -> list[Grid]:
    """The tables of the sheet that are so called."""
    blocks = (block for section in matrix_report(of, build(of)).sections for block in section.blocks)
    return [block for block in blocks if isinstance(block, Grid) and block.caption == caption]


# --- the sheet --------------------------------------------------------------------------------------------------------
@pytest.mark.slow
@pytest.mark.parametrize("name", [*EXAMPLES, *HOUSES])
def test_terminal_shows_every_mark_in_eighty_columns(repository: Path, name: str) -> None:
    of = example(repository, name)
    matrix = build(of)
    report = matrix_report(of, matrix)
    assert max(len(text) for text in terminal.render(report).splitlines()) <= 80
    grids = [block for block in report.sections[0].blocks if isinstance(block, Grid)]
    shown = [
        cell for grid in grids for row in grid.rows for cell in row if cell in ("T", "t", "P", "M", "B", "PB", "TB")
    ]
    assert sorted(shown) == sorted(mark for line in matrix.lines for mark in line.marks.values())
    assert all("date" in grid.head and "initials" in grid.head for grid in grids)


@pytest.mark.slow
def test_a_sheet_with_many_effects_is_split_and_no_cell_lost() -> None:
    names = [f"message {n}" for n in range(1, 13)]
    messages = "messages:\n" + "".join(f"  {name}: {{priority: now, path: [box, keeper]}}\n" for name in names)
    rows = [f"{{cause: probe wet, lasting: {n} s, tell: {name}}}" for n, name in enumerate(names, 1)]
    of = read_text(design(TRIP.replace("tell: leak message", "tell: message 1"), *rows, messages=messages), "many.yaml")
    grids = [b for b in matrix_report(of, build(of)).sections[0].blocks if isinstance(b, Grid)]
    parts = [grid for grid in grids if "part" in grid.caption]
    assert len(parts) == 3  # a valve, a pump and twelve messages, five beside each other
    assert all(len(grid.head) <= ACROSS + 3 for grid in parts)
    assert max(len(text) for text in terminal.render(matrix_report(of, build(of))).splitlines()) <= 80


@pytest.mark.slow
def test_no_rows_are_said_in_plain_words(repository: Path) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    of = read_text(text[: text.index("matrix:")] + text[text.index("people:") :], "none.yaml")
    said = told(of)
    assert "There is no matrix in this file" in said
    assert "{cause: tray probe wet" in said
    assert "float (shut)" in said
    assert records(files(of, build(of))["matrix.csv"])[0]["Dewpond matrix"] == "A1"


@pytest.mark.slow
def test_what_the_file_does_not_know_is_said_with_what_was_taken(repository: Path) -> None:
    of = example(repository, "first_float")
    (grid,) = [b for s in matrix_report(of, build(of)).sections for b in s.blocks
               if isinstance(b, Grid) and b.caption == "Box by box"]  # fmt: skip
    cleared, keeps = "not known, taken as “cleared”", "not known, taken as “keeps last order”"
    assert grid.rows == (("small box", f"in a power cut: trips {cleared}, counts {cleared}", keeps),)


@pytest.mark.slow
def test_page_holds_sheet_settings_and_walk(repository: Path) -> None:
    of = example(repository, "two_tanks")
    html = page.render(matrix_report(of, build(of)))
    for words in ("Causes down, effects across", "driven by level box; also in its lead: pump cut-out",
                  "contact opens when high; read as high when open", "See that water flows again"):  # fmt: skip
        assert words in html


def test_a_demand_ends_with_its_cause_whatever_is_to_be_re_armed() -> None:
    of = house("a demand whose message is re-armed")
    matrix, made = walked(of)
    row = records(files(of, matrix)["settings.csv"])[0]
    assert row["until"] == "the cause ends; its message: re-armed by hand when it is normal"
    assert "What has tripped" not in made.steps[0].put_back


@pytest.mark.slow
def test_a_pump_is_at_rest_unless_its_row_calls_on_terminal_page_and_csv(repository: Path) -> None:
    """Who enters "stopped, else running" as a fallback has a pump that runs unless it is told not to."""
    of = example(repository, "two_tanks")
    matrix = build(of)
    report = matrix_report(of, matrix)
    heads = [grid.caption for block in report.sections for grid in block.blocks if isinstance(grid, Grid)]
    pumps = [head for head in heads if head.startswith("top-off pump:")]
    assert len(pumps) == 1
    assert pumps[0].startswith(
        "top-off pump: at rest stopped; it runs only while row 2 calls for it and nothing stops it; driven by"
    )
    assert any(": shut, else open; driven by" in head for head in heads)  # a valve that nothing has to call for
    assert not any("else running" in head for head in heads)
    (lost,) = grids_of(of, "Part by part")
    at = lost.head.index("while no cause acts")
    rests = {row["Dewpond settings"]: row["while no cause acts"] for row in records(files(of, matrix)["settings.csv"])}
    assert {row[0]: row[at] for row in lost.rows} == rests
    assert rests["top-off pump"] == "stopped"


@pytest.mark.slow
def test_a_relay_has_no_memory_and_a_box_says_what_it_keeps(repository: Path) -> None:
    of = example(repository, "two_tanks")
    (grid,) = grids_of(of, "Box by box")
    relays = [row[1] for row in grid.rows if row[2].startswith("has no program")]
    boxes = [row[1] for row in grid.rows if not row[2].startswith("has no program")]
    assert len(relays) == 2
    assert all(said.startswith("has no memory") and "cleared" not in said for said in relays)
    assert all("trips kept, counts kept" in said for said in boxes)


# --- CSV --------------------------------------------------------------------------------------------------------------
@pytest.mark.slow
def test_csv_of_the_sheet_holds_every_mark_and_room_for_date_and_initials(repository: Path) -> None:
    of = example(repository, "two_tanks")
    rows = records(files(of, build(of))["matrix.csv"])
    assert [row["Dewpond matrix"] for row in rows] == ["1", "2", "2.1", "3", "4", "4.1", "5", "6", "A1", "A2", "A3"]
    assert (rows[0]["feed valve (shut)"], rows[0]["small doser (stopped)"], rows[0]["leak message"]) == ("T", "T", "M")
    assert {(row["date"], row["initials"]) for row in rows} == {("", "")}


@pytest.mark.slow
def test_settings_hold_a_record_for_each_part_and_cause(repository: Path) -> None:
    of = example(repository, "two_tanks")
    rows = records(files(of, build(of))["settings.csv"])
    mine = [row for row in rows if row["Dewpond settings"] == "top-off pump"]
    assert [row["no."] for row in mine] == ["1", "2", "2.1", "3"]
    run = mine[1]
    assert (run["at most a run"], run["between runs"], run["at most a day"]) == ("4 min", "20 min", "9 L")
    assert (run["while no cause acts"], run["without power"], run["order"]) == ("stopped", "stopped", "running")
    high = mine[3]
    assert high["contact and how it is read"] == (
        "high mark: contact opens when high; read as high when open, wired to pump cut-out"
    )
    assert (high["carried out by"], high["also in its lead"], high["until"]) == (
        "pump cut-out", "pump cut-out", "the cause ends",
    )  # fmt: skip


@pytest.mark.slow
def test_settings_are_shown_in_the_units_of_the_file(repository: Path) -> None:
    text = (repository / "examples" / "two_tanks.yaml").read_text("utf-8").replace("shown in: metric", "shown in: US")
    of = read_text(text, "us.yaml")
    rows = records(files(of, build(of))["settings.csv"])
    assert {row["at most a day"] for row in rows} == {"", "2.4 US gal", "0.63 US gal"}


@pytest.mark.slow
def test_no_cell_is_taken_for_a_formula() -> None:
    text = as_csv(["a"], [["=1+1"], ["-"], ["+x"], ["@y"], ["-z"], ['say "no", twice\nover'], ["—"]])
    cells = [row[0] for row in csv.reader(io.StringIO(text))]
    assert cells == ["a", "'=1+1", "-", "'+x", "'@y", "'-z", 'say "no", twice\nover', ""]


@pytest.mark.slow
@pytest.mark.parametrize("name", EXAMPLES)
def test_every_file_begins_with_its_mark_and_is_the_same_twice(repository: Path, name: str) -> None:
    of = example(repository, name)
    texts = files(of, build(of))
    assert list(texts) == list(MARKS)
    for file, text in texts.items():
        assert text.startswith(MARKS[file])
    assert files(of, build(of)) == texts


# --- the walk ---------------------------------------------------------------------------------------------------------
@pytest.mark.slow
@pytest.mark.parametrize("name", [*EXAMPLES, *HOUSES])
def test_every_cell_is_walked_once_or_said_to_be_beyond_a_hand(repository: Path, name: str) -> None:
    matrix, made = walked(example(repository, name))
    walked_cells = [cell for step in made.steps for cell in step.covers]
    left = [(number, key) for number, key, _ in made.left if key]
    cells = [(line.number, key) for line in matrix.lines for key in line.marks]
    assert sorted(walked_cells + left) == sorted(cells)


@pytest.mark.slow
def test_one_wetting_checks_all_effects_of_its_cause(repository: Path) -> None:
    _, made = walked(example(repository, "two_tanks"))
    (step,) = [step for step in made.steps if step.title.startswith("Row 1:")]
    assert len(step.covers) == 4
    assert "pour purified water over it" in step.do
    assert "do the same with each of the others" in step.do
    assert "feed valve is shut: the stream ends" in step.expect.lower()
    assert "leak message arrives at keeper" in step.expect
    assert "Press the button while the cause still stands: nothing may change." in step.put_back
    assert "Pull the plugs of cellar box and level box for a minute and put them in again." in step.put_back


def test_walk_ends_with_water_that_flows_and_begins_with_electricity(repository: Path) -> None:
    of = example(repository, "mixing_day")
    text = files(of, build(of))["walk.txt"]
    assert text.index("Electricity first") < text.index("1. Row") < text.index("See that water flows again")
    assert text.index("Rinse every probe") > text.index("1. Row")


def test_what_lasts_too_long_for_a_walk_is_left_with_the_reason(repository: Path) -> None:
    matrix, made = walked(example(repository, "two_tanks"))
    long = {
        line.number
        for line in matrix.lines
        if line.lasting > LONG or (line.sort == "run" and line.limits.at_most > LONG)
    }
    assert {number for number, key, _ in made.left if key} == long == {"4.1", "6"}
    assert any(number == "2" and "9 L a day" in why for number, key, why in made.left if not key)


@pytest.mark.slow
def test_a_pump_whose_run_floods_is_led_into_a_bucket(repository: Path) -> None:
    _, made = walked(example(repository, "two_tanks"))
    (step,) = [step for step in made.steps if step.title.startswith("Row 2:")]
    assert "A whole run of top-off pump gives 4 L" in step.caution  # 4 min at 60 L/h
    _, bare = walked(example(repository, "first_float"))
    assert "Nothing ends a run of top-off pump by itself" in bare.steps[0].caution


@pytest.mark.slow
@pytest.mark.parametrize(
    ("trips", "words"), [("kept", "box is still tripped"), ("cleared", "box has forgotten its trip")]
)
def test_plug_is_expected_to_do_what_the_file_says(trips: str, words: str) -> None:
    of = read_text(design(TRIP, controllers=controller(trips=trips), messages=MORE), "house.yaml")
    _, made = walked(of)
    assert any(words in step.put_back for step in made.steps)


# --- any design -------------------------------------------------------------------------------------------------------
@pytest.mark.slow
@pytest.mark.parametrize("seed", range(8))
def test_any_design_has_a_sheet_and_files(seed: int) -> None:
    of = read_text(random_design(seed, 10 + 5 * seed).text(), "random.yaml")
    matrix = build(of)
    report = matrix_report(of, matrix)
    assert max(len(text) for text in terminal.render(report).splitlines()) <= 80
    assert page.render(report).rstrip().endswith("</html>")
    assert set(files(of, matrix)) == set(MARKS)
    assert matrix_records.matrix(of, matrix)["schema"] == "dewpond.matrix/1"


def test_what_a_timer_alone_runs_is_told_below_the_sheet_and_in_no_block(repository: Path) -> None:
    of = example(repository, "timer_only")
    matrix = build(of)
    assert [(one.name, one.acting, one.power, one.losses.power) for one in matrix.alone] == [
        ("feed valve", "open", "fill timer", "shut")
    ]
    assert "feed valve" not in [effect.name for effect in matrix.effects]
    assert "feed valve  open while fill timer has power  shut" in terminal.render(matrix_report(of, matrix))
    text = structured_text(matrix, Shown("metric"))
    assert "(* No box drives, and no row names: feed valve, open while fill timer has power. *)" in text
    assert "Feed_Valve" not in text


def test_a_pump_on_a_timer_rests_by_its_cut_out_and_runs_else() -> None:
    """Nothing drives it: the relay of its row stands in its lead."""
    text = design("{cause: high mark high, effect: {pump: stopped}, by: box, until: cause ends}")
    loose = "outlet: 45 cm above floor,\n                 driven by: box}"
    assert text.count(loose) == 1
    matrix = build(read_text(text.replace(loose, "outlet: 45 cm above floor, power: wall}"), "house.yaml"))
    effect = matrix.effect("pump")
    assert (effect.boxes, effect.driven, unasked(effect, matrix)) == (("box",), False, "running")
    (table,) = [table for table in tables(matrix) if table.effect == "pump"]
    assert [(dict(known), result) for known, result in table.rows] == [
        ({"power at box": True, "high mark high": True}, "stopped"),
        ({"power at box": True, "high mark high": False}, "running"),
        ({"power at box": False}, "stopped"),
    ]
    assert "nothing: its power alone (wall)" in settings_csv(matrix, Shown("metric"))

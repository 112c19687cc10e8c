"""Plain text: never wider than asked, nothing lost, the same in ASCII."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.report import terminal
from dewpond.report.views.blocks import (
    Curve,
    Curves,
    Fold,
    Grid,
    Items,
    Line,
    Notice,
    Report,
    Section,
    Story,
    Text,
)
from dewpond.report.views.shown import NOTHING
from dewpond.report.views.sources import sources_report
from dewpond.report.views.study import study_report
from dewpond.study.outcome import StudyResult


def report(*blocks: object, brief: bool = True) -> Report:
    return Report("A title", "A line below", (Section("key", "A section", blocks, brief),))  # type: ignore[arg-type]


def body(*blocks: object, width: int = 80) -> list[str]:
    return terminal.render(report(*blocks), width).splitlines()[5:]


@pytest.mark.parametrize("width", [80, 60, 110])
def test_no_line_is_wider_than_asked(studied: StudyResult, width: int) -> None:
    for shown in (study_report(studied), sources_report()):
        for line in terminal.render(shown, width).splitlines():
            assert len(line) <= width, line


def test_ascii_terminal_gets_ascii_only(studied: StudyResult) -> None:
    text = terminal.render(study_report(studied), ascii_only=True)
    assert text.isascii()
    assert "?" not in text  # every sign has one in its place
    assert len(text.splitlines()) >= len(terminal.render(study_report(studied)).splitlines())


def test_table_keeps_every_word_and_sets_numbers_right() -> None:
    lines = body(Grid("Caption", ("name", "litres"), (("short", "5 L"), ("a rather longer name", "1200 L")), (1,)))
    assert lines == [
        "Caption",
        "name                  litres",
        "short                    5 L",
        "a rather longer name  1200 L",
    ]


def test_last_column_of_words_that_would_get_too_little_stands_below_where_it_says_something() -> None:
    words = "the tank goes from 35 to 47 ppt and is empty"
    fault = "a tube end slips out of its joint somewhere"
    rows = ((fault, "410 L", "never", words), (fault, "3 L", "2 h", "—"))
    grid = Grid("C", ("fault", "on floors", "stopped", "tank"), rows, (1, 2))
    assert body(grid, width=40) == [
        "C",
        "fault",
        "    on floors  stopped",
        "a tube end slips out of its joint",
        "somewhere",
        "        410 L    never",
        "    tank: the tank goes from 35 to",
        "      47 ppt and is empty",
        "a tube end slips out of its joint",
        "somewhere",
        "          3 L      2 h",
    ]


def test_table_too_wide_for_its_first_column_puts_it_on_a_line_of_its_own() -> None:
    row = ("a fault with a rather long name that goes on and on", "12 L", "x" * 20)
    lines = body(Grid("C", ("fault", "litres", "other"), (row,), (1,)), width=50)
    assert lines == [
        "C", "fault", "    litres  other", "a fault with a rather long name that goes on and", "on",
        "      12 L  xxxxxxxxxxxxxxxxxxxx",
    ]  # fmt: skip


def test_long_table_is_cut_where_the_view_says_and_tells_so() -> None:
    rows = tuple((f"row {n}",) for n in range(20))
    assert body(Grid("C", ("h",), rows, brief=3))[-1] == "and 17 more rows, on the page (--page) and in --json"
    assert len(body(Grid("C", ("h",), rows))) == 22


def test_folded_parts_and_sections_for_pages_are_left_out() -> None:
    assert "inside" not in terminal.render(report(Fold("outside", (Text("inside"),)), Text("beside")))
    assert terminal.render(report(Text("inside"), brief=False)) == "A title\nA line below\n"


def test_notice_says_its_level_in_words() -> None:
    lines = body(Notice("warning", "S200", "water: tap", "It drips.", "Mend it."))
    assert lines == ["TO ACT ON: water: tap", "  It drips.", "  Mend it. [S200]"]


def test_caution_says_that_it_is_one() -> None:
    assert body(Text("Mind the step.", "caution")) == ["Caution: Mind the step."]


def test_story_says_each_time_once_and_lines_up() -> None:
    lines = (Line("day 1, 08:00", "it breaks", "fault"), Line("day 1, 08:00", "it runs", "water"))
    assert body(Story((*lines, Line("day 2, 09:30", "it ends", "")), ("Done.",))) == [
        "day 1, 08:00  fault  it breaks",
        "              water  it runs",
        "day 2, 09:30         it ends",
        "",
        "Done.",
    ]


def test_items_follow_their_text_without_a_gap() -> None:
    assert body(Text("These:"), Items(("one", "two"))) == ["These:", "- one", "- two"]


def curves(*values: float) -> Curves:
    times = tuple(float(n) for n in range(len(values)))
    return Curves("Levels", "said", "h", "cm", times, (Curve("tub", values),))


def test_curve_is_drawn_over_its_own_range_with_its_ends_beside_it() -> None:
    lines = body(curves(0.0, 10.0))
    assert lines[0] == "Levels [cm]"
    assert lines[1].startswith("tub │▁")
    assert lines[1].endswith("█│ 0 to 10")
    assert lines[2].endswith("1 h")
    assert body(curves(3.0, 3.0))[1].endswith("│ always 3")


@given(st.lists(st.floats(0, 1e4), min_size=2, max_size=300), st.integers(5, 60))
def test_sampled_curve_keeps_its_highest_value(values: list[float], count: int) -> None:
    times = [float(n) for n in range(len(values))]
    drawn = terminal.sampled(times, values, count)
    assert len(drawn) == count
    assert max(drawn) == max(values)
    assert set(drawn) <= set(values)


def test_what_follows_a_line_that_repeats_has_its_own_clock() -> None:
    """Else it reads as a part of what repeats."""
    told = Story(
        (
            Line("day 1, 09:18", "this repeats 2 more times: low water", "again"),
            Line("day 1, 09:18", "pump starts", ""),
        ),
        (),
    )
    text = terminal.render(Report("A drill", "", (Section("story", "Story", (told,)),)))
    assert text.count("day 1, 09:18") == 2


def test_table_in_which_words_would_be_broken_is_told_row_by_row() -> None:
    """Ten columns in 24 signs: each cell with the name of its column, nothing that stands for nothing."""
    head = ("cause", *(f"pump {n} (stopped)" for n in range(9)))
    rows = (("1  probe wet", "T", *[NOTHING] * 7, "P"), ("2  low mark low for a long time", *[NOTHING] * 8, "M"))
    told = terminal.render(
        Report("t", "", (Section("s", "What a narrow window is given", (Grid("C", head, rows),)),)), 24
    )
    assert told.splitlines()[3:] == [
        "What a narrow window is", "given", "───────────────────────", "C",
        "1  probe wet", "    pump 0 (stopped): T", "    pump 8 (stopped): P",
        "2  low mark low for a", "long time", "    pump 8 (stopped): M",
    ]  # fmt: skip


def test_a_long_cell_breaks_its_own_row_and_no_other() -> None:
    rows = tuple((f"part number {n}", f"{n} L/min", "2.6 bar", "2.6 bar", "during a fill") for n in range(6))
    long = ("reef, circulation", "0.079 US gal/day", "2.6 bar", "2.6 bar", "a part of a long name is running there")
    grid = Grid("Flows", ("part", "flow", "pressure before", "behind", "when"), (*rows, long), (1, 2, 3))
    told = terminal.render(report(grid), 80).splitlines()
    for row in rows:
        assert sum(row[0] in line and row[-1] in line for line in told) == 1
    assert max(map(len, told)) <= 80
    assert sum("reef, circulation" in line and "a part of" in line for line in told) == 1

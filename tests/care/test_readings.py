"""Logs of readings: what is read, and every way in which one is spoilt, kept as a file beside its exact findings.

To accept new texts on purpose, run this file once with DEWPOND_ACCEPT=1 in the environment and read the difference.
"""

import os
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.care.readings import LARGEST, Log, parse_readings, read_readings
from dewpond.care.readings_columns import COLUMNS
from dewpond.care.readings_words import TEXTS
from dewpond.errors import DesignError, Finding
from dewpond.study.year.model import Reading

FOLDER = Path(__file__).resolve().parent.parent / "bad_readings"
FILES = sorted(FOLDER.glob("*.csv"))
TODAY = date(2026, 11, 28).toordinal()


def read(path: Path) -> tuple[tuple[Reading, ...], tuple[Finding, ...]]:
    """What a file gives; of one that is refused only the findings."""
    try:
        return read_readings(path, TODAY)
    except DesignError as error:
        return (), error.findings


def of_text(text: str) -> tuple[tuple[Reading, ...], tuple[Finding, ...]]:
    return parse_readings(text, Log("log.csv", TODAY))


def rendered(readings: tuple[Reading, ...], findings: tuple[Finding, ...]) -> str:
    blocks = [f"{len(readings)} days are used\n"]
    for one in findings:
        where = "" if one.line is None else f" in line {one.line}"
        blocks.append(f"{one.code} {one.level}{where}\n  {one.what}\n  {one.remedy}\n")
    return "\n".join(blocks)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_spoilt_log_is_told_in_exactly_these_words(path: Path) -> None:
    expected = path.with_suffix(".txt")
    readings, findings = read(path)
    text = rendered(readings, findings)
    if os.environ.get("DEWPOND_ACCEPT"):
        expected.write_text(text, encoding="utf-8")
    assert findings, "nothing is objected to"
    assert text == expected.read_text(encoding="utf-8")


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_no_line_is_lost_in_silence(path: Path) -> None:
    """Each line below the first is used, named by a finding, or the whole file is refused."""
    readings, findings = read(path)
    if not readings:
        assert any(one.level == "error" for one in findings)
        return
    assert all(one.level != "error" for one in findings)
    named = {one.line for one in findings} | {one.line for one in readings}
    lines = path.read_bytes().decode("utf-8-sig").splitlines()
    told = {number for number, line in enumerate(lines, 1) if line.strip(" ,;") and "op" not in line}  # but the head
    twice = {one.line for one in findings if one.code in ("R026", "R027")}
    others = {int(one.what.split("line ")[1].split(",")[0]) for one in findings if one.line in twice}
    assert {n for n in told if not lines[n - 1].casefold().startswith("sep=")} <= named | others
    days = [one.day for one in readings]
    assert days == sorted(set(days))
    assert max(days) <= TODAY


def test_every_finding_has_its_file_and_the_files_are_enough() -> None:
    shown = {code for path in FILES for code in (f.code for f in read(path)[1])}
    outside = {"R001", "R002", "R003", "R033"}  # of what is no such file, and of very many; below
    assert shown == set(TEXTS) - outside
    assert {path.stem for path in FOLDER.glob("*.txt")} == {path.stem for path in FILES}


def test_what_is_no_log_at_all_is_refused_in_words(tmp_path: Path) -> None:
    large = tmp_path / "large.csv"
    large.write_bytes(b"2" * (LARGEST + 1))
    for path, code in (
        (tmp_path / "none.csv", "R001"),
        (tmp_path, "R002"),
        (large, "R003"),
        (Path("/dev/null"), "R002"),
    ):
        (found,) = read(path)[1]
        assert (found.code, found.level) == (code, "error")
        assert found.file == str(path)


def test_units_decimal_signs_and_orders_of_the_date_give_the_same_figures() -> None:
    plain = of_text("date,top-off (L),air (C),humidity (%)\n2026-10-13,2.1,21,40\n2026-10-14,2.2,20.5,41\n")[0]
    for other in (
        "date;litres;room C;RH\n2026-10-13;2,1;21;40\n2026-10-14;2,2;20,5;41\n",
        "Day\tTopped up [mL]\troom temp (F)\tRH\n13.10.2026\t2100\t69.8\t40\n14.10.2026\t2200\t68.9\t41\n",
        "humidity (%),air (C),date,top-off (L)\n41,20.5,10/14/2026,2.2\n40,21,10/13/2026,2.1\n",
        'date,top-off,air,humidity\n2026-10-13,2.1 L,21 C,40 %\n2026-10-14,"2,2 L","20,5 C",41 %\n',
        "# a remark\n\ufeffdate,top_off (L),air_temperature (C),relative humidity (%)\n".replace("\ufeff", "")
        + "\n2026-10-13T08:00,2.1,21,40\n2026-10-14 09:15,2.2,20.5,41\n",
    ):
        readings, findings = of_text(other)
        assert [f.code for f in findings if f.level != "note"] == []
        assert [one.day for one in readings] == [one.day for one in plain]
        for one, same in zip(readings, plain, strict=True):
            for key in ("top_off", "air", "humidity"):
                assert getattr(one, key) == pytest.approx(getattr(same, key), rel=1e-9)


def test_log_in_utf_16_with_its_mark_is_read_like_one_in_utf_8(tmp_path: Path) -> None:
    """As a spreadsheet saves "Unicode text"; both orders of the bytes."""
    text = "date\ttop-off (L)\tair (C)\n2026-10-01\t2,1\t21,5\n2026-10-02\t2,3\t21\n"
    found = []
    for coding, mark in (("utf-8", b""), ("utf-16-le", b"\xff\xfe"), ("utf-16-be", b"\xfe\xff")):
        file = tmp_path / "log.csv"
        file.write_bytes(mark + text.encode(coding))
        found.append(read(file))
    assert found[0] == found[1] == found[2]
    assert len(found[0][0]) == 2


def test_days_that_several_lines_stand_for_are_counted_once() -> None:
    """By hand: 23 daily lines of running sums over 7 days hold the windows that end on days 1, 8, 15 and 22."""
    readings, findings = read(FOLDER / "running_sums.csv")
    counted = [one for one in readings if one.top_off is not None]
    assert [date.fromordinal(one.day).day for one in counted] == [1, 8, 15, 22]
    assert all(one.air is not None for one in readings)
    assert len(readings) == 23
    assert [one.code for one in findings] == ["R038"]


def test_share_written_as_a_percentage_is_asked_about_and_left_out() -> None:
    readings, findings = read(FOLDER / "humidity_as_a_share.csv")
    assert [one.humidity for one in readings] == [None] * 9 + [0.48]
    (one,) = findings
    assert "Is 46 % meant" in one.remedy


def test_note_of_work_sets_its_day_aside_and_any_other_note_does_not() -> None:
    readings, _ = of_text("date,top-off (L),note\n2026-10-13,2.1,Water change\n2026-10-14,2.2,a sunny day\n")
    assert [one.aside for one in readings] == ["Water change", ""]


def test_every_column_is_known_by_all_its_words_and_its_example() -> None:
    for key, column in COLUMNS.items():
        for word in (key, *column.also.split("|")):
            unit = column.example.partition("(")[2].partition(")")[0]
            head = f"date,salt (ppt),{word} ({unit})" if key != "salinity" else f"date,top-off (L),{word} ({unit})"
            middle = 0.5 * (column.low + column.high)
            shown = {"temperature": middle - 273.15, "humidity": 100.0 * middle, "volume": 1e3 * middle}
            value = shown.get(column.quantity, middle)
            other = "33" if key != "salinity" else "2"
            readings, findings = of_text(f"{head}\n2026-10-13,{other},{value:.6g}\n")
            assert [f for f in findings if f.level != "note"] == [], (word, findings)
            assert getattr(readings[0], key.replace("-", "_")) == pytest.approx(middle, rel=1e-4)


@given(st.text(max_size=400))
def test_no_text_whatever_ends_in_anything_but_readings_or_findings(text: str) -> None:
    try:
        readings, findings = of_text(text)
    except DesignError as refused:
        readings, findings = (), refused.findings
    assert readings or any(one.level == "error" for one in findings)
    assert all(one.remedy.strip() for one in findings)


CELL = st.sampled_from(
    ["2.1", "2,1", "-3", "", "x", "2026-10-01", "01.02.2026", "31/12/2026", '"', "21 C", "140 %", "1e9", "٣"]
)


@given(st.lists(st.lists(CELL, min_size=1, max_size=5), max_size=12), st.sampled_from([",", ";", "\t"]))
def test_no_table_whatever_does_either(rows: list[list[str]], parts: str) -> None:
    body = "\n".join(parts.join(row) for row in rows)
    try:
        readings, findings = of_text(parts.join(("date", "top-off (L)", "air (C)", "humidity (%)")) + "\n" + body)
    except DesignError as refused:
        readings, findings = (), refused.findings
    assert readings or findings
    assert all(one.day <= TODAY for one in readings)
    assert all(one.top_off is None or 0.0 <= one.top_off <= 0.5 for one in readings)


def test_of_very_many_findings_the_first_are_told_and_the_lines_of_the_others() -> None:
    lines = [f"2026-10-{1 + n % 28:02d},-{n + 1},21,40" for n in range(400)]
    _, findings = of_text("\n".join(("date,top-off (L),air (C),humidity (%)", *lines)))
    assert len(findings) == 201
    assert findings[-1].code == "R033"
    assert "401" in findings[-1].what


def test_figure_without_days_stands_for_those_since_the_figure_before() -> None:
    """As the docs say of `days`; 1 in that column says that it was all put in on one day."""
    readings, findings = of_text(
        "date,top-off (L),days,air (C)\n2026-10-01,2.0,,\n2026-10-02,2.1,,\n2026-10-05,6.0,,\n2026-10-06,,,22\n"
        "2026-10-07,4.1,,\n2026-10-10,2.0,1,\n"
    )
    assert [one.days for one in readings if one.top_off is not None] == [1.0, 1.0, 3.0, 2.0, 1.0]
    assert [(one.code, one.level) for one in findings] == [("R030", "warning")]


def test_litres_after_a_line_that_was_lost_or_a_gap_of_months_are_left_out_and_named() -> None:
    readings, findings = of_text(
        "date,top-off (L)\n2026-06-01,2.0\n2026-10-02,2.1\n2026-13-03,2.1\n2026-10-04,2.2\n2026-10-05,2.3\n"
    )
    assert [one.top_off is None for one in readings] == [False, True, True, False]
    assert [one.line for one in findings if one.code == "R034"] == [3, 5]


@pytest.mark.parametrize("cell", ["abc", "-8", "900", "?", "8 kg", "2.3.1"])
@pytest.mark.parametrize("air", ["", ",21"])
def test_litres_that_cannot_be_used_leave_the_next_ones_out_and_halve_nothing(cell: str, air: str) -> None:
    """By hand: of 12 days of 8.0 L three cells are spoilt, and the litres after each stand for nobody knows how long:
    six are left, each of one day."""
    lines = [f"2026-10-{day:02d},{cell if day in (4, 6, 8) else '8.0'}{air}" for day in range(1, 13)]
    readings, findings = of_text("\n".join((f"date,top-off (L){',air (C)' if air else ''}", *lines)))
    counted = [one for one in readings if one.top_off is not None]
    assert [(one.top_off, one.days) for one in counted] == [(pytest.approx(8e-3), 1.0)] * 6
    assert [one.line for one in findings if one.code == "R034"] == [6, 8, 10]
    assert [one.line for one in findings if one.code in ("R024", "R025")] == [5, 7, 9]
    assert not any(one.code in ("R030", "R031") for one in findings)


def test_litres_after_ones_that_cannot_be_used_count_where_the_file_says_for_how_long() -> None:
    readings, _ = of_text("date,top-off (L),days\n2026-10-01,8,1\n2026-10-02,abc,1\n2026-10-03,8,1\n")
    assert [one.days for one in readings if one.top_off is not None] == [1.0, 1.0]


def test_empty_cell_stands_for_nothing_written_and_its_day_has_a_line() -> None:
    """As the docs say: litres stand for the days since the line before that has litres."""
    readings, findings = of_text("date,top-off (L)\n2026-10-01,8\n2026-10-02,\n2026-10-03,16\n")
    assert [one.days for one in readings] == [1.0, 2.0]
    assert [one.code for one in findings] == ["R031"]


@pytest.mark.parametrize(
    ("rows", "litres"),
    [
        (["1.500;24,2", "2.200;23,9"], [1.5, 2.2]),  # [mL]: thousands, for decimals have a comma here
        (["1.500;24.2", "2.200;23.9"], [0.0015, 0.0022]),  # decimals have a point
        (["1.500;24", "2.200;23"], [None, None]),  # nothing tells
        (["1.500;24,2", "2.200;23.9"], [None, None]),  # both are used
        (["1.500;24,2", "1.234,5;23,9"], [1.5, 1.2345]),
        (["0.500;24", "2.200;23"], [0.0005, 0.0022]),
    ],
)
def test_points_part_thousands_where_the_file_s_decimals_have_a_comma(rows: list[str], litres: list[float]) -> None:
    """By hand; what can be read in two ways is left out and named."""
    lines = [f"2026-10-{day:02d};{row}" for day, row in enumerate(rows, 1)]
    readings, findings = of_text("\n".join(("date;top-off (mL);air (C)", *lines)))
    assert [one.top_off for one in readings] == [None if one is None else pytest.approx(one * 1e-3) for one in litres]
    assert [one.code for one in findings if one.code != "R034"] == ["R024"] * litres.count(None)


def test_of_two_ways_to_read_a_figure_the_one_that_cannot_be_is_not_taken() -> None:
    """1500 L in a day are beyond what may be."""
    readings, findings = of_text("date;top-off (L)\n2026-10-01;1.500\n2026-10-02;2.100\n")
    assert [one.top_off for one in readings] == [pytest.approx(1.5e-3), pytest.approx(2.1e-3)]
    assert findings == ()

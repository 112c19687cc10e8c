"""Files that nobody would write by hand: too large, too deep, not there, or random. Nothing but findings comes out."""

import os
from collections.abc import Mapping
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dewpond.design.checks import check
from dewpond.design.desk import MOST_FOUND
from dewpond.design.reader import read, read_text
from dewpond.errors import DesignError, Finding
from dewpond.parts.base import Kind

EXAMPLE = (Path(__file__).resolve().parents[2] / "examples" / "two_tanks.yaml").read_text(encoding="utf-8")


def refused(path: Path) -> tuple[Finding, ...]:
    with pytest.raises(DesignError) as caught:
        read(path)
    return caught.value.findings


def codes(path: Path) -> list[str]:
    return [finding.code for finding in refused(path)]


def test_missing_file_folder_and_impossible_name_are_told(tmp_path: Path) -> None:
    assert codes(tmp_path / "none.yaml") == ["D001"]
    assert codes(tmp_path / "none" / "none.yaml") == ["D001"]
    assert codes(tmp_path) == ["D002"]
    assert codes(Path("a\0b")) == ["D001"]
    assert codes(tmp_path / ("x" * 5000)) == ["D003"]


def test_file_that_may_not_be_opened_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_words: object, **_named: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    (finding,) = refused(tmp_path / "locked.yaml")
    assert finding.code == "D003"
    assert "Permission denied" in finding.what


def test_ten_megabytes_are_refused_unread(tmp_path: Path) -> None:
    large = tmp_path / "large.yaml"
    large.write_bytes(EXAMPLE.encode() + b"# and so on\n" * 900_000)
    assert large.stat().st_size > 10_000_000
    (finding,) = refused(large)
    assert (finding.code, finding.file) == ("D004", str(large))
    assert "1 MB" in finding.what


@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? "])
def test_deep_nesting_ends_in_one_finding(tmp_path: Path, opening: str) -> None:
    deep = tmp_path / "deep.yaml"
    deep.write_text(opening * (900_000 // len(opening)), encoding="utf-8")
    assert set(codes(deep)) == {"D019"}


def test_stairs_of_indentation_end_in_one_finding(tmp_path: Path) -> None:
    stairs = tmp_path / "stairs.yaml"
    stairs.write_text("".join(f"{' ' * depth}a:\n" for depth in range(1000)), encoding="utf-8")
    assert codes(stairs) == ["D019"]


@pytest.mark.slow
def test_a_megabyte_of_mistakes_is_cut_short(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.yaml"
    lines = "".join(f"  part {n}: {{kind: hand valve, aftr: part {n + 1}, in: nowhere}}\n" for n in range(15_000))
    wrong.write_text(f"format: 1\nwater:\n{lines}", encoding="utf-8")
    findings = refused(wrong)
    assert len(findings) == MOST_FOUND + 1
    assert "D023" in {finding.code for finding in findings}


@pytest.mark.slow
def test_long_chain_of_parts_needs_no_recursion(tmp_path: Path) -> None:
    chain = tmp_path / "chain.yaml"
    room = "format: 1\nsupply: {pressure: 3 bar, temperature: {winter: 7 C, summer: 17 C}, dissolved solids: 240 ppm}\n"
    room += "places:\n  laundry: {kind: room, size: 2 m x 2 m, floor: carpet}\nwater:\n"
    before = ["supply", *(f"v{n}" for n in range(2999))]
    valves = [f"  v{n}: {{kind: hand valve, after: {name}, in: laundry}}\n" for n, name in enumerate(before)]
    chain.write_text(room + "".join(valves), encoding="utf-8")
    assert [finding.code for finding in check(read(chain))] == ["D100"]


def holds_together(findings: tuple[Finding, ...]) -> None:
    assert findings
    lines = [finding.line or 0 for finding in findings]
    assert lines == sorted(lines)
    for finding in findings:
        assert finding.code
        assert finding.what
        assert finding.remedy
        assert finding.what.isprintable(), finding.what
        assert finding.remedy.isprintable(), finding.remedy


def survives(text: str, kinds: Mapping[str, Kind] | None = None) -> None:
    """Reading gives a design, which can then be checked, or findings: nothing else is ever raised."""
    named = {} if kinds is None else {"kinds": kinds}
    try:
        design = read_text(text, "random.yaml", **named)
    except DesignError as error:
        holds_together(error.findings)
    else:
        check(design, **named)


@pytest.mark.slow
@given(st.text(max_size=200))
def test_random_text_gives_findings(text: str) -> None:
    survives(text)


@given(st.binary(max_size=300))
@settings(max_examples=60)
def test_random_bytes_give_findings(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    path = tmp_path_factory.getbasetemp() / "random.yaml"
    path.write_bytes(data)
    try:
        read(path)
    except DesignError as error:
        holds_together(error.findings)


SIGNS = st.sampled_from([*"{}[]:,#&*!|>'\"%@`-? \n\t\0é\u2028\x85\ufeff~", "<<: ", "---\n", "unknown", "1e999"])


@pytest.mark.slow
@given(st.lists(st.tuples(st.integers(0, len(EXAMPLE)), st.integers(0, 8), SIGNS), min_size=1, max_size=4))
@settings(max_examples=150)
def test_signs_put_into_a_good_design_give_findings_or_a_design(changes: list[tuple[int, int, str]]) -> None:
    text = EXAMPLE
    for place, taken, put in changes:
        text = text[:place] + put + text[place + taken :]
    survives(text)


LINES = EXAMPLE.splitlines(keepends=True)


@pytest.mark.slow
@given(st.lists(st.tuples(st.integers(0, len(LINES) - 1), st.integers(0, len(LINES) - 1)), min_size=1, max_size=5))
@settings(max_examples=80)
def test_lines_taken_out_doubled_or_moved_give_findings_or_a_design(moves: list[tuple[int, int]]) -> None:
    lines = list(LINES)
    for origin, target in moves:
        if origin < target:
            lines[target] = lines[origin]
        elif origin > target:
            lines[origin], lines[target] = lines[target], lines[origin]
        else:
            lines[origin] = ""
    survives("".join(lines))


WORDS = (
    "unknown|never|supply|keeper|9 m|-9 m|0 L|1e99 bar|nan|inf L|[]|{}|[[a]]|{a: b}|''|2026-02-30|wet|1/0 in|60 %"
    "|10 m x 0 m|5 cm below rim|at|9 m at 9 L|re-armed by hand|2 of: a|\u0663 bar|\uff11 bar"
)
VALUES = st.one_of(st.sampled_from(WORDS.split("|")), st.text(max_size=12))


@pytest.mark.slow
@given(st.integers(0, 10_000), VALUES)
@settings(max_examples=200)
def test_any_value_put_in_place_of_another_gives_findings_or_a_design(which: int, value: str) -> None:
    pieces = EXAMPLE.split(": ")
    index = 1 + which % (len(pieces) - 1)
    rest = pieces[index]
    cut = min((rest.find(sign) for sign in ",}\n" if sign in rest), default=len(rest))
    pieces[index] = value + rest[cut:]
    survives(": ".join(pieces))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such thing on this system")
def test_pipe_and_device_without_end_are_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.yaml")
    assert codes(tmp_path / "pipe.yaml") == ["D028"]
    assert codes(Path("/dev/zero")) == ["D028"]


def changed(old: str, new: str) -> str:
    assert old in EXAMPLE
    return EXAMPLE.replace(old, new, 1)


def objections(text: str) -> list[str]:
    """Codes of all findings in a text, reading and checking."""
    try:
        return [finding.code for finding in check(read_text(text, "hostile.yaml"))]
    except DesignError as error:
        holds_together(error.findings)
        return [finding.code for finding in error.findings]


ROOM = """format: 1
supply: {pressure: 3 bar, temperature: {winter: 7 C, summer: 17 C}, dissolved solids: 240 ppm}
places:
  laundry: {kind: room, size: 2 m x 2 m, floor: carpet}
"""
VALVE = "  v: {kind: hand valve, after: supply, in: laundry}\n"
UNDRAWN = "".join(
    f"  r{n}: {{kind: reservoir, in: laundry, footprint: 40 cm x 30 cm, rim: 32 cm}}\n" for n in range(2500)
)
CAUSE = "tray probe wet or study probe wet or shaft probe wet"
SLOW = {
    "more objections of the checks than are shown": (f"{ROOM}water:\n{VALVE}{UNDRAWN}", "D023"),
    "one condition again and again": (changed(CAUSE, " and ".join(["tray probe wet"] * 200)), ""),
    "a cause without end": (changed(CAUSE, " and ".join(["tray probe wet"] * 20_000)), "D057"),
    "thousands of keys that are none": (
        ROOM.replace("pressure: 3 bar", ", ".join(f"k{n}: 1" for n in range(50_000))), "D023"
    ),
    "thousands of sections that are none": ("".join(f"k{n}:\n" for n in range(90_000)), "D023"),
    "thousands of names mistyped": (
        f"{ROOM}water:\n" + "".join(
            f"  part number {n}: {{kind: hand valve, after: part numbr {n}, in: laundry}}\n" for n in range(5000)
        ), "D023",
    ),
    "a height of blanks": (changed("10 cm above floor", f"1{' ' * 200_000}x"), "D057"),
    "a height of heights": (changed("10 cm above floor", "1 above " * 50_000 + "floor"), "D057"),
    "a rating of ratings": (changed("75 gal/day at 50 psi and 25 C", "1 at 1 and " * 20_000), "D057"),
    "a number without end": (changed("3.6 bar", f"{'9' * 5000} bar"), "D057"),
    "an id without end": (changed("kind: hand valve,", f"kind: hand valve, id: {'a' * 100_000},"), "D043"),
}  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("case", SLOW)
def test_whatever_is_slow_to_read_by_nature_ends(case: str) -> None:
    text, code = SLOW[case]
    found = objections(text)
    assert code in found if code else "D057" not in found
    assert len(found) <= MOST_FOUND + 2


def test_lists_without_entries_are_told() -> None:
    through = "through: [laundry, wall shaft, study, cabinet tray]"
    assert "D051" in objections(changed(through, "through: []"))
    assert "D051" in objections(changed(through, f"{through}, lengths: []"))
    assert "D051" in objections(changed("path: [cellar box, router, keeper]", "path: []"))


def test_signs_that_nobody_sees_are_told_and_left_out() -> None:
    assert objections(changed("title: Two", 'title: "\\e[31m"\nx: Two')) == ["D029", "D033"]
    assert "D029" in objections(changed("stop tap:", '"st\\x07op tap":'))


def test_key_with_blanks_around_it_is_the_same_key() -> None:
    twice = 'effect: {top-off pump: running, "top-off pump ": stopped}'
    assert objections(changed("effect: {top-off pump: running}", twice)) == ["D020"]


def test_letters_that_only_look_the_same_are_told() -> None:
    with pytest.raises(DesignError) as caught:
        read_text(changed("kind: hand valve", "kind: h\u0430nd valve"), "hostile.yaml")
    assert "only look the same" in caught.value.findings[0].remedy

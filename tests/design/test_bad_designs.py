"""Every kind of bad input, kept as a file named after its fault beside the exact findings.

The texts in `*.txt` guard against surprise: a change of wording has to be looked at. To accept new texts on purpose,
run this file once with DEWPOND_ACCEPT=1 in the environment and read the difference before committing it.
"""

import os
from functools import cache
from pathlib import Path

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read
from dewpond.errors import DesignError, Finding

FOLDER = Path(__file__).resolve().parent.parent / "bad_designs"
FILES = sorted(FOLDER.glob("*.yaml"))
LEFT_TO_THE_PLANT = {"warning", "note"}  # levels at which a design is still computed


@cache
def findings_of(path: Path) -> tuple[Finding, ...]:
    """What reading and checking a file objects to; worked out once for all tests that ask."""
    try:
        return check(read(path))
    except DesignError as error:
        return error.findings


def rendered(findings: tuple[Finding, ...], folder: Path) -> str:
    """All findings as a text, three lines each."""
    blocks = []
    for finding in findings:
        file = "" if finding.file is None else Path(finding.file).relative_to(folder).as_posix()
        line = "" if finding.line is None else f", line {finding.line}"
        key = "" if finding.key is None else f', key "{finding.key}"'
        where = finding.where.replace(f"{folder}/", "")
        blocks.append(
            f"{finding.code} {finding.level} in {file}{line}: {where}{key}\n  {finding.what}\n  {finding.remedy}\n"
        )
    return "\n".join(blocks)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_bad_design_is_told_in_exactly_these_words(path: Path) -> None:
    expected = path.with_suffix(".txt")
    text = rendered(findings_of(path), FOLDER)
    if os.environ.get("DEWPOND_ACCEPT"):
        expected.write_text(text, encoding="utf-8")
    assert text, "nothing is objected to"
    assert text == expected.read_text(encoding="utf-8")


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_findings_stand_in_the_order_of_the_file_and_say_where(path: Path) -> None:
    findings = findings_of(path)
    lines = [finding.line or 0 for finding in findings]
    assert lines == sorted(lines)
    last = path.read_bytes().count(b"\n") + 1
    for finding in findings:
        assert finding.file == str(path)
        assert finding.line is None or 1 <= finding.line <= last
        assert finding.what.strip()
        assert finding.remedy.strip()
        assert "{" not in finding.what.replace("{winter", "").replace("{feed", "")


def test_every_text_has_its_file_and_there_are_enough() -> None:
    assert {path.stem for path in FOLDER.glob("*.txt")} == {path.stem for path in FILES}
    assert len(FILES) >= 40

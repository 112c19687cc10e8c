"""Standard streams that are full, closed, or read by nobody: the exit code is the same as ever."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from dewpond.errors import FINDINGS, FINE, WRONG_USE

SMALL = "tests/study/small.yaml"
BAD = "tests/bad_designs/several_at_once.yaml"
WARNED = "examples/first_float.yaml"
START = "import sys; from dewpond.app.cli import main; main(sys.argv[1:])"

pytestmark = [
    pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a shell and a full device"),
    pytest.mark.slow,  # each starts the program anew, behind a shell
]


def by_shell(repository: Path, state: Path, words: str, streams: str) -> subprocess.CompletedProcess[str]:
    """`dewpond words`, with its streams set by the shell; the exit code is that of dewpond, not of a pipe's end."""
    line = f'set -o pipefail; "$PYTHON" -c "$START" {words} {streams}'
    around = {**os.environ, "PYTHON": sys.executable, "START": START, "XDG_STATE_HOME": str(state)}
    return subprocess.run(
        ["bash", "-c", line], env=around, cwd=repository, capture_output=True, text=True, timeout=60, check=False
    )


@pytest.mark.parametrize(
    ("words", "streams"),
    [
        (f"check {BAD}", "2>/dev/full"),
        (f"check {BAD}", "2>&-"),
        (f"check {BAD}", "2>&1 >/dev/null | true"),
        (f"check {BAD}", ">&- 2>&-"),
        ("check no_such_file.yaml", "2>/dev/full"),
        (f"drill {SMALL} --for soon", "2>/dev/full"),
        ("drill", "2>/dev/full"),
        ("drill", "2>&1 >/dev/null | true"),
    ],
)
def test_what_cannot_be_used_ends_with_two_though_nobody_hears_of_it(
    repository: Path, tmp_path: Path, words: str, streams: str
) -> None:
    done = by_shell(repository, tmp_path, words, streams)
    assert (done.returncode, done.stdout, done.stderr) == (WRONG_USE, "", "")


@pytest.mark.parametrize("streams", [">&-", "| true", "2>&- | true"])
def test_bad_file_as_json_ends_with_two_though_nobody_reads_it(repository: Path, tmp_path: Path, streams: str) -> None:
    done = by_shell(repository, tmp_path, f"check {BAD} --json", streams)
    assert (done.returncode, done.stderr) == (WRONG_USE, "")


@pytest.mark.parametrize(
    ("words", "code"),
    [(f"check {WARNED}", FINDINGS), (f"check {WARNED} --json", FINDINGS), (f"drill {SMALL} --for 1h", FINE)],
)
@pytest.mark.parametrize("streams", [">&-", "<&- >&- 2>&-"])
def test_closed_output_is_no_fault_and_the_exit_code_still_tells(
    repository: Path, tmp_path: Path, words: str, code: int, streams: str
) -> None:
    done = by_shell(repository, tmp_path, words, streams)
    assert (done.returncode, done.stdout, done.stderr) == (code, "", "")
    assert not (tmp_path / "dewpond").exists()  # no log of a fault


def test_picture_is_not_mixed_with_what_was_meant_for_a_closed_stream(repository: Path, tmp_path: Path) -> None:
    picture = tmp_path / "run.svg"
    done = by_shell(repository, tmp_path, f"drill {SMALL} --for 1h --picture {picture}", ">&- 2>&-")
    assert done.returncode == FINE
    drawn = picture.read_text("utf-8")
    assert drawn.startswith("<svg")
    assert drawn.rstrip().endswith("</svg>")
    assert "The picture" not in drawn


def test_answer_is_given_though_the_line_about_the_picture_finds_no_room(repository: Path, tmp_path: Path) -> None:
    picture = tmp_path / "run.svg"
    done = by_shell(repository, tmp_path, f"drill {SMALL} --for 1h --picture {picture}", "2>/dev/full")
    assert done.returncode == FINE
    assert done.stdout.startswith("Nothing fails\n")
    assert picture.exists()


@pytest.mark.parametrize("words", [f"check {WARNED}", "sources", "--help"])
def test_full_disk_is_told_plainly_and_ends_with_two(repository: Path, tmp_path: Path, words: str) -> None:
    done = by_shell(repository, tmp_path, words, ">/dev/full")
    said = "The disk is full: the output, or what is kept in the cache folder, cannot be written.\n"
    assert (done.returncode, done.stderr) == (WRONG_USE, said)
    assert by_shell(repository, tmp_path, words, ">/dev/full 2>&1").returncode == WRONG_USE

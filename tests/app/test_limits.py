"""The command `dewpond limits`: its exit codes, its options, and files that cannot be used."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from dewpond.app.cli import cli


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(cli, ["limits", *words], standalone_mode=False)
    assert result.exception is None, result.exception
    return int(result.return_value or 0), result.output


def test_exit_code_says_whether_a_limit_lies_outside(repository: Path) -> None:
    code, text = run(str(repository / "tests" / "study" / "worked.yaml"))
    assert code == 0
    assert "none in the file lies outside its bounds" in " ".join(text.split())
    assert run(str(repository / "examples" / "first_float.yaml"))[0] == 1


def test_options_move_the_bounds(repository: Path) -> None:
    file = str(repository / "tests" / "study" / "worked.yaml")
    code, text = run(file, "--measured", "14", "--drop", "1", "--away", "30", "--varies", "20", "--json")
    made = json.loads(text)
    assert code == 1  # 5.4 L a day are too many when nobody measures for so long
    assert made["asked"]["away_days_count"] == 30
    (day,) = (one for one in made["volumes"] if one["limit"] == "day")
    assert day["seasons"][0]["most_litres"] == pytest.approx(4.0 - 2.0 * 0.8 + 1.0264 * 300.0 / (34.0 * 14.0), abs=0.01)
    assert day["outside"]


def test_file_that_cannot_be_used_is_refused_with_its_findings(tmp_path: Path) -> None:
    from dewpond.errors import DesignError

    bad = tmp_path / "bad.yaml"
    bad.write_text("format: 1\nwater: {}\n", "utf-8")
    result = CliRunner().invoke(cli, ["limits", str(bad)], standalone_mode=False)
    assert isinstance(result.exception, DesignError)

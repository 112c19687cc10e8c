"""The command `dewpond limits`: its exit codes, its options, and files that cannot be used."""

import json
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from dewpond.app.cli import cli


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(cli, ["limits", *words], standalone_mode=False)
    assert result.exception is None, result.exception
    return int(result.return_value or 0), result.output


def test_exit_code_says_whether_a_limit_lies_outside(repository: Path) -> None:
    code, text = run(str(repository / "tests" / "study" / "worked.yaml"), "--away", "4", "--measured", "4")
    assert code == 0
    assert "none in the file lies outside its bounds" in " ".join(text.split())
    assert run(str(repository / "examples" / "first_float.yaml"))[0] == 1


def test_options_move_the_bounds(repository: Path) -> None:
    file = str(repository / "tests" / "study" / "worked.yaml")
    code, text = run(file, "--measured", "14", "--drop", "1", "--away", "10", "--varies", "20", "--json")
    made = json.loads(text)
    assert code == 1  # 5.4 L a day are too many when nobody measures for so long
    assert made["asked"]["away_days_count"] == 10
    (day,) = (one for one in made["volumes"] if one["limit"] == "day")
    assert day["seasons"][0]["most_litres"] == pytest.approx((1.0264 * 300.0 / 34.0 + 2.4 * 13.0) / 15.0, abs=0.01)
    assert day["outside"]


def test_nobody_measures_while_away(repository: Path) -> None:
    """The fall allowed is spread over the longer of both: 34 ppt, 300 L at 1.0264, 4 L a day less 2 x 15 %."""
    file = str(repository / "tests" / "study" / "worked.yaml")
    for away, measured, days in (("14", "7", 14.0), ("3", "7", 7.0), ("14", "20", 20.0)):
        made = json.loads(run(file, "--away", away, "--measured", measured, "--json")[1])
        (day,) = (one for one in made["volumes"] if one["limit"] == "day")
        most = (2.0 * 1.0264 * 300.0 / 33.0 + 2.8 * (days - 1.0)) / (days + 1.0)
        assert day["seasons"][0]["most_litres"] == pytest.approx(most, abs=0.01)
    text = " ".join(run(file)[1].split())
    assert "in the 14 days for which you are away, while nobody measures (15 caps" in text
    assert "in 7 days, until somebody measures (8 caps" in " ".join(run(file, "--away", "3")[1].split())


def test_file_that_cannot_be_used_is_refused_with_its_findings(tmp_path: Path) -> None:
    from dewpond.errors import DesignError

    bad = tmp_path / "bad.yaml"
    bad.write_text("format: 1\nwater: {}\n", "utf-8")
    result = CliRunner().invoke(cli, ["limits", str(bad)], standalone_mode=False)
    assert isinstance(result.exception, DesignError)


@pytest.mark.parametrize("option", ["--measured", "--drop", "--varies", "--away"])
@pytest.mark.parametrize("value", ["nan", "-nan", "inf", "-inf", "1e999", "-1", "0", "", "seven", "1e6"])
def test_what_is_no_number_or_absurd_is_refused_in_words(option: str, value: str, repository: Path) -> None:
    file = str(repository / "tests" / "study" / "worked.yaml")
    result = CliRunner().invoke(cli, ["limits", file, option, value], standalone_mode=False)
    assert isinstance(result.exception, click.UsageError)
    assert result.exception.exit_code == 2
    assert option in result.exception.format_message()


def test_widest_values_are_answered(repository: Path) -> None:
    file = str(repository / "tests" / "study" / "worked.yaml")
    for words in (("365", "365", "10", "60"), ("1", "0.5", "0.1", "1")):
        options = [
            one for pair in zip(("--away", "--measured", "--drop", "--varies"), words, strict=True) for one in pair
        ]
        assert run(file, *options)[0] in (0, 1)


@pytest.mark.slow
def test_ruler_of_the_file_is_counted_and_told(tmp_path: Path, repository: Path) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    for day, said in (("2026-01-20", "reckoned, and moved towards what the ruler in reservoir says"),
                      ("2099-01-20", "What was measured says nothing here and is not counted")):  # fmt: skip
        file = tmp_path / "ruled.yaml"
        ruler = f"rim: 300 mm, measured evaporation: {{fell: 60 mm, over: 24 h, on: {day}}},"
        file.write_text(text.replace("rim: 300 mm,", ruler), "utf-8")
        assert said in " ".join(run(str(file))[1].split())
    assert json.loads(run(str(file), "--json")[1])["rulers"] == []


@pytest.mark.slow
def test_log_is_counted_and_told_and_a_bad_one_is_refused(tmp_path: Path, repository: Path) -> None:
    file, log = str(repository / "examples" / "two_tanks.yaml"), str(repository / "examples" / "readings.csv")
    options = ("--readings", log, "--today", "2026-11-20")
    text = " ".join(run(file, *options)[1].split())
    assert "Of what was measured the log is counted" in text
    assert "A week of top-off" not in text
    assert "from 30 days" not in text
    found = json.loads(run(file, *options, "--json")[1])
    assert found["log_days_count"] > 20
    assert found["asked"]["varies"] != 0.15
    assert json.loads(run(file, *options, "--varies", "15", "--json")[1])["asked"]["varies"] == 0.15
    bad = tmp_path / "bad.csv"
    bad.write_text("date,top-off (L)\n2026-03-40,three\n", "utf-8")
    with pytest.raises(AssertionError, match="No line of it can be used"):
        run(file, "--readings", str(bad))


@pytest.mark.slow
def test_fills_are_looked_at_once_for_both_the_limits_and_what_they_show(
    repository: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What limits looked at is handed on: the flows look at no fill of their own."""
    file = str(repository / "examples" / "two_tanks.yaml")
    usual = run(file)

    def again(*_: object) -> None:
        raise AssertionError("looked at twice")

    monkeypatch.setattr("dewpond.study.flows.look", again)
    assert run(file) == usual

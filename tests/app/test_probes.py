"""The command `dewpond probes`: its answers, its options, and files of which it cannot be answered."""

import json
from pathlib import Path

import pytest

from dewpond.errors import FINE, WRONG_USE
from tests.app.conftest import Dewpond
from tests.study.planned import PLAN

USUAL = ("--rope", "80 cm", "--tray", "30 cm x 20 cm")


@pytest.fixture
def file(tmp_path: Path, repository: Path) -> str:
    path = tmp_path / "planned.yaml"
    path.write_text((repository / "examples" / "two_tanks.yaml").read_text("utf-8") + PLAN, "utf-8")
    return str(path)


@pytest.mark.slow
def test_page_text_and_document_tell_the_same(dewpond: Dewpond, file: str, tmp_path: Path) -> None:
    page = tmp_path / "probes.html"
    code, text, err = dewpond("probes", file, "-k", "2", *USUAL, "--page", str(page))
    assert code == FINE, err
    code, out, _ = dewpond("probes", file, "-k", "2", *USUAL, "--json")
    assert code == FINE
    told, words = json.loads(out), " ".join(text.split())
    assert told["schema"] == "dewpond.probes/1"
    assert told["asked"]["probes_count"] == 2
    assert [step["probes_count"] for step in told["steps"]] == [1, 2, 3]
    for spot in told["average"]["spots"]:
        assert spot["where"] in words
    for one in told["tests"]:
        assert one["probe"] in ("study probe", "tray probe")
        assert one["where"] in words
    assert "2 probes placed anew" in words
    assert page.read_text("utf-8").lower().startswith("<!doctype html")
    assert "Electricity first" in words
    assert "Electricity first" in page.read_text("utf-8")


@pytest.mark.slow
def test_what_is_not_felt_stands_beside_what_a_cap_makes_look_better(dewpond: Dewpond, file: str) -> None:
    told = json.loads(dewpond("probes", file, *USUAL, "--json")[1])
    text = " ".join(dewpond("probes", file, *USUAL)[1].split())
    assert told["present"]["never_fraction"] > 0.0
    assert f"{told['present']['never_fraction'] * 100:.0f} % of the cases go on unseen" in text
    assert "60 L or more in the worst case" in text


@pytest.mark.slow
def test_reading_that_the_card_tells_to_write_can_be_read(dewpond: Dewpond, file: str) -> None:
    text = " ".join(dewpond("probes", file, *USUAL)[1].split())
    line = text.partition("readings of the floor: `")[2].partition("`")[0]
    assert line.startswith("- {by: pour, at: ")
    path = Path(file)
    path.write_text(f"{path.read_text('utf-8')}      {line}\n", "utf-8")
    assert dewpond("check", file)[0] in (0, 1)


@pytest.mark.slow
def test_those_that_stay_are_named(dewpond: Dewpond, file: str) -> None:
    told = json.loads(dewpond("probes", file, *USUAL, "--keep", "tray probe", "--json")[1])
    assert told["asked"]["stay"] == ["tray probe"]
    assert told["asked"]["probes_count"] == 1
    assert [spot["probe"] for spot in told["average"]["spots"]] == ["tray probe", ""]
    every = json.loads(dewpond("probes", file, *USUAL, "--keep", "all", "--json")[1])
    assert sorted(every["asked"]["stay"]) == ["study probe", "tray probe"]
    assert json.loads(dewpond("probes", file, *USUAL, "--keep", "none", "--json")[1])["asked"]["stay"] == []


@pytest.mark.parametrize(("option", "value"), [
    ("--keep", "tray prob"), ("--rope", "2"), ("--rope", "50 m"), ("--rope", "two"), ("--tray", "60 cm"),
    ("--tray", "60 cm x 40 kg"), ("--tray", "1 mm x 40 cm"), ("--rim", "1 m"),
    ("--not", "1 m x 2 m"), ("--not", "1 m x 2 m to 3 m"), ("--not", "1 m x 2 m to 3 m x 1 kg"),
    ("-k", "0"), ("-k", "9"), ("--floors", "5"), ("--seed", "-1"),
])  # fmt: skip
def test_what_cannot_be_used_is_refused_in_words(dewpond: Dewpond, file: str, option: str, value: str) -> None:
    code, out, err = dewpond("probes", file, option, value)
    assert code == WRONG_USE
    assert not out
    assert option in err
    assert "Traceback" not in err


@pytest.mark.slow
def test_what_is_not_known_of_a_plan_is_said(dewpond: Dewpond, tmp_path: Path, repository: Path) -> None:
    """A bare outline: no spot of any part, no probe, no room for rope or tray, another room without a plan."""
    path = tmp_path / "bare.yaml"
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    text = text.replace(", leads to: kitchen", "")
    path.write_text(f"{text}\nfloors:\n  living room: {{outline: [0 m x 0 m, 2 m x 1.5 m]}}\n", "utf-8")
    code, out, err = dewpond("probes", str(path), "--rope", "20 m", "--tray", "10 m x 10 m")
    assert code == FINE, err
    told = " ".join(out.split())
    assert "there is no plan of utility room" in told
    assert "no spot in living room: taken to leak in the middle of the floor" in told
    assert "Nowhere is there room for a straight rope of 20 m" in told
    assert "Nowhere a tray of 10 m x 10 m fits" in told
    assert "1 probe placed anew" in told
    assert "Those of now" not in told


def test_file_without_a_plan_is_told_what_to_write(dewpond: Dewpond) -> None:
    code, out, err = dewpond("probes", "examples/two_tanks.yaml")
    assert (code, out) == (WRONG_USE, "")
    assert "no plan of a floor" in " ".join(err.split())
    code, out, _ = dewpond("probes", "examples/two_tanks.yaml", "--json")
    assert code == WRONG_USE
    assert [one["code"] for one in json.loads(out)["findings"]] == ["F001"]


def test_plan_of_a_room_without_water_is_told(dewpond: Dewpond, tmp_path: Path, repository: Path) -> None:
    path = tmp_path / "kitchen.yaml"
    text = (repository / "examples" / "two_tanks.yaml").read_text("utf-8")
    text = text.replace(", leads to: kitchen", "")
    path.write_text(f"{text}\nfloors:\n  kitchen: {{outline: [0 m x 0 m, 2 m x 2 m]}}\n", "utf-8")
    code, _, err = dewpond("probes", str(path))
    assert code == WRONG_USE
    assert "can leak on a floor of which there is a plan" in " ".join(err.split())


@pytest.mark.slow
def test_in_the_units_of_the_file(dewpond: Dewpond, file: str) -> None:
    path = Path(file)
    path.write_text(path.read_text("utf-8").replace("shown in: metric", "shown in: US"), "utf-8")
    code, text, err = dewpond("probes", file, *USUAL)
    assert code == FINE, err
    assert " in from the " in " ".join(text.split())
    assert "US gal" in text
    assert " L " not in text.partition("How these were got")[0].replace("60 L", "")

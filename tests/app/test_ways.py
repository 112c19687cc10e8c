"""`dewpond ways`: what it prints, and what it says to a house that it cannot compare."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from dewpond.errors import FINE, WRONG_USE
from dewpond.study.ways.model import WAYS

FIRST = "examples/first_float.yaml"
Dewpond = Callable[..., tuple[int, str, str]]


@pytest.mark.slow
def test_text_and_json_tell_the_same_ways(dewpond: Dewpond) -> None:
    code, out, err = dewpond("ways", FIRST)
    assert (code, err) == (FINE, "")
    assert max(map(len, out.splitlines())) <= 80
    for name in WAYS:
        assert f"\n{name.capitalize()}\n" in out
    code, text, _ = dewpond("ways", FIRST, "--json")
    assert code == FINE
    told = json.loads(text)
    assert [way["way"] for way in told["ways"]] == list(WAYS)
    permanent = told["ways"][-1]
    assert permanent["past_litres"] is None
    assert permanent["flood"]["still_running"]
    assert permanent["flood"]["on_floors_litres"] > 2000.0
    assert "2500 L and more" in out


@pytest.mark.slow
def test_page_holds_the_tables(dewpond: Dewpond, tmp_path: Path) -> None:
    page = tmp_path / "ways.html"
    assert dewpond("ways", FIRST, "--season", "summer", "--page", str(page))[0] == FINE
    text = page.read_text("utf-8")
    assert "Ways of filling, in summer" in text
    assert "What a float that stays open can do" in text


def test_a_house_whose_reservoir_nobody_fills_through_a_float_is_told_so(dewpond: Dewpond, tmp_path: Path) -> None:
    lines = Path(FIRST).read_text("utf-8").splitlines(keepends=True)
    file = tmp_path / "carried.yaml"
    file.write_text("".join(line for line in lines if "kind: float valve" not in line), "utf-8")
    code, out, err = dewpond("ways", str(file))
    assert code == WRONG_USE
    assert not out
    assert "Traceback" not in err


def test_a_sound_house_of_which_no_ways_can_be_told_is_not_called_unusable(dewpond: Dewpond, tmp_path: Path) -> None:
    """A barrel with a tap in place of the float: `check` finds no error in it, so neither does this."""
    text = Path(FIRST).read_text("utf-8")
    (line,) = (one for one in text.splitlines() if one.startswith("  float: "))
    barrel = "  barrel: {kind: mixing vessel, after: tube, in: living room, footprint: 40 cm x 40 cm, rim: 50 cm}"
    file = tmp_path / "barrel.yaml"
    file.write_text(text.replace(line, barrel), "utf-8")
    assert "MUST BE PUT RIGHT" not in "".join(dewpond("check", str(file))[1:])
    code, out, err = dewpond("ways", str(file))
    assert (code, out) == (WRONG_USE, "")
    assert "cannot be used yet" not in err
    assert "MUST BE PUT RIGHT" not in err
    assert "Ways of filling: no answer for" in err
    assert "no vessel is filled from the supply through a float valve" in " ".join(err.split())
    code, out, _ = dewpond("ways", str(file), "--json")
    first = json.loads(out)["findings"][0]
    assert (code, first["code"], first["level"]) == (WRONG_USE, "W001", "warning")

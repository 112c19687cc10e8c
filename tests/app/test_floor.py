"""`dewpond floor`: what it prints and writes, and what it says to files and options that it cannot use."""

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from dewpond.errors import FINDINGS, FINE, WRONG_USE

FIRST = "examples/first_float.yaml"
TWO = Path("examples/two_tanks.yaml")
Dewpond = Callable[..., tuple[int, str, str]]
PLAN = """
floors:
  study:
    outline: [0 m x 0 m, 3 m x 2.5 m]
    openings:
      - {between: [0 m x 0 m, 0 m x 0.6 m], leads to: kitchen}
    spots:
      cabinet tray: [2 m x 1.5 m, 2.8 m x 2.1 m]
      tray probe: 2.52 m x 1.82 m
      study probe: 2.1 m x 1.4 m
      riser: [1.5 m x 1.5 m, 2.5 m x 1.7 m]
    readings:
      - {by: water tube, at: 0.5 m x 0.5 m, height: 4 mm}
      - {by: water tube, at: 2.5 m x 0.5 m, height: 2 mm}
      - {by: water tube, at: 0.5 m x 2 m, height: 3 mm}
      - {by: water tube, at: 1.5 m x 1 m, height: 3 mm}
"""
QUICK = ("--cell", "5 cm")
SPARE = "  spare room: {kind: room, size: 2 m x 2 m, floor: glazed tile}"


@pytest.fixture
def two(tmp_path: Path, repository: Path) -> Callable[[str], str]:
    """The path of two tanks with a plan of the study, and with a room that is empty and to which nothing leads."""

    def written(plan: str = PLAN) -> str:
        file = tmp_path / "two.yaml"
        text = (repository / TWO).read_text("utf-8")
        file.write_text(text.replace("  kitchen: ", f"{SPARE}\n  kitchen: ", 1) + plan, "utf-8")
        return str(file)

    return written


def test_text_and_json_tell_the_same(dewpond: Dewpond, two: Callable[..., str]) -> None:
    code, out, err = dewpond("floor", two(), *QUICK)
    assert (code, err) == (FINE, "")
    assert max(map(len, out.splitlines())) <= 80
    text = " ".join(out.split())
    code, printed, _ = dewpond("floor", two(), *QUICK, "--json")
    assert code == FINE
    told = json.loads(printed)
    (storey,) = told["storeys"]
    assert storey["cell_mm"] == 50.0
    worst = next(one for one in storey["leaks"] if one["leak"] == storey["longest_loose"])
    for sentence in (*worst["told"], *storey["taken"], *(one["what"] for one in told["findings"])):
        assert sentence in text
    assert [one["litres"] for one in worst["wet"]] == [1.0, 2.0, 5.0, 10.0, 20.0]


@pytest.mark.slow
def test_two_storeys_come_one_after_the_other(dewpond: Dewpond, two: Callable[..., str]) -> None:
    file = two(PLAN + "  kitchen: {outline: [10 m x 10 m, 12 m x 12 m]}\n")
    text = " ".join(dewpond("floor", file, *QUICK)[1].split())
    assert text.index("Floor of study") < text.index("Floor of kitchen")
    told = json.loads(dewpond("floor", file, *QUICK, "--json")[1])
    assert [one["rooms"] for one in told["storeys"]] == [["study"], ["kitchen"]]


def test_water_that_comes_from_another_storey_is_a_leak_that_can_be_asked_for(
    dewpond: Dewpond, two: Callable[..., str]
) -> None:
    """The kitchen below the study and the wall shaft, which lead there: no part of it drips, water from them does."""
    file = two(PLAN + "  kitchen: {outline: [10 m x 10 m, 12 m x 12 m]}\n")
    name = "study as it comes to kitchen"
    told = json.loads(dewpond("floor", file, *QUICK, "--json", "--leak", name)[1])
    (storey,) = told["storeys"]
    assert [one["leak"] for one in storey["leaks"]] == [name]
    assert any("water that comes from study drips onto the floor of kitchen" in one for one in storey["taken"])
    text = " ".join(dewpond("floor", file, *QUICK, "--leak", name)[1].split())
    assert f"Where water from {name} lies" in text
    assert "study in kitchen" not in text


POUR = (
    "      - {by: pour, at: 2 m x 1.4 m, poured: 1 L, "
    "outline: [1.7 m x 1.1 m, 2.3 m x 1.1 m, 2.3 m x 1.6 m, 1.7 m x 1.6 m]}\n"
)


@pytest.mark.slow
def test_pour_is_told_with_the_floors_that_agree_and_in_the_document(dewpond: Dewpond, two: Callable[..., str]) -> None:
    file = two(PLAN + POUR)
    words = ("--leak", "riser in study", "--litres", "0.5, 1, 2")
    text = " ".join(dewpond("floor", file, *QUICK, *words)[1].split())
    (storey,) = json.loads(dewpond("floor", file, *QUICK, *words, "--json")[1])["storeys"]
    poured = storey["poured"]
    assert poured["drawn_count"] == 200
    assert f"Of 200 floors that fit the heights and slopes, {poured['agree_count']} agree, some much" in text
    assert f"{poured['different_count']} different ones" in text
    assert "weight" not in text
    changed = storey["changed"]
    assert changed["after_litres"] == 1.0
    assert (
        f"what was poured {'changes' if changed['more_than_chance'] else 'does not change'} where water from riser"
        in text
    )


@pytest.mark.slow
def test_pour_that_no_floor_agrees_with_is_to_act_on(dewpond: Dewpond, two: Callable[..., str]) -> None:
    """A litre that wets two square metres at the other end of the room, or a probe far away with the first drop."""
    far = "      - {by: pour, at: 0.3 m x 2.2 m, poured: 0.5 L, probe: study probe, after: 1 mL}\n"
    code, printed, _ = dewpond("floor", two(PLAN + far), *QUICK, "--leak", "riser in study", "--json")
    told = json.loads(printed)
    assert code == FINDINGS
    (made,) = (one for one in told["findings"] if one["code"] == "floor-pour")
    assert made["level"] == "warning"
    assert "reading 5 of study (pour" in made["where"]
    (storey,) = told["storeys"]
    assert len(storey["poured"]["contradict"]) == 1
    assert storey["changed"]["more_than_chance"] is False  # nothing is believed more than anything else
    assert any("No floor agrees with reading 5 of study" in one for one in storey["taken"])


@pytest.mark.slow
def test_two_pours_that_contradict_are_told_as_by_check(dewpond: Dewpond, two: Callable[..., str]) -> None:
    """One probe, one spot: it acts after a tenth of a litre, and keeps silent for four."""
    pours = "".join(
        f"      - {{by: pour, at: 2 m x 2 m, poured: {poured}, probe: study probe{after}}}\n"
        for poured, after in (("1 L", ", after: 0.1 L"), ("4 L", ""))
    )
    path = two(PLAN + pours)
    (by_check,) = (one for one in json.loads(dewpond("check", path, "--json")[1])["findings"] if one["code"] == "D344")
    code, printed, _ = dewpond("floor", path, *QUICK, "--json")
    assert code == FINDINGS
    assert by_check in json.loads(printed)["findings"]


@pytest.mark.slow
def test_reading_that_contradicts_the_others_is_to_act_on(dewpond: Dewpond, two: Callable[..., str]) -> None:
    slip = PLAN + "      - {by: water tube, at: 1.55 m x 1 m, height: 43 mm}\n"
    code, printed, _ = dewpond("floor", two(slip), *QUICK, "--json")
    assert code == FINDINGS
    told = json.loads(printed)
    odd = told["storeys"][0]["odd_readings"]
    assert any("reading 5 of study" in one["reading"] and 30.0 < one["off_mm"] < 50.0 for one in odd)
    assert [one for one in told["findings"] if one["code"] == "floor-reading" and one["level"] == "warning"]
    code, out, _ = dewpond("floor", two(slip), *QUICK)
    assert code == FINDINGS
    assert "above what all others let expect" in " ".join(out.split())


def test_file_without_a_plan_is_told_what_to_write(dewpond: Dewpond, tmp_path: Path) -> None:
    code, out, err = dewpond("floor", FIRST)
    assert (code, out) == (WRONG_USE, "")
    (line,) = (one.strip() for one in err.splitlines() if one.strip().startswith("floors: {"))
    text = Path(FIRST).read_text("utf-8")
    assert f"  {line.removeprefix('floors: {').partition(':')[0]}:" in text
    written = tmp_path / "with_it.yaml"  # the line that is named can be used as it stands
    written.write_text(f"{text}\n{line}\n", "utf-8")
    assert dewpond("floor", str(written), *QUICK)[0] == FINE
    assert "The file itself can be used" in err
    code, out, _ = dewpond("floor", FIRST, "--json")
    assert code == WRONG_USE
    assert [one["code"] for one in json.loads(out)["findings"]] == ["F001"]


def test_leak_is_chosen_by_its_part_or_by_part_and_place(dewpond: Dewpond, two: Callable[..., str]) -> None:
    def leaks(name: str) -> list[str]:
        told = json.loads(dewpond("floor", two(), *QUICK, "--json", "--leak", name)[1])
        return [one["leak"] for storey in told["storeys"] for one in storey["leaks"]]

    assert leaks("riser in study") == ["riser in study"]
    assert sorted(leaks("riser")) == ["riser in cabinet tray", "riser in study"]


def test_leak_that_there_is_not_is_refused_with_those_there_are(dewpond: Dewpond, two: Callable[..., str]) -> None:
    code, out, err = dewpond("floor", two(), *QUICK, "--leak", "risr in study")
    assert (code, out) == (WRONG_USE, "")
    assert "riser in study" in err
    assert "Traceback" not in err


def test_cells_too_fine_are_refused_with_their_cost(dewpond: Dewpond, two: Callable[..., str]) -> None:
    code, out, err = dewpond("floor", two(), "--cell", "1 mm")
    assert (code, out) == (WRONG_USE, "")
    assert "7,511,004 on each of 20 floors, about 9 GB of memory" in err
    finest = err.partition("--cell '")[2].partition("'")[0]
    assert finest == "2.9 mm"


@pytest.mark.parametrize(
    ("option", "value"),
    [("--litres", one) for one in ("", "nan", "1,,2", "0", "61", "1,2,3,4,5,6,7,8,9", "-1", "inf", "one")]
    + [("--rate", one) for one in ("", "0 L/min", "-1 L/min", "nan L/min", "3", "3 L", "1e9 L/min", "fast")]
    + [("--cell", one) for one in ("", "0 cm", "2", "2 L", "1 m", "-2 cm", "inf cm")]
    + [("--floors", one) for one in ("19", "201", "x")]
    + [("--seed", one) for one in ("-1", "x")],
)
def test_what_is_no_number_or_absurd_is_refused_in_words(
    dewpond: Dewpond, two: Callable[..., str], option: str, value: str
) -> None:
    code, out, err = dewpond("floor", two(), option, value)
    assert (code, out) == (WRONG_USE, "")
    assert option in err
    assert "Traceback" not in err


@pytest.mark.slow
def test_fast_leak_is_warned_of(dewpond: Dewpond, two: Callable[..., str]) -> None:
    told = " ".join(dewpond("floor", two(), *QUICK, "--rate", "3 L/min")[1].split())
    assert "where its water lies does not hold" in told
    told = " ".join(dewpond("floor", two(), *QUICK, "--rate", "0.8 L/min")[1].split())
    assert "where its water lies is a rough guide only" in told
    assert "floor-fast" not in dewpond("floor", two(), *QUICK, "--rate", "0.5 L/min", "--json")[1]


@pytest.mark.slow
def test_same_seed_same_bytes_and_another_seed_other_floors(
    dewpond: Dewpond, two: Callable[..., str], tmp_path: Path
) -> None:
    made: dict[str, list[Any]] = {}
    for folder, seed in (("one", "4"), ("again", "4"), ("other", "5")):
        into = tmp_path / folder
        page = tmp_path / f"{folder}.html"
        out = dewpond(
            "floor", two(), *QUICK, "--seed", seed, "--json", "--into", str(into), "--page", str(page)
        )[1]  # fmt: skip
        made[folder] = [out, page.read_bytes(), *((one.name, one.read_bytes()) for one in sorted(into.iterdir()))]
    assert made["one"] == made["again"]
    assert made["one"][0] != made["other"][0]
    assert made["one"][2:] != made["other"][2:]


@pytest.mark.slow
def test_files_hold_the_figures_of_the_answer(dewpond: Dewpond, two: Callable[..., str], tmp_path: Path) -> None:
    """A probe of one cell: the share at its cell is the share told of it, in both files; so are its litres."""
    words = ("--leak", "riser in cabinet tray", "--litres", "0.2, 1, 5", "--json", "--into", str(tmp_path / "into"))
    told = json.loads(dewpond("floor", two(), *QUICK, *words)[1])
    (leak,) = told["storeys"][0]["leaks"]
    probe = next(one for one in leak["comes_to"] if one["what"] == "tray probe")
    begins = {".svg": b"<svg", ".png": b"\x89PNG", ".csv": b"right [m],up [m],place", ".npz": b"PK"}
    assert sorted(one.name for one in (tmp_path / "into").iterdir()) == sorted(f"floor{end}" for end in begins)
    for end, begin in begins.items():
        assert (tmp_path / "into" / f"floor{end}").read_bytes().startswith(begin)
    packed = np.load(tmp_path / "into" / "floor.npz", allow_pickle=False)
    row, column = (int(np.abs(packed[key] - at).argmin()) for key, at in (("up_m", 1.825), ("right_m", 2.525)))
    shares = [one["floors_fraction"] for one in probe["by"]]
    assert packed["wet_fraction"][:, row, column].tolist() == pytest.approx(shares)
    assert packed["volumes_litres"].tolist() == pytest.approx([0.2, 1.0, 5.0])
    assert str(packed["leak"]) == leak["leak"]
    text = (tmp_path / "into" / "floor.csv").read_text("utf-8")
    lines = list(csv.DictReader(io.StringIO(text)))
    assert len(lines) == int((packed["place"] >= 0).sum())
    (cell,) = (one for one in lines if (one["right [m]"], one["up [m]"]) == ("2.525", "1.825"))
    assert float(cell["first wet on 50 % of floors [L]"]) == pytest.approx(probe["usual_litres"], rel=6e-3)
    assert cell["place"] == "cabinet tray"
    area = sum(float(one["wet at 5 L [share]"]) for one in lines) * 0.05**2
    wet = leak["wet"][-1]
    assert 0.999 * wet["low_m2"] <= area <= 1.001 * wet["high_m2"]


@pytest.mark.slow
def test_files_of_several_storeys_are_numbered_as_in_the_file(
    dewpond: Dewpond, two: Callable[..., str], tmp_path: Path
) -> None:
    """The study is the second storey, with one leak or with all; a file that has no number is none of ours."""
    file = two(PLAN.replace("floors:\n", "floors:\n  spare room: {outline: [10 m x 10 m, 12 m x 12 m]}\n"))
    into = tmp_path / "into"
    into.mkdir()
    (into / "floor.csv").write_text("my own list\n", "utf-8")
    for words in ((), ("--leak", "riser in study")):
        assert dewpond("floor", file, *QUICK, "--into", str(into), *words)[0] == FINE
        ours = sorted(one.name for one in into.iterdir() if one.name != "floor.csv")
        assert ours == [f"floor_2.{end}" for end in ("csv", "npz", "png", "svg")]
    assert (into / "floor.csv").read_text("utf-8") == "my own list\n"


@pytest.mark.slow
def test_files_of_before_are_written_over(dewpond: Dewpond, two: Callable[..., str], tmp_path: Path) -> None:
    into = tmp_path / "into"
    for seed in ("1", "2"):
        assert dewpond("floor", two(), *QUICK, "--seed", seed, "--into", str(into))[0] == FINE
    assert len(list(into.iterdir())) == 4


def test_folder_with_something_else_in_it_is_left_alone(
    dewpond: Dewpond, two: Callable[..., str], tmp_path: Path
) -> None:
    into = tmp_path / "into"
    into.mkdir()
    (into / "floor.csv").write_text("my own list\n", "utf-8")
    code, out, err = dewpond("floor", two(), *QUICK, "--into", str(into))
    assert (code, out) == (WRONG_USE, "")
    assert "no earlier one of ours" in err
    assert [one.name for one in into.iterdir()] == ["floor.csv"]


def test_stopped_by_hand_it_says_so_and_writes_nothing(
    dewpond: Dewpond, two: Callable[..., str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from dewpond.study import floors

    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(floors, "wetted", stop)
    page, into = tmp_path / "page.html", tmp_path / "into"
    code, out, err = dewpond("floor", two(), *QUICK, "--page", str(page), "--into", str(into))
    assert (code, out) == (130, "")
    assert err.endswith("Stopped before anything was finished.\n")
    assert not page.exists()
    assert not into.exists()


def test_no_leak_on_the_floor_of_a_room_is_told(dewpond: Dewpond, two: Callable[..., str], tmp_path: Path) -> None:
    file, into = two("\nfloors:\n  spare room: {outline: [0 m x 0 m, 1 m x 1 m]}\n"), tmp_path / "into"
    code, out, err = dewpond("floor", file, *QUICK, "--into", str(into))
    assert code == FINE
    assert "No part of the file can leak on the floor of spare room." in out
    assert "nothing was written" in err
    assert not into.exists()
    code, out, err = dewpond("floor", file, *QUICK, "--leak", "riser")
    assert (code, out) == (WRONG_USE, "")
    assert "Known are: none in this file." in err


@pytest.mark.parametrize(
    "plan",
    [
        "walls: [[0 m x 0 m, 1 m x 1 m]], spots: {riser: 0.5 m x 0.5 m, study probe: 0.2 m x 0.2 m}",
        "spots: {cabinet tray: [0 m x 0 m, 1 m x 1 m]}",
        "spots: {riser: 9 m x 9 m, study probe: 90 m x 90 m, cabinet tray: 0.5 m x 0.5 m}",
    ],
)
def test_room_that_is_walled_up_or_all_tray_or_smaller_than_its_parts_is_told(
    dewpond: Dewpond, two: Callable[..., str], plan: str
) -> None:
    file = two(f"\nfloors:\n  study: {{outline: [0 m x 0 m, 1 m x 1 m], {plan}}}\n")
    code, out, err = dewpond("floor", file, *QUICK)
    assert code in (FINE, WRONG_USE)
    assert "Floor of study" in out or "study" in err
    assert "fault of the program" not in err


@pytest.mark.slow
def test_word_that_does_not_fit_and_rooms_that_were_not_read_stand_in_text_and_json(
    dewpond: Dewpond, two: Callable[..., str]
) -> None:
    """Heights that are centimetres apart, on a floor that is called finished, in a study that is read alone."""
    rough = PLAN
    for height, high in (("4 mm", "0 mm"), ("2 mm", "25 mm"), ("height: 3 mm", "height: 50 mm")):
        rough = rough.replace(height, high)
    code, out, _ = dewpond("floor", two(rough), *QUICK)
    assert code == FINDINGS
    assert "lie farther apart than “finished” lets expect" in " ".join(out.split())
    told = json.loads(dewpond("floor", two(rough), *QUICK, "--json")[1])
    assert "floor-word" in [one["code"] for one in told["findings"]]
    (storey,) = told["storeys"]
    (against,) = storey["against_word"]
    assert (against["place"], against["flatness"], against["rougher"]) == ("study", "finished", True)
    assert storey["rooms_not_read"] == []
    none = json.loads(dewpond("floor", two(PLAN.partition("    readings:")[0]), *QUICK, "--json")[1])
    assert none["storeys"][0]["rooms_not_read"] == ["study"]

"""`dewpond year` as a person starts it."""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

Dewpond = Callable[..., tuple[int, str, str]]
FIRST = ("year", "examples/first_float.yaml", "--today", "2026-11-28")


def test_year_is_told_in_80_columns_and_names_no_price_of_its_own(dewpond: Dewpond) -> None:
    code, out, err = dewpond(*FIRST)
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 80
    assert "An ordinary year of examples/first_float.yaml, nothing failing" in out
    assert len(re.findall(r"^(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec) ", out, re.MULTILINE)) == 12
    assert "3.4 times as much in winter" in out
    assert "Water is not priced" in out
    assert "EUR a year" not in out
    assert "nothing was measured yet" in " ".join(out.split())


@pytest.mark.slow
def test_year_in_us_units_fits_80_columns_and_keeps_its_units_whole(
    dewpond: Dewpond, tmp_path: Path, repository: Path
) -> None:
    text = (repository / "examples" / "two_tanks.yaml").read_text("utf-8")
    file = tmp_path / "house.yaml"
    file.write_text(
        text.replace("shown in: metric", "shown in: US").replace("Europe/Lisbon", "Australia/Perth"), "utf-8"
    )
    code, out, _ = dewpond("year", str(file), "--today", "2026-11-28")
    assert code == 0
    assert max(len(line) for line in out.splitlines() if str(file) not in line) <= 80
    assert re.search(r"^Jul +2 US gal +1.3 to 3.2 +63 US gal", out, re.MULTILINE)
    assert " L " not in out
    assert "lies in the south" in " ".join(out.split())


def test_design_in_which_nothing_evaporates_is_told_so_and_no_more(dewpond: Dewpond, tmp_path: Path) -> None:
    file = tmp_path / "house.yaml"
    file.write_text(
        "format: 1\ntitle: moist\nplaces:\n  den: {kind: room, size: 4 m x 4 m, floor: vinyl, air humidity: "
        "{winter: 90 %, summer: 90 %}, air temperature: {winter: 30 C, summer: 30 C}}\nwater:\n  reef: {kind: display "
        "tank, in: den, surface: 90 cm x 50 cm, volume: 200 L, salinity: 35 ppt, water temperature: 24 C}\n", "utf-8",
    )  # fmt: skip
    code, out, _ = dewpond("year", str(file))
    assert code == 0
    assert "Nothing evaporates in this design" in out
    assert "Month by month" not in out


def test_tank_of_which_the_file_says_that_nothing_evaporates_is_told_in_words(
    dewpond: Dewpond, tmp_path: Path, repository: Path
) -> None:
    """With nothing that leaves it a reservoir never ends: no number of days, and no fault of the program."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    file = tmp_path / "house.yaml"
    file.write_text(text.replace("volume: 200 L,", "volume: 200 L, evaporation: 0 L/day,"), encoding="utf-8")
    code, out, err = dewpond("year", str(file), "--today", "2026-11-28")
    flat = " ".join(out.split())
    assert (code, err) == (0, "")
    assert "Nothing evaporates in this design" in flat
    assert "inf" not in re.findall(r"\w+", out)
    code, out, _ = dewpond("year", str(file), "--today", "2026-11-28", "--json")
    assert (code, json.loads(out)["evaporation_kwh"]) == (0, 0.0)


def test_log_changes_the_year_and_says_what_it_changed(dewpond: Dewpond) -> None:
    code, out, err = dewpond(*FIRST, "--readings", "examples/readings.csv")
    flat = " ".join(out.split())
    assert (code, err) == (0, "")
    assert "The log, 39 figures over 42 days: 0.85 times what was reckoned" in flat
    assert "goes from 2.4 L to 2.1 L" in flat
    assert "narrows from divide or multiply by 1.63 to 1.10" in flat
    assert "Days between the first and the last without a line that can be read: 3." in flat
    assert "It covers one season" in flat


def test_prices_are_counted_and_in_json_too(dewpond: Dewpond) -> None:
    prices = ("--price-of-water", "4.20 EUR per m3", "--price-of-power", "0,30 EUR/kWh")
    _, out, _ = dewpond(*FIRST, *prices)
    told = json.loads(dewpond(*FIRST, *prices, "--json")[1])
    litres = sum(month["product_middle_litres"] + month["waste_middle_litres"] for month in told["months"])
    assert told["money"] == "EUR"
    assert told["water_cost"] == pytest.approx(litres / 1000.0 * 4.20, rel=1e-4)
    assert told["evaporation_heat_cost"] == pytest.approx(told["evaporation_kwh"] * 0.30, rel=1e-4)
    cost = float(f"{told['water_cost']:.2g}")
    assert f"about {cost:g} EUR" in out
    assert "is not priced" not in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--price-of-water", "4.20 EUR per L"), "4200 EUR for a m3"),
        (("--price-of-water", "0.0042 EUR per m3"), "0.0042 EUR for a m3"),
        (("--price-of-power", "30 EUR per kWh"), "30 EUR for a kWh"),
        (("--price-of-water", "0.42 EUR per 100 L"), ""),
        (("--price-of-power", "300 EUR per MWh"), ""),
    ],
)
def test_price_far_from_any_usual_one_is_asked_about(dewpond: Dewpond, words: tuple[str, str], said: str) -> None:
    code, out, _ = dewpond(*FIRST, *words)
    assert code == 0
    assert ("[Y006]" in out) is bool(said)
    assert said in " ".join(out.split())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--price-of-water", "cheap"), '--price-of-water: "cheap" is no price'),
        (("--price-of-water", "4.20 EUR per kWh"), "is no price"),
        (("--price-of-power", "0.30 EUR per m3"), "is no price"),
        (("--price-of-water", "1.234,5 EUR per m3"), "is no price"),
        (("--price-of-water", "4 EUR/m3", "--price-of-power", "0.3 GBP/kWh"), "The two prices are in EUR and in GBP"),
        (("--today", "28.11.2026"), '"28.11.2026" is no day'),
        (("--today", "9999-12-31"), "9999-12-31 is no day to count from"),
        (("--today", "1999-12-31"), "1999-12-31 is no day to count from"),
        (("--readings", "examples/none.csv"), "There is no such file"),
        (("--readings", "tests/bad_readings/binary.csv"), "This is no text"),
        (("--coldest", "Brumaire"), "Invalid value"),
        (("--page", "examples/first_float.yaml"), "is the design itself"),
    ],
)
def test_wrong_use_is_told_in_words_and_ends_with_2(dewpond: Dewpond, words: tuple[str, ...], said: str) -> None:
    code, out, err = dewpond(*FIRST, *words)
    assert (code, out) == (2, "")
    assert said in " ".join(err.split())
    assert "Traceback" not in err


def test_refused_log_is_a_document_where_json_is_asked_for(dewpond: Dewpond) -> None:
    code, out, _ = dewpond(*FIRST, "--readings", "tests/bad_readings/header_in_other_words.csv", "--json")
    told = json.loads(out)
    assert code == 2
    assert told["schema"] == "dewpond.year/1"
    assert [one["code"] for one in told["findings"]] == ["R008", "R009", "R020", "R020"]


def test_log_with_lines_that_cannot_be_used_is_used_for_the_rest(dewpond: Dewpond) -> None:
    code, out, _ = dewpond(*FIRST, "--readings", "tests/bad_readings/impossible_figures.csv")
    assert code == 0
    assert "What was found in the readings" in out
    assert out.count("[R025]") == 4


@pytest.mark.parametrize(
    ("column", "cell", "code", "said"),
    [
        ("top-off (L)", lambda n: f"{20 + n % 3}", "Y003", r"Its litres are [\d.]+ times what is reckoned"),
        ("top-off (mL)", lambda n: f"{2 + n % 3}", "Y003", r"Its litres are 0\.00\d+ times"),
        ("top-off (L)", lambda n: f"{100 + 2.1 * n:.1f}", "Y004", r"from 100 L in line 2 to 163 L in line 32"),
        ("salinity (ppt)", lambda _: "1.026", "Y005", r"Is 1\.026 a specific gravity\? Then name"),
        ("salinity (ppt)", lambda _: "3.5", "Y005", r"3\.5 ppt is far from the 35 ppt of reef"),
    ],
)
@pytest.mark.parametrize("command", ["year", "limits"])
def test_log_that_cannot_be_of_this_house_is_asked_about_by_what_it_holds(
    dewpond: Dewpond, tmp_path: Path, command: str, column: str, cell: Callable[[int], str], code: str, said: str
) -> None:
    """Some 2 L a day evaporate; the sums by hand: 100 + 30 times 2.1 L."""
    log = tmp_path / "log.csv"
    rows = [f"2026-{10 + n // 31}-{1 + n % 31:02d},{cell(n)}" for n in range(31)]
    log.write_text("\n".join((f"date,{column}", *rows)), encoding="utf-8")
    _, out, _ = dewpond(command, *FIRST[1:], "--readings", str(log))
    flat = " ".join(out.split())
    assert f"[{code}]" in flat
    assert re.search(said, flat)
    assert ": usable." not in flat


def test_salinity_read_as_a_specific_gravity_is_asked_about_by_no_name_of_its_unit(
    dewpond: Dewpond, tmp_path: Path
) -> None:
    """1.026 is 35 ppt, as the column's name says what it is."""
    log = tmp_path / "log.csv"
    log.write_text("date,salinity (sg)\n2026-10-01,1.026\n2026-10-02,1.026\n", encoding="utf-8")
    _, out, _ = dewpond(*FIRST, "--readings", str(log))
    assert "Y005" not in out
    assert "R0" not in out


def test_ruler_yet_to_come_is_named_with_its_line(dewpond: Dewpond, tmp_path: Path, repository: Path) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    ruler = "rim: 300 mm, measured evaporation: {fell: 40 mm, over: 24 h, on: 2027-01-02},"
    file = tmp_path / "house.yaml"
    file.write_text(text.replace("rim: 300 mm,", ruler), encoding="utf-8")
    _, out, _ = dewpond("year", str(file), "--today", "2026-11-28")
    line = next(n for n, one in enumerate(file.read_text("utf-8").splitlines(), 1) if "2027-01-02" in one)
    assert f"water: reservoir (line {line})" in out
    assert "[Y001]" in out


@pytest.mark.parametrize(
    ("fell", "over", "said"), [("290 mm", "1 h", r"[12]\d0 times"), ("2 mm", "48 h", r"0\.0\d+ t")]
)
def test_ruler_far_from_what_is_reckoned_is_asked_about_with_its_line(
    dewpond: Dewpond, tmp_path: Path, repository: Path, fell: str, over: str, said: str
) -> None:
    """26 L in an hour, where some 2.4 L evaporate in a day; 0.18 L in two days, a twentieth of it."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    file = tmp_path / "house.yaml"
    ruler = f"rim: 310 mm, measured evaporation: {{fell: {fell}, over: {over}, on: 2026-11-02}},"
    file.write_text(text.replace("rim: 300 mm,", ruler), encoding="utf-8")
    code, out, _ = dewpond("year", str(file), "--today", "2026-11-28")
    line = next(n for n, one in enumerate(text.splitlines(), 1) if "kind: reservoir" in one)
    assert code == 0
    assert re.search(rf"TO ACT ON: water: reservoir \(line {line}\)\s+Its ruler says {said}", out)
    assert re.search(rf"The ruler in reservoir, \w+ \w+: {said}", " ".join(out.split()))
    assert "[Y002]" in out
    assert "e+" not in out


@pytest.mark.parametrize("command", ["year", "ways", "limits"])
def test_jugs_that_cannot_be_are_told_by_every_command_that_counts_on_them(
    dewpond: Dewpond, tmp_path: Path, repository: Path, command: str
) -> None:
    """Ten times too much in the jugs: `flows` finds S211 and S207, and nothing that follows may keep still of it."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    file = tmp_path / "house.yaml"
    file.write_text(text.replace("150 mL/min, waste: 600 mL/min", "1500 mL/min, waste: 6000 mL/min"), encoding="utf-8")
    _, out, err = dewpond(command, str(file))
    for code in ("S207", "S211"):
        assert f"[{code}]" in out + err
    told = json.loads(dewpond(command, str(file), "--json")[1])
    flows = json.loads(dewpond("flows", str(file), "--json")[1])
    seen = [one["code"] for one in told["findings"]]
    assert [code for code in seen if code.startswith("S")] == [
        one["code"] for one in flows["findings"] if one["code"] in ("S207", "S211", "S212", "S213", "S218", "S219")
    ]


@pytest.mark.slow
def test_page_has_its_charts_and_the_same_figures(dewpond: Dewpond, tmp_path: Path) -> None:
    page = tmp_path / "year.html"
    code, out, _ = dewpond(*FIRST, "--page", str(page))
    html = page.read_text("utf-8")
    assert code == 0
    assert html.count("<svg") == 2
    assert ">Jan<" in html
    assert ">Dec<" in html
    row = next(line for line in out.splitlines() if line.startswith("Jan"))
    assert f'<td role="cell" data-head="waste" class="right">{" ".join(row.split()[8:10])}</td>' in html


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        ("floor: varnished wood}", "floor: varnished wood, air humidity: {winter: 140 %}}", "is 140 %; it must be"),
        ("surface: 90 cm x 50 cm", "surface: 90 m x 50 m", "must be"),
        ("volume: 200 L", "volume: 200 m3", "must be"),
        ("salinity: 35 ppt", "salinity: 350 ppt", "must be"),
        ("260 ppm", "260 ppm\n  carbon dioxide: 9 g/L", "must be"),
        ("rim: 300 mm,", "rim: 300 mm, measured evaporation: {fell: -4 mm, over: 24 h, on: 2026-11-02},", "must be"),
        ("rim: 300 mm,", "rim: 300 mm, measured evaporation: {fell: 4 mm, over: 24 h, on: 02.11.2026},", "2026-03-01"),
        ("rim: 300 mm,", "rim: 300 mm, measured evaporation: {fell: 4 mm, over: 24 h},", "on"),
        ("bowls: 2}", "bowls: 2, good for: many}", "number"),
    ],
)
def test_figures_that_cannot_be_are_found_by_the_reader(
    dewpond: Dewpond, tmp_path: Path, repository: Path, was: str, now: str, said: str
) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    assert was in text
    file = tmp_path / "house.yaml"
    file.write_text(text.replace(was, now), encoding="utf-8")
    code, out, err = dewpond("year", str(file))
    assert (code, out) == (2, "")
    assert said in " ".join(err.split())

"""Salinity as instruments show it: published cases, and the sea water library gsw as a second source."""

import json
from pathlib import Path

import gsw
import pytest

from dewpond.errors import UnitError
from dewpond.units import parse
from dewpond.units.factors import PRACTICAL

# gsw gives the densities and the conductivity scale here from salinity to reading; the code under test goes the other
# way, so a sign or a reference temperature taken wrongly shows.

Cases = dict[str, dict[str, float]]  # id of a published case -> its expected values


def psu(text: str) -> float:
    """Practical salinity of a typed salinity, the scale of the published cases."""
    return parse(text, "salinity") / float(PRACTICAL)


@pytest.fixture(scope="module")
def cases(repository: Path) -> Cases:
    table = json.loads((repository / "tests/published/tank.json").read_text(encoding="utf-8"))["cases"]
    return {case["id"]: {name: entry["value"] for name, entry in case["expected"].items()} for case in table}


def test_one_reading_has_three_meanings_published_case(cases: Cases) -> None:
    expected = cases["sg-1.025-three-meanings"]  # TEOS-10 by gsw 3.6.23, glass 25e-6 per kelvin, tolerance 0.03
    assert psu("1.025 sg at 25/25 C") == pytest.approx(expected["S_if_25_25"], abs=0.03)
    assert psu("1.025 sg at 60/60 F in 25 C water") == pytest.approx(expected["S_if_60F_60F_glass"], abs=0.03)
    assert psu("1.025 sg at 25/4 C") == pytest.approx(expected["S_if_25_over_4"], abs=0.03)


def test_float_marked_15_4_read_at_22_published_reduction(cases: Cases) -> None:
    # Worked reading of a hydrometer reduction table (US Coast and Geodetic Survey type): 1.0230 at 22 C, about 33.
    expected = cases["hydrometer-15-4-at-22"]
    assert psu("1.0230 sg at 15/4 C in 22 C water") == pytest.approx(expected["salinity"], abs=0.3)
    # The same water brought to 15 C shows what the table calls its density.
    assert psu(f"{expected['density_15_4']} sg at 15/4 C") == pytest.approx(expected["salinity"], abs=0.3)


@pytest.mark.parametrize("practical", [5, 20, 35])
@pytest.mark.parametrize("degrees", [25, 20])
def test_conductivity_gives_the_published_salinity_pss78(cases: Cases, practical: int, degrees: int) -> None:
    shown = cases[f"cond-S{practical}"][f"conductivity_{degrees}C"]
    # The case prints two decimals of mS/cm, worth 0.02 in salinity.
    assert psu(f"{shown} mS/cm at {degrees} C") == pytest.approx(practical, abs=0.02)


def test_definition_of_the_practical_scale_published(cases: Cases) -> None:
    # 42.914 mS/cm at 15 C on IPTS-68, that is 14.9964 C today: salinity 35 (Culkin and Smith 1980).
    shown = cases["kcl-conductivity"]["conductivity"]
    assert psu(f"{shown} mS/cm at {15 / 1.00024:.6f} C") == pytest.approx(35, abs=0.001)


@pytest.mark.parametrize("practical", [20, 33, 35])
def test_specific_gravity_gives_the_published_salinity_teos10(cases: Cases, practical: int) -> None:
    case = cases[f"sg-S{practical}"]
    # The cases print four decimals; half a unit there is 0.07 in salinity.
    for scale, name in (("25/25 C", "SG_25_25"), ("60/60 F", "SG_60F_60F"), ("25/4 C", "SG_25C_over_4C")):
        assert psu(f"{case[name]} sg at {scale}") == pytest.approx(practical, abs=0.07)
    assert psu(f"{case['SG_25C_over_60F_no_glass_correction']} sg at 25 C/60 F") == pytest.approx(practical, abs=0.07)


@pytest.mark.parametrize("salt", [0.5, 5.0, 20.0, 34.9, 41.0, 60.0])
@pytest.mark.parametrize(("sample", "pure"), [(25, 25), (25, 4), (20, 20), (15, 4)])
def test_reading_made_by_gsw_gives_back_its_salinity(salt: float, sample: int, pure: int) -> None:
    reading = gsw.rho_t_exact(salt, sample, 0) / gsw.rho_t_exact(0, pure, 0)
    assert parse(f"{reading:.12f} sg at {sample}/{pure} C", "salinity") == pytest.approx(salt, abs=1e-6)
    warm = gsw.rho_t_exact(salt, 28, 0) / gsw.rho_t_exact(0, pure, 0) * (1 + 25e-6 * (28 - sample))
    assert parse(f"{warm:.12f} sg at {sample}/{pure} C in 28 C water", "salinity") == pytest.approx(salt, abs=1e-6)


@pytest.mark.parametrize(
    "typed",
    [
        "1,025 sg at 25/25 C",
        "1.025 SG at 25/25 C",
        "1.025 s.g. 25/25 C",
        "1.025 specific gravity at 25/25°C",
        "1.025 sg at 77/77 F",
        "1.025 sg at 25 C/25 C",
        "1.025 sg at 25/25 C in water at 25 C",
        "1.025 sg at 25/25 C, water 77 F",
        "1.025 sg at 25/25 C read at 25 C",
    ],
)
def test_spellings_of_one_reading_agree(typed: str) -> None:
    assert parse(typed, "salinity") == pytest.approx(parse("1.025 sg at 25/25 C", "salinity"), abs=1e-6)


def test_53_ms_per_cm_is_ordinary_sea_water_pss78() -> None:
    # 53.07 mS/cm at 25 C is 35 (published case cond-S35); 0.07 mS/cm less is 0.05 less.
    assert psu("53 mS/cm at 25 C") == pytest.approx(34.95, abs=0.01)
    assert parse("53 mS/cm @ 25 °C", "salinity") == parse("53000 uS/cm at 77 F", "salinity")


THREE = ("1.025 sg at 25/25 C", "1.025 sg at 25/4 C", "1.025 sg at 60/60 F in 25 C water")


@pytest.mark.parametrize(
    ("typed", "writes"),
    [
        ("1.025 sg", THREE),
        ("1.025", THREE),
        ("1,025", THREE),
        ("1.025 sg at 25 C", THREE),
        (
            "1.025 sg at 77 F",
            ("1.025 sg at 77/77 F", "1.025 sg at 77 F/4 C", "1.025 sg at 60/60 F in 77 F water"),
        ),
        ("1.025 sg at 25/25", ("1.025 sg at 25/25 C", "1.025 sg at 25/25 F")),
        ("53 mS/cm", ("53 mS/cm at 25 C", "53 mS/cm at 20 C")),
    ],
)
def test_reading_without_its_temperatures_is_refused_with_what_it_could_mean(
    typed: str, writes: tuple[str, ...]
) -> None:
    with pytest.raises(UnitError) as refused:
        parse(typed, "salinity")
    assert refused.value.code == "temperature-missing"
    assert tuple(reading.write for reading in refused.value.readings) == writes
    for reading in refused.value.readings:
        if reading.means != "no sea water":
            assert float(reading.means.removesuffix(" ppt")) == pytest.approx(
                parse(reading.write, "salinity"), abs=0.05
            )


def test_three_meanings_are_shown_in_the_question() -> None:
    with pytest.raises(UnitError, match=r"Do you mean 33\.3 ppt, 37\.3 ppt or 35\.7 ppt\?"):
        parse("1.025 sg at 25 C", "salinity")


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("1.5 sg", "out-of-range"),
        ("1.5 sg at 25/25 C", "out-of-range"),
        ("0.99 sg at 25/25 C", "out-of-range"),
        ("1.025 sg at 80/80 C", "out-of-range"),
        ("1025 sg at 25/25 C", "out-of-range"),
        ("-1 sg at 25/25 C", "out-of-range"),
        ("1.025 sg at room temperature", "temperature-missing"),
        ("530 mS/cm at 25 C", "out-of-range"),
        ("-53 mS/cm at 25 C", "out-of-range"),
        ("53 mS/cm at 60 C", "out-of-range"),
        ("53 mS/cm at noon", "not-a-number"),
        ("53 mS/cm at 25", "unit-missing"),
        ("35 %", "wrong-quantity"),
        ("35 psi", "wrong-quantity"),
    ],
)
def test_reading_that_is_no_sea_water_is_refused(typed: str, code: str) -> None:
    with pytest.raises(UnitError) as refused:
        parse(typed, "salinity")
    assert refused.value.code == code

"""A year against sums written a second way, against the engine, and against the numbers of published cases."""

import json
import math
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import ModuleType

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.parts import KINDS
from dewpond.physics.seawater import absolute_salinity
from dewpond.plant import engine
from dewpond.plant.balance import products
from dewpond.plant.lower import lower
from dewpond.plant.plant import Scenario
from dewpond.study.year.model import DAY, Month, Year
from dewpond.study.year.wear import after
from dewpond.study.year.year import year

TODAY = date(2026, 11, 28).toordinal()
LITRES = 1e3
SPAN = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def of_text(text: str, **asked: object) -> Year:
    return year(read_text(text, "house.yaml"), KINDS, today=TODAY, **asked)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def text(repository: Path) -> str:
    return (repository / "examples" / "first_float.yaml").read_text("utf-8")


@pytest.fixture(scope="module")
def first(text: str) -> Year:
    return of_text(text)


@pytest.fixture(scope="module")
def two(repository: Path) -> Year:
    return year(read(repository / "examples" / "two_tanks.yaml"), KINDS, today=TODAY)


def case(repository: Path, name: str) -> dict[str, dict[str, float]]:
    cases = json.loads((repository / "tests" / "published" / "tank.json").read_text("utf-8"))["cases"]
    return next(one for one in cases if one["id"] == name)


# --- a second method --------------------------------------------------------------------------------------------------


def shah_by_psychrolib(air_of: ModuleType, warm: float, air: float, humidity: float, salinity: float) -> float:
    """Shah's law with another library's moist air, in litres a square metre and day: degrees Celsius, 0 to 1."""
    pressure = 101325.0
    at_water = air_of.GetSatVapPres(warm) * (1.0 - 0.000534 * salinity / 35.16504 * 35.0)
    in_room = air_of.GetSatVapPres(air) * humidity
    ratios = [0.621945 * p / (pressure - p) for p in (at_water, in_room)]
    dry = [(pressure - p) / (287.042 * (t + 273.15)) for p, t in ((at_water, warm), (in_room, air))]
    rises = max(dry[1] - dry[0], 0.0)
    natural = 35.0 * dry[0] * rises ** (1.0 / 3.0) * (ratios[0] - ratios[1])
    return max(natural, 5.0e-5 * (at_water - in_room)) * 24.0 / 0.99705


def test_year_is_the_sum_of_its_days_by_psychrolib_and_a_cosine_written_here(
    first: Year, psychrolib: ModuleType
) -> None:
    """First float: 0.45 m2 open, 0.21 m2 in a closed cabinet at half, moved 1.4 times; 25 C; 21 C and 35 % in winter,
    26 C and 60 % in summer; coldest on 15.5 January."""
    area = 1.4 * (0.9 * 0.5 + 0.5 * 0.6 * 0.35)
    day, total = 0, 0.0
    for number, days in enumerate(SPAN):
        litres = 0.0
        for _ in range(days):
            share = 0.5 - 0.5 * math.cos(2.0 * math.pi * (day + 0.5 - 15.5) / 365.0)
            litres += area * shah_by_psychrolib(psychrolib, 25.0, 21.0 + 5.0 * share, 0.35 + 0.25 * share, 35.0)
            day += 1
        assert first.months[number].need.middle * LITRES == pytest.approx(litres, rel=3e-3)
        assert first.months[number].days == days
        total += litres
    assert day == 365
    assert first.total("need") * LITRES == pytest.approx(total, rel=3e-3)
    assert first.total("product") == pytest.approx(first.total("need"))


def test_waste_and_running_time_are_those_of_the_flows_and_of_ordinary_days(first: Year, text: str) -> None:
    """What a day of each season wastes for a litre is what the engine drew in three days of it, less what it made."""
    for season, month in (("winter", first.winter), ("summer", first.summer)):
        plant = lower(read_text(text, "house.yaml"), season)
        days = engine.run(plant, Scenario("travelling", 3.0 * DAY), compiled=True)
        (made,) = products(plant, days)
        assert month.waste.middle / month.product.middle == pytest.approx(days.total[0] / made.volume - 1.0, rel=1e-6)
        assert month.starts / month.product.middle == pytest.approx(made.starts / made.volume, rel=1e-6)


# --- against the engine -----------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_a_year_of_winter_days_is_what_the_engine_makes_in_365_days(first: Year, text: str) -> None:
    """Nothing is resolved the same way: the engine pumps, fills, throttles and restarts some 2700 times."""
    plant = lower(read_text(text, "house.yaml"), "winter")
    run = engine.run(plant, Scenario("travelling", 365.0 * DAY), compiled=True, most_steps=2_000_000)
    assert run.end == 365.0 * DAY
    (made,) = products(plant, run)
    need = 365.0 * first.winter.need.middle
    assert need * LITRES > 1300.0
    assert made.volume == pytest.approx(need, rel=0.01)
    assert run.total[2] == pytest.approx(365.0 * DAY * first.winter.evaporation.middle, rel=1e-3)
    assert made.starts == pytest.approx(365.0 * first.winter.starts, rel=0.05)
    assert run.total[0] - made.volume == pytest.approx(365.0 * first.winter.waste.middle, rel=0.02)


@pytest.mark.parametrize("number", [0, 3, 6, 9])
def test_month_between_the_seasons_is_what_the_engine_makes_in_its_weather(first: Year, text: str, number: int) -> None:
    """The month's own mean air and water written into the file as both seasons, and 30 days run."""
    month = first.months[number]
    weather = (
        f"floor: varnished wood, air temperature: {{winter: {month.air - 273.15:.3f} C, summer: 30 C}}, "
        f"air humidity: {{winter: {100.0 * month.humidity:.3f} %, summer: 60 %}}}}\n\nwater:"
    )
    changed = text.replace("floor: varnished wood}\n\nwater:", weather)
    changed = changed.replace("winter: 8 C, summer: 18 C", f"winter: {month.supply - 273.15:.3f} C, summer: 30 C")
    assert changed.count(" %, summer") == 1
    plant = lower(read_text(changed, "month.yaml"), "winter")
    run = engine.run(plant, Scenario("travelling", 30.0 * DAY), compiled=True, most_steps=500_000)
    (made,) = products(plant, run)
    assert made.volume / 30.0 == pytest.approx(month.need.middle / month.days, rel=0.03)
    assert (run.total[0] - made.volume) / 30.0 == pytest.approx(month.waste.middle / month.days, rel=0.06)
    assert made.starts / 30.0 == pytest.approx(month.starts / month.days, rel=0.15)


def test_middle_of_each_season_is_what_the_runs_take(first: Year, two: Year, repository: Path) -> None:
    """The same part says both: what `drill` evaporates in winter is the year's coldest day."""
    for made, name in ((first, "first_float"), (two, "two_tanks")):
        design = read(repository / "examples" / f"{name}.yaml")
        for season, month in (("winter", made.winter), ("summer", made.summer)):
            rates = sum(water.rate for water in lower(design, season).waters)
            assert month.evaporation.middle == pytest.approx(rates, rel=1e-9)


# --- numbers of published cases ---------------------------------------------------------------------------------------

ONE_TANK = """\
format: 1
title: One open tank (invented)
zone: Europe/Lisbon
supply: {{temperature: {{winter: 8 C, summer: 18 C}}}}
places:
  room: {{kind: room, size: 4 m x 4 m, floor: vinyl, air temperature: {air}, air humidity: {humidity}}}
water:
  reef: {{kind: display tank, in: room, surface: {surface}, volume: {volume}, salinity: {salinity} ppt,
         water temperature: {warm} C, water is: glass-calm}}
"""


def open_tank(air: str, humidity: str, warm: float, surface: str = "1 m x 1 m", volume: str = "400 L") -> str:
    salt = f"{absolute_salinity(35.0):.4f}"
    return ONE_TANK.format(air=air, humidity=humidity, warm=warm, surface=surface, volume=volume, salinity=salt)


def test_winter_over_summer_is_the_ratio_of_case_ratio_winter_summer(repository: Path) -> None:
    told = case(repository, "ratio-winter-summer")
    made = of_text(open_tank("{winter: 21 C, summer: 26 C}", "{winter: 30 %, summer: 60 %}", 25.5))
    assert made.ratio == pytest.approx(told["expected"]["ratio_shah_constant_35"]["value"], rel=0.02)


def test_still_water_evaporates_case_shah_25_22_50_and_its_ends_the_spread_of_the_estimate(repository: Path) -> None:
    same = open_tank("{winter: 22 C, summer: 22 C}", "{winter: 50 %, summer: 50 %}", 25.0)
    made = of_text(same)
    shah = case(repository, "shah-25-22-50-S35")["expected"]["evaporation_depth"]["value"]
    for month in made.months:  # the same all the year, in months of every length
        day = month.evaporation.times(DAY * LITRES)
        assert day.middle == pytest.approx(shah, rel=0.02)
        assert day.high == pytest.approx(1.6 * day.middle)  # as `limits` takes it
        assert day.low == pytest.approx(day.middle / 1.6)
    assert made.ratio == pytest.approx(1.0)


def test_latent_heat_is_28_watts_for_a_litre_a_day_by_the_tank_reference(first: Year) -> None:
    """28.2 W for each litre a day, 2442 kJ/kg."""
    for month in (first.winter, first.summer, *first.months):
        watts = month.heat / month.days / DAY
        assert watts / (month.evaporation.middle * DAY * LITRES) == pytest.approx(28.2, rel=0.005)


def test_skimmed_tank_drifts_as_case_leak_replaced_by_fresh(repository: Path, text: str) -> None:
    """0.4 L a day from 300 L: 33.63 after 30 days. The same law, whatever the volume: 0.4 / 300 of it a day."""
    told = case(repository, "leak-replaced-by-fresh")
    volume = read_text(text, "house.yaml")
    water = year(volume, KINDS, today=TODAY).drifts[0].volume
    lost = 0.4 / 300.0 * water * LITRES
    skimmer = f"  skimmer: {{kind: skimmer, in: sump, skimmate: {lost:.6f} L/day}}\n\nsensors:"
    made = of_text(text.replace("\nsensors:", skimmer))
    (drift,) = made.drifts
    assert drift.lost * DAY * LITRES == pytest.approx(lost, rel=1e-3)
    assert drift.month == pytest.approx(told["expected"]["salinity"]["value"], abs=0.02)
    assert drift.year == pytest.approx(35.0 * math.exp(-365.0 * 0.4 / 300.0), rel=5e-3)
    assert drift.unit == pytest.approx(21.7, rel=0.02)  # the tank reference: -1 after 21.7 days
    assert made.total("need") - year(volume, KINDS, today=TODAY).total("need") == pytest.approx(
        365.0 * lost / LITRES, rel=1e-3
    )


def test_water_changes_pull_the_salinity_as_the_balance_of_a_changed_tank_says(text: str) -> None:
    """q out and in alike, at 33 ppt: the difference fades with V/q; by small steps, written here."""
    work = "work:\n  change: {kind: water change, of: sump, litres: 20 L, salinity: 33 ppt, every: 7 days}\n\nsensors:"
    made = of_text(text.replace("\nsensors:", work))
    (drift,) = made.drifts
    salinity, step = 35.0, 0.01
    for _ in range(int(365 / step)):
        salinity += step * (20.0 / 7.0) / (drift.volume * LITRES) * (33.0 - salinity)
    assert drift.year == pytest.approx(salinity, abs=0.01)
    assert made.total("product") - of_text(text).total("product") == pytest.approx(365.0 / 7.0 * 0.020, rel=1e-6)


# --- what follows from the file ---------------------------------------------------------------------------------------


def test_house_in_the_south_has_its_thirsty_month_in_july(text: str) -> None:
    from dewpond.design.hemisphere import coldest_month

    assert coldest_month("Europe/Lisbon") == (1, False)
    assert coldest_month("Australia/Melbourne") == (7, True)
    assert coldest_month("America/Sao_Paulo") == (7, True)
    assert coldest_month("America/New_York") == (1, False)
    assert coldest_month("UTC") == (1, None)
    north, south = (of_text(text, coldest=month) for month in (1, 7))
    assert max(range(12), key=lambda n: north.months[n].evaporation.middle) == 0
    assert max(range(12), key=lambda n: south.months[n].evaporation.middle) == 6
    assert south.total("need") == pytest.approx(north.total("need"), rel=2e-3)
    assert (south.winter, south.ratio) == (replace(north.winter, number=7), north.ratio)


def test_figure_of_the_file_without_a_date_is_the_mean_of_the_year(text: str) -> None:
    told = text.replace("salinity: 35 ppt,", "salinity: 35 ppt, evaporation: 3 L/day,")
    made = of_text(told)
    assert made.told == ("reef",)
    assert made.total("need") * LITRES == pytest.approx(3.0 * 365.0, rel=1e-6)
    assert made.winter.evaporation.middle * DAY * LITRES > 4.0
    assert made.summer.evaporation.middle * DAY * LITRES < 2.0


def test_design_without_a_tank_or_a_unit_has_an_empty_year() -> None:
    bare = "format: 1\ntitle: bare\nsupply: {}\nplaces:\n  room: {kind: room, size: 2 m x 2 m, floor: vinyl}\n"
    made = of_text(bare)
    assert made.total("need") == 0.0
    assert (made.has_unit, made.reservoirs, made.drifts, made.ratio) == (False, (), (), math.inf)
    assert all(isinstance(month, Month) for month in made.months)


def test_coil_of_a_valve_that_stands_open_is_fed_all_the_year(two: Year) -> None:
    (coil,) = two.coils
    assert (coil.part, coil.takes, coil.share) == ("feed valve", 8.0, 1.0)


@pytest.mark.slow
def test_coil_of_a_valve_that_rests_open_is_never_fed(repository: Path) -> None:
    house = (repository / "examples" / "two_tanks.yaml").read_text("utf-8")
    made = of_text(house.replace("without power: shut, needs", "without power: open, needs"))
    assert [coil.share for coil in made.coils] == [0.0]


def test_jugs_change_the_flows_of_the_print(first: Year) -> None:
    """First float: 150 mL and 600 mL a minute at 12 C; the print says less product and four parts of waste."""
    (jugs,) = first.jugs
    assert jugs.measured[0] * 60.0 * LITRES == pytest.approx(0.127, rel=0.02)
    assert jugs.measured[1] * 60.0 * LITRES == pytest.approx(0.600, rel=0.02)
    assert jugs.rated[0] < jugs.measured[0]


@pytest.mark.slow
def test_more_salt_gas_or_starts_never_let_the_resin_last_longer(text: str) -> None:
    def days(house: str) -> float:
        (due,) = [one for one in of_text(house).dues if one.part == "resin"]
        assert due.days is not None
        assert due.water is not None
        return due.days.middle

    plain = days(text)
    assert days(text.replace("260 ppm", "400 ppm")) < plain
    assert days(text.replace("260 ppm", "260 ppm\n  carbon dioxide: 20 ppm")) < plain
    assert days(text.replace("volume: 0.5 L", "volume: 1 L")) > plain


def test_resin_is_spent_when_the_months_have_brought_what_it_holds(first: Year) -> None:
    """Added up here day by day from the loads of the months: 0.457 eq/L, 50.04 g/eq, half a litre."""
    (due,) = [one for one in first.dues if one.part == "resin"]
    assert due.days is not None
    left, day = 457.0 * 0.05004 * 0.5e-3, TODAY
    while left > 0.0:
        month = first.months[date.fromordinal(day).month - 1]
        left -= month.load.middle / month.days
        day += 1
    assert due.days.middle == pytest.approx(day - TODAY, abs=1.0)
    assert due.due == pytest.approx(day, abs=1)


@pytest.mark.parametrize(
    ("changed", "every", "due"),
    [
        ("2026-05-02", 180, "2026-11-02"),
        ("2026-08-31", 180, "2027-02-28"),
        ("2027-08-31", 180, "2028-02-29"),
        ("2026-12-15", 30, "2027-01-15"),
        ("2026-11-30", 720, "2028-11-30"),
        ("2024-02-29", 365, "2025-02-28"),
        ("2026-11-28", 14, "2026-12-12"),
    ],
)
def test_months_and_years_of_upkeep_are_those_of_the_calendar(changed: str, every: int, due: str) -> None:
    """By a calendar."""
    assert date.fromordinal(after(date.fromisoformat(changed).toordinal(), every * DAY)).isoformat() == due


def test_filters_are_due_by_the_litres_printed_on_them_or_by_their_time(text: str) -> None:
    """60 m3 outlast half a year of 5 m3; 1 m3 does not."""
    for litres, by_time in (("60 m3", True), ("1 m3", False)):
        made = of_text(text.replace("bowls: 2}", f"bowls: 2, good for: {litres}, changed on: 2026-11-01}}"))
        (due,) = [one for one in made.dues if one.part == "filters"]
        assert due.by_time is by_time
        assert due.since == date(2026, 11, 1).toordinal()
    assert due.days is not None
    winter = made.months[10:]
    drawn = sum((m.product.middle + m.waste.middle) / m.days for m in winter) / 2.0
    assert due.days.middle == pytest.approx(1.0 / drawn, rel=0.1)


def test_two_tanks_share_a_reservoir_and_its_days(two: Year, first: Year) -> None:
    (shared,) = two.reservoirs
    assert set(shared.tanks) == {"reef", "lagoon"}
    assert shared.usable * LITRES == pytest.approx(40.0 * 30.0 * (285.0 - 20.0) * 1e-4, rel=0.06)
    (alone,) = first.reservoirs
    assert alone.usable * LITRES == pytest.approx(0.09 * (265.0 - 20.0), rel=1e-6)
    for made in (two, first):
        name = made.reservoirs[0].vessel
        for month in made.months:
            often, seldom = month.lasts[name]
            assert 0.0 < seldom < often < made.reservoirs[0].usable / (month.need.middle / month.days)


@pytest.fixture(scope="module")
def houses(repository: Path) -> list[Design]:
    return [read(path) for path in sorted((repository / "examples").glob("*.yaml"))]


@pytest.mark.slow
def test_every_example_has_a_whole_year(houses: list[Design]) -> None:
    assert len(houses) == 6
    for design in houses:
        made = year(design, KINDS, today=TODAY)
        assert [month.number for month in made.months] == list(range(1, 13))
        assert sum(month.days for month in made.months) == 365
        assert made.ratio > 2.0
        assert not made.wet
        for month in (*made.months, made.winter, made.summer):
            for span in (month.evaporation, month.need, month.product, month.waste, month.slug, month.load):
                assert 0.0 < span.low <= span.middle <= span.high < math.inf


def test_unit_that_only_a_hand_opens_is_told_as_such_and_counts_no_waste(repository: Path) -> None:
    """The line of first_float led to a barrel with a tap in place of the float: in ordinary days nothing runs."""
    house = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    (line,) = (one for one in house.splitlines() if one.startswith("  float: "))
    barrel = "  barrel: {kind: mixing vessel, after: tube, in: living room, footprint: 40 cm x 40 cm, rim: 50 cm}"
    made = of_text(house.replace(line, barrel))
    assert (made.has_unit, made.idle) == (True, True)
    assert (made.total("product"), made.total("waste"), made.total("starts")) == (0.0, 0.0, 0.0)
    assert made.total("need") > 0.5


def test_unit_on_a_timer_runs_as_long_as_its_product_takes_at_the_flow_without_one(two: Year, repository: Path) -> None:
    """The timer is off when the fills are looked at; while it is on, the membrane makes what it makes without it."""
    house = (repository / "examples" / "two_tanks.yaml").read_text("utf-8")
    timed = house.replace("without power: shut, needs", "without power: shut, power: night timer, needs")
    timer = "\npower:\n  night timer: {kind: time switch, power: timed circuit, on from: 1:00 am, for: 3 h}\n"
    timed = timed.replace("\npower:\n", timer, 1)
    assert timed.count("night timer") == 2
    made = of_text(timed)
    for month, plain in zip(made.months, two.months, strict=True):
        pace, usual = month.running / month.product.middle, plain.running / plain.product.middle
        assert pace == pytest.approx(usual, rel=0.2)

"""The factor found from a log and a ruler: against series made with a known one, and the days of the tank reference."""

import math
from datetime import date
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.design.reader import read, read_text
from dewpond.parts import KINDS
from dewpond.parts.open_water import OpenWater
from dewpond.physics import series
from dewpond.plant.lower import lower
from dewpond.study.limits.limits import limits
from dewpond.study.year.calibrate import by_log, by_ruler, running_total
from dewpond.study.year.curve import Course, course, day_of_year
from dewpond.study.year.model import DAY, Reading, Ruler, Year
from dewpond.study.year.unit import Unit, at
from dewpond.study.year.year import year

FIRST = date(2026, 1, 10).toordinal()
ALL = frozenset(("reef", "sump"))


@pytest.fixture(scope="module")
def line(repository: Path) -> Course:
    design = read(repository / "examples" / "first_float.yaml")
    return course(lower(design, "winter").waters, lower(design, "summer").waters, 1, [])


def made_log(line: Course, kappa: float, days: int, seed: int, spread: float = 0.15) -> list[Reading]:
    """Days of top-off with a known factor, and noise of the first order."""
    chance = np.random.default_rng(seed)
    noise = chance.normal(0.0, spread)
    readings = []
    for number in range(days):
        noise = 0.5 * noise + chance.normal(0.0, spread * math.sqrt(0.75))
        day = FIRST + number
        gone = line.evaporation(day_of_year(day), ALL).middle * DAY
        readings.append(Reading(day, number + 2, top_off=kappa * gone * (1.0 + noise)))
    return readings


@pytest.mark.slow
@pytest.mark.parametrize(("days", "worth"), [(7, "rough"), (29, "rough"), (30, "usable"), (90, "usable")])
def test_log_with_a_known_factor_gives_it_back_within_what_it_claims(line: Course, days: int, worth: str) -> None:
    """Of 200 logs some 95 % must lie within 1.96 of the spread; never claimed better than 10 % in one season."""
    hits = 0
    for seed in range(200):
        found = by_log(made_log(line, 0.8, days, seed), line, ALL, 0.0, 0.0)
        assert found is not None
        assert (found.worth, found.used) == (worth, days)
        assert 1.96 * found.spread >= 0.0999
        hits += abs(math.log(found.factor / 0.8)) <= 1.96 * found.spread
    assert hits >= (170 if days >= 29 else 140)  # a week shows its own scatter badly


def test_days_set_aside_and_slips_of_a_decimal_sign_do_not_move_the_factor(line: Course) -> None:
    log = made_log(line, 0.9, 40, 3)
    plain = by_log(log, line, ALL, 0.0, 0.0)
    spoilt = [*log]
    spoilt[5] = spoilt[5]._replace(top_off=20.0 * log[5].top_off)
    spoilt[9] = spoilt[9]._replace(top_off=9.0 * log[9].top_off, aside="water change")
    found = by_log(spoilt, line, ALL, 0.0, 0.0)
    assert plain is not None
    assert found is not None
    assert found.used == 39
    assert found.factor == pytest.approx(plain.factor, rel=0.02)


def test_log_of_years_claims_no_more_than_years_are_alike(line: Course) -> None:
    """6 % at 95 %, our prior: 730 days of 15 % would know their own mean to 2 %."""
    found = by_log(made_log(line, 0.8, 730, 3), line, ALL, 0.0, 0.0)
    assert found is not None
    assert found.whole
    assert 0.06 <= 1.96 * found.spread <= 0.075
    assert abs(math.log(found.factor / 0.8)) <= 1.96 * found.spread


@pytest.mark.parametrize("factor", [0.1, 0.3, 3.4, 10.0])
def test_log_that_is_off_by_a_factor_is_never_called_usable(line: Course, factor: float) -> None:
    found = by_log(made_log(line, factor, 90, 5), line, ALL, 0.0, 0.0)
    assert found is not None
    assert found.far
    assert found.worth == "rough"


def test_log_whose_days_lie_far_apart_stays_rough(line: Course) -> None:
    found = by_log(made_log(line, 1.0, 60, 5, 1.2), line, ALL, 0.0, 0.0)
    assert found is not None
    assert 1.96 * found.spread > 0.3
    assert found.worth == "rough"


@pytest.mark.parametrize(("start", "days"), [(0.0, 20), (0.1, 6), (4.0, 40), (0.002, 10)])
def test_running_total_of_a_meter_is_known_by_what_it_rises(line: Course, start: float, days: int) -> None:
    """Sums of a log made with a known factor, from where the meter stood [m3]."""
    log, total = [], start
    for one in made_log(line, 0.8, days, 7):
        total += one.top_off or 0.0
        log.append(one._replace(top_off=total))
    found = running_total(log, line, ALL, 0.0)
    assert found is not None
    assert (found.first, found.last) == (log[0].top_off, log[-1].top_off)
    assert found.rise == pytest.approx((found.last - found.first) / (days - 1))


@pytest.mark.parametrize("factor", [0.4, 1.0, 2.5, 20.0])
def test_litres_that_rise_with_the_season_are_no_running_total(line: Course, factor: float) -> None:
    """From August to January, without any noise: each day's litres are more than those of the day before."""
    first = date(2026, 8, 1).toordinal()
    log = [
        Reading(day, n, top_off=factor * line.evaporation(day_of_year(day), ALL).middle * DAY)
        for n, day in enumerate(range(first, first + 160))
    ]
    assert all((b.top_off or 0.0) > (a.top_off or 0.0) for a, b in pairwise(log))
    assert running_total(log, line, ALL, 0.0) is None


def test_room_that_was_read_separates_the_tank_from_the_season(line: Course) -> None:
    """A warm and moist winter: without the room's air the factor is far off, with it it is the tank's own."""
    plain, read_too = [], []
    for number in range(40):
        day = FIRST + number
        room = Reading(day, number, air=297.15, humidity=0.55)
        gone = line.evaporation(day_of_year(day), ALL, room).middle * DAY
        plain.append(Reading(day, number, top_off=1.1 * gone))
        read_too.append(room._replace(top_off=1.1 * gone))
    with_room, without = (by_log(log, line, ALL, 0.0, 0.0) for log in (read_too, plain))
    assert with_room is not None
    assert without is not None
    assert with_room.factor == pytest.approx(1.1, rel=1e-6)
    assert without.factor < 0.7


@pytest.mark.parametrize(
    ("spread", "error", "wanted"),
    [
        (0.10, 0.10, (4, 7, 12)), (0.10, 0.05, (15, 29, 46)), (0.15, 0.10, (9, 16, 26)), (0.15, 0.05, (35, 64, 104)),
        (0.20, 0.10, (15, 29, 46)), (0.20, 0.05, (62, 114, 184)), (0.30, 0.10, (35, 64, 104)),
        (0.30, 0.05, (138, 257, 415)),
    ],
)  # fmt: skip
def test_days_needed_are_those_of_the_tank_reference(spread: float, error: float, wanted: tuple[int, ...]) -> None:
    """Its table of section 2, for a likeness of 0, 0.3 and 0.5; it rounds to whole days."""
    for likeness, days in zip((0.0, 0.3, 0.5), wanted, strict=True):
        assert series.days_needed(spread, likeness, error) == pytest.approx(days, abs=1.0)


def test_end_error_is_that_of_two_even_draws_by_monte_carlo() -> None:
    """0.6 L of band: 0.245 L, 6 % of one day of 4 L (the tank reference)."""
    chance = np.random.default_rng(5)
    ends = chance.uniform(0.0, 0.6e-3, (2, 200_000))
    assert series.end_error(0.6e-3) == pytest.approx(float(np.std(ends[0] - ends[1])), rel=0.01)
    assert series.end_error(0.6e-3) / 4e-3 == pytest.approx(0.06, abs=0.002)


def test_likeness_and_scatter_are_found_again_in_a_long_series() -> None:
    chance = np.random.default_rng(8)
    values, noise = [], 0.0
    for _ in range(4000):
        noise = 0.4 * noise + chance.normal(0.0, 0.15 * math.sqrt(1.0 - 0.16))
        values.append(noise)
    assert series.likeness_of(values) == pytest.approx(0.4, abs=0.05)
    assert series.robust_deviation(values) == pytest.approx(0.15, rel=0.06)
    holes = [value if number % 5 else None for number, value in enumerate(values)]
    assert series.likeness_of(holes) == pytest.approx(0.4, abs=0.06)


# --- the ruler --------------------------------------------------------------------------------------------------------


def test_ruler_that_fell_as_reckoned_says_one_and_how_unsure_it_is(line: Course) -> None:
    """A day: 15 % of weather, two looks at 0.5 mm each, half a litre of a run, and at least 5.1 %."""
    day = date(2026, 11, 2).toordinal()
    gone = line.evaporation(day_of_year(day), ALL).middle * DAY
    ruler = Ruler("reservoir", gone, 0.7e-3 * 0.09, DAY, day)
    found = by_ruler(ruler, line, ALL, 0.0, 0.5e-3, 0.15, 0.5)
    assert found is not None
    assert found.factor == pytest.approx(1.0, rel=1e-6)
    own = (0.7e-3 * 0.09 / gone, 0.5e-3 / math.sqrt(6.0) / gone, 0.15, series.LEAST_SPREAD)
    assert found.spread == pytest.approx(math.sqrt(sum(x * x for x in own)), rel=1e-9)
    week = by_ruler(ruler._replace(volume=7.0 * gone, over=7.0 * DAY), line, ALL, 0.0, 0.5e-3, 0.15, 0.5)
    assert week is not None
    assert week.spread < 0.7 * found.spread
    assert by_ruler(ruler, line, ALL, gone / DAY, 0.0, 0.15, 0.5) is None  # all of it left the reservoir itself


def of_text(text: str, **asked: object) -> Year:
    return year(read_text(text, "house.yaml"), KINDS, today=date(2026, 11, 28).toordinal(), **asked)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def text(repository: Path) -> str:
    return (repository / "examples" / "first_float.yaml").read_text("utf-8")


def ruled(text: str, fell: str, on: str = "2026-01-20", over: str = "24 h") -> str:
    written = f"rim: 300 mm, measured evaporation: {{fell: {fell}, over: {over}, on: {on}}},"
    changed = text.replace("rim: 300 mm,", written)
    assert changed != text
    return changed


def test_ruler_in_the_file_moves_the_year_towards_itself_and_narrows_it(text: str) -> None:
    """0.09 m2: what is reckoned for a day of January would be some 41 mm; 60 mm say half as much again."""
    plain, more = of_text(text), of_text(ruled(text, "60 mm"))
    (found,) = more.calibration.evidence
    assert found.factor == pytest.approx(0.09 * 0.060 / (plain.months[0].evaporation.middle * DAY), rel=0.02)
    assert 1.0 < more.calibration.factor < found.factor
    assert more.calibration.spread < found.spread < plain.calibration.spread == series.PRIOR_SPREAD
    ratio = more.months[6].evaporation.middle / plain.months[6].evaporation.middle
    assert ratio == pytest.approx(more.calibration.factor, rel=1e-9)
    assert more.months[0].lasts["reservoir"][0] > plain.months[0].lasts["reservoir"][0] / more.calibration.factor


TWO = "measured evaporation: {{fell: {fell} mm, over: 24 h, on: 2026-01-20}}"


def ruled_twice(repository: Path, one: int | None, other: int | None) -> Year:
    """Two tanks, each with a reservoir of its own."""
    text = (repository / "tests" / "study" / "two_reservoirs.yaml").read_text("utf-8")
    for name, fell in (("first store", one), ("second store", other)):
        ruler = f", {TWO.format(fell=fell)}" if fell is not None else ""
        text = text.replace(f"overflow: none}} # {name}", f"overflow: none{ruler}}} # {name}")
    return of_text(text)


@pytest.mark.slow
def test_rulers_at_two_reservoirs_count_each_for_its_own_tank(repository: Path) -> None:
    """Two tanks of one size in one room: what one ruler says of its tank is not taken off the other."""
    bare, both = ruled_twice(repository, None, None), ruled_twice(repository, 60, 20)
    one, other = both.calibration.evidence
    assert ([tank for tank, _ in one.shares], [tank for tank, _ in other.shares]) == (["first"], ["second"])
    first, second = (both.calibration.of({tank: 1.0}) for tank in ("first", "second"))
    assert first[0] > 1.0 > second[0]
    assert abs(math.log(first[0] / one.factor)) < 0.6 * abs(math.log(one.factor / other.factor))
    mean = (first[0] + second[0]) / 2.0  # both have the same share
    assert both.calibration.factor == pytest.approx(mean, rel=1e-6)
    assert both.total("need") / bare.total("need") == pytest.approx(mean, rel=1e-3)
    longer, shorter = (
        both.winter.lasts[name][0] / bare.winter.lasts[name][0] for name in ("second store", "first store")
    )
    assert longer > shorter


@pytest.mark.slow
def test_tank_without_a_ruler_follows_half_the_way(repository: Path) -> None:
    """By hand: with a common half of the variance the other's logarithm moves by half of the first one's."""
    known = ruled_twice(repository, 60, None).calibration
    first, second = (math.log(known.of({tank: 1.0})[0]) for tank in ("first", "second"))
    assert second == pytest.approx(0.5 * first, rel=1e-6)
    assert known.of({"second": 1.0})[1] > known.of({"first": 1.0})[1]


def test_log_alone_tells_no_tanks_apart(repository: Path) -> None:
    """One factor for all, found as that of one tank is."""
    text = (repository / "tests" / "study" / "two_reservoirs.yaml").read_text("utf-8")
    text = text.replace("surface: 90 cm x 50 cm", "surface: 45 cm x 50 cm", 1)
    design = read_text(text, "house.yaml")
    both = course(lower(design, "winter").waters, lower(design, "summer").waters, 1, [])
    log = [
        one._replace(top_off=0.5 * both.evaporation(day_of_year(one.day), frozenset(("first", "second"))).middle * DAY)
        for one in (Reading(FIRST + n, n + 2) for n in range(60))
    ]
    known = year(design, KINDS, log, today=FIRST + 60).calibration
    (one,) = known.evidence
    assert not known.told_apart
    assert known.factors == pytest.approx([known.factor] * 2)
    assert (known.factor, known.spread) == pytest.approx(series.together([(one.factor, one.spread)]))


def test_log_of_a_dry_room_counts_although_the_file_has_it_too_moist_for_any_evaporation(text: str) -> None:
    """In summer the file's air takes up nothing: what was read of the room is all that is known of these days."""
    air = "air temperature: {winter: 20 C, summer: 34 C}, air humidity: {winter: 40 %, summer: 95 %}"
    moist = text.replace("{kind: room,", f"{{kind: room, {air},")
    first = date(2026, 7, 5).toordinal()
    log = [Reading(first + n, n + 2, top_off=2e-3, air=295.0, humidity=0.5) for n in range(6)]
    made = year(read_text(moist, "house.yaml"), KINDS, log, today=first + 10)
    assert made.summer.evaporation.middle == 0.0
    (one,) = made.calibration.evidence
    assert one.shares == (("reef", 1.0),)


@pytest.mark.slow
def test_limits_of_each_tank_take_its_own_factor(repository: Path) -> None:
    text = (repository / "tests" / "study" / "two_reservoirs.yaml").read_text("utf-8")
    design = read_text(text, "house.yaml")
    plain = limits(design)
    ruled_ = limits(design, calibration=ruled_twice(repository, 60, 20).calibration)
    found = {
        feed.feed.basin.name: feed.needs["winter"].mean / before.needs["winter"].mean
        for feed, before in zip(ruled_.fed, plain.fed, strict=True)
    }
    known = ruled_twice(repository, 60, 20).calibration
    assert {name: pytest.approx(ratio) for name, ratio in found.items()} == {
        tank: known.of({tank: 1.0})[0] for tank in found
    }


def test_ruler_of_summer_asks_less_than_the_same_ruler_of_winter(text: str) -> None:
    winter, summer = (of_text(ruled(text, "30 mm", on)).calibration for on in ("2026-01-20", "2026-07-20"))
    assert winter.evidence[0].factor < 1.0 < summer.evidence[0].factor


def test_ruler_whose_day_is_yet_to_come_is_left_out_and_named(text: str) -> None:
    made = of_text(ruled(text, "60 mm", "2027-01-20"))
    assert (made.calibration.evidence, made.ahead) == ((), ("reservoir",))


# --- reservoirs, by chance --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("store", "days", "spread", "wanted"),
    [(60e-3, 14, 0.0, 0.14), (60e-3, 14, 0.0474, 0.19), (32.6e-3, 7, 0.0474, 0.05), (98.2e-3, 21, 0.0474, 0.012)],
)
def test_chance_of_running_dry_is_that_of_case_autonomy_14d_and_of_monte_carlo(
    store: float, days: int, spread: float, wanted: float
) -> None:
    """Mean 4 L, sd 0.6 L, likeness 0.5, mean from 30 days; and 200,000 holidays drawn day by day."""
    chance = np.random.default_rng(14)
    holidays = 200_000
    mean = 4e-3 * np.exp(spread * chance.standard_normal(holidays))
    noise = chance.standard_normal(holidays)
    need = np.zeros(holidays)
    for _ in range(days):
        need += mean * (1.0 + 0.15 * noise)
        noise = 0.5 * noise + math.sqrt(0.75) * chance.standard_normal(holidays)
    drawn = float(np.mean(need > store))
    found = series.runs_dry(store, 4e-3, days, 0.15, 0.5, spread)
    assert found == pytest.approx(drawn, abs=4.0 * math.sqrt(drawn * (1.0 - drawn) / holidays) + 5e-4)
    assert found == pytest.approx(wanted, abs=0.006)


@pytest.mark.parametrize("spread", [0.0, 0.05, 0.25])
def test_days_that_a_reservoir_lasts_fail_as_often_as_asked_by_monte_carlo(spread: float) -> None:
    for risk in (0.05, 0.01):
        days = series.lasts(40e-3, 4e-3, risk, 0.15, 0.5, spread)
        assert series.runs_dry(40e-3, 4e-3, days, 0.15, 0.5, spread) == pytest.approx(risk, rel=0.01)
        chance = np.random.default_rng(3)
        mean = 4e-3 * np.exp(spread * chance.standard_normal(100_000))
        noise, need = chance.standard_normal(100_000), np.zeros(100_000)
        for number in range(math.ceil(days)):
            need += min(days - number, 1.0) * mean * (1.0 + 0.15 * noise)
            noise = 0.5 * noise + math.sqrt(0.75) * chance.standard_normal(100_000)
        assert float(np.mean(need > 40e-3)) == pytest.approx(risk, rel=0.25)


# --- what must hold for every room ------------------------------------------------------------------------------------

WATERS = st.builds(
    OpenWater, st.just("reef"), st.floats(0.05, 5.0), st.floats(0.1, 1.0), st.floats(1.0, 2.0),
    st.floats(288.15, 303.15), st.floats(0.0, 40.0), st.floats(281.15, 308.15), st.floats(0.05, 0.95),
)  # fmt: skip


def curve_of(water: OpenWater) -> Course:
    return course([water], [water], 1, [])


@given(WATERS, st.floats(0.0, 364.0))
def test_twice_the_open_area_evaporates_twice_as_much(water: OpenWater, day: float) -> None:
    twice = OpenWater(**{**vars(water), "area": 2.0 * water.area})
    one, two = (curve_of(w).evaporation(day, frozenset(("reef",))) for w in (water, twice))
    for low, high in zip(one, two, strict=True):
        assert high == pytest.approx(2.0 * low, rel=1e-12)


@given(WATERS, st.floats(0.0, 0.5), st.floats(0.0, 364.0))
def test_moister_air_never_evaporates_more(water: OpenWater, more: float, day: float) -> None:
    moist = OpenWater(**{**vars(water), "humidity": min(water.humidity + more, 1.0)})
    dry, wet = (curve_of(w).evaporation(day, frozenset(("reef",))) for w in (water, moist))
    assert all(a >= b - 1e-15 for a, b in zip(dry, wet, strict=True))
    assert dry.low <= dry.middle <= dry.high


@given(st.floats(274.0, 300.0), st.floats(274.0, 300.0), st.floats(0.2, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_colder_supply_never_fills_faster(cold: float, warm: float, slower: float, one: float, other: float) -> None:
    cold, warm = min(cold, warm), max(cold, warm)
    units = [
        Unit(water, product, 4.0, 1.0, 1e4, 1e-7, 1e-6, 0.25, 0.005, {})
        for water, product in ((cold, slower * 2e-6), (warm, 2e-6))
    ]
    first, second = sorted((cold + one * (warm - cold), cold + other * (warm - cold)))
    slow, fast = at(*units, first), at(*units, second)
    assert slow.product <= fast.product * (1.0 + 1e-12)
    assert units[0].product * (1 - 1e-12) <= slow.product


@pytest.mark.slow
def test_colder_supply_never_fills_faster_in_the_engine_either(text: str) -> None:
    fills = []
    for degrees in (4, 8, 12, 16, 20):
        made = of_text(text.replace("winter: 8 C, summer: 18 C", f"winter: {degrees} C, summer: 22 C"))
        fills.append(made.winter.fill)
        assert made.winter.fill > made.summer.fill
        hours = [month.fill for month in made.months]
        assert hours[0] == max(hours)
    assert fills == sorted(fills, reverse=True)


@pytest.mark.parametrize("read", [7, 31])
def test_room_of_a_month_is_weighted_by_the_days_on_which_it_was_read(text: str, read: int) -> None:
    """Seven warm days of January are seven of 31: the others are those of the curve."""
    plain = of_text(text).months[0]
    days = [Reading(date(2026, 1, 1 + n).toordinal(), n + 2, air=299.15, humidity=0.7) for n in range(read)]
    made = of_text(text, readings=days).months[0]
    share = read / 31.0
    assert made.air == pytest.approx(plain.air + share * (299.15 - plain.air), abs=0.01)
    assert made.humidity == pytest.approx(plain.humidity + share * (0.7 - plain.humidity), abs=0.001)

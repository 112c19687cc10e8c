"""Limits in words: what is entered can be typed back, contradictions are said, and every design can be told."""

import json
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond import units
from dewpond.app import yearly
from dewpond.design.checks import check
from dewpond.design.reader import read, read_text
from dewpond.report import limit_records, terminal
from dewpond.report.views.limits import exit_code, limits_report
from dewpond.report.views.limits_changes import CHANGE, UNSEEN
from dewpond.report.views.limits_values import settable
from dewpond.report.views.limits_words import NAMES, SAYS
from dewpond.report.views.shown import shown_in
from dewpond.study.limits import model
from dewpond.study.limits.limits import Limits, limits
from dewpond.study.limits.model import Asked, Bound, Limit
from tests.plant.random_designs import random_design
from tests.study.lifted import lifted_from_a_bin
from tests.study.lines import timed
from tests.study.test_limits_of_counts import LIMITER, counted

EXAMPLES = ("first_float", "two_tanks", "bin_and_branch", "mixing_day")
FEW_DAYS = Asked(away=4, measured=4.0)  # the 5.4 L a day of the worked tank lie inside


def told(found: Limits) -> str:
    """All of it in one line, as on a terminal of 80 columns."""
    text = terminal.render(limits_report(found))
    assert max(map(len, text.splitlines())) <= 80
    return " ".join(text.split())


@pytest.fixture(scope="module")
def worked_text(repository: Path) -> str:
    return (repository / "tests" / "study" / "worked.yaml").read_text("utf-8")


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_example_has_a_limit_outside_and_says_where_to_write_another(name: str, repository: Path) -> None:
    found = limits(read(repository / "examples" / f"{name}.yaml"))
    text = told(found)
    assert exit_code(found) == 1
    for rule in found.outside:
        assert rule.entry is not None
        assert f"line {rule.entry.line}" in text


def test_what_is_advised_can_be_written_into_the_file_and_then_lies_inside(worked_text: str) -> None:
    """The lines that the answer gives, entered one after the other, in place of limits that are far off."""
    text = worked_text.replace(
        "at most: 72 s a run, gap: 20 min, per day: 5.4 L", "at most: 2 h a run, gap: 0 s, per day: 90 L"
    )
    first = limits(read_text(text, "off.yaml"), FEW_DAYS)
    assert {rule.what for rule in first.outside} == {"run", "day", "wait"}
    entered = dict(re.findall(r"`(at most|per day|gap|waits after a restart): ([^`]+)`", told(first)))
    assert set(entered) == {"at most", "per day", "gap", "waits after a restart"}
    for key, was in (("at most", "2 h a run"), ("per day", "90 L"), ("gap", "0 s")):
        text = text.replace(f"{key}: {was}", f"{key}: {entered[key]}")
    text = text.replace(
        "{power: circuit, after",
        f"{{power: circuit, waits after a restart: {entered['waits after a restart']}, after",
        1,
    )
    second = limits(read_text(text, "mended.yaml"), FEW_DAYS)
    assert second.outside == ()
    assert exit_code(second) == 0
    standings = {rule.what: rule.seasons["winter"].standing for rule in second.rules}
    assert [standings[what] for what in ("run", "gap", "wait")] == ["inside"] * 3
    assert standings["day"] == "nuisance"  # the salt binds: some ordinary days are refused


def test_limit_that_ends_every_ordinary_run_is_told_as_such(worked_text: str) -> None:
    found = limits(read_text(worked_text.replace("at most: 72 s", "at most: 30 s"), "short.yaml"), FEW_DAYS)
    assert [rule.what for rule in found.outside] == ["run"]
    assert "An ordinary run takes longer than that: each one is ended." in told(found)


def test_switch_in_the_tank_itself_is_told_to_call_when_the_return_pump_stops(worked_text: str) -> None:
    moved = "in: reef, calls at: 62 mm below rim, is satisfied at: 58 mm below rim"
    text = worked_text.replace("in: sump, calls at: 230 mm, is satisfied at: 240 mm", moved)
    said = "low mark does not stand where the return pump draws: when that pump stops, 31 L drain down past it"
    assert said in told(limits(read_text(text, "moved.yaml")))
    assert said not in told(limits(read_text(worked_text, "worked.yaml")))


def test_pump_weaker_than_evaporation_needs_to_be_a_stronger_one(worked_text: str) -> None:
    found = limits(read_text(worked_text.replace("flow: 60 L/h", "flow: 0.1 L/h"), "weak.yaml"), FEW_DAYS)
    assert [rule.what for rule in found.outside] == ["run"]
    assert "its runs never end. What would have to change: a stronger pump." in told(found)


def test_pump_that_no_switch_for_low_water_starts_is_bounded_from_above_alone(worked_text: str) -> None:
    found = limits(read_text(worked_text.replace("cause: low mark low", "cause: high mark normal"), "none.yaml"))
    text = told(found)
    assert "of one run" not in text
    assert "longest run 11 min 11 min up to 12 min 72 s inside" in text


def test_cap_that_comes_before_the_run_limit_is_told_with_what_tells_somebody(worked_text: str) -> None:
    """60 L/h bring 5.4 L in 5.4 min: a run limit of 6 min is never reached, one of 5 min locks first."""
    first = "The cap of a day comes first: it ends a stuck run after 5.4 min."
    short = told(limits(read_text(worked_text.replace("at most: 72 s", "at most: 5 min"), "s.yaml"), FEW_DAYS))
    assert first not in short
    assert "Do not lock it; the run limit is what locks and tells." in short
    text = worked_text.replace("at most: 72 s", "at most: 6 min")
    long = told(limits(read_text(text, "l.yaml"), FEW_DAYS))
    assert first in long
    assert "Do not lock it, but let it be told" in long
    assert "The file's 6 min is inside." in long
    entered = re.search(r"costs no nuisance: `at most: ([^`]+) a run` in line", long)
    assert entered is not None
    assert units.parse(entered[1], "duration") < 5.4 * 60.0
    assert first not in told(limits(read_text(text.replace("6 min a run", f"{entered[1]} a run"), "e.yaml"), FEW_DAYS))


def test_cap_below_every_quiet_run_limit_is_told_by_a_row_that_the_file_can_have(worked_text: str) -> None:
    """2.5 L are brought in 2.5 min, and a night's power cut asks for 3 min at once."""
    text = worked_text.replace("at most: 72 s", "at most: 6 min").replace("per day: 5.4 L", "per day: 2.5 L")
    said = told(limits(read_text(text, "t.yaml")))
    row = re.search(r"let a row of its own tell, for instance `- (\{cause: low mark low, [^`]+\})`", said)
    assert row is not None
    assert "tell: level message}" in row[1]
    written = text.replace("matrix:\n", f"matrix:\n  - {row[1]}\n", 1)
    assert written != text
    assert not [one for one in check(read_text(written, "w.yaml")) if one.level == "error"]
    assert "what is missing adds up: 1.5 L a day" in said
    assert "A refused day costs little" not in said


def test_days_refused_are_told_of_one_cap_each(repository: Path) -> None:
    """The file's cap and those advised, which differ by season, each stand beside their own count."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    text = text.replace("running}, until: cause ends", "running}, gap: 65 min, per day: 3.89 L, until: cause ends")
    said = told(limits(read_text(text, "t.yaml"), Asked(away=2, measured=2.0)))
    assert re.search(r"With the file's cap of 3\.89 L ordinary top-off is refused until midnight about \d+ times", said)
    assert re.search(r"With the advised cap of [\d.]+ L in winter and [\d.]+ L in summer ordinary top-off", said)
    alone = told(limits(read_text(text, "t.yaml")))
    assert re.search(
        r"With the advised cap of [\d.]+ L in summer ordinary top-off is refused [^.]+ in the summer", alone
    )


def test_value_that_is_right_for_one_season_is_to_be_changed_with_the_heating_and_not_now(repository: Path) -> None:
    """Where no one value fits both, that of either season stands in the file: exit code 0, and the other is named."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8").replace("35 ppt", "0 ppt")
    limited = "running}, at most: 5 min a run, gap: 65 min, per day: DAY, until: cause ends"
    text = text.replace("running}, until: cause ends", limited)
    text = text.replace(
        "{power: living room circuit}  ", "{power: living room circuit, waits after a restart: 5 min}  "
    )
    asked = Asked(away=7)

    def found(day: str) -> tuple[Limits, model.Ruled]:
        made = limits(read_text(text.replace("DAY", day), "t.yaml"), asked)
        return made, next(one for one in made.rules if one.what == model.DAY)

    _, first = found("9 L")
    assert first.whole.clash
    assert not first.clash
    assert first.outside
    values = {s: settable(one, one.advised or 0.0, shown_in("metric")) for s, one in first.seasons.items()}
    for season, other, turns in (("winter", "summer", "off"), ("summer", "winter", "on")):
        made, rule = found(values[season])
        said = told(made)
        assert rule.right_for == season
        assert not rule.outside
        assert exit_code(made) == 0
        assert f"is right for {season}. No one value fits both seasons: when the heating goes {turns}, " in said
        assert f"`per day: {values[other]}`" in said
        assert f"`per day: {values[season]}`" not in said
        assert "TO ACT ON" not in said
    mid = f"{(first.seasons['winter'].least + first.seasons['summer'].most) / 2.0 * 1e3:.3f} L"
    assert found(mid)[1].outside


def test_contradiction_is_said_with_what_would_have_to_change(worked_text: str) -> None:
    found = limits(read_text(worked_text.replace("rim: 390 mm", "rim: 310 mm"), "low.yaml"))
    text = told(found)
    assert "no value will do" in text
    assert "do not even hold the 31 L that drain down when the return pump stops" in text
    assert f"What would have to change: {CHANGE['drain-down']}" in text


def test_seasons_that_no_one_value_fits_are_told_with_both(repository: Path) -> None:
    text = told(limits(read(repository / "examples" / "two_tanks.yaml"), Asked(away=7)))
    found = re.search(
        r"No one value fits both seasons\. Write in line (\d+): `per day: ([\d.]+) L` when the heating goes on, "
        r"([\d.]+) L",
        text,
    )
    assert found is not None
    assert float(found[2]) > float(found[3])


def test_salinity_at_the_cap_is_told_for_one_seven_and_fourteen_days(worked_text: str) -> None:
    text = told(limits(read_text(worked_text, "worked.yaml")))
    assert re.search(r"takes reef to 34\.7 ppt after 1 day, 33 ppt after 7 days and 31\.\d ppt after 14 days", text)


def test_no_advice_follows_what_was_dosed_lately(worked_text: str) -> None:
    assert "a slow leak would teach the cap to allow itself" in told(limits(read_text(worked_text, "worked.yaml")))


def test_fresh_tank_is_told_nothing_of_salt(worked_text: str) -> None:
    text = told(limits(read_text(worked_text.replace("salinity: 35 ppt", "salinity: 0 ppt"), "fresh.yaml")))
    assert "takes reef to" not in text
    assert "0 ppt" not in text.replace("2 ppt", "")


def test_us_units_are_entered_as_they_are_shown(worked_text: str) -> None:
    text = told(limits(read_text(worked_text.replace("format: 1", "format: 1\nshown in: US"), "us.yaml")))
    assert re.search(r"per day: [\d.]+ US gal|has 1\.43 US gal|1\.43 US gal", text)
    assert not re.search(r"\d (mm|cm|L)\b", text)


@given(
    low=st.floats(1.0, 1e5), wide=st.floats(1.12, 50.0), soft=st.floats(0.0, 1.0),
    what=st.sampled_from([model.RUN, model.DAY, model.HIGH_MARK]), system=st.sampled_from(["metric", "US"]),
)  # fmt: skip
def test_value_to_enter_lies_inside_its_bounds(low: float, wide: float, soft: float, what: str, system: str) -> None:
    scale = {"duration": 1.0, "volume": 1e-5, "height": 1e-5}[model.QUANTITY[what]]
    least, most = low * scale, low * wide * scale
    free = least + soft * 0.9 * (most - least)
    limit = Limit(what, (Bound("need", least), Bound("nuisance", free, soft=True)), (Bound("room", most),))
    assert limit.advised is not None
    value = units.parse(settable(limit, limit.advised, shown_in(system)), limit.quantity)
    assert least <= value <= most


@pytest.mark.slow
def test_every_bound_has_words_and_every_limit_a_name(repository: Path, worked_text: str) -> None:
    overflow = worked_text.replace("overflow: none", "overflow: {at: 280 mm, bore: 12 mm}")
    made = [limits(read(repository / "examples" / "two_tanks.yaml")), limits(read_text(overflow, "o.yaml"))]
    made.append(limits(read_text(lifted_from_a_bin(worked_text), "lifted.yaml")))
    made.append(limits(read_text(counted(timed(repository), LIMITER, 50e-3), "count.yaml")))
    codes = {
        b.code for found in made for rule in found.rules for one in rule.seasons.values() for b in (*one.low, *one.high)
    }
    assert set(SAYS) == codes
    assert set(model.QUANTITY) == set(NAMES) == {rule.what for found in made for rule in found.rules}
    assert set(CHANGE) | set(UNSEEN) <= set(SAYS)
    assert all(told(found) for found in made)  # each with the figures that its words ask for


@pytest.mark.parametrize("seed", range(8))
def test_random_designs_are_told_without_a_word_astray(seed: int) -> None:
    design = read_text(random_design(seed, 40).text(), "r.yaml")
    assert not [one for one in check(design) if one.level == "error"]
    found = limits(design)
    text = told(found)
    assert not re.search(r"\bnan\b|\binf\b|endless|unknown|\{|None", re.sub(r"`- \{[^`]+\}`", "", text))
    json.dumps(limit_records.limits(found), allow_nan=False)
    assert exit_code(found) == (1 if found.outside else 0)


@pytest.mark.slow
def test_a_value_of_its_own_spares_a_season_the_nuisance_of_one_for_all_the_year(repository: Path) -> None:
    """With the log one value for all the year would refuse half of winter's days; what is refused is told of what is
    written, in the same digits."""
    design = read(repository / "examples" / "two_tanks.yaml")
    now = yearly.day_of("2026-11-20")
    log, _ = yearly.read_log(str(repository / "examples" / "readings.csv"), now, False, "limits")
    known = yearly.made_of(design, log, now, None).calibration
    found = limits(design, Asked().as_logged(known), known)
    rule = next(one for one in found.rules if (one.what, one.subject) == (model.DAY, "top-off pump"))
    assert rule.by_season
    assert all(one.advised == one.free for one in rule.seasons.values())
    text = told(found)
    both = re.search(r"Write in line 70: `per day: ([\d.]+ L)` when the heating goes on, ([\d.]+ L) when", text)
    assert both is not None
    assert (
        f"With the advised cap of {both[1]} in winter and {both[2]} in summer no ordinary top-off is refused." in text
    )
    assert not re.search(r"(?<![\d.])[01] times|at most nothing", text)


def test_soft_bounds_over_the_year_ask_for_a_value_for_each_season() -> None:
    """One value would do no harm, and lies under the free value of winter, which winter's own does not."""
    winter = Limit("day", (Bound("need", 2.0), Bound("nuisance", 4.0, soft=True)), (Bound("space", 5.0),), 4.0)
    summer = Limit("day", (Bound("need", 0.8), Bound("nuisance", 1.5, soft=True)), (Bound("space", 2.7),), 4.0)
    rule = model.Ruled("day", "pump", {"winter": winter, "summer": summer})
    assert not rule.whole.clash
    assert (rule.by_season, rule.right_for, rule.outside) == (True, "winter", False)
    same = model.Ruled("day", "pump", {"winter": winter, "summer": winter})
    assert (same.by_season, same.right_for) == (False, "")


@pytest.mark.parametrize("name", ["first_float"])
def test_a_cap_that_no_file_has_and_nobody_advises_ends_no_run(name: str, repository: Path) -> None:
    text = told(limits(read(repository / "examples" / f"{name}.yaml")))
    assert "The file has no limit, and no value will do" in text
    assert "The cap of a day comes first" not in text


def test_days_that_a_cap_bears_are_enough_when_given(repository: Path) -> None:
    """What is told to be given as --away, and at home as --measured, leaves a value; a day more does not."""
    design = read(repository / "examples" / "first_float.yaml")
    days = re.search(r"give the days, (\d+) at most, as --away and as --measured", told(limits(design)))
    assert days is not None

    def clash(away: int) -> bool:
        found = limits(design, Asked(away=away, measured=float(away)))
        return next(one for one in found.rules if one.what == model.DAY).clash

    assert not clash(int(days[1]))
    assert clash(int(days[1]) + 1)

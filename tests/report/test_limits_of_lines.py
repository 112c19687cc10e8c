"""Limits of what one line from the supply fills, in words: one window for all, a pressure tank that is no vessel."""

from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.report import limit_records, terminal
from dewpond.report.views.limits import limits_report
from dewpond.report.views.limits_counts import trips
from dewpond.report.views.shown import shown_in
from dewpond.study.counters import A_DRAW
from dewpond.study.limits.limits import Limits, limits
from dewpond.study.limits.model import Asked
from dewpond.study.outcome import Remark
from tests.study import lines
from tests.study import test_limits_of_counts as counts


def made(text: str, asked: Asked = Asked()) -> tuple[Limits, str]:  # noqa: B008
    found = limits(read_text(text, "line.yaml"), asked)
    return found, " ".join(terminal.render(limits_report(found)).split())


def test_vessels_that_share_a_line_are_told_one_window_with_the_sum(repository: Path) -> None:
    found, text = made(lines.with_small_store(lines.timed(repository)))
    assert "for small store, one after the other at" in text or "for reservoir, one after the other at" in text
    assert "they share one line, so the times add" in text
    assert text.count("Fill window a day.") == 1
    assert "feed valve into reservoir and small store" in text
    assert [one["of"] for one in limit_records.limits(found)["times"] if one["limit"] == "window"] == ["morning fill"]  # type: ignore[union-attr,index,call-overload]
    (fed,) = [one for one in limit_records.limits(found)["fed"] if one["part"] == "feed valve"]  # type: ignore[union-attr,index,call-overload]
    assert (fed["vessel"], fed["vessels_after"]) == ("reservoir", ["small store"])


def test_a_pressure_tank_that_the_room_above_the_float_does_not_hold_is_told_as_what_would_have_to_change(
    repository: Path,
) -> None:
    _, text = made(lines.with_tank(lines.timed(repository)))
    assert "what reservoir has free above its float does not hold the 6.7 L that the pressure tank" in text
    assert "What would have to change: an overflow to a drain, a float that shuts lower" in text
    assert "; a smaller pressure tank" in text
    assert "high water" not in text.split("pressure tank", 1)[0]


@pytest.mark.parametrize(("away", "word"), [(14, "too small and too large"), (1, "too large")])
def test_a_reservoir_past_a_soft_bound_is_not_told_to_lie_inside(away: int, word: str, repository: Path) -> None:
    """All bounds of a reservoir are soft: there is nothing that it lies inside of."""
    found, said = made(lines.timed(repository), Asked(away=away, measured=1.0))
    (rule,) = [one for one in found.rules if one.what == "stock"]
    for limit in rule.seasons.values():
        assert limit.has is not None
        assert limit.has > limit.top
    assert (rule.seasons["winter"].free > (rule.seasons["winter"].has or 0.0)) is ("small" in word)
    row = said.split("reservoir, usable", 1)[1].split("timeout", 1)[0]
    assert f"{word}, see below" in row
    assert "inside" not in row


@pytest.mark.slow
def test_litres_of_a_part_that_counts_are_told_with_waste_and_what_puts_the_count_back(repository: Path) -> None:
    """Each of the three counts, and both forms of a bound from above."""
    for part, since, told in (
        (counts.LIMITER, "", "Its count begins anew once nothing has run for a while."),
        (counts.METER, "midnight", "Its count begins anew at midnight."),
        (counts.METER, "put back by hand", "Its count goes on until somebody puts it back."),
    ):
        found, text = made(counts.counted(lines.timed(repository), part, 5e-3, since))
        assert "counter: litres before it trips, line" in text
        assert told in text
        assert "parts for one that arrives, the waste water among them" in text
        assert [one.what for one in found.outside].count("count") == 1
    _, text = made(counts.counted((repository / "examples" / "two_tanks.yaml").read_text("utf-8"), counts.METER, 5e-3))
    assert "(half of what is free) are filled by then" in text


def test_a_cap_that_a_midnight_parts_is_told_as_such_and_no_shorter_journey_is_offered(repository: Path) -> None:
    """Half of what is free above the float, however few days nobody looks; nothing drains down into a reservoir."""
    text = lines.timed(repository)
    assert text.count("quite shut at: 285 mm") == 1
    text = text.replace("quite shut at: 285 mm", "quite shut at: 300 mm")
    for away in (14, 2):
        found, said = made(text, Asked(away=away, measured=2.0))
        day = next(one for one in found.rules if (one.what, one.subject) == ("day", "feed valve"))
        limit = day.seasons["winter"]
        (space,) = [one for one in limit.high if one.code == "space"]
        assert space.value == pytest.approx(0.5 * space.figures["spare"] * space.figures["counted"])
        part = said.split("feed valve into", 1)[1].split("Most in a day.", 1)[1].split("top-off pump into", 1)[0]
        assert "two caps that a midnight parts may come one right after the other" in part
        assert "--away" not in part
        assert "return nozzle" not in part
        assert "an overflow to a drain, or a float that shuts lower" in part


@pytest.mark.slow
def test_litres_that_do_not_hold_a_fill_from_empty_are_left_and_re_armed(repository: Path) -> None:
    """What a float that sticks bears lies below a fill from empty: `limits` and S235 say the same of it."""
    text = counts.counted((repository / "examples" / "two_tanks.yaml").read_text("utf-8"), counts.LIMITER, 22e-3)
    found, said = made(text)
    (rule,) = [one for one in found.rules if one.what == "count"]
    assert (rule.by_season, rule.outside) == (False, False)
    limit = rule.seasons["winter"]
    assert limit.figures["empty"] > limit.most
    assert "leave it" in said.split("Litres before it trips.", 1)[1]
    assert "After an absence, with what it fills empty, it trips in the midst of the fill" in said
    remark = Remark("S235", "note", ("counter", A_DRAW), {"has": 22e-3, "litres": 0.2})
    assert "leave them: after an absence it trips, so re-arm it then" in trips(remark, shown_in("metric"))[2]


def test_what_nothing_measured_may_be_off_by_is_told_only_then(repository: Path) -> None:
    text = (repository / "examples" / "two_tanks.yaml").read_text("utf-8")
    said = "A week of top-off makes all of this narrower"
    assert said in made(text)[1]
    for salt in ("35 ppt", "33 ppt"):
        text = text.replace(f"salinity: {salt}", f"salinity: {salt}, evaporation: 2 L/day")
    assert said not in made(text)[1]

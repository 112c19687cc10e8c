"""What a study says of faults whose outcome hangs on the floor: from the least to the most, not what one shows."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from dewpond.plant.plant import DAY
from dewpond.report.views import by_floor, failures, matters
from dewpond.report.views.blocks import Text
from dewpond.report.views.cures import LEAK, NEXT, PROBED
from dewpond.report.views.drains import Ground
from dewpond.report.views.shown import Shown
from dewpond.report.views.study import short
from dewpond.study.outcome import Outcome, StudyResult, UnknownEffect
from tests.study.floored import floored

Make = Callable[..., Outcome]
HOUR = 3600.0
BURST, WEEPS = "tube: burst, in shed", "tap: joint weeps, behind the valve"


@pytest.fixture
def leak(outcome: Make) -> Outcome:
    """A leak of which the middle floor tells 660 L; on the others it is 470 L, and 1600 L, which come to a hall too."""

    def one(litres: float, after: float, **told: object) -> Outcome:
        return outcome(
            faults=(BURST,), who="travelling", horizon=14 * DAY, first_water=HOUR, first_noticed=HOUR + after,
            noticed_by="probe reports water", on_floors=litres * 1e-3, **told,
        )  # fmt: skip

    told = one(660.0, 58.0, by_place={"shed": 0.66}, still_running=True)
    few = one(470.0, 11.0, by_place={"shed": 0.47}, stopped=3 * HOUR, stopped_by="valve shuts")
    many = one(1600.0, 780.0, by_place={"shed": 1.2, "hall": 0.4}, still_running=True)
    return floored(told, told.told, few.told, many.told)


@pytest.fixture
def studied_on_floors(studied: StudyResult, outcome: Make, leak: Outcome) -> StudyResult:
    steady = outcome(
        faults=(WEEPS,), who="travelling", horizon=14 * DAY, first_water=HOUR, on_floors=0.9, by_place={"shed": 0.9},
        still_running=True,
    )  # fmt: skip
    return replace(
        studied, who=(("travelling", 14 * DAY),), failures=(steady, leak), normal=(), findings=(), remarks=(),
        unknowns=(), tanks=(),
    )  # fmt: skip


@pytest.fixture
def own(studied_on_floors: StudyResult, monkeypatch: pytest.MonkeyPatch) -> Ground:
    """Shed and hall are rooms of the design."""
    found = Ground.under(studied_on_floors)
    made = replace(found, floors=found.floors | {"shed", "hall"}, holds={})
    monkeypatch.setattr(Ground, "under", lambda _: made)
    return made


@pytest.mark.usefixtures("own")
def test_the_first_sentence_gives_the_least_and_the_most_and_every_room(
    studied_on_floors: StudyResult, metric: Shown
) -> None:
    first = matters.sentences(studied_on_floors, metric)[0]
    assert "2 of the 2 single faults tried put water on a floor" in first
    assert "and with 1 it still runs at the end, with 1 more on some floors only" in first
    assert f"most comes with “{BURST}”: 470 to 1600 L by floor, in shed (on some floors in hall, too)" in first
    assert "noticed 11 s to 13 min after the first water by floor (probe reports water" in first
    assert "stopped by nothing on 2 of 3 floors (ended 2 h after it on the others)" in first
    assert "660 L" not in first
    assert "58 s" not in first


def test_what_most_comes_with_is_judged_by_the_worst_floor(
    studied_on_floors: StudyResult, metric: Shown, own: Ground
) -> None:
    """On the floor that is told the other fault brings more."""
    assert [o.faults[0] for o in failures.singles(studied_on_floors)] == [BURST, WEEPS]
    bars = failures.litre_bars("bars", failures.singles(studied_on_floors), metric, own)
    assert bars is not None
    assert [bar.shown for bar in bars.bars] == ["470 to 1600 L by floor", "900 L"]
    assert bars.bars[0].value > bars.bars[1].value


def test_the_row_gives_when_it_is_noticed_and_stops_from_the_soonest_to_the_latest(
    leak: Outcome, metric: Shown, own: Ground
) -> None:
    cells = failures.row(leak, metric, own)
    assert cells[0] == "470 to 1600 L by floor"
    assert cells[4] == "11 s to 13 min, nobody told"
    assert cells[5] == "2 h, never on 2 of 3 floors"
    unseen = replace(leak.told, first_noticed=None, noticed_by=None)
    assert failures.noticed(floored(leak, leak.told, unseen), metric).startswith("58 s, never on 1 of 2 floors")
    soon = replace(leak.told, first_noticed=HOUR + 0.2)
    assert failures.noticed(floored(leak, leak.told, soon), metric).startswith("up to 58 s")
    assert failures.noticed(floored(leak, leak.told, leak.told), metric).startswith("58 s")
    assert by_floor.noticed(floored(leak, leak.told, replace(leak.told, first_noticed=HOUR - 5.0)), metric) is None
    assert by_floor.noticed(floored(leak, soon, unseen), metric) == ("within 1 s", "1 of 2 floors")


def test_what_floor_drains_take_is_a_range_too(leak: Outcome, metric: Shown, own: Ground) -> None:
    gone = replace(leak.told, onward={"shed": ("gully", 0.31)})
    assert failures.row(floored(leak, leak.told, gone), metric, own)[1] == "nothing to 310 L by floor"
    assert failures.row(floored(leak, gone, gone), metric, own)[1] == "310 L"


@pytest.mark.usefixtures("own")
def test_a_room_that_gets_wet_on_some_floors_only_is_not_called_dry(
    studied_on_floors: StudyResult, metric: Shown, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("dewpond.report.views.study.rooms", lambda _: ("shed", "hall", "loft"))
    texts = [block.text for block in short(studied_on_floors, metric) if isinstance(block, Text)]
    assert "None of the 2 things tried puts water on the floor of loft." in texts
    assert (
        "Onto the floor of hall water comes on some floors only: with 1 of the 2 things tried, oftenest with "
        f"“{BURST}” (travelling, on 1 of 3 floors)."
    ) in texts
    assert not any("floor of shed" in text for text in texts)


def test_a_study_says_where_only_outer_floors_were_run(
    studied_on_floors: StudyResult, metric: Shown, own: Ground
) -> None:
    steady, leak = studied_on_floors.failures
    (text,) = by_floor.of_study(studied_on_floors, metric)
    assert "Told is what most floors come to, with the litres in the middle of these." in text
    assert "outer" not in text
    assert "Another answer" not in text
    effect = UnknownEffect("probe", "seen to work with purified water", "never", "seen", "Pour a cup.", ())
    (text,) = by_floor.of_study(replace(studied_on_floors, unknowns=(effect,)), metric)
    assert "Another answer to what is unknown is tried on the floor that is told: on others it may change more." in text
    outer = floored(steady, steady.told, steady.told, count=20)
    (text,) = by_floor.of_study(replace(studied_on_floors, failures=(outer, leak)), metric)
    assert "In 1 of them not all 20 floors were run, but only the outer ones, at most 2: " in text
    assert "floors in between may yet differ more" in text
    told = " ".join(by_floor.sentences(outer, studied_on_floors.design, metric, own))
    assert "Of 20 floors only the outer 2 were run" in told


@pytest.mark.usefixtures("own")
def test_the_next_step_names_probes_where_the_file_has_plans(
    studied_on_floors: StudyResult, metric: Shown, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(matters, "group", lambda *_: LEAK)
    assert LEAK in PROBED <= NEXT.keys()
    *_, last = matters.sentences(studied_on_floors, metric)
    assert "(not tried here)" in last
    planned = replace(studied_on_floors, design=replace(studied_on_floors.design, plans=("a plan",)))  # type: ignore[arg-type]
    *_, last = matters.sentences(planned, metric)
    assert f"(not tried here; `dewpond probes {planned.design.file}` tries where)" in last

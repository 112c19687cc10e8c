"""The clock of the house laid over a run, against a count of days and hours by hand."""

import pytest

from dewpond.plant import primitives as prim
from dewpond.plant.laying import lay
from dewpond.plant.plant import DAY, STARTS, Plant, Scenario
from tests.parts.recording import lowered
from tests.plant.houses import HOUR, STOP_ON_WATER, TOP_OFF, design, plant_of

ROOM = "sensors:\n"


def house(keys: str) -> Plant:
    """The test house with a time window that no row asks for."""
    window = f"sensors:\n  fill: {{kind: time window, by the clock of: box, {keys}, its time in a power cut: kept}}\n"
    text = design(STOP_ON_WATER, TOP_OFF)
    assert text.count(ROOM) == 1
    return plant_of(text.replace(ROOM, window))


def course(keys: str, who: str, days: float, clock: float | None = None) -> list[tuple[float, float]]:
    """When it is due [h after the midnight before the run], as (from, to); the run begins and ends within some."""
    plant, begin = house(keys), STARTS[who] if clock is None else clock
    arrays = lay(plant, Scenario(who, days * DAY, (), begin))
    (signal,) = plant.clocks
    turns = [
        (t, v) for t, s, v in zip(arrays.tt_time, arrays.tt_sig, arrays.tt_value, strict=True) if s == signal
    ]  # fmt: skip
    assert turns == sorted(turns)
    on = [0.0] if arrays.sig_start[signal] else []
    on += [t for t, v in turns if v]
    off = [t for t, v in turns if not v]
    off += [days * DAY] * (len(on) - len(off))
    return [((a + begin) / HOUR, (b + begin) / HOUR) for a, b in zip(on, off, strict=True)]


@pytest.mark.parametrize("who", STARTS)
def test_every_day_at_its_hour_from_whatever_hour_a_run_begins(who: str) -> None:
    begin = STARTS[who] / HOUR
    wanted = [(24.0 * day + 6.5, 24.0 * day + 7.0) for day in range(5) if begin < 24.0 * day + 6.5 < begin + 72.0]
    assert course("on from: 06:30, for: 30 min", who, 3.0) == [pytest.approx(one) for one in wanted]
    assert len(wanted) == 3


def test_a_run_that_begins_or_ends_within_it_has_the_rest_of_it() -> None:
    assert course("on from: 17:00, for: 2 h", "at home", 1.0) == [
        pytest.approx((18.0, 19.0)), pytest.approx((41.0, 42.0)),
    ]  # fmt: skip
    assert course("on from: 22:00, for: 12 h", "travelling", 0.5)[0] == pytest.approx((8.0, 10.0)), "over midnight"
    assert course("on from: 18:00, for: 1 h", "at home", 0.5) == [pytest.approx((18.0, 19.0))]
    assert course("on from: 17:00, for: 1 h", "at home", 0.5) == [], "it ends as the run begins"


def test_every_third_day_begins_with_the_day_of_the_run() -> None:
    """At home from 18:00: 20:00 is still to come on that day, 06:30 is over and comes on the fourth."""
    keys = "for: 30 min, every: 3 days"
    assert course(f"on from: 20:00, {keys}", "at home", 8.0) == [
        pytest.approx((20.0 + 72.0 * n, 20.5 + 72.0 * n)) for n in range(3)
    ]  # fmt: skip
    assert course(f"on from: 06:30, {keys}", "at home", 8.0) == [
        pytest.approx((6.5 + 72.0 * n, 7.0 + 72.0 * n)) for n in (1, 2)
    ]  # fmt: skip


def test_it_is_a_row_of_the_timetable_like_a_midnight() -> None:
    plant = house("on from: 06:30, for: 30 min")
    (signal,) = plant.clocks
    assert plant.arrays.sig_op[signal] == prim.L_TIMETABLE
    assert plant.clocks[signal] == (6.5 * HOUR, 1800.0, DAY)


def test_a_window_that_never_ends_is_a_mistake_of_ours() -> None:
    from dewpond.parts import KINDS

    with pytest.raises(AssertionError):
        lowered(KINDS["time window"], {"for": 2.0 * DAY})

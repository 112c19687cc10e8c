"""What a box still knows after a power cut and after a hang: the table of docs/design_file.md, cell by cell.

The times are made by hand. A call begins at 100 s, a run may last 240 s; what goes wrong lasts a minute.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.plant.houses import HOUR, STOP_ON_WATER, Ill, Told, controller, design, plant_of, run
from tests.plant.test_rows import CALLS, CUT, HIGH, WET, near, pump, valve

Boxes = Callable[..., str]
MEMORIES = ("kept", "cleared")
HUNG = ("keeps last order", "outputs stopped")
DEMAND = "{cause: low mark low%s, effect: {pump: running}, at most: 4 min a run%s}"
BY_HAND = ", when a run is too long: {effect: stopped, until: re-armed by hand when the level is normal}"
CALL = Ill(CALLS, 100.0)


def told(row: str, box: str, *ills: Ill, more: tuple[str, ...] = (), clock: float | None = None) -> Told:
    return run(plant_of(design(row, *more, controllers=box)), "travelling", HOUR + 1200.0, ills, clock=clock)


def cut(at: float, lasts: float = 60.0) -> Ill:
    return Ill(CUT, at, lasts)


def hang(at: float, lasts: float = 60.0) -> Ill:
    return Ill("box: hangs", at, lasts)


# --- that a part is held off ------------------------------------------------------------------------------------------
LOCKS = {"cause ends": ("", "counts"), "re-armed by hand": (BY_HAND, "trips")}
RUN = ((0.0, 0), (100.0, 1), (340.0, 0))
WAITS = "waits after a restart: 5 min"


@pytest.mark.parametrize("until", LOCKS)
@pytest.mark.parametrize("ill", [CUT, "box: dies"])
@pytest.mark.parametrize("memory", [*MEMORIES, "unknown"])
def test_lock_outlives_a_power_cut_where_the_file_says_so(until: str, ill: str, memory: str) -> None:
    """What is not known is taken to be cleared."""
    after, word = LOCKS[until]
    for more, lasting, again in (("", "", 660.0), (WAITS, "", 960.0), ("", ", lasting: 10 s", 670.0)):
        row = DEMAND % (lasting, after)
        seen = told(row, controller(more=more, **{word: memory}), CALL, Ill(ill, 600.0, 60.0))
        late = 10.0 if lasting else 0.0
        first = [(t + (late if t else 0.0), v) for t, v in RUN]
        anew = [] if memory == "kept" else [(again, 1), (again + 240.0, 0)]
        assert pump(seen) == near(*first, *anew), (more, lasting)


@pytest.mark.parametrize("until", LOCKS)
@pytest.mark.parametrize("hung", HUNG)
@pytest.mark.parametrize("memory", MEMORIES)
def test_lock_outlives_a_hang_whatever_the_box_keeps(until: str, hung: str, memory: str) -> None:
    after, word = LOCKS[until]
    for lasting in ("", ", lasting: 10 s"):
        box = controller(hung=hung, **{word: memory})
        assert len(pump(told(DEMAND % (lasting, after), box, CALL, hang(600.0)))) == 3


def test_lock_that_the_cause_lifts_is_lifted_when_the_box_sees_that_it_is_over() -> None:
    """The call ends while there is no power, and comes again five minutes later."""
    ills = (Ill(CALLS, 100.0, 540.0), cut(600.0), Ill(CALLS, 960.0))
    assert pump(told(DEMAND % ("", ""), controller(), *ills)) == near(*RUN, (960.0, 1), (1200.0, 0))
    waits = controller(more="waits after a restart: 6 min")  # and looks again at 1020 s
    assert pump(told(DEMAND % ("", ""), waits, *ills)) == near(*RUN)


# --- how long it has run ----------------------------------------------------------------------------------------------
@pytest.mark.parametrize("memory", MEMORIES)
@pytest.mark.parametrize(
    ("lasting", "gap", "more", "again"),
    [("", "", "", 280.0), ("", ", gap: 2 min", "", 400.0), ("", "", WAITS, 580.0), (", lasting: 10 s", "", "", 290.0),
     (", lasting: 10 s", ", gap: 2 min", WAITS, 590.0)],
)  # fmt: skip
def test_run_that_a_power_cut_ends_goes_on_where_counts_are_kept(
    memory: str, lasting: str, gap: str, more: str, again: float
) -> None:
    """Two minutes of four are left after the cut, whatever the pump rests or waits before it runs again."""
    late = 10.0 if lasting else 0.0
    seen = told(DEMAND % (lasting, gap), controller(counts=memory, more=more), CALL, cut(220.0 + late))
    left = 120.0 if memory == "kept" else 240.0
    restart = again + late
    assert pump(seen)[:5] == near((0.0, 0), (100.0 + late, 1), (220.0 + late, 0), (restart, 1), (restart + left, 0))


def test_three_power_cuts_bring_no_more_than_one_run() -> None:
    seen = told(DEMAND % ("", ", gap: 2 min"), controller(), CALL, *(cut(160.0 + 240.0 * n) for n in range(4)))
    assert sum(t if v == 0 else -t for t, v in pump(seen)) == pytest.approx(240.0, abs=0.1)


def test_pause_between_runs_begins_anew_after_a_start() -> None:
    """The run ends with its call at 160 s; the next call comes at once, and a minute later power goes for another."""
    ills = (Ill(CALLS, 100.0, 60.0), Ill(CALLS, 161.0), cut(220.0))
    assert pump(told(DEMAND % ("", ", gap: 2 min"), controller(), *ills))[:4] == near(
        (0.0, 0), (100.0, 1), (160.0, 0), (400.0, 1)
    )


@pytest.mark.parametrize("memory", MEMORIES)
def test_run_that_a_hang_ends_goes_on_whatever_the_box_keeps(memory: str) -> None:
    box = controller(counts=memory, hung="outputs stopped")
    for lasting, late in (("", 0.0), (", lasting: 10 s", 10.0)):
        seen = told(DEMAND % (lasting, ""), box, CALL, hang(220.0 + late))
        assert pump(seen) == near(
            (0.0, 0), (100.0 + late, 1), (220.0 + late, 0), (280.0 + 2.0 * late, 1), (400.0 + 2.0 * late, 0)
        )


@pytest.mark.parametrize("memory", MEMORIES)
def test_run_that_goes_on_through_a_hang_is_counted(memory: str) -> None:
    row, box = DEMAND % ("", ""), controller(counts=memory)
    assert pump(told(row, box, CALL, hang(220.0))) == near(*RUN)
    assert pump(told(row, box, CALL, hang(220.0, 200.0))) == near((0.0, 0), (100.0, 1), (420.0, 0))


@pytest.mark.parametrize("memory", MEMORIES)
def test_run_that_the_box_itself_ends_is_over(memory: str) -> None:
    """By a stop for a minute: the next one may last its four minutes, as one after its cause was over."""
    stop = "{cause: high mark high, effect: {pump: stopped}}"
    seen = told(DEMAND % ("", ""), controller(counts=memory), CALL, Ill(HIGH, 220.0, 60.0), more=(stop,))
    assert pump(seen) == near((0.0, 0), (100.0, 1), (220.0, 0), (280.0, 1), (520.0, 0))
    over = told(DEMAND % ("", ""), controller(counts=memory), Ill(CALLS, 100.0, 150.0), cut(220.0), Ill(CALLS, 400.0))
    assert pump(over) == near((0.0, 0), (100.0, 1), (220.0, 0), (400.0, 1), (640.0, 0))


# --- stops ------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("memory", MEMORIES)
def test_stop_outlives_the_time_in_which_its_cause_lasts_anew(memory: str) -> None:
    """High from 200 s on, for a minute before it stops the pump; it stands when the power is back."""
    stop = "{cause: high mark high, lasting: 60 s, effect: {pump: stopped}}"
    row = (DEMAND % ("", "")).replace("4 min", "60 min")
    seen = told(row, controller(trips=memory), CALL, Ill(HIGH, 200.0, 900.0), cut(400.0), more=(stop,))
    anew = [] if memory == "kept" else [(460.0, 1), (520.0, 0)]
    assert pump(seen)[: 4 + len(anew)] == near((0.0, 0), (100.0, 1), (260.0, 0), *anew, (1100.0, 1))
    for hung in HUNG:
        box = controller(trips=memory, hung=hung)
        hanged = told(row, box, CALL, Ill(HIGH, 200.0, 900.0), hang(400.0), more=(stop,))
        assert pump(hanged)[:4] == near((0.0, 0), (100.0, 1), (260.0, 0), (1100.0, 1))


@pytest.mark.parametrize("memory", MEMORIES)
@pytest.mark.parametrize("hung", HUNG)
def test_trip_outlives_a_hang_whatever_the_box_keeps(memory: str, hung: str) -> None:
    """The probe is wet for twenty seconds, and dry long before the box hangs."""
    seen = run(
        plant_of(design(STOP_ON_WATER, controllers=controller(trips=memory, hung=hung))), "travelling", 900.0,
        [Ill(WET, 50.0, 20.0), hang(100.0, 100.0)],
    )  # fmt: skip
    assert valve(seen) == near((0.0, 1), (50.0, 0))


# --- what has been given today ----------------------------------------------------------------------------------------
DAY = "{cause: low mark low, effect: {pump: running}, at most: 60 min a run, per day: 2 L}"
BEFORE_MIDNIGHT = 23.0 * HOUR  # so that it is midnight after an hour


def starts(*ills: Ill, **box: str) -> list[float]:
    seen = told(DAY, controller(**box), CALL, *ills, clock=BEFORE_MIDNIGHT)
    return [t for t, v in pump(seen) if v]


@pytest.mark.parametrize("memory", MEMORIES)
def test_day_s_count_begins_anew_at_midnight_and_outlives_a_hang(memory: str) -> None:
    midnight = pytest.approx(HOUR, abs=1.01)
    assert starts(counts=memory) == [100.0, midnight]
    for hung in HUNG:
        assert starts(hang(600.0), counts=memory, hung=hung) == [100.0, midnight]
        assert starts(hang(HOUR - 60.0, 120.0), counts=memory, hung=hung) == [100.0]


def test_box_without_power_at_midnight_goes_on_with_the_count_of_the_day_before() -> None:
    assert starts(cut(HOUR - 60.0, 120.0)) == [100.0]
    assert starts(cut(HOUR - 60.0, 120.0), counts="cleared") == [100.0, HOUR + 60.0]


# --- two rows on one pump ---------------------------------------------------------------------------------------------
ALSO = "{cause: high mark high, effect: {pump: running}, at most: %s a run}"


def test_two_rows_count_one_run_of_their_pump_and_hold_off_their_own_demand_only() -> None:
    """The first calls from 100 s on, the other from 220 s; a run is one whoever asked for it first."""
    both = (CALL, Ill(HIGH, 220.0))
    alike = told(DEMAND % ("", ""), controller(), *both, more=(ALSO % "4 min",))
    assert pump(alike) == near(*RUN)
    longer = told(DEMAND % ("", BY_HAND), controller(), *both, more=(ALSO % "10 min",))
    assert pump(longer) == near((0.0, 0), (100.0, 1), (700.0, 0))
    later = told(DEMAND % ("", BY_HAND), controller(), CALL, Ill(HIGH, 1000.0), more=(ALSO % "10 min",))
    assert pump(later) == near(*RUN, (1000.0, 1), (1600.0, 0))

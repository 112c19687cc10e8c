"""Folding a run: nothing is lost, and repetitions are counted."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from dewpond.plant.moments import Moment
from dewpond.study.beats import OFTEN, Beat, fold


def cycle(start: float, part: str) -> list[Moment]:
    return [Moment(start, "note", f"{part} starts", part), Moment(start + 5.0, "note", f"{part} stops", part)]


def test_pump_that_runs_42_times_is_told_once_and_counted() -> None:
    moments = [m for n in range(42) for m in cycle(100.0 * n, "pump")]
    assert tuple(fold(moments)) == (
        Beat(0.0, "note", "pump starts", "pump"),
        Beat(5.0, "note", "pump stops", "pump"),
        Beat(100.0, "again", "", "pump", 41, 4105.0, ("pump",), ("pump starts", "pump stops"), 4100.0),
    )


def test_parts_that_go_round_together_are_counted_together() -> None:
    moments = sorted(
        (m for n in range(10) for part, late in (("mark", 0.0), ("pump", 1.0)) for m in cycle(100.0 * n + late, part)),
        key=lambda m: m.time,
    )
    again = [beat for beat in fold(moments) if beat.again]
    assert [(beat.again, beat.parts, beat.time, beat.until) for beat in again] == [(9, ("mark", "pump"), 100.0, 906.0)]
    assert again[0].texts == ("mark starts", "pump starts", "mark stops", "pump stops")
    assert again[0].last == 900.0  # a round is dated by what it begins with


def test_parts_that_go_round_apart_are_counted_apart() -> None:
    slow = [m for n in range(5) for m in cycle(1000.0 * n, "slow")]
    fast = [m for n in range(50) for m in cycle(2000.0 + 10.0 * n, "fast")]
    again = [beat for beat in fold(sorted(slow + fast, key=lambda m: m.time)) if beat.again]
    assert [(beat.parts, beat.again) for beat in again] == [(("slow",), 4), (("fast",), 49)]


def test_what_comes_twice_is_told_twice() -> None:
    moments = cycle(0.0, "pump") + cycle(50.0, "pump")
    assert [beat.text for beat in fold(moments)] == ["pump starts", "pump stops"] * 2


MOMENTS = st.lists(
    st.tuples(st.integers(0, 50), st.sampled_from(["a", "b"]), st.sampled_from(["starts", "stops", "runs over"])),
    max_size=40,
).map(lambda rows: [Moment(float(t), "note", f"{p} {x}", p) for t, p, x in sorted(rows)])


def test_a_last_round_that_is_cut_short_is_told_as_it_comes() -> None:
    """The mark calls a last time, and the pump has been unplugged."""
    moments = [m for n in range(8) for m in cycle(100.0 * n, "pump")]
    moments += [Moment(100.0 * n, "note", "mark calls", "pump") for n in range(9)]
    moments.insert(0, Moment(790.0, "act", "keeper unplugs", "keeper"))
    beats = fold(sorted(moments, key=lambda m: m.time))
    (again,) = [beat for beat in beats if beat.again]
    assert (again.again, again.last, again.until) == (7, 700.0, 705.0)
    assert [beat.text for beat in beats if not beat.again][-2:] == ["keeper unplugs", "mark calls"]


def test_what_comes_later_and_less_often_is_no_part_of_an_earlier_round() -> None:
    """The pump starts and stops; only when the reservoir is empty it draws air, again and again."""
    moments = [m for n in range(38) for m in cycle(100.0 * n, "pump")]
    moments += [Moment(9000.0 + 500.0 * n, "harm", "pump draws air", "pump") for n in range(12)]
    again = [(beat.again, beat.until, beat.texts) for beat in fold(moments) if beat.again]
    assert again == [(37, 3705.0, ("pump starts", "pump stops")), (11, 14500.0, ("pump draws air",))]


@given(MOMENTS)
def test_every_text_is_told_or_counted_and_times_never_run_back(moments: list[Moment]) -> None:
    beats = fold(moments)
    assert [b.time for b in beats] == sorted(b.time for b in beats)
    told = Counter((b.part, b.text) for b in beats if not b.again)
    counted = {(part, text): b.again for b in beats if b.again for part in b.parts for text in b.texts}
    for (part, text), times in Counter((m.part, m.text) for m in moments).items():
        if times < OFTEN:
            assert told[part, text] == times
        else:
            assert told[part, text] in (1, 2)  # the second time is that of a round that is not whole
            assert counted[part, text] >= times - told[part, text]
    folded = {
        (part, text) for (part, text), times in Counter((m.part, m.text) for m in moments).items() if times >= OFTEN
    }
    assert Counter(text for b in beats for text in b.texts) == Counter(text for _, text in folded)
    if moments:
        assert max(max(b.time, b.until) for b in beats) == max(m.time for m in moments)


def test_rounds_that_end_hardly_more_than_a_cycle_apart_go_together() -> None:
    """The last cycle of the mark, in which the pump rests, is a little longer than the others."""
    moments = [Moment(t, "note", "mark calls", "mark") for t in (0.0, 100.0, 200.0, 300.0, 400.1)]
    moments += [Moment(t, "note", "pump starts", "pump") for t in (0.0, 100.0, 200.0, 300.0)]
    beats = tuple(fold(sorted(moments, key=lambda m: m.time)))
    (again,) = [beat for beat in beats if beat.again]
    assert again.parts == ("mark", "pump")
    assert beats[-1].time == 400.1

"""Rows that can never act, delays and limits that cannot be meant: what lies just beside draws nothing.

The bad cases themselves are kept with their words in tests/bad_designs; here each has its sound neighbour. All figures
are invented, and worked out by hand where they decide.
"""

from collections.abc import Callable
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.design.checks import check
from dewpond.design.checks_limits import _running
from dewpond.design.checks_never import _most_at_once
from dewpond.design.model import Cause, Term
from dewpond.design.reader import read_text
from dewpond.design.scout import Scouted
from dewpond.errors import DesignError, Finding

Told = Callable[..., list[Finding]]
START = "cause: low mark low, effect: {pump: running}"
STOP = "  - {cause: high mark high, effect: {pump: stopped}}"
LEAK = "cause: probe wet or low probe wet"
BRIM = (
    "  stock:  ",
    (
        "  brim:   {kind: level switch, in: reservoir, at: 295 mm, wired to: box, contact: opens when high, "
        "read as high when: open}\n  stock:  "
    ),
)
BRIM_ROW = (
    STOP,
    "  - {cause: brim high, effect: {feed valve: shut}, until: re-armed by hand when normal, tell: leak message}\n"
    + STOP,
)
OWN_RELAY = (
    ("  box: {power", "  cut: {kind: relay, power: study circuit, without power: cuts the lead}\n  box: {power"),
    ("at: 30 mm below rim, wired to: box", "at: 30 mm below rim, wired to: cut"),
    (STOP, STOP.replace("}}", "}, by: cut}") + "\ncombination: any stop wins"),
)
PAUSE = ("people:", "work:\n  feeding: {kind: pause, lasts: 10 min, ends by itself after: 30 min}\npeople:")


def and_row(row: str) -> tuple[str, str]:
    """The change that adds a row at the end."""
    return STOP, f"{STOP}\n  - {row}"


def _teller(text: str) -> Told:
    def told(*changes: tuple[str, str]) -> list[Finding]:
        changed = text
        for old, new in changes:
            assert old in changed
            changed = changed.replace(old, new, 1)
        try:
            return list(check(read_text(changed, "house.yaml")))
        except DesignError as error:
            return list(error.findings)

    return told


@pytest.fixture
def told(repository: Path) -> Told:
    """What is objected to in a sound design of one tank without a sump, with texts exchanged."""
    text = (repository / "tests/bad_designs/started_and_stopped_at_once.yaml").read_text(encoding="utf-8")
    return _teller(text.replace("cause: low mark low or high mark high", "cause: high mark high"))


@pytest.fixture
def with_sump(repository: Path) -> Told:
    """The same with a sump: 0.045 m2 of chamber, 80 mm of water above what the return pump needs, so 3.6 L."""
    text = (repository / "tests/bad_designs/drains_too_far.yaml").read_text(encoding="utf-8")
    text = text.replace("200 cm x 100 cm", "60 cm x 40 cm").replace("at most: 20 min", "at most: 50 min")
    return _teller(text.replace("75 L, free", "75 L, evaporation: 6 L/day, free"))


def test_both_designs_are_sound(told: Told, with_sump: Told) -> None:
    assert told() == []
    assert with_sump() == []


@pytest.mark.parametrize("changes", [
    # a switch speaks up to its mark and its dead band: at 28.9 cm the one may be low still, and the other high
    (BRIM, BRIM_ROW, ("in: reservoir, at: 60 mm", "in: reservoir, calls at: 270 mm, is satisfied at: 298 mm"),
     and_row("{cause: stock low and brim high, effect: {}, tell: leak message}")),
    (BRIM, BRIM_ROW, and_row("{cause: stock normal and brim high, lasting: 1 h, effect: {}, tell: leak message}")),
    (BRIM, BRIM_ROW, and_row("{cause: stock not low and brim not high, lasting: 2 d, effect: {}, tell: leak message}"),
     ("lasting: 2 d", "lasting: 20 h")),
    (BRIM, BRIM_ROW, and_row("{cause: stock low or brim high, lasting: 3 h, effect: {}, tell: leak message}")),
    # marks of two vessels have nothing to do with each other
    (and_row("{cause: stock low and high mark high, effect: {}, tell: leak message}"),),
    # votes that say what no other word does, or that a puddle can win
    (BRIM, BRIM_ROW, (LEAK, 'cause: "2 of: probe wet, low probe wet, brim high"')),
    ((LEAK, "cause: probe wet and low probe wet"),),  # the tray runs over onto the study, and that into the laundry
    # low and high marks where the water comes
    (("in: reservoir, at: 60 mm", "in: reservoir, at: 284 mm"),),
    (BRIM, BRIM_ROW),  # no overflow: the water gets there
    # pauses
    (PAUSE, and_row("{cause: feeding begun, lasting: 5 min, effect: {pump: stopped}}")),
    (PAUSE, and_row("{cause: feeding begun, effect: {pump: stopped}}"),
     and_row("{cause: feeding begun, lasting: 2 h, effect: {}, by: box, tell: leak message}")),  # its timer has failed
    # boxes
    OWN_RELAY,
    # rows alike that each add something: another order, an earlier time, a wider cause, a message
    (and_row("{cause: high mark high, effect: {feed valve: shut}}"),),
    (and_row("{cause: high mark high, lasting: 1 h, effect: {pump: stopped}, tell: leak message}"),),
    (BRIM, and_row("{cause: high mark high or brim high, lasting: 1 min, effect: {pump: stopped}}")),
    # a limit that ends what runs, a day that allows two runs
    (("at most: 20 min a run", "at most: 20 min a run, per day: 2 L"),),
    # a stop while low that somebody ends, or that leaves another way
    (("lasting: 2 h, effect: {}", "lasting: 2 h, until: re-armed by hand, effect: {feed valve: shut}"),),
    (("lasting: 2 h, effect: {}", "lasting: 2 h, effect: {pump: stopped}"),),
    # messages
    (("path: [box, keeper], heard", "path: [box, keeper], unanswered for 30 min: friend, heard"),
     ("people:\n", "people:\n  friend: {reaches the stop tap in: 1 h}\n")),
])  # fmt: skip
def test_what_lies_beside_draws_nothing(told: Told, changes: tuple[tuple[str, str], ...]) -> None:
    assert [(f.code, f.where, f.what) for f in told(*changes)] == []


@pytest.mark.parametrize(
    ("changes", "codes"),
    [
        # 50 min at 6 L/h are 5 L; after a rest of 18.9 h these come every 19.73 h: 6.08 L a day. With 19.3 h, 5.96 L.
        ((("at most: 50 min a run", "at most: 50 min a run, gap: 18.9 h"),), ["D232"]),
        ((("at most: 50 min a run", "at most: 50 min a run, gap: 19.3 h"),), ["D229", "D232"]),
        # 6 L a day are 0.25 L an hour: from 20 cm 3.6 L last for 14.4 h, from 19.6 cm 3.42 L for 13.68 h
        ((("at most: 50 min a run", "at most: 50 min a run, gap: 14.3 h"),), []),
        ((("at most: 50 min a run", "at most: 50 min a run, gap: 14.5 h"),), ["D232"]),
        ((("cause: low mark low,", "cause: low mark low, lasting: 13.6 h,"),), []),
        ((("cause: low mark low,", "cause: low mark low, lasting: 13.8 h,"),), ["D232"]),
        ((("after a restart: 5 min", "after a restart: 13.6 h"),), ["D063"]),
        ((("after a restart: 5 min", "after a restart: 13.8 h"),), ["D063", "D232"]),
        # missed twice, so after twice the time
        ((("every: 1 h", "every: 7.1 h"),), []),
        ((("every: 1 h", "every: 7.3 h"),), ["D233"]),
        ((("every: 1 h, path", "every: 7.3 h, missed: 1, path"),), []),
    ],
)
def test_what_the_tank_bears_is_worked_out_by_hand(
    with_sump: Told, changes: tuple[tuple[str, str], ...], codes: list[str]
) -> None:
    assert [f.code for f in with_sump(*changes)] == codes


def test_day_is_held_against_a_run_and_against_all_runs(told: Told) -> None:
    """20 min at 6 L/h are 2 L; with 100 min between, a day has 12 runs: 24 L. Fresh water, so that no salt counts."""
    fresh = ("salinity: 33 ppt", "salinity: 0 ppt")

    def codes(limits: str) -> list[str]:
        return [f.code for f in told(fresh, ("at most: 20 min a run", f"at most: 20 min a run, {limits}"))]

    assert codes("per day: 1.9 L") == ["D231"]
    assert codes("per day: 2 L") == []
    assert codes("gap: 100 min, per day: 24 L") == []
    assert codes("gap: 100 min, per day: 24.1 L") == ["D230"]
    assert codes("per day: 144 L") == []  # 6 L/h the whole day
    assert codes("per day: 145 L") == ["D230"]


@given(st.integers(1, 50), st.integers(1, 200))
def test_longest_running_of_a_day_is_that_of_a_clock(at_most: int, rest: int) -> None:
    """Counted in tenths of an hour, one after the other."""
    runs = [tick % (at_most + rest) < at_most for tick in range(240)]
    assert _running(at_most * 360.0, rest * 360.0) == pytest.approx(sum(runs) * 360.0)


def test_row_with_an_unread_order_is_not_blamed_for_having_none(told: Told) -> None:
    """`pumpe` is a slip of the pen: what the row would limit is not known."""
    found = told(("effect: {pump: running}", "effect: {pumpe: running}"))
    assert [f.code for f in found] == ["D076"]


def test_not_before_a_name_is_shown_where_it_belongs(told: Told) -> None:
    (found,) = told((STOP, STOP.replace("high mark high", "not high mark normal")))
    assert (found.code, found.key) == ("D073", "cause")
    assert "as in: high mark not normal" in found.what


WORDS = {"first": ("low", "normal"), "second": ("high", "normal"), "third": ("low", "normal")}


@given(
    st.lists(st.tuples(st.sampled_from(sorted(WORDS)), st.booleans(), st.booleans()), min_size=1, max_size=5),
    st.lists(st.tuples(st.integers(0, 8), st.integers(0, 3)), min_size=3, max_size=3),
)
def test_most_that_holds_at_once_is_that_of_trying_every_height(
    said: list[tuple[str, bool, bool]], marks: list[tuple[int, int]]
) -> None:
    """By hand: at every half between whole marks each switch may be in any state that its band allows there."""
    terms = tuple(Term(part, WORDS[part][watched], negated) for part, watched, negated in said)
    asked = {term.part for term in terms}
    bands = {part: (low, low + wide) for part, (low, wide) in zip(WORDS, marks, strict=True) if part in asked}
    spans = {}
    for part, (low, high) in bands.items():
        watches = WORDS[part][0]
        if watches == "low":
            spans[part] = {"low": (-float("inf"), float(high)), "normal": (float(low), float("inf"))}
        else:
            spans[part] = {"high": (float(low), float("inf")), "normal": (-float("inf"), float(high))}
    best = 0
    for half in range(-1, 24):
        height = half + 0.5
        may = []
        for part, (low, high) in bands.items():
            under, over = (WORDS[part][0], "normal") if WORDS[part][0] == "low" else ("normal", WORDS[part][0])
            may.append([(part, under)] * (height < high) + [(part, over)] * (height > low))
        for states in product(*may):
            best = max(best, sum((dict(states)[t.part] == t.word) != t.negated for t in terms))
    found = Scouted(states={part: list(words) for part, words in WORDS.items()})
    assert _most_at_once(Cause("all", len(terms), terms), spans, found) == best

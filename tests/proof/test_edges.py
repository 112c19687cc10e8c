"""Houses at the edges of what the search looks at: each was once said to hold, or to be broken, and is not.

Worked out by hand, and seen in runs of the plant with nobody to act, from the sound house with a few words changed.
"""

import pytest

from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.proof.proving import prove
from dewpond.proof.verdicts import BROKEN, Verdict
from tests.proof.mistakes import HIGH_ROW, LONG_RUN, PROBES, STUCK_LOW, TANK_BOX, Swap, with_mistakes

pytestmark = pytest.mark.slow
LAST, STOCK = "at: 160 mm, wired to: unit box", "at: 80 mm, wired to: tank box"
NEARLY = "lasting: 60 s, effect: {}, tell: dry message"
REST = "{top-off pump: stopped}, until: re-armed by hand when the level is normal"
STOPS = f"lasting: 60 s, effect: {REST}, tell: dry message"


def broken(*swaps: Swap, faults: int = 2) -> dict[str, set[frozenset[str]]]:
    """By rule, the smallest sets of faults with which it is broken, by the first of those that do the same."""
    found: dict[str, set[frozenset[str]]] = {}
    for verdict in verdicts(*swaps, faults=faults):
        if verdict.verdict == BROKEN:
            sets = {frozenset(labels[0] for labels in case.faults) for case in verdict.cases}
            found.setdefault(verdict.rule, set()).update(sets)
    return found


def verdicts(*swaps: Swap, faults: int = 2) -> tuple[Verdict, ...]:
    design = read_text(with_mistakes(*swaps), "edge.yaml")
    return prove(design, lower(design), KINDS, faults, compiled=True, tried=False).verdicts


def test_more_marks_in_a_vessel_hide_nothing() -> None:
    """Each switch has two marks; at sixteen the number of those below once began again at nothing."""
    before, row = "  stock low:    {kind: level switch", "  - {id: stock, cause"
    deep = [
        f"  deep {k}: {{kind: level switch, in: sump, at: {20 + 10 * k} mm, wired to: tank box, "
        "contact: opens when low, read as low when: open}\n"
        for k in range(7)
    ]
    rows = [
        f"  - {{id: d{k}, cause: deep {k} low, effect: {{top-off pump: stopped}}, until: cause ends, "
        "tell: dry message}\n"
        for k in range(7)
    ]
    more = ((before, "".join(deep) + before), (row, "".join(rows) + row))
    few, many = (broken(HIGH_ROW, *LONG_RUN, *added, faults=1) for added in ((), more))
    assert frozenset([STUCK_LOW]) in few["IL-08"]
    assert many["IL-08"] == few["IL-08"]
    assert many["IL-18"] == few["IL-18"]


@pytest.mark.parametrize(
    "swaps",
    [
        (("router, keeper]", "router]"), (", unanswered for 45 min: neighbour", ""), ("[keeper, neighbour]", "[aunt]")),
        (
            ("priority: now", "priority: log only"),
            ("priority: today", "priority: log only"),
            ("[keeper, neighbour]", "[aunt]"),
        ),
    ],
    ids=["no person on any path", "for the log only"],
)
def test_a_message_that_nobody_reads_tells_nobody(swaps: tuple[Swap, ...]) -> None:
    found = broken(*swaps, faults=1)
    assert {"IL-09", "IL-10", "IL-14"} <= set(found)


def test_a_message_that_comes_after_the_vessel_is_dry_is_none() -> None:
    """5 mm above where it is empty, and 72 h later: 0.6 L last some two hours."""
    found = broken((STOCK, STOCK.replace("80", "30")), ("stock low low, lasting: 1 h", "stock low low, lasting: 72 h"))
    assert set(found) == {"IL-09"}
    assert frozenset(["feed valve: coil burnt out"]) in found["IL-09"]


def test_a_trip_within_the_ordinary_band_cries_on_an_ordinary_day() -> None:
    found = broken((LAST, LAST.replace("160", "216")), (NEARLY, STOPS), faults=1)
    assert found["IL-01"] == {frozenset()}


def test_a_trip_by_a_low_level_is_re_armed_by_its_own_cause() -> None:
    assert broken((NEARLY, STOPS), faults=1) == {}


def test_a_row_that_a_level_lets_act_does_not_act_while_it_does_not() -> None:
    """The probe of the first valve lies elsewhere, and the row of the second acts only while the stock is not low."""
    away = ("probe: {in: wash room", "probe: {in: far room")
    masked = (PROBES, "cause: unit probe wet and stock low not low")
    every = {about for about in _abouts(away, masked) if about.startswith("check: joint")}
    plain = {about for about in _abouts(away) if about.startswith("check: joint")}
    assert (len(every), len(plain)) == (1, 0)


def _abouts(*swaps: Swap) -> set[str]:
    return {one.about for one in verdicts(*swaps) if one.rule == "IL-05" and one.verdict == BROKEN}


def test_a_tray_that_leaks_defeats_both_layers_whose_probes_lie_in_it() -> None:
    found = broken(("probe: {in: wash room", "probe: {in: stand tray"), (PROBES, "cause: tray probe wet"))
    assert any("stand tray: cracked" in one for one in found["IL-06"])


def test_the_power_may_be_cut_twice_where_runs_add_up() -> None:
    """Three runs of 46 min bring 35.7 L, of which the vessel bears 23.9; a box that forgets its counts begins anew with
    each cut."""
    forgets = (
        TANK_BOX + "after a restart: {trips: kept, counts: kept}",
        TANK_BOX + "after a restart: {trips: cleared, counts: cleared}",
    )
    run = ("at most: 16 min a run, gap: 20 min, per day: 6 L", "at most: 46 min a run, gap: 20 min")
    sets = {
        frozenset(labels[0] for labels in case.faults)
        for one in verdicts(HIGH_ROW, run, forgets, faults=3)
        if one.rule == "IL-08b"
        for case in one.cases
    }
    assert any(STUCK_LOW in one and len([label for label in one if ": cut for" in label]) == 2 for one in sets)


def test_a_valve_that_opens_without_power_does_so_at_the_end_of_any_chain_of_supplies() -> None:
    """A supply of its own with ten minutes of buffer between the socket and the valve."""
    supply = "  valve supply: {kind: low-voltage supply, power: parlour circuit, buffer: 10 min}\n"
    found = broken(
        ("without power: shut, driven", "without power: open, power: valve supply, driven"),
        ("work:\n", f"{supply}\nwork:\n"),
        faults=1,
    )
    assert {frozenset(["valve supply: dies"]), frozenset(["parlour circuit: cut for an hour"])} & found["IL-02"]
    assert frozenset(["valve supply: dies"]) in found["IL-02"]


def test_a_message_that_stands_from_the_beginning_tells_nobody_of_anything_new() -> None:
    """The stock stands above this mark on every ordinary day."""
    before, row = "  stock low:    {kind: level switch", "  - {id: stock, cause"
    full = "  full mark: {kind: level switch, in: reservoir, at: 200 mm, wired to: tank box, contact: opens when high, "
    found = broken(
        (before, full + "read as high when: open}\n" + before),
        (row, "  - {cause: full mark high, effect: {}, tell: level message}\n" + row),
        faults=1,
    )
    assert "IL-09" in found

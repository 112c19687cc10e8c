"""Where probes should stand: against every pair there is, against the floors cell by cell, and by what stays."""

from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from dewpond.design.reader import read
from dewpond.floor.placement import worth
from dewpond.floor.storey import DRAIN
from dewpond.parts import KINDS
from dewpond.physics.film import ORDINARY_FLOOR
from dewpond.study import floors
from dewpond.study.probes import columns, more
from dewpond.study.probes.choosing import Choosing
from dewpond.study.probes.model import (
    NO_PLAN,
    NOW,
    POINT,
    ROPE,
    TOO_MANY,
    TRAY,
    Asked,
    Cases,
    Probes,
    ProbesError,
    Spotted,
)
from dewpond.study.probes.more import HEIGHT_ERROR
from dewpond.study.probes.probes import laid, probes
from dewpond.study.spills import spilled
from tests.study.planned import LAUNDRY, PLAN, planned

COARSE = floors.Asked(cell=0.04, members=5)
SMALL = Asked(number=2, rope=0.8, tray=(0.3, 0.2))
CAP = SMALL.cap


@pytest.fixture(scope="module")
def found(repository: Path) -> Probes:
    return probes(planned(repository), KINDS, SMALL, COARSE)


def felt(found: Probes, column: int) -> np.ndarray:
    """Litres of a column by leak and member, of the only storey with leaks."""
    return np.asarray(found.cases.litres[:, column]).reshape(-1, COARSE.members)


def numbers(cases: Cases, sort: str) -> list[int]:
    return [k for k, one in enumerate(cases.columns) if one.sort == sort]


def test_point_feels_what_its_cell_does(found: Probes) -> None:
    for column in numbers(found.cases, POINT)[::17]:
        ((row, where),) = found.cases.columns[column].cells
        for leak, litres in zip(found.looked[0].wetted, felt(found, column), strict=True):
            assert litres == pytest.approx(leak.first[:, row, where], rel=0.0, abs=0.0)


def test_rope_feels_what_the_first_of_its_cells_does(found: Probes) -> None:
    """The cells of a rope by a second way: all that a straight line from end to end passes over."""
    frame = found.looked[0].storey.frame
    ropes = numbers(found.cases, ROPE)
    assert {tuple(np.sign(np.subtract(*found.cases.columns[k].cells[::-1]))) for k in ropes} == {
        (0, 1), (1, 0), (1, 1), (-1, 1)
    }  # fmt: skip
    for column in ropes[::11]:
        one, two = (found.spot(0, cell) for cell in found.cases.columns[column].cells)
        steps = np.linspace(0.0, 1.0, 400)
        cells = {frame.cell((one[0] + (two[0] - one[0]) * s, one[1] + (two[1] - one[1]) * s)) for s in steps}
        assert np.hypot(two[0] - one[0], two[1] - one[1]) == pytest.approx(SMALL.rope, abs=1.5 * frame.size)
        assert all(found.looked[0].storey.stands[cell] for cell in cells)
        for leak, litres in zip(found.looked[0].wetted, felt(found, column), strict=True):
            assert litres == pytest.approx(leak.reached(tuple(cells)), rel=1e-12)


def test_tray_is_wet_at_its_area_times_the_film_and_feels_no_leak_beside_it(found: Probes) -> None:
    trays = numbers(found.cases, TRAY)
    assert trays
    area = SMALL.tray[0] * SMALL.tray[1]
    for column in trays:
        (low, left), (high, right) = found.cases.columns[column].cells
        assert found.looked[0].storey.stands[low : high + 1, left : right + 1].all()
        assert (found.looked[0].storey.of[low : high + 1, left : right + 1] == 0).all()  # in the room, in no tray
        for leak, litres in zip(found.looked[0].wetted, felt(found, column), strict=True):
            for (row, where), volume in zip(leak.at, litres, strict=True):
                inside = low < row < high and left < where < right
                assert np.isfinite(volume) == inside
                assert not inside or area * ORDINARY_FLOOR[0] <= volume <= area * ORDINARY_FLOOR[2]


@pytest.mark.slow
def test_two_are_the_best_of_all_pairs(found: Probes) -> None:
    """Every pair of the spots, tried one by one, on average and in the worst case."""
    own = [*numbers(found.cases, NOW), *numbers(found.cases, POINT)]
    litres = np.minimum(found.cases.litres[:, own], CAP)
    means, worsts = [], []
    for a, b in combinations(range(len(own)), 2):
        seen = np.minimum(litres[:, a], litres[:, b])
        means.append(float(seen.mean()))
        worsts.append(float(seen.max()))
    step = found.chosen
    assert step.average.exact
    assert step.average.expected == pytest.approx(min(means), rel=1e-9)
    assert step.worst.exact
    assert step.worst.worst == pytest.approx(min(worsts), rel=1e-9)


def test_more_probes_are_never_worse_and_no_worse_than_those_of_now(found: Probes) -> None:
    for one, two in zip(found.steps, found.steps[1:], strict=False):
        assert two.average.expected <= one.average.expected
        assert two.worst.worst <= one.worst.worst
    assert found.same is not None
    assert found.present is not None
    assert found.same.average.expected <= found.present.expected
    assert found.same.worst.worst <= found.present.worst


def test_present_ones_are_worth_what_they_feel(found: Probes) -> None:
    """Straight from the floors: the first of their cells, on each floor, and what is lost without each."""
    looked = found.looked[0]
    each = {
        probe.name: np.array([leak.reached(probe.cells) for leak in looked.wetted]) for probe in looked.probes
    }  # fmt: skip
    assert set(each) == set(found.now) == {"study probe", "tray probe"}
    assert found.present is not None
    all_ = np.minimum(np.minimum(each["study probe"], each["tray probe"]), CAP)
    assert found.present.expected == pytest.approx(all_.mean())
    assert found.present.worst == pytest.approx(all_.max())
    assert found.present.never == pytest.approx((all_ >= CAP).mean())
    for one in found.lost:
        (other,) = set(each) - {one.name}
        assert one.without.expected == pytest.approx(np.minimum(each[other], CAP).mean())


def test_those_that_stay_stand_in_every_choice(repository: Path) -> None:
    kept = probes(planned(repository), KINDS, replace(SMALL, number=1, stay=("study probe",)), COARSE)
    (column,) = [k for k in numbers(kept.cases, NOW) if kept.cases.columns[k].name == "study probe"]
    choices = [one.average for one in kept.steps] + [one.worst for one in kept.steps]
    choices += [one.placed for one in kept.options]
    assert len(choices) >= 4
    for one in choices:
        assert one.spots[0] == column
    assert [len(one.average.spots) for one in kept.steps] == [2, 3]
    assert kept.same is not None
    assert kept.same.number == 1  # one is given up


def test_choice_is_judged_by_floors_that_it_was_not_made_for(found: Probes) -> None:
    """One probe, by trying every spot: chosen on the odd floors, judged on the even ones, and the other way round."""
    own = [*numbers(found.cases, NOW), *numbers(found.cases, POINT)]
    litres = np.minimum(found.cases.litres[:, own], CAP).reshape(-1, COARSE.members, len(own))
    halves = [litres[:, k::2] for k in (0, 1)]
    total = 0.0
    for chosen, judge in (halves, halves[::-1]):
        best = int(chosen.mean(axis=(0, 1)).argmin())
        total += float(judge[:, :, best].sum())
    (one, *_) = found.steps
    assert one.crossed is not None
    assert one.crossed.expected == pytest.approx(total / (litres.shape[0] * COARSE.members))
    assert one.crossed.expected >= one.average.expected


def test_rope_and_probes_are_no_worse_than_the_rope_alone(found: Probes) -> None:
    worths = {(one.sort, one.number): one.placed for one in found.options}
    assert set(worths) == {(ROPE, 1), (ROPE, 2), (TRAY, 1), (TRAY, 2)}
    for sort in (ROPE, TRAY):
        assert worths[sort, 2].expected <= worths[sort, 1].expected
    for one in found.options:
        again = worth(found.cases.litres, one.placed.spots, CAP)
        assert one.placed.expected == pytest.approx(again.expected)
        assert len(one.placed.spots) == one.number


def test_nothing_lies_under_a_vessel_or_where_nothing_stands(found: Probes, repository: Path) -> None:
    storey = found.looked[0].storey
    free = columns.free_cells(planned(repository), KINDS, storey)
    under = storey.frame.inside(((0.4, 0.5), (0.8, 0.8)))
    assert under.any()
    assert not free[under].any()
    assert storey.stands[under].any()
    for column in (*numbers(found.cases, POINT), *numbers(found.cases, ROPE)):
        assert all(free[cell] for cell in found.cases.columns[column].cells)


def test_nothing_new_lies_where_it_is_barred(repository: Path) -> None:
    barred = ((1.0, 1.0), (3.0, 2.4))
    made = probes(planned(repository), KINDS, replace(SMALL, number=1, barred=(barred,)), COARSE)
    inside = made.looked[0].storey.frame.inside(barred)
    assert inside.any()
    for column in (*numbers(made.cases, POINT), *numbers(made.cases, ROPE)):
        assert not any(inside[cell] for cell in made.cases.columns[column].cells)


def test_spot_may_stray_until_the_average_is_a_tenth_more(found: Probes) -> None:
    """Each spot of the choice moved to every other one, and reckoned again."""
    best = found.chosen.average
    for column, far in zip(best.spots, found.stray, strict=True):
        spot = found.cases.columns[column]
        if spot.sort != POINT:
            assert far is None
            continue
        others = [k for k in best.spots if k != column]
        worse = [
            float(np.hypot(*np.subtract(found.cases.columns[k].cells[0], spot.cells[0])))
            for k in numbers(found.cases, POINT)
            if worth(found.cases.litres, [*others, k], CAP).expected > 1.1 * best.expected
        ]
        assert far == pytest.approx(min(worse))


def test_leaks_are_felt_on_their_own_storey_only(repository: Path) -> None:
    design = planned(repository, PLAN + LAUNDRY)
    looked = floors.look(design, KINDS, COARSE)
    _, cases = laid(design, KINDS, looked, SMALL)
    storeys = {storey for storey, _, _ in cases.sites}
    assert len(storeys) == 2
    for number, one in enumerate(cases.columns):
        other = [k for k, (storey, _, _) in enumerate(cases.sites) if storey != one.storey]
        assert np.isinf(cases.litres[other, number]).all()
    two = Choosing(cases, (), CAP).average(2)
    assert {cases.columns[k].storey for k in two.spots} == storeys


def test_pour_is_predicted_by_the_floors(found: Probes) -> None:
    """What is told of a test, against the leak at that spot on every floor."""
    assert {one.probe for one in found.pours} <= {"study probe", "tray probe"}
    assert found.pours
    for one in found.pours:
        acts = one.acts
        assert acts.low <= acts.middle <= acts.high
        assert one.poured == 0.0 or one.poured >= acts.high
        site = [k for k, site in enumerate(found.looked[0].sites) if (site.part, site.place) == (one.leak, one.place)]
        assert len(site) == 1
        at = found.looked[0].wetted[site[0]].at
        assert one.cell in at
        own = felt(found, one.column)[site[0]]
        for member in (m for m, cell in enumerate(at) if cell == one.cell and np.isfinite(own[m]) and own[m] < 5e-3):
            assert min(acts.low, acts.middle) <= own[member] <= acts.high or acts.never > 0.0


def test_readings_are_told_by_what_they_save_and_none_that_may_be_chance(found: Probes) -> None:
    told, unclear = found.more.told, found.more.unclear
    for one in told:
        assert 0.0 < one.least <= one.saved <= one.most
        assert one.saved >= 0.05e-3
    assert [one.saved for one in told] == sorted((one.saved for one in told), reverse=True)
    assert not (told and unclear)


@pytest.mark.slow
def test_heights_that_have_nothing_to_do_with_the_water_are_not_told(
    found: Probes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Heights by lot, forty of them, and no pour: the best of them looks as if it saved something."""
    rng, named, seen = np.random.default_rng(2), "_over_a_datum", []
    monkeypatch.setattr(more, named, lambda _, cells: [10.0 * HEIGHT_ERROR * rng.standard_normal(5) for _ in cells])
    heights = [[(5, k) for k in range(40)], *([] for _ in found.looked[1:])]
    for _ in range(20):
        made = more.readings(found.looked, found.cases, found.chosen.average.spots, (), (), heights, SMALL)
        seen.append(bool(made.told))
        assert made.unclear is None or made.unclear.least <= made.chance
    assert sum(seen) <= 4  # one in twenty of them is told: of 20 more than 4 once in 400


def test_water_that_a_floor_drain_takes_counts_as_what_lies_by_then() -> None:
    """By hand: one leak on two floors; the drain has it at 4 L on the first, a probe feels it at 2 and at 9 L."""
    columns = (Spotted(POINT, 0, ((0, 0),)), Spotted(POINT, 0, ((1, 1),)))
    litres = np.array([[2e-3, np.inf], [9e-3, np.inf]])
    cases = Cases(columns, litres, np.array([4e-3, np.inf]), np.array([False, True]), ((0, 0, 0), (0, 0, 1)))
    choice = Choosing(cases, (), CAP)
    assert choice.worth((0,)).expected == pytest.approx(5.5e-3)
    assert choice.worth((1,)).expected == pytest.approx(0.5 * (4e-3 + CAP))
    assert choice.worth((1,)).never == 0.5
    assert [list(cases.lost_to_drain(spots)) for spots in ((0,), (1,), (0, 1), ())] == [
        [False, False], [True, False], [False, False], [True, False]
    ]  # fmt: skip


@pytest.fixture(scope="module")
def teal_yard(repository: Path) -> Probes:
    """The example with a drain in the floor of its utility room."""
    looking = floors.Asked(cell=0.04, members=12)
    return probes(read(repository / "examples" / "wet_floor.yaml"), KINDS, replace(SMALL, number=1), looking)


def test_what_a_drain_takes_unseen_is_what_the_floors_tell_leak_by_leak(teal_yard: Probes) -> None:
    """By the figures of ``dewpond floor``: on which floors no probe feels a leak, less those on which no drain takes it
    either; and by its ways out, floor by floor."""
    (looked,) = teal_yard.looked
    there = numbers(teal_yard.cases, NOW)
    lost = teal_yard.cases.lost_to_drain(there).reshape(len(looked.sites), -1)
    told = {(site.part, site.place): one for one in spilled(looked).spills for site in one.sites}
    drains = [n for n, way in enumerate(looked.storey.ways_out) if way.by == DRAIN]
    for site, own in zip(looked.sites, lost, strict=True):
        spill = told[site.part, site.place]
        assert own.mean() == pytest.approx(spill.seen.never - spill.held.never)
        felt = np.min([one.litres for one in spill.probes], axis=0)
        drained = np.isfinite([one.litres for one in spill.reaches if one.way in drains]).any(axis=0)
        assert list(own) == list(drained & np.isinf(felt))
        assert own.any() == (site.place == "utility room")


def test_what_only_one_probe_keeps_from_a_drain_is_told_with_it(teal_yard: Probes) -> None:
    """Straight from the floors: without the probe in the utility room the drain has all that leaks there."""
    (looked,) = teal_yard.looked
    (unit,) = [one for one in looked.probes if one.name == "unit probe"]
    rows = [k for k, site in enumerate(looked.sites) if site.place == "utility room"]
    felt = np.array([looked.wetted[k].reached(unit.cells) for k in rows])
    assert np.isfinite(felt).any()
    assert teal_yard.present is not None
    without = {one.name: teal_yard.cases.lost_to_drain(one.without.spots) for one in teal_yard.lost}
    own = teal_yard.cases.lost_to_drain(teal_yard.present.spots)
    assert (without["unit probe"].sum(), own.sum()) == (felt.size, np.isinf(felt).sum())
    assert (without["tray probe"] == own).all()
    (test,) = [one for one in teal_yard.pours if one.probe == "unit probe"]
    assert 0.0 < test.drained <= test.acts.never


@pytest.mark.slow
def test_same_seed_gives_the_same(found: Probes, repository: Path) -> None:
    again = probes(planned(repository), KINDS, SMALL, COARSE)
    assert np.array_equal(found.cases.litres, again.cases.litres)
    assert (again.steps, again.options, again.pours, again.more) == (
        found.steps,
        found.options,
        found.pours,
        found.more,
    )


@pytest.mark.slow
def test_left_out_number_is_that_of_those_given_up(repository: Path) -> None:
    made = probes(planned(repository), KINDS, replace(SMALL, number=None), COARSE)
    assert made.number == 2
    every = replace(SMALL, number=None, stay=("study probe", "tray probe"))
    assert probes(planned(repository), KINDS, every, COARSE).number == 1


def test_why_there_is_no_answer(repository: Path) -> None:
    with pytest.raises(ProbesError, match=NO_PLAN):
        probes(read(repository / "examples" / "two_tanks.yaml"), KINDS)
    with pytest.raises(ProbesError, match=TOO_MANY):
        probes(planned(repository), KINDS, replace(SMALL, number=10_000), COARSE)


def test_choice_that_keeps_water_from_a_drain_is_the_best_pair_by_a_second_count(teal_yard: Probes) -> None:
    """Against every pair of a part of the spots, with what a drain takes unseen counted to the cap, case by case."""
    cases = teal_yard.cases
    some = [k for k in numbers(cases, POINT) if k % 9 == 0]
    part = replace(
        cases, columns=tuple(cases.columns[k] for k in some), litres=cases.litres[:, some],
    )  # fmt: skip
    best = Choosing(part, (), CAP).drains_watched(2)
    felt = [np.where(np.isinf(part.litres[:, k]), CAP, part.litres[:, k]) for k in range(len(some))]
    least = min(float(np.minimum(felt[i], felt[k]).clip(max=CAP).mean()) for i, k in combinations(range(len(some)), 2))
    one, two = best.spots
    assert float(np.minimum(felt[one], felt[two]).clip(max=CAP).mean()) == pytest.approx(least)
    assert replace(best, exact=False) == worth(part.counted, best.spots, CAP)


def test_choice_that_keeps_water_from_a_drain_is_told_where_it_does(teal_yard: Probes, found: Probes) -> None:
    """With leaks in a room whose drain has all the water, the best on average leaves that room to its drain."""
    lost = teal_yard.cases.lost_to_drain(teal_yard.chosen.average.spots).mean()
    watched = teal_yard.watched
    assert watched is not None
    assert teal_yard.cases.lost_to_drain(watched.spots).mean() < lost
    assert watched.expected >= teal_yard.chosen.average.expected
    assert found.watched is None  # no drain there

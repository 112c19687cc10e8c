"""What probes are worth in words: what a floor drain takes unseen, against counts of the floors."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read
from dewpond.errors import FINDINGS, FINE
from dewpond.parts import KINDS
from dewpond.report import probe_records
from dewpond.report.terminal import render
from dewpond.report.views.blocks import FloorMap, Grid
from dewpond.report.views.findings import exit_code
from dewpond.report.views.floor import floor_findings, floor_map
from dewpond.report.views.floor_shapes import outlets_of
from dewpond.report.views.probes import probes_findings, probes_report
from dewpond.report.views.probes_drains import leaks
from dewpond.study import floors
from dewpond.study.probes.model import Asked, Drained, Probes
from dewpond.study.probes.probes import probes
from dewpond.study.spills import Spilled, spilled
from tests.study.planned import PLAN, planned

LOOKING = floors.Asked(cell=0.04, members=12, seed=2)
ASKED = Asked(number=2, rope=0.8, tray=(0.3, 0.2))
DOWN = "down a drain"


@pytest.fixture(scope="module")
def teal_yard(repository: Path) -> Probes:
    """The example with a drain in the floor of its utility room, from where unit probe feels some of the leaks."""
    return probes(read(repository / "examples" / "wet_floor.yaml"), KINDS, ASKED, LOOKING)


@pytest.fixture(scope="module")
def text(teal_yard: Probes, repository: Path) -> str:
    design = read(repository / "examples" / "wet_floor.yaml")
    return " ".join(render(probes_report(design, teal_yard), width=80).split())


def on_floors(found: Probes, spots: tuple[int, ...]) -> list[int]:
    """On how many floors the drain has the water of each leak in the utility room, and none of some columns feels it:
    straight from the floors."""
    (looked,) = found.looked
    drains = [n for n, way in enumerate(looked.storey.ways_out) if way.by == "drain"]
    counts = []
    for leak in looked.wetted:
        if leak.site.place == "utility room":
            cells = [cell for k in spots for cell in found.cases.columns[k].cells]
            drained = np.isfinite(leak.out[:, drains]).any(axis=1)
            counts.append(int((drained & np.isinf(leak.reached(cells))).sum()))
    return counts


def test_probe_that_alone_keeps_water_from_a_drain_is_not_to_be_taken_away_for_its_litres(
    teal_yard: Probes, text: str
) -> None:
    assert teal_yard.present is not None
    counts = on_floors(teal_yard, teal_yard.present.spots)
    assert 0 < min(counts) < max(counts) < 12
    assert (
        f"a floor drain takes the water of leaks in utility room on {min(counts)} to {max(counts)} of 12 floors, and "
        "no probe ever feels it: nothing then stops that water"
    ) in text
    (without,) = [one.without for one in teal_yard.lost if one.name == "unit probe"]
    assert set(on_floors(teal_yard, without.spots)) == {12}
    assert "Without unit probe it is so with leaks in utility room on all 12 floors" in text
    assert "Do not take a probe away for what it spares alone" in text
    assert "Without tray probe it is so" not in text
    new = on_floors(teal_yard, teal_yard.chosen.average.spots)
    told = f"on all {new[0]} floors" if min(new) == 12 else f"on {min(new)} to {max(new)} of 12 floors"
    assert f"With these probes a floor drain takes the water of leaks in utility room {told}" in text
    assert "adds next to nothing" not in text


def test_share_that_goes_unseen_into_a_drain_stands_beside_all_litres(teal_yard: Probes, repository: Path) -> None:
    report = probes_report(read(repository / "examples" / "wet_floor.yaml"), teal_yard)
    grids = {s.key: b for s in report.sections for b in s.blocks if isinstance(b, Grid)}
    assert teal_yard.present is not None
    assert teal_yard.watched is not None
    cases = teal_yard.cases
    for key, rows in (
        ("present", [teal_yard.present, *(one.without for one in teal_yard.lost)]),
        ("number", [one.average for one in teal_yard.steps]),
        ("other", [teal_yard.steps[0].average, teal_yard.chosen.average, teal_yard.watched,
                   *(one.placed for one in teal_yard.options), teal_yard.present]),
    ):  # fmt: skip
        column = grids[key].head.index(DOWN)
        shares = [100.0 * cases.lost_to_drain(one.spots).mean() for one in rows]
        assert [row[column] for row in grids[key].rows] == ["none" if s == 0.0 else f"{s:.0f} %" for s in shares]


def test_choice_that_spares_litres_and_gives_more_to_a_drain_is_told_so(teal_yard: Probes, repository: Path) -> None:
    design = read(repository / "examples" / "wet_floor.yaml")
    assert teal_yard.present is not None
    (without,) = [one.without for one in teal_yard.lost if one.name == "unit probe"]
    step = replace(teal_yard.steps[1], average=replace(without, expected=1e-4), crossed=None)
    for average, more in ((step.average, True), (replace(teal_yard.present, expected=1e-4), False)):
        told = replace(teal_yard, same=replace(step, average=average))
        words = " ".join(render(probes_report(design, told), width=80).split())
        assert "So moving them spares about" in words
        assert ("But then more runs unseen into a floor drain" in words) is more


@pytest.mark.parametrize(("least", "most", "words"), [
    (13, 16, "on 13 to 16 of 20 floors"), (16, 16, "on 16 of 20 floors"), (0, 5, "on up to 5 of 20 floors"),
    (20, 20, "on all 20 floors"), (19, 20, "on 19 to 20 of 20 floors"),
])  # fmt: skip
def test_floors_are_counted_from_the_leak_with_least_to_the_one_with_most(least: int, most: int, words: str) -> None:
    assert leaks([Drained("shed", least / 20, most / 20, 20)]) == f"leaks in shed {words}"


def test_test_by_pouring_says_that_the_drain_has_the_water(teal_yard: Probes, text: str) -> None:
    (test,) = [one for one in teal_yard.pours if one.probe == "unit probe"]
    number = [(site.part, site.place) for site in teal_yard.looked[0].sites].index((test.leak, test.place))
    leak = teal_yard.looked[0].wetted[number]
    drains = [n for n, way in enumerate(teal_yard.looked[0].storey.ways_out) if way.by == "drain"]
    cells = teal_yard.cases.columns[test.column].cells
    whole = (np.isfinite(leak.out[:, drains]).any(axis=1) & np.isinf(leak.reached(cells))).mean()
    found = re.search(
        r"unit probe stays dry: of what is poured there, up to 5 L, on (\d+|none|under 1) ?%? ?of the floors; of what "
        r"leaks from \w+ there, followed to 60 L, on (\d+) % of them", text
    )  # fmt: skip
    assert found is not None
    assert int(found[1]) == round(100.0 * test.drained)
    assert int(found[2]) == round(100.0 * whole)


def test_document_tells_what_goes_unseen_into_a_drain(teal_yard: Probes, repository: Path) -> None:
    told = probe_records.probes(read(repository / "examples" / "wet_floor.yaml"), teal_yard)
    assert teal_yard.present is not None
    counts = on_floors(teal_yard, teal_yard.present.spots)
    assert told["present"]["drained"] == [{
        "place": "utility room", "least_fraction": pytest.approx(min(counts) / 12, rel=1e-5),
        "most_fraction": pytest.approx(max(counts) / 12, rel=1e-5),
    }]  # fmt: skip
    (without,) = [one for one in told["without"] if one["probe"] == "unit probe"]
    assert without["drained_fraction"] > told["present"]["drained_fraction"] > 0.0
    assert without["drained"][0]["least_fraction"] == 1.0


@pytest.mark.slow
def test_nothing_is_said_of_drains_where_there_is_none(repository: Path) -> None:
    design = planned(repository)
    found = probes(design, KINDS, replace(ASKED, number=1), floors.Asked(cell=0.04, members=5))
    report = probes_report(design, found)
    assert "drain" not in render(report, width=80).partition("How these were got")[0]
    assert all(DOWN not in b.head for s in report.sections for b in s.blocks if isinstance(b, Grid))


POURED = (
    "      - {by: pour, at: 2.6 m x 2.2 m, poured: 1 L, probe: study probe, after: 1 mL}\n"
    "      - {by: pour, at: 0.6 m x 0.6 m, poured: 1 L, probe: tray probe, after: 0.9 L}\n"
)


@pytest.fixture(scope="module")
def contradicted(repository: Path) -> tuple[Design, Probes]:
    """A probe that was wet from the first drops at the other end of the room, as no floor has it; another one as some
    have it."""
    design = planned(repository, PLAN + POURED)
    return design, probes(design, KINDS, ASKED, LOOKING)


@pytest.mark.slow
def test_pours_that_no_floor_agrees_with_are_findings_as_of_floor(contradicted: tuple[Design, Probes]) -> None:
    """Against `dewpond floor` on the same floors, finding by finding."""
    design, found = contradicted
    there = [Spilled(one, (1e-3,), ()) for one in floors.look(design, KINDS, LOOKING)]
    of_floor = [one for one in floor_findings(design, there, LOOKING) if one.code != "floor-fast"]
    assert "floor-pour" in [one.code for one in of_floor]
    assert list(probes_findings(design, found)) == of_floor
    assert exit_code(probes_findings(design, found)) == FINDINGS
    told = probe_records.probes(design, found)
    assert [one["code"] for one in told["findings"]] == [one.code for one in of_floor]
    text = " ".join(render(probes_report(design, found), width=80).split())
    for one in of_floor:
        assert one.what in text
    assert text.index("TO ACT ON") < text.index("Where they should stand")


@pytest.mark.parametrize("never", [0.0, 0.3, 0.95])
def test_probe_whose_own_pour_agrees_with_no_floor_is_not_said_to_stand_wrongly(
    contradicted: tuple[Design, Probes], never: float
) -> None:
    design, found = contradicted
    pours = tuple(replace(one, acts=replace(one.acts, never=never)) for one in found.pours)
    text = " ".join(render(probes_report(design, replace(found, pours=pours)), width=80).split())
    study, tray = (f"{name} probe: pour at" for name in ("Study", "Tray"))
    assert study in text
    assert tray in text
    cards = text[text.index("To be tried with a can of water") :]
    first, second = sorted((study, tray), key=cards.index)
    both = {first: cards[cards.index(first) : cards.index(second)], second: cards[cards.index(second) :]}
    assert "by all that is known it stands in the wrong place" not in both[study]
    assert "Your own test says otherwise: it acted after 1 mL (reading 4 of study" in both[study]
    assert "`flatness: old` for study" in both[study]
    assert "Your own test" not in both[tray]
    assert "do not take it away" not in both[study]
    assert ("by all that is known it stands in the wrong place" in both[tray]) == (never > 0.5)


def test_probe_that_no_leak_reaches_has_its_own_pour_told_all_the_same(contradicted: tuple[Design, Probes]) -> None:
    design, found = contradicted
    text = " ".join(render(probes_report(design, replace(found, pours=())), width=80).split())
    assert "Study probe. Your own test says otherwise: it acted after 1 mL" in text


def test_where_no_pour_contradicts_nothing_is_to_act_on(teal_yard: Probes, repository: Path, text: str) -> None:
    assert "Your own test" not in text
    assert exit_code(probes_findings(read(repository / "examples" / "wet_floor.yaml"), teal_yard)) == FINE


def test_choice_that_watches_the_drains_stands_beside_the_best_on_average(
    teal_yard: Probes, repository: Path, text: str
) -> None:
    """By its own count on the floors: it leaves less of each leak's water to the drain than the best on average."""
    watched = teal_yard.watched
    assert watched is not None
    assert sum(on_floors(teal_yard, watched.spots)) < sum(on_floors(teal_yard, teal_yard.chosen.average.spots))
    assert text.index("placed anew, best on average:") < text.index("If water must not run unseen into a drain either")
    design = read(repository / "examples" / "wet_floor.yaml")
    told = probe_records.probes(design, teal_yard)["drains_watched"]
    assert told["drained_fraction"] < probe_records.probes(design, teal_yard)["average"]["drained_fraction"]
    for spot in told["spots"]:
        assert spot["where"] in text
    grids = {s.key: b for s in probes_report(design, teal_yard).sections for b in s.blocks if isinstance(b, Grid)}
    (row,) = [row for row in grids["other"].rows if row[0] == "2 probes, drains watched"]
    share = round(100.0 * told["drained_fraction"])
    assert row[-1] == (f"{share} %" if share else "none")
    none = replace(teal_yard, watched=None)
    assert "unseen into a drain either" not in render(probes_report(design, none), width=4000)


@pytest.mark.slow
def test_picture_shows_the_drain_and_the_joint_that_floor_shows(teal_yard: Probes, repository: Path) -> None:
    """The marks of `dewpond floor` for the same storey, all but leaks and probes."""
    design = read(repository / "examples" / "wet_floor.yaml")
    (drawn,) = (
        b for s in probes_report(design, teal_yard).sections for b in s.blocks if isinstance(b, FloorMap)
    )  # fmt: skip
    found = spilled(teal_yard.looked[0])
    of_floor = [one for one in floor_map(design, found, found.worst).marks if one.kind in ("drain", "joint")]
    assert "drain" in [one.kind for one in of_floor]
    assert [one for one in drawn.marks if one.kind in ("drain", "joint")] == of_floor


def test_joint_is_named_by_where_it_leads(repository: Path) -> None:
    plan = PLAN.replace(
        "    spots:\n", "    joints: [{area: [2 m x 0 m, 2.2 m x 0.1 m], leads to: kitchen}]\n    spots:\n"
    )
    (storey,) = floors.look(planned(repository, plan), KINDS, LOOKING)
    assert [one.name for one in outlets_of(storey.storey) if one.kind == "joint"] == ["to kitchen"]

"""What probes are worth in words: what a floor drain takes unseen, against counts of the floors."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from dewpond.design.reader import read
from dewpond.parts import KINDS
from dewpond.report import probe_records
from dewpond.report.terminal import render
from dewpond.report.views.blocks import Grid
from dewpond.report.views.probes import probes_report
from dewpond.report.views.probes_drains import leaks
from dewpond.study import floors
from dewpond.study.probes.model import Asked, Drained, Probes
from dewpond.study.probes.probes import probes
from tests.study.planned import planned

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
    cases = teal_yard.cases
    for key, rows in (
        ("present", [teal_yard.present, *(one.without for one in teal_yard.lost)]),
        ("number", [one.average for one in teal_yard.steps]),
        ("other", [teal_yard.steps[0].average, teal_yard.chosen.average, *(one.placed for one in teal_yard.options),
                   teal_yard.present]),
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
    found = re.search(r"On (\d+) % of the floors the drain in the floor takes all that comes", text)
    assert found is not None
    assert int(found[1]) == round(100.0 * test.drained)


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


def test_nothing_is_said_of_drains_where_there_is_none(repository: Path) -> None:
    design = planned(repository)
    found = probes(design, KINDS, replace(ASKED, number=1), floors.Asked(cell=0.04, members=5))
    report = probes_report(design, found)
    assert "drain" not in render(report, width=80).partition("How these were got")[0]
    assert all(DOWN not in b.head for s in report.sections for b in s.blocks if isinstance(b, Grid))

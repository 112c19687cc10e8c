"""Every case of the two published files is run somewhere, or listed with the reason why not; networks are run here."""

import json
from pathlib import Path
from types import ModuleType

import pytest

from tests.physics import test_published_hydraulics, test_published_tank
from tests.plant import test_epanet

OURS = ("H080", "H083")  # networks: only the plant can solve them


def ids(repository: Path, name: str) -> set[str]:
    cases = json.loads((repository / "tests" / "published" / name).read_text("utf-8"))["cases"]
    return {case["id"] for case in cases}


def networks_run() -> set[str]:
    """Ids that test_epanet really asks for."""
    (marks,) = test_epanet.test_published_network_gives_its_flows_and_heads_epanet.pytestmark
    return {id_ for id_, _ in marks.args[1]}


def test_networks_are_run_by_the_plants_own_tests(repository: Path) -> None:
    assert networks_run() == set(OURS)
    texts = json.loads((repository / "tests" / "published" / "hydraulics.json").read_text("utf-8"))["cases"]
    assert {case["id"] for case in texts if case["topic"] == "network"} == set(OURS)


@pytest.mark.parametrize(
    ("name", "physics", "here"),
    [("hydraulics.json", test_published_hydraulics, set(OURS)), ("tank.json", test_published_tank, set())],
)
def test_every_published_case_is_run_once_or_listed_with_its_reason(
    name: str, physics: ModuleType, here: set[str], repository: Path
) -> None:
    run, listed = set(physics.RUN), {id_: why for id_, why in physics.NOT_HERE.items() if id_ not in here}
    assert not run & here
    assert run | here | set(listed) == ids(repository, name)
    assert all(len(why) > 20 for why in listed.values())
    assert all("plant's own tests" in physics.NOT_HERE[id_] for id_ in here)

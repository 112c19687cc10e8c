"""`dewpond prove`: what it prints, its exit codes, what it does when it is cut off."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from dewpond.design.reader import read
from dewpond.errors import FINDINGS, WRONG_USE
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.proof import prover, proving, search

FIRST, TWO = "examples/first_float.yaml", "examples/two_tanks.yaml"
Dewpond = Callable[..., tuple[int, str, str]]


@pytest.mark.slow
def test_proof_is_told_with_its_counts_and_stories(dewpond: Dewpond) -> None:
    code, out, err = dewpond("prove", TWO, "--faults", "1")
    assert (code, err) == (FINDINGS, "")
    assert "because no new state appeared" in out
    assert "02:01:00  fault  Small doser: runs on." in out
    assert "Tried in a run of the plant: confirmed." in out
    assert "NOT FINISHED" not in out
    assert max(map(len, out.splitlines())) <= 80


@pytest.mark.slow
def test_a_search_that_is_cut_off_never_passes(dewpond: Dewpond) -> None:
    code, out, _ = dewpond("prove", TWO, "--faults", "2", "--most-states", "1000", "--json")
    document = json.loads(out)
    cut = [verdict for verdict in document["verdicts"] if verdict["verdict"] == "not finished"]
    assert code == FINDINGS
    assert cut
    assert all(verdict["states_count"] > 300 for verdict in cut)
    code, out, _ = dewpond("prove", TWO, "--faults", "2", "--most-states", "1000")
    assert "NOT FINISHED" in out


@pytest.mark.slow
def test_page_holds_the_same(dewpond: Dewpond, tmp_path: Path) -> None:
    page = tmp_path / "proof.html"
    code, _, err = dewpond("prove", FIRST, "--page", str(page))
    assert (code, err) == (FINDINGS, "")
    assert "no new state appeared" in page.read_text("utf-8")


@pytest.mark.parametrize("faults", ["0", "4", "-1", "two"])
def test_other_numbers_of_faults_are_refused(dewpond: Dewpond, faults: str) -> None:
    code, out, err = dewpond("prove", TWO, "--faults", faults)
    assert (code, out) == (WRONG_USE, "")
    assert "--faults" in err


@pytest.mark.slow
def test_a_long_question_is_seen_to_move(monkeypatch: pytest.MonkeyPatch, repository: Path) -> None:
    """It is told how many states there are several times within a question, not only between two."""
    monkeypatch.setattr(search, "AT_A_TIME", 200)
    real, asked = prover.search, [0]

    def counted(*words: Any, **named: Any) -> search.Search:
        asked[0] += 1
        return real(*words, **named)

    monkeypatch.setattr(prover, "search", counted)
    design = read(repository / TWO)
    heard: list[int] = []

    def hear(done: int, total: int, what: str) -> None:
        found = re.fullmatch(r"(.*), (\d+) answers, ([\d,]+) states", what)
        assert found is not None
        assert done < total == 5
        heard.append(int(found[3].replace(",", "")))

    proof = proving.prove(design, lower(design), KINDS, 1, compiled=True, tried=False, heard=hear)
    assert heard == sorted(heard)
    assert heard[-1] == proof.states
    assert len(heard) > 3 * asked[0]

"""`dewpond prove`: what it prints, its exit codes, what it does when it is cut off."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from dewpond.app import work
from dewpond.design.reader import read
from dewpond.errors import FINDINGS, WRONG_USE, UsageError
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.proof import prover, proving, search
from dewpond.proof.verdicts import Verdict

FIRST, TWO = "examples/first_float.yaml", "examples/two_tanks.yaml"
Dewpond = Callable[..., tuple[int, str, str]]


@pytest.mark.slow
def test_proof_is_told_with_its_counts_and_stories(dewpond: Dewpond) -> None:
    code, out, err = dewpond("prove", TWO, "--faults", "1")
    assert code == FINDINGS
    assert all(line.endswith(" kinds of question") for line in err.splitlines())  # told where it takes long
    assert "because no new state appeared" in out
    assert "02:01:00  fault  Small doser: runs on." in out
    assert "Tried in a run of the plant: confirmed." in out
    assert "NOT FINISHED" not in out
    told = " ".join(out.split())
    assert (
        "“small doser: runs on” does not heed that. What would mend it: Line 49, set it lower: for “lagoon hi" in told
    )
    assert "`at: 44 mm below rim`. Tried: with that the rule holds (searched again)." in told
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
    assert "What would mend it" in page.read_text("utf-8")


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
        assert done < total == len(proving.GROUPS)
        heard.append(int(found[3].replace(",", "")))

    proof = proving.prove(design, lower(design), KINDS, 1, compiled=True, tried=False, heard=hear)
    assert heard == sorted(heard)
    assert heard[-1] == proof.states
    assert len(heard) > 3 * asked[0]


@pytest.mark.parametrize("answers", [0, 3])
def test_a_proof_that_was_stopped_leaves_an_earlier_page(
    dewpond: Dewpond, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, answers: int
) -> None:
    page, beside = tmp_path / "keep.html", tmp_path / "keep.part.html"
    page.write_text("<!doctype html>earlier", "utf-8")
    left = iter(range(answers))

    def stop(_: prover.Prover, verdict: Verdict) -> Verdict:
        if next(left, None) is None:
            raise KeyboardInterrupt
        return verdict

    monkeypatch.setattr(proving, "_with_runs", stop)
    code, out, err = dewpond("prove", FIRST, "--faults", "1", "--page", str(page))
    assert code == 130
    assert "STOPPED before its end" in " ".join(out.split())
    assert "nothing in this house" not in out
    assert page.read_text("utf-8") == "<!doctype html>earlier"
    assert beside.is_file() == (answers > 0)
    assert f"{work.short(str(page))} stays as it was." in err
    if not answers:
        assert err.startswith("Stopped before its first answer;")


@pytest.mark.slow
def test_a_proof_whose_page_cannot_be_written_is_told_all_the_same(
    dewpond: Dewpond, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def full(path: str, _text: str) -> None:
        raise UsageError(f"{path} cannot be written: no space left.", "Name another file.")

    monkeypatch.setattr(work, "write", full)
    monkeypatch.setattr(proving, "of_spills", lambda *_: iter(()))  # a short proof does
    monkeypatch.setattr(proving, "of_vessels", lambda *_: iter(()))
    code, out, err = dewpond("prove", FIRST, "--faults", "1", "--page", str(tmp_path / "page.html"))
    assert code == WRONG_USE
    assert "Rule by rule" in out
    assert "no space left" in err

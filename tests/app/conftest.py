"""The command as a person starts it, but in this process."""

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from dewpond.app import cli, remembered


class Answer(NamedTuple):
    """Exit code, and what was printed where."""

    code: int
    out: str
    err: str


Dewpond = Callable[..., Answer]


@pytest.fixture
def dewpond(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path, repository: Path
) -> Dewpond:
    """Calls `dewpond` with words, in the root of the repository, with state and runs in folders of its own."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setattr(remembered, "runs_folder", lambda: tmp_path / "runs")
    monkeypatch.chdir(repository)

    def call(*words: str) -> Answer:
        with pytest.raises(SystemExit) as ended:
            cli.main(list(words))
        out, err = capsys.readouterr()
        return Answer(int(ended.value.code or 0), out, err)

    return call

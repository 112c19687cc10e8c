"""What the commands share."""

from threading import Event

import pytest

from dewpond.app import work


def test_who_waits_long_is_told_that_it_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(work, "PATIENCE", 0.02)
    said, words = Event(), []

    def note(text: str) -> None:
        words.append(text)
        said.set()

    monkeypatch.setattr(work, "note", note)
    with work.patience():
        assert said.wait(30.0)
    assert words[0] == "Still at it, after 0 s."
    said.clear()
    assert not said.wait(0.1)  # and no more once the answer is there


def test_who_does_not_wait_long_is_told_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(ValueError, match="bad"), work.patience():
        raise ValueError("bad")
    assert capsys.readouterr() == ("", "")

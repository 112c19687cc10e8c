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


def test_who_waits_for_counted_work_is_told_how_far_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    said, words = Event(), []

    def note(text: str) -> None:
        words.append(text)
        said.set()

    monkeypatch.setattr(work, "note", note)
    with work.progress("starting", "kinds of question", 0.02) as heard:
        assert said.wait(30.0)
        heard(2, 5, "sensors, 12 answers, 3,400 states")
        said.clear()
        assert said.wait(30.0)
    assert words[0] == "starting"
    assert words[-1] == "sensors, 12 answers, 3,400 states: 2 of 5 kinds of question"


def test_who_waits_is_told_what_is_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    said, words = Event(), []

    def note(text: str) -> None:
        words.append(text)
        if "winter" in text:
            said.set()

    monkeypatch.setattr(work, "PATIENCE", 0.02)
    monkeypatch.setattr(work, "note", note)
    with work.patience() as at:
        at("ordinary days of winter")
        assert said.wait(30.0)
    assert words[-1] == "Still at it, after 0 s: ordinary days of winter."

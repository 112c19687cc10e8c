"""Signals that ask to stop."""

import signal

import pytest

from dewpond.plant import interrupts


def test_two_signals_in_a_row_stop_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Some senders strike the process and its group: the second must not break off what shows the finished part."""
    clock = [100.0]
    monkeypatch.setattr(interrupts, "monotonic", lambda: clock[0])
    monkeypatch.setattr(interrupts, "_last", float("-inf"))
    with pytest.raises(KeyboardInterrupt):
        interrupts.interrupt(signal.SIGTERM, None)
    clock[0] += 0.2
    interrupts.interrupt(signal.SIGTERM, None)
    clock[0] += 2.0
    with pytest.raises(KeyboardInterrupt):
        interrupts.interrupt(signal.SIGINT, None)

"""Signals that ask to stop."""

import signal

import pytest

from dewpond.app import stops


def test_two_signals_in_a_row_stop_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Some senders strike the process and its group: the second must not break off what shows the finished part."""
    clock = [100.0]
    monkeypatch.setattr(stops, "monotonic", lambda: clock[0])
    monkeypatch.setattr(stops, "_last", float("-inf"))
    with pytest.raises(KeyboardInterrupt):
        stops.interrupt(signal.SIGTERM, None)
    clock[0] += 0.2
    stops.interrupt(signal.SIGTERM, None)
    clock[0] += 2.0
    with pytest.raises(KeyboardInterrupt):
        stops.interrupt(signal.SIGINT, None)

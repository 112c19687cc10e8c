"""Signals that ask to stop."""

import os
import signal
import subprocess
import sys
import time

import pytest

from dewpond.app import stops

# Stands in for what must not be broken off by an exception: it says when it has begun.
COMPILES = """
import signal, time
from dewpond.app.stops import interrupt
from dewpond.plant.machine_code import at_once

signal.signal(signal.SIGINT, interrupt)
with at_once("Stopped in the midst of it."):
    print("begun", flush=True)
    time.sleep(60)
"""


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


@pytest.mark.slow
def test_what_cannot_be_broken_off_by_an_exception_ends_the_process_there_and_then() -> None:
    """While numba compiled, an interrupt was lost in a callback, and a traceback shown."""
    command = [sys.executable, "-c", COMPILES]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "begun\n"
        time.sleep(0.05)
        os.kill(process.pid, signal.SIGINT)
        _, told = process.communicate(timeout=20)
    assert (process.returncode, told) == (130, "Stopped in the midst of it.\n")

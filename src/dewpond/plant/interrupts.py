"""An interrupt, by the keyboard or by another program, put off while something must not be broken off half way."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from time import monotonic

ECHO = 1.0  # an interrupt that comes so soon after another is the same one [s]: some senders strike twice
_last = float("-inf")


def interrupt(_number: int, _frame: object) -> None:
    """The handler of signals that ask to stop: a KeyboardInterrupt, and none for an echo."""
    global _last  # noqa: PLW0603  a process has one set of signals
    now = monotonic()
    if now - _last > ECHO:
        _last = now
        raise KeyboardInterrupt


@contextmanager
def put_off() -> Iterator[None]:
    """Holds it back until the end of the block. Processes started in it never see one: what is blocked stays blocked in
    them. Where the system knows no blocking, nothing is held back."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)

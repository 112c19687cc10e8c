"""An interrupt, by the keyboard or by another program, put off while something must not be broken off half way."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager


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

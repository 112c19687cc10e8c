"""What a signal that asks to stop does: a KeyboardInterrupt, once."""

from __future__ import annotations

from time import monotonic

ECHO = 1.0  # a signal that comes so soon after another is the same one [s]: some senders strike twice
_last = float("-inf")


def interrupt(_number: int, _frame: object) -> None:
    """The handler: raises a KeyboardInterrupt, and nothing for an echo, which would break off what is shown then."""
    global _last  # noqa: PLW0603  a process has one set of signals
    now = monotonic()
    if now - _last > ECHO:
        _last = now
        raise KeyboardInterrupt

"""The log of our own faults: small, rotating, in the user's state folder. It never holds the design file's text."""

from __future__ import annotations

import os
import sys
from pathlib import Path

LARGEST = 200_000  # bytes of one log file
KEPT = 2  # older log files


def folder() -> Path:
    """Where programs keep what outlives a run but is no setting."""
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    else:
        base = os.environ.get("XDG_STATE_HOME") or str(Path.home() / ".local" / "state")
    return Path(base) / "dewpond"


def our_fault(error: BaseException) -> str:
    """Writes the traceback to the log and gives the one sentence for the user."""
    import logging
    from logging.handlers import RotatingFileHandler

    path = folder() / "dewpond.log"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(path, maxBytes=LARGEST, backupCount=KEPT, encoding="utf-8")
    except OSError:
        return f"This is a fault of the program ({type(error).__name__}), and its log could not be written to {path}."
    handler.setFormatter(logging.Formatter("%(asctime)s %(message)s"))
    logger = logging.getLogger("dewpond")
    logger.addHandler(handler)
    logger.propagate = False
    # The name of the command only: words typed after it may be private.
    command = next((word for word in sys.argv[1:] if not word.startswith("-")), "")
    logger.error("command %s", command, exc_info=error)
    logger.removeHandler(handler)
    handler.close()
    return f"This is a fault of the program ({type(error).__name__}), not of your file; the log {path} says where."

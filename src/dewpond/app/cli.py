"""The command `dewpond`: runs what was asked, and turns whatever goes wrong into words and an exit code.

Nothing heavy is imported before a command runs, so that --help comes at once.
"""

from __future__ import annotations

import errno
import os
import signal
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Any

import click

from dewpond.app.commands.check import check
from dewpond.app.commands.drill import drill
from dewpond.app.commands.floor import floor
from dewpond.app.commands.flows import flows
from dewpond.app.commands.limits import limits
from dewpond.app.commands.matrix import matrix
from dewpond.app.commands.probes import probes
from dewpond.app.commands.prove import prove
from dewpond.app.commands.schema import schema
from dewpond.app.commands.sources import sources
from dewpond.app.commands.study import study
from dewpond.app.commands.ways import ways
from dewpond.app.commands.year import year


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.version_option(package_name="dewpond", message="dewpond %(version)s")
def cli() -> None:
    """Works out what every failure of an aquarium's permanent top-off plumbing does.

    FILE is a design file: one description of the installation, from the house supply to the tank. Dewpond advises; it
    never operates a valve.

    Exit codes: 0 the question was answered; 1 it was answered, and there is something to act on (check, floor, limits,
    probes, prove, study); 2 wrong use or a file that cannot be used; 70 a fault of the program; 130 stopped by hand.
    """


for command in (check, drill, floor, flows, limits, matrix, probes, prove, schema, sources, study, ways, year):
    cli.add_command(command)


def main(words: list[str] | None = None) -> None:
    """The entry point: runs a command and turns whatever goes wrong into words and an exit code."""
    from dewpond.app.stops import interrupt

    fill_closed_streams()
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):  # who is asked to stop shows what is finished, too
        usual = (signal.SIG_DFL, signal.default_int_handler)
        if hasattr(signal, name) and signal.getsignal(getattr(signal, name)) in usual:
            signal.signal(getattr(signal, name), interrupt)
    typed = sys.argv[1:] if words is None else words
    code = guarded(lambda: cli.main(words, prog_name="dewpond", standalone_mode=False), typed)
    leave_streams()
    sys.exit(code)


def guarded(run: Callable[[], Any], typed: Sequence[str] = ()) -> int:
    """Run a command. Nobody is shown a traceback: that goes into the log. ``typed``: its words."""
    from dewpond.errors import FINE, WRONG_USE, DesignError, DewpondError, UsageError

    try:
        code = run()
        sys.stdout.flush()
    except click.ClickException as error:
        as_document(typed, error.format_message(), "See `--help`.")
        return told(error.show, WRONG_USE)
    except (KeyboardInterrupt, click.Abort):
        return said("Stopped before anything was finished.", 130)
    except DesignError as error:
        from dewpond.app import work

        refused = error
        return told(lambda: work.tell_findings(refused), WRONG_USE)
    except DewpondError as error:
        if isinstance(error, UsageError):
            as_document(typed, error.what, error.remedy)
        return said(str(error), WRONG_USE)
    except (BrokenPipeError, SystemExit):  # click turns a closed pipe into an exit of its own
        return FINE  # whoever read our output has had enough of it
    except OSError as error:
        if error.errno == errno.EPIPE:
            return FINE
        if error.errno != errno.ENOSPC:
            return ours(error)
        return said("The disk is full: the output, or what is kept in the cache folder, cannot be written.", WRONG_USE)
    except Exception as error:  # noqa: BLE001 - the one place where our own faults end
        return ours(error)
    return int(code or FINE)


def as_document(typed: Sequence[str], what: str, remedy: str) -> None:
    """Wrong use as a document with one finding, where the words that were typed ask for JSON."""
    if "--json" not in typed or typed[0] not in cli.commands:
        return
    from dewpond.app import work
    from dewpond.errors import Finding
    from dewpond.report import records

    found = Finding("U001", "error", "the call", what, remedy)
    with suppress(OSError):
        work.print_json(records.document(typed[0], file=None, findings=[records.finding(found)]))


def ours(error: Exception) -> int:
    """A fault of the program: into the log, and one line for the user."""
    from dewpond.app import log
    from dewpond.errors import OUR_FAULT

    return said(log.our_fault(error), OUR_FAULT)


def said(words: str, code: int) -> int:
    """The code, and the words on standard error, if there is one that takes them."""
    from dewpond.app import work

    work.note(words)
    return code


def told(tell: Callable[[], None], code: int) -> int:
    """The code, whether or not standard error takes what is told: it is full at times, or nobody reads it."""
    with suppress(OSError):
        tell()
    return code


def fill_closed_streams() -> None:
    """Whoever closes a stream wants to see nothing of it; files and other processes must not come by its number."""
    for number, name, mode in ((0, "stdin", "r"), (1, "stdout", "w"), (2, "stderr", "w")):
        try:
            os.fstat(number)
        except OSError:
            os.set_inheritable(os.open(os.devnull, os.O_RDWR), True)  # which takes the lowest free number
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115 - stands to the end


def leave_streams() -> None:
    """What no longer goes out is dropped: Python would try once more at its end, and change the exit code."""
    for number, stream in ((1, sys.stdout), (2, sys.stderr)):
        try:
            stream.flush()
        except OSError:
            os.dup2(os.open(os.devnull, os.O_WRONLY), number)

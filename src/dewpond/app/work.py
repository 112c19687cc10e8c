"""What the commands share: reading a design, printing a report, writing a file, showing progress."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from dewpond.app import whole
from dewpond.errors import WRONG_USE, DesignError, Finding, UsageError

if TYPE_CHECKING:
    from dewpond.design.model import Design
    from dewpond.report.views.blocks import Report
    from dewpond.study.outcome import Progress, Remark

LINE_EVERY = 30.0  # [s]
PATIENCE = 10.0  # after which somebody who waits is told that it goes on [s]
REPEATED = 160  # letters of what was typed that a message repeats


class RefusedError(DesignError):
    """A file that cannot be used, while its findings were asked for as JSON."""


def read(file: str, as_json: bool, command: str) -> Design:
    """The design in a file. Raises DesignError; with ``as_json`` the findings are printed as a document first."""
    from dewpond.design.reader import read as read_design

    with refusals(file, as_json, command):
        return read_design(file)


def read_sound(file: str, as_json: bool, command: str) -> Design:
    """The same for a command that computes: what the checks call an error is refused as well."""
    from dewpond.design.checks import check

    design = read(file, as_json, command)
    errors = tuple(f for f in check(design) if f.level == "error")
    if errors:
        refuse(errors, file, as_json, command)
    return design


def as_findings(design: Design, remarks: Iterable[Remark]) -> tuple[Finding, ...]:
    """What the fills of a design show that must be acted on before anything is counted on that follows from them."""
    from dewpond.report.views.findings import of_remark
    from dewpond.report.views.shown import shown_in

    shown = shown_in(design.shown_in)
    return tuple(of_remark(remark, design, shown) for remark in remarks)


def refuse(found: tuple[Finding, ...], file: str, as_json: bool, command: str) -> None:
    """Raises DesignError with what makes a file unusable; with ``as_json`` it is printed as a document first."""
    with refusals(file, as_json, command):
        raise DesignError(found)


def unanswered(found: tuple[Finding, ...], asked: str, file: str, as_json: bool, command: str) -> int:
    """Says of a sound file what could not be done with it and why, as ``found`` has it; with ``as_json`` as a document.
    Returns the exit code."""
    if as_json:
        from dewpond.report import records

        print_json(records.document(command, file=file, findings=[records.finding(one) for one in found]))
    else:
        from dewpond.report.views.checked import unanswered_report

        print_report(unanswered_report(found, asked, file), err=True)
    return WRONG_USE


@contextmanager
def refusals(file: str, as_json: bool, command: str) -> Iterator[None]:
    """Prints the findings of a refused file as a document, where JSON was asked for."""
    try:
        yield
    except DesignError as error:
        if as_json:
            from dewpond.report import records

            with suppress(BrokenPipeError):  # unread, the file is none the better
                print_json(records.document(command, file=file, findings=[records.finding(f) for f in error.findings]))
            raise RefusedError(error.findings) from None
        raise


def tell_findings(error: DesignError) -> None:
    """What is wrong with a file, on standard error; nothing when it was printed as JSON already."""
    if isinstance(error, RefusedError):
        return
    from dewpond.report.views.checked import refused_report

    print_report(refused_report(error.findings), err=True)


def note(words: str) -> None:
    """A line on standard error beside the answer; that it is full or unread is no reason to stop."""
    with suppress(OSError):
        click.echo(words, err=True)


@contextmanager
def patience() -> Iterator[Callable[[str], None]]:
    """While an answer without steps to count is worked out: says on standard error that it goes on, and with what, as
    far as the function that it hands out was told."""
    import time

    began, doing = time.monotonic(), [""]

    def words() -> str:
        return f"Still at it, after {time.monotonic() - began:.0f} s{f': {doing[0]}' if doing[0] else ''}."

    def at(what: str) -> None:
        doing[0] = what

    with now_and_then(PATIENCE, words):
        yield at


@contextmanager
def now_and_then(every: float, words: Callable[[], str]) -> Iterator[None]:
    """Notes ``words`` each so many seconds, whatever goes on meanwhile."""
    from threading import Event, Thread

    done = Event()

    def tell() -> None:
        while not done.wait(every):
            note(words())

    teller = Thread(target=tell, daemon=True)
    teller.start()
    try:
        yield
    finally:
        done.set()
        teller.join()


def print_json(document: Any) -> None:
    """One document, readable by people too."""
    click.echo(json.dumps(document, indent=1, ensure_ascii=not can_show(sys.stdout.encoding), allow_nan=False))


def print_report(report: Report, err: bool = False) -> None:
    """A report to a terminal with bold titles, to anything else as plain text."""
    from dewpond.report import terminal

    stream = sys.stderr if err else sys.stdout
    ascii_only = not can_show(stream.encoding)
    if stream.isatty() and not err:
        width = min(click.get_current_context().terminal_width or _columns(), 110)
        terminal.show(terminal.lines(report, width, ascii_only), width)
    else:
        click.echo(terminal.render(report, ascii_only=ascii_only), nl=False, err=err)


def _columns() -> int:
    import shutil

    return shutil.get_terminal_size((80, 24)).columns


def can_show(encoding: str | None) -> bool:
    """True if the output takes the signs of charts and lines."""
    try:
        "▁█─│—“é".encode(encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def cores() -> int:
    """Processes that a long study runs on."""
    return min(os.cpu_count() or 1, 8)


def short(typed: str) -> str:
    """What was typed, as it is repeated in a message: of a very long text the two ends."""
    return typed if len(typed) <= REPEATED else f"{typed[: REPEATED // 2]} ... {typed[-REPEATED // 4 :]}"


PAGES = ("<svg", "<!doctype html")  # how pages and pictures begin


def may_write(path: str | None, design: str, begins: tuple[str, ...] = PAGES, ours: str = "page or picture") -> None:
    """Raises UsageError now rather than after minutes of work; a design is never written over, nor a file that does
    not begin as ours do."""
    if path is None:
        return
    target = Path(path).absolute()
    try:
        target.exists()
    except OSError as error:  # such as a name that is too long
        raise _unwritable(path, error) from None
    if not target.parent.is_dir():
        raise UsageError(f"The folder of {short(path)} does not exist.", "Make it first, or name another file.")
    if target.exists() and target.samefile(design):
        raise UsageError(f"{short(path)} is the design itself.", "Name another file for what is written.")
    if target.is_dir():
        raise UsageError(f"{short(path)} is a folder.", "Name a file in it.")
    if target.is_file() and not _is_ours(target, begins):
        raise UsageError(
            f"{short(path)} is there already, and no {ours} of ours.", "Name another file, or move that one."
        )
    if not os.access(target if target.exists() else target.parent, os.W_OK):
        raise UsageError(f"{short(path)} cannot be written: permission denied.", "Name another file.")


def _is_ours(target: Path, begins: tuple[str, ...]) -> bool:
    """Whether a file is empty, or begins in one of these ways, in small or large letters."""
    try:
        with target.open("rb") as file:
            begin = file.read(max(map(len, begins))).lower()
    except OSError:
        return True  # what cannot be read is found out when it is written
    return not begin or begin.startswith(tuple(one.lower().encode("latin-1") for one in begins))


def may_write_into(folder: str | None, begins: Mapping[str, str], design: str) -> None:
    """The same for several files in a folder, by name with how each begins; the folder need not be there yet."""
    if folder is None:
        return
    target = Path(folder).absolute()
    try:
        there = target.is_dir()
        if target.exists() and not there:
            raise UsageError(f"{short(folder)} is there already, and no folder.", "Name another folder.")
    except OSError as error:
        raise _unwritable(folder, error) from None
    if not there and not target.parent.is_dir():
        raise UsageError(f"The folder in which {short(folder)} would stand does not exist.", "Make that one first.")
    if not there and not os.access(target.parent, os.W_OK):
        raise UsageError(f"{short(folder)} cannot be made: permission denied.", "Name another folder.")
    for name, begin in begins.items() if there else ():
        may_write(str(Path(folder) / name), design, (begin,), "earlier one")


def write_into(folder: str, texts: Mapping[str, str | bytes]) -> None:
    """Several files in a folder, which is made if need be: all of them or none. Raises UsageError."""
    target = Path(folder)

    def told(path: Path, error: OSError) -> UsageError:
        return UsageError(
            f"{short(str(path))} cannot be written: {error.strerror}. No file of {short(folder)} was changed.",
            "Make room or see to its permissions, or name another folder.",
        )

    made = not target.is_dir()
    try:
        target.mkdir(exist_ok=True)
    except OSError as error:
        raise _unwritable(folder, error) from None
    try:
        whole.put({target / name: text for name, text in texts.items()}, told)
    except BaseException:  # also of one that was stopped by hand
        with suppress(OSError):
            if made:
                target.rmdir()  # which takes no folder that holds anything
        raise


def where_to(path: str | None, finished: bool, made: int, first: str = "run was finished") -> str | None:
    """Where a page goes; what came of work that was stopped never takes the place of an earlier page.

    None: nowhere, as none was asked for, or as the earlier page tells more than one with nothing ``made``, before the
    ``first``.
    """
    if path is None or finished or not Path(path).is_file():
        return path
    if not made:
        note(f"Stopped before its first {first}; {short(path)} stays as it was.")
        return None
    beside = Path(path).with_suffix(f".part{Path(path).suffix}")
    note(f"Stopped before its end; {short(path)} stays as it was. What was finished is in {short(str(beside))}")
    return str(beside)


def write(path: str, text: str) -> None:
    """Raises UsageError when the file cannot be written; what stood there stays until the new one is whole."""
    target = Path(path)
    try:
        if target.exists() and not target.is_file():  # a pipe or a device takes it as it comes
            target.write_text(text, encoding="utf-8")
            return
    except OSError as error:
        raise _unwritable(path, error) from None
    whole.put({target: text}, lambda _path, error: _unwritable(path, error))


def _unwritable(path: str, error: OSError) -> UsageError:
    return UsageError(f"{short(path)} cannot be written: {error.strerror}.", "Name another file.")


@contextmanager
def progress(
    first: str = "starting: the runs in which nothing fails", of: str = "runs", every: float = LINE_EVERY
) -> Iterator[Progress]:
    """Shows how far long work is, on standard error: as a bar on a terminal, else as a line now and then. ``first``:
    what it begins with; ``of``: what is counted; ``every``: from line to line [s]."""
    if not sys.stderr.isatty():  # a log or a pipe: a line now and then, so that somebody who looks sees it go on
        words = first

        def heard(done: int, total: int, what: str) -> None:
            nonlocal words
            words = f"{what}: {done} of {total} {of}"

        with now_and_then(every, lambda: words):
            yield heard
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console, transient=True) as bar:
        task = bar.add_task("starting", total=None)
        yield lambda done, total, what: bar.update(task, completed=done, total=total, description=what)

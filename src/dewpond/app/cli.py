"""The command `dewpond`. Thin: reads what was typed, calls the study, hands the views to a face.

Nothing heavy is imported before a command runs, so that --help comes at once.
"""

from __future__ import annotations

import errno
import os
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from typing import Any

import click

SEASONS = ("winter", "summer")
FILE = click.argument("file", metavar="FILE")
AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON instead of text; see docs/json.md.")
SEASON = click.option("--season", type=click.Choice(SEASONS), default="winter", show_default=True,
                      help="Whose water and air are taken.")  # fmt: skip
PLACES_TO_BE = ("at home", "asleep", "out", "travelling")
HOW_FULL = ("as the file says", "just filled", "about to call", "after a long power cut")
START = click.option("--start", type=click.Choice(HOW_FULL), default=HOW_FULL[0], show_default=True,
                     help="How full the vessels are at first.")  # fmt: skip

FAULTS = click.option("--faults", type=click.IntRange(1, 3), default=2, show_default=True,
                      help="How many things may fail, in any order and at any moment.")  # fmt: skip
MOST_STATES = click.option("--most-states", type=click.IntRange(1000, 20_000_000), default=300_000, show_default=True,
                           help="How many states a question may have; beyond, it is not finished.")  # fmt: skip


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.version_option(package_name="dewpond", message="dewpond %(version)s")
def cli() -> None:
    """Works out what every failure of an aquarium's permanent top-off plumbing does.

    FILE is a design file: one description of the installation, from the house supply to the tank. Dewpond advises; it
    never operates a valve.

    Exit codes: 0 the question was answered; 1 it was answered, and there is something to act on (check, study, prove);
    2 wrong use or a file that cannot be used; 70 a fault of the program; 130 stopped by hand.
    """


@cli.command(short_help="Read FILE and say all that is wrong with it, at once.")
@FILE
@AS_JSON
def check(file: str, as_json: bool) -> int:
    """Read FILE and say all that is wrong with it, at once.

    Exit code: 0 nothing to act on, 1 findings to act on, 2 the file cannot be used.
    """
    from dewpond.app import work
    from dewpond.design.checks import check as checked
    from dewpond.report.views.checked import check_report
    from dewpond.report.views.findings import exit_code

    with work.patience():
        design = work.read(file, as_json, "check")
        found = checked(design)
    if any(one.level == "error" for one in found):
        work.refuse(found, file, as_json, "check")
    if as_json:
        from dewpond.report import records

        work.print_json(records.check(file, found))
    else:
        work.print_report(check_report(design, found))
    return exit_code(found)


@cli.command(short_help="Flows, pressures, waste, and how long a fill takes.")
@FILE
@click.option("--season", type=click.Choice(SEASONS), help="Only this season; both if left out.")
@AS_JSON
def flows(file: str, season: str | None, as_json: bool) -> int:
    """Flows and pressures part by part during a fill, waste, and how long a fill takes."""
    from dewpond.app import work
    from dewpond.plant.lower import lower
    from dewpond.report.views.flows import flow_report
    from dewpond.study.flows import flows as computed
    from dewpond.study.remarks import filling

    with work.patience():
        design = work.read_sound(file, as_json, "flows")
        plants = [lower(design, one) for one in ([season] if season else SEASONS)]
        tables = [computed(plant) for plant in plants]
    seen = [remark for plant, table in zip(plants, tables, strict=True) for remark in filling(plant, table)]
    remarks = list({(remark.code, remark.parts): remark for remark in reversed(seen)}.values())
    if as_json:
        from dewpond.report import records

        work.print_json(records.flows(design, tables, remarks))
    else:
        work.print_report(flow_report(design, tables, remarks))
    return 0


@cli.command(short_help="Let something fail, and tell what happens.")
@FILE
@click.option(
    "--fault",
    "faults",
    multiple=True,
    metavar="'PART: FAULT'",
    help="What fails, such as 'float: stuck open'; may be given several times.",
)
@click.option(
    "--at",
    "times",
    multiple=True,
    metavar="TIME",
    help="When it fails: '2 h' after the start; or 'once X' or '10 min after X', where X is a line of the story, such "
    "as 'feed valve shuts'; 'its own moment' for what comes with an order. One for each --fault, in the same order.",
)
@click.option(
    "--who",
    type=click.Choice(PLACES_TO_BE),
    default="travelling",
    show_default=True,
    help="Where the people are at the start.",
)
@click.option(
    "--for",
    "span",
    metavar="TIME",
    help="Length of the run, such as 14d or '36 h'. Left out: 14 days when travelling, else 1 day.",
)
@SEASON
@START
@click.option("--picture", type=click.Path(dir_okay=False), help="Write levels and litres over time as an SVG file.")
@click.option("--answers", is_flag=True, help="Try the answers that are unknown both ways, too.")
@click.option("--list", "list_them", is_flag=True, help="List the faults that FILE can have.")
@AS_JSON
def drill(
    file: str,
    faults: tuple[str, ...],
    times: tuple[str, ...],
    who: str,
    span: str | None,
    season: str,
    start: str,
    picture: str | None,
    answers: bool,
    list_them: bool,
    as_json: bool,
) -> int:
    """Let something fail, and tell what happens. Without --fault: the run in which nothing fails.

    Exit code: 0 the question was answered, however much water gets out; 2 wrong use or a file that cannot be used. What
    came of it is in the text, and in --json under failure.litres_on_floors and failure.still_running.
    """
    from dewpond.app import drilling, work

    with work.patience():
        if list_them:
            return drilling.list_faults(file, season, as_json)
        return drilling.drill(file, faults, times, who, span, season, start, picture, answers, as_json)  # fmt: skip


@cli.command(short_help="Let everything fail, alone and in pairs.")
@FILE
@click.option("--page", type=click.Path(dir_okay=False), help="Write everything as one HTML file.")
@click.option("--singles", is_flag=True, help="Every fault alone only, without pairs.")
@click.option(
    "--who",
    type=click.Choice((*PLACES_TO_BE, "all")),
    multiple=True,
    help="Where the people are at the start; more than one, or all, may be asked for. Left out: travelling, at home.",
)
@SEASON
@START
@click.option("--anew", is_flag=True, help="Make every run again, also those kept from an earlier study.")
@AS_JSON
def study(
    file: str, page: str | None, singles: bool, who: tuple[str, ...], season: str, start: str, anew: bool, as_json: bool
) -> int:
    """Let everything fail, alone and in pairs, and tell what comes of it.

    Runs are kept in the cache folder: a study that was stopped goes on where it was, and one of a design that has not
    changed takes seconds.

    Exit code: 0 nothing to act on, 1 findings to act on, of the file or of what the runs showed (no count of litres
    alone is one), 2 wrong use or a file that cannot be used, 130 stopped by hand.
    """
    from dewpond.app import work
    from dewpond.app.remembered import Remembered
    from dewpond.errors import UsageError
    from dewpond.report.views.findings import all_findings, exit_code
    from dewpond.report.views.shown import shown_in
    from dewpond.report.views.stories import Courses, courses, worst
    from dewpond.report.views.study import study_report
    from dewpond.study.drills import LENGTHS, WHO
    from dewpond.study.retrace import retrace
    from dewpond.study.study import run_study

    design = work.read_sound(file, as_json, "study")
    asked = tuple((one, LENGTHS[one]) for one in LENGTHS if one in who or "all" in who) or WHO
    work.may_write(page, file)
    with work.progress() as told:
        memory = Remembered(recall=not anew)
        result = run_study(
            design, season, not singles, told, who=asked, start=start, workers=work.cores(), memory=memory
        )
    page = work.where_to(page, result.finished, result.counts.made)
    charts: Courses = {}
    if page is not None and result.finished:  # who has stopped it does not want to wait for more runs
        charts = courses(*retrace(result, worst(result)), shown_in(design.shown_in))
    report = study_report(result, charts)
    unwritten: UsageError | None = None
    if page is not None:
        from dewpond.report.page import render

        try:
            work.write(page, render(report))
        except UsageError as error:
            unwritten = error  # what was worked out is told all the same
    if as_json:
        from dewpond.report import records

        work.print_json(records.study(result))
    else:
        work.print_report(report)
    if unwritten is not None:
        raise unwritten
    found = all_findings(result.findings, result.remarks, design, shown_in(design.shown_in))
    return exit_code(found) if result.finished else 130


@cli.command(short_help="Search the shut-off logic in every order of events.")
@FILE
@FAULTS
@MOST_STATES
@SEASON
@click.option("--page", type=click.Path(dir_okay=False), help="Write everything as one HTML file.")
@AS_JSON
def prove(file: str, faults: int, most_states: int, season: str, page: str | None, as_json: bool) -> int:
    """Search the shut-off logic in every order of events.

    What a run tries in one order is searched here in all of them: does what has tripped stay shut, is water stopped
    wherever a probe sees it, does no pump bring too much, is somebody told. The search is complete for what it looks
    at, and says what it leaves out.

    Exit code: 0 all rules hold with each answer that the file leaves open, 1 a rule is broken or a search was not
    finished, 2 wrong use or a file that cannot be used.
    """
    from dewpond.app import proving

    return proving.prove(file, faults, most_states, season, page, as_json)


@cli.command(short_help="Causes and effects as a sheet, and as files to enter in a device.")
@FILE
@click.option("--page", type=click.Path(dir_okay=False), help="Write the sheet as one HTML file.")
@click.option(
    "--into",
    type=click.Path(),
    metavar="FOLDER",
    help="Write matrix.csv, settings.csv, truth_table.csv, vectors.csv, logic.st (IEC 61131-3 Structured Text) and "
    "walk.txt into this folder, which is made if it is not there.",
)
@AS_JSON
def matrix(file: str, page: str | None, into: str | None, as_json: bool) -> int:
    """Causes and effects as a sheet, and as files to enter in a device.

    The sheet has a row for each cause and a column for each effect, with date and initials for the day on which each
    was tried. The files are in no device's own language.

    Exit code: 0 the question was answered, 2 wrong use or a file that cannot be used.
    """
    from dewpond.app import work
    from dewpond.report.export.files import MARKS, files
    from dewpond.report.views.matrix import matrix_report
    from dewpond.study.matrix.build import build

    with work.patience():
        design = work.read_sound(file, as_json, "matrix")
        work.may_write(page, file)
        work.may_write_into(into, MARKS, file)
        made = build(design)
        report = matrix_report(design, made)
    if page is not None:
        from dewpond.report.page import render

        work.write(page, render(report))
    if into is not None:
        work.write_into(into, files(design, made))
    if as_json:
        from dewpond.report import matrix_records

        work.print_json(matrix_records.matrix(design, made))
    else:
        work.print_report(report)
    return 0


@cli.command(short_help="Print the JSON Schema of design files, for editors.")
@AS_JSON
def schema(as_json: bool) -> int:
    """Print the JSON Schema of design files, for editors that complete and check."""
    from dewpond.app import work
    from dewpond.design.schema import json_schema

    if as_json:
        from dewpond.report import records

        work.print_json(records.schema(json_schema()))
    else:
        work.print_json(json_schema())
    return 0


@cli.command(short_help="Print every default figure, and where it comes from.")
@AS_JSON
def sources(as_json: bool) -> int:
    """Print every default figure with its source, its grade and its spread."""
    from dewpond.app import work
    from dewpond.report.views.sources import every_figure, sources_report

    if as_json:
        from dewpond.report import records

        work.print_json(records.sources(every_figure()))
    else:
        work.print_report(sources_report())
    return 0


def main(words: list[str] | None = None) -> None:
    """The entry point: runs a command and turns whatever goes wrong into words and an exit code."""
    from dewpond.app.stops import interrupt

    fill_closed_streams()
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):  # who is asked to stop shows what is finished, too
        usual = (signal.SIG_DFL, signal.default_int_handler)
        if hasattr(signal, name) and signal.getsignal(getattr(signal, name)) in usual:
            signal.signal(getattr(signal, name), interrupt)
    code = guarded(lambda: cli.main(words, prog_name="dewpond", standalone_mode=False))
    leave_streams()
    sys.exit(code)


def guarded(run: Callable[[], Any]) -> int:
    """Run a command. Nobody is shown a traceback: that goes into the log."""
    from dewpond.errors import FINE, WRONG_USE, DesignError, DewpondError

    try:
        code = run()
        sys.stdout.flush()
    except click.ClickException as error:
        return told(error.show, WRONG_USE)
    except (KeyboardInterrupt, click.Abort):
        return said("Stopped before anything was finished.", 130)
    except DesignError as error:
        from dewpond.app import work

        refused = error
        return told(lambda: work.tell_findings(refused), WRONG_USE)
    except DewpondError as error:
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

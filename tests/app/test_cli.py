"""The commands: exit codes, what goes where, and that nobody is ever shown a traceback."""

import json
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import pytest

from dewpond.app import work
from dewpond.app.cli import cli
from dewpond.errors import FINDINGS, FINE, OUR_FAULT, WRONG_USE
from dewpond.plant.moments import FAULT_DASH

SMALL = "tests/study/small.yaml"
FIRST = "examples/first_float.yaml"
TWO = "examples/two_tanks.yaml"
SOUND = "examples/two_tanks.yaml"
Dewpond = Callable[..., tuple[int, str, str]]


def document(text: str) -> dict[str, object]:
    read: dict[str, object] = json.loads(text)
    return read


# --- check -----------------------------------------------------------------------------------------------------------


def test_check_of_a_sound_file_is_fine(dewpond: Dewpond) -> None:
    code, out, err = dewpond("check", SOUND)
    assert (code, err) == (FINE, "")
    assert "The checks object to nothing that they look at." in out


def test_check_says_which_heights_count_from_the_bottom_of_their_vessel(dewpond: Dewpond) -> None:
    said = " ".join(dewpond("check", FIRST)[1].split()).split("as all marks inside one do")[1].split(".")[0]
    for mark in ("float (quite shut at)", "sump (running level)", "low mark (calls at)"):
        assert mark in said
    assert "outlet" not in said
    assert "(bottom)" not in said


def test_check_with_warnings_asks_to_act(dewpond: Dewpond) -> None:
    code, out, err = dewpond("check", FIRST)
    assert (code, err) == (FINDINGS, "")
    assert "D112" in out
    assert "D113" in out


def test_check_of_a_bad_file_says_all_at_once_on_standard_error(dewpond: Dewpond) -> None:
    code, out, err = dewpond("check", "tests/bad_designs/several_at_once.yaml")
    assert (code, out) == (WRONG_USE, "")
    assert "tests/bad_designs/several_at_once.yaml cannot be used yet" in err
    assert err.count("MUST BE PUT RIGHT") > 3


@pytest.mark.parametrize("command", ["check", "flows", "drill", "study"])
def test_file_that_is_read_but_holds_an_error_cannot_be_used_by_any_command(dewpond: Dewpond, command: str) -> None:
    bad = "tests/bad_designs/order_unknown.yaml"  # what only the checks over the whole file find
    code, out, err = dewpond(command, bad)
    assert (code, out) == (WRONG_USE, "")
    assert f"{bad} cannot be used yet" in err
    assert "[D108]" in err
    code, out, err = dewpond(command, bad, "--json")
    findings = document(out)["findings"]
    assert isinstance(findings, list)
    assert ([found["code"] for found in findings], code, err) == (["D108"], WRONG_USE, "")


def test_check_of_a_file_with_an_error_tells_the_warnings_as_well(dewpond: Dewpond, tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text(Path(FIRST).read_text("utf-8").replace("low mark low", "low mark high"), "utf-8")
    code, out, err = dewpond("check", str(bad))
    assert (code, out) == (WRONG_USE, "")
    assert "[D106]" in err
    assert "TO ACT ON" in err


@pytest.mark.parametrize("command", ["check", "flows", "drill", "study"])
def test_bad_file_as_json_is_a_document_with_its_findings(dewpond: Dewpond, command: str) -> None:
    code, out, err = dewpond(command, "tests/bad_designs/several_at_once.yaml", "--json")
    assert (code, err) == (WRONG_USE, "")
    read = document(out)
    assert read["schema"] == f"dewpond.{command}/1"
    assert isinstance(read["findings"], list)
    assert len(read["findings"]) > 3


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("year", FIRST, "--json", "--today", "9999-12-31"), "9999-12-31 is no day to count from"),
        (("year", FIRST, "--price-of-water", "cheap", "--json"), '"cheap" is no price'),
        (("limits", FIRST, "--away", "0", "--json"), "0 is not in the range"),
        (("check", "--json"), "FILE"),
        (("flows", FIRST, "--json", "--sesaon", "winter"), "--sesaon"),
    ],
)
def test_wrong_use_as_json_is_a_document_with_one_finding(dewpond: Dewpond, words: tuple[str, ...], said: str) -> None:
    code, out, err = dewpond(*words)
    assert code == WRONG_USE
    read = document(out)
    assert read["schema"] == f"dewpond.{words[0]}/1"
    assert isinstance(read["findings"], list)
    (one,) = read["findings"]
    assert (one["code"], one["level"], one["where"]) == ("U001", "error", "the call")
    assert said in one["what"]
    assert said in " ".join(err.split())
    assert dewpond(*(word for word in words if word != "--json"))[1] == ""


@pytest.mark.parametrize("file", ["no_such_file.yaml", "examples"])
def test_missing_file_and_folder_are_told_as_such(dewpond: Dewpond, file: str) -> None:
    code, out, err = dewpond("check", file)
    assert (code, out) == (WRONG_USE, "")
    assert file in err


# --- flows, schema, sources ------------------------------------------------------------------------------------------


def test_flows_gives_both_seasons_or_the_one_asked_for(dewpond: Dewpond) -> None:
    code, out, _ = dewpond("flows", SMALL)
    assert code == FINE
    assert "In winter, with the supply at 10 °C" in out
    assert "In summer, with the supply at 20 °C" in out
    code, out, _ = dewpond("flows", SMALL, "--season", "summer", "--json")
    seasons = document(out)["seasons"]
    assert isinstance(seasons, list)
    assert [s["season"] for s in seasons] == ["summer"]


@pytest.mark.slow
def test_schema_is_the_one_of_the_reader(dewpond: Dewpond) -> None:
    from dewpond.design.schema import json_schema

    assert document(dewpond("schema")[1]) == json_schema()
    assert document(dewpond("schema", "--json")[1])["json_schema"] == json_schema()


def test_sources_prints_every_figure(dewpond: Dewpond) -> None:
    code, out, _ = dewpond("sources")
    assert code == FINE
    assert "drawn tubing" in " ".join(out.split())
    figures = document(dewpond("sources", "--json")[1])["figures"]
    assert isinstance(figures, list)
    assert len(figures) > 100


# --- drill -----------------------------------------------------------------------------------------------------------


def test_drill_tells_the_story(dewpond: Dewpond) -> None:
    code, out, err = dewpond("drill", SMALL, "--fault", "Ball:  stuck OPEN", "--for", "36 h")
    assert (code, err) == (FINE, "")
    assert "everybody is travelling, for 36 h from day 1, 08:00 on" in " ".join(out.split())
    assert "leak stop shuts" in out
    assert "Caution: Water near electricity" in out
    assert "tub  │" in out.replace("tub │", "tub  │")


def test_drill_that_floods_has_answered_its_question_and_says_so(dewpond: Dewpond) -> None:
    code, out, err = dewpond("drill", SMALL, "--fault", "tap: joint blows off, before the valve", "--json")
    failure = document(out)["failure"]
    assert isinstance(failure, dict)
    assert failure["litres_on_floors"] > 1000.0
    assert failure["still_running"] is True
    assert (code, err) == (FINE, "")
    told = " ".join(dewpond("drill", "--help")[1].split())
    assert "0 the question was answered, however much water gets out; 2 wrong use" in told
    assert "1 findings to act on" not in told


def test_study_says_in_its_help_when_it_ends_with_one(dewpond: Dewpond) -> None:
    assert "1 findings to act on, of the file or of what the runs showed" in " ".join(
        dewpond("study", "--help")[1].split()
    )


@pytest.mark.parametrize(
    ("option", "typed", "allowed"),
    [
        (("--for",), "60 s", True),
        (("--for",), "1 min", True),
        (("--for",), "59 s", False),
        (("--for",), "366 days", True),
        (("--for",), "366d", True),
        (("--for",), "366.1 days", False),
        (("--for",), "370 days", False),
        (("--for", "100000 s", "--fault", "ball: seeps", "--at"), "100000 s", True),
        (("--for", "100000 s", "--fault", "ball: seeps", "--at"), "0 s", True),
        (("--for", "100000 s", "--fault", "ball: seeps", "--at"), "27.8 h", False),
    ],
)
def test_range_of_times_holds_its_ends_and_what_it_says_of_them(
    dewpond: Dewpond, monkeypatch: pytest.MonkeyPatch, option: tuple[str, ...], typed: str, allowed: bool
) -> None:
    from dewpond.plant import engine

    class RanError(Exception):
        pass

    def stand_in(*_: object, **__: object) -> None:
        raise RanError

    monkeypatch.setattr(engine, "run", stand_in)
    monkeypatch.setattr("dewpond.app.log.our_fault", lambda error: type(error).__name__)
    code, _, err = dewpond("drill", SMALL, *option, typed)
    assert (code, err.strip() == "RanError") == ((OUR_FAULT, True) if allowed else (WRONG_USE, False))
    if not allowed:
        for end in err.partition("Allowed is ")[2].strip().rstrip(".").split(" to "):
            again = dewpond("drill", SMALL, *option, end)
            assert again.err.strip() == "RanError", (end, again.err)


def test_drill_without_a_fault_is_the_run_in_which_nothing_fails(dewpond: Dewpond) -> None:
    code, out, _ = dewpond("drill", SMALL, "--who", "asleep")
    assert code == FINE
    assert out.startswith("Nothing fails\n")
    assert "No water gets out of the plumbing within 24 h." in out


def test_drill_takes_faults_with_their_times(dewpond: Dewpond) -> None:
    words = ("--fault", "tube: burst, in shed", "--at", "2 h", "--fault", "leak stop: probe dead", "--at", "0 min")
    code, out, _ = dewpond("drill", SMALL, *words, "--for", "1d", "--json")
    assert code == FINE
    failure = document(out)["failure"]
    assert isinstance(failure, dict)
    assert failure["faults"] == ["tube: burst, in shed", "leak stop: probe dead"]
    assert (failure["first_water_s"], failure["horizon_s"], failure["still_running"]) == (7200.0, 86400.0, True)


def test_drill_names_the_nearest_fault_when_there_is_none_of_that_name(dewpond: Dewpond) -> None:
    code, out, err = dewpond("drill", SMALL, "--fault", "ball: stuk open")
    assert (code, out) == (WRONG_USE, "")
    assert err == (
        "No fault is called 'ball: stuk open'. Do you mean 'ball: stuck open'? All of them: dewpond drill FILE --list\n"
    )


def test_drill_lists_every_fault_of_the_file(dewpond: Dewpond) -> None:
    code, out, _ = dewpond("drill", SMALL, "--list", "--json")
    assert code == FINE
    listed = document(out)["faults"]
    assert isinstance(listed, list)
    assert len(listed) == 33
    text = " ".join(dewpond("drill", SMALL, "--list")[1].split())
    assert all(row["fault"] in text for row in listed if len(row["fault"]) < 30)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--for", "14"), "--for:"),
        (("--for", "soon"), "--for:"),
        (("--for", "2 years"), "--for:"),
        (("--for", "3 kg"), "--for:"),
        (("--fault", "ball: seeps", "--at", "3 weeks"), "--at: 3 weeks is out of range."),
        (("--fault", "ball: seeps", "--fault", "ball: seeps"), "The same fault is given twice."),
        (
            ("--fault", "ball: stuck shut", "--fault", "ball: stuck open"),
            "'ball: stuck shut' and 'ball: stuck open' cannot stand together: one part is in one state.",
        ),
        (("--fault", "ball: seeps", "--at", "1 h", "--at", "2 h"), "Of --fault there are 1, of --at 2."),
        (("--picture", "no/such/folder/x.svg"), "The folder of no/such/folder/x.svg does not exist."),
        (("--who", "abroad"), "abroad"),
        (("--no-such-option",), "--no-such-option"),
    ],
)
def test_wrong_use_is_told_in_words(dewpond: Dewpond, words: tuple[str, ...], told: str) -> None:
    code, out, err = dewpond("drill", SMALL, *words)
    assert (code, out) == (WRONG_USE, "")
    assert told in err
    assert "Traceback" not in err


LONG = "long tube " * 2000


@pytest.mark.parametrize(
    "words", [("--fault", f"{LONG}: bursts"), ("--fault", "ball: seeps", "--at", f"once {LONG} bursts")]
)
def test_very_long_text_is_repeated_in_short(dewpond: Dewpond, words: tuple[str, ...]) -> None:
    code, out, err = dewpond("drill", SMALL, *words)
    assert (code, out) == (WRONG_USE, "")
    assert " ... " in err
    assert len(err) < 400


@pytest.mark.slow
def test_drill_draws_its_picture(dewpond: Dewpond, tmp_path: Path) -> None:
    picture = tmp_path / "run.svg"
    code, _, err = dewpond("drill", SMALL, "--fault", "tub: cracks", "--for", "2 days", "--picture", str(picture))
    assert code == FINE
    assert str(picture) in err
    root = ET.parse(picture).getroot()
    assert len(list(root)) == 2  # levels, and water lying in the shed


@pytest.mark.slow
def test_the_line_that_a_fault_waits_for_stands_before_it(dewpond: Dewpond) -> None:
    """The pressure goes once there is water in the study, not a moment before, however the two are typed."""
    waits = ("--fault", "supply: pressure lost", "--at", "once first water in study")
    burst = ("--fault", "riser: burst, in study", "--at", "1 h")
    for faults in ((*burst, *waits), (*waits, *burst)):
        code, out, _ = dewpond("drill", TWO, *faults, "--for", "2 h", "--json")
        assert code == FINE
        told = document(out)["failure"]["story"]
        assert told.index("water gets out") < told.index("first water in study") < told.index("supply: pressure lost")


@pytest.mark.slow
def test_of_two_that_wait_the_first_is_placed_first(dewpond: Dewpond) -> None:
    two = [
        ("supply: pressure lost", "10 min after water gets out"),
        ("lagoon: seam leaks", "10 min after supply: pressure lost"),
    ]
    stories = []
    for order in (two, two[::-1]):
        faults = [word for label, time in order for word in ("--fault", label, "--at", time)]
        code, out, _ = dewpond("drill", TWO, "--fault", "riser: burst, in study", "--at", "1 h", *faults, "--json")
        assert code == FINE
        failure = document(out)["failure"]
        stories.append(failure["story"])
        assert not failure["marks"]
    assert stories[0].index("supply: pressure lost") < stories[0].index("lagoon: seam leaks")
    assert stories[0] == stories[1]


@pytest.mark.parametrize(
    ("line", "comes"),
    [
        ("water gets out", True),
        pytest.param("first water in study", True, marks=pytest.mark.slow),
        pytest.param("riser: burst, in study", True, marks=pytest.mark.slow),
        pytest.param("reservoir is full to the rim and runs over", False, marks=pytest.mark.slow),
    ],
)
def test_a_fault_may_wait_for_a_line_that_no_signal_stands_behind(dewpond: Dewpond, line: str, comes: bool) -> None:
    """The lagoon's seam leaks ten minutes after a line of the story of a burst riser, or never."""
    burst = ("drill", TWO, "--fault", "riser: burst, in study", "--at", "1 h", "--for", "6 h", "--json")
    code, out, _ = dewpond(*burst, "--fault", "lagoon: seam leaks", "--at", f"10 min after {line}")
    assert code == FINE
    failure = document(out)["failure"]
    assert (f"lagoon: seam leaks{FAULT_DASH}" in failure["story"]) is comes
    assert any("did not come" in mark for mark in failure["marks"]) is not comes
    if comes:
        assert ", 09:10: lagoon: seam leaks" in failure["story"]  # the run begins at 08:00


@pytest.mark.slow
def test_a_fault_may_wait_for_a_line_of_the_story(dewpond: Dewpond) -> None:
    burst = ("drill", TWO, "--fault", "riser: burst, in study", "--at", "1 h", "--for", "6 h", "--json")
    two = document(dewpond(*burst)[1])["failure"]
    assert "feed valve shuts" in two["story"]
    second = ("--fault", "feed valve: does not close", "--at", "10 min after “Feed valve shuts”.")
    code, out, _ = dewpond(*burst, *second)
    assert code == FINE
    one = document(out)["failure"]
    assert one["reopenings"] == 1
    assert two["reopenings"] == 0
    assert one["litres_on_floors"] > 1.5 * two["litres_on_floors"]


def test_a_fault_that_waits_in_vain_is_told_so(dewpond: Dewpond) -> None:
    call = ("drill", FIRST, "--fault", "small box: hangs", "--for", "6 h", "--at")
    code, out, _ = dewpond(*call, "once reservoir is all but empty")
    assert code == FINE
    assert "did not come, for what it waits for did not happen: small box: hangs" in " ".join(out.lower().split())


def test_a_line_that_no_story_has_is_refused_with_the_nearest(dewpond: Dewpond) -> None:
    code, _, err = dewpond("drill", FIRST, "--fault", "small box: hangs", "--at", "once the reservoir is all but emty")
    assert code == WRONG_USE
    assert "Do you mean 'reservoir is all but empty'?" in " ".join(err.split())


@pytest.mark.slow
def test_drill_tries_unknown_answers_when_asked_to(dewpond: Dewpond) -> None:
    code, out, _ = dewpond("drill", FIRST, "--fault", "small box: hangs", "--for", "12 h", "--answers")
    assert code == FINE
    assert "both ways were tried" in " ".join(out.split())
    asked = dewpond("drill", FIRST, "--fault", "float: stuck open", "--for", "12 h")[1]
    assert "--answers" in asked


def test_with_another_answer_what_waits_for_a_line_comes_when_that_line_does_then(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """An early cut shuts the feed valve, or leaves it open: an hour lies between, and no signal tells the line."""
    from dewpond.app import drilling
    from dewpond.design.reader import read_text
    from dewpond.plant.lower import lower
    from dewpond.study import study
    from dewpond.study.drills import Drill
    from tests.plant.houses import STOP_ON_WATER, design

    house = read_text(design(STOP_ON_WATER, at_rest="unknown"), "house.yaml")
    plant, labels = lower(house), ["float: stuck open", "box circuit: cut for an hour", "reservoir: cracks"]
    typed = drilling.timed(plant, labels, ("0 h", "10 s", "once water gets out"), 12 * 3600.0)
    run = Drill(drilling.found_times(plant, typed, "travelling", 12 * 3600.0), "as typed", "travelling", 12 * 3600.0)
    asked: list[Drill] = []
    monkeypatch.setattr(
        study, "tried", lambda _design, _season, _start, _number, _other, known, _run: asked.extend(known)
    )
    drilling.tried_answers(house, "winter", "as the file says", run, typed, None)  # type: ignore[arg-type]
    (other,) = asked
    assert house.unknowns[0].taken == "shut"
    assert run.faults[2].time - other.faults[2].time == pytest.approx(3600.0, abs=60.0)


# --- study -----------------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_study_writes_page_and_text_and_json_of_the_same(dewpond: Dewpond, tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    code, out, err = dewpond("study", SMALL, "--singles", "--page", str(page))
    assert (code, err) == (FINDINGS, "")
    text = " ".join(out.split())
    assert "17 of 33 single faults put water on a floor" in text
    assert "17 of 33 single faults put water on a floor" in page.read_text(encoding="utf-8")
    code, out, _ = dewpond("study", SMALL, "--singles", "--json")
    assert code == FINDINGS
    failures = document(out)["failures"]
    assert isinstance(failures, list)
    wet = [f for f in failures if f["who"] == "travelling" and f["litres_on_floors"] > 0.01]
    assert len(wet) == 17


@pytest.mark.parametrize("command", ["drill", "flows", "study"])
def test_what_the_checks_call_an_error_is_not_computed(dewpond: Dewpond, repository: Path, command: str) -> None:
    code, out, err = dewpond(command, str(repository / "tests" / "bad_designs" / "places_in_a_ring.yaml"))
    assert (code, out) == (WRONG_USE, "")
    assert "D125" in err


# --- what goes wrong on our side -------------------------------------------------------------------------------------


def test_our_fault_is_one_sentence_and_a_log_without_what_was_typed(
    dewpond: Dewpond, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("wires crossed")

    monkeypatch.setattr(work, "read", fail)
    code, out, err = dewpond("check", "my-private-house.yaml")
    assert (code, out) == (OUR_FAULT, "")
    log = tmp_path / "state" / "dewpond" / "dewpond.log"
    assert err == f"This is a fault of the program (RuntimeError), not of your file; the log {log} says where.\n"
    written = log.read_text(encoding="utf-8")
    assert "wires crossed" in written
    assert "Traceback" in written
    assert "private" not in written


def test_log_that_cannot_be_written_is_told_too(
    dewpond: Dewpond, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("wires crossed")

    (tmp_path / "state").write_text("in the way")
    monkeypatch.setattr(work, "read", fail)
    code, _, err = dewpond("check", "x.yaml")
    assert code == OUR_FAULT
    assert err.count("\n") == 1
    assert "could not be written" in err


def test_who_is_asked_to_stop_stops_as_with_an_interrupt() -> None:
    script = (
        "import os, signal, time\n"
        "from dewpond.app import cli\n"
        "cli.cli.main = lambda *words, **more: (os.kill(os.getpid(), signal.SIGTERM), time.sleep(20))\n"
        "cli.main([])"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "Stopped before anything was finished.\n")


def test_interrupt_is_no_fault(dewpond: Dewpond, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(work, "read", stop)
    code, out, err = dewpond("check", "x.yaml")
    assert (code, out, err) == (130, "", "\nStopped before anything was finished.\n")


# --- help ------------------------------------------------------------------------------------------------------------

HEAVY = {"yaml", "pydantic", "numpy", "numba", "scipy", "rich", "jinja2", "vl_convert", "gsw", "dewpond.parts"}


def test_help_loads_nothing_heavy(repository: Path) -> None:
    """What makes --help slow is what it imports; its time is for bench/ to measure."""
    code = (
        "import sys\nfrom dewpond.app.cli import main\n"
        "try: main(['--help'])\nexcept SystemExit: pass\n"
        "sys.stderr.write(' '.join(sys.modules))"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=repository)
    assert "Usage: dewpond" in ran.stdout
    assert set(ran.stderr.split()) & HEAVY == set()


def test_page_of_commands_is_what_the_help_says(repository: Path) -> None:
    import importlib.util

    path = repository / "docs" / "commands.py"
    spec = importlib.util.spec_from_file_location("commands", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    assert path.with_suffix(".md").read_text(encoding="utf-8") == module.page()


@pytest.mark.parametrize(("encoding", "can"), [("utf-8", True), ("ascii", False), ("cp1252", False), (None, False)])
def test_terminal_that_cannot_show_bars_is_known(encoding: str | None, can: bool) -> None:
    assert work.can_show(encoding) is can


def test_a_fault_with_its_own_moment_takes_no_other_and_no_other_fault_takes_that(dewpond: Dewpond) -> None:
    hangs = "small box: hangs while it drives top-off pump"
    call = ("drill", FIRST, "--for", "6 h", "--fault")
    for when in ("2 h", "once reservoir is empty"):
        code, _, err = dewpond(*call, hangs, "--at", when)
        assert code == WRONG_USE
        assert "comes at a moment of its own" in " ".join(err.split())
    code, _, err = dewpond(*call, "small box: hangs", "--at", "its own moment")
    assert code == WRONG_USE
    assert "has no moment of its own" in " ".join(err.split())
    code, out, _ = dewpond(*call, hangs, "--at", "Its own moment", "--json")
    assert code == FINE
    assert document(out)["failure"] == document(dewpond(*call, hangs, "--json")[1])["failure"]


def test_list_of_faults_refuses_what_check_refuses(dewpond: Dewpond, tmp_path: Path, repository: Path) -> None:
    text = (repository / FIRST).read_text("utf-8")
    bad = tmp_path / "bad.yaml"
    bad.write_text(text.replace("{cause: low mark low,", "{cause: low mark high,"), "utf-8")
    code, _, err = dewpond("drill", str(bad), "--list")
    assert code == WRONG_USE
    assert "D106" in err


def test_the_first_page_names_every_command_that_answers_with_one() -> None:
    """By the help text of each command."""
    told = re.search(r"something to act on \(([^)]*)\)", " ".join((cli.help or "").split()))
    assert told
    saying = [
        name
        for name, one in cli.commands.items()
        if re.search(r"Exit code: .*\b1 ", " ".join((one.help or "").split()))
    ]
    assert told[1].split(", ") == sorted(saying)

"""A design file becomes words and SI numbers. Expected values are worked out by hand from what the file says."""

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from dewpond.design.checks import check
from dewpond.design.model import Cause, Design, Term, slug
from dewpond.design.reader import read, read_text
from dewpond.errors import DesignError, Finding
from dewpond.parts.base import Kind, Level

ROW = (
    "{id: leak, cause: left eye wet, lasting: 5 s, effect: {tap: shut}, until: re-armed by hand when dry, "
    "at most: 4 min a run, gap: 20 min, per day: 9 L, when a run is too long: {effect: shut, tell: news}, "
    "by: brain one, tell: news}"
)
MESSAGES = (
    "\nmessages:\n  news: {priority: now, path: [brain one, me], unanswered for 45 min: you, heard: 2026-11-02}"
    "\n  beat: {from: brain one, every: 15 min, path: router, tell: me}"
)

Reads = Callable[..., Design]
Refuses = Callable[..., tuple[Finding, ...]]


@pytest.fixture
def reads(toys: Mapping[str, Kind], sound: str) -> Reads:
    """Reads the sound toy design with some texts exchanged."""

    def with_changes(*changes: tuple[str, str]) -> Design:
        text = sound
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        return read_text(text, "toys.yaml", toys)

    return with_changes


@pytest.fixture
def refuses(reads: Reads) -> Refuses:
    """The findings with which a changed toy design is refused."""

    def with_changes(*changes: tuple[str, str]) -> tuple[Finding, ...]:
        with pytest.raises(DesignError) as caught:
            reads(*changes)
        return caught.value.findings

    return with_changes


def brain(reads: Reads, keys: str) -> Mapping[str, Any]:
    return reads(("{fed by: kitchen}", f"{{{keys}}}")).part("brain one").values


def test_parts_come_in_the_order_of_the_file_and_implied_ones_last(reads: Reads) -> None:
    design = reads()
    names = "spring water, desk, first pipe, tap, end, cup, left eye, left eye wide, brain one, kitchen"
    assert [part.name for part in design.parts] == names.split(", ")
    assert design.implied == {"kitchen"}
    assert design.lines["cup"] == 10
    assert design.lines["kitchen"] == design.lines["brain one"] == 15
    assert design.key_lines["tap", "led by"] == 8


def test_values_are_si_numbers_and_defaults_are_filled_in(reads: Reads) -> None:
    design = reads()
    assert design.part("spring water")["push"] == pytest.approx(3e5)
    assert design.part("desk")["area"] == pytest.approx((0.4, 0.3))
    assert design.part("first pipe")["bore"] == 4e-3
    assert design.part("first pipe").given == {"after"}
    assert design.part("cup")["rim"] == pytest.approx(0.1)
    assert design.part("end")["up to"] == Level(0.03, "rim")


def test_head_of_the_file(reads: Reads) -> None:
    plain = reads()
    assert (plain.title, plain.shown_in, plain.zone, plain.combination) == ("Toys (invented)", "metric", "UTC", "")
    changed = reads(("format: 1", "format: 1\nshown in: US\nzone: Europe/Lisbon\ncombination: any stop wins"))
    assert (changed.shown_in, changed.zone, changed.combination) == ("US", "Europe/Lisbon", "any stop wins")


@pytest.mark.parametrize("key", ["outlet: 42 cm above floor", "bottom: 8 cm above floor"])
def test_height_that_is_no_mark_in_a_vessel_needs_the_word_from_where(repository: Path, key: str) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    assert key in text
    with pytest.raises(DesignError) as refused:
        read_text(text.replace(key, key.removesuffix(" above floor")), "house.yaml")
    errors = [(one.code, one.key) for one in refused.value.findings if one.level == "error"]
    assert errors == [("D090", key.split(":", maxsplit=1)[0])]


@pytest.mark.parametrize(
    ("typed", "level"),
    [
        ("3 cm", Level(0.03, "bottom")),
        ("3 cm above bottom", Level(0.03, "bottom")),
        ("58 mm below rim", Level(0.058, "rim")),
        ("58 mm below the rim", Level(0.058, "rim")),
        ("2 mm above rim", Level(-0.002, "rim")),
        ("45 cm above floor", Level(0.45, "floor")),
        ("5 cm below floor", Level(-0.05, "floor")),
        ("5 cm above tray", Level(0.05, "tray")),
        ("never", "never"),
    ],
)
def test_level_keeps_what_it_is_measured_from(reads: Reads, typed: str, level: Level | str) -> None:
    read_level = reads(("into: cup", f"into: cup, up to: {typed}")).part("end")["up to"]
    if isinstance(level, Level):
        assert read_level.measured == level.measured
        assert read_level.value == pytest.approx(level.value)
    else:
        assert read_level == level


@pytest.mark.parametrize(
    ("typed", "key", "value"),
    [
        ("when lost: goes on", "when lost", "goes on"),
        ("made: 2026-03-01", "made", "2026-03-01"),
        ("is old: old", "is old", True),
        ("is old: new", "is old", False),
        ("plugs: 7", "plugs", 7),
        ("sees: [left eye, left eye wide]", "sees", ("left eye", "left eye wide")),
        ("sees: left eye", "sees", ("left eye",)),
        ("covers: desk", "covers", ("desk",)),
        ("runs: [10 s each, 2 min]", "runs", (10.0, 120.0)),
        ("memory: {trips: kept}", "memory", {"trips": "kept", "days": 86400.0}),
    ],
)
def test_forms_of_value(reads: Reads, typed: str, key: str, value: object) -> None:
    assert brain(reads, typed)[key] == value


def test_compound_text_is_taken_apart_by_its_pattern(reads: Reads) -> None:
    rated = brain(reads, "rated: 75 gal/day at 25 C")["rated"]
    # A US gallon is 231 cubic inches (NIST SP 811).
    assert rated["speed"] == pytest.approx(75 * 231 * 0.0254**3 / 86400.0)
    assert rated["heat"] == pytest.approx(298.15)


def test_unknown_takes_the_first_value_and_lists_all(reads: Reads) -> None:
    design = reads()
    by_key = {(u.part, u.key): u for u in design.unknowns}
    assert set(by_key) == {("brain one", "when lost"), ("brain one", "memory: trips")}
    lost = by_key["brain one", "when lost"]
    assert (lost.tried, lost.taken, lost.find_out) == (("stops", "goes on"), "stops", "Pull its plug.")
    assert design.part("brain one")["when lost"] == "stops"
    said = reads(("{fed by: kitchen}", "{when lost: unknown, memory: {trips: unknown}}"))
    assert said.unknowns == tuple(replace(one, written=True) for one in design.unknowns)


def test_unknown_says_whether_it_was_answered_or_left_out(reads: Reads) -> None:
    half = reads(("{fed by: kitchen}", "{when lost: unknown}"))
    assert {(u.key, u.written) for u in half.unknowns} == {("when lost", True), ("memory: trips", False)}
    assert {u.written for u in half.with_unknown("brain one", "when lost", "goes on").unknowns} == {True, False}


def test_with_unknown_exchanges_one_value_and_nothing_else(reads: Reads) -> None:
    design = reads()
    other = design.with_unknown("brain one", "memory: trips", "kept")
    assert other.part("brain one")["memory"] == {"trips": "kept", "days": 86400.0}
    assert design.part("brain one")["memory"]["trips"] == "lost"
    assert [u.taken for u in other.unknowns if u.key == "memory: trips"] == ["kept"]
    assert other.with_unknown("brain one", "memory: trips", "lost") == design
    with pytest.raises(KeyError):
        design.with_unknown("brain one", "plugs", 2)
    with pytest.raises(ValueError, match="none of the values"):
        design.with_unknown("brain one", "when lost", "explodes")


def test_assumed_figures_carry_their_source(reads: Reads) -> None:
    assumed = {(a.part, a.key): a for a in reads().assumed}
    assert assumed["first pipe", "bore"].value == "4 mm"
    assert assumed["first pipe", "bore"].grade == "our prior"
    assert assumed["brain one", "memory: days"].value == "24 h"
    assert assumed["kitchen", "amps"].source == "a guess for tests"
    given = reads(("after: spring water}", "after: spring water, bore: 6 mm}")).assumed
    assert ("first pipe", "bore") not in {(a.part, a.key) for a in given}


def test_ids_come_from_names_or_are_said(reads: Reads) -> None:
    design = reads(("{kind: mug,", "{kind: mug, id: old-cup,"))
    assert design.part("cup").id == "old-cup"
    assert design.part("first pipe").id == "first-pipe"
    assert slug("Behälter Nr. 2") == "behälter-nr-2"


@pytest.mark.parametrize(
    ("typed", "cause"),
    [
        ("left eye wet", Cause("any", 1, (Term("left eye", "wet"),))),
        ("left eye wide wet", Cause("any", 1, (Term("left eye wide", "wet"),))),
        ("left eye not wet", Cause("any", 1, (Term("left eye", "wet", True),))),
        ("left eye wet or left eye wide dry", Cause("any", 1, (Term("left eye", "wet"), Term("left eye wide", "dry")))),
        (
            "left eye wet and left eye wide wet",
            Cause("all", 2, (Term("left eye", "wet"), Term("left eye wide", "wet"))),
        ),
        (
            '"2 of: left eye wet, left eye wide wet, left eye dry"',
            Cause("vote", 2, (Term("left eye", "wet"), Term("left eye wide", "wet"), Term("left eye", "dry"))),
        ),
    ],
)
def test_causes(reads: Reads, typed: str, cause: Cause) -> None:
    assert reads(("cause: left eye wet", f"cause: {typed}")).rows[0].cause == cause


def test_name_that_holds_a_joining_word_is_taken_whole(reads: Reads) -> None:
    cause = "cause: left or right eye wet or left eye wet"
    design = reads(("left eye wide:", "left or right eye:"), ("cause: left eye wet", cause))
    assert design.rows[0].cause == Cause("any", 1, (Term("left or right eye", "wet"), Term("left eye", "wet")))


def test_row_in_full(reads: Reads) -> None:
    row = reads(("{cause: left eye wet, effect: {tap: shut}}", ROW + MESSAGES)).rows[0]
    assert (row.id, row.line, row.lasting, row.effects) == ("leak", 17, 5.0, (("tap", "shut"),))
    assert (row.until, row.rearm_when, row.at_most, row.gap) == ("re-armed", "dry", 240.0, 1200.0)
    assert row.per_day == pytest.approx(9e-3)
    assert row.too_long is not None
    assert (row.too_long.word, row.too_long.until, row.too_long.tell) == ("shut", "re-armed", "news")
    assert (row.by, row.tell) == ("brain one", "news")


def test_messages_and_heartbeats(reads: Reads) -> None:
    design = reads(("effect: {tap: shut}}", "effect: {tap: shut}}" + MESSAGES))
    (news,) = design.messages
    assert (news.priority, news.path, news.unanswered_after, news.then) == ("now", ("brain one", "me"), 2700.0, "you")
    assert (news.heard, news.heard_wet) == ("2026-11-02", None)
    (beat,) = design.heartbeats
    assert (beat.senders, beat.every, beat.missed) == (("brain one",), 900.0, 2)
    assert (beat.path, beat.tell) == (("router",), ("me",))


def test_all_findings_come_at_once_in_the_order_of_the_lines(refuses: Refuses) -> None:
    changes = [("3 bar", "3 L"), ("rim: 10 cm", "rim: 10 m"), ("into: cup", "into: cop"), ("eye wet", "ear wet")]
    findings = refuses(*changes)
    assert [(f.code, f.line) for f in findings] == [("D066", 3), ("D061", 9), ("D053", 10), ("D074", 17)]


def test_limits_are_told_in_the_unit_that_was_typed(refuses: Refuses) -> None:
    # 1e4 Pa and 1e6 Pa over 6894.757 Pa/psi (NIST SP 811) are 1.45 and 145 psi.
    (finding,) = refuses(("3 bar", "300 psi"))
    assert "from 1.45 psi to 145 psi" in finding.what


def test_sound_parts_are_checked_although_others_cannot_be_read(refuses: Refuses) -> None:
    findings = refuses(("rim: 10 cm", "rim: 10 L"), ("effect: {tap: shut}", "effect: {tap: closed}"))
    assert [f.code for f in findings] == ["D066", "D108"]


def test_misspelt_section_is_read_all_the_same(refuses: Refuses) -> None:
    findings = refuses(("eyes:", "eyess:"), ("left eye wide: {on: desk", "left eye wide: {on: dask"))
    assert [f.code for f in findings] == ["D033", "D061"]


def test_part_that_does_not_say_its_kind_is_the_usual_one_of_its_section(toys: Mapping[str, Kind], sound: str) -> None:
    """A second kind of fuse, first in the alphabet, changes neither parts without a kind nor circuits only named."""
    fuse, battery = toys["fuse"], replace(toys["fuse"], word="battery")
    text = sound + "fuses:\n  cellar: {amps: 6 A}\n  attic: {kind: battery}\n"
    both = {**toys, "battery": battery, "fuse": replace(fuse, usual=True)}
    design = read_text(text, "toys.yaml", both)
    assert [design.part(name).kind for name in ("cellar", "attic", "kitchen")] == ["fuse", "battery", "fuse"]
    with pytest.raises(DesignError) as told:
        read_text(text, "toys.yaml", {**toys, "battery": battery})  # none of them is the usual one
    assert "D037" in {finding.code for finding in told.value.findings}


def test_toy_design_has_nothing_to_object_to(reads: Reads, toys: Mapping[str, Kind]) -> None:
    design = reads()
    objections = check(design, toys)
    assert [f.code for f in objections] == [
        "D103",
        "D137",
        "D157",
    ]  # nothing drinks from the cup, or asks the second eye; the tap opens again


@pytest.mark.parametrize("name", ["first_float", "two_tanks", "bin_and_branch", "mixing_day", "wet_floor"])
def test_examples_are_read_and_draw_no_error(repository: Path, name: str) -> None:
    design = read(repository / "examples" / f"{name}.yaml")
    assert len(design.parts) > 10
    assert [f for f in check(design) if f.level == "error"] == []


def test_two_tanks_says_what_its_lines_say(repository: Path) -> None:
    design = read(repository / "examples" / "two_tanks.yaml")
    assert design.zone == "Europe/Lisbon"
    assert design.combination == "any stop wins"
    assert design.part("stop tap")["after"] == "supply"
    assert design.part("riser")["length"] == 9.5
    assert math.isclose(design.part("supply")["temperature"]["summer"], 290.15)
    assert design.rows[0].cause.terms == (
        Term("tray probe", "wet"), Term("study probe", "wet"), Term("shaft probe", "wet"),
    )  # fmt: skip
    assert design.rows[4].cause.terms == (Term("lagoon high", "high"),)
    assert [r.until for r in design.rows[:3]] == ["re-armed", "cause ends", "cause ends"]
    assert design.messages[0].then == "neighbour"


def test_unknown_may_be_written_with_a_capital(repository: Path) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text(encoding="utf-8")
    written = "closes at: unknown"
    assert written in text
    small, large = (
        read_text(text.replace(written, answer), "house.yaml") for answer in (written, "closes at: Unknown")
    )
    assert [(one.part, one.key, one.taken) for one in small.unknowns] == [
        (o.part, o.key, o.taken) for o in large.unknowns
    ]


def test_a_byte_order_mark_before_the_text_is_passed_over(tmp_path: Path) -> None:
    text = Path("examples/first_float.yaml").read_text("utf-8")
    for name, coding in (("with.yaml", "utf-8-sig"), ("without.yaml", "utf-8")):
        (tmp_path / name).write_text(text, encoding=coding)
    assert (tmp_path / "with.yaml").read_bytes()[:3] == b"\xef\xbb\xbf"
    one, other = (read(tmp_path / name) for name in ("with.yaml", "without.yaml"))
    assert (one.text, one.parts, one.rows) == (other.text, other.parts, other.rows)

"""Rows, words and findings: what every face shows."""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read
from dewpond.errors import FINDINGS, FINE, Finding
from dewpond.parts import KINDS
from dewpond.parts.base import REQUIRED
from dewpond.plant import engine
from dewpond.plant.balance import Balance, Product
from dewpond.plant.consequence import TankHarm
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Onset, Scenario
from dewpond.report import story
from dewpond.report.views import answers, cautions, cures, drill, failures, findings, flows, sources
from dewpond.report.views.blocks import Bars, Block, Curves, Fold, Grid, Items, Notice, Text
from dewpond.report.views.drains import Ground
from dewpond.report.views.shown import NOTHING, Shown, clock, count, joined, sentence, times
from dewpond.report.views.study import short, study_report
from dewpond.study import drills
from dewpond.study.beats import Beat
from dewpond.study.flows import FlowRow, Flows
from dewpond.study.outcome import Outcome, Remark, StudyResult
from dewpond.study.remarks import NO_CHECK

Make = Callable[..., Outcome]
GROUND = Ground(frozenset({"shed"}), {})


# --- numbers and words -----------------------------------------------------------------------------------------------


def test_litres_have_two_digits_and_less_than_a_drop_is_nothing(metric: Shown) -> None:
    assert [metric.litres(v) for v in (0.0, 5e-7, 0.0004, 0.03149, 2.4929)] == [
        "nothing", "nothing", "400 mL", "31 L", "2500 L",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("seconds", "who", "told"),
    [
        (0.0, "travelling", "day 1, 08:00"),
        (59.9, "travelling", "day 1, 08:00"),
        (16 * 3600.0, "travelling", "day 2, 00:00"),
        (14 * DAY, "travelling", "day 15, 08:00"),
        (3600.0, "asleep", "day 2, 00:00"),
    ],
)
def test_clock_counts_days_at_midnight(seconds: float, who: str, told: str) -> None:
    assert clock(seconds, who) == told


def test_words_are_joined_counted_and_made_sentences() -> None:
    assert (joined([]), joined(["a"]), joined(["a", "b"]), joined(["a", "b", "c"], "or")) == (
        "",
        "a",
        "a and b",
        "a, b or c",
    )
    assert [times(n) for n in (1, 2)] == ["once", "2 times"]
    assert (count(1, "fault"), count(0, "fault"), count(2, "entry", "entries")) == ("1 fault", "0 faults", "2 entries")
    assert (sentence("it drips"), sentence("Why?"), sentence(" ")) == ("It drips.", "Why?", "")


# --- rows of failures ------------------------------------------------------------------------------------------------


def test_row_counts_noticing_and_stopping_from_the_first_water(outcome: Make, metric: Shown) -> None:
    told = outcome(
        on_floors=0.01, first_water=3600.0, first_noticed=5400.0, first_known=5400.0, stopped=10800.0, reopenings=2
    )
    assert failures.row(told, metric, GROUND) == (
        "10 L",
        NOTHING,
        NOTHING,
        "60 min",
        "30 min",
        "2 h",
        "2 times",
        NOTHING,
    )


def test_row_says_never_only_where_there_was_water(outcome: Make, metric: Shown) -> None:
    assert failures.row(outcome(), metric, GROUND) == ("nothing", *[NOTHING] * 7)
    early = outcome(on_floors=0.01, first_water=600.0, first_noticed=300.0, still_running=True)
    assert failures.row(early, metric, GROUND)[4] == "5 min before, nobody told"
    wet = outcome(on_floors=0.01, first_water=60.0, still_running=True)
    assert failures.row(wet, metric, GROUND)[4:6] == ("never", "never")


def test_row_carries_marks_and_the_tank(outcome: Make, metric: Shown) -> None:
    told = outcome(marks=("doubtful: 3 steps",), tanks=(TankHarm("reef", 33.14, 35.0, 34.0),), return_pump_dry=1.0)
    row = failures.row(told, metric, GROUND)
    assert row[0] == "nothing (doubtful)"
    assert row[-1] == "reef 33.1 to 35 ppt; return pump draws air"


def test_ways_in_which_one_part_fails_alike_are_told_in_one_row() -> None:
    rows = [
        ("box: hangs", "tube: burst", "first hidden", "5 L"),
        ("box: dies", "tube: burst", "first hidden", "5 L"),
        ("box: hangs", "tube: blows off", "first hidden", "5 L"),
        ("box: dies", "tube: blows off", "first hidden", "5 L"),
        ("box: hangs", "tube: weeps", "first hidden", "2 L"),
    ]
    assert failures.merged(rows) == [
        (("box: hangs or dies", "tube: burst or blows off", "first hidden", "5 L"), 4),
        (("box: hangs", "tube: weeps", "first hidden", "2 L"), 1),
    ]


def test_table_leaves_out_columns_that_say_nothing() -> None:
    grid = failures.told_grid("C", ("a", "b", "c"), [("1", NOTHING, "x"), ("2", NOTHING, "y")], (1, 2))
    assert (grid.head, grid.rows, grid.right) == (("a", "c"), (("1", "x"), ("2", "y")), (1,))


def test_worst_comes_first(studied: StudyResult) -> None:
    volumes = [o.told.on_floors for o in failures.singles(studied, "travelling")]
    assert volumes == sorted(volumes, reverse=True)
    assert len(volumes) == 33


def test_shown_pairs_do_more_than_their_faults_add_up_to(studied: StudyResult) -> None:
    bad = failures.bad_pairs(studied)
    lone = {(o.faults[0], o.who): o.told.on_floors for o in studied.failures if len(o.faults) == 1}
    assert 10 < len(bad) < len(failures.pairs(studied))
    assert [added for _, added in bad] == [sum(lone[label, o.who] for label in o.faults) for o, _ in bad]
    assert all(o.told.on_floors > added or o.told.still_running for o, added in bad)
    gains = [o.told.on_floors - added for o, added in bad]
    assert gains == sorted(gains, reverse=True)


def test_bars_say_in_words_what_their_sign_says(studied: StudyResult, metric: Shown) -> None:
    bars = failures.litre_bars("Litres", failures.singles(studied, "travelling"), metric, Ground.under(studied))
    assert bars is not None
    assert {bar.group for bar in bars.bars} == {failures.RUNS_ON, failures.ENDED}
    assert bars.bars[0].label in bars.description
    assert failures.litre_bars("Litres", [], metric, GROUND) is None


# --- findings --------------------------------------------------------------------------------------------------------

REMARKS = {
    "S200": Remark("S200", "warning", ("ball: seeps", "tap: leaks"),
                   {"litres": 0.5, "after": 14 * DAY, "count": 2, "floors": 2}),
    "S201": Remark("S201", "warning", (), {"litres": 0.5, "after": 60.0}),
    "S202": Remark("S202", "warning", ("tub",), {"after": 60.0}),
    "S203": Remark("S203", "warning", ("ball",), {"litres": 0.5}),
    "S204": Remark("S204", "note", ("tube", "ball: seeps"), {"litres": 0.5}),
    "S205": Remark("S205", "warning", ("ball", "closes at"), {"count": 3}),
    "S206": Remark("S206", "warning", ("return pump dry",), {"after": 60.0}),
    "S207": Remark("S207", "warning", ("ball",), {}),
    "S211": Remark("S211", "warning", ("ball",), {}),
    "S212": Remark("S212", "warning", ("ball",), {"said": 5.5e5, "reckoned": 3.7e5}),
    "S214": Remark("S214", "note", ("ball: seeps",), {"litres": 0.09, "flood": 5e-3, "count": 2}),
    "S215": Remark("S215", "warning", ("reef",), {"low": 35.0, "high": 49.6, "after": 14 * DAY}),
    "S216": Remark("S216", "warning", ("ball",), {"count": 1700.0, "litres": 0.3}),
    "S217": Remark("S217", "warning", ("ball",), {"litres": 2.4}),
    "S218": Remark("S218", "warning", ("ball",), {"said": 2.0e5, "reckoned": 3.7e5}),
    "S219": Remark("S219", "warning", ("ball",), {"said": 2.0e5, "reckoned": 3.1e5}),
    "S213": Remark("S213", "warning", ("ball",), {"said": 0.4}),
    "S208": Remark("S208", "note", ("ball: seeps",), {"count": 3, "of": 90}),
    "S210": Remark("S210", "warning", ("ball", "closes at"), {}),
    "S209": Remark("S209", "warning", ("ball: seeps",), {"litres": 9.0, "usual": 0.1, "after": 86400.0, "count": 2}),
    "S230": Remark("S230", "note", ("ball",), {"daily": 0.009, "runs": 50400.0}),
    "S231": Remark("S231", "note", ("tap",), {"needs": 3e4, "makes": 1.1e4, "flow": 1.4e-5}),
    "S232": Remark("S232", "note", ("tap", "ball", "ball: joint blows off"), {"peak": 16e5, "bears": 8.3e5}),
    "S233": Remark("S233", "warning", ("pump", "can", "tub"), {"above": 0.2}),
    "S235": Remark("S235", "note", ("tap", "midnight"), {"has": 0.1, "litres": 0.2}),
    "S234": Remark("S234", "warning", ("ball", "tub"), {"under": 0.12}),
}  # fmt: skip


def test_every_code_of_remarks_has_words_and_they_hold_its_numbers(design: Design, metric: Shown) -> None:
    assert REMARKS.keys() == findings.WORDS.keys()
    for code, remark in REMARKS.items():
        found = findings.of_remark(remark, design, metric)
        assert found.code == code
        assert found.what.endswith(".")
        assert found.remedy.endswith(".")
        for name, value in remark.numbers.items():
            shown = (
                metric.litres(value)
                if name in ("litres", "usual", "least", "flood", "daily", "has")
                else metric.duration(value)
                if name in ("after", "runs")
                else metric.height(value)
                if name in ("above", "under")
                else metric.flow(value)
                if name == "flow"
                else metric.pressure(value)
                if code in ("S212", "S218", "S219", "S231", "S232")
                else metric.salinity(value)
                if code == "S215"
                else f"{100.0 * value:.2g} %"
                if code == "S213"
                else metric.count_of(value)
                if code == "S216"
                else str(value)
            )
            assert shown in found.what, code


def test_shut_off_that_never_rests_for_want_of_a_check_valve_is_told_so(design: Design, metric: Shown) -> None:
    """Not that its float stands half open: a new float or pump would change nothing."""
    remark = REMARKS["S216"]
    usual = findings.of_remark(remark, design, metric)
    found = findings.of_remark(replace(remark, parts=("ball", NO_CHECK)), design, metric)
    assert "float" in usual.what
    assert "no check valve" in found.what
    assert "float" not in found.what + found.remedy
    assert found.remedy.startswith("Put a check valve into the product tube")


@pytest.mark.parametrize(("end", "falls"), [(27.0, True), (34.9, False)])
def test_salinity_that_falls_is_not_answered_with_more_fresh_water(
    design: Design, metric: Shown, end: float, falls: bool
) -> None:
    """A longer run and a fuller reservoir bring fresh water: they mend one that rises, and worsen one that falls."""
    remark = Remark("S215", "warning", ("reef",), {"low": 27.0, "high": 35.0, "after": 14 * DAY, "end": end})
    found = findings.of_remark(remark, design, metric)
    assert ("longer" not in found.remedy and "reservoir must last" not in found.remedy) == falls
    assert ("falls" in found.what) == falls
    assert metric.salinity(end) in found.what


def test_height_that_a_vessel_came_to_between_two_rows_is_in_its_chart(repository: Path, metric: Shown) -> None:
    """A reservoir that is filled over its rim and pumped empty within an hour, and a row each 34 h."""
    plant = lower(read(repository / "examples" / "first_float.yaml"))
    scenario = Scenario("travelling", 14 * DAY, (Onset("float: stuck open", 0.0),))
    trace = engine.run(plant, scenario, rows=10, compiled=True)
    levels, *_ = (block for block in drill.course(plant, trace, metric) if isinstance(block, Curves))
    curve = next(curve for curve in levels.curves if curve.name == "reservoir")
    assert (levels.unit, max(curve.values)) == ("cm", pytest.approx(30.0, abs=0.01))


def test_finding_about_a_part_names_its_section_and_line(design: Design, metric: Shown) -> None:
    found = findings.of_remark(REMARKS["S202"], design, metric)
    assert (found.where, found.line, found.file) == ("water: tub", design.lines["tub"], design.file)
    assert findings.notice(found).where == f"water: tub (line {design.lines['tub']})"


def test_where_a_siphon_runs_it_is_what_is_to_be_mended(design: Design, metric: Shown) -> None:
    for code in ("S201", "S202", "S206"):
        alone = findings.of_remark(REMARKS[code], design, metric)
        found = findings.of_remark(replace(REMARKS[code], parts=(*REMARKS[code].parts, "pump")), design, metric)
        assert "siphon" not in alone.remedy
        assert found.remedy.startswith("Mend the siphon through pump first (S203)")
        assert (found.where, found.what) == (alone.where, alone.what)


def test_water_that_runs_for_ever_has_the_cures_that_fit(repository: Path, metric: Shown) -> None:
    two = read(repository / "examples" / "two_tanks.yaml")

    def cure(*labels: str) -> str:
        return findings.of_remark(replace(REMARKS["S200"], parts=labels), two, metric).remedy.removesuffix(cures.AGAIN)

    line = cure("cell valve: joint weeps, before the valve")
    assert line.startswith("Leaks ahead of the first valve that shuts by itself (cell valve: joint weeps, before the")
    assert "right behind the stop tap" in line
    first = read(repository / "examples" / "first_float.yaml")  # no valve in it shuts by itself
    left = findings.of_remark(replace(REMARKS["S200"], parts=("filters: bowl cracks",)), first, metric)
    assert "a valve that shuts by itself, in the line ahead of them" in left.remedy
    behind = cure("riser: burst, in laundry", "cell valve: joint weeps, behind the valve")  # two valves stand there
    assert behind.startswith("Leaks behind a valve that shuts by itself (2, such as riser: burst, in laundry): ")
    assert "A probe where their water first goes" in behind
    ahead = cure("stop tap: joint weeps, before the valve")
    assert ahead.startswith(
        "Leaks before the first valve of the file (stop tap: joint weeps, before the valve): no valve"
    )
    assert "Only the tap of the house does" in ahead
    assert "a second float" in cure("float: stuck open")
    assert "a second float" in cure("low mark: window fouled, shows low")
    for label in ("reservoir: cracks", "small doser: joint weeps, before the pump"):
        assert f"({label}): nothing automatic holds back" in cure(label)
    assert cure("neighbour: is away") == ""
    both = cure("float: stuck open", "reservoir: cracks")
    assert both == cure("float: stuck open") + cure("reservoir: cracks")


def test_summary_and_finding_count_what_still_runs_alike(
    studied: StudyResult, outcome: Make, design: Design, metric: Shown
) -> None:
    labels = ("ball: seeps", "tap: leaks", "tray: only")
    numbers = {"litres": 0.5, "after": 14 * DAY, "count": 3, "floors": 2}
    found = findings.of_remark(replace(REMARKS["S200"], parts=labels, numbers=numbers), design, metric)
    assert "With 3 single faults water is still running after 14 days" in found.what
    assert "with 2 of them onto a floor" in found.what
    assert found.what.endswith("With 1 it runs into trays or drains only: tray: only.")
    assert "drain takes" not in found.what
    gone = findings.of_remark(
        replace(REMARKS["S200"], parts=labels, numbers=numbers | {"drained": 330.0}), design, metric
    )
    assert "in the worst case 500 L have reached a floor by then and into no drain: ball: seeps" in gone.what
    assert gone.what.endswith(
        "What a floor drain takes, up to 330 m³ with one of them as long as it is clear, is not in that."
    )
    by_floor = numbers | {"least": 0.2, "some": 1}
    ranged = findings.of_remark(replace(REMARKS["S200"], parts=labels, numbers=by_floor), design, metric).what
    assert "with everybody away (with 1 of them only on some of the floors that fit)" in ranged
    assert "in the worst case 200 to 500 L (by how the floor lies) have reached a floor by then" in ranged
    every = findings.of_remark(replace(REMARKS["S200"], numbers=by_floor | {"some": 3}), design, metric).what
    assert "with everybody away (only on some of the floors that fit)" in every
    ended = REMARKS["S214"].numbers | {"least": 5e-3, "drained": 97.0}
    flood = findings.of_remark(replace(REMARKS["S214"], numbers=ended), design, metric).what
    assert "more than 5 L reach a floor and no drain before something ends it" in flood
    assert "with the worst 5 to 90 L (by how the floor lies): ball: seeps." in flood
    assert flood.endswith(
        "What a floor drain takes, up to 97000 L with one of them as long as it is clear, is not in that."
    )
    none = findings.of_remark(replace(REMARKS["S200"], numbers=numbers | {"floors": 0}), design, metric)
    assert "into trays or drains only" in none.what
    wet = {"on_floors": 0.5, "by_place": {"shed": 0.5}}
    rows = [outcome(faults=(label,), first_water=1.0, still_running=True, **wet) for label in labels[:2]]
    tray = outcome(faults=labels[2:], first_water=1.0, still_running=True, by_place={"tray": 0.5})
    for failed, told in (((*rows, tray), True), (tuple(rows), False), ((tray,), True)):
        (text, *_) = short(replace(studied, normal=(), failures=failed), metric)
        assert isinstance(text, Text)
        assert ("With 1 more it is still running at the end, into trays or drains only." in text.text) is told


def test_long_lists_of_faults_are_cut_and_counted(design: Design, metric: Shown) -> None:
    many = replace(REMARKS["S200"], parts=tuple(f"part {n}: leaks" for n in range(9)))
    assert "part 5: leaks and 3 more." in findings.of_remark(many, design, metric).what


def test_warnings_come_before_notes_and_decide_the_exit_code(design: Design, metric: Shown) -> None:
    every = findings.all_findings((), [REMARKS["S204"], REMARKS["S202"]], design, metric)
    assert [f.code for f in every] == ["S202", "S204"]
    assert findings.exit_code(every) == FINDINGS
    assert findings.exit_code(every[1:]) == FINE
    assert findings.exit_code([Finding("D1", "error", "", "", "")]) == FINDINGS


# --- answers, sources, cautions --------------------------------------------------------------------------------------


def test_places_are_not_told_as_parts_that_had_to_act(outcome: Make, repository: Path, metric: Shown) -> None:
    two = read(repository / "examples" / "two_tanks.yaml")
    told = outcome(asked=("laundry", "cabinet tray", "float", "floor drain"), reopenings=1)
    rows = dict(drill.numbers(told, two, metric).rows)
    assert rows["had to act or were looked at"] == "float, floor drain"
    assert rows["started again by itself"] == "once"


def test_table_and_prose_of_a_drill_call_what_did_not_act_the_same(
    outcome: Make, design: Design, metric: Shown
) -> None:
    told = outcome(failed=("probe", "feed valve"), unordered=("feed valve",))
    rows = dict(drill.numbers(told, design, metric).rows)
    for words, name in ((story.STUCK, "probe"), (story.UNORDERED, "feed valve")):
        assert rows[words] == name
        assert sentence(f"{words}: {name}") in story.ending(told, design, metric)


def test_protection_that_acts_while_no_water_gets_out_is_named(
    studied: StudyResult, outcome: Make, design: Design, metric: Shown
) -> None:
    trip = Beat(9.0, "trip", "box orders valve shut, because of mark high", "box")
    dry, wet = outcome(trip, trip._replace(time=99.0)), outcome(trip, first_water=5.0, still_running=True)
    said = f"Acted, and no water got out: {trip.text}. What would have come without it was not tried."
    for told, is_told in ((dry, True), (wet, False), (outcome(), False)):
        assert (said in story.ending(told, design, metric)) is is_told
        assert (dict(drill.numbers(told, design, metric).rows).get(story.HELD) == trip.text) is is_told
    blocks = short(replace(studied, normal=(), failures=(dry, wet)), metric)
    text = Text(
        "Something was stopped before any tank had got more than usual, and no water got out, travelling, with 1 of "
        "the 2 single faults. It was right where a vessel would have run over or a pump drawn air; where a report was "
        "false or power was away, it may starve a tank."
    )
    assert blocks[blocks.index(text) + 1] == Items((f"{trip.text} (ball: stuck open)",))
    many = tuple(replace(dry, told=replace(dry.told, faults=(f"ball: {number}",))) for number in range(4))
    blocks = short(replace(studied, normal=(), failures=(*many, wet)), metric)
    assert Items((f"{trip.text} (4 faults, such as ball: 0)",)) in blocks
    anyway = replace(dry, told=replace(dry.told, faults=()))  # it acts when nothing fails, too
    texts = [
        b.text for b in short(replace(studied, normal=(anyway,), failures=(dry, wet)), metric) if isinstance(b, Text)
    ]
    assert not [text for text in texts if text.startswith("Something was stopped")]
    usual = outcome()
    usual = replace(usual, told=replace(usual.told, faults=(), tanks=(TankHarm("reef", 34.98, 35.0, 35.0),)))
    fresher = replace(dry, told=replace(dry.told, tanks=(TankHarm("reef", 34.9, 35.0, 34.9),)))
    result = replace(studied, normal=(usual,), failures=(fresher, wet))
    assert Text(
        "A protection ended a run that had brought too much, and no water got out, travelling, with 1 of the 2 single "
        "faults. What would have come without it was not tried."
    ) in short(result, metric)


def test_levels_and_volumes_below_resolution_are_nothing(repository: Path) -> None:
    plant = lower(read(repository / "tests" / "study" / "small.yaml"), "winter")
    trace = engine.run(plant, drills.normal("travelling", 3600.0).scenario, rows=3)
    rows = tuple(tuple(v for _ in row) for row, v in zip(trace.row_value, (-8.07e-14, 5e-10, 2e-3), strict=False))
    assert drill.column(replace(trace, row_value=rows), 0) == [0.0, 0.0, 2e-3]


def test_suction_is_explained_where_there_is_some(design: Design, metric: Shown) -> None:
    row = FlowRow("tub", "", 1e-6, 2e4, -8800.0)
    table = Flows("winter", 281.15, (row,), 1e-5, 1e-6, 9e-6, (), (), 3 * DAY)
    grid = flows.flow_grid(table, design, metric)
    assert grid.rows[0][3] == "-88 mbar"
    assert grid.more.startswith("A pressure below 0 is suction")
    assert flows.flow_grid(replace(table, rows=(replace(row, outlet=0.0),)), design, metric).more == ""


def test_titles_name_no_unit_that_a_design_is_not_shown_in(studied: StudyResult) -> None:
    us = replace(studied, design=replace(studied.design, shown_in="US"))
    report = study_report(us)
    said = [word for section in report.sections for word in (section.title, *titles(section.blocks))]
    assert len(said) > 20
    assert [word for word in said if "litre" in word.lower()] == []


def titles(blocks: tuple[Block, ...]) -> Iterator[str]:
    """Headings of tables, charts and folds."""
    for block in blocks:
        if isinstance(block, Grid):
            yield from (block.caption, *block.head)
        elif isinstance(block, Bars | Curves | Fold):
            yield block.title
            yield from titles(block.blocks) if isinstance(block, Fold) else ()


def test_every_figure_that_is_assumed_is_told(design: Design) -> None:
    (text, grid) = answers.assumed_fold(design).blocks
    assert isinstance(text, Text)
    assert isinstance(grid, Grid)
    assert len(grid.rows) == len(design.assumed) > 10


def test_sources_hold_every_default_rate_and_constant_with_a_grade() -> None:
    figures = sources.every_figure()
    stated = [p for k in KINDS.values() for p in k.params if p.source and p.default not in (REQUIRED, None)]
    assert sum(f.kind != "physics" and "how often" not in f.what for f in figures) >= len(stated) > 50
    rates = sum(fault.rate is not None for kind in KINDS.values() for fault in kind.faults)
    assert sum(f.what.startswith("how often: ") for f in figures) == rates > 20
    assert all(f.source and f.grade and f.value for f in figures)
    gravity = next(f for f in figures if "gravity" in f.what)
    assert (gravity.kind, gravity.value, gravity.grade) == ("physics", "9.80665 m/s2", "published")
    guess = next(f for f in figures if f.what.startswith("film: "))
    assert (guess.value, guess.low, guess.high) == ("0.0027 m", "0.001 m", "0.004 m")


def test_no_face_says_a_verdict_word(studied: StudyResult) -> None:
    from dewpond.report import terminal

    said = terminal.render(study_report(studied)).lower()
    assert not [word for word in (" safe ", "leak-proof", "leakproof", "complies", "guarantee") if word in said]


def test_report_warns_of_electricity_codes_and_cutting(studied: StudyResult) -> None:
    texts = [block.text for block in cautions.general(studied.design)]
    assert {cautions.ELECTRICITY, cautions.LOCAL, cautions.CUTTING, cautions.ADVICE} <= set(texts)
    assert cautions.HIGH_PRESSURE not in texts


def test_study_report_says_what_was_tried_and_what_was_not(studied: StudyResult) -> None:
    report = study_report(studied)
    assert [s.key for s in report.sections] == [
        "matters", "cautions", "drawing", "act", "short", "flows", "tanks", "failures", "answers", "stories", "assumed",
        "limits", "kinds",
    ]  # fmt: skip
    by_key = {s.key: s for s in report.sections}
    first = by_key["short"].blocks[0]
    assert isinstance(first, Text)
    assert first.text.startswith("While everybody is travelling (24 h): 17 of 33 single faults put water on a floor.")
    *notices, lines = by_key["act"].blocks
    assert all(isinstance(block, Notice) for block in notices)
    assert isinstance(lines, Grid)
    assert any(isinstance(block, Fold) for block in by_key["stories"].blocks)


# --- water, starts, units --------------------------------------------------------------------------------------------


def test_account_of_water_names_both_sides_and_adds_up_as_shown(metric: Shown) -> None:
    # by hand: 30 + 100 = 20 + 5 + 1 + 2 + 3 + 99 litres
    water = Balance(0.030, 0.100, 0.099, 0.020, 0.005, 0.003, 0.001, 0.002)
    grid, note = drill.balance(water, metric)
    assert isinstance(grid, Grid)
    assert [(row[0], row[2]) for row in grid.rows] == [
        ("came", "30 L"), ("was there", "100 L"), ("went", "20 L"), ("went", "5 L"), ("went", "1 L"), ("went", "2 L"),
        ("is there", "3 L"), ("is there", "99 L"),
    ]  # fmt: skip
    assert isinstance(note, Text)
    assert "do not add up" in note.text


def test_starts_of_a_membrane_are_told_with_what_they_do_to_the_first_litre(metric: Shown) -> None:
    # 30 mL of 240 ppm in a litre of 5 ppm: 5 + 0.03 x 235 = 12; 51 starts in 3 days make 17 a day
    made = Product("unit", 0.0246, 51.0, 0.240, 0.005, True)
    table = Flows("winter", 281.15, (), 1e-5, 1e-6, 9e-6, (), (made,), 3 * DAY)
    text = flows.flow_sentences(table, metric)[-1]
    assert "the first 1 L after a start holds about 12 ppm" in text
    assert "starts about 17 times a day and makes 8.2 L a day" in text
    assert "(15 mL to 50 mL; our own estimate)" in text
    still = replace(table, products=(made._replace(starts=0.0),))
    assert len(flows.flow_sentences(still, metric)) == len(flows.flow_sentences(table, metric)) - 1


def test_words_of_faults_hold_no_quantity_that_one_system_of_units_would_have_to_change() -> None:
    said = [(kind.word, fault.what) for kind in KINDS.values() for fault in kind.faults]
    assert len(said) > 50
    unit = re.compile(r"\d\s?(mm2?|cm|m|L|mL|litres?|bar|mbar|kPa|C|gal|in|ft|psi)\b")
    assert unit.search("about 2 L an hour")
    assert [row for row in said if unit.search(row[1])] == []


def test_tank_that_is_empty_at_the_end_is_told_in_tables(outcome: Make, metric: Shown) -> None:
    assert failures.tank_text(outcome(tanks=(TankHarm("reef", 35.0, 35.0, None),)), metric) == "reef empty"

"""Findings over the whole design, and that every code has a text, a case and a phrase for each role."""

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.design import messages
from dewpond.design.checks import _Checks, check, rings_in
from dewpond.design.desk import did_you_mean, finding, listed, nearest, shown
from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.design.scout import _Asker
from dewpond.errors import DesignError, Finding
from dewpond.parts import KINDS
from dewpond.parts.base import ROLES, Kind, Lowering, Param, Port

TESTS = Path(__file__).resolve().parent


@pytest.fixture
def checks(toys: Mapping[str, Kind], sound: str) -> Callable[..., list[str]]:
    """Codes that checking the sound toy design gives after some texts were exchanged."""

    def with_changes(*changes: tuple[str, str]) -> list[str]:
        text = sound
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        found = check(read_text(text, "toys.yaml", toys), toys)
        # The toy's cup is drunk by nobody, its tap opens again, and its second eye is there for its name only.
        return [
            f.code
            for f in found
            if f.code not in ("D103", "D157") and (f.code, f.where) != ("D137", "eyes: left eye wide")
        ]

    return with_changes


def test_every_text_is_seen_in_some_test() -> None:
    seen = "".join(path.read_text(encoding="utf-8") for path in (TESTS.parent / "bad_designs").glob("*.txt"))
    seen += "".join(path.read_text(encoding="utf-8") for path in TESTS.glob("test_[!c]*.py"))
    seen += "".join(re.findall(r'== \[?"(D\d+)', (TESTS / "test_checks.py").read_text(encoding="utf-8")))
    assert [code for code in messages.TEXTS if code not in seen] == []


def test_codes_are_used_and_stand_in_their_order(package: Path) -> None:
    source = "".join(path.read_text(encoding="utf-8") for path in (package / "design").glob("*.py"))
    unused = [code for code in messages.TEXTS if source.count(f'"{code}"') < 2]
    assert unused == []
    twice = [code for code in messages.TEXTS if len(re.findall(rf'"{code}": (?:error|warning|note)', source)) != 1]
    assert twice == []  # else one text silently takes the place of another
    numbers = [int(code[1:]) for code in messages.TEXTS]
    assert numbers == sorted(numbers)


def test_every_role_has_a_phrase() -> None:
    assert set(messages.ROLES) == set(ROLES)


def test_no_text_gives_a_verdict() -> None:
    for text in messages.TEXTS.values():
        assert not re.search(r"\bsafe|leak-?proof|complies", f"{text.what} {text.remedy}", re.IGNORECASE)


def test_a_kinds_own_check_is_told_with_its_line(toys: Mapping[str, Kind], sound: str) -> None:
    own = Finding("mug-small", "warning", "cup", "It is small.", "Take another.", key="rim")
    kinds = {**toys, "mug": replace(toys["mug"], check=lambda _part: [own])}
    told = [f for f in check(read_text(sound, "toys.yaml", kinds), kinds) if f.code == "mug-small"]
    assert [(f.where, f.file, f.line, f.key) for f in told] == [("line: cup", "toys.yaml", 10, "rim")]


def test_part_with_an_error_of_its_own_is_not_lowered(toys: Mapping[str, Kind], sound: str) -> None:
    def explode(*_words: object) -> None:
        raise AssertionError

    wrong = Finding("mug-wrong", "error", "cup", "It is wrong.", "Take another.")
    kinds = {**toys, "mug": replace(toys["mug"], check=lambda _part: [wrong], store=explode, lower=explode)}  # type: ignore[arg-type]
    assert "mug-wrong" in [f.code for f in check(read_text(sound, "toys.yaml", kinds), kinds)]


def test_nothing_carries_a_row_out(checks: Callable[..., list[str]]) -> None:
    assert checks((", led by: brain one", ""), (", told to: brain one", "")) == ["D124"]
    assert checks((", led by: brain one", ""), ("effect:", "by: brain one, effect:")) == []


def test_design_without_a_supply(checks: Callable[..., list[str]], sound: str) -> None:
    cut = sound[sound.index("spring water:") : sound.index("boards:")]
    water = sound[sound.index("  first pipe:") : sound.index("  cup:")]
    row = sound[sound.index("matrix:") :]
    assert checks((cut, ""), (water, ""), (row, "")) == ["D120", "D102", "D137"]


def test_double_drivers_need_a_declared_combination(checks: Callable[..., list[str]]) -> None:
    other = ("brain one: {", "brain two: {}\n  brain one: {")
    row = ("effect:", "by: brain two, effect:")
    assert checks(other, row) == ["D105"]
    assert checks(other, row, ("format: 1", "format: 1\ncombination: any stop wins")) == []


def test_parts_that_have_their_water_from_one_outlet_are_counted(toys: Mapping[str, Kind], sound: str) -> None:
    """By hand: the tap has one outlet; the toy fork has as many as it says; a blind one has none."""
    fork = replace(
        toys["pipe"], word="fork", params=(*toys["pipe"].params, Param("prongs", "count", "How many.", 2)),
        ports=(Port("in"), Port("out", follow="prongs")),
    )  # fmt: skip
    kinds = {**toys, "fork": fork, "blind": replace(toys["pipe"], word="blind", ports=(Port("in"),))}

    def codes(kind: str, *followed: str) -> list[tuple[str, int | None, str | None]]:
        lines = f"  fork: {{kind: {kind}, after: tap}}\n" + "".join(
            f"  end {number}: {{kind: open end, after: {name}, into: cup}}\n" for number, name in enumerate(followed)
        )
        text = sound.replace("  cup:", f"{lines}  cup:").replace("after: tap, into: cup", "after: fork, into: cup")
        try:
            found = check(read_text(text, "toys.yaml", kinds), kinds)
        except DesignError as error:
            found = error.findings
        return [(f.code, f.line, f.key) for f in found if f.code not in ("D103", "D137", "D157")]

    assert codes("pipe") == []
    assert codes("pipe", "fork") == [("D153", 11, "after")]
    assert codes("fork, prongs: 2") == [("D154", 10, None)]
    assert [code for code, _, _ in codes("fork, prongs: 2")] == ["D154"]
    assert codes("fork, prongs: 2", "fork") == []
    assert codes("fork, prongs: 3", "fork") == []
    assert codes("fork, prongs: 2", "fork", "fork", "fork") == [("D153", 12, "after"), ("D153", 13, "after")]
    assert codes("pipe", "tap") == [("D153", 11, "after")]
    assert codes("pipe", "spring water") == [("D153", 11, "after")]
    assert codes("blind") == [("D062", 9, "after")]


def rings_by_hand(graph: Mapping[int, set[int]]) -> bool:
    """True if there is a ring: by taking away, again and again, whatever leads nowhere."""
    left = {name: set(following) for name, following in graph.items()}
    while True:
        ends = [name for name, following in left.items() if not following & left.keys()]
        if not ends:
            return bool(left)
        for name in ends:
            del left[name]


@given(st.dictionaries(st.integers(0, 7), st.sets(st.integers(0, 7), max_size=3), max_size=8))
def test_rings_are_found_just_where_peeling_leaves_some(graph: dict[int, set[int]]) -> None:
    named = {str(name): {str(f) for f in following} for name, following in graph.items()}
    rings = list(rings_in(named))
    assert bool(rings) == rings_by_hand(graph)
    for ring in rings:
        assert all(following in named[name] for name, following in zip(ring, [*ring[1:], ring[0]], strict=True))


def test_words_for_messages() -> None:
    assert nearest("flaot", ["float", "riser"]) == "float"
    assert nearest("Tray", ["tray"]) == "tray"
    assert nearest("xyz", ["float"]) == ""
    assert did_you_mean("flaot", ["float"]) == 'Did you mean "float"? '
    assert shown("a\n\tb\0" + "c" * 80) == "a b " + "c" * 53 + "..."
    assert listed("abc", 2) == "a, b and 1 more"
    with pytest.raises(KeyError):
        finding("D041", "here", "file.yaml")


def test_checking_twice_says_the_same(repository: Path) -> None:
    design: Design = read(repository / "examples" / "first_float.yaml")
    assert check(design) == check(design)
    assert {"D112", "D113"} <= {f.code for f in check(design)}


def test_pause_that_stops_a_pump_is_no_stop_by_a_sensor(repository: Path) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text(encoding="utf-8")
    pause = "work:\n  feeding: {kind: pause}\n\nmatrix:\n  - {cause: feeding begun, effect: {top-off pump: stopped}}\n"
    codes = {f.code for f in check(read_text(text.replace("matrix:\n", pause), "paused.yaml"))}
    assert codes == {"D112", "D113", "D165", "D181", "D204"}


def test_scout_answers_in_the_kind_of_value_that_is_asked_for() -> None:
    asked = {name: method for name, method in vars(Lowering).items() if not name.startswith("_") and callable(method)}
    assert len(asked) > 40
    not_numbers = [n for n, method in asked.items() if method.__annotations__["return"] not in ("int", "None")]
    assert "vessel" in not_numbers
    assert [name for name in not_numbers if name not in vars(_Asker)] == []


@pytest.mark.parametrize("name", ["first_float", "two_tanks", "bin_and_branch", "mixing_day", "wet_floor"])
def test_no_part_of_an_example_is_passed_over(repository: Path, name: str) -> None:
    checking = _Checks(read(repository / "examples" / f"{name}.yaml"), KINDS, None)
    checking.all()
    assert checking.unsound == set()


# -- what the tank can bear; figures worked out by hand beside each ----------------------------------------------------
def of_two_tanks(repository: Path, *changes: tuple[str, str]) -> list[Finding]:
    text = (repository / "examples" / "two_tanks.yaml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return list(check(read_text(text, "two.yaml")))


def test_litres_millimetres_and_salinity_of_a_run_are_those_worked_out_by_hand(repository: Path) -> None:
    # 60 L/h for 40 min is 40 L. Chamber 0.06 m2 up to the crest at 260 mm takes 1.2 L, the whole 0.36 m2 the other
    # 38.8 L in 107.8 mm: 127.8 mm in all. Water: 410 L + 0.30 m2 x 260 mm + 0.06 m2 x 240 mm = 502.4 L; 40 / 542.4 =
    # 7.4 %. The stop adds 1.2 L + 14.4 L, and 51.6 L have room: over the rim. Marks 8 mm apart in the chamber: 0.48 L,
    # 29 s. The day's 9 L are through after 9 min.
    found, early = of_two_tanks(repository, ("at most: 4 min a run", "at most: 40 min a run"))
    assert (found.code, found.line) == ("D127", 70)
    assert (early.code, early.what[:30]) == ("D231", "9 L are through after 9 min, a")
    for words in ("40 min puts 40 L", "rises by 13 cm", "when next the return pump stops", "falls by 7.4 %"):
        assert words in found.what
    assert "58 s" in found.remedy


LIFTED = """
  drum:  {kind: reservoir, in: living room, footprint: 30 cm x 30 cm, rim: 600 mm, starts at: 400 mm, overflow: none}
  lift:  {kind: top-off pump, from: drum, to: upper, flow: 60 L/h, outlet: 58 cm above floor, driven by: small box}
  upper: {kind: reservoir, in: living room, footprint: 50 cm x 20 cm, rim: 300 mm, starts at: 265 mm, overflow: none}

sensors:
  upper mark: {kind: level switch, in: upper, calls at: 100 mm, is satisfied at: 150 mm, wired to: small box,
               contact: closes when low, read as low when: closed}
"""


def test_run_of_a_pump_begins_no_higher_than_where_its_switch_lets_it_rest(repository: Path) -> None:
    """The file has the vessel nearly full at first, at 265 mm; the switch lets the pump rest at 150 mm."""
    text = (repository / "examples" / "first_float.yaml").read_text().replace("\nsensors:\n", LIFTED)
    for minutes, told in ((14, ""), (20, '20 min puts 20 L into "upper": from 15 cm, ')):
        row = f"  - {{cause: upper mark low, effect: {{lift: running}}, at most: {minutes} min a run}}\n"
        found = check(read_text(text.replace("\nmatrix:\n", f"\nmatrix:\n{row}"), "lifted.yaml"))
        # by hand: 20 L in 0.1 m2 are 20 cm, 35 cm in all; 14 L come to 29 cm
        assert [told in f.what for f in found if f.code == "D127"] == [True] * bool(told)


def test_pump_is_weighed_against_all_water_that_circulates(repository: Path) -> None:
    # 1.3 of 35 ppt in 502.4 L: 502.4 x 1.3 / 33.7 = 19.4 L, which 60 L/h gives in 19.4 min, 120 L/h in 9.7 min.
    assert of_two_tanks(repository, ("flow: 60 L/h", "flow: 115 L/h")) == []
    (found,) = of_two_tanks(repository, ("flow: 60 L/h", "flow: 120 L/h"))
    # Its longest run, 4 min, gives 8 L: 35 x 502.4 / 510.4 = 34.5 ppt.
    assert (found.code, found.key) == ("D140", "flow")
    assert "500 L of water) from 35 ppt to 34.5 ppt" in found.what
    assert "it takes 9.7 min until the salinity is 33.7 ppt" in found.what


def test_day_is_weighed_as_well(repository: Path) -> None:
    codes = [f.code for f in of_two_tanks(repository, ("per day: 9 L", "per day: 20 L"))]
    assert codes == ["D128"]
    assert [f.code for f in of_two_tanks(repository, ("per day: 9 L", "per day: 19 L"))] == []
    # A covered tank of 0.72 m2 loses 0.36 L at least; the sump's own evaporation is not counted.
    assert [f.code for f in of_two_tanks(repository, ("per day: 9 L", "per day: 0.35 L"))] == ["D129"]
    assert [f.code for f in of_two_tanks(repository, ("per day: 9 L", "per day: 0.37 L"))] == ["D231"]


def test_fresh_water_tank_has_no_salinity_to_lose(repository: Path) -> None:
    fresh = ("salinity: 35 ppt", "salinity: 0 ppt")
    assert of_two_tanks(repository, fresh, ("per day: 9 L", "per day: 200 L")) == []
    found, _ = of_two_tanks(repository, fresh, ("at most: 4 min a run", "at most: 40 min a run"))
    assert found.code == "D127"
    assert "salinity" not in found.what


def test_part_that_cannot_be_weighed_leaves_no_vessel_without_use(repository: Path) -> None:
    findings = of_two_tanks(repository, ("volume: 75 L", "volume: 750 L"))
    assert [f.code for f in findings] == ["tank-depth"]


def test_section_that_is_missing_is_told_once(repository: Path) -> None:
    text = (repository / "examples" / "two_tanks.yaml").read_text(encoding="utf-8")
    for section in ("supply", "places", "water", "sensors", "controllers", "messages"):
        without = re.sub(rf"(?ms)^{section}:.*?(?=^\S)", "", text)
        assert without != text
        with pytest.raises(DesignError) as caught:
            read_text(without, "without.yaml")
        findings = caught.value.findings
        assert [(f.code, f.key) for f in findings if f.level == "error"] == [("D047", section)]


@pytest.mark.parametrize(
    ("outlet", "reservoir", "vent", "way"),
    [  # water in the sump: 30 cm above the floor, 35.5 cm when the return pump stops; in the reservoir 2 to 26.5 cm
        ("33 cm", "0 cm", "absent", 'from "sump" back into "reservoir".'),
        ("33 cm", "40 cm", "absent", 'from "reservoir" on into "sump".'),
        ("33 cm", "20 cm", "absent", 'while "reservoir" is full, back while the water in "sump" stands higher.'),
        ("33 cm", "0 cm", "present", ""),
        ("36 cm", "0 cm", "absent", ""),
        ("36 cm", "20 cm", "absent", ""),
    ],
)
def test_outlet_under_the_highest_water_is_told_with_the_way_the_water_runs(
    repository: Path, outlet: str, reservoir: str, vent: str, way: str
) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    text = text.replace("outlet: 42 cm above floor", f"outlet: {outlet} above floor, vent hole above the water: {vent}")
    text = text.replace("rim: 300 mm,", f"rim: 300 mm, bottom: {reservoir} above floor,")
    told = [one for one in check(read_text(text, "house.yaml")) if one.code == "D138"]
    assert len(told) == (1 if way else 0)
    for one in told:
        assert 'stands 25 cm above the bottom of "sump"' in one.what
        assert "the highest water there, 27.5 cm, when the return pump stops" in one.what
        assert one.what.endswith(way)
        assert one.line == 1 + text[: text.index("outlet:")].count("\n")


def test_heights_of_an_outlet_under_water_are_told_in_the_units_of_the_file(repository: Path) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8").replace("shown in: metric", "shown in: US")
    text = text.replace("outlet: 42 cm above floor", "outlet: 13 in above floor")
    told = [one for one in check(read_text(text, "house.yaml")) if one.code == "D138"]
    assert ["10.8 in" in one.what for one in told] == [True]


LIMITED = "effect: {top-off pump: running}, until: cause ends, at most: 3 min"
HEARD = "\nmessages:\n  note: {priority: today, path: [small box, keeper]}\n"


@pytest.mark.parametrize(
    ("more", "messages", "told"),
    [
        ("", HEARD, ["it rests until its cause ends, and may run again"]),
        (", when a run is too long: {effect: stopped, until: cause ends}", HEARD, ["it rests until its cause ends"]),
        (", when a run is too long: {effect: stopped}", HEARD, ["it stays stopped until somebody re-arms it by hand"]),
        (", when a run is too long: {effect: stopped, tell: note}", HEARD, []),
        ("", "", []),
    ],
)
def test_run_that_its_limit_ends_unseen_is_told_where_somebody_could_be(
    repository: Path, more: str, messages: str, told: list[str]
) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    text = text.replace("effect: {top-off pump: running}, until: cause ends", LIMITED + more) + messages
    found = [one for one in check(read_text(text, "house.yaml")) if one.code == "D139"]
    assert [words in one.what for words, one in zip(told, found, strict=True)] == [True] * len(told)
    assert {one.level for one in found} <= {"note"}


@pytest.mark.parametrize(
    ("limit", "code", "figures"),
    [  # 300 L/h into some 250 L of 35 ppt: the water bears 250 x 1.3 / 33.7 = about 9.6 L, or 2 min
        ("", "D126", "If it runs on, it takes no longer than"),
        (", at most: 1 h", "D126", "If it runs on, it takes no longer than"),
        (", at most: 30 s", "D140", "A run that reaches `at most: 30 s` lowers the salinity"),
    ],
)
def test_strong_pump_is_told_with_the_limit_of_the_rows_that_run_it(
    repository: Path, limit: str, code: str, figures: str
) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8").replace("flow: 50 L/h", "flow: 300 L/h")
    text = text.replace("until: cause ends}", f"until: cause ends{limit}}}")
    found = [one for one in check(read_text(text, "house.yaml")) if one.code in ("D126", "D140")]
    assert [one.code for one in found] == [code]
    assert figures in found[0].what
    assert "from 35 ppt to 33.7 ppt" in found[0].what or "until the salinity is 33.7 ppt" in found[0].what


@pytest.mark.parametrize(
    ("claim", "found"),
    [
        ("water from: end, is stopped by: tap", []),  # over the rim of what it fills
        ("water in: desk, is stopped by: [tap]", []),
        ("water from: first pipe, is stopped by: tap", ["D243"]),  # it does not leak
        ("water from: end, is stopped by: first pipe", ["D242"]),
    ],
)
def test_claims_speak_of_water_that_can_get_out_and_of_what_a_probe_shuts(
    checks: Callable[..., list[str]], claim: str, found: list[str]
) -> None:
    assert checks(("matrix:", f"claims:\n  - {{{claim}}}\nmatrix:")) == found

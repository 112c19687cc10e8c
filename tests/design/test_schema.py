"""The schema for editors, tried with a small validator of our own (no validator library is among our packages).

The validator knows only the keywords that the schema uses and stops at any other, so that it cannot pass over one.
"""

import json
import re
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest
import yaml

from dewpond.design.schema import DRAFT, json_schema
from dewpond.parts import KINDS
from dewpond.parts.base import REQUIRED, Kind

FOLDER = Path(__file__).resolve().parent.parent / "bad_designs"
TYPES = {"object": dict, "array": list, "string": str, "integer": int, "number": (int, float), "null": type(None)}
IGNORED = {"$schema", "$defs", "title", "description", "examples", "format", "then", "else"}


class Spot(NamedTuple):
    """A value, the schema it is held against, the schema as a whole, and the place for messages."""

    value: Any
    schema: Mapping[str, Any]
    root: Mapping[str, Any]
    where: str

    def inner(self, key: str, schema: Mapping[str, Any]) -> Iterator[str]:
        return objections(self.value[key], schema, self.root, f"{self.where}.{key}")


def objections(value: Any, schema: Mapping[str, Any], root: Mapping[str, Any], where: str = "$") -> Iterator[str]:
    """What the schema has against a value, as JSON Schema 2020-12 has it."""
    for word, wanted in schema.items():
        if word not in IGNORED:
            yield from KEYWORDS[word](Spot(value, schema, root, where), wanted)


def valid(value: Any, schema: Mapping[str, Any], root: Mapping[str, Any]) -> bool:
    return not any(True for _ in objections(value, schema, root))


def keys_of(spot: Spot) -> list[str]:
    return list(spot.value) if isinstance(spot.value, dict) else []


def _type(spot: Spot, wanted: Any) -> Iterator[str]:
    names = [wanted] if isinstance(wanted, str) else wanted
    if not any(isinstance(spot.value, TYPES[name]) for name in names):
        yield f"{spot.where}: not {wanted}"


def _properties(spot: Spot, wanted: Any) -> Iterator[str]:
    for key in keys_of(spot):
        if key in wanted:
            yield from spot.inner(key, wanted[key])


def _pattern_properties(spot: Spot, wanted: Any) -> Iterator[str]:
    for key in keys_of(spot):
        for pattern, form in wanted.items():
            if re.search(pattern, key):
                yield from spot.inner(key, form)


def _additional(spot: Spot, wanted: Any) -> Iterator[str]:
    patterns = spot.schema.get("patternProperties", {})
    for key in keys_of(spot):
        if key in spot.schema.get("properties", {}) or any(re.search(pattern, key) for pattern in patterns):
            continue
        if wanted is False:
            yield f"{spot.where}: unknown key {key}"
        else:
            yield from spot.inner(key, wanted)


def _if(spot: Spot, wanted: Any) -> Iterator[str]:
    branch = spot.schema.get("then" if valid(spot.value, wanted, spot.root) else "else")
    if branch is not None:
        yield from objections(spot.value, branch, spot.root, spot.where)


def _ref(spot: Spot, wanted: str) -> Iterator[str]:
    yield from objections(spot.value, spot.root["$defs"][wanted.removeprefix("#/$defs/")], spot.root, spot.where)


def _all_of(spot: Spot, wanted: Any) -> Iterator[str]:
    for form in wanted:
        yield from objections(spot.value, form, spot.root, spot.where)


def _any_of(spot: Spot, wanted: Any) -> Iterator[str]:
    if not any(valid(spot.value, form, spot.root) for form in wanted):
        yield f"{spot.where}: fits no form"


def _items(spot: Spot, wanted: Any) -> Iterator[str]:
    for item in spot.value if isinstance(spot.value, list) else ():
        yield from objections(item, wanted, spot.root, f"{spot.where}[]")


def _required(spot: Spot, wanted: Any) -> Iterator[str]:
    if isinstance(spot.value, dict):
        yield from (f"{spot.where}: lacks {key}" for key in wanted if key not in spot.value)


def told_unless(holds: Callable[[Any, Any], bool], words: str, kinds: tuple[type, ...] = (object,)) -> Any:
    """A keyword that holds or not, for values of those types only."""

    def keyword(spot: Spot, wanted: Any) -> list[str]:
        sound = not isinstance(spot.value, kinds) or holds(spot.value, wanted)
        return [] if sound else [f"{spot.where}: {words} {wanted}"]

    return keyword


KEYWORDS: dict[str, Any] = {
    "type": _type,
    "properties": _properties,
    "patternProperties": _pattern_properties,
    "additionalProperties": _additional,
    "if": _if,
    "$ref": _ref,
    "allOf": _all_of,
    "anyOf": _any_of,
    "items": _items,
    "required": _required,
    "const": told_unless(lambda value, wanted: bool(value == wanted), "not"),
    "enum": told_unless(lambda value, wanted: value in wanted, "none of"),
    "pattern": told_unless(lambda value, wanted: bool(re.search(wanted, value)), "not like", (str,)),
    "minLength": told_unless(lambda value, wanted: len(value) >= wanted, "shorter than", (str,)),
    "minimum": told_unless(lambda value, wanted: bool(value >= wanted), "below", (int, float)),
    "maximum": told_unless(lambda value, wanted: bool(value <= wanted), "above", (int, float)),
}


class Core(yaml.SafeLoader):
    """Reads plain values as the core schema of YAML 1.2 does, which editors follow: no dates, no yes and no."""


Core.yaml_implicit_resolvers = {}
Core.add_implicit_resolver("tag:yaml.org,2002:int", re.compile(r"[-+]?[0-9]+$"), [*"-+0123456789"])
Core.add_implicit_resolver("tag:yaml.org,2002:null", re.compile(r"(~|null|)$"), ["~", "n", ""])


def as_editors_read(path: Path) -> Any:
    return yaml.load(path.read_text(encoding="utf-8"), Loader=Core)


@cache
def schema_of_all() -> dict[str, Any]:
    """The schema of every kind; no test changes it."""
    return json_schema()


def told(path: Path) -> list[str]:
    schema = schema_of_all()
    return list(objections(as_editors_read(path), schema, schema))


def test_validator_objects_where_the_keywords_say_so() -> None:
    form = {"type": "object", "properties": {"a": {"enum": ["x"]}}, "required": ["a"], "additionalProperties": False}
    assert list(objections({"a": "x"}, form, form)) == []
    assert list(objections({"b": 1}, form, form)) == ["$: lacks a", "$: unknown key b"]
    assert list(objections({"a": "y"}, form, form)) == ["$.a: none of ['x']"]
    choice = {"if": {"required": ["a"]}, "then": {"required": ["b"]}, "else": {"required": ["c"]}}
    assert [valid(v, choice, choice) for v in ({"a": 1}, {"a": 1, "b": 1}, {"c": 1}, {})] == [False, True, True, False]
    with pytest.raises(KeyError):
        list(objections(1, {"multipleOf": 2}, {}))


@pytest.mark.parametrize("name", ["first_float", "two_tanks", "bin_and_branch", "mixing_day", "wet_floor"])
def test_schema_accepts_the_examples(repository: Path, name: str) -> None:
    assert told(repository / "examples" / f"{name}.yaml") == []


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.word)
def test_schema_accepts_the_example_of_each_kind(kind: Kind) -> None:
    schema = schema_of_all()
    (keys,) = yaml.load(kind.example, Loader=Core).values()
    assert list(objections(keys, {"$ref": f"#/$defs/{kind.word}"}, schema)) == []


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "objection"),
    [
        ("a_list", "$: not object"),
        ("format_missing", "lacks format"),
        ("format_newer", "$.format: not 1"),
        ("section_unknown", "unknown key sensor"),
        ("shown_in_unknown", "$.shown in"),
        ("section_is_a_list", "$.people: not"),
        ("kind_unknown", "$.water.float.kind: none of"),
        ("kind_of_another_section", "$.controllers.spare.kind: none of"),
        ("kind_not_said", "$.water.stop tap: lacks kind"),
        ("part_without_keys", "$.water.stop tap: not object"),
        ("key_unknown", "$.water.float: unknown key quiet shut at"),
        ("key_missing", "$.places.laundry: lacks floor"),
        ("key_inside_missing", "$.supply.temperature: lacks summer"),
        ("list_where_a_word_is_wanted", "$.places.laundry.floor: none of"),
        ("word_where_keys_are_wanted", "$.supply.temperature: not object"),
        ("unit_missing", "$.water.riser.length: not string"),
        ("not_a_number", "$.water.riser.length: not like"),
        ("word_unknown", "$.places.study.floor: none of"),
        ("count_negative", "$.water.riser.tube ends: below 0"),
        ("date_not_iso", "seen to work with purified water: fits no form"),
        ("unknown_not_allowed", "$.water.riser.length: not like"),
        ("matrix_is_no_list", "$.matrix: not"),
        ("row_key_unknown", "unknown key lastig"),
        ("effect_is_a_word", "effect: not object"),
        ("claims_are_no_list", "$.claims: not"),
        ("claim_key_unknown", "unknown key water form"),
        ("claim_of_a_part_and_a_place", "fits no form"),
        ("message_key_missing", "$.messages.leak message: lacks priority"),
        ("floors_are_a_list", "$.floors: not"),
        ("floor_of_no_place", "$.floors.laundry: not"),
        ("floor_without_an_outline", "$.floors.study: unknown key outlin"),
        ("floor_without_an_outline", "$.floors.laundry: lacks outline"),
        ("floor_spots_unreadable", "$.floors.study.spots: not"),
        ("floor_spots_unreadable", "$.floors.laundry.spots.low probe: fits no form"),
        ("floor_readings_unreadable", "$.floors.study.readings[]: fits no form"),
    ],
)
def test_schema_refuses_bad_designs_where_a_schema_can(name: str, objection: str) -> None:
    found = told(FOLDER / f"{name}.yaml")
    assert any(objection in text for text in found), found


@pytest.mark.parametrize(
    ("reading", "accepted"),
    [
        ("{by: water tube, at: 1 m x 2 m, height: 3 mm}", True),
        ("{by: batten, from: 1 m x 2 m, to: 2 m x 2 m, rises: -3 mm, within: 0.5 mm}", True),
        ("{by: pour, at: 1 m x 2 m, poured: 1 L, outline: [0 m x 1 m, 2 m x 1 m, 1 m x 3 m]}", True),
        ("{by: spirit level, at: 1 m x 2 m, height: 3 mm}", False),
        ("{at: 1 m x 2 m, height: 3 mm}", False),
        ("{by: water tube, at: 1 m x 2 m}", False),
        ("{by: water tube, at: 1 m x 2 m, height: 3 mm, angle: 0.1 deg}", False),
        ("{by: cup, at: 1 m x 2 m, poured: 0.2 L, height: 3 mm}", False),
    ],
)
def test_schema_tells_readings_apart_by_what_they_were_made_with(reading: str, accepted: bool) -> None:
    schema = schema_of_all()
    plan = schema["properties"]["floors"]["additionalProperties"]["properties"]["readings"]
    found = list(objections([yaml.load(reading, Loader=Core)], plan, schema))
    assert (found == []) == accepted, found


def test_schema_describes_every_key_of_every_kind() -> None:
    schema = schema_of_all()
    assert schema["$schema"] == DRAFT
    assert set(schema["$defs"]) == set(KINDS)
    for word, kind in KINDS.items():
        keys = schema["$defs"][word]
        assert set(keys["properties"]) == {param.key for param in kind.params} | {"kind", "id"}
        assert keys["required"] == [param.key for param in kind.params if param.default is REQUIRED]
        for param in kind.params:
            assert param.help in keys["properties"][param.key]["description"]


def test_schema_is_plain_json_and_names_no_host_but_the_draft() -> None:
    text = json.dumps(schema_of_all())
    assert json.loads(text) == json_schema()
    assert text.count("://") == 1


def test_schema_knows_a_kind_that_was_added(toys: Mapping[str, Kind], sound: str) -> None:
    schema = json_schema(toys)
    assert list(objections(yaml.load(sound, Loader=Core), schema, schema)) == []
    wrong = yaml.load(sound.replace("rim: 10 cm", "rym: 10 cm"), Loader=Core)
    assert list(objections(wrong, schema, schema)) == ["$.line.cup: lacks rim", "$.line.cup: unknown key rym"]

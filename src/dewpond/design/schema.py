"""The JSON Schema of design files, for editors that complete and check while one types. Made from the declarations.

It says less than the reader: names, ranges in any unit and what hangs together across keys are left to `check`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from dewpond import units
from dewpond.design import messages as m
from dewpond.design import messages_floors as floor_words
from dewpond.design.claims import CLAIM_PARAMS, WATER_FROM, WATER_IN
from dewpond.design.floors import BY, PLAN_PARAMS, READINGS, SPOT
from dewpond.design.reader import FORMAT, HEAD, is_single, sections_of, usual_kind
from dewpond.design.rows import HEARTBEAT_PARAMS, MESSAGE_PARAMS, ROW_PARAMS, UNANSWERED
from dewpond.design.showing import allowed, example, made_up
from dewpond.errors import UnitError
from dewpond.parts import KINDS
from dewpond.parts.base import REQUIRED, Kind, Param
from dewpond.vocabulary import QUANTITIES, Word

DRAFT: Final = "https://json-schema.org/draft/2020-12/schema"
_NAME: Final = {"type": "string", "minLength": 1}
_ID: Final = Param("id", "text", m.SCHEMA_ID, None)
# A time as the reader takes it: hours and minutes, or with am and pm.
_HALF: Final = r" ?[aApP]\.?[mM]\.?"
_TIME: Final = {"type": "string", "pattern": rf"^[0-9]{{1,2}}(:[0-9]{{2}}(:[0-9]{{2}})?({_HALF})?|{_HALF})$"}
_DATE: Final = {"type": "string", "format": "date", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}
# A number, in figures or as a typographic fraction, stands somewhere in every quantity.
_QUANTITY: Final = {"type": "string", "pattern": "[0-9¼½¾⅓⅔⅛⅜⅝⅞]"}


def json_schema(kinds: Mapping[str, Kind] = KINDS) -> dict[str, Any]:
    """The schema, draft 2020-12, as plain dictionaries ready for json.dumps."""
    sections = sections_of(kinds)
    properties: dict[str, Any] = {"format": {"const": FORMAT, "description": m.SCHEMA_FORMAT}}
    properties |= {param.key: _param(param) for param in HEAD}
    for section, own in sections.items():
        if is_single(own):
            properties[section] = _part(own)
        else:
            names = {"type": ["object", "null"], "additionalProperties": _part(own)}
            properties[section] = names | {"description": m.SCHEMA_SECTION.format(section=section)}
    properties["floors"] = {
        "type": ["object", "null"],
        "description": floor_words.SCHEMA_FLOORS,
        "additionalProperties": _plan(),
    }
    properties["matrix"] = {"type": ["array", "null"], "description": m.SCHEMA_MATRIX, "items": _row()}
    properties["claims"] = {"type": ["array", "null"], "description": m.SCHEMA_CLAIMS, "items": _claim()}
    properties["messages"] = {
        "type": ["object", "null"],
        "description": m.SCHEMA_MESSAGES,
        "additionalProperties": {"if": {"required": ["from"]}, "then": _heartbeat(), "else": _message()},
    }
    return {
        "$schema": DRAFT,
        "title": m.SCHEMA_TITLE,
        "type": "object",
        "properties": properties,
        "required": ["format"],
        "additionalProperties": False,
        "$defs": {kind.word: _kind(kind) for kind in kinds.values()},
    }


# -- parts -------------------------------------------------------------------------------------------------------------
def _part(kinds: Mapping[str, Kind]) -> dict[str, Any]:
    """One part of a section: the keys it may have follow from its kind."""
    usual = usual_kind(kinds.values())
    words: dict[str, Any] = {"enum": list(kinds), "description": m.SCHEMA_KIND}
    choices = []
    for word in kinds:
        condition: dict[str, Any] = {"properties": {"kind": {"const": word}}}
        if usual is None or word != usual.word:
            condition["required"] = ["kind"]
        choices.append({"if": condition, "then": {"$ref": f"#/$defs/{word}"}})
    required = [] if usual else ["kind"]
    return {
        "type": "object" if required or _must_give(usual) else ["object", "null"],
        "properties": {"kind": words},
        "required": required,
        "allOf": choices,
    }


def _must_give(kind: Kind | None) -> bool:
    return kind is not None and any(param.default is REQUIRED for param in kind.params)


def _kind(kind: Kind) -> dict[str, Any]:
    keys = _object(kind.params, f"{kind.summary} {kind.fails}", kind.example)
    keys["properties"] |= {"kind": {"const": kind.word}, "id": _param(_ID, "part: {id: big-sump}")}
    return keys


# -- floors ------------------------------------------------------------------------------------------------------------
def _plan() -> dict[str, Any]:
    plan = _object(PLAN_PARAMS, floor_words.SCHEMA_PLAN, floor_words.EXAMPLE_PLAN)
    where = {"anyOf": [_param(SPOT), {"type": "array", "items": _param(SPOT)}]}
    spots = {"type": ["object", "null"], "description": floor_words.SCHEMA_SPOTS, "additionalProperties": where}
    readings = {
        "type": ["array", "null"],
        "description": floor_words.SCHEMA_READINGS,
        "items": {"anyOf": [_reading(by) for by in READINGS]},
    }
    plan["properties"] |= {"spots": spots, "readings": readings}
    return plan


def _reading(by: str) -> dict[str, Any]:
    reading = _object(READINGS[by])
    reading["properties"][BY] = {"const": by, "description": floor_words.SCHEMA_BY}
    return reading | {"required": [BY, *reading["required"]]}


# -- matrix and messages -----------------------------------------------------------------------------------------------
def _row() -> dict[str, Any]:
    row = _object(ROW_PARAMS, m.SCHEMA_ROW)
    row["properties"]["effect"] |= {"properties": {}, "required": [], "additionalProperties": _NAME}
    return row


def _claim() -> dict[str, Any]:
    claim = _object(CLAIM_PARAMS, m.SCHEMA_CLAIM)
    one_of = [{"required": [key]} for key in (WATER_FROM, WATER_IN)]
    return claim | {"anyOf": one_of}


def _message() -> dict[str, Any]:
    message = _object(MESSAGE_PARAMS, m.SCHEMA_MESSAGE)
    message["patternProperties"] = {f"^{UNANSWERED.key} ": _NAME | {"description": UNANSWERED.help}}
    return _or_single(message, "path")


def _heartbeat() -> dict[str, Any]:
    return _or_single(_object(HEARTBEAT_PARAMS, m.SCHEMA_HEARTBEAT), "path", "tell")


def _or_single(schema: dict[str, Any], *keys: str) -> dict[str, Any]:
    """Lets a single word stand for a list of one."""
    for key in keys:
        schema["properties"][key] = {"anyOf": [_NAME, schema["properties"][key]]}
    return schema


# -- keys --------------------------------------------------------------------------------------------------------------
def _object(params: Sequence[Param], description: str = "", sample: str = "") -> dict[str, Any]:
    keys: dict[str, Any] = {
        "type": "object",
        "properties": {param.key: _param(param, sample) for param in params},
        "required": [param.key for param in params if param.default is REQUIRED],
        "additionalProperties": False,
    }
    return keys | ({"description": description} if description else {})


def _param(param: Param, sample: str = "") -> dict[str, Any]:
    """The schema of one key, with the help text, the limits in words and an example for the editor's tip."""
    forms = [_form(param)]
    if param.takes in ("map", "level") and param.words:
        forms.append({"enum": _words(param.words)})
    if param.unknown:
        forms.append({"const": str(Word.UNKNOWN)})
    schema = dict(forms[0]) if len(forms) == 1 else {"anyOf": forms}
    return schema | {"description": _described(param, sample)}


def _described(param: Param, sample: str) -> str:
    sentences = [param.help]
    if param.takes in QUANTITIES and (param.low, param.high) != (None, None):
        limits = allowed(param.low, param.high, "", param.takes, "metric")
        sentences.append(m.SCHEMA_LIMITS.format(limits=limits))
    if param.takes not in ("map", "word", "flag"):
        sentences.append(m.SCHEMA_EXAMPLE.format(example=example(param, sample)))
    if param.find_out:
        sentences.append(m.FIND_OUT.format(how=param.find_out.rstrip(".")).strip())
    return " ".join(sentences)


def _form(param: Param) -> dict[str, Any]:
    takes = param.takes
    if takes == "count":
        limits = {"minimum": param.low, "maximum": param.high}
        return {"type": "integer"} | {key: int(limit) for key, limit in limits.items() if limit is not None}
    if takes in QUANTITIES:
        return _QUANTITY | ({"type": ["string", "number"]} if _needs_no_unit(takes) else {})
    if takes in ("word", "flag"):
        return {"enum": _words(param.words)}
    if takes in ("parts", "places"):
        return {"anyOf": [_NAME, {"type": "array", "items": _NAME}]}
    if takes == "map":
        return _object(param.fields)
    if takes == "list":
        return {"type": "array", "items": _param(param.fields[0])}
    simple: dict[str, dict[str, Any]] = {
        "text": {"type": ["string", "number"], "minLength": 1},
        "date": _DATE,
        "time of day": _TIME,
        "size": _QUANTITY,
        "level": _QUANTITY,
        "part": _NAME,
        "place": _NAME,
        "compound": _QUANTITY | {"examples": [made_up(param)]},
    }
    return dict(simple[takes])


def _needs_no_unit(quantity: str) -> bool:
    try:
        units.parse("1", quantity)
    except UnitError:
        return False
    return True


def _words(words: Iterable[str]) -> list[str]:
    return [str(word) for word in words]

"""What a cure says to write, put into the file and read again: a text that the reader refuses is no cure.

Only its words and lines count, as they do for the keeper; the words that stand before what is to be written are those
of ``edits``.
"""

from __future__ import annotations

import json
import re
from typing import Any, Final

from dewpond.design.desk import Desk
from dewpond.design.model import Design
from dewpond.design.reader import read_text
from dewpond.design.tree import Group, Items, Node, build
from dewpond.errors import DesignError
from dewpond.proof.cures.edits import NO_ROWS, PROBE, THE_DAY

DAY: Final = "2026-01-01"  # in place of the keeper's; any will do
_WRITE = re.compile(
    r"(?:for “(?P<part>[^”]+)” write (?P<inner>in its probe )?|in (?:this row|the row of line (?P<line>\d+)) write |"
    rf"(?P<none>{NO_ROWS}) write |behind (?P<behind>the matrix|this row|the row of line \d+|[^`]+?) add )"
    r"`(?P<what>[^`]+)`"
)


def is_read(design: Design, text: str, line: int) -> bool:
    """Whether the reader takes the file with all that is to be written between ` and ` in a text; ``line``: of what
    "this row" means. False as well where a place to write in is not found, or what is to be added is there."""
    root = build(design.text, Desk(design.file))
    assert isinstance(root, Group)  # it has been read
    file, found = _plain(root), list(_WRITE.finditer(text))
    rows = {row.line: number for number, row in enumerate(design.rows)}
    if len(found) != text.count("`") // 2:
        return False
    try:
        for one in found:
            _put(file, rows, one, line)
        read_text(json.dumps(file, ensure_ascii=False), design.file)  # which is YAML, too
    except (LookupError, DesignError):
        return False
    return True


def _put(file: dict[str, Any], rows: dict[int, int], one: re.Match[str], line: int) -> None:
    """Writes one of them. Raises LookupError."""
    part, behind, what = one["part"], one["behind"], one["what"]
    if behind and what.startswith("- "):
        file["matrix"].append(_typed(what.removeprefix("- ")))
        return
    keys = _typed("{" + what + "}")
    if part:
        home = _home(file, part)
        home[part] = own = home[part] or {}
        (own[PROBE] if one["inner"] else own).update(keys)
    elif one["none"]:
        if file.get("matrix"):  # an empty one may stand there
            raise LookupError(what)
        file.update(keys)
    elif behind:
        home = file if behind == "the matrix" else _home(file, behind)
        if home.keys() & keys.keys():
            raise LookupError(what)
        home.update(keys)
    else:
        file["matrix"][rows[int(one["line"] or line)]].update(keys)


def _home(file: dict[str, Any], name: str) -> dict[str, Any]:
    """The section that has a name, or the file where it is that of a section. Raises LookupError."""
    homes = [home for home in (*file.values(), file) if isinstance(home, dict) and name in home]
    if not homes:
        raise LookupError(name)
    return homes[0]


def _typed(text: str) -> Any:
    """What is typed between brackets. Raises LookupError where it cannot be read."""
    desk = Desk("")
    node = build(text.replace(THE_DAY, DAY), desk)
    if node is None or desk.findings:
        raise LookupError(text)
    return _plain(node)


def _plain(node: Node) -> Any:
    """Groups, lists and texts as such."""
    if isinstance(node, Group):
        return {key.text: _plain(inner) for key, inner in node.pairs}
    return [_plain(inner) for inner in node.nodes] if isinstance(node, Items) else node.text

"""A keeper who does what a proof prints: the texts of cures put into a design file, by their words and lines alone."""

import re
from typing import Any

import yaml

from dewpond.design.reader import read_text
from dewpond.proof.verdicts import Cure

DAY = "2026-11-20"  # what a keeper writes for the day
KEYS = re.compile(
    r"(?:for “(?P<name>[^”]+)” write (?P<inner>in its probe )?|in the row of line (?P<line>\d+) write |"
    r"(?P<here>in this row write )|(?P<none>as the matrix, which has no row yet,) write |"
    r"behind (?P<place>the matrix|(?:this row|the row of line \d+)|[^`]+?) add )"
    r"`(?P<what>[^`]+)`"
)


def keys_of(text: str) -> dict[str, Any]:
    """One or more keys in a line."""
    found = yaml.load("{" + text.replace("<the day>", DAY) + "}", yaml.BaseLoader)
    assert isinstance(found, dict)
    return found


def applied(text: str, cure: Cure) -> str:
    """The file with all that a cure says to write. ``text``: of the file as it was."""
    design, file = read_text(text, "house.yaml"), yaml.load(text, yaml.BaseLoader)
    items = {name: part for section in file.values() if isinstance(section, dict) for name, part in section.items()}
    homes = {name: section for section in file.values() if isinstance(section, dict) for name in section}
    rows = {row.line: number for number, row in enumerate(design.rows)}
    done = 0
    for found in KEYS.finditer(cure.text):
        what, place = found["what"], found["place"]
        if found["name"]:
            target = items[found["name"]]
            (target["probe"] if found["inner"] else target).update(keys_of(what))
        elif found["line"] or found["here"]:
            file["matrix"][rows[int(found["line"] or cure.line)]].update(keys_of(what))
        elif found["none"]:
            assert not file.get("matrix")
            file.update(keys_of(what))
        elif what.startswith("- {"):
            file["matrix"].append(keys_of(what.removeprefix("- {").removesuffix("}")))
        elif place == "the matrix":
            file.update(keys_of(what))
        else:
            assert not homes[place].keys() & keys_of(what).keys()  # behind, not in the place of something
            homes[place].update(keys_of(what))
        done += 1
    assert done == cure.text.count("`") // 2  # nothing that is quoted was passed over
    return yaml.dump(file, sort_keys=False, allow_unicode=True, width=1000)

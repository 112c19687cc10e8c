"""What would end water that runs for ever: it differs for a leak of the line, a part that lets by, and a vessel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dewpond.design.model import Design
from dewpond.parts import KINDS
from dewpond.parts.base import PartView

AHEAD, FIRST, LEAK, SHORT, UNSEEN, LETS_BY, VESSEL, BACK_UP = (
    "ahead", "first", "leak", "short", "unseen", "lets by", "vessel", "back up",
)  # fmt: skip
HARDLY_ENDED = frozenset({FIRST, SHORT})  # what a valve can end only in part: the next thing to do lies elsewhere first
OF_THE_LINE = frozenset({AHEAD, FIRST, LEAK, SHORT, UNSEEN})
PROBED = frozenset({LEAK, UNSEEN})  # what a probe where the water goes has ended
COMES_BACK = "comes back"  # whatever fails: a protection ends its water, and lets it run again
CURES = {
    LEAK: (
        "Leaks of the line ({named}): what ends them with nobody there is a valve that shuts by itself, in the line "
        "ahead of them, told by a probe that their water reaches and that sees it. Shutting the stop tap before you "
        "travel ends those behind it, and fills nothing until you are back."
    ),
    SHORT: (
        "Leaks ahead of the first valve that shuts by itself ({named}): it ends none of them, and another one would "
        "have a joint before it as well. Make that stretch short: the valve right behind the stop tap, with as few "
        "joints as can be. What is left there only the stop tap ends: shut it before you travel, which fills nothing "
        "until you are back."
    ),
    UNSEEN: (
        "Leaks behind a valve that shuts by itself ({named}): it was not told, or not in time. A probe where their "
        "water first goes, seen to work with purified water, that has that valve shut, ends them: one more, or one "
        "that stands in the same room laid nearer. A valve that hears only its own probe takes no other's word, and "
        "needs a second one beside it, driven by a box."
    ),
    AHEAD: ("Leaks at the first part of the file ({named}): a valve that shuts by itself must stand before that part."),
    FIRST: (
        "Leaks before the first valve of the file ({named}): no valve in it ends them, and one put before it has a "
        "joint of its own. Only the tap of the house does: shut that before you travel, and write it into the file as "
        "the first hand valve if somebody can reach it."
    ),
    LETS_BY: (
        "Parts that let water by or keep calling for it ({named}): a second float above the first, or a mark in the "
        "vessel above its usual water, that cuts the feed or stops the pump by another way."
    ),
    VESSEL: (
        "Vessels that leak or run over, and what is drawn from them ({named}): nothing automatic holds back what is "
        "in them already. A smaller vessel and a tray under it make that less; a probe in the tray that cuts the feed "
        "ends what is filled in after it."
    ),
    BACK_UP: (
        "Drains that back up ({named}): what is led to them comes out on the floor. A probe beside the drain that has "
        "the feed shut ends it."
    ),
}
NEXT = {
    COMES_BACK: (
        "let what has shut stay shut until somebody re-arms it by hand",
        "that starves the tank until somebody comes",
    ),
    LEAK: (
        "put a valve that shuts by itself in the line ahead of what leaks, told by a probe that its water reaches",
        "until then shut the stop tap before you travel, which fills nothing until you are back",
    ),
    SHORT: (
        ("set the first valve that shuts by itself right behind the stop tap, with as few joints before it as can be"),
        (
            "what is left before it only the stop tap ends: shut that before you travel, which fills nothing until you "
            "are back"
        ),
    ),
    UNSEEN: (
        (
            "put a probe where the water of these leaks first goes (or lay one nearer), seen to work with purified "
            "water, that shuts the valve which stands ahead of them"
        ),
        "until then shut the stop tap before you travel, which fills nothing until you are back",
    ),
    AHEAD: (
        "put a valve that shuts by itself ahead of the first part of the file",
        "until then shut the tap of the house before you travel, which fills nothing until you are back",
    ),
    FIRST: (
        (
            "see who can reach the tap of the house that stands before the first valve of the file, and write it in as "
            "the first hand valve"
        ),
        "shut it before you travel, which fills nothing until you are back",
    ),
    LETS_BY: (
        "add a second float above the first, or a mark above the usual water that cuts the feed or stops the pump",
        "until then shut the feed before you travel, which fills nothing until you are back",
    ),
    VESSEL: (
        "put a tray under the vessel and a probe in it that cuts the feed",
        "nothing automatic holds back what is in the vessel already: a smaller one makes that less",
    ),
    BACK_UP: (
        "put a probe beside the drain that has the feed shut",
        "until then shut the feed before you travel, which fills nothing until you are back",
    ),
}  # the same as the one next thing to do, and what goes with it
AFTER, SHUTS = ("after", "waste of"), ("driven by", "probe")  # keys: whence its water comes; what has a valve shut
BEFORE, BEHIND = ", before the valve", ", behind the valve"  # ends of the labels of a valve's leaks
AGAIN = "Write what you change into the file and run the study again: it shows what then ends, and what does not."


def cures(labels: Sequence[str], design: Design) -> str:
    """What helps against faults with these labels, told by what they have in common, a line for each."""
    groups: dict[str, list[str]] = {}
    for label in labels:
        kind = group(label, design)
        if kind:
            groups.setdefault(kind, []).append(label)
    told = [text.format(named=_named(groups[kind])) for kind, text in CURES.items() if kind in groups]
    return "\n".join([*told, AGAIN])


def _named(labels: Sequence[str]) -> str:
    return labels[0] if len(labels) == 1 else f"{len(labels)}, such as {labels[0]}"


def group(label: str, design: Design) -> str:
    """Which cure a fault asks for; empty when none of them fits."""
    part = next((p for p in design.parts if label.startswith(f"{p.name}: ")), None)
    if part is None:
        return ""
    kind = KINDS[part.kind]
    named = label.removeprefix(f"{part.name}: ")
    found = next((f for f in kind.faults if named == f.name or named.startswith(f.name + f.joint)), None)
    if kind.role == "drain":
        return BACK_UP
    if found is not None and found.timing in ("latent", "triggered"):
        return LETS_BY
    if kind.role == "vessel" or part.get("from"):
        return VESSEL
    if kind.role not in ("line", "device"):
        return ""
    if not _from_a_source(part, design):
        return VESSEL
    sources = {p.name for p in design.parts if KINDS[p.kind].role == "source"}
    if part.get(AFTER[0]) not in sources or named.endswith(BEHIND):
        if _shut_ahead(part, named, design):
            return UNSEEN
        return SHORT if named.endswith(BEFORE) or _shut_behind(part, design) else LEAK
    return FIRST if named.endswith(BEFORE) else AHEAD


def _from_a_source(part: PartView, design: Design) -> bool:
    """Whether the line in which a part stands comes from a supply, and not out of a vessel."""
    views = {view.name: view for view in design.parts}
    at: PartView | None = part
    seen: set[str] = set()
    while at is not None and at.name not in seen and KINDS[at.kind].role != "vessel":
        if KINDS[at.kind].role == "source":
            return True
        seen.add(at.name)
        at = _ahead(at, views)
    return False


def _shut_ahead(part: PartView, named: str, design: Design) -> bool:
    """Whether a valve that shuts by itself stands ahead of a leak of a part, told by the name of the leak."""
    views = {view.name: view for view in design.parts}
    at: PartView | None = part if named.endswith(BEHIND) else _ahead(part, views)
    seen: set[str] = set()
    while at is not None and at.name not in seen:
        if KINDS[at.kind].role in ("line", "device") and any(at.get(key) for key in SHUTS):
            return True
        seen.add(at.name)
        at = _ahead(at, views)
    return False


def _shut_behind(part: PartView, design: Design) -> bool:
    """Whether a valve that shuts by itself stands further on, in the same line as a part ahead of which none does."""
    views = {view.name: view for view in design.parts}
    for valve in design.parts:
        if KINDS[valve.kind].role not in ("line", "device") or not any(valve.get(key) for key in SHUTS):
            continue
        at, seen = _ahead(valve, views), {valve.name}
        while at is not None and at.name not in seen:
            if at.name == part.name:
                return True
            seen.add(at.name)
            at = _ahead(at, views)
    return False


def _ahead(part: PartView, views: Mapping[str, PartView]) -> PartView | None:
    """The part from which it has its water, if that is in the file."""
    return next((views[str(part[key])] for key in AFTER if part.get(key) in views), None)

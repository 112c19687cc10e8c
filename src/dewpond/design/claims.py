"""The claims of a design file -> Claim: which protections stop, each by itself, the water that gets out somewhere."""

from __future__ import annotations

from typing import Final

from dewpond.design import messages as m
from dewpond.design import messages_claims as words
from dewpond.design.model import Claim
from dewpond.design.tree import Group, Items, Node, Value
from dewpond.design.values import BAD, Book, Place, Values
from dewpond.parts.base import Param

WATER_FROM: Final = "water from"
WATER_IN: Final = "water in"
STOPPED_BY: Final = "is stopped by"
SAMPLE: Final = m.EXAMPLE_CLAIM.replace("- ", "claim: ")  # as a part would be written
CLAIM_PARAMS: Final = (
    Param(
        WATER_FROM, "part", "The part out of which the supply's water gets, in whatever way.", None,
        roles=("line", "vessel", "device", "drain"),
    ),
    Param(WATER_IN, "place", "In place of a part: the place into which the water that gets out comes first.", None),
    Param(
        STOPPED_BY, "parts",
        "The protections of which each stops that water by itself. Of two, no one thing that fails beside what lets "
        "the water out may let it run on; of three, no two things.",
        roles=("line", "device"),
    ),
)  # fmt: skip


def read_claims(node: Node | None, book: Book) -> tuple[Claim, ...]:
    """The claims that can be read; what cannot goes to the desk."""
    if node is None or (isinstance(node, Value) and not node.text):
        return ()
    if not isinstance(node, Items):
        book.desk.add("D240", "claims", node.line, example=m.EXAMPLE_CLAIM)
        return ()
    read = (_claim(number, item, book) for number, item in enumerate(node.nodes, 1))
    return tuple(claim for claim in read if claim is not None)


def _claim(number: int, item: Node, book: Book) -> Claim | None:
    where = m.CLAIM.format(number=number)
    if not isinstance(item, Group):
        book.desk.add("D240", where, item.line, example=m.EXAMPLE_CLAIM)
        return None
    # Claims are no parts: their keys belong to an owner that no part can be called.
    values = Values(book, where, SAMPLE, "D071").group(CLAIM_PARAMS, item, Place(where, where, "", item.line))
    there = [key for key in (WATER_FROM, WATER_IN) if item.get(key) is not None]
    misspelt = len(item.pairs) > sum(item.get(param.key) is not None for param in CLAIM_PARAMS)
    if len(there) != 1 and not (misspelt and not there):  # a key that nobody knows is told already
        book.desk.add(
            "D241", where, item.line, got=words.BOTH_GIVEN if there else words.NONE_GIVEN, example=m.EXAMPLE_CLAIM
        )
        return None
    if BAD in values.values() or not there:
        return None
    return Claim(item.line, values[there[0]], there[0] == WATER_IN, values[STOPPED_BY])

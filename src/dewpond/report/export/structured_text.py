"""The logic of each box as a function block of Structured Text, in standard blocks of IEC 61131-3 only."""

from __future__ import annotations

import textwrap
from typing import Final

from dewpond.report.export.function_block import Block, comment
from dewpond.report.export.identifiers import Identifiers
from dewpond.report.views import sheet
from dewpond.report.views.shown import Shown
from dewpond.study.matrix.logic import box_logics
from dewpond.study.matrix.model import Matrix

MARK: Final = "(* Dewpond: Structured Text"
HEAD: Final = """{mark} of the matrix of {title}

   One function block for each box, in the language of IEC 61131-3, third edition, with standard blocks only (TON, SR,
   R_TRIG). Dewpond advises, and operates nothing: read it, enter it in whatever you own, and try every row as walk.txt
   says before you trust it. What it takes for granted:
   - A block is called again and again while its box has power, at least once a second, and not at all without. An
     output of a box that has no power is FALSE. What a program that hangs does to them is a matter of the device.
   - VAR RETAIN keeps its values through a power cut; VAR begins anew. Which is which follows the file.
   - Inputs are raw contacts: TRUE while the contact is closed. A broken wire is an open contact.
   - {rearm}
   - Two boxes on one part are wired in its lead one behind the other: {any_stop}
   - A pause between two runs is waited for after each start of the box as well, for nobody knows when the last run was.
*)
"""
REARM: Final = (
    "ReArm is one button for all that a box has locked; only its being pressed counts, so that a button that is jammed "
    "or taped holds nothing off, and one that is down when power comes back is not taken for pressed."
)


def structured_text(matrix: Matrix, shown: Shown) -> str:
    """All function blocks as one text."""
    names = Identifiers()
    blocks = [Block(matrix, logic, shown, names).text() for logic in box_logics(matrix)]
    head = HEAD.format(
        mark=MARK, title=comment(matrix.title), rearm=wrapped(REARM), any_stop="a stop by one of them wins."
    )
    own = [line for line in matrix.lines if line.sort == "own"]
    if not blocks:
        head += "\n(* No box carries out a row of this file: there is nothing to write down. *)\n"
    tail = ""
    if own:
        said = "; ".join(f"{line.whose}, at {sheet.cause_words(line, matrix, shown)}" for line in own)
        tail = f"\n(* By itself, without a box, acts: {comment(said)}. *)\n"
    if matrix.alone:
        said = "; ".join(f"{one.name}, {sheet.alone_words(one)}" for one in matrix.alone)
        tail += f"\n(* No box drives, and no row names: {comment(said)}. *)\n"
    return head + "".join(f"\n{block}" for block in blocks) + tail


def wrapped(text: str) -> str:
    """A sentence of the head, broken into lines."""
    return "\n     ".join(textwrap.wrap(text, 112))

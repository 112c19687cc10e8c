"""Which sign parts the decimals of a file, told from all its figures: "1.500" is one and a half, or fifteen hundred."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

_DECIMAL: Final = {
    # what can be no thousands: other than three digits behind it; a nought, more than three digits or groups before it
    ",": re.compile(r"[+-]?(?:\d+,(?!\d{3}(?!\d))\d+|0+,\d+|\d{4,},\d+|\d{1,3}(?:\.\d{3})+,\d+)(?:[eE\s].*)?"),
    ".": re.compile(r"[+-]?(?:\d+\.(?!\d{3}(?!\d))\d+|0+\.\d+|\d{4,}\.\d+|\d{1,3}(?:,\d{3})+\.\d+)(?:[eE\s].*)?"),
}
_GROUPED: Final = re.compile(r"(?P<sign>[+-]?)(?P<groups>[1-9]\d{0,2}(?:\.\d{3})+)(?P<rest>(?:,\d+)?(?:\s.*|[^\d.,]*))")


def decimal_sign(cells: Iterable[str], parts: str) -> str:
    """A comma or a point; empty where the file shows neither, or both. ``parts``: what parts its cells, where a comma
    leaves decimals the point."""
    signs = {sign for cell in cells for sign, decimal in _DECIMAL.items() if decimal.fullmatch(cell)}
    if len(signs) == 1:
        return signs.pop()
    return "." if not signs and parts == "," else ""


def ways_to_read(cell: str, decimal: str) -> tuple[str, ...]:
    """The cell as it is to be read; two ways where points in it may part thousands or decimals."""
    grouped = _GROUPED.fullmatch(cell)
    if grouped is None or decimal == ".":
        return (cell,)
    whole = grouped["sign"] + grouped["groups"].replace(".", "") + grouped["rest"]
    sure = decimal == "," or grouped["groups"].count(".") > 1 or grouped["rest"].startswith(",")
    return (whole,) if sure else (whole, _short(cell))


def _short(cell: str) -> str:
    """ "1.500 mL" with the decimals that it needs: "1.5 mL"."""
    number, rest = re.fullmatch(r"([+-]?[\d.]+)(.*)", cell, re.DOTALL).groups()  # type: ignore[union-attr]
    return (number.rstrip("0").rstrip(".") or "0") + rest

"""Tidies what was typed and reads the number at its head, in every way that number can be meant.

The point is always the decimal sign. A comma is the decimal sign too, except where it could part thousands ("1,000"):
then both readings are handed back and the caller asks. Blanks may part thousands in full groups of three ("1 000"),
as the SI brochure has it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

LONGEST = 120  # characters; longer texts are not a quantity
LARGEST_EXPONENT = 99

# fmt: off
_SIGNS = str.maketrans({
    "½": " 1/2", "⅓": " 1/3", "⅔": " 2/3", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
    "⁄": "/", "∕": "/", "÷": "/",  # noqa: RUF001
    "−": "-", "‐": "-", "‑": "-", "–": "-", "—": "-",  # noqa: RUF001
    "×": "x",  # noqa: RUF001
    "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'",  # noqa: RUF001
    "º": "°", "˚": "°", "℃": "°C", "℉": "°F",
    "\u00b5": "u", "\u03bc": "u",  # micro sign, Greek mu
    "\u2126": "ohm", "\u03a9": "ohm",  # ohm sign, Greek omega
    "²": "2", "³": "3", "₂": "2",
    "\u200b": "", "\ufeff": "",
})
# fmt: on
_HEAD = re.compile(
    r"(?P<sign>[+-]?) ?(?:"
    r"(?P<whole>[0-9]+)(?: |-| ?\+ ?)(?P<top>[0-9]+) ?/ ?(?P<bottom>[0-9]+)"
    r"|(?P<over>[0-9]+) ?/ ?(?P<under>[0-9]+)"
    r"|(?P<grouped>[0-9]{1,3}(?: [0-9]{3})+(?:[.,][0-9]+)?)(?![0-9])"
    r"|(?P<plain>[0-9]+(?:[.,][0-9]+)*\.?|[.,][0-9]+)(?:[eE](?P<power>[+-]?[0-9]+))?"
    r")"
)
_MAYBE_THOUSANDS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_GROUPS = re.compile(r"[0-9]{1,3}(?:(?P<mark>[.,])[0-9]{3})(?:(?P=mark)[0-9]{3})*(?:[.,][0-9]+)?")


class NumberError(ValueError):
    """The text has no readable number at its head. `what` is a sentence without the text; `write` a better number."""

    def __init__(self, what: str, write: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.write = write


@dataclass(frozen=True)
class Number:
    """A number at the head of a text: its value, how to write it without doubt, the other value if there are two,
    and the tidied rest of the text."""

    value: Fraction
    write: str
    rest: str
    other: Fraction | None = None
    other_write: str = ""


def tidy(text: str) -> str:
    """Plain signs for typographic ones, single blanks."""
    return " ".join(text.translate(_SIGNS).split())


def tidy_unit(text: str) -> str:
    """A unit's spelling without full stops and carets; "per", "a" and "an" become a stroke."""
    text = text.replace(".", "").replace("^", "")
    text = re.sub(r"(?:^| )(?:[Pp]er|[Ee]ach|PER|an?) (?=\S)", "/", text)
    return re.sub(r" ?/ ?", "/", text).strip()


def split(text: str) -> Number:
    """The number at the head of a tidied text.

    Raises NumberError when there is none, or when it is written in a way that is not read (thousands separators,
    divided by nothing, too large an exponent).
    """
    head = _HEAD.match(text)
    if not head:
        raise NumberError("does not begin with a number.")
    rest = text[head.end() :].strip()
    minus = "-" if head["sign"] == "-" else ""
    if head["plain"]:
        return _plain(minus, head["plain"], head["power"] or "", rest)
    if head["grouped"]:
        digits = minus + head["grouped"].replace(" ", "").replace(",", ".")
        return Number(Fraction(digits), digits, rest)
    whole, top, bottom = head["whole"] or "0", head["top"] or head["over"], head["bottom"] or head["under"]
    if not int(bottom):
        raise NumberError("is divided by nothing.")
    value = int(whole) + Fraction(int(top), int(bottom))
    return Number(-value if minus else value, head[0].replace("+", " "), rest)


def _plain(minus: str, digits: str, power: str, rest: str) -> Number:
    if power and abs(int(power)) > LARGEST_EXPONENT:
        raise NumberError("is beyond anything that can be measured.")
    exponent = f"e{power}" if power else ""
    if _MAYBE_THOUSANDS.fullmatch(digits):
        large, small = minus + digits.replace(",", "") + exponent, minus + _decimal(digits) + exponent
        return Number(Fraction(large), large, rest, Fraction(small), small)
    if len(re.findall("[.,]", digits)) > 1:
        mark = digits[re.search("[.,]", digits).start()]  # type: ignore[union-attr]
        grouped = _GROUPS.fullmatch(digits)
        raise NumberError(
            "has more than one separator in its number.",
            minus + digits.replace(mark, "").replace(",", ".") + exponent if grouped else "",
        )
    plain = minus + digits.replace(",", ".").removesuffix(".") + exponent
    return Number(Fraction(plain), plain, rest)


def _decimal(digits: str) -> str:
    """ "1,000" as a decimal number with at least one decimal, so that nobody takes it for thousands: "1.0"."""
    whole, decimals = digits.split(",")
    return f"{whole}.{decimals.rstrip('0') or '0'}"

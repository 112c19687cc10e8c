"""Names of the keeper -> identifiers of IEC 61131-3: letters, digits and single underscores, no keyword, none twice."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

LONGEST: Final = 40  # letters of what comes from a name
# Letters that do not come apart into a plain one and a sign.
SPELLED: Final = str.maketrans({
    "ß": "ss", "æ": "ae", "Æ": "Ae", "ø": "o", "Ø": "O", "œ": "oe", "Œ": "Oe", "đ": "d", "Đ": "D", "ð": "d", "Ð": "D",
    "þ": "th", "Þ": "Th", "ł": "l", "Ł": "L", "\u0131": "i",
})  # fmt: skip
WORDS: Final = """
    abs abstract acos action add and any array asin at atan begin bool by byte case class concat configuration
    constant continue cos ctd ctu ctud date delete div do dint dt dword else elsif end eq exit exp expt extends f_edge
    f_trig false final find for from ge global goto gt if implements insert int interface internal interval jmp ld le
    left len limit lint ln log lreal lt lword max method mid min mod move mul mux namespace ne not null of on or
    overlap override persistent pointer priority private program protected public r r_edge r_trig read_only read_write
    real ref ref_to reference repeat replace resource retain return right rol ror rs s sel shl shr sin single sint sqrt
    sr step string struct sub super tan task then this time time_of_day to tod tof ton tp transition true trunc type
    udint uint ulint until using usint var var_access var_config var_external var_global var_in_out var_input
    var_output var_temp while with word wstring xor
"""
KEYWORDS: Final = frozenset(WORDS.split())
_WORD: Final = re.compile(r"[A-Za-z0-9]+")


class Identifiers:
    """Deals out identifiers, each once; large and small letters are the same."""

    def __init__(self) -> None:
        self.taken: set[str] = set()

    def take(self, name: str, after: str = "", before: str = "", instead: str = "Part") -> str:
        """An identifier for a name, with words of ours around it; `instead` stands for a name with no Latin letter."""
        middle = plain(name) or instead
        middle = middle[:LONGEST].rstrip("_")
        if not before and not middle[0].isalpha():
            middle = f"{instead}_{middle}"
        wanted = "_".join(word for word in (before, middle, after) if word)
        made, number = wanted, 1
        while made.lower() in self.taken or made.lower() in KEYWORDS:
            number += 1
            made = "_".join(word for word in (before, middle, str(number), after) if word)
        self.taken.add(made.lower())
        return made


def plain(name: str) -> str:
    """ "tray probe é" -> "Tray_Probe_E"; empty when nothing of it can be written in plain letters and digits."""
    apart = unicodedata.normalize("NFKD", name.translate(SPELLED))
    letters = "".join(c for c in apart if not unicodedata.combining(c))
    words = _WORD.findall(letters)
    return "_".join(word[0].upper() + word[1:] for word in words)

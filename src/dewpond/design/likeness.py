"""Which known word somebody meant: mistyped, in another order, in the plural, in American spelling, in trade words."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from functools import lru_cache
from itertools import islice
from typing import Final

LONGEST: Final = 60  # characters of a typed word that are compared
MOST_COMPARED: Final = 600  # words that a misspelt one is held against
MOST_WEIGHED: Final = 20  # of them, the likeliest, that are looked at letter by letter
SWAPPED: Final = 0.95  # likeness of the same words in another order
ANOTHER_WORD: Final = 0.79  # of a word that the trade uses for the same thing
HELD: Final = 0.7  # of a word that holds all that was typed, or the reverse
OTHER_NUMBER: Final = 0.7  # at most, of names that differ in their numbers: "box 1" and "box 2" are two boxes
_SURE: Final = 0.9  # likeness from which no other word is looked for
_SHORT: Final = 3  # letters below which a word that is held by another one says nothing

# Letters of other alphabets that look like Latin ones: Cyrillic, then Greek.
_LOOK_ALIKE: Final = str.maketrans("аеорсухіјѕԁһԛԝкмтвнαορνικτυ", "aeopcyxijsdhqwkmtbhaopviktu")
_AMERICAN: Final = (
    ("ization", "isation"), ("izing", "ising"), ("ized", "ised"), ("izer", "iser"), ("ize", "ise"), ("liter", "litre"),
    ("meter", "metre"), ("color", "colour"), ("center", "centre"), ("gray", "grey"), ("mold", "mould"),
)  # fmt: skip
_SAME: Final = {"closed": "shut", "close": "shut", "closes": "shut", "shutoff": "shut off", "topoff": "top off"}
_UNLIKE_LENGTHS: Final = 0.75  # of the likeness, where one word is much longer than the other
_LITTLE: Final = {"a", "an", "the", "of", "in", "to", "at", "for", "by", "is", "on", "it", "its"}


@lru_cache(maxsize=4096)
def _plain(text: str) -> tuple[str, ...]:
    """The words of a text in small Latin letters, in British spelling and without the s of a plural."""
    text = unicodedata.normalize("NFKD", text[:LONGEST]).casefold().translate(_LOOK_ALIKE)
    text = "".join(sign for sign in text if not unicodedata.combining(sign))
    for american, british in _AMERICAN:
        text = text.replace(american, british)
    words = " ".join(_SAME.get(word, word) for word in re.findall(r"[^\W_]+", text)).split()
    return tuple(word[:-1] if len(word) > _SHORT and word.endswith("s") and word[-2] != "s" else word for word in words)


@lru_cache(maxsize=4096)
def _letters(words: tuple[str, ...]) -> dict[str, int]:
    """How often each sign stands in a text."""
    text = " ".join(words)
    return {sign: text.count(sign) for sign in set(text)}


def _most(one: tuple[str, ...], other: tuple[str, ...]) -> float:
    """The most that two texts can be like each other, by the signs that stand in both [0, 1]."""
    a, b = _letters(one), _letters(other)
    if len(b) < len(a):
        a, b = b, a
    return 2.0 * sum(min(count, b.get(sign, 0)) for sign, count in a.items()) / (sum(a.values()) + sum(b.values()))


def _ratio(one: tuple[str, ...], other: tuple[str, ...]) -> float:
    """How much of two texts is the same, in order [0, 1]."""
    from difflib import SequenceMatcher

    a, b = " ".join(one), " ".join(other)
    less, more = sorted((len(a), len(b)))
    like = SequenceMatcher(None, a, b, autojunk=False).ratio()
    return like * (_UNLIKE_LENGTHS if less < 0.65 * more and more > less + 2 else 1.0)


def _numbers(words: tuple[str, ...]) -> list[str]:
    return re.findall(r"\d+", " ".join(words))


def likeness(got: str, word: str) -> float:
    """How like two texts are [0, 1]."""
    one, other = _plain(got), _plain(word)
    if got.casefold() == word.casefold() or (one and "".join(one) == "".join(other)):
        return 1.0
    if not one or not other:
        return 0.0
    in_order = tuple(sorted(one)), tuple(sorted(other))
    if in_order[0] == in_order[1]:
        return SWAPPED
    like = _ratio(one, other)
    if len(one) > 1 < len(other):
        like = max(like, SWAPPED * _ratio(*in_order))
    numbers = _numbers(one), _numbers(other)
    return min(like, OTHER_NUMBER) if all(numbers) and numbers[0] != numbers[1] else like


def _holds(got: str, word: str) -> bool:
    """Every word of the one stands in the other, as "float" in "float valve"; little words do not count."""
    one, other = set(_plain(got)) - _LITTLE, set(_plain(word)) - _LITTLE
    less = min(one, other, key=len)
    return bool(less) and (one <= other or other <= one) and max(map(len, less)) >= _SHORT


def nearest(got: str, known: Iterable[str], least: float = 0.6, also: Mapping[str, str] | None = None) -> str:
    """The known word that is nearest to what was typed; empty when none is as like it as demanded [0, 1].

    also  other words that people use, each with the known word that it stands for
    """
    words = list(islice(known, MOST_COMPARED))
    one = _plain(got)
    bounds = {word: _most(one, _plain(word)) if one and _plain(word) else 0.0 for word in words}
    best, like = "", 0.0
    for word in sorted(words, key=bounds.__getitem__, reverse=True)[:MOST_WEIGHED]:
        now = likeness(got, word)
        if now > like:
            best, like = word, now
    if like < _SURE and least <= ANOTHER_WORD:
        for other, word in (also or {}).items():
            if word in words and likeness(got, other) >= _SURE:
                return word
    if like < ANOTHER_WORD and least <= HELD:
        held = [word for word in words if _holds(got, word)]
        if len(held) == 1:
            return held[0]
        if held:
            best = max(held, key=lambda word: likeness(got, word))
            like = likeness(got, best)
    return best if like >= least else ""


def seen_as(text: str) -> str:
    """A name as the eye takes it: capitals aside, and letters of other alphabets as the Latin ones they look like."""
    return unicodedata.normalize("NFKC", text).casefold().translate(_LOOK_ALIKE)


def looks_alike(text: str) -> bool:
    """True for a text with letters of another alphabet that look like Latin ones."""
    return text.casefold() != text.casefold().translate(_LOOK_ALIKE)

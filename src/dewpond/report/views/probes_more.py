"""Which one more reading of a floor would tell most of where probes should stand, in words."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from dewpond.report.views.blocks import Block, Items, Text
from dewpond.report.views.probes_words import Words
from dewpond.report.views.shown import sentence
from dewpond.study.probes.model import HEIGHT, Probes
from dewpond.study.probes.model import More as Reading

MORE_FLOORS: Final = (60, 200)  # that are taken where fewer cannot tell


class More:
    """For one answer."""

    def __init__(self, found: Probes, words: Words) -> None:
        self.found, self.words = found, words

    def blocks(self) -> Iterator[Block]:
        """The readings that are worth something, the best first."""
        told, unclear = self.found.more.told, self.found.more.unclear
        if unclear is not None:
            yield Text(self._unclear(unclear), "lead")
            return
        if not told:
            yield Text(
                "None of those that were tried (a height at spots all over the floor, a pour beside each probe) would "
                "change where the probes stand by anything to speak of: read no more for their sake."
            )
            return
        yield Text(sentence(self._reading(told[0])), "lead")
        if len(told) > 1:
            yield Items(tuple(sentence(f"then {self._reading(one)}") for one in told[1:]))
        yield Text(
            "Of all that were tried only what saves more than chance gives is told. So few floors cannot tell it "
            "closer: take the order as a hint. Write what was read among the `readings` of the floor, and ask again."
        )

    def _unclear(self, one: Reading) -> str:
        chance, litres = self.found.more.chance, self.words.shown.litres
        told = (
            "None of those that were tried (a height at spots all over the floor, a pour beside each probe) tells "
            "clearly more than chance. "
        )
        floors = max(len(looked.fitted.floors) for looked in self.found.looked)
        more = next((f"more floors (--floors {many})" for many in MORE_FLOORS if floors < many), "")
        if math.isinf(chance):
            return f"{told}So few floors cannot show it: take {more}."
        least = f"saves {litres(one.least)} at least" if one.least > 0.0 else "may save nothing"
        return (
            f"{told}The best {least}, and readings that say nothing of the floor look as good up to "
            f"{litres(chance)}. {f'Take {more}, or pour' if more else 'Pour'} where a leak is likeliest."
        )

    def _reading(self, one: Reading) -> str:
        at, where = self.words.at(one.storey, one.cell), self.words.found_by(one.storey, one.cell)
        worth = (
            f"it is worth about {self.words.shown.litres(one.saved)} on average (between "
            f"{self.words.shown.litres(one.least, one.most)} and {self.words.shown.litres(one.most)})"
        )
        if one.by == HEIGHT:
            return f"read the height at {at} ({where}), by water tube or laser, above the line of the others: {worth}"
        beside = self.words.what(self.found.cases.columns[one.column])
        return (
            f"pour slowly at {at} ({where}, where {one.leak} may leak) and note after how much water comes to "
            f"{beside}: {worth}"
        )

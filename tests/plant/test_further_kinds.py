"""Further kinds in random houses: each by a stream of chance of its own."""

from __future__ import annotations

import pytest

from tests.plant import further_orders
from tests.plant.design_text import Draft
from tests.plant.test_random_designs import draft_of


@pytest.mark.parametrize("kind", ["softener", "tube clips"])
def test_one_kind_more_or_less_leaves_all_others_as_they_are(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A line of the one left out names what the line of that one named; all else is the same, to the byte."""
    whole = {seed: lines_of(draft_of(seed)) for seed in range(20)}
    fewer = {one: put for one, put in further_orders.FURTHER.items() if one != kind}
    monkeypatch.setattr(further_orders, "FURTHER", fewer)
    others = {seed: lines_of(draft_of(seed)) for seed in range(20)}
    assert whole != others
    for seed in range(20):
        own = {name: line for name, line in whole[seed].items() if f"kind: {kind}," in line}
        moved = {name for name in whole[seed].keys() - own.keys() if whole[seed][name] != others[seed].get(name)}
        assert others[seed].keys() == whole[seed].keys() - own.keys(), f"seed {seed}"
        ends = [f"after: {name.strip()}," for name in own]
        assert all(any(end in whole[seed][one] for end in ends) for one in moved), f"seed {seed}"


def lines_of(draft: Draft) -> dict[str, str]:
    """The lines of a file by the names that begin them; rows of the matrix by themselves."""
    return {line.partition(":")[0] if "- {" not in line else line: line for line in draft.text().splitlines()}

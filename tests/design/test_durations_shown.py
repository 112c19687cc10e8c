"""Limits of a length of time, in words: one that the words themselves refuse contradicts nobody."""

import pytest

from dewpond.design.showing import allowed

DAY = 86400.0


@pytest.mark.parametrize(
    ("low", "high", "typed", "said"),
    [
        (1.0, DAY - 60.0, "24 h", "from 1 s to less than 24 h"),  # 23 h 59 min is shown as 24 h, and 24 h is refused
        (1.0, DAY - 60.0, "30 h", "from 1 s to less than 24 h"),
        (1.0, DAY, "0 min", "from 1 s to 24 h"),  # not 0.0167 min to 1440 min
        (60.0, 1800.0, "0.5 min", "from 1 min to 30 min"),
        (DAY, 31.0 * DAY, "40 days", "from 1 days to 31 days"),
        (None, DAY - 60.0, "30 h", "at most 24 h"),
    ],
)
def test_limit_of_a_duration_is_told_in_units_that_suit_both_ends(
    low: float | None, high: float, typed: str, said: str
) -> None:
    assert allowed(low, high, typed, "duration", "metric") == said

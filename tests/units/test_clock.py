"""Times of day as people write them, read by ISO 8601 (hours 00 to 23) and by the twelve-hour clock."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.errors import UnitError
from dewpond.units import show_time_of_day, time_of_day

READ = {
    "06:30": 6.5, "6:30": 6.5, " 18:05 ": 18.0 + 5.0 / 60.0, "00:00": 0.0, "23:59": 23.0 + 59.0 / 60.0,
    "6:30 pm": 18.5, "6:30pm": 18.5, "6 am": 6.0, "12 am": 0.0, "12:15 a.m.": 0.25, "12 pm": 12.0, "12:00": 12.0,
    "07:00:36": 7.01,
}  # fmt: skip
REFUSED = {
    "25:00": "Hours go from 00 to 23",
    "24:00": "Midnight is 00:00",
    "06:60": "Minutes have two figures",
    "06:5": "Minutes have two figures",
    "13 pm": "With pm hours go from 1 to 12",
    "0:30 am": "With am hours go from 1 to 12",
    "6": "Do you mean 06:00 or 18:00?",
    "17": "Do you mean 17:00?",
    "99": "Write hours and minutes",
    "630": "Do you mean 06:30?",
    "1830": "Do you mean 18:30?",
    "6.30": "Do you mean 06:30?",
    "6h30": "Do you mean 06:30?",
    "noon": "Do you mean 12:00?",
    "Midnight": "Do you mean 00:00?",
    "6 h": "Write hours and minutes",
    "half past six": "Write hours and minutes",
    "-6:30": "Write hours and minutes",
    "\u0666:30": "Write hours and minutes",
    "": "Write hours and minutes",
}


@pytest.mark.parametrize("typed", READ)
def test_time_of_day_is_read_as_seconds_after_midnight(typed: str) -> None:
    assert time_of_day(typed) == pytest.approx(READ[typed] * 3600.0, abs=1e-6)


@pytest.mark.parametrize("typed", REFUSED)
def test_what_is_no_time_of_day_is_refused_with_what_to_write(typed: str) -> None:
    with pytest.raises(UnitError) as refused:
        time_of_day(typed)
    assert REFUSED[typed] in refused.value.remedy
    assert refused.value.what.endswith(".")
    assert all(time_of_day(reading.write) >= 0.0 for reading in refused.value.readings)


@given(st.integers(0, 86_399))
def test_what_is_shown_is_read_again(seconds: int) -> None:
    assert time_of_day(show_time_of_day(float(seconds))) == seconds
    assert show_time_of_day(seconds + 86_400.0) == show_time_of_day(float(seconds))


@given(st.text(max_size=12))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    try:
        read = time_of_day(text)
    except UnitError as error:
        refused = error.what, error.remedy
        assert all(refused)
    else:
        assert 0.0 <= read < 86_400.0

"""A time of day, as it stands on a clock: "06:30", "6:30 pm" -> seconds after midnight, and back.

It has no unit and is no length of time: "6 h" is refused, and so is a bare "6", which may be morning or evening.
"""

from __future__ import annotations

import re

from dewpond.errors import Reading, UnitError
from dewpond.units.refusals import quoted

DAY, HOUR, MINUTE = 86400.0, 3600.0, 60.0
EXAMPLE = "06:30"
_CLOCK = re.compile(
    r"(?P<hour>\d{1,3})(?P<rest>(?P<sign>[:.h]) ?(?P<minute>\d{1,3})(?::(?P<second>\d{1,3}))?)?"
    r" ?(?P<half>[ap]\.?m\.?)?",
    re.ASCII | re.IGNORECASE,
)
_FIGURES = re.compile(r"\d{3,4}", re.ASCII)
_SPOKEN = {"noon": "12:00", "midday": "12:00", "midnight": "00:00"}
LAST_HOUR, LAST_MINUTE, HALF = 23, 59, 12


def time_of_day(text: str) -> float:
    """A time of day -> seconds after midnight, from 0 up to a day [s].

    text  hours and minutes, "06:30", "18:05", or with am and pm, "6:30 pm", "6 am"
    Raises UnitError when there is no such time, or when it could be another one.
    """
    typed = " ".join(text.split())
    spoken = _SPOKEN.get(typed.casefold())
    if spoken:
        raise _asked(typed, "is a word", spoken)
    if _FIGURES.fullmatch(typed) and int(typed[:-2]) <= LAST_HOUR and int(typed[-2:]) <= LAST_MINUTE:
        raise _asked(typed, "has nothing between hours and minutes", f"{int(typed[:-2]):02}:{typed[-2:]}")
    found = _CLOCK.fullmatch(typed)
    if found is None:
        raise UnitError(
            f"{quoted(text) or 'An empty text'} is no time of day.",
            f"Write hours and minutes, for instance {EXAMPLE}, or 6:30 pm.",
            (),
            "not-a-time",
        )
    return _seconds(typed, found)


def _seconds(typed: str, found: re.Match[str]) -> float:
    half = (found["half"] or "").replace(".", "").casefold()
    hour, minute, second = int(found["hour"]), int(found["minute"] or 0), int(found["second"] or 0)
    if not half and not found["rest"]:
        early, late = f"{hour % 24:02}:00", f"{hour + HALF:02}:00"
        both = (early, late) if 0 < hour < HALF else (early,)
        raise _asked(typed, "may be a time or a number of hours", *(both if hour <= LAST_HOUR else ()))
    if half and not 1 <= hour <= HALF:
        raise _none(typed, f"With {half} hours go from 1 to 12.")
    if hour > LAST_HOUR:
        midnight = hour == LAST_HOUR + 1 and minute == second == 0
        raise _none(typed, "Midnight is 00:00." if midnight else "Hours go from 00 to 23.")
    if max(minute, second) > LAST_MINUTE or (found["minute"] is not None and len(found["minute"]) == 1):
        raise _none(typed, "Minutes have two figures, from 00 to 59.")
    if half:
        hour = hour % HALF + (HALF if half == "pm" else 0)
    if found["sign"] in (".", "h", "H"):
        raise _asked(typed, "is not written with a colon", f"{hour:02}:{minute:02}")
    return hour * HOUR + minute * MINUTE + second


def _none(typed: str, why: str) -> UnitError:
    return UnitError(
        f"{quoted(typed)} is no time of day.", f"{why} Write for instance {EXAMPLE}, or 6:30 pm.", (), "not-a-time"
    )


def _asked(typed: str, why: str, *writes: str) -> UnitError:
    """A time that was probably meant, or two."""
    readings = tuple(Reading(write, f"{write} on a clock of 24 hours") for write in writes)
    ask = f"Do you mean {' or '.join(writes)}?" if writes else f"Write hours and minutes, for instance {EXAMPLE}."
    return UnitError(f"{quoted(typed)} {why}; a time of day is wanted here.", ask, readings, "not-a-time")


def show_time_of_day(seconds: float) -> str:
    """Seconds after a midnight -> "06:30", with seconds where there are any; what is shown can be read again."""
    whole = round(seconds) % round(DAY)
    minutes, rest = divmod(whole, round(MINUTE))
    text = f"{minutes // 60:02}:{minutes % 60:02}"
    return f"{text}:{rest:02}" if rest else text

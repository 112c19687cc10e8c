"""Days of a log that do not count as they stand: told of twice, with air that no room has, or all of no account."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from typing import Final

from dewpond import units
from dewpond.care.readings_words import SHARE_HINT, SLIP_HINT
from dewpond.design.desk import listed
from dewpond.study.year.model import Reading

Add = Callable[..., None]  # notes a finding: code, line, key, words
DRY: Final = 0.05  # relative humidity that no room of a house has [1]; our prior


def stretches(lines: Sequence[int]) -> list[str]:
    """Numbers in order as stretches: "3", "5 to 9"."""
    found: list[tuple[int, int]] = []
    for line in lines:
        if found and line == found[-1][1] + 1:
            found[-1] = (found[-1][0], line)
        else:
            found.append((line, line))
    return [str(first) if first == last else f"{first} to {last}" for first, last in found]


def spanned(
    readings: Sequence[Reading],
    lost: Collection[int],
    unread: Collection[int],
    loose: Collection[int],
    most: float,
    add: Add,
) -> Iterator[Reading]:
    """Each with the days that its litres stand for: those since the litres before, where the file does not say.

    readings: in the order of their days; ``lost``: lines without a day; ``unread``: days whose litres could not be
    read; ``loose``: lines whose litres were left out; ``most``: days that litres may stand for.
    """
    last: Reading | None = None
    for one in readings:
        told = one.top_off is not None or one.line in loose
        days = one.days or (float(one.day - last.day) if last is not None and told else 1.0)
        why = "" if one.days else _lost_between(last, one, readings, lost, unread)
        if days > most:
            why = f"the figure before it is {days:.0f} days old"
        if one.top_off is not None and why:
            add("R034", one.line, why=why)
            yield one._replace(top_off=None, days=1.0)
        else:
            yield one._replace(days=days)
        last = one if told else last


def _lost_between(
    last: Reading | None, one: Reading, readings: Sequence[Reading], lost: Collection[int], unread: Collection[int]
) -> str:
    """Why nobody knows for how long litres stand that follow others; empty where somebody does."""
    low, high = sorted((last.line, one.line)) if last is not None else (0, 0)
    lines = sorted(line for line in lost if low < line < high)
    if lines:
        return f"line {lines[0]} before it could not be used"
    since = last.day if last is not None else 0
    between = (each.line for each in reversed(readings) if since < each.day < one.day and each.day in unread)
    line = next(between, None)
    return f"the litres of line {line} before it could not be used" if line is not None else ""


def each_day_once(kept: Sequence[Reading], add: Add) -> list[Reading]:
    """Without the litres of lines that stand for days of an earlier one: so each day counts once."""
    found, twice, last = list[Reading](), list[Reading](), 0
    for one in kept:
        counts = one.top_off is not None and not one.aside
        if counts and one.day - max(round(one.days), 1) < last:
            twice.append(one)
            found.append(one._replace(top_off=None))
            continue
        found.append(one)
        last = one.day if counts else last
    if twice:
        lines = listed(stretches(sorted(one.line for one in twice)))
        add("R038", twice[0].line, "days", lines=lines)
    return found


def without_dry_air(kept: Sequence[Reading], column: str, add: Add) -> list[Reading]:
    """Without air that no room has: a share of 1 was written as a percentage, most likely."""
    dry = [one for one in kept if _is_dry(one)]
    if dry:
        first = min(dry, key=lambda one: one.line)
        got = first.humidity or 0.0
        hint = SHARE_HINT.format(got=f"{1e4 * got:.0f} %") if 1e-3 <= got <= 1e-2 else SLIP_HINT
        words = {
            "column": column,
            "got": units.show(got, "humidity", "metric", 3),
            "limit": f"{100 * DRY:.0f} %",
        }
        lines = listed(stretches(sorted(one.line for one in dry)))
        add("R035", first.line, "humidity", lines=lines, hint=hint, **words)
    return [one._replace(humidity=None) if _is_dry(one) else one for one in kept]


def _is_dry(one: Reading) -> bool:
    return one.humidity is not None and one.humidity < DRY


def tell_if_nothing_counts(kept: Sequence[Reading], column: str, add: Add) -> None:
    """Litres of which none says anything of what evaporates: why."""
    put_in = [one for one in kept if one.top_off is not None]
    counted = [one for one in put_in if not one.aside]
    if put_in and not counted:
        add("R036", None, "top-off", column=column, got=put_in[0].aside)
    elif counted and not any(one.top_off for one in counted):
        add("R037", None, "top-off", column=column)

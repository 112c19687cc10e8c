"""Days of a log that do not count as they stand: told of twice, with air that no room has, or all of no account."""

from __future__ import annotations

from collections.abc import Callable, Sequence
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

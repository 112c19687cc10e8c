"""Which one more reading would tell most about where probes should stand: the litres that it saves on average.

A reading is worth what the probes do better that are placed after it than those placed before (value of sample
information, Raiffa and Schlaifer 1961, from memory). One that makes floors look alike where water does not run, or that
leaves the probes where they are, is worth nothing however precise it is.

It is worked out on the members of an ensemble. Each in turn is taken as the true floor; the reading is what it says
there, and an error; each member is believed as it fits that reading; probes go where they are best by what is then
believed; what they save is counted on the true one. Two answers are told, since so few floors cannot give one:

- the most: the true floor is among those believed. A reading then singles it out down to its last ripple, which no
  reading does: too much, with twenty members by more than the reading is worth.
- the least: the true floor is left out of what is believed after the reading, but not of what was believed before it.
  Others must stand for it, and so few do so badly: too little. Where they lie further apart than the error reaches,
  one of them would be believed alone; so the reading may be believed as if its error were two or four times as large.

What is told as saved lies in the middle. Tried on ten synthetic rooms read at eight points, thirty heights of 1 mm as
candidates, one probe; 20 or 60 of 240 members were taken as if they were all, and the middle by all 240 as the truth,
which no other method has checked. The most told 0.23 or 0.15 L too much on average, the middle 0.06 or 0.03. The
candidate told first was worth 0.30 or 0.36 L, one by lot 0.17, the best 0.41. So: sixty members rather than twenty, and
an order of readings is a hint.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from dewpond.floor.placement import LEAST_GAIN, least_expected

NODES = 16  # equally likely errors of a reading that stand for all; a choice turns at most 1 / 32 too early or too late

WIDE = (1.0, 2.0, 4.0)  # times the error, by which a reading may be believed less than it says [1]


@dataclass(frozen=True)
class Told:
    """What each candidate reading is worth, all in the litres of the table.

    spots     where probes stand best before any of them, those kept first
    before    litres on average with the probes there
    saved     shape (candidates,): litres less on average with the probes placed after the reading; between the next two
    least     shape (candidates,): at least, never below 0
    most      shape (candidates,): at most
    """

    spots: tuple[int, ...]
    before: float
    saved: Any
    least: Any
    most: Any


def most_telling(
    litres: Any,
    number: int,
    cap: float,
    predicted: Any,
    errors: Any,
    members: Any = None,
    kept: Sequence[int] = (),
) -> list[Told]:
    """Worth of candidate readings where one probe, two, and so on up to ``number`` are placed besides those ``kept``.

    litres     shape (sites, members, spots): at which a spot gets wet; inf and all above the cap are the cap
    predicted  shape (candidates, members): what each member says of a reading, of any unit. Heights are told over a
               datum: give differences. Of a pour test it is the logarithm of the litres, which must end at a cap
    errors     shape (candidates,): standard deviations, of the same unit
    members    weights, as ``weighing`` gives them; all alike if left out

    With several probes, one of them may move after a reading: the whole choice made anew would save as much or more.
    Raises ValueError where there are fewer spots than asked for, where an error is not above 0, and where something
    predicted is not finite.
    """
    table = np.minimum(np.asarray(litres, dtype=float), cap)
    each = np.ones(table.shape[1]) if members is None else np.asarray(members, dtype=float)
    each = each / each.sum()
    said, unsure = _readings(predicted, errors, table.shape[1])
    flat, all_weights = table.reshape(-1, table.shape[2]), np.tile(each, len(table))
    found = []
    for few in range(1, number + 1):
        spots = least_expected(flat, few, cap, all_weights, kept).spots
        choices = _choices(table, cap, spots, len(kept))
        before = float((each @ choices).min())
        after = np.array([_after(choices, each, *reading) for reading in zip(said, unsure, strict=True)])
        worth = before - after.reshape(-1, 2)
        worth[worth < LEAST_GAIN * before] = 0.0
        found.append(Told(spots, before, worth.mean(axis=1), worth[:, 1], worth[:, 0]))
    return found


def _readings(predicted: Any, errors: Any, members: int) -> tuple[Any, Any]:
    said, unsure = np.asarray(predicted, dtype=float).reshape(-1, members), np.asarray(errors, dtype=float)
    if not (np.isfinite(unsure) & (unsure > 0.0)).all():
        raise ValueError("errors of readings must be above 0")
    if not np.isfinite(said).all():
        raise ValueError("what members say of a reading must be finite: give the cap where water never comes")
    return said, unsure


def _choices(table: Any, cap: float, spots: Sequence[int], kept: int) -> Any:
    """Litres of each member with one probe moved to each spot, shape (members, choices); the others stay."""
    found = []
    for moved in range(kept, len(spots)):
        others = [*spots[:moved], *spots[moved + 1 :]]
        there = table[:, :, others].min(axis=2) if others else np.full(table.shape[:2], float(cap))
        found.append(np.minimum(table, there[:, :, None]).mean(axis=0))
    return np.concatenate(found, axis=1)


def _after(choices: Any, each: Any, said: Any, error: float) -> tuple[float, float]:
    """Litres on average after a reading: the true member among those believed, and left out of them."""
    read = said[:, None] + error * _errors()[None, :]  # (true member, error)
    true = np.arange(len(each))
    believed = []
    for wide in (0.0, *WIDE):
        with np.errstate(divide="ignore"):
            fits = np.log(each) - 0.5 * ((read[:, :, None] - said) / (error * (wide or 1.0))) ** 2
        if wide:
            fits[true, :, true] = -math.inf
        believed.append(_believed(fits, each))
    litres = _litres(choices, each, np.array(believed))
    return float(litres[0]), float(litres[1:].min())


def _believed(fits: Any, each: Any) -> Any:
    """Shares by logarithms, along the last axis; where nothing is left to be believed, what was believed before."""
    best = fits.max(axis=-1, keepdims=True)
    nothing = np.isneginf(best)
    share = np.where(nothing, each, np.exp(fits - np.where(nothing, 0.0, best)))
    return share / share.sum(axis=-1, keepdims=True)


def _litres(choices: Any, each: Any, believed: Any) -> Any:
    """Of the true member, on average, with the choice that is best by what is believed.

    believed: shape (ways of believing, true member, error, member) -> (ways of believing,).
    """
    ways, members, errors, _ = believed.shape
    chosen = (believed.reshape(-1, members) @ choices).argmin(axis=1).reshape(ways, members, errors)
    return np.take_along_axis(choices[None], chosen, axis=2).mean(axis=2) @ each


def _errors() -> Any:
    """Errors as likely as one another that stand for all of a normal one, of standard deviation about 1."""
    from scipy.special import ndtri

    return ndtri((np.arange(NODES) + 0.5) / NODES)

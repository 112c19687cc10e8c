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

Of many candidates one looks good by chance. How good, is tried: what members say is dealt out among them at random, all
candidates alike, and the best of all by its least is looked for again (a permutation test; Westfall and Young 1993,
from memory). A reading tells more than chance where its least is more than that in nineteen of twenty draws. Tried on
the house of an example of which only heights were read, three probes, 200 members as the truth: by twenty of them 43 of
51 candidates looked worth a hundredth of the litres and more, and 4 told more than chance (25 draws of twenty), worth
0.31 L on average; the one told first 0.36, the best 0.40, one by lot 0.07. By sixty of them 11 told more than chance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from dewpond.floor.placement import LEAST_GAIN, least_expected

FEWEST = 4  # members that can be dealt out otherwise in some ways
NODES = 16  # equally likely errors of a reading that stand for all; a choice turns at most 1 / 32 too early or too late

DRAWS = 39  # by chance; the second best of them is that of nineteen in twenty [1]

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


def by_chance(
    litres: Any, told: Told, cap: float, predicted: Any, errors: Any, members: Any = None, kept: int = 0, seed: int = 0
) -> float:  # fmt: skip
    """What the best of the candidates would save at least, in one draw of twenty, if none told anything of where water
    goes [litres of the table]; inf where members are too few to say. ``kept``: how many of the spots were kept; else as
    ``most_telling``."""
    table = np.minimum(np.asarray(litres, dtype=float), cap)
    count = table.shape[1]
    if count < FEWEST:
        return math.inf
    each = np.ones(count) if members is None else np.asarray(members, dtype=float)
    each, choices = each / each.sum(), _choices(table, cap, told.spots, kept)
    said, unsure = _readings(predicted, errors, count)
    rng = np.random.default_rng([seed, count])
    dealt = [rng.permutation(count) for _ in range(DRAWS)]
    best = np.full(DRAWS, -math.inf)
    for one, error in zip(said, unsure, strict=True):
        fits = _fits(one, error, WIDE)
        shares = np.exp(fits - fits.max(axis=-1, keepdims=True))  # (ways, true member, error, member)
        for draw, order in enumerate(dealt):  # members instead of what they say: the same, and quicker
            after = _litres(choices[order], each[order], shares * each[order]).min()
            best[draw] = max(best[draw], told.before - after)
    return float(np.sort(best)[-2])


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
    return _sensible(np.concatenate(found, axis=1))


def _sensible(choices: Any) -> Any:
    """Without those that are no better than another one on any member, and worse on some: nobody takes them."""
    left = np.unique(choices, axis=1)
    left = left[:, np.argsort(left.mean(axis=0), kind="stable")]
    kept: list[int] = []
    for k in range(left.shape[1]):
        if not (left[:, kept] <= left[:, [k]]).all(axis=0).any():
            kept.append(k)
    return left[:, kept]


def _after(choices: Any, each: Any, said: Any, error: float) -> tuple[float, float]:
    """Litres on average after a reading: the true member among those believed, and left out of them."""
    with np.errstate(divide="ignore"):
        fits = np.log(each) + np.concatenate([_fits(said, error, (1.0,), alone=False), _fits(said, error, WIDE)])
    litres = _litres(choices, each, _believed(fits, each))
    return float(litres[0]), float(litres[1:].min())


def _fits(said: Any, error: float, wide: Sequence[float], alone: bool = True) -> Any:
    """Log-likelihood of each member by what is read of each that is taken as the true one, shape (ways of believing,
    true member, error, member). ``wide``: how much less it is believed; ``alone``: the true one is left out."""
    read = said[:, None] + error * _errors()[None, :]
    one = -0.5 * ((read[:, :, None] - said) / error) ** 2
    fits = one[None] / np.reshape(wide, (-1, 1, 1, 1)) ** 2
    if alone:
        true = np.arange(len(said))
        fits[:, true, :, true] = -math.inf
    return fits


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

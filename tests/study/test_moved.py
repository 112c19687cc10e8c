"""What pours changed of a leak: shares against all floors spilled in full, and chance against beliefs of no meaning."""

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from dewpond.design.reader import read_text
from dewpond.floor.wetting import wetted
from dewpond.parts import KINDS
from dewpond.study.floors import Asked, Looked, Poured, look, stand_for
from dewpond.study.moved import FAR, Moved, moved
from dewpond.study.spills import spilled

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "two_tanks.yaml"
PLAN = """
floors:
  study:
    outline: [0 m x 0 m, 3 m x 3 m]
    spots: {study probe: 1.7 m x 1.5 m, riser: 1.5 m x 1.5 m}
    readings:
      - {by: pour, at: 1.5 m x 1.5 m, poured: 1 L,
         outline: [1.2 m x 1.2 m, 1.8 m x 1.2 m, 1.8 m x 1.8 m, 1.2 m x 1.8 m]}
"""
VOLUME = 2e-3


@cache
def looked() -> Looked:
    design = read_text(EXAMPLE.read_text("utf-8") + PLAN, "two.yaml")
    (found,) = look(design, KINDS, Asked(cell=0.05), lambda site: (site.part, site.place) == ("riser", "study"))
    return found


def believing(weights: Any, volume: float = VOLUME) -> tuple[Looked, Moved]:
    """The same floors where others are believed."""
    before = looked()
    assert before.poured is not None
    pool = before.poured.pool
    chosen = stand_for(weights, len(before.fitted.floors))
    told = replace(pool, floors=tuple(pool.floors[k] for k in chosen))
    poured = Poured(pool, replace(before.poured.weights, each=np.asarray(weights)), chosen, ())
    now = replace(before, fitted=told, wetted=(wetted(told, before.sites[0]),), poured=poured)
    found = moved(now, now.wetted[0], volume)
    assert found is not None
    return now, found


@pytest.mark.slow
def test_shares_are_those_of_all_floors_spilled_to_the_end() -> None:
    found = looked()
    assert found.poured is not None
    pool, chosen = found.poured.pool, list(found.poured.chosen)
    made = moved(found, found.wetted[0], VOLUME)
    assert made is not None
    every = wetted(pool, found.sites[0]).first <= VOLUME
    assert made.changed == pytest.approx(every[chosen].mean(axis=0) - every.mean(axis=0))
    moving = np.abs(every[chosen].mean(axis=0) - every.mean(axis=0)) >= FAR
    assert made.more + made.fewer == pytest.approx(0.05**2 * moving.sum())
    assert spilled(found, (1e-3, VOLUME, 5e-3)).moved == replace(made, changed=pytest.approx(made.changed))


@pytest.mark.slow
def test_floors_that_wet_a_probe_believed_alone_move_it_from_their_share_to_all() -> None:
    before = looked()
    assert before.poured is not None
    pool = before.poured.pool
    probe = next(one for one in before.probes if one.name == "study probe")
    there = wetted(pool, before.sites[0]).reached(probe.cells) <= 10e-3
    assert 0.1 < there.mean() < 0.75
    _, found = believing(np.where(there, 1.0, 1e-9) / there.sum(), 10e-3)
    assert found.tells
    (told,) = found.probes
    assert (told.name, told.before) == ("study probe", there.mean())
    assert told.after >= 0.75  # not all: along the tube the leak is dealt anew


@pytest.mark.slow
def test_beliefs_that_have_nothing_to_do_with_water_seldom_tell() -> None:
    """One in twenty by construction: of forty draws of the same weights at random, two, and hardly six (binomial)."""
    before = looked()
    assert before.poured is not None
    rng = np.random.default_rng(7)
    weights = before.poured.weights.each
    told = sum(believing(rng.permutation(weights))[1].tells for _ in range(40))
    assert told <= 6


def test_nothing_poured_moves_nothing() -> None:
    found = looked()
    assert moved(replace(found, poured=None), found.wetted[0], VOLUME) is None

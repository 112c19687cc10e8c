"""Properties of whole installations read from random design files, as a keeper would write them.

``random_designs`` grows them from a seed; what is asserted here holds for any sound design, whatever it is.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import fields
from functools import cache
from typing import Any

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.plant import compile as ways
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.kernel.leaking import LEAST_LEAK
from dewpond.plant.kernel.marks import LAST_DROPS
from dewpond.plant.kernel.network import AT_REST
from dewpond.plant.laying import lay
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Onset, Plant, Scenario, contrary
from dewpond.plant.primitives import Arrays, State
from tests.plant.design_text import Draft
from tests.plant.nets import LITRE, balance
from tests.plant.random_designs import kinds_of, random_design

HOUR = 3600.0
NO_STOCK = 1e-6  # a vessel may end so far below empty: a millilitre [m3]
SEEDS = range(40)
SLOWLY = [range(k, k + 8) for k in range(0, 40, 8)]
LEAKS = ("burst", "pin hole", "joint weeps", "joint blows off", "cracks", "bowl cracks", "housing cracks")


def size_of(seed: int) -> int:
    """8 to 40 parts, spread over the seeds."""
    return 8 + seed * 7 % 33


def draft_of(seed: int) -> Draft:
    return random_design(seed, size_of(seed))


def plant_of(draft: Draft, **written: Any) -> Plant:
    return lower(read_text(draft.text(**written), "random.yaml"), "winter")


@cache
def plant_at(seed: int) -> Plant:
    return plant_of(draft_of(seed))


def first_fast(cases: Sequence[object], fast: int = 1) -> list[Any]:
    return [case if n < fast else pytest.param(case, marks=pytest.mark.slow) for n, case in enumerate(cases)]


MANY = first_fast(SLOWLY, 0)


def onset(plant: Plant, number: int, time: float = 600.0) -> Onset:
    """A fault at its usual time: hidden ones from the first moment, triggered ones when they come."""
    fault = plant.faults[number]
    return Onset(fault.label, {"latent": 0.0, "triggered": -1.0}.get(fault.timing, time))


def scenarios(plant: Plant, seed: int, alone: int, together: int, horizon: float = DAY) -> list[Scenario]:
    """Nothing fails; some single faults, some pairs; people at home, out, asleep and away."""
    rng = random.Random(f"faults {seed}")
    drawn: list[tuple[Onset, ...]] = [()]
    numbers = range(len(plant.faults))
    drawn += [(onset(plant, n),) for n in rng.sample(numbers, min(alone, len(numbers)))]
    while len(drawn) < 1 + alone + together:
        one, two = rng.sample(numbers, 2)
        if not contrary(plant.faults[one], plant.faults[two]):
            drawn.append((onset(plant, one), onset(plant, two, 600.0 + rng.randrange(7200))))
    who = [*STARTS]
    return [Scenario(w, horizon, onsets, STARTS[w]) for onsets in drawn for w in [rng.choice(who)]]


def ran(plant: Plant, scenario: Scenario) -> tuple[Arrays, State]:
    arrays = lay(plant, scenario)
    return arrays, ways.run_once(arrays, len(plant.parts), scenario.horizon, compiled=True)


def named(seed: int, scenario: Scenario) -> str:
    return f"seed {seed}, {scenario.who}, {[(o.label, o.time) for o in scenario.onsets]}"


# -- they are sound and a fair draw ------------------------------------------------------------------------------------
def test_random_designs_are_read_without_an_error_and_every_kind_turns_up() -> None:
    drafts = {seed: draft_of(seed) for seed in SEEDS}
    for seed, draft in drafts.items():
        wrong = [f for f in check(read_text(draft.text(), "random.yaml")) if f.level == "error"]
        assert wrong == [], f"seed {seed}"
        assert size_of(seed) <= len(draft.parts) < size_of(seed) + 8, f"seed {seed}"
    assert kinds_of(drafts) == KINDS.keys() - {"house supply"}  # the section supply names no kind


def test_a_design_grown_further_holds_what_it_had() -> None:
    for seed in range(5):
        small, large = random_design(seed, 15), random_design(seed, 50)
        assert list(large.parts)[: len(small.parts)] == list(small.parts)
        assert len(large.parts) >= 50


# -- nothing is lost or made -------------------------------------------------------------------------------------------
def unsound(plant: Plant, scenario: Scenario) -> list[str]:
    """What a run shows that cannot be: water or matter lost or made, less than nothing, more than a vessel holds.

    1e-9 of the throughput, and what the solver lets pass at a joint where nothing flows: AT_REST, 9 uL a day.
    """
    a, state = ran(plant, scenario)
    lost = balance(a, state)
    least = AT_REST * scenario.horizon
    found = []
    if abs(lost.water) > 1e-9 * lost.water_handled + least:
        found.append(f"water {lost.water} of {lost.water_handled}")
    if abs(lost.salt) > 1e-9 * lost.salt_handled + least * max([*a.body_start, *a.node_conc]):
        found.append(f"matter {lost.salt} of {lost.salt_handled}")
    for name, volume, rim in zip(plant.stores, state.volume, a.store_rim, strict=True):
        if not -NO_STOCK < volume <= rim + 1e-9:
            found.append(f"{name} holds {volume} of {rim}")
    for place, pool in zip(plant.places, state.pool, strict=True):
        if pool < 0.0:
            found.append(f"{place.name} holds {pool}")
    return [*found, *_untold(plant, engine.read(plant, scenario, state, 0))]


def _untold(plant: Plant, trace: Any) -> list[str]:
    """What cannot be in the consequence of a run: times out of order, litres that do not add up."""
    told, found = judge(plant, trace), []
    times = [m.time for m in told.moments]
    if times != sorted(times) or (times and not 0.0 <= times[0] <= times[-1] <= told.horizon):
        found.append("moments out of order")
    if [t for t, _ in told.messages] != sorted(t for t, _ in told.messages):
        found.append("messages out of order")
    for sooner, later in (("first_water", "stopped"), ("first_noticed", "first_known"), ("first_water", "pauses")):
        one, two = getattr(told, sooner), getattr(told, later)
        if two is not None and (one is None or two < one):
            found.append(f"{sooner} {one}, {later} {two}")
    if told.first_water is None and told.on_floors > LAST_DROPS + LEAST_LEAK * told.horizon:
        found.append(f"{told.on_floors} on floors before the first water")
    w = told.water
    apart = w.supply + w.before - w.after - w.to_drain - w.off_floors - w.lying - w.dried - w.evaporated
    if abs(apart) > 1e-9 * (abs(w.supply) + w.before) + AT_REST * told.horizon:
        found.append(f"balance told: {apart}")
    onto_places = sum(
        over for over, kind in zip(trace.place_over, plant.arrays.place_next_kind, strict=True) if kind == prim.R_PLACE
    )
    fell = sum(told.by_place.values()) - onto_places
    if abs(fell - w.lying - w.dried - w.off_floors) > 1e-9 * (abs(w.supply) + w.before):
        found.append(f"{fell} fell; lying {w.lying}, dried {w.dried}, off {w.off_floors}")
    if told.on_floors > sum(told.by_place.get(p.name, 0.0) for p in plant.places if p.is_floor) + 1e-12:
        found.append("more on floors than rooms received")
    for tank in told.tanks:
        if not 0.0 <= tank.lowest <= tank.highest or not tank.lowest <= (tank.end or tank.lowest) <= tank.highest:
            found.append(f"{tank}")
    return found


@pytest.mark.parametrize("seeds", [range(3), *MANY], ids=str)
def test_water_and_matter_balance_to_1e_9_and_what_is_told_adds_up(seeds: range) -> None:
    """Nothing fails, eight single faults, six pairs of each design, for a day."""
    for seed in seeds:
        plant = plant_at(seed)
        for scenario in scenarios(plant, seed, 8, 6):
            assert unsound(plant, scenario) == [], named(seed, scenario)


# -- a leak draws more -------------------------------------------------------------------------------------------------
def drawn_less(plant: Plant, horizon: float) -> list[str]:
    """Leaks with which less comes from the supply than without them, by more than the two runs are exact to."""

    def drawn(*onsets: Onset) -> float:
        return engine.run(plant, Scenario("travelling", horizon, onsets), compiled=True).total[prim.V_SUPPLY]

    base = drawn()
    least = 1e-3 * base + 0.01 * LITRE
    leaks = [f.label for f in plant.faults if f.timing == "initiator"]
    found = [(label, drawn(Onset(label, 600.0)) - base) for label in leaks]
    return [f"{label}: {1e3 * more:.3f} L of {1e3 * base:.3f} L" for label, more in found if more < -least]


@pytest.mark.parametrize("seed", first_fast(range(12)))
def test_a_leak_never_lowers_the_water_drawn_where_nothing_protects(seed: int) -> None:
    """Constant supply, nobody at home, no valve that takes orders, no limit of a run: every leak of the design alone."""
    plant = plant_of(random_design(seed, size_of(seed), protected=False))
    assert drawn_less(plant, 2.0 * DAY) == []


# -- half the tolerance ------------------------------------------------------------------------------------------------
def moved_by(plant: Plant, scenario: Scenario, share: float = 1e-3) -> list[str]:
    """What is another with half the tolerance: litres by more than a share of them, or an outcome not borderline."""
    usual, finer = (
        judge(plant, engine.run(plant, scenario, compiled=True, tolerance=tolerance)) for tolerance in (1.0, 0.5)
    )
    found = []

    def beside(what: str, one: float, two: float, least: float) -> None:
        if abs(one - two) > max(least, share * max(abs(one), abs(two))):
            found.append(f"{what}: {1e3 * one:.4f}, {1e3 * two:.4f} L, {abs(one - two) / max(one, two):.2%}")

    for place in {*usual.by_place, *finer.by_place}:
        beside(place, usual.by_place.get(place, 0.0), finer.by_place.get(place, 0.0), 1e-5)
    beside("to the drain", usual.water.to_drain, finer.water.to_drain, 1e-4)
    beside("supply", usual.water.supply, finer.water.supply, 1e-4)
    if any("borderline" in mark for told in (usual, finer) for mark in told.marks):
        return found
    for name in ("still_running", "reopenings", "noticed_by", "stopped_by", "return_pump_dry_of", "reservoir_empty_of"):
        one, two = getattr(usual, name), getattr(finer, name)
        if one != two:
            found.append(f"{name}: {one}, {two}")
    return found


# -- order and names ---------------------------------------------------------------------------------------------------
def told_alike(one: Consequence, two: Consequence) -> list[str]:
    """Fields that are not the same to the byte; parts asked are told in the order of the file."""
    found = []
    for each in fields(Consequence):
        was, now = getattr(one, each.name), getattr(two, each.name)
        if each.name in ("asked", "failed", "unordered"):
            was, now = sorted(was), sorted(now)
        if repr(was) != repr(now):
            found.append(f"{each.name}: {was!r:.300}, {now!r:.300}")
    return found


def by_order(seed: int, plant: Plant, draft: Draft, count: int = 6) -> list[str]:
    """What dealing sections and parts anew changes, and running the other way round."""
    other = plant_of(draft, rng=random.Random(seed))
    chosen = scenarios(plant, seed, count, count // 2)
    traces = [engine.run(plant, s, compiled=True) for s in chosen]
    again = [engine.run(other, s, compiled=True) for s in reversed(chosen)][::-1]
    found = []
    for s, one, two in zip(chosen, traces, again, strict=True):
        if repr(one) != repr(two):
            found.append(f"{named(seed, s)}: trace")
        found += [f"{named(seed, s)}: {what}" for what in told_alike(judge(plant, one), judge(other, two))]
    return found


def renamed(draft: Draft, seed: int) -> dict[str, str]:
    """The names dealt among the tokens anew, each changed a little: another order of the alphabet."""
    rng = random.Random(f"names {seed}")
    words = [f"{rng.choice('abcdefghijklmnopqrstuvwxyz')}{n} thing" for n in range(len(draft.names))]
    rng.shuffle(words)
    return dict(zip(draft.names, words, strict=True))

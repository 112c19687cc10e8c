"""Time in the search against time counted second by second.

With whole seconds and bounds that may be reached, a clock that ticks finds exactly the states that one of real numbers
does (Henzinger, Manna, Pnueli 1992: digitisation). So small machines with delays, drawn at random, are walked tick by
tick as well, by the plain step of the referee; what is reachable must be the same.
"""

import random
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.reader import read
from dewpond.parts import KINDS
from dewpond.plant import primitives as prim
from dewpond.plant.lower import lower
from dewpond.proof.machine import Failing, Machine, Quantity, Span
from dewpond.proof.proving import prove
from dewpond.proof.questions.dosing import doses, overdosed
from dewpond.proof.search import Event, Point, search
from dewpond.proof.story import steps
from dewpond.proof.tables import ALWAYS, NEVER
from dewpond.proof.timing import fitting
from dewpond.proof.verdicts import Case
from tests.proof.referee import after, beginning, events, waiting

DELAYS = (prim.L_ON_DELAY, prim.L_OFF_DELAY)
Ticks = tuple[int, ...]


def drawn(seed: int) -> Machine:
    """A signal that turns of itself, delays of it and of each other, votes, a latch, and a fault that holds one."""
    rng = random.Random(seed)
    ops, args, ins, due = [prim.L_TIMETABLE], [0.0], [()], {}
    for _ in range(rng.randint(3, 5)):
        before = rng.randrange(len(ops))
        entry = before if rng.random() < 0.6 else -1 - before
        op = rng.choice((prim.L_ON_DELAY, prim.L_ON_DELAY, prim.L_OFF_DELAY, prim.L_VOTE))
        if op == prim.L_VOTE:
            ops.append(op)
            args.append(float(rng.randint(1, 2)))
            ins.append((entry, rng.randrange(len(ops) - 1)))
        else:
            seconds = float(rng.randint(1, 6))
            due[len(ops)] = Span(seconds, seconds)
            ops.append(op)
            args.append(seconds)
            ins.append((entry,))
    faults = (Failing(("held",), ((1, 1),), True, NEVER, None),)
    size = len(ops)
    return Machine(
        (-1,) * size, tuple(ops), tuple(args), tuple(ins), (0,) * size, (), (0,), (), faults, due,
    )  # fmt: skip


def ticked(m: Machine, most_faults: int) -> set[Point]:
    """All states, with a clock of whole seconds for each delay that has begun."""
    first = beginning(m)
    start = (first, tuple(0 for _ in m.ops))
    seen, row = {start}, [start]
    while row:
        point, shows = row.pop()
        new: list[tuple[Point, Ticks]] = []
        begun = [i for i, op in enumerate(m.ops) if op in DELAYS and waiting(m, point.bits, i)]
        if all(shows[i] < m.args[i] for i in begun):
            new.append((point, tuple(shows[i] + (i in begun) for i in range(len(shows)))))
        for event in events(m, point, most_faults):
            if event.kind == "due" and shows[event.which] < m.args[event.which]:
                continue
            then = after(m, point, event)
            goes_on = [i for i in begun if waiting(m, then.bits, i) and event != Event("due", i)]
            new.append((then, tuple(shows[i] if i in goes_on else 0 for i in range(len(shows)))))
        for one in new:
            if one not in seen:
                seen.add(one)
                row.append(one)
    return {point for point, _ in seen}


def asked(m: Machine, point: Point) -> tuple[Machine, int]:
    """The machine with the question: its signals are those of a state."""
    size = len(m.ops)
    entries = tuple(i if bit else -1 - i for i, bit in enumerate(point.bits))
    return replace(
        m, numbers=(*m.numbers, -1), ops=(*m.ops, prim.L_VOTE), args=(*m.args, float(size)), ins=(*m.ins, entries),
        start=(*m.start, 0),
    ), size  # fmt: skip


@pytest.mark.parametrize("seed", range(40))
def test_a_state_is_reachable_in_time_if_it_is_tick_by_tick(seed: int) -> None:
    m = drawn(seed)
    wanted = {point.bits for point in ticked(m, 1)}
    free = {point.bits for point in ticked(replace(m, args=tuple(0.5 if a else a for a in m.args)), 1)}
    assert wanted
    for bits in wanted | free | {tuple(1 - bit for bit in bits) for bits in wanted}:
        machine, bad = asked(m, Point(bits, (), ()))
        assert bool(search(machine, bad, 1, compiled=True).breaches) == (bits in wanted), bits


def test_time_forbids_what_would_come_otherwise() -> None:
    """Of two delays of one cause the longer never ends first; left open, either may."""
    m = Machine(
        (-1,) * 4, (prim.L_TIMETABLE, prim.L_ON_DELAY, prim.L_ON_DELAY, prim.L_VOTE), (0.0, 2.0, 5.0, 2.0),
        ((), (0,), (0,), (2, -2)), (0,) * 4, (), (0,), (), (), {1: Span(2.0, 2.0), 2: Span(5.0, 5.0)},
    )  # fmt: skip
    assert not search(m, 3, 0, compiled=True).breaches
    assert search(replace(m, due={}), 3, 0, compiled=True).breaches


def test_a_count_goes_on_after_a_pause_and_a_level_needs_its_time() -> None:
    """A pump that may stop and start at will gives no more than its run limit allows, however it is cut up: 4 s of it
    raise the level by four fifths of the way to its mark; a limit of 6 s lets it pass."""
    for limit, passes in ((4.0, False), (6.0, True)):
        ops = (prim.L_TIMETABLE, prim.L_THRESHOLD, prim.L_LATCH, prim.L_VOTE, prim.L_THRESHOLD, prim.L_CONST)
        count = Quantity(
            prim.T_COUNTER,
            0,
            (limit,),
            ((1, 0, 0),),
            0,
            3,
            NEVER,
            NEVER,
            (Span(limit, limit), Span(0.0, 1e9)),
            (0.0, 0.0),
        )
        level = Quantity(
            prim.T_LEVEL, 0, (5.0,), ((4, 0, 0),), 0, 3, ALWAYS, NEVER, (Span(5.0, 1e9), Span(0.0, 1e9)), (0.0, 0.0)
        )
        m = Machine(
            (-1,) * 6, ops, (0.0, 0.0, 0.0, 2.0, 0.0, 0.0), ((), (), (1, 5, 5), (0, -3), (), ()), (0,) * 6, (), (0,),
            (count, level), (), {},
        )  # fmt: skip
        assert bool(search(m, 4, 0, compiled=True).breaches) == passes


@pytest.mark.slow
def test_the_lagoon_s_second_run_begins_at_midnight_and_both_are_just_under_the_limit(repository: Path) -> None:
    """By hand: 17.7 mm of 0.24 m2 at 1.44 L/h take 177 min; two runs of at most 90 min give 180. The first is ended by
    the day's 2.4 L, of which the fill after midnight before it has used 1.44 L/h times what is left of 100 min."""
    design = read(repository / "examples" / "two_tanks.yaml")
    plant = lower(design)
    proof = prove(design, plant, KINDS, 1, compiled=True, tried=False)
    (verdict,) = (v for v in proof.verdicts if v.rule == "IL-08b" and v.about == "lagoon")
    told = [step for step in steps(plant, verdict.cases[0]) if step.kind != "level"]
    starts = [step.time for step in told if step.text == "small doser starts"]
    stops = [step.time for step in told if step.text == "small doser stops"]
    first, second = stops[1] - starts[1], told[-1].time - starts[2]
    assert first <= 90.0 * 60.0 + 0.2
    assert second <= 90.0 * 60.0 + 0.2
    assert first + second == pytest.approx(10_623.0, abs=2.0)
    midnights = [step.time for step in told if step.kind == "midnight"]
    assert midnights[1] - midnights[0] == pytest.approx(86_400.0, abs=1.0)


@pytest.mark.slow
def test_times_fit_every_timed_way_of_the_example(repository: Path) -> None:
    plant = lower(read(repository / "examples" / "two_tanks.yaml"))
    fitted = 0
    for dose in doses(plant):
        m, bad = overdosed(plant, dose)
        for breach in search(m, bad, 2, compiled=True).breaches:
            assert fitting(plant, m, Case((), m, breach)) is not None
            fitted += 1
    assert fitted >= 8

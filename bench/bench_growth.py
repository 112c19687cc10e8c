"""What a design costs as it grows: 10, 20, 40 and 60 parts, each the former one grown further, from five seeds.

Reading with lowering, one run of fourteen days in which nothing fails, every fault alone for a day at home, and the
most memory that Python held meanwhile. The exponent is the slope of the cost over the parts, both in logarithms:
1 is in proportion. A longer design has more faults, so that all single faults cost more by one power than one run.
"""

from __future__ import annotations

import math
import sys
import time
import tracemalloc
from pathlib import Path

from _table import best_of, milliseconds, show

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))  # the grower of the tests is one level up

from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.consequence import judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Scenario
from dewpond.study import drills
from tests.plant.random_designs import random_design

SIZES = (10, 20, 40, 60)
SEEDS = (1, 2, 3, 4, 5)
HOME = (("at home", DAY),)


class Cost:
    """Sums over the seeds for one size: seconds, bytes and what was done for them."""

    def __init__(self) -> None:
        self.reading = self.one_run = self.alone = 0.0
        self.parts = self.faults = self.one_steps = self.steps = self.peak = 0

    def add(self, seed: int, size: int) -> None:
        """The costs of one design; its work is asserted."""
        text = random_design(seed, size).text()
        self.reading += best_of(3, lambda: lower(read_text(text, "grown.yaml"), "winter"))
        plant = lower(read_text(text, "grown.yaml"), "winter")
        assert len(plant.parts) >= size
        self.parts += len(plant.parts)
        quiet = Scenario("travelling", 14.0 * DAY, (), STARTS["travelling"])
        self.one_run += best_of(3, lambda: engine.run(plant, quiet, compiled=True))
        trace = engine.run(plant, quiet, compiled=True)
        assert trace.end == quiet.horizon
        assert trace.doubtful == 0
        self.one_steps += trace.steps
        planned = drills.singles(plant, HOME)
        start = time.perf_counter()
        traces = [engine.run(plant, drill.scenario, compiled=True) for drill in planned]
        told = [judge(plant, trace) for trace in traces]
        self.alone += time.perf_counter() - start
        assert len(told) == len(plant.faults)
        assert all(trace.end == DAY or trace.doubtful for trace in traces)
        assert sum(trace.steps for trace in traces) >= len(traces)
        self.faults += len(told)
        self.steps += sum(trace.steps for trace in traces)

    def watch(self, size: int) -> None:
        """The most memory of reading, lowering and a short look at every fault, of the first seed."""
        text = random_design(SEEDS[0], size).text()
        tracemalloc.start()
        plant = lower(read_text(text, "grown.yaml"), "winter")
        for drill in drills.singles(plant, HOME):
            judge(plant, engine.run(plant, drill.scenario, compiled=True))
        self.peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()


def exponent(sizes: list[float], costs: list[float]) -> float:
    """Slope of the line through the logarithms (least squares)."""
    xs, ys = [math.log(x) for x in sizes], [math.log(y) for y in costs]
    middle, level = sum(xs) / len(xs), sum(ys) / len(ys)
    rise = sum((x - middle) * (y - level) for x, y in zip(xs, ys, strict=True))
    return rise / sum((x - middle) ** 2 for x in xs)


def main() -> None:
    engine.run(lower(read_text(random_design(1, 10).text(), "first.yaml")), Scenario("out", 60.0), compiled=True)
    costs = {size: Cost() for size in SIZES}
    count = len(SEEDS)
    for size, cost in costs.items():
        for seed in SEEDS:
            cost.add(seed, size)
        cost.watch(size)
        rows = [
            ("parts, faults", f"{cost.parts / count:10.1f}, {cost.faults / count:.1f}"),
            ("reading and lowering", milliseconds(cost.reading / count)),
            ("14 days, nothing fails", f"{milliseconds(cost.one_run / count)}  {cost.one_steps / count:.0f} steps"),
            ("all faults alone, a day at home", f"{milliseconds(cost.alone / count)}  {cost.steps / count:.0f} steps"),
            ("  a step of it", f"{1e6 * cost.alone / cost.steps:10.3f} us"),
            ("most memory, first seed", f"{cost.peak / 1e6:10.3f} MB"),
        ]
        show(f"bench_growth: {size} parts, mean of {count} designs", rows)
    parts = [cost.parts / count for cost in costs.values()]
    every = list(costs.values())
    figures = {
        "reading and lowering": [cost.reading for cost in every],
        "14 days, nothing fails": [cost.one_run for cost in every],
        "  its steps": [float(cost.one_steps) for cost in every],
        "  one step": [cost.one_run / cost.one_steps for cost in every],
        "all faults alone": [cost.alone for cost in every],
        "  faults": [float(cost.faults) for cost in every],
        "  steps of one": [cost.steps / cost.faults for cost in every],
        "  a step": [cost.alone / cost.steps for cost in every],
        "most memory": [float(cost.peak) for cost in every],
    }
    show(
        "bench_growth: grows as parts to the power of",
        [(name, f"{exponent(parts, sums):10.2f}") for name, sums in figures.items()],
    )


if __name__ == "__main__":
    main()
